"""Find the four glass edges again to a fraction of a px: narrow strips across each edge, compared with the reference photo.

Coordinates are in *normalised px*: px of the photo as if its long side had NORMAL_LONG_SIDE_PX. Glass edges lie on the
front pane, the plane that is measured; features inside the tank lie deeper and move differently when the camera does.
"""

from dataclasses import dataclass

import numpy as np

NORMAL_LONG_SIDE_PX = 2016.0
# (half width of the reference strip, search range, step) in normalised px and rows per edge, coarse pass first. A strip that is
# narrower than about 12 px locks on to the other side of the glass's own thickness.
PASSES = ((24.0, 18.0, 1.0, 60), (16.0, 4.0, 0.5, 80))
_ROW_SPAN = (0.05, 0.95)  # the corners themselves are rounded by glass and silicone
_LOWEST_SCORE = 0.5
_FEWEST_ROWS = 12


@dataclass(frozen=True, eq=False)
class EdgeStrips:
    """Reference gradients across the four edges, one array of shape (4, rows, samples) per pass."""

    gradients: tuple[np.ndarray, ...]


@dataclass(frozen=True, eq=False)
class RefinedCorners:
    """Corners after refinement: array (4, 2) in normalised px, how many edges were found, and the worst median residual [px]."""

    corners: np.ndarray
    edges_found: int
    residual_px: float


def edge_strips(grey: np.ndarray, corners: np.ndarray) -> EdgeStrips:
    """The reference's gradients across its four edges, to compare later photos with.

    Parameters
    ----------
    grey : array of shape (h, w), float32
        The reference photo's lightness at analysis scale. [0 to 255]
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
    return EdgeStrips(tuple(_gradients(grey, corners, half, step, rows) for half, _, step, rows in PASSES))


def refined_corners(grey: np.ndarray, start: np.ndarray, reference: EdgeStrips) -> RefinedCorners:
    """The four corners in a photo, refined from a start that is right to about 15 px.

    Parameters
    ----------
    grey : array of shape (h, w), float32
        The photo's lightness at analysis scale. [0 to 255]
    start : array of shape (4, 2)
        Where coarse placing expects the corners. [normalised px]
    reference : EdgeStrips
        What the edges look like in the reference photo.

    Returns
    -------
    RefinedCorners
        An edge that was not found again keeps its start.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    corners, found, residual = start, 0, 0.0
    for (half, search, step, rows), reference_gradients in zip(PASSES, reference.gradients, strict=True):
        gradients = _gradients(grey, corners, half + search, step, rows)
        lines, found, residual = [], 0, 0.0
        for edge in range(4):
            offsets = _edge_offsets(reference_gradients[edge], gradients[edge], step)
            begin, end, normal = _edge_geometry(corners, edge)
            if offsets is not None:
                found += 1
                residual = max(residual, offsets[2])
                begin, end = begin + normal * offsets[0], end + normal * offsets[1]
            lines.append((begin, end))
        corners = np.array([_crossing(lines[edge - 1], lines[edge]) for edge in range(4)])
    return RefinedCorners(corners, found, residual)


def _edge_geometry(corners: np.ndarray, edge: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Begin, end and unit normal of edge 0..3 (top, right, bottom, left)."""
    begin, end = corners[edge], corners[(edge + 1) % 4]
    along = (end - begin) / np.hypot(*(end - begin))
    return begin, end, np.array([-along[1], along[0]])


def _gradients(grey: np.ndarray, corners: np.ndarray, half: float, step: float, rows: int) -> np.ndarray:
    """Differences between neighbouring samples across each edge; shape (4, rows, samples). All strips in one remap."""
    import cv2

    across = np.arange(-half, half + step / 2, step)
    share = np.linspace(*_ROW_SPAN, rows)
    maps = []
    for edge in range(4):
        begin, end, normal = _edge_geometry(corners, edge)
        maps.append((begin + share[:, None] * (end - begin))[:, None, :] + across[None, :, None] * normal)
    places = (np.concatenate(maps) * (max(grey.shape) / NORMAL_LONG_SIDE_PX)).astype(np.float32)
    samples = cv2.remap(grey, places[..., 0], places[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.diff(samples.reshape(4, rows, across.size), axis=2)


def _edge_offsets(reference: np.ndarray, gradients: np.ndarray, step: float) -> tuple[float, float, float] | None:
    """How far the edge lies off at its begin and end, and the median residual; None when it was not found."""
    wide = reference.shape[1]
    windows = np.lib.stride_tricks.sliding_window_view(gradients, wide, axis=1)  # (rows, shifts, wide)
    products = _row_mean(np.einsum("rsw,rw->rs", windows, reference))
    norms = np.sqrt(_row_mean(np.einsum("rsw,rsw->rs", windows, windows)) * _row_mean((reference**2).sum(1))[:, None])
    scores = products / np.maximum(norms, 1e-6)
    best = scores.argmax(1)
    rows = np.arange(len(best))
    inner = np.clip(best, 1, scores.shape[1] - 2)
    left, middle, right = scores[rows, inner - 1], scores[rows, inner], scores[rows, inner + 1]
    bend = left - 2 * middle + right
    peak = inner + np.where(bend < -1e-9, 0.5 * (left - right) / np.minimum(bend, -1e-9), 0.0)
    offset = (peak - (scores.shape[1] - 1) / 2) * step
    strong = (scores[rows, best] > _LOWEST_SCORE) & (best == inner) & (norms[rows, best] > 4.0)
    return _robust_line(np.linspace(*_ROW_SPAN, len(best))[strong], offset[strong])


def _row_mean(values: np.ndarray) -> np.ndarray:
    """Mean over seven neighbouring rows, fewer at the ends."""
    sums = np.cumsum(np.concatenate([np.zeros_like(values[:1]), values]), axis=0)
    count = len(values)
    low, high = np.maximum(np.arange(count) - 3, 0), np.minimum(np.arange(count) + 4, count)
    means = sums[high] - sums[low]
    return means / (high - low).reshape(-1, *[1] * (values.ndim - 1))


def _robust_line(share: np.ndarray, offset: np.ndarray) -> tuple[float, float, float] | None:
    """Straight line through offsets, refitted without what lies far off; values at 0 and 1 and the median residual."""
    keep = np.abs(offset - np.median(offset)) < 8 if offset.size else np.zeros(0, bool)
    for _ in range(4):
        if keep.sum() < _FEWEST_ROWS or np.ptp(share[keep]) < 0.4:
            return None
        centre = share[keep].mean()
        spread = ((share[keep] - centre) ** 2).sum()
        slope = ((share[keep] - centre) * offset[keep]).sum() / spread
        level = offset[keep].mean() - slope * centre
        residual = np.abs(offset - level - slope * share)
        limit = max(0.6, 3 * float(np.median(residual[keep])))
        keep = residual < limit
    if keep.sum() < _FEWEST_ROWS:
        return None
    return float(level), float(level + slope), float(np.median(residual[keep]))


def _crossing(one: tuple[np.ndarray, np.ndarray], other: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Where two lines cross; each is given by two points."""
    (a, b), (c, d) = one, other
    matrix = np.array([b - a, c - d]).T
    share = np.linalg.solve(matrix, c - a)[0]
    return a + share * (b - a)
