"""The tone curve of sRGB: stored values to linear light and back."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def linear_from_srgb(stored: ArrayLike) -> NDArray[np.float64]:
    """Linear light of stored sRGB values.

    Parameters
    ----------
    stored : float or array of any shape
        One channel's stored value over 255. [-], 0 to 1. NaN gives NaN.

    Returns
    -------
    array of the same shape
        Linear light. [-], 0 to 1

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> float(linear_from_srgb(0.5).round(4))
    0.214
    """
    values = np.asarray(stored, float)
    return np.where(values <= 0.04045, values / 12.92, ((np.maximum(values, 0) + 0.055) / 1.055) ** 2.4)


def srgb_from_linear(linear: ArrayLike) -> NDArray[np.float64]:
    """Stored sRGB values of linear light; light beyond the range is held at its ends.

    Parameters
    ----------
    linear : float or array of any shape
        [-], 0 to 1. NaN gives NaN.

    Returns
    -------
    array of the same shape
        One channel's stored value over 255. [-], 0 to 1

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> float(srgb_from_linear(linear_from_srgb(0.25)).round(12))
    0.25
    """
    light = np.clip(np.asarray(linear, float), 0, 1)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
