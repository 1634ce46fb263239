"""Small dark green dots that may be algae on the front glass, found in the photo's own px before anything is classified."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class SpotCandidates:
    """Dots of one photo, one row each.

    places: array (n, 2), x and y in the frame from its top-left [cm]. radius_cm: array (n,). contrast: array (n,), how far the dot stands
    out from what surrounds it [stored values, 0 to 255].
    """

    places: np.ndarray
    radius_cm: np.ndarray
    contrast: np.ndarray


@dataclass(frozen=True, eq=False)
class SpotNote:
    """What one photo says about spots, until the next photo confirms or drops them.

    places: array (n, 2), dots in open water, x and y in the frame [cm]. radius_cm: array (n,). open_water: array (rows, columns), bool, one
    for each half centimetre of the frame: where neither plant nor anything static hides the glass. open_cm2: area of it. [cm²]
    """

    places: np.ndarray
    radius_cm: np.ndarray
    open_water: np.ndarray
    open_cm2: float
