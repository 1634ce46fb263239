"""Place a photo roughly: small blocks of the reference photo, around and along the glass, are looked for near their old places.

Blocks lie where nothing grows: at the glass corners and edges, and on what stands around the tank. Two rounds: over a wide range in the
small picture at half its size, then in the small picture itself near the place that the first round found.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.compiled import compiled
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.small import SMALL_LONG_SIDE_PX

# (shrink of the small picture, block side, search to each side, largest error of a block that still agrees), all in px of that picture.
WIDE, NEAR = (2, 25, 18, 3.0), (1, 29, 7, 1.5)
FEWEST_BLOCKS = 7
_LOWEST_SCORE = 0.5
_GRID = (4, 3)
_MOST_BLOCKS = 28
# Robust fit: how far off [px] a block may lie before it hardly counts, from the first round of weights to the last.
_LOOSENESS = (4.0, 3.0, 2.0, 1.5, 1.0, 1.0)
# How much opposite sides of the picture differ in scale, as a usual size: photos are taken from nearly the same place.
_USUAL_LEAN = 0.02
_FEWEST_GREY_SPREAD = 1.5  # grey levels: a block with less in it looks alike everywhere


@dataclass(frozen=True, eq=False)
class Blocks:
    """centres: array (n, 2), in px of the small picture (its px centres are whole numbers). wide, near: the blocks of both rounds.

    sharpness: array (n, 2, 2); times an offset [px] it leaves the part of it that the block can tell: a block on a straight edge says
    nothing about a shift along that edge.
    """

    centres: np.ndarray
    wide: tuple[np.ndarray, ...]
    near: tuple[np.ndarray, ...]
    sharpness: np.ndarray


def blocks_of(small: np.ndarray, corners: np.ndarray) -> Blocks:
    """The blocks of a reference photo.

    Parameters
    ----------
    small : array of shape (h, w), uint8
        From `small.small_grey`.
    corners : array of shape (4, 2)
        Corners of the frame, top-left first, clockwise. [normalised px]

    Returns
    -------
    Blocks
        At the four corners, the middles of the edges, and the strongest corner outside the frame in each cell of a grid.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    glass = corners * (SMALL_LONG_SIDE_PX / NORMAL_LONG_SIDE_PX) - 0.5
    places = [*glass, *((glass + np.roll(glass, -1, axis=0)) / 2), *_strongest_outside(small, glass)]
    centres, wide, near = [], [], []
    halves = _shrunk(small, WIDE[0])
    for place in np.round(places):
        far, close = _cut(halves, np.round(_in_shrunk(place, WIDE[0])), WIDE[1]), _cut(small, place, NEAR[1])
        if far is not None and close is not None and far.std() > _FEWEST_GREY_SPREAD:
            centres.append(place)
            wide.append(far)
            near.append(close)
    return Blocks(np.array(centres, float).reshape(-1, 2), tuple(wide), tuple(near), _sharpness(near))


def corners_by_blocks(small: np.ndarray, blocks: Blocks, corners: np.ndarray) -> np.ndarray | None:
    """Where the reference's corners lie in a photo, to some px.

    Parameters
    ----------
    small : array of shape (h, w), uint8
        The photo's, from `small.small_grey`.
    blocks : Blocks
        Of the reference photo.
    corners : array of shape (4, 2)
        In the reference photo. [normalised px]

    Returns
    -------
    array of shape (4, 2) or None
        [normalised px]; None when too few blocks agree on a place.

    References
    ----------
    fischler1981 (keys from sources.py).
    """
    import cv2

    if len(blocks.centres) < FEWEST_BLOCKS:
        return None
    exact = _in_shrunk(blocks.centres, WIDE[0])
    cut_at = np.round(exact)
    found, known = _found(_shrunk(small, WIDE[0]), blocks.wide, cut_at, WIDE)
    if known.sum() < FEWEST_BLOCKS:
        return None
    affine, agree = cv2.estimateAffine2D(cut_at[known], found[known], method=cv2.RANSAC, ransacReprojThreshold=WIDE[3])
    if affine is None or agree.sum() < FEWEST_BLOCKS:
        return None
    matrix = _fitted(cut_at[known], found[known], blocks.sharpness[known], np.vstack([affine, [0.0, 0.0, 1.0]]))
    expected = _out_of_shrunk(cv2.perspectiveTransform(exact[None], matrix)[0], WIDE[0])
    found, known = _found(small, blocks.near, expected, NEAR)
    if known.sum() < FEWEST_BLOCKS:
        return None
    start = _at_full_size(matrix, WIDE[0])
    matrix = _fitted(blocks.centres[known], found[known], blocks.sharpness[known], start)
    off = cv2.perspectiveTransform(blocks.centres[known][None], matrix)[0] - found[known]
    if np.count_nonzero(np.hypot(*np.einsum("nij,nj->in", blocks.sharpness[known], off)) < NEAR[3]) < FEWEST_BLOCKS:
        return None
    scale = NORMAL_LONG_SIDE_PX / SMALL_LONG_SIDE_PX
    return (cv2.perspectiveTransform((corners / scale - 0.5)[None], matrix)[0] + 0.5) * scale


