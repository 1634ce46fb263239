"""Photos of a checkerboard as a bent lens takes them, drawn by following each px back to the board."""

from functools import lru_cache

import cv2
import numpy as np

from fairtank.lens import Lens

SQUARE_PX = 40
# (place of the board's middle in squares from the camera, turns about y, x and z [degrees])
POSES = (
    ((0, 0, 12), (0, 0, 0)), ((1.5, 0.5, 11), (25, 5, 3)), ((-1.5, -0.5, 12), (-25, 10, 0)), ((0.5, 1, 12), (5, 25, 90)),
    ((-0.5, -1, 12), (10, -25, 0)),
)  # fmt: skip


def bent(points: np.ndarray, lens: Lens, width_px: int, height_px: int) -> np.ndarray:
    """Where a lens shows points that a straight one shows elsewhere, written from the formula, not from the code under test."""
    focal, middle = lens.focal_px * max(width_px, height_px) / 2016, np.array([width_px / 2, height_px / 2])
    away = (points - middle) / focal
    r2 = (away**2).sum(-1, keepdims=True)
    return middle + focal * away * (1 + lens.k1 * r2 + lens.k2 * r2**2)


def straight(points: np.ndarray, lens: Lens, width_px: int, height_px: int) -> np.ndarray:
    """The inverse of `bent`, by Newton's method on the distance from the middle."""
    focal, middle = lens.focal_px * max(width_px, height_px) / 2016, np.array([width_px / 2, height_px / 2])
    away = (points - middle) / focal
    seen = np.hypot(*away.T)
    r = seen.copy()
    for _ in range(6):
        r -= (r * (1 + lens.k1 * r**2 + lens.k2 * r**4) - seen) / (1 + 3 * lens.k1 * r**2 + 5 * lens.k2 * r**4)
    return middle + focal * away * (r / np.maximum(seen, 1e-12))[:, None]


def bent_picture(picture: np.ndarray, lens: Lens) -> np.ndarray:
    """A picture as a bent lens would have taken it."""
    height, width = picture.shape[:2]
    y, x = np.mgrid[0:height, 0:width]
    places = straight(np.stack([x.ravel(), y.ravel()], -1) + 0.5, lens, width, height) - 0.5
    maps = places.astype(np.float32).reshape(height, width, 2)
    return cv2.remap(picture, maps[..., 0], maps[..., 1], cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)


def board_photo(lens: Lens, place: tuple[float, ...], turn: tuple[float, ...], size: tuple[int, int] = (640, 480),
                squares: tuple[int, int] = (9, 6)) -> np.ndarray:
    """A photo of a board of so many squares with a white rim, through a bent lens."""
    width, height = size
    columns, rows = squares
    board = np.full(((rows + 2) * SQUARE_PX, (columns + 2) * SQUARE_PX), 235, np.uint8)
    for row in range(rows):
        for column in range(row % 2, columns, 2):
            board[(row + 1) * SQUARE_PX : (row + 2) * SQUARE_PX, (column + 1) * SQUARE_PX : (column + 2) * SQUARE_PX] = 25
    across, down, around = np.deg2rad(turn)
    turned = cv2.Rodrigues(np.array([down, across, around]))[0]
    focal = lens.focal_px * max(size) / 2016
    camera = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
    seen = camera @ np.column_stack([turned[:, 0], turned[:, 1], place])
    centred = np.array([[SQUARE_PX, 0, board.shape[1] / 2], [0, SQUARE_PX, board.shape[0] / 2], [0, 0, 1]])
    maps = (cv2.perspectiveTransform(_halves_straight(lens, size)[None], centred @ np.linalg.inv(seen))[0] - 0.5).astype(np.float32)
    maps = maps.reshape(2 * height, 2 * width, 2)
    large = cv2.remap(board, maps[..., 0], maps[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=180)
    grey = cv2.resize(large, size, interpolation=cv2.INTER_AREA)
    return np.repeat(grey[:, :, None], 3, axis=2)


@lru_cache
def _halves_straight(lens: Lens, size: tuple[int, int]) -> np.ndarray:
    """Where each half px of a photo would be seen by a straight lens."""
    y, x = np.mgrid[0 : 2 * size[1], 0 : 2 * size[0]]
    return straight((np.stack([x.ravel(), y.ravel()], -1) + 0.5) / 2, lens, *size)
