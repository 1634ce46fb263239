"""The mean colour of a flat patch that somebody painted as a zone, read from the photo's own px."""

import numpy as np

from fairtank.vision.plane import polygon_mask

# Only the inner part of the polygon is read: its rim is drawn by hand and blurred by the lens.
_INNER_SHARE = 0.8
# A patch of fewer px tells little but noise.
FEWEST_PX = 30


def patch_mean(pixels: np.ndarray, polygon: np.ndarray) -> np.ndarray | None:
    """Mean stored colour of a patch, without its darkest and lightest quarter, so that a fleck or a glint does no harm.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        A photo.
    polygon : array of shape (n, 2)
        The patch's outline in it; continuous positions. [px]

    Returns
    -------
    array of shape (3,) or None
        Red, green, blue. [0 to 255] None where the patch does not lie wholly in the photo or has too few px.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> patch_mean(np.full((20, 20, 3), 200, np.uint8), np.array([[4, 4], [16, 4], [16, 16], [4, 16]])).tolist()
    [200.0, 200.0, 200.0]
    """
    inner = polygon.mean(axis=0) + _INNER_SHARE * (polygon - polygon.mean(axis=0))
    (left, top), (right, bottom) = np.floor(inner.min(axis=0)).astype(int), np.ceil(inner.max(axis=0)).astype(int)
    if left < 0 or top < 0 or right > pixels.shape[1] or bottom > pixels.shape[0]:
        return None
    part = pixels[top:bottom, left:right]
    inside = np.sort(part[polygon_mask(inner - (left, top), part.shape[1], part.shape[0])], axis=0)
    if len(inside) < FEWEST_PX:
        return None
    quarter = len(inside) // 4
    return np.asarray(inside[quarter : len(inside) - quarter].mean(axis=0))
