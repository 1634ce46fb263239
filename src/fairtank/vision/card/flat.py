"""A card read from the place where it is expected: laid flat, its markers compared module by module, its fields averaged."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairtank.card import DICTIONARY, MARKER_MM, MARKER_MODULES, PATCHES, marker_numbers
from fairtank.vision.card.plane import CARD_CORNERS_MM, MARKER_CENTRES_MM, is_seen_from_front, laid_flat, moved
from fairtank.vision.card.reading import CardReading
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.plane import through

FEWEST_MARKERS, MOST_WRONG_MODULES = 2, 1
# Flat pictures: a coarse one for a card that was nudged, and the one that is read, where a module is 8 px.
_COARSE_PX_PER_MM, _COARSE_ROOM_MM = 1.5, 9.0
_FINE_PX_PER_MM, _FINE_ROOM_MM = 3.0, 2.0
_SURE_MARKERS = 3
_LARGEST_OFF_MM = 1.2  # else the card is laid flat once more
_LIKENESS = 0.5
_LEAST_CONTRAST = 10.0  # levels between the paper and the black of a marker
_INNER = 0.25  # of a field's width and height that is left out on each side: neighbours' colours bleed over its edges
_DARK, _LIGHT = 8.0, 245.0
_UNEVEN = 25.0  # levels: a field with more spread is partly hidden or lies in the edge of a shadow


@dataclass(frozen=True, eq=False)
class _Looked:
    """What a look at the four markers found: where each one's centre lies off [mm], and how alike it is to what it should be."""

    off_mm: np.ndarray
    likeness: np.ndarray


def card_read_at(pixels: np.ndarray, corners: np.ndarray, card: int) -> CardReading | None:
    """The card that is expected at a place, read; None when it is not there.

    Its place may be off by up to 9 mm of the card's own scale and by a few degrees: the markers are looked for around where they should
    be. A marker counts as read when at most one of its 16 modules is wrong.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.
    corners : array of shape (4, 2)
        Where the corners of the card's paper are expected, top-left first, clockwise. [normalised px]
    card : int
        Which card is expected, 0 to 30.

    Returns
    -------
    CardReading or None
        None when fewer than two of the four markers are read.

    References
    ----------
    garrido2014 (keys from sources.py).
    """
    matrix = moved(CARD_CORNERS_MM, np.asarray(corners, float) * (max(pixels.shape[:2]) / NORMAL_LONG_SIDE_PX))
    return read_through(pixels, matrix, card, is_coarse=True)


def read_through(pixels: np.ndarray, matrix: np.ndarray, card: int, *, is_coarse: bool = False) -> CardReading | None:
    """A card read through a homography from its millimetres to the photo.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.
    matrix : array of shape (3, 3)
        From mm on the card to px of `pixels`, continuous.
    card : int
        Which card it is thought to be.
    is_coarse : bool
        The homography may be off by several mm: look for the markers first.

    Returns
    -------
    CardReading or None

    References
    ----------
    garrido2014 (keys from sources.py).
    """
    height, width = pixels.shape[:2]
    size = np.array([width, height], float)
    corners = through(matrix, CARD_CORNERS_MM)
    if not is_seen_from_front(corners) or (corners.mean(0) < 0).any() or (corners.mean(0) > size).any():
        return None
    flat, found, read = _look_closely(pixels, matrix, card)
    if is_coarse and read.sum() < _SURE_MARKERS:
        matrix = _nudged(matrix, _look_around(pixels, matrix, card))
        flat, found, read = _look_closely(pixels, matrix, card)
    if read.any() and np.abs(found.off_mm[read]).max() > _LARGEST_OFF_MM:
        matrix = _nudged(matrix, _only(found, read))
        flat, found, read = _look_closely(pixels, matrix, card)
    if read.sum() < FEWEST_MARKERS:
        return None
    patches, spread = _fields(flat, found.off_mm[read].mean(0))
    matrix = _nudged(matrix, _only(found, read))
    corners = through(matrix, CARD_CORNERS_MM)
    if not is_seen_from_front(corners):
        return None
    scale = NORMAL_LONG_SIDE_PX / max(height, width)
    clipped = ((patches < _DARK) | (patches > _LIGHT)).any(1) | (spread > _UNEVEN) | _beside_unread(read)
    return CardReading(card, int(read.sum()), corners * scale, _px_per_mm(corners * scale), patches, clipped)


