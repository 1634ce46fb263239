"""How a lens bends straight lines, from photos of a checkerboard, and photos and positions without that bend.

Positions are continuous (0 is the outer edge of the first px); the formula stands at `fairtank.lens.Lens`. The bend is taken to be the same
all around the photo's middle: the photo is not cropped.
"""

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np

from fairtank.errors import PhotoError
from fairtank.lens import Lens
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX

FEWEST_PICTURES = 3
FEWEST_INNER_CORNERS = 4
# Edges of the frame that bend by this much matter: it is a usual error of the canopy's height.
MATTERS_CM = 0.2
# The second number is told only where the boards fit clearly better with it (an F value): otherwise it bends what no board reached.
_SECOND_NUMBER_GAIN = 7.0
_STEPS = 30


def lens_of(pictures: Sequence[np.ndarray], *, camera: str = "camera", squares: tuple[int, int] | None = None) -> Lens:
    """The lens behind photos of one checkerboard.

    Parameters
    ----------
    pictures : sequence of arrays of shape (h, w, 3), uint8
        Of one size, at least three: the board flat, seen whole, once straight and otherwise aslant, out to the photo's corners.
    camera : str
        What to call the camera.
    squares : (int, int) or None
        How many squares the board has along its two sides; None to find out.

    Returns
    -------
    Lens

    Raises
    ------
    PhotoError
        If fewer than three pictures show the board, or they are not of one size.

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    return lens_and_left_out(pictures, camera=camera, squares=squares)[0]


def lens_and_left_out(
    pictures: Sequence[np.ndarray], *, camera: str = "camera", squares: tuple[int, int] | None = None, names: Sequence[str] = (),
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Lens, tuple[str, ...]]:  # fmt: skip
    """The lens behind photos of one checkerboard, and a sentence about each photo that did not help to tell it.

    Parameters
    ----------
    pictures : sequence of arrays of shape (h, w, 3), uint8
        As for `lens_of`.
    camera : str
        What to call the camera.
    squares : (int, int) or None
        How many squares the board has along its two sides; None to find out.
    names : sequence of str
        What to call the pictures in sentences; empty to count them.
    progress : callable or None
        Called with (pictures looked at, pictures in all).

    Returns
    -------
    (Lens, tuple of str)

    Raises
    ------
    PhotoError
        If fewer than three pictures show the board, or they are not of one size.

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    import cv2

    names = tuple(names) or tuple(f"photo {number}" for number in range(1, len(pictures) + 1))
    if len({picture.shape for picture in pictures}) > 1:
        sizes = ", ".join(f"{name} {picture.shape[1]} x {picture.shape[0]}" for name, picture in zip(names, pictures, strict=True))
        accepted = "photos of one camera, all held the same way"
        raise PhotoError(f"The checkerboard photos have different sizes; accepted: {accepted}. [px] {sizes}.")
    found = []
    for number, picture in enumerate(pictures):
        if progress:
            progress(number, len(pictures))
        found.append(_board(picture, squares))
    if progress:
        progress(len(pictures), len(pictures))
    boards = _of_one_size([board for board in found if board is not None])
    used = {id(board) for board in boards}
    left_out = tuple(
        f"{name} was left out: " + ("no whole checkerboard was found in it." if board is None else
                                    "another number of squares was seen in it than in the other photos (is the board whole in it?).")
        for name, board in zip(names, found, strict=True) if id(board) not in used
    )  # fmt: skip
    if len(boards) < FEWEST_PICTURES:
        raise PhotoError(" ".join((
            f"A checkerboard was found in {len(boards)} of {len(pictures)} photos; accepted: at least {FEWEST_PICTURES}. It has to be seen "
            "whole, flat and sharp, with a white rim around it.", *left_out)))  # fmt: skip
    height, width = pictures[0].shape[:2]
    scale = NORMAL_LONG_SIDE_PX / max(height, width)
    seen = [(((points + 0.5) * scale)[:, None]).astype(np.float32) for _, points in boards]
    known = [places for places, _ in boards]
    middle = np.array([[NORMAL_LONG_SIDE_PX * 0.8, 0, width * scale / 2], [0, NORMAL_LONG_SIDE_PX * 0.8, height * scale / 2], [0, 0, 1]])
    flags = (cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_PRINCIPAL_POINT | cv2.CALIB_FIX_ASPECT_RATIO | cv2.CALIB_ZERO_TANGENT_DIST
             | cv2.CALIB_FIX_K3)  # fmt: skip
    size = (round(width * scale), round(height * scale))
    plain = cv2.calibrateCamera(known, seen, size, middle.copy(), np.zeros(5), flags=flags | cv2.CALIB_FIX_K2)
    both = cv2.calibrateCamera(known, seen, size, middle.copy(), np.zeros(5), flags=flags)
    gain = 2 * sum(map(len, seen)) * ((plain[0] / both[0]) ** 2 - 1)
    residual, matrix, bends, *_ = both if gain > _SECOND_NUMBER_GAIN else plain
    k1, k2 = (float(part) for part in np.ravel(bends)[:2])
    return Lens(camera, float(matrix[0, 0]), k1, k2, float(residual), len(boards)), left_out


