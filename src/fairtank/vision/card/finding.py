"""Every photo card in a photo, wherever and however it stands."""

import numpy as np

from fairtank.card import MARKER_MM, MOST_CARDS
from fairtank.vision.card.flat import FEWEST_MARKERS, read_through
from fairtank.vision.card.markers import Marker, markers_found
from fairtank.vision.card.plane import MARKER_CENTRES_MM, MARKER_CORNERS_MM, is_seen_from_front, stacked
from fairtank.vision.card.reading import CardReading
from fairtank.vision.plane import homography, through

# A marker belongs to a card when it lies where another marker of the card says, within this share of their distance.
_OFF_SHARE = 0.25


def cards_found(pixels: np.ndarray) -> tuple[CardReading, ...]:
    """Every card of which at least two of the four markers are seen, from the lowest number up.

    The whole photo is searched, whatever way up the cards stand. A card seen in a mirror is not found.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.

    Returns
    -------
    tuple of CardReading

    References
    ----------
    garrido2014 (keys from sources.py).
    """
    import cv2

    left = [marker for marker in markers_found(cv2.extractChannel(pixels, 1)) if marker.number < 4 * MOST_CARDS]
    found: list[CardReading] = []
    while left:
        group = _together(left)
        left = [marker for marker in left if all(marker is not other for other in group)]
        if len(group) < FEWEST_MARKERS:
            continue
        matrix = homography(stacked([MARKER_CORNERS_MM[marker.number % 4] for marker in group]),
                            stacked([marker.corners for marker in group]))
        reading = None if matrix is None else read_through(pixels, matrix, group[0].number // 4)
        if reading is not None:
            found.append(reading)
    return tuple(sorted(found, key=lambda reading: reading.card))


def _together(markers: list[Marker]) -> list[Marker]:
    """The first marker, and those of its card that stand where it says."""
    first = markers[0]
    group = [first]
    if not is_seen_from_front(first.corners):
        return group
    matrix = homography(MARKER_CORNERS_MM[first.number % 4], first.corners)
    if matrix is None:
        return group
    expected = through(matrix, MARKER_CENTRES_MM)
    middle = expected[first.number % 4]
    for marker in markers[1:]:
        place = marker.number % 4
        if marker.number // 4 != first.number // 4 or any(marker.number == other.number for other in group):
            continue
        distance = np.hypot(*(expected[place] - middle))
        if np.hypot(*(marker.corners.mean(0) - expected[place])) < max(_OFF_SHARE * distance, MARKER_MM):
            group.append(marker)
    return group
