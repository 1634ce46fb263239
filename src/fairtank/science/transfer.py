"""The transfer velocity of a tank's own surface: carried over from the literature, or measured with the lights off."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.registry import Input, Output, ReadingError, calculator
from fairtank.science.gases import SURFACE, VOLUME, schmidt_carbon_dioxide, schmidt_oxygen
from fairtank.science.ranges import Floats, one_of, plain, within

# Power of the Schmidt number, by surface; jahne1987.
SCHMIDT_POWER = {"still": -2 / 3, "wavy": -1 / 2}
_GASES = {"oxygen": schmidt_oxygen, "carbon_dioxide": schmidt_carbon_dioxide}
# Rates that a tank can have [1/h]: from 700 h to 2 min.
_SLOWEST_PER_H, _FASTEST_PER_H = 0.0015, 30.0

_K600 = Input("k600_cm_h", "transfer velocity at Schmidt number 600", "cm/h", 0.05, 200,
              error=ReadingError(0.5, relative=True, instrument="table of surfaces"))
_TEMP = Input("temp_c", "water temperature", "°C", 0, 30, error=ReadingError(0.5, instrument="thermometer"))
_GAS = Input("gas", "which gas", choices=tuple(_GASES))
_WATER = Input("surface", "how the surface looks", choices=tuple(SCHMIDT_POWER))
_HOURS = Input("hours", "hours since the lights went off, separated by commas", "h", 0, 500)
_READINGS = Input("gas_mg_l", "gas that was read at those hours, separated by commas", "mg/L", 0, 500)
_BALANCE = Input("balance_mg_l", "what air leaves in the water: 100 % saturation", "mg/L", 0, 40)
# The interval that comes out is the one of the curve; one from the tape alone would look like the whole truth.
_EXACT_VOLUME, _EXACT_SURFACE = replace(VOLUME, error=None), replace(SURFACE, error=None)
_UPTAKE = Input("uptake_mg_h", "what the dark tank takes from the water in an hour", "mg/h", -1e6, 1e6, default=0.0)


@dataclass(frozen=True)
class Transfer:
    """A measured transfer velocity.

    transfer_cm_h: the velocity. low_cm_h, high_cm_h: its 95 % interval, from how far the readings scatter about the curve; balance, volume
    and surface count as exact.
    time_constant_h: hours in which 63 % of an excess leaves.
    """

    transfer_cm_h: float
    low_cm_h: float
    high_cm_h: float
    time_constant_h: float


@calculator(title="Transfer velocity of a gas from k600", unit="cm/h", sources=("jahne1987", "wanninkhof1992"),
            inputs=(_K600, _TEMP, _GAS, _WATER))
def transfer_from_k600_cm_h(k600_cm_h: ArrayLike, temp_c: ArrayLike, gas: str, surface: str) -> Floats:
    """Transfer velocity of one gas at one temperature, from the value that the literature gives for all gases.

    Also the way from one gas to another: the velocity of oxygen that was measured, divided by that of k600 1, is the
    k600 of the tank. The power of the Schmidt number is -1/2 on a wavy surface and -2/3 on a still one.

    Parameters
    ----------
    k600_cm_h : float or array of shape (n,)
        Transfer velocity at Schmidt number 600. [cm/h], 0.05 to 200.
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 30.
    gas : str
        `oxygen` or `carbon_dioxide`. [-]
    surface : str
        `still` or `wavy`. [-]

    Returns
    -------
    float or array of shape (n,)
        Transfer velocity of the gas. [cm/h]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If a word is not one of those named.

    References
    ----------
    jahne1987 for the powers; wanninkhof1992 for the Schmidt numbers (keys from sources.py).

    Examples
    --------
    >>> round(transfer_from_k600_cm_h(2.0, 25.0, "oxygen", "wavy"), 2)
    2.4
    """
    schmidt = _GASES[one_of(_GAS, gas)](temp_c)
    return plain(within(_K600, k600_cm_h) * (schmidt / 600) ** SCHMIDT_POWER[one_of(_WATER, surface)])


def _misfits(per_h: NDArray[np.float64], hours: NDArray[np.float64], excess: NDArray[np.float64], uptake: float) -> NDArray[np.float64]:
    """Sum of squared misfits [(mg/L)²] of the best curve for each rate [1/h].

    Under an uptake u [mg/L in an hour] the gas tends to balance - u/rate: excess + u/rate = start x exp(-rate x hours). The start is
    whatever fits best.
    """
    fading = np.exp(-per_h[:, None] * hours)
    above = excess + uptake / per_h[:, None]
    start = (fading * above).sum(axis=1) / (fading**2).sum(axis=1)
    return np.asarray(((above - start[:, None] * fading) ** 2).sum(axis=1))


def _rate_per_h(hours: NDArray[np.float64], excess: NDArray[np.float64], uptake: float) -> tuple[float, float, float]:
    """The rate that fits best, and its 95 % interval from the profile of the misfit."""
    from scipy.special import stdtrit

    def misfit(log_rate: NDArray[np.float64]) -> NDArray[np.float64]:
        return _misfits(np.exp(log_rate), hours, excess, uptake)

    grid = np.linspace(np.log(_SLOWEST_PER_H), np.log(_FASTEST_PER_H), 200)
    slowest, fastest = grid[0], grid[-1]
    for _ in range(6):  # each round looks 60 times closer
        best = int(np.argmin(misfit(grid)))
        rate = grid[best]
        grid = np.linspace(grid[max(best - 1, 0)], grid[min(best + 1, grid.size - 1)], 121)
    least = float(misfit(np.array([rate]))[0])
    limit = least * (1 + float(stdtrit(hours.size - 2, 0.975)) ** 2 / (hours.size - 2))
    ends = []
    for outside in (slowest, fastest):
        inside = rate
        if float(misfit(np.array([outside]))[0]) <= limit:
            raise NotEnoughDataError("These readings do not show how fast the gas leaves: they scatter too much, or reach over too short a "
                                     "time. Start far from balance, read over at least one time constant, and keep the water moving alike.")
        for _ in range(50):
            middle = (inside + outside) / 2
            inside, outside = (middle, outside) if float(misfit(np.array([middle]))[0]) <= limit else (inside, middle)
        ends.append(float(np.exp(inside)))
    return float(np.exp(rate)), ends[0], ends[1]


@calculator(title="Transfer velocity from readings in the dark", sources=("arithmetic", "odum1956"),
            inputs=(_HOURS, _READINGS, _BALANCE, _EXACT_VOLUME, _EXACT_SURFACE, _UPTAKE),
            outputs=(Output("transfer_cm_h", "transfer velocity", "cm/h"), Output("low_cm_h", "lower limit, 95 %", "cm/h"),
                     Output("high_cm_h", "upper limit, 95 %", "cm/h"), Output("time_constant_h", "time constant", "h")))
def transfer_from_readings(hours: ArrayLike, gas_mg_l: ArrayLike, balance_mg_l: float, volume_l: float, surface_m2: float,
                           uptake_mg_h: float = 0.0) -> Transfer:
    """Transfer velocity of your own tank, from how a gas fades towards its balance with air after the lights go off.

    Read oxygen every half hour from lights off, or carbon dioxide once its supply is off; filter and surface as always.
    The curve is the exponential that lies closest to the readings, each reading counting alike. Plants and animals
    breathe in the dark: give what they take from the whole tank in an hour, as a number below zero for carbon dioxide,
    which they add. It is held constant; left at 0 the velocity comes out wrong wherever breathing is not small.

    Parameters
    ----------
    hours : array of shape (n,)
        Hours since the lights went off, four or more. [h], 0 to 500.
    gas_mg_l : array of shape (n,)
        Gas that was read at those hours. [mg/L], 0 to 500.
    balance_mg_l : float
        What air leaves in the water: 100 % saturation. [mg/L], 0 to 40.
    volume_l : float
        Water in the tank. [L], 0.1 to 50000.
    surface_m2 : float
        Open water surface. [m²], 0.001 to 50.
    uptake_mg_h : float
        What the dark tank takes from the water in an hour. [mg/h], -1e+06 to 1e+06.

    Returns
    -------
    Transfer
        transfer_cm_h with low_cm_h and high_cm_h [cm/h], and time_constant_h [h].

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If there are not as many readings as hours.
    NotEnoughDataError
        If there are fewer than four readings at four different hours, or they do not show a rate.

    References
    ----------
    arithmetic: excess = start x exp(-hours / time constant), least squares, interval from the profile of the misfit;
    odum1956 for reading gas exchange in the dark (keys from sources.py).

    Examples
    --------
    >>> result = transfer_from_readings([0, 1, 2, 4, 8], [12.0, 11.5, 11.1, 10.3, 9.5], 8.26, 60, 0.18)
    >>> round(result.transfer_cm_h, 1), round(result.low_cm_h, 1), round(result.high_cm_h, 1)
    (4.8, 4.3, 5.3)
    """
    when, read = np.ravel(within(_HOURS, hours)), np.ravel(within(_READINGS, gas_mg_l))
    given = ((_BALANCE, balance_mg_l), (_EXACT_VOLUME, volume_l), (_EXACT_SURFACE, surface_m2), (_UPTAKE, uptake_mg_h))
    checked = [within(declared, value) for declared, value in given]
    for (declared, _), numbers in zip(given, checked, strict=True):
        if numbers.ndim:
            raise InputError(declared.name, "several numbers", "one number")
    balance, volume, surface, uptake = map(float, checked)
    if when.size != read.size:
        raise InputError("gas_mg_l", f"{read.size} readings for {when.size} hours", "one reading for each hour")
    if np.unique(when).size < 4:
        raise NotEnoughDataError(f"There are readings at {np.unique(when).size} different hours; a rate needs four or more.")
    rate, low, high = _rate_per_h(when, read - balance, uptake / volume)
    cm = volume / (10 * surface)  # 1 cm/h over 1 m² moves 10 L an hour
    return Transfer(rate * cm, low * cm, high * cm, 1 / rate)
