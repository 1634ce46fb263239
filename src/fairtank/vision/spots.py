"""Small green dots that may be algae on the front glass, found in the photo's own px before anything is classified.

A rectified picture is too coarse for them. One photo alone cannot tell a spot from a bubble or a leaf tip: the next photo confirms it,
see `measures.spots`.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairtank.vision.compiled import compiled
from fairtank.vision.runs import runs_of
from fairtank.vision.view import View

# Below this scale the smallest spots are smaller than a px, and a count of zero would say nothing. [photo px per cm]
COARSEST_PX_PER_CM = 12.0
# A spot is green against what surrounds it, not yellow or brown like a film: the sum of R, G and B with these weights, in 1/128, is 0 for
# every grey and hardly more for brown.
_RED, _GREEN, _BLUE, _BITS = -77, 128, -51, 7
# Its surroundings: the median over 7 x 7 blocks of 8 x 8 px. How far a dot must stand out from them anywhere, and at its strongest.
_BLOCK_PX, _MEDIAN_BLOCKS = 8, 7
_EDGE, _PEAK = 6, 18
# Radius, length over breadth, share of its px that lie in the round of the same area, and how much of its peak the ring around may reach.
_RADIUS_CM = (0.06, 0.3)
_FEWEST_PX = 6
_MOST = 4096
_LONGEST, _ROUNDEST, _RING_OF_PEAK = 1.7, 0.85, 1 / 3


@dataclass(frozen=True, eq=False)
class SpotCandidates:
    """Dots of one photo, one row each.

    places: array (n, 2), x and y in the frame from its top-left [cm]. radius_cm: array (n,). contrast: array (n,), how far the dot stands
    out from what surrounds it [stored values, 0 to 255].
    """

    places: np.ndarray
    radius_cm: np.ndarray
    contrast: np.ndarray


@dataclass(frozen=True, eq=False)
class SpotNote:
    """What one photo says about spots, until the next photo confirms or drops them.

    places: array (n, 2), dots in open water, x and y in the frame [cm]. radius_cm: array (n,). open_water: array (rows, columns), bool, one
    for each half centimetre of the frame: where neither plant nor anything static hides the glass. open_cm2: area of it. [cm²]
    """

    places: np.ndarray
    radius_cm: np.ndarray
    open_water: np.ndarray
    open_cm2: float


@lru_cache(maxsize=64)
def above_ground(view: View) -> np.ndarray:
    """Where spots on the front glass are looked for: what counts, without floor zones and all that lies below their tops.

    Parameters
    ----------
    view : View
        Of the unit.

    Returns
    -------
    array of shape (h, w), bool
        On the rectified picture.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    mask: np.ndarray = view.counted.copy()
    for zone, kind in zip(view.zones, view.zone_kinds, strict=True):
        if kind == "floor":
            mask &= ~np.maximum.accumulate(zone, axis=0)
    return mask


def spot_candidates(pixels: np.ndarray, corners: np.ndarray, view: View) -> SpotCandidates | None:
    """Small round dots, greener than what surrounds them, above the ground of the frame.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        A photo at analysis scale, in its own colours.
    corners : array of shape (4, 2)
        Of the frame in it, in parts of the long side of `pixels`.
    view : View
        Of its unit.

    Returns
    -------
    SpotCandidates or None
        None where spots cannot be told: in a view from above, or with fewer than 12 px per cm.

    References
    ----------
    common_practice (keys from sources.py).
    """
    import cv2

    size_cm = np.array([view.width_cm, view.height_cm])
    source = (corners * max(pixels.shape[:2]) - 0.5).astype(np.float32)
    sides = np.hypot(*(np.roll(source, -1, axis=0) - source).T)
    px_per_cm = float(min((sides[0] + sides[2]) / view.width_cm, (sides[1] + sides[3]) / view.height_cm)) / 2
    if view.view != "front" or px_per_cm < COARSEST_PX_PER_CM:
        return None
    allowed = above_ground(view)
    frame = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], np.float32) * size_cm.astype(np.float32)
    window = _window(allowed, cv2.getPerspectiveTransform(frame, source), size_cm, pixels.shape)
    if window is None:
        return _none()
    outstanding = _outstanding(pixels, window)
    boxes = _boxes(outstanding, _EDGE, _PEAK, int(2.5 * _RADIUS_CM[1] * px_per_cm))
    found = _weighed(outstanding, boxes, _EDGE)
    area, peak, ring, within_round, half = found[:, 2:].T
    radius_cm = np.sqrt(half / np.pi) / px_per_cm
    longer, shorter = boxes[:, 2:].max(axis=1), boxes[:, 2:].min(axis=1)
    good = (ring < _RING_OF_PEAK * peak) & (area >= _FEWEST_PX) & (longer <= _LONGEST * shorter)
    good &= (within_round >= _ROUNDEST * area) & (radius_cm >= _RADIUS_CM[0]) & (radius_cm <= _RADIUS_CM[1])
    if not good.any():
        return _none()
    at_px = found[good, :2] + (window[1].start, window[0].start)
    places = cv2.perspectiveTransform(at_px[None].astype(np.float64), cv2.getPerspectiveTransform(source, frame))[0]
    cells = np.floor(places / size_cm * (view.width_px, view.height_px)).astype(int)
    inside = ((cells >= 0) & (cells < (view.width_px, view.height_px))).all(axis=1)
    inside[inside] = allowed[cells[inside, 1], cells[inside, 0]]
    kept = (places[inside], radius_cm[good][inside], peak[good][inside])
    return SpotCandidates(*(part.astype(np.float32) for part in kept))