def straight_points(points: np.ndarray, lens: Lens, width_px: float, height_px: float) -> np.ndarray:
    """Positions in a photo as a straight lens would show them.

    Parameters
    ----------
    points : array of shape (n, 2)
        In px of the photo.
    lens : Lens
    width_px, height_px : float
        Size of the photo in the same px.

    Returns
    -------
    array of shape (n, 2)

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    away, focal, middle = _from_middle(points, lens, width_px, height_px)
    straight = away.copy()
    for _ in range(_STEPS):
        r = (straight**2).sum(-1, keepdims=True)
        straight = away / (1 + lens.k1 * r + lens.k2 * r**2)
    return straight * focal + middle


def bent_points(points: np.ndarray, lens: Lens, width_px: float, height_px: float) -> np.ndarray:
    """Positions as this lens shows them, from those that a straight lens would show: the inverse of `straight_points`.

    Parameters
    ----------
    points : array of shape (n, 2)
        In px of the straightened photo.
    lens : Lens
    width_px, height_px : float
        Size of the photo in the same px.

    Returns
    -------
    array of shape (n, 2)

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    away, focal, middle = _from_middle(points, lens, width_px, height_px)
    r = (away**2).sum(-1, keepdims=True)
    return away * (1 + lens.k1 * r + lens.k2 * r**2) * focal + middle


def undistorted(pixels: np.ndarray, lens: Lens, *, nearest: bool = False) -> np.ndarray:
    """A photo as a straight lens would have taken it, of the same size and scale in its middle.

    Parameters
    ----------
    pixels : array of shape (h, w) or (h, w, 3), uint8
        A photo, or a picture of strokes, at any scale.
    lens : Lens
    nearest : bool
        Take the nearest px instead of blending: for pictures of strokes.

    Returns
    -------
    array of the shape of `pixels`, uint8
        What the photo does not show repeats its edge.

    References
    ----------
    zhang2000 (keys from sources.py).
    """
    import cv2

    places = _places(lens, pixels.shape[1], pixels.shape[0])
    how = cv2.INTER_NEAREST if nearest else cv2.INTER_LINEAR
    return cv2.remap(pixels, *places, how, borderMode=cv2.BORDER_REPLICATE)


