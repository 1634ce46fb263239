"""How heat leaves a glass box: through panes, and with vapour from the surface. The physics behind `heat`."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.registry import Input, ReadingError
from fairtank.science.ranges import one_of, within

# Heat transfer, literature values from memory (heat_coefficients): still room air with radiation 8 to 10, water that moves a little
# 100 to 400 W/(m² K), soda-lime glass 1.0 W/(m K).
ROOM_AIR_W_M2_K = 9.0
TANK_WATER_W_M2_K = 200.0
GLASS_W_M_K = 1.0
# Saturation pressure of water vapour, buck1981 from memory; held against iapws95.
_BUCK = (0.61121, 18.678, 234.5, 257.14)

BASES = ("insulated", "bare")
TOPS = ("apart", "lid", "open")

# What a tape or a calliper is off by, at most: common practice, no source.
_TAPE = ReadingError(2, instrument="tape measure")
_CALLIPER = ReadingError(0.2, instrument="calliper, or the nominal thickness")
_LENGTH = Input("length_mm", "outer length", "mm", 50, 5000, error=_TAPE)
_WIDTH = Input("width_mm", "outer depth from front to back", "mm", 50, 5000, error=_TAPE)
_HEIGHT = Input("height_mm", "outer height, up to the water line", "mm", 50, 2000, error=_TAPE)
_GLASS = Input("glass_mm", "glass thickness", "mm", 2, 30, error=_CALLIPER)
BOX_INPUTS = (_LENGTH, _WIDTH, _HEIGHT, _GLASS)
BASE_INPUT = Input("base", "what the bottom stands on", choices=BASES, default="insulated")
TOP_INPUT = Input("top", "what the top is", choices=TOPS, default="apart")


def pane_w_m2_k(glass_mm: ArrayLike) -> NDArray[np.float64]:
    """Heat through a pane with water inside and room air outside.

    Parameters
    ----------
    glass_mm : float or array of any shape
        Glass thickness. [mm], 2 to 30.

    Returns
    -------
    array of the same shape
        Heat for each square metre and degree. [W/(m² K)]

    Raises
    ------
    OutOfRangeError
        If the thickness lies outside its range.

    References
    ----------
    heat_coefficients, from memory (keys from sources.py).

    Examples
    --------
    >>> round(float(pane_w_m2_k(6)), 2)
    8.19
    """
    return 1 / (1 / ROOM_AIR_W_M2_K + within(_GLASS, glass_mm) / 1000 / GLASS_W_M_K + 1 / TANK_WATER_W_M2_K)


def conductance_w_k(length_mm: ArrayLike, width_mm: ArrayLike, height_mm: ArrayLike, glass_mm: ArrayLike, base: str,
                    top: str) -> NDArray[np.float64]:
    """Heat loss of a box for each degree that it is warmer than the room, evaporation left out.

    Parameters
    ----------
    length_mm, width_mm, height_mm, glass_mm : float or array of any shape
        Outer sizes and glass thickness. [mm], ranges of `BOX_INPUTS`.
    base : str
        What the bottom stands on, one of `BASES`.
    top : str
        What the top is, one of `TOPS`.

    Returns
    -------
    array of the same shape
        Heat for each degree. [W/K]

    Raises
    ------
    InputError
        If a size lies outside its range, or base or top is none of its words.

    References
    ----------
    heat_coefficients, from memory (keys from sources.py).

    Examples
    --------
    >>> round(float(conductance_w_k(600, 300, 360, 6, "insulated", "apart")), 2)
    5.31
    """
    length, width, height = within(_LENGTH, length_mm) / 1000, within(_WIDTH, width_mm) / 1000, within(_HEIGHT, height_mm) / 1000
    pane, floor = pane_w_m2_k(glass_mm), length * width
    through = 2 * (length + width) * height * pane
    if one_of(BASE_INPUT, base) == "bare":
        through = through + floor * pane
    if one_of(TOP_INPUT, top) == "lid":
        through = through + floor * pane  # droplets under a lid carry heat to it as if water touched it
    elif top == "open":
        through = through + floor / (1 / ROOM_AIR_W_M2_K + 1 / TANK_WATER_W_M2_K)
    return through


def vapour_kpa(temp_c: NDArray[np.float64]) -> NDArray[np.float64]:
    """Saturation pressure of water vapour over water.

    Parameters
    ----------
    temp_c : array of any shape
        Temperature. [°C], 0 to 40.

    Returns
    -------
    array of the same shape
        Pressure. [kPa]

    References
    ----------
    buck1981, from memory; within 0.1 % of iapws95 (keys from sources.py).

    Examples
    --------
    >>> round(float(vapour_kpa(np.array(25.0))), 2)
    3.17
    """
    at_0, rise, turn, shift = _BUCK
    return at_0 * np.exp((rise - temp_c / turn) * temp_c / (shift + temp_c))