def _sharpness(blocks: list[np.ndarray]) -> np.ndarray:
    """For each block the square root of its gradients' spread by direction, 1 in the direction in which it is sharpest."""
    roots = np.zeros((len(blocks), 2, 2))
    for number, block in enumerate(blocks):
        down, across = np.gradient(block.astype(float))
        values, vectors = np.linalg.eigh([[(across**2).sum(), (across * down).sum()], [(across * down).sum(), (down**2).sum()]])
        roots[number] = (vectors * np.sqrt(np.maximum(values, 0) / max(values[1], 1e-9))) @ vectors.T
    return roots


def _fitted(centres: np.ndarray, found: np.ndarray, sharpness: np.ndarray, start: np.ndarray) -> np.ndarray:
    """The homography from a start, by least squares over what each block can tell, with little weight on blocks that lie far off."""
    unit = SMALL_LONG_SIDE_PX / 2
    middle = centres.mean(0)
    there = np.array([[1 / unit, 0, -middle[0] / unit], [0, 1 / unit, -middle[1] / unit], [0, 0, 1]])
    back = np.linalg.inv(there)
    source, target = (centres - middle) / unit, (found - middle) / unit
    matrix = there @ start @ back
    for looseness in _LOOSENESS:
        normal, right = np.zeros((8, 8)), np.zeros(8)
        _add_up(source, target, sharpness, matrix, looseness / unit, normal, right)
        normal[6, 6] += 1 / (_USUAL_LEAN * unit) ** 2
        normal[7, 7] += 1 / (_USUAL_LEAN * unit) ** 2
        matrix = np.append(np.linalg.solve(normal, right), 1.0).reshape(3, 3)
    return back @ matrix @ there


