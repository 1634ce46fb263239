"""The four corner stickers of a glass: they say where its corners are, so that nobody has to click them."""

from dataclasses import dataclass

import numpy as np

from fairtank.card import MOST_CARDS, STICKER_MARGIN_MM, STICKER_MM, sticker_numbers
from fairtank.vision.card.markers import Marker, markers_found
from fairtank.vision.card.plane import is_seen_from_front
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.plane import SQUARE, homography, through

_FIRST = sticker_numbers(0)[0]
_PAPER_MM = -STICKER_MARGIN_MM + (STICKER_MM + 2 * STICKER_MARGIN_MM) * SQUARE


@dataclass(frozen=True, eq=False)
class StickersSeen:
    """Four stickers of one unit: the number of its card, and the glass corners, array (4, 2), top-left first [normalised px]."""

    card: int
    corners: np.ndarray


def stickers_found(pixels: np.ndarray, card: int | None = None) -> StickersSeen | None:
    """The corners of a glass that carries all four stickers of a unit; None when one of them is not seen.

    The point that counts is the outer corner of each sticker's paper: of its four corners the one that lies farthest out, so that a
    sticker glued on a turn does no harm. Where the stickers of several units are seen, the largest glass is meant.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.
    card : int or None
        Number of the card whose stickers they must be, where that is known: a neighbour's do not count.

    Returns
    -------
    StickersSeen or None

    References
    ----------
    garrido2014 (keys from sources.py).
    """
    import cv2

    markers = {marker.number: marker for marker in markers_found(cv2.extractChannel(pixels, 1)) if marker.number >= _FIRST}
    scale = NORMAL_LONG_SIDE_PX / max(pixels.shape[:2])
    seen: list[tuple[float, StickersSeen]] = []
    for one in range(MOST_CARDS) if card is None else (card,):
        four = [markers[number] for number in sticker_numbers(one) if number in markers]
        if len(four) < 4:
            continue
        corners = _outer_corners(four)
        if corners is not None and is_seen_from_front(corners):
            x, y = corners.T
            seen.append((abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))), StickersSeen(one, corners * scale)))
    return max(seen, key=lambda pair: pair[0])[1] if seen else None


def _outer_corners(four: list[Marker]) -> np.ndarray | None:
    """Of each sticker's paper the corner that lies farthest from the middle of them all [px]."""
    middle = np.mean([marker.corners.mean(0) for marker in four], axis=0)
    corners = []
    for marker in four:
        matrix = homography(STICKER_MM * SQUARE, marker.corners) if is_seen_from_front(marker.corners) else None
        if matrix is None:
            return None
        paper = through(matrix, _PAPER_MM)
        corners.append(paper[np.hypot(*(paper - middle).T).argmax()])
    return np.array(corners)
