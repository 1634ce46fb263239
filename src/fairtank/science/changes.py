"""What doses and water changes build up to, week after week.

A period ends with a water change. Either the dose is given over the period and the change follows (order A), or the change comes
first and the dose right after it (order B). In the end both run through the same values; what is highest and when differs. Plants
cannot take up more than there is: a concentration never falls below zero.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, Output, calculator
from fairtank.science.ranges import Floats, plain, within

Numbers = NDArray[np.float64]

_DOSE = Input("dose_mg_l", "what the doses of one period add", "mg/L", 0, 10000)
_CHANGE = Input("change_fraction", "share of the water that a change replaces", "", 0, 1)
_SOME_CHANGE = Input("change_fraction", "share of the water that a change replaces", "", 0.01, 1)
_CHANGES = Input("change_fraction", "shares replaced one after the other, separated by commas", "", 0, 1)
_PERIODS = Input("periods", "number of periods, each with one water change", "", 1, 1000)
_START = Input("start_mg_l", "concentration at the start", "mg/L", 0, 100000, default=0.0)
_UPTAKE = Input("uptake_mg_l", "what plants take up in one period", "mg/L", 0, 10000, default=0.0)
_NEW_WATER = Input("new_water_mg_l", "concentration in the new water", "mg/L", 0, 10000, default=0.0)


@dataclass(frozen=True)
class Steady:
    """Where doses and water changes lead in the end [mg/L]: right after a change (the least) and right before it (the most)."""

    after: Floats
    before: Floats


@dataclass(frozen=True)
class SteadyAfterDose:
    """Where changes followed by a dose lead in the end [mg/L].

    after_dose: right after the dose (the most). before_change: before the next change. after_change: between change and dose (the least).
    """

    after_dose: Floats
    before_change: Floats
    after_change: Floats


@calculator(title="Concentration after each water change", unit="mg/L", sources=("arithmetic",),
            inputs=(_DOSE, _CHANGE, _PERIODS, _START, _UPTAKE, _NEW_WATER))
def after_changes_mg_l(dose_mg_l: ArrayLike, change_fraction: ArrayLike, periods: float, start_mg_l: ArrayLike = 0.0,
                       uptake_mg_l: ArrayLike = 0.0, new_water_mg_l: ArrayLike = 0.0) -> Numbers:
    """Concentration right after each water change, when the dose is given over the period and the change ends it.

    Each change keeps the same share of the distance to the steady state (`steady_mg_l`): with half the water it is halved every time.
    Right before a change the concentration is higher. What plants would take up beyond what is there is left out, so it never falls
    below zero.

    Parameters
    ----------
    dose_mg_l : float or array of shape (n,)
        What the doses of one period add together. [mg/L], 0 to 10000.
    change_fraction : float or array of shape (n,)
        Share of the water that a change replaces. [-], 0 to 1.
    periods : float
        Number of periods, whole. [-], 1 to 1000.
    start_mg_l : float or array of shape (n,)
        Concentration at the start. [mg/L], 0 to 100000.
    uptake_mg_l : float or array of shape (n,)
        What plants take up in one period. [mg/L], 0 to 10000.
    new_water_mg_l : float or array of shape (n,)
        Concentration in the new water. [mg/L], 0 to 10000.

    Returns
    -------
    array of shape (periods,) or (periods, n)
        Concentration after the first, second, ... change. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the periods are not a whole number.

    References
    ----------
    arithmetic: mass balance of the tank (keys from sources.py).

    Examples
    --------
    >>> after_changes_mg_l(5, 0.5, 3).tolist()
    [2.5, 3.75, 4.375]
    """
    dose, kept, count, level, uptake, new = _checked(dose_mg_l, within(_CHANGE, change_fraction), periods, start_mg_l, uptake_mg_l,
                                                     new_water_mg_l)
    after = np.empty((count, *level.shape))
    for period in range(count):
        level = np.maximum(level + dose - uptake, 0.0) * kept + (1 - kept) * new
        after[period] = level
    return after


@calculator(title="Concentration after each dose", unit="mg/L", sources=("arithmetic",),
            inputs=(_DOSE, _CHANGE, _PERIODS, _START, _UPTAKE, _NEW_WATER))
def after_doses_mg_l(dose_mg_l: ArrayLike, change_fraction: ArrayLike, periods: float, start_mg_l: ArrayLike = 0.0,
                     uptake_mg_l: ArrayLike = 0.0, new_water_mg_l: ArrayLike = 0.0) -> Numbers:
    """Concentration right after each dose, when a period begins with the water change and the dose of the period follows at once.

    These are the highest values of the tank. Plants take up between a dose and the next change, and never more than there is.

    Parameters
    ----------
    dose_mg_l : float or array of shape (n,)
        What the dose after a change adds. [mg/L], 0 to 10000.
    change_fraction : float or array of shape (n,)
        Share of the water that a change replaces. [-], 0 to 1.
    periods : float
        Number of periods, whole. [-], 1 to 1000.
    start_mg_l : float or array of shape (n,)
        Concentration at the start, before the first change. [mg/L], 0 to 100000.
    uptake_mg_l : float or array of shape (n,)
        What plants take up in one period. [mg/L], 0 to 10000.
    new_water_mg_l : float or array of shape (n,)
        Concentration in the new water. [mg/L], 0 to 10000.

    Returns
    -------
    array of shape (periods,) or (periods, n)
        Concentration after the first, second, ... dose. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the periods are not a whole number.

    References
    ----------
    arithmetic: mass balance of the tank (keys from sources.py).

    Examples
    --------
    >>> after_doses_mg_l(5, 0.5, 3).tolist()
    [5.0, 7.5, 8.75]
    """
    dose, kept, count, level, uptake, new = _checked(dose_mg_l, within(_CHANGE, change_fraction), periods, start_mg_l, uptake_mg_l,
                                                     new_water_mg_l)
    after = np.empty((count, *level.shape))
    for period in range(count):
        after[period] = level * kept + (1 - kept) * new + dose
        level = np.maximum(after[period] - uptake, 0.0)
    return after


def _checked(dose_mg_l: ArrayLike, change: Numbers, periods: float, start_mg_l: ArrayLike, uptake_mg_l: ArrayLike,
             new_water_mg_l: ArrayLike) -> tuple[Numbers, Numbers, int, Numbers, Numbers, Numbers]:
    """Dose, share kept, number of periods, start (of the common shape), uptake and new water, all checked."""
    count = within(_PERIODS, periods)
    if count.ndim or count != np.round(count):
        raise OutOfRangeError("periods", "several numbers" if count.ndim else f"{float(count)!r}", "a whole number from 1 to 1000")
    dose, uptake, new = within(_DOSE, dose_mg_l), within(_UPTAKE, uptake_mg_l), within(_NEW_WATER, new_water_mg_l)
    start = within(_START, start_mg_l)
    shape = np.broadcast_shapes(dose.shape, change.shape, start.shape, uptake.shape, new.shape)
    return dose, 1 - change, int(count), np.broadcast_to(start, shape), uptake, new


@calculator(title="Steady state of doses and water changes", sources=("arithmetic",),
            outputs=(Output("after", "right after a change", "mg/L"), Output("before", "right before a change", "mg/L")),
            inputs=(_DOSE, _SOME_CHANGE, _UPTAKE, _NEW_WATER))
def steady_mg_l(dose_mg_l: ArrayLike, change_fraction: ArrayLike, uptake_mg_l: ArrayLike = 0.0, new_water_mg_l: ArrayLike = 0.0) -> Steady:
    """Where dosing and water changes lead in the end, however the tank began.

    Without uptake a tank never goes beyond the dose of a period divided by the share changed, on top of what the new water holds: with half
    the water each week, two weekly doses. The change comes at the end of the period; for a dose right after the change see
    `steady_after_dose_mg_l`.

    Parameters
    ----------
    dose_mg_l : float or array of shape (n,)
        What the doses of one period add together. [mg/L], 0 to 10000.
    change_fraction : float or array of shape (n,)
        Share of the water that a change replaces; without changes there is no end to it. [-], 0.01 to 1.
    uptake_mg_l : float or array of shape (n,)
        What plants take up in one period. [mg/L], 0 to 10000.
    new_water_mg_l : float or array of shape (n,)
        Concentration in the new water. [mg/L], 0 to 10000.

    Returns
    -------
    Steady
        after and before a change; 0 before it where plants take up all there is. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: the fixed point of the mass balance (keys from sources.py).

    Examples
    --------
    >>> steady = steady_mg_l(5, 0.5)
    >>> steady.after, steady.before
    (5.0, 10.0)
    """
    change, new = within(_SOME_CHANGE, change_fraction), within(_NEW_WATER, new_water_mg_l)
    before = np.maximum((within(_DOSE, dose_mg_l) - within(_UPTAKE, uptake_mg_l)) / change + new, 0.0)
    return Steady(plain((1 - change) * before + change * new), plain(before))


@calculator(title="Steady state when the dose follows the change", sources=("arithmetic",),
            outputs=(Output("after_dose", "right after the dose", "mg/L"), Output("before_change", "right before a change", "mg/L"),
                     Output("after_change", "between change and dose", "mg/L")),
            inputs=(_DOSE, _SOME_CHANGE, _UPTAKE, _NEW_WATER))
def steady_after_dose_mg_l(dose_mg_l: ArrayLike, change_fraction: ArrayLike, uptake_mg_l: ArrayLike = 0.0,
                           new_water_mg_l: ArrayLike = 0.0) -> SteadyAfterDose:
    """Where it leads in the end when the whole dose of a period is given right after its water change.

    The peak stands after the dose: without uptake, the dose divided by the share changed, on top of the new water.

    Parameters
    ----------
    dose_mg_l : float or array of shape (n,)
        What the dose after a change adds. [mg/L], 0 to 10000.
    change_fraction : float or array of shape (n,)
        Share of the water that a change replaces. [-], 0.01 to 1.
    uptake_mg_l : float or array of shape (n,)
        What plants take up in one period. [mg/L], 0 to 10000.
    new_water_mg_l : float or array of shape (n,)
        Concentration in the new water. [mg/L], 0 to 10000.

    Returns
    -------
    SteadyAfterDose
        after_dose, before_change and after_change. [mg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic: the fixed point of the mass balance (keys from sources.py).

    Examples
    --------
    >>> steady = steady_after_dose_mg_l(5, 0.5)
    >>> steady.after_dose, steady.after_change
    (10.0, 5.0)
    """
    steady = steady_mg_l(dose_mg_l, change_fraction, uptake_mg_l, new_water_mg_l)
    after, before, dose = np.broadcast_arrays(np.asarray(steady.after), np.asarray(steady.before), within(_DOSE, dose_mg_l))
    return SteadyAfterDose(plain(after + dose), plain(before), plain(after))


@calculator(title="Share exchanged by several changes", unit="", sources=("arithmetic",), inputs=(_CHANGES,))
def exchanged_fraction(change_fraction: ArrayLike) -> float:
    """Share of the old water that is gone after several changes in a row.

    Later changes carry off some of the new water too: two changes of a quarter exchange 43.75 %, not half.

    Parameters
    ----------
    change_fraction : array of shape (n,)
        Shares replaced, one after the other. [-], 0 to 1.

    Returns
    -------
    float
        Share of the old water that was replaced. [-]

    Raises
    ------
    OutOfRangeError
        If a share lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> exchanged_fraction([0.25, 0.25])
    0.4375
    """
    return float(1 - np.prod(1 - within(_CHANGES, change_fraction)))
