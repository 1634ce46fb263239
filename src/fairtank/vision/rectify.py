"""The frame's content as an upright rectangle, in the colours of the trial: one pass over its px, straight from the photo."""

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
    encoded = np.round(srgb_from_linear(np.linspace(0, 1, _STEPS)) * 255).astype(np.uint8)
    picture = np.empty((height_px, width_px, 3), np.uint8)
    _rectify(pixels, matrix, wide, correction.tables, correction.matrix.astype(np.float32), encoded, picture)
    return picture


@compiled
def _rectify(pixels: np.ndarray, matrix: np.ndarray, wide: bool, tables: np.ndarray, mixing: np.ndarray, encoded: np.ndarray,
             picture: np.ndarray) -> None:
    height, width = pixels.shape[0], pixels.shape[1]
    top = np.float32(len(encoded) - 1)
    for y in range(picture.shape[0]):
        for x in range(picture.shape[1]):
            depth = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
            at_x = (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / depth
            at_y = (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / depth
            left, upper = int(np.floor(at_x)), int(np.floor(at_y))
            across, down = np.float32(at_x - left), np.float32(at_y - upper)
            if wide:
                across, down = np.float32(0.5), np.float32(0.5)
            x0, x1 = min(max(left, 0), width - 1), min(max(left + 1, 0), width - 1)
            y0, y1 = min(max(upper, 0), height - 1), min(max(upper + 1, 0), height - 1)
            w00, w01 = (1 - down) * (1 - across), (1 - down) * across
            w10, w11 = down * (1 - across), down * across
            red = (w00 * tables[0, pixels[y0, x0, 0]] + w01 * tables[0, pixels[y0, x1, 0]]
                   + w10 * tables[0, pixels[y1, x0, 0]] + w11 * tables[0, pixels[y1, x1, 0]])
            green = (w00 * tables[1, pixels[y0, x0, 1]] + w01 * tables[1, pixels[y0, x1, 1]]
                     + w10 * tables[1, pixels[y1, x0, 1]] + w11 * tables[1, pixels[y1, x1, 1]])
            blue = (w00 * tables[2, pixels[y0, x0, 2]] + w01 * tables[2, pixels[y0, x1, 2]]
                    + w10 * tables[2, pixels[y1, x0, 2]] + w11 * tables[2, pixels[y1, x1, 2]])
            for channel in range(3):
                light = mixing[channel, 0] * red + mixing[channel, 1] * green + mixing[channel, 2] * blue
                step = min(max(light * top + np.float32(0.5), np.float32(0)), top)
                picture[y, x, channel] = encoded[int(step)]