def _none() -> SpotCandidates:
    """No dots."""
    return SpotCandidates(np.zeros((0, 2), np.float32), np.zeros(0, np.float32), np.zeros(0, np.float32))


def _window(allowed: np.ndarray, to_photo: np.ndarray, size_cm: np.ndarray, shape: tuple[int, ...]) -> tuple[slice, slice] | None:
    """Rows and columns of the photo that hold all that is allowed, whole blocks of them; None when that is next to nothing."""
    import cv2

    spans = []
    for axis, length_cm in ((0, size_cm[0]), (1, size_cm[1])):
        held = np.flatnonzero(allowed.any(axis=axis))
        if not len(held):
            return None
        spans.append((held[0] * length_cm / allowed.shape[1 - axis], (held[-1] + 1) * length_cm / allowed.shape[1 - axis]))
    (x0, x1), (y0, y1) = spans
    edges = cv2.perspectiveTransform(np.array([[(x0, y0), (x1, y0), (x1, y1), (x0, y1)]], np.float64), to_photo)[0]
    low = np.maximum(np.floor(edges.min(axis=0)).astype(int), 0)
    high = np.minimum(np.ceil(edges.max(axis=0)).astype(int) + _BLOCK_PX, (shape[1], shape[0]))
    columns, rows = (slice(int(a), int(a + (b - a) // _BLOCK_PX * _BLOCK_PX)) for a, b in zip(low, high, strict=True))
    enough = rows.stop - rows.start >= 4 * _BLOCK_PX and columns.stop - columns.start >= 4 * _BLOCK_PX
    return (rows, columns) if enough else None


def _outstanding(pixels: np.ndarray, window: tuple[slice, slice]) -> np.ndarray:
    """How much greener each px of the window (mean of 3 x 3) is than its surroundings; 0 where it is not. uint8"""
    import cv2

    height, width = (part.stop - part.start for part in window)
    greenness = np.empty((height, width), np.uint8)
    _green(np.ascontiguousarray(pixels), window[0].start, window[1].start, greenness)
    small = cv2.resize(greenness, (width // _BLOCK_PX, height // _BLOCK_PX), interpolation=cv2.INTER_AREA)
    around = cv2.resize(cv2.medianBlur(small, _MEDIAN_BLOCKS), (width, height), interpolation=cv2.INTER_LINEAR)
    found: np.ndarray = cv2.subtract(cv2.blur(greenness, (3, 3)), around)
    return found


@compiled
def _green(pixels: np.ndarray, top: int, left: int, greenness: np.ndarray) -> None:
    """The weighed sum of the three channels of each px, around 128.

    Places are unsigned and weights fixed, so that the compiler takes many px at once.
    """
    half = np.int32((128 << _BITS) + (1 << (_BITS - 1)))
    one, two, three, across = np.uint64(1), np.uint64(2), np.uint64(3), np.uint64(greenness.shape[1])
    flat = pixels.reshape(-1)
    for y in range(greenness.shape[0]):
        begin = ((top + y) * pixels.shape[1] + left) * 3
        row, found = flat[begin : begin + 3 * greenness.shape[1]], greenness[y]
        for x in range(across):
            at = three * x
            red, green, blue = np.int32(row[at]), np.int32(row[at + one]), np.int32(row[at + two])
            level = np.int32(half + np.int32(_RED) * red + np.int32(_GREEN) * green + np.int32(_BLUE) * blue) >> np.int32(_BITS)
            found[x] = min(max(level, 0), 255)


def _boxes(outstanding: np.ndarray, edge: int, peak: int, longest_px: int) -> np.ndarray:
    """Left, top, width and height of each connected part that stands out, reaches the peak and is not longer than that. array (n, 4), int32

    A part is all that touches, so that no end of a leaf is left over as a dot. In the order of each part's first peak.
    """
    runs = runs_of(outstanding, edge)
    boxes = np.empty((len(runs.areas), 5), np.int32)
    boxes[:] = (*outstanding.shape[::-1], 0, 0, outstanding.size)
    _span(outstanding, runs.row_starts, runs.begins, runs.ends, runs.parts, peak, boxes)
    left, top, right, bottom, first = boxes.T
    height, width = outstanding.shape
    is_dot = (first < outstanding.size) & (left > 0) & (top > 0) & (right < width) & (bottom < height)
    is_dot &= (right - left <= longest_px) & (bottom - top <= longest_px)
    chosen = np.flatnonzero(is_dot)
    chosen = chosen[np.argsort(first[chosen], kind="stable")][:_MOST]
    return np.stack([left[chosen], top[chosen], (right - left)[chosen], (bottom - top)[chosen]], axis=1)


@compiled
def _span(outstanding: np.ndarray, row_starts: np.ndarray, begins: np.ndarray, ends: np.ndarray, parts: np.ndarray, peak: int,
          boxes: np.ndarray) -> None:
    """Left, top, right, bottom (the last two beyond it) of each part, and the place of its first px above the peak."""
    width = outstanding.shape[1]
    for y in range(outstanding.shape[0]):
        row = outstanding[y]
        for number in range(row_starts[y], row_starts[y + 1]):
            box = boxes[parts[number]]
            begin, end = begins[number], ends[number]
            box[0], box[1] = min(box[0], begin), min(box[1], y)
            box[2], box[3] = max(box[2], end), y + 1
            if box[4] > y * width + end:
                for x in range(begin, end):
                    if row[x] > peak:
                        box[4] = min(box[4], y * width + x)
                        break


@compiled
def _weighed(outstanding: np.ndarray, boxes: np.ndarray, edge: int) -> np.ndarray:
    """Of each box: x and y of the weighed middle, px above the edge, the peak, the median of the ring around the box,
    how many of the px lie in a round of their area about that middle, and how many reach half the peak."""
    height, width = outstanding.shape
    found = np.zeros((len(boxes), 7))
    counts = np.zeros(256, np.int64)
    for number in range(len(boxes)):
        left, top, across, down = boxes[number]
        gap = max(2, (across + down) // 4)
        counts[:] = 0
        ring = 0
        total, total_x, total_y, area, peak = 0.0, 0.0, 0.0, 0, 0
        for y in range(max(top - gap, 0), min(top + down + gap, height)):
            for x in range(max(left - gap, 0), min(left + across + gap, width)):
                value = outstanding[y, x]
                if x < left - 1 or x > left + across or y < top - 1 or y > top + down:
                    counts[value] += 1
                    ring += 1
                elif value > edge and left <= x < left + across and top <= y < top + down:
                    total += value
                    total_x += value * x
                    total_y += value * y
                    area += 1
                    peak = max(peak, value)
        level, below = 0, counts[0]
        while 2 * below < ring:
            level += 1
            below += counts[level]
        middle_x, middle_y, within, half = total_x / max(total, 1.0), total_y / max(total, 1.0), 0, 0
        for y in range(top, top + down):
            for x in range(left, left + across):
                if outstanding[y, x] > edge and (x - middle_x) ** 2 + (y - middle_y) ** 2 <= (area**0.5 / 1.7724538509055159 + 0.5) ** 2:
                    within += 1
                if 2 * outstanding[y, x] > peak:
                    half += 1
        found[number, 0], found[number, 1], found[number, 5], found[number, 6] = middle_x, middle_y, within, half
        found[number, 2], found[number, 3], found[number, 4] = area, peak, level
    return found