@compiled
def _add_up(source: np.ndarray, target: np.ndarray, sharpness: np.ndarray, matrix: np.ndarray, looseness: float, normal: np.ndarray,
            right: np.ndarray) -> None:
    """The normal equations of a homography's eight numbers, each block weighted by how near it lies to where the matrix puts it."""
    rows = np.zeros((2, 9))
    for block in range(len(source)):
        x, y = source[block, 0], source[block, 1]
        depth = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
        off_x = (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / depth - target[block, 0]
        off_y = (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / depth - target[block, 1]
        far = 0.0
        for part in range(2):
            across, down = sharpness[block, part, 0], sharpness[block, part, 1]
            far += (across * off_x + down * off_y) ** 2
            lean = across * target[block, 0] + down * target[block, 1]
            rows[part, 0], rows[part, 1], rows[part, 2] = across * x, across * y, across
            rows[part, 3], rows[part, 4], rows[part, 5] = down * x, down * y, down
            rows[part, 6], rows[part, 7], rows[part, 8] = -lean * x, -lean * y, lean
        weight = 1 / (1 + far / looseness**2)
        for part in range(2):
            for one in range(8):
                scaled = weight * weight * rows[part, one]
                right[one] += scaled * rows[part, 8]
                for other in range(8):
                    normal[one, other] += scaled * rows[part, other]


def _at_full_size(matrix: np.ndarray, factor: int) -> np.ndarray:
    """A homography between pictures shrunk by a factor, as one between the pictures themselves."""
    shrink = np.array([[1 / factor, 0, 0.5 / factor - 0.5], [0, 1 / factor, 0.5 / factor - 0.5], [0, 0, 1]])
    return np.linalg.inv(shrink) @ matrix @ shrink


def _strongest_outside(small: np.ndarray, glass: np.ndarray) -> list[np.ndarray]:
    """The strongest corners of the picture outside the glass: one of each cell of a grid, then what else is strong and stands apart."""
    import cv2

    strength = cv2.cornerMinEigenVal(small, 5)
    inside = np.zeros(small.shape, np.uint8)
    cv2.fillConvexPoly(inside, np.round(glass).astype(np.int32), 1)
    half = NEAR[1] // 2
    strength[cv2.dilate(inside, np.ones((5, 5), np.uint8)) > 0] = 0
    strength[:half], strength[-half:], strength[:, :half], strength[:, -half:] = 0, 0, 0, 0
    chosen: list[np.ndarray] = []
    height, width = small.shape

    def take(part: np.ndarray, left: int, top: int) -> bool:
        row, column = np.unravel_index(int(part.argmax()), part.shape)
        if part[row, column] <= 0:
            return False
        x, y = left + int(column), top + int(row)
        chosen.append(np.array([x, y], float))
        strength[max(0, y - half) : y + half + 1, max(0, x - half) : x + half + 1] = 0
        return True

    for row in range(_GRID[1]):
        for column in range(_GRID[0]):
            left, top = column * width // _GRID[0], row * height // _GRID[1]
            take(strength[top : (row + 1) * height // _GRID[1], left : (column + 1) * width // _GRID[0]], left, top)
    while len(chosen) < _MOST_BLOCKS - 8 and take(strength, 0, 0):
        pass
    return chosen


def _found(picture: np.ndarray, blocks: tuple[np.ndarray, ...], expected: np.ndarray,
           ways: tuple[int, int, int, float]) -> tuple[np.ndarray, np.ndarray]:
    """Where each block lies in the picture, near where it is expected, and whether it was found there."""
    import cv2

    _, side, search, _ = ways
    places, known = np.zeros((len(blocks), 2)), np.zeros(len(blocks), bool)
    reach = side // 2 + search
    for number, (block, centre) in enumerate(zip(blocks, np.round(expected).astype(int), strict=True)):
        left, top = max(int(centre[0]) - reach, 0), max(int(centre[1]) - reach, 0)
        window = picture[top : max(int(centre[1]) + reach + 1, 0), left : max(int(centre[0]) + reach + 1, 0)]
        if min(window.shape) < side + 2:
            continue
        scores = cv2.matchTemplate(window, block, cv2.TM_CCOEFF_NORMED)
        _, best, _, (x, y) = cv2.minMaxLoc(scores)
        at_rim = x in (0, scores.shape[1] - 1) or y in (0, scores.shape[0] - 1)
        if best > _LOWEST_SCORE and not at_rim:
            places[number] = left + x + _peak(scores[y], x) + side // 2, top + y + _peak(scores[:, x], y) + side // 2
            known[number] = True
    return places, known


def _peak(scores: np.ndarray, at: int) -> float:
    """How far the peak of a parabola through three scores lies from the middle one."""
    if not 0 < at < len(scores) - 1:
        return 0.0
    left, middle, right = float(scores[at - 1]), float(scores[at]), float(scores[at + 1])
    bend = left - 2 * middle + right
    return 0.5 * (left - right) / bend if bend < -1e-9 else 0.0


def _cut(picture: np.ndarray, place: np.ndarray, side: int) -> np.ndarray | None:
    """The block around a place; None where it would reach over the picture's edge."""
    x, y = (int(part) - side // 2 for part in place)
    inside = x >= 0 and y >= 0 and x + side <= picture.shape[1] and y + side <= picture.shape[0]
    return np.ascontiguousarray(picture[y : y + side, x : x + side]) if inside else None


def _shrunk(small: np.ndarray, factor: int) -> np.ndarray:
    import cv2

    size = (small.shape[1] // factor, small.shape[0] // factor)
    return cv2.resize(small[: size[1] * factor, : size[0] * factor], size, interpolation=cv2.INTER_AREA)


def _in_shrunk(places: np.ndarray, factor: int) -> np.ndarray:
    return (places + 0.5) / factor - 0.5


def _out_of_shrunk(places: np.ndarray, factor: int) -> np.ndarray:
    return (places + 0.5) * factor - 0.5
