"""The frame's content as an upright rectangle, in the colours of the trial: one pass over its px, straight from the photo."""

from functools import cache

import numpy as np

from fairtank.science.srgb import srgb_from_linear
from fairtank.vision.colour.correction import Correction
from fairtank.vision.compiled import compiled

# Linear light is looked up in this many steps on its way back to stored values; between two of them lies less than one stored value.
_STEPS = 8192
# From this many photo px per rectified px on, each rectified px is the mean of 2 x 2 photo px; below it is blended from them.
_WIDE_PX = 1.5


def rectified_in_colour(pixels: np.ndarray, corners: np.ndarray, width_px: int, height_px: int, correction: Correction) -> np.ndarray:
    """The frame's content as an upright rectangle, corrected in linear light.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        A photo at analysis scale.
    corners : array of shape (4, 2)
        In parts of the long side of `pixels`; continuous positions, 0 is the outer edge of the first px.
    width_px, height_px : int
        Size of the result.
    correction : Correction
        Of this photo.

    Returns
    -------
    array of shape (height_px, width_px, 3), uint8
        sRGB. What lies outside the photo repeats its edge.

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> from fairtank.vision.colour.correction import uncorrected
    >>> grey = np.full((30, 40, 3), 90, np.uint8)
    >>> corners = np.array([[0, 0], [1, 0], [1, 0.75], [0, 0.75]])
    >>> rectified_in_colour(grey, corners, 20, 15, uncorrected())[7, 9].tolist()
    [90, 90, 90]
    """
    import cv2

    source = (corners * max(pixels.shape[:2]) - 0.5).astype(np.float32)
    target = np.array([[0, 0], [width_px, 0], [width_px, height_px], [0, height_px]], np.float32) - 0.5
    matrix = cv2.getPerspectiveTransform(target, source)
    sides = np.hypot(*(np.roll(source, -1, axis=0) - source).T)
    wide = min((sides[0] + sides[2]) / width_px, (sides[1] + sides[3]) / height_px) / 2 >= _WIDE_PX
    scale = np.float32((_STEPS - 1) / 4 if wide else _STEPS - 1)
    tables, mixing = correction.tables.astype(np.float32) * scale, correction.matrix.astype(np.float32)
    picture = np.empty((height_px, width_px, 3), np.uint8)
    if wide and _lies_inside(matrix, picture.shape, pixels.shape):
        _means_of_four(np.ascontiguousarray(pixels), matrix, tables, mixing, _encoded(), picture)
    else:
        _rectify(pixels, matrix, wide, tables, mixing, _encoded(), picture)
    return picture


@cache
def _encoded() -> np.ndarray:
    """The stored value for each step of linear light."""
    return np.round(srgb_from_linear(np.linspace(0, 1, _STEPS)) * 255).astype(np.uint8)


def _lies_inside(matrix: np.ndarray, picture: tuple[int, ...], pixels: tuple[int, ...]) -> bool:
    """Whether every rectified px falls between four px of the photo; a plane's image is convex, so its four corners tell."""
    right, lower = picture[1] - 1, picture[0] - 1
    x, y, depth = matrix @ np.array([[0, right, right, 0], [0, 0, lower, lower], [1, 1, 1, 1]])
    if not (depth > 0).all():
        return False
    x, y, hair = x / depth, y / depth, 1e-3  # rows are computed in another order than these corners
    return bool(x.min() > hair and y.min() > hair and x.max() < pixels[1] - 1 - hair and y.max() < pixels[0] - 1 - hair)