@lru_cache(maxsize=1)
def _dictionary() -> np.ndarray:
    """The 4 x 4 modules of every marker, 1 where white: array (250, 4, 4)."""
    import cv2

    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY))
    side = known.markerSize
    every = range(len(known.bytesList))
    return np.stack([cv2.aruco.Dictionary.getBitsFromByteList(known.bytesList[place : place + 1], side) for place in every])


@lru_cache(maxsize=512)
def _template(number: int, module_px: int) -> np.ndarray:
    """A marker with one module of white around it, as soft as in a photo, so that likeness has a round top; uint8."""
    import cv2

    modules = np.zeros((MARKER_MODULES + 2, MARKER_MODULES + 2), np.uint8)
    modules[[0, -1]] = modules[:, [0, -1]] = 1
    modules[2:-2, 2:-2] = _dictionary()[number]
    sharp = np.kron(modules, np.ones((module_px, module_px), np.uint8)) * np.uint8(255)
    return np.asarray(cv2.GaussianBlur(sharp, (0, 0), module_px / 8, borderType=cv2.BORDER_REPLICATE))


def _look_around(pixels: np.ndarray, matrix: np.ndarray, card: int) -> _Looked:
    """The markers looked for as far as a nudge may have moved them."""
    import cv2

    flat = laid_flat(pixels, matrix, _COARSE_PX_PER_MM, _COARSE_ROOM_MM)
    return _looked(cv2.extractChannel(flat, 1), card, _COARSE_PX_PER_MM, _COARSE_ROOM_MM, _COARSE_ROOM_MM)


def _look_closely(pixels: np.ndarray, matrix: np.ndarray, card: int) -> tuple[np.ndarray, _Looked, np.ndarray]:
    """The card laid flat, where its markers lie in that picture, and which of them are read."""
    import cv2

    flat = laid_flat(pixels, matrix, _FINE_PX_PER_MM, _FINE_ROOM_MM)
    grey = cv2.extractChannel(flat, 1)
    found = _looked(grey, card, _FINE_PX_PER_MM, _FINE_ROOM_MM, _FINE_ROOM_MM)
    return flat, found, _markers_read(grey, found, card)


def _only(found: _Looked, read: np.ndarray) -> _Looked:
    """What was found, of the markers that were read."""
    return _Looked(found.off_mm, np.where(read, found.likeness, 0.0))


def _looked(flat: np.ndarray, card: int, px_per_mm: float, room_mm: float, reach_mm: float) -> _Looked:
    """Look for each marker around its place in a flat picture of one channel."""
    import cv2

    module_px = round(px_per_mm * MARKER_MM / MARKER_MODULES)
    reach = round(reach_mm * px_per_mm)
    side = (MARKER_MODULES + 2) * module_px
    off, likeness = np.zeros((4, 2)), np.zeros(4)
    for place, number in enumerate(marker_numbers(card)):
        left, top = np.round((MARKER_CENTRES_MM[place] + room_mm) * px_per_mm - side / 2).astype(int)
        first_x, first_y = max(0, left - reach), max(0, top - reach)
        part = flat[first_y : top + side + reach, first_x : left + side + reach]
        scores = cv2.matchTemplate(part, _template(number, module_px), cv2.TM_CCOEFF_NORMED)
        _, best, _, (x, y) = cv2.minMaxLoc(scores)
        exact = np.array([x + _peak(scores[y, :], x), y + _peak(scores[:, x], y)]) + (first_x, first_y) + side / 2
        off[place] = exact / px_per_mm - room_mm - MARKER_CENTRES_MM[place]
        likeness[place] = best
    return _Looked(off, likeness)


