"""How growth answers to light: three curves, the light that just pays for respiration, and where more light begins to help less."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, Output, calculator
from fairtank.science.ranges import Floats, one_of, plain, within

_Curve = Callable[[NDArray[np.float64]], NDArray[np.float64]]

# Share of the maximum, from slope x light / maximum.
CURVES: dict[str, _Curve] = {
    "jassby_platt": np.tanh,
    "monod": lambda relative: relative / (1 + relative),
    "smith": lambda relative: relative / np.hypot(1, relative),
}
_INVERSES: dict[str, _Curve] = {
    "jassby_platt": np.arctanh,
    "monod": lambda share: share / (1 - share),
    "smith": lambda share: share / np.sqrt(1 - share**2),
}

MODEL = Input("model", "response curve", choices=tuple(CURVES))
MAXIMUM = Input("maximum", "rate at full light, in any unit", "", 1e-6, 1e6)
SLOPE = Input("slope", "rise of the rate per µmol m⁻² s⁻¹ in dim light", "", 1e-9, 1e6)
_LOSS = Input("respiration", "rate lost in the dark, in the unit of maximum", "", 0, 1e6)


@dataclass(frozen=True)
class LightNeeds:
    """Light at which gain and loss balance, and light at which the curve begins to level off [µmol m⁻² s⁻¹]."""

    compensation_umol: Floats
    saturation_umol: Floats


@calculator(title="Compensation and saturation light", sources=("jassby1976", "monod1949", "smith1936", "van1976"),
            inputs=(MODEL, MAXIMUM, SLOPE, _LOSS),
            outputs=(Output("compensation_umol", "light at which gain and loss balance", "µmol m⁻² s⁻¹"),
                     Output("saturation_umol", "light at which the curve begins to level off", "µmol m⁻² s⁻¹")))
def compensation(model: str, maximum: ArrayLike, slope: ArrayLike, respiration: ArrayLike) -> LightNeeds:
    """Light that just pays for respiration, and the light at which more light begins to help less.

    Literature values, from memory: compensation of Hydrilla 10 to 15, Ceratophyllum and Myriophyllum 35, Cabomba 55 µmol m⁻² s⁻¹; full
    saturation of all four at 600 to 700.

    Parameters
    ----------
    model : str
        jassby_platt, monod or smith. [-]
    maximum : float or array of shape (n,)
        Rate at full light. [any unit], 1e-06 to 1e+06.
    slope : float or array of shape (n,)
        Rise of the rate per µmol m⁻² s⁻¹ in dim light. [any unit by µmol m⁻² s⁻¹], 1e-09 to 1e+06.
    respiration : float or array of shape (n,)
        Rate lost in the dark, below maximum. [any unit, as maximum], 0 to 1e+06.

    Returns
    -------
    LightNeeds
        compensation_umol, and saturation_umol as maximum / slope. [µmol m⁻² s⁻¹]

    Raises
    ------
    InputError
        If the model is not one of the three.
    OutOfRangeError
        If a number lies outside its range, or more is lost than can be gained.

    References
    ----------
    jassby1976, monod1949, smith1936, each solved for the rate 0; van1976 for the four plants (keys from sources.py).

    Examples
    --------
    >>> round(compensation("smith", 10, 0.1, 1).compensation_umol, 2)
    10.05
    """
    word, most, lost = one_of(MODEL, model), within(MAXIMUM, maximum), within(_LOSS, respiration)
    if (lost >= most).any():
        raise OutOfRangeError("respiration", repr(float(np.max(lost))), "less than maximum", "No light would pay for that.")
    onset: NDArray[np.float64] = most / within(SLOPE, slope)
    return LightNeeds(plain(onset * _INVERSES[word](lost / most)), plain(onset + 0 * lost))
