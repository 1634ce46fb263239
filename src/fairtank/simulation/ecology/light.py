"""Light in the tank: less with depth and colour of the water, less under other leaves, and how growth answers to it."""

import numpy as np
from numpy.typing import NDArray

from fairtank.science.response import CURVES

Array = NDArray[np.float64]


def mean_of_fading(path: Array) -> Array:
    """Mean of exp(-x) over x from 0 to path: (1 - exp(-path)) / path, which is 1 where the path is 0.

    >>> mean_of_fading(np.array([0.0, 1.0])).round(4).tolist()
    [1.0, 0.6321]
    """
    safe = np.maximum(path, 1e-12)
    return np.asarray(-np.expm1(-safe) / safe)


def light_on_leaves(surface_umol: Array, depth_loss: Array, layers: Array, shading: Array) -> Array:
    """Mean light on the leaves of each form [µmol m⁻² s⁻¹], of shape (forms, columns), from the surface down.

    surface_umol: light below the surface, shape (columns,). depth_loss: minus attenuation x depth of the form's leaves. layers: own
    leaves as extinction x leaf area by floor [-]. shading: the part of them that stands over what comes after.
    """
    above = np.cumsum(shading, axis=0) - shading
    return np.asarray(surface_umol * np.exp(depth_loss - above) * mean_of_fading(layers))


def growth_share(light_umol: Array, half_umol: Array) -> Array:
    """Share of the growth at full light, after Jassby and Platt: tanh(light / light at which it levels off)."""
    return np.asarray(CURVES["jassby_platt"](light_umol / half_umol))