def _peak(scores: np.ndarray, best: int) -> float:
    """How far the top of a parabola through the best score and its neighbours lies from it, -0.5 to 0.5."""
    if not 0 < best < len(scores) - 1:
        return 0.0
    before, top, after = (float(score) for score in scores[best - 1 : best + 2])
    bend = before - 2 * top + after
    return 0.5 * (before - after) / bend if bend < -1e-9 else 0.0


def _nudged(matrix: np.ndarray, found: _Looked) -> np.ndarray:
    """The homography after the markers that were found moved to where they lie."""
    sure = found.likeness > _LIKENESS
    if sure.sum() < FEWEST_MARKERS:
        return matrix
    source = MARKER_CENTRES_MM[sure]
    return np.asarray(matrix @ moved(source, source + found.off_mm[sure]), float)


def _markers_read(grey: np.ndarray, found: _Looked, card: int) -> np.ndarray:
    """Which of the four markers are read, module by module; array (4,), bool."""
    import cv2

    module_px = round(_FINE_PX_PER_MM * MARKER_MM / MARKER_MODULES)
    count = MARKER_MODULES + 2
    read = np.zeros(4, bool)
    for place, number in enumerate(marker_numbers(card)):
        centre = (MARKER_CENTRES_MM[place] + found.off_mm[place] + _FINE_ROOM_MM) * _FINE_PX_PER_MM
        left, top = np.round(centre - count * module_px / 2).astype(int)
        part = grey[max(0, top) : top + count * module_px, max(0, left) : left + count * module_px]
        if part.shape != (count * module_px, count * module_px):
            continue
        inner = cv2.resize(part, (count, count), interpolation=cv2.INTER_AREA).astype(np.float32)
        around, frame = _ring(inner, 0), _ring(inner, 1)
        white, black = float(np.median(around)), float(frame.mean())
        if white - black < _LEAST_CONTRAST or frame.max() > (white + black) / 2:
            continue
        wrong = (inner[2:-2, 2:-2] > (white + black) / 2) != (_dictionary()[number] > 0)
        read[place] = wrong.sum() <= MOST_WRONG_MODULES
    return read


def _ring(modules: np.ndarray, inset: int) -> np.ndarray:
    """The modules of one ring around the middle."""
    part = modules[inset : len(modules) - inset, inset : len(modules) - inset]
    return np.concatenate([part[0], part[-1], part[1:-1, 0], part[1:-1, -1]])


def _fields(flat: np.ndarray, off_mm: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean colour of each field's inner part, array (12, 3), and the greatest spread of a channel in it, array (12,)."""
    import cv2

    means, spreads = np.empty((len(PATCHES), 3)), np.empty(len(PATCHES))
    for place, patch in enumerate(PATCHES):
        left, top = np.array([patch.x_mm, patch.y_mm]) + off_mm + _FINE_ROOM_MM
        x0, x1 = ((left + share * patch.width_mm) * _FINE_PX_PER_MM for share in (_INNER, 1 - _INNER))
        y0, y1 = ((top + share * patch.height_mm) * _FINE_PX_PER_MM for share in (_INNER, 1 - _INNER))
        mean, spread = cv2.meanStdDev(flat[round(y0) : round(y1), round(x0) : round(x1)])
        means[place], spreads[place] = mean.ravel(), spread.max()
    return means, spreads


def _beside_unread(read: np.ndarray) -> np.ndarray:
    """Fields that may be hidden together with a marker that was not read; array (12,), bool."""
    middle = np.array([[patch.x_mm + patch.width_mm / 2, patch.y_mm + patch.height_mm / 2] for patch in PATCHES])
    nearest = ((middle[:, None] - MARKER_CENTRES_MM[None]) ** 2).sum(2)
    # A field in the middle column lies as near to the marker on the left as to that on the right: one that is read will do.
    is_near = nearest < nearest.min(1, keepdims=True) + 1e-6
    return ~(is_near & read).any(1)


def _px_per_mm(corners: np.ndarray) -> float:
    """Mean scale of the card from its area."""
    x, y = corners.T
    area = 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))
    return float(np.sqrt(area / (CARD_CORNERS_MM[2].prod())))
