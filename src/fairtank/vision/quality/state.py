"""Sharpness, clipping and brightness: what the px inside the frame say about the photo itself."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class PictureState:
    """What the pixels inside the frame say about the photo itself.

    detail: variance of fine detail over variance of middling detail; falls when a photo is blurred, does not follow
    its exposure. clipped_fraction: share of px with a channel at 254 or 255. level: the lightness
    that nine tenths of the frame stay under, in linear light. [0 to 1]
    """

    detail: float
    clipped_fraction: float
    level: float


def picture_state(rectified: np.ndarray, counted: np.ndarray) -> PictureState:
    """Sharpness, clipping and brightness of the rectified picture.

    Parameters
    ----------
    rectified : array of shape (h, w, 3), uint8
    counted : array of shape (h, w), bool
        The px that count.

    Returns
    -------
    PictureState

    References
    ----------
    iec61966 (keys from sources.py).
    """
    import cv2

    red, green, blue = cv2.split(rectified)
    mask = counted.view(np.uint8)
    small = green.astype(np.float32)
    fine = cv2.blur(small, (3, 3))
    middling = cv2.blur(fine, (7, 7))
    coarse = cv2.blur(middling, (15, 15))
    spread = [float(cv2.meanStdDev(one - other, mask=mask)[1][0, 0]) ** 2 for one, other in ((small, fine), (middling, coarse))]
    detail = spread[0] / (spread[1] + 1.0)
    highest = cv2.max(cv2.max(red, green), blue)
    clipped = np.count_nonzero((highest >= 254) & counted) / np.count_nonzero(counted)
    bright = float(np.percentile(green[counted][::7], 90)) / 255
    level = bright / 12.92 if bright <= 0.04045 else ((bright + 0.055) / 1.055) ** 2.4
    return PictureState(detail, clipped, level)
