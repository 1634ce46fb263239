"""The plane of a card: from its millimetres to a photo's px, and its picture laid flat."""

from collections.abc import Sequence

import numpy as np

from fairtank.card import CARD_HEIGHT_MM, CARD_WIDTH_MM, MARKER_MM, MARKER_PLACES_MM
from fairtank.vision.plane import SQUARE, homography

CARD_CORNERS_MM = np.array([[0, 0], [CARD_WIDTH_MM, 0], [CARD_WIDTH_MM, CARD_HEIGHT_MM], [0, CARD_HEIGHT_MM]], float)
MARKER_CORNERS_MM = np.array([np.array(place) + MARKER_MM * SQUARE for place in MARKER_PLACES_MM])
MARKER_CENTRES_MM = MARKER_CORNERS_MM.mean(1)


def moved(source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """The simplest map from two or more points to others: a similarity for two, an affinity for three, a homography for four.

    Parameters
    ----------
    source, target : array of shape (2 to 4, 2)

    Returns
    -------
    array of shape (3, 3)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> from fairtank.vision.plane import through
    >>> through(moved(SQUARE[:2], SQUARE[:2] + 5), SQUARE[2:]).tolist()
    [[6.0, 6.0], [5.0, 6.0]]
    """
    if len(source) >= 4:
        matrix = homography(source, target)
        if matrix is not None:
            return matrix
    ones = np.ones(len(source))
    if len(source) == 3:
        across = np.linalg.solve(np.column_stack([source, ones]), target).T
        return np.vstack([across, [0.0, 0.0, 1.0]])
    one, other = source[-1] - source[0], target[-1] - target[0]
    turn = complex(*other) / complex(*one)
    part = np.array([[turn.real, -turn.imag], [turn.imag, turn.real]])
    shift = target[0] - part @ source[0]
    return np.array([[*part[0], shift[0]], [*part[1], shift[1]], [0.0, 0.0, 1.0]])


def is_seen_from_front(corners: np.ndarray) -> bool:
    """Whether four corners, in clockwise order on the paper, go round clockwise and without a dent in the photo.

    Parameters
    ----------
    corners : array of shape (4, 2)
        [px], y down

    Returns
    -------
    bool
        False for a card seen in a mirror.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> is_seen_from_front(SQUARE), is_seen_from_front(SQUARE[::-1])
    (True, False)
    """
    sides = np.roll(corners, -1, axis=0) - corners
    following = np.roll(sides, -1, axis=0)
    return bool((sides[:, 0] * following[:, 1] - sides[:, 1] * following[:, 0] > 0).all())


def laid_flat(pixels: np.ndarray, matrix: np.ndarray, px_per_mm: float, room_mm: float) -> np.ndarray:
    """The card as a flat picture with some room around it.

    Parameters
    ----------
    pixels : array of shape (h, w, 3) or (h, w), uint8
        The photo.
    matrix : array of shape (3, 3)
        From mm on the card to px of `pixels`, continuous.
    px_per_mm : float
        Of the flat picture.
    room_mm : float
        Around the card.

    Returns
    -------
    array of shape (rows, columns[, 3]), uint8

    References
    ----------
    arithmetic (keys from sources.py).
    """
    import cv2

    # A flat px's centre, in mm on the card, then in the photo; both count from px centres, hence the halves.
    to_mm = np.array([[1 / px_per_mm, 0, 0.5 / px_per_mm - room_mm], [0, 1 / px_per_mm, 0.5 / px_per_mm - room_mm], [0, 0, 1]])
    to_centres = np.array([[1, 0, -0.5], [0, 1, -0.5], [0, 0, 1.0]])
    size = round((CARD_WIDTH_MM + 2 * room_mm) * px_per_mm), round((CARD_HEIGHT_MM + 2 * room_mm) * px_per_mm)
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    return np.asarray(cv2.warpPerspective(pixels, to_centres @ matrix @ to_mm, size, flags=flags, borderMode=cv2.BORDER_REPLICATE))


def stacked(parts: Sequence[np.ndarray]) -> np.ndarray:
    """Arrays of points one after the other.

    Parameters
    ----------
    parts : sequence of arrays of shape (n, 2)

    Returns
    -------
    array of shape (sum of n, 2)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> stacked([SQUARE, SQUARE]).shape
    (8, 2)
    """
    return np.concatenate([np.asarray(part, float).reshape(-1, 2) for part in parts])
