"""The small grey picture in which a photo is placed roughly."""

import numpy as np

SMALL_LONG_SIDE_PX = 504


def small_grey(pixels: np.ndarray) -> np.ndarray:
    """The green channel, shrunk to a long side of SMALL_LONG_SIDE_PX whatever the photo's own size.

    Green stands for lightness here and at the edges: it costs no colour conversion and has the least noise.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        A photo at analysis scale.

    Returns
    -------
    array of shape (h, w), uint8

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> small_grey(np.full((1500, 2000, 3), 9, np.uint8)).shape
    (378, 504)
    """
    import cv2

    height, width = pixels.shape[:2]
    grey = cv2.extractChannel(pixels, 1)
    while max(grey.shape) >= 2 * SMALL_LONG_SIDE_PX and min(grey.shape) > 1:  # halves cost a tenth of what odd parts do
        even = grey[: grey.shape[0] // 2 * 2, : grey.shape[1] // 2 * 2]
        grey = cv2.resize(even, (even.shape[1] // 2, even.shape[0] // 2), interpolation=cv2.INTER_AREA)
    shrink = SMALL_LONG_SIDE_PX / max(height, width)
    size = (max(1, round(width * shrink)), max(1, round(height * shrink)))
    if (grey.shape[1], grey.shape[0]) == size:
        return grey
    return cv2.resize(grey, size, interpolation=cv2.INTER_AREA if max(grey.shape) > SMALL_LONG_SIDE_PX else cv2.INTER_LINEAR)
