"""What makes two photos comparable in colour: a curve per channel and a small mixing of channels, in linear light."""

from dataclasses import dataclass

import numpy as np

from fairtank.science.srgb import linear_from_srgb


@dataclass(frozen=True, eq=False)
class Correction:
    """How a photo's colours become those of the trial.

    basis: `card`, `patch` or `none`. tables: array (3, 256), float32: linear light for each stored value of red, green and blue.
    matrix: array (3, 3), float32, applied to linear light after the tables. gains: how much brighter than the target the camera
    made red, green and blue, where that is known. residual_delta_e: mean CIEDE2000 of the fields that were held out, None without any.
    """

    basis: str
    tables: np.ndarray
    matrix: np.ndarray
    gains: tuple[float, float, float] | None = None
    residual_delta_e: float | None = None


def uncorrected() -> Correction:
    """Colours as the camera stored them.

    Returns
    -------
    Correction

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> uncorrected().basis
    'none'
    """
    levels = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
    return Correction("none", np.stack([levels] * 3), np.eye(3, dtype=np.float32))
