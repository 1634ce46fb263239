"""Markers of an open dictionary, found anywhere in a photo."""

from dataclasses import dataclass

import numpy as np

from fairtank.card import DICTIONARY, MARKER_MODULES

# One adaptive window is enough for print on white paper; three, as is usual, take twice as long.
WINDOW_PX = 23
_MODULE_PX, _IGNORED_PART = 8, 0.25
# A side of a marker: how many places it is looked at, over which part, how far to both sides [px, parts of a module] and in which steps.
_PLACES, _PART, _REACH_PX, _REACH_MODULES, _STEP_PX = 24, (0.12, 0.88), 3.0, 0.8, 0.25
_FAR_OFF_PX, _FEWEST_PLACES = 0.6, 8
# A lens blurs light (power 2.2 of the values), a phone sharpens and resizes the encoded values (power 1); a blurred edge stays where it was
# only in the one that was blurred. Half way between, markers in rendered photos come out neither larger nor smaller.
_POWER = np.float32(1.5)


@dataclass(frozen=True, eq=False)
class Marker:
    """One marker in a picture: its number, and its corners, array (4, 2), its own top-left first, clockwise [px, continuous]."""

    number: int
    corners: np.ndarray


def markers_found(grey: np.ndarray, dictionary: str = DICTIONARY) -> tuple[Marker, ...]:
    """Every marker that a picture shows.

    Parameters
    ----------
    grey : array of shape (h, w), uint8
        Any one channel of a photo.
    dictionary : str
        Name of the dictionary, without the word that OpenCV puts in front.

    Returns
    -------
    tuple of Marker
        Corners are continuous positions: 0 is the outer edge of the first px, whose centre lies at 0.5.

    References
    ----------
    garrido2014 (keys from sources.py).
    """
    import cv2

    settings = cv2.aruco.DetectorParameters()
    settings.adaptiveThreshWinSizeMin = settings.adaptiveThreshWinSizeMax = WINDOW_PX
    # In a photo with too much light white spills over a module's edges: only the middle of each module is asked.
    settings.perspectiveRemovePixelPerCell, settings.perspectiveRemoveIgnoredMarginPerCell = _MODULE_PX, _IGNORED_PART
    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    found, numbers, _ = cv2.aruco.ArucoDetector(known, settings).detectMarkers(grey)
    if numbers is None:
        return ()
    # OpenCV counts from the centre of the first px.
    rough = zip(np.ravel(numbers), (corners.reshape(4, 2).astype(float) + 0.5 for corners in found), strict=True)
    exact = [Marker(int(number), exact_corners(grey, corners)) for number, corners in rough]
    return tuple(sorted(exact, key=lambda marker: (marker.number, float(marker.corners[0, 0]), float(marker.corners[0, 1]))))


def exact_corners(grey: np.ndarray, corners: np.ndarray, modules: int = MARKER_MODULES) -> np.ndarray:
    """Corners of a dark square on white, from where the lines of its four sides cross.

    A corner itself looks rounded in a photo and is drawn inwards by a third of a px; its sides are not.

    Parameters
    ----------
    grey : array of shape (h, w), uint8
    corners : array of shape (4, 2)
        Right to about 2 px, clockwise. [px, continuous]
    modules : int
        How many modules of the marker lie along one side, its frame included.

    Returns
    -------
    array of shape (4, 2)
        A side that is not clear keeps its place.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> picture = np.full((60, 60), 200, np.uint8)
    >>> picture[20:40, 20:40] = 20
    >>> np.round(exact_corners(picture, np.array([[19, 21], [40, 19], [41, 40], [20, 41.0]])).mean(0), 2).tolist()
    [30.0, 30.0]
    """
    import cv2

    begin, end = corners, np.roll(corners, -1, axis=0)
    along = end - begin
    lengths = np.hypot(*along.T)
    outward = np.column_stack([along[:, 1], -along[:, 0]]) / np.maximum(lengths, 1e-9)[:, None]
    reach = min(_REACH_PX, _REACH_MODULES * float(lengths.min()) / modules)
    across = np.arange(-reach, reach + _STEP_PX / 2, _STEP_PX)
    share = np.linspace(*_PART, _PLACES)
    on_side = begin[:, None] + share[None, :, None] * along[:, None]
    places = (on_side[:, :, None] + across[None, None, :, None] * outward[:, None, None] - 0.5).astype(np.float32)
    places = places.reshape(4 * _PLACES, len(across), 2)
    seen = cv2.remap(grey, places[..., 0], places[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    rise = np.maximum(np.diff((seen / np.float32(255)) ** _POWER, axis=1), 0).reshape(4, _PLACES, -1)
    middles = (across[1:] + across[:-1]) / 2
    lines = [_side(share, rise[side], middles) for side in range(4)]
    moved = [(begin[side] + line[0] * outward[side], end[side] + line[1] * outward[side]) for side, line in enumerate(lines)]
    crossings = np.array([_crossing(moved[side - 1], moved[side]) for side in range(4)])
    return crossings if np.isfinite(crossings).all() and np.abs(crossings - corners).max() < 4 * _REACH_PX else corners


def _side(share: np.ndarray, rise: np.ndarray, middles: np.ndarray) -> tuple[float, float]:
    """How far a side lies off at its begin and at its end, from how its lightness rises outwards at each place [px]."""
    total = rise.sum(1)
    sure = total > 0.3 * np.median(total)
    if sure.sum() < _FEWEST_PLACES or not total.any():
        return 0.0, 0.0
    offset = (rise[sure] * middles).sum(1) / np.maximum(total[sure], 1e-6)
    part = share[sure]
    keep = np.abs(offset - np.median(offset)) < 2 * _FAR_OFF_PX
    for _ in range(2):
        if keep.sum() < _FEWEST_PLACES:
            return 0.0, 0.0
        slope, level = np.polyfit(part[keep], offset[keep], 1)
        keep = np.abs(offset - level - slope * part) < _FAR_OFF_PX
    return float(level), float(level + slope)


def _crossing(one: tuple[np.ndarray, np.ndarray], other: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Where two lines cross, each given by two points; not a number where they do not."""
    (a, b), (c, d) = one, other
    (across, down), (other_across, other_down) = b - a, d - c
    turned = across * other_down - down * other_across
    if abs(turned) < 1e-9:
        return np.full(2, np.nan)
    share = ((c - a)[0] * other_down - (c - a)[1] * other_across) / turned
    return np.asarray(a + share * (b - a))
