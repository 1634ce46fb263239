"""Find the four glass edges again to a fraction of a px: narrow strips across each edge, compared with the reference photo.

Coordinates are in *normalised px*: px of the photo as if its long side had NORMAL_LONG_SIDE_PX, continuous (0 is the outer edge of the
first px). Glass edges lie on the front pane, the plane that is measured; features inside the tank lie deeper and move differently when
the camera does.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.compiled import compiled

NORMAL_LONG_SIDE_PX = 2016.0
# (half width of the reference strip, search range, step) in normalised px and rows per edge, coarse pass first. A strip that is
# narrower than about 12 px locks on to the other side of the glass's own thickness.
PASSES = ((46.0, 28.0, 2.0, 40), (22.0, 10.0, 1.0, 60), (16.0, 5.0, 0.5, 80))
_ROW_SPAN = (0.05, 0.95)  # the corners themselves are rounded by glass and silicone
_ROWS_EACH_SIDE = 3  # rows that are averaged to each side of a row
_LOWEST_SCORE = 0.5
_WEAKEST_NORM = 4.0
_FEWEST_ROWS = 12


@dataclass(frozen=True, eq=False)
class EdgeStrips:
    """Reference gradients across the four edges, one array of shape (4, rows, samples) per pass."""

    gradients: tuple[np.ndarray, ...]


@dataclass(frozen=True, eq=False)
class RefinedCorners:
    """Corners after refinement: array (4, 2) in normalised px, how many edges were found, and the worst median residual [px].

    The residual is infinite where no edge was found.
    """

    corners: np.ndarray
    edges_found: int
    residual_px: float


def edge_strips(pixels: np.ndarray, corners: np.ndarray) -> EdgeStrips:
    """The reference's gradients across its four edges, to compare later photos with.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The reference photo at analysis scale.
    corners : array of shape (4, 2)
        Corners of the frame, top-left first, clockwise. [normalised px]

    Returns
    -------
    EdgeStrips
        Signed gradients per pass.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return EdgeStrips(tuple(_gradients(pixels, corners, half, step, rows) for half, _, step, rows in PASSES))


def refined_corners(pixels: np.ndarray, start: np.ndarray, reference: EdgeStrips, *, first_pass: int = 0) -> RefinedCorners:
    """The four corners in a photo, refined from a start that is right to about 25 px.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The photo at analysis scale.
    start : array of shape (4, 2)
        Where coarse placing expects the corners. [normalised px]
    reference : EdgeStrips
        What the edges look like in the reference photo.
    first_pass : int
        Number of the pass to begin with: 1 for a start that is right to 8 px.

    Returns
    -------
    RefinedCorners
        An edge that was not found again keeps its start.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    corners, found, residual = start, 0, 0.0
    for (half, search, step, rows), known in list(zip(PASSES, reference.gradients, strict=True))[first_pass:]:
        gradients = _gradients(pixels, corners, half + search, step, rows)
        offsets, strong = np.empty((4, rows)), np.zeros((4, rows), np.bool_)
        _edge_offsets(known, gradients, step, _ROWS_EACH_SIDE, _LOWEST_SCORE, _WEAKEST_NORM, offsets, strong)
        fitted = np.empty((4, 3))
        _robust_lines(np.linspace(*_ROW_SPAN, rows), offsets, strong, max(8.0, search / 2), _FEWEST_ROWS, fitted)
        is_found = fitted[:, 2] >= 0
        found = int(is_found.sum())
        residual = float(fitted[is_found, 2].max()) if found else float("inf")
        lines = []
        for edge in range(4):
            begin, end, normal = _edge_geometry(corners, edge)
            if is_found[edge]:
                begin, end = begin + normal * fitted[edge, 0], end + normal * fitted[edge, 1]
            lines.append((begin, end))
        corners = np.array([_crossing(lines[edge - 1], lines[edge]) for edge in range(4)])
    return RefinedCorners(corners, found, residual)


def _edge_geometry(corners: np.ndarray, edge: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Begin, end and unit normal of edge 0..3 (top, right, bottom, left)."""
    begin, end = corners[edge], corners[(edge + 1) % 4]
    along = (end - begin) / np.hypot(*(end - begin))
    return begin, end, np.array([-along[1], along[0]])


def _gradients(pixels: np.ndarray, corners: np.ndarray, half: float, step: float, rows: int) -> np.ndarray:
    """Differences of the green channel between neighbouring samples across each edge; shape (4, rows, samples)."""
    across = np.arange(-half, half + step / 2, step)
    share = np.linspace(*_ROW_SPAN, rows)
    maps = []
    for edge in range(4):
        begin, end, normal = _edge_geometry(corners, edge)
        maps.append((begin + share[:, None] * (end - begin))[:, None, :] + across[None, :, None] * normal)
    places = np.stack(maps) * (max(pixels.shape[:2]) / NORMAL_LONG_SIDE_PX) - 0.5
    samples = np.empty(places.shape[:3], np.float32)
    _sample(pixels, places, samples)
    return np.diff(samples, axis=2)