@compiled
def _means_of_four(pixels: np.ndarray, matrix: np.ndarray, tables: np.ndarray, mixing: np.ndarray, encoded: np.ndarray,
                   picture: np.ndarray) -> None:
    """The same as `_rectify` where each px is the mean of four that lie inside; row by row, so that each short loop runs at full speed.

    Places are unsigned, because a signed index is first asked whether it counts from the end.
    """
    flat, columns = pixels.reshape(-1), picture.shape[1]
    row_bytes = pixels.shape[1] * 3
    one, two, three, below = np.uint64(1), np.uint64(2), np.uint64(3), np.uint64(row_bytes)
    zero, half, top = np.float32(0), np.float32(0.5), np.float32(len(encoded) - 1)
    places = np.empty(columns, np.uint32)
    light = np.empty((3, columns), np.float32)
    steps = np.empty((3, columns), np.int32)
    for y in range(picture.shape[0]):
        begin_x, begin_y = matrix[0, 1] * y + matrix[0, 2], matrix[1, 1] * y + matrix[1, 2]
        begin_depth = matrix[2, 1] * y + matrix[2, 2]
        for x in range(columns):
            near = 1.0 / (begin_depth + matrix[2, 0] * x)
            left, upper = np.int32((begin_x + matrix[0, 0] * x) * near), np.int32((begin_y + matrix[1, 0] * x) * near)
            places[x] = np.uint32(upper * row_bytes + left * 3)
        for x in range(columns):
            p00 = np.uint64(places[x])
            p01, p10, p11 = p00 + three, p00 + below, p00 + below + three
            light[0, x] = (tables[0, flat[p00]] + tables[0, flat[p01]]) + (tables[0, flat[p10]] + tables[0, flat[p11]])
            light[1, x] = ((tables[1, flat[p00 + one]] + tables[1, flat[p01 + one]])
                           + (tables[1, flat[p10 + one]] + tables[1, flat[p11 + one]]))
            light[2, x] = ((tables[2, flat[p00 + two]] + tables[2, flat[p01 + two]])
                           + (tables[2, flat[p10 + two]] + tables[2, flat[p11 + two]]))
        for channel in range(3):
            for x in range(columns):
                mixed = mixing[channel, 0] * light[0, x] + mixing[channel, 1] * light[1, x] + mixing[channel, 2] * light[2, x] + half
                mixed = zero if mixed < zero else mixed
                steps[channel, x] = np.int32(top if mixed > top else mixed)
        for x in range(columns):
            for channel in range(3):
                picture[y, x, channel] = encoded[np.uint32(steps[channel, x])]


@compiled
def _rectify(pixels: np.ndarray, matrix: np.ndarray, wide: bool, tables: np.ndarray, mixing: np.ndarray, encoded: np.ndarray,
             picture: np.ndarray) -> None:
    """Any frame and any photo: blended from four px, or (wide) their sum; what lies outside repeats the edge."""
    height, width = pixels.shape[0], pixels.shape[1]
    top = np.float32(len(encoded) - 1)
    light = np.empty(3, np.float32)
    for y in range(picture.shape[0]):
        begin_x, begin_y = matrix[0, 1] * y + matrix[0, 2], matrix[1, 1] * y + matrix[1, 2]
        begin_depth = matrix[2, 1] * y + matrix[2, 2]
        for x in range(picture.shape[1]):
            near = 1.0 / (begin_depth + matrix[2, 0] * x)
            at_x, at_y = (begin_x + matrix[0, 0] * x) * near, (begin_y + matrix[1, 0] * x) * near
            left, upper = int(np.floor(at_x)), int(np.floor(at_y))
            across, down = np.float32(at_x - left), np.float32(at_y - upper)
            x0, x1 = min(max(left, 0), width - 1), min(max(left + 1, 0), width - 1)
            y0, y1 = min(max(upper, 0), height - 1), min(max(upper + 1, 0), height - 1)
            w00, w01 = (1 - down) * (1 - across), (1 - down) * across
            w10, w11 = down * (1 - across), down * across
            if wide:
                w00 = w01 = w10 = w11 = np.float32(1)
            for channel in range(3):
                light[channel] = ((w00 * tables[channel, pixels[y0, x0, channel]] + w01 * tables[channel, pixels[y0, x1, channel]])
                                  + (w10 * tables[channel, pixels[y1, x0, channel]] + w11 * tables[channel, pixels[y1, x1, channel]]))
            for channel in range(3):
                mixed = mixing[channel, 0] * light[0] + mixing[channel, 1] * light[1] + mixing[channel, 2] * light[2] + np.float32(0.5)
                picture[y, x, channel] = encoded[int(min(max(mixed, np.float32(0)), top))]