def straight_in_frame(strokes: np.ndarray, corners_px: np.ndarray, lens: Lens, width_px: int, height_px: int, outside: int) -> np.ndarray:
    """A picture of strokes brought into its photo's frame without the lens's bend: each px of the result takes the nearest px.

    Only the px of the result are looked up: strokes are as large as the photo, and straightening all of them would take much memory.

    Parameters
    ----------
    strokes : array of shape (h, w), uint8
        As large as the upright photo, or smaller by the same factor on both sides.
    corners_px : array of shape (4, 2)
        Of the frame, as the lens bent them. [px of `strokes`]
    lens : Lens
    width_px, height_px : int
        Size of the result.
    outside : int
        What stands where the photo shows nothing. [0 to 255]

    Returns
    -------
    array of shape (height_px, width_px), uint8

    References
    ----------
    zhang2000 (keys from sources.py).

    Examples
    --------
    >>> straight = Lens("phone", 1500.0, 0.0, 0.0, 0.0, 0)
    >>> numbers = np.arange(12, dtype=np.uint8).reshape(3, 4)
    >>> corners = np.array([[0, 0], [4, 0], [4, 3], [0, 3]])
    >>> bool((straight_in_frame(numbers, corners, straight, 4, 3, 255) == numbers).all())
    True
    """
    import cv2

    height, width = strokes.shape
    corners = straight_points(corners_px, lens, width, height).astype(np.float32)
    frame = np.array([[0, 0], [width_px, 0], [width_px, height_px], [0, height_px]], np.float32)
    y, x = np.mgrid[0:height_px, 0:width_px]
    middles = np.stack([x.ravel(), y.ravel()], -1) + 0.5
    straight = cv2.perspectiveTransform(middles[None], cv2.getPerspectiveTransform(frame, corners))[0]
    column, row = np.floor(bent_points(straight, lens, width, height)).astype(int).T
    is_inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    found = np.full(height_px * width_px, outside, np.uint8)
    found[is_inside] = strokes[row[is_inside], column[is_inside]]
    return found.reshape(height_px, width_px)


@lru_cache(maxsize=2)
def _places(lens: Lens, width_px: int, height_px: int) -> tuple[np.ndarray, np.ndarray]:
    """Where each px of the straightened photo lies in the bent one, for `cv2.remap`."""
    import cv2

    y, x = np.mgrid[0:height_px, 0:width_px]
    points = np.stack([x.ravel(), y.ravel()], -1) + 0.5
    bent = (bent_points(points, lens, width_px, height_px) - 0.5).astype(np.float32).reshape(height_px, width_px, 2)
    whole, parts = cv2.convertMaps(bent[..., 0], bent[..., 1], cv2.CV_16SC2)
    return whole, parts


def _from_middle(points: np.ndarray, lens: Lens, width_px: float, height_px: float) -> tuple[np.ndarray, float, np.ndarray]:
    """Points from the photo's middle in focal lengths, the focal length in px of the photo, and its middle."""
    focal = lens.focal_px * max(width_px, height_px) / NORMAL_LONG_SIDE_PX
    middle = np.array([width_px / 2, height_px / 2])
    return (np.asarray(points, float) - middle) / focal, focal, middle


def _of_one_size(boards: list[tuple[np.ndarray, np.ndarray]]) -> list[tuple[np.ndarray, np.ndarray]]:
    """The boards of the size that most pictures show: what is cut off, or looks like a board by chance, has another one."""
    sizes = [tuple(sorted(places.max(axis=0))) for places, _ in boards]
    usual = max(sizes, key=sizes.count, default=None)
    return [board for board, size in zip(boards, sizes, strict=True) if size == usual]


def _board(picture: np.ndarray, squares: tuple[int, int] | None) -> tuple[np.ndarray, np.ndarray] | None:
    """The inner corners of a checkerboard: places on the board in squares, and in the picture [px centres]; None without one."""
    import cv2

    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    flags = cv2.CALIB_CB_EXHAUSTIVE | cv2.CALIB_CB_ACCURACY | cv2.CALIB_CB_NORMALIZE_IMAGE
    if squares is not None:
        rows, columns = squares[1] - 1, squares[0] - 1
        is_found, corners = cv2.findChessboardCornersSB(grey, (columns, rows), flags=flags)
    else:
        smallest = (FEWEST_INNER_CORNERS, FEWEST_INNER_CORNERS)
        is_found, corners, meta = cv2.findChessboardCornersSBWithMeta(grey, smallest, flags | cv2.CALIB_CB_LARGER)
        rows, columns = meta.shape[:2] if is_found else (0, 0)
    if not is_found:
        return None
    y, x = np.mgrid[0:rows, 0:columns]
    return np.stack([x.ravel(), y.ravel(), 0 * x.ravel()], -1).astype(np.float32), corners.reshape(-1, 2).astype(float)