@compiled
def _sample(pixels: np.ndarray, places: np.ndarray, samples: np.ndarray) -> None:
    """The green channel at places, blended from four px; outside the photo its edge is repeated."""
    right, lower = pixels.shape[1] - 1, pixels.shape[0] - 1
    for edge in range(places.shape[0]):
        for row in range(places.shape[1]):
            for column in range(places.shape[2]):
                x = min(max(places[edge, row, column, 0], 0.0), float(right))
                y = min(max(places[edge, row, column, 1], 0.0), float(lower))
                x0, y0 = int(x), int(y)
                x1, y1 = min(x0 + 1, right), min(y0 + 1, lower)
                across, down = x - x0, y - y0
                upper = (1 - across) * pixels[y0, x0, 1] + across * pixels[y0, x1, 1]
                under = (1 - across) * pixels[y1, x0, 1] + across * pixels[y1, x1, 1]
                samples[edge, row, column] = (1 - down) * upper + down * under


@compiled
def _edge_offsets(reference: np.ndarray, gradients: np.ndarray, step: float, rows_each_side: int, lowest_score: float,
                  weakest_norm: float, offsets: np.ndarray, strong: np.ndarray) -> None:
    """How far off each row of each edge lies, where its gradients fit the reference's best, and whether that fit counts."""
    edges, rows, wide = reference.shape
    shifts = gradients.shape[2] - wide + 1
    products, energies = np.empty((rows, shifts)), np.empty((rows, shifts))
    known = np.empty(rows)
    scores = np.empty(shifts)
    for edge in range(edges):
        for row in range(rows):
            own = 0.0
            for place in range(wide):
                own += float(reference[edge, row, place]) ** 2
            known[row] = own
            for shift in range(shifts):
                product, energy = 0.0, 0.0
                for place in range(wide):
                    value = float(gradients[edge, row, shift + place])
                    product += value * float(reference[edge, row, place])
                    energy += value * value
                products[row, shift], energies[row, shift] = product, energy
        for row in range(rows):
            low, high = max(row - rows_each_side, 0), min(row + rows_each_side + 1, rows)
            own = known[low:high].mean()
            best, best_norm = 0, 0.0
            for shift in range(shifts):
                norm = np.sqrt(energies[low:high, shift].mean() * own)
                scores[shift] = products[low:high, shift].mean() / max(norm, 1e-6)
                if shift == 0 or scores[shift] > scores[best]:
                    best, best_norm = shift, norm
            if 0 < best < shifts - 1:
                bend = scores[best - 1] - 2 * scores[best] + scores[best + 1]
                peak = best + (0.5 * (scores[best - 1] - scores[best + 1]) / bend if bend < -1e-9 else 0.0)
                offsets[edge, row] = (peak - (shifts - 1) / 2) * step
                strong[edge, row] = scores[best] > lowest_score and best_norm > weakest_norm
            else:
                offsets[edge, row], strong[edge, row] = 0.0, False


@compiled
def _robust_lines(share: np.ndarray, offsets: np.ndarray, strong: np.ndarray, farthest: float, fewest: int, lines: np.ndarray) -> None:
    """For each edge a straight line through its offsets, refitted without what lies far off: values at 0 and 1, and the median residual.

    A residual of -1 says that the edge was not found.
    """
    rows = len(share)  # written out, row by row: with arrays it takes the compiler ten times as long
    left, kept = np.empty(rows), np.empty(rows, np.bool_)
    for edge in range(len(offsets)):
        off, level, slope, middle = offsets[edge], 0.0, 0.0, -1.0
        lines[edge, 0], lines[edge, 1], lines[edge, 2] = 0.0, 0.0, -1.0
        kept[:] = strong[edge]
        for step in range(6):
            some, sum_at, sum_off, least, most = 0, 0.0, 0.0, np.inf, -np.inf
            for row in range(rows):
                if kept[row]:
                    some, sum_at, sum_off = some + 1, sum_at + share[row], sum_off + off[row]
                    least, most = min(least, share[row]), max(most, share[row])
            if some < fewest or (step > 0 and most - least < 0.4):
                middle = -1.0
                break
            if 0 < step < 5:
                centre, product, square = sum_at / some, 0.0, 0.0
                for row in range(rows):
                    if kept[row]:
                        product += (share[row] - centre) * off[row]
                        square += (share[row] - centre) * (share[row] - centre)
                slope = product / square
                level = sum_off / some - slope * centre
            some = 0
            for row in range(rows):  # what is left over, each put into its place: the median is the one in the middle
                if kept[row]:
                    value, place = off[row] if step == 0 else abs(off[row] - level - slope * share[row]), some
                    while place > 0 and left[place - 1] > value:
                        left[place] = left[place - 1]
                        place -= 1
                    left[place] = value
                    some += 1
            middle = left[some // 2] if some % 2 else (left[some // 2 - 1] + left[some // 2]) / 2
            limit = farthest if step == 0 else max(0.6, 3 * middle)
            for row in range(rows):
                away = off[row] - middle if step == 0 else off[row] - level - slope * share[row]
                kept[row] = strong[edge, row] and abs(away) < limit
        if middle >= 0:
            lines[edge, 0], lines[edge, 1], lines[edge, 2] = level, level + slope, middle


def _crossing(one: tuple[np.ndarray, np.ndarray], other: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Where two lines cross; each is given by two points."""
    (a, b), (c, d) = one, other
    matrix = np.array([b - a, c - d]).T
    share = np.linalg.solve(matrix, c - a)[0]
    return a + share * (b - a)
