"""Growth rates, growth curves, inhibition and the day something sets in.

Sizes may be in any unit that grows with the plant: mass, area, leaves, cover; the same unit throughout. Several plants of one tank tell
how that tank grew; they are not several tanks.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input, Output, calculator
from fairtank.science.controls import DATES, LEAST_SIZE, MOST_SIZE, check_rising
from fairtank.science.ranges import Floats, one_of, plain, within

_START_SIZES = Input("start", "size at the start, one or several separated by commas", "", LEAST_SIZE, MOST_SIZE)
_END_SIZES = Input("end", "size at the end, one or several separated by commas", "", LEAST_SIZE, MOST_SIZE)
_CONTROL = Input("control", "size of the control at the end, one or several separated by commas", "", LEAST_SIZE, MOST_SIZE)
_TREATED = Input("treated", "size of the treated at the end, one or several separated by commas", "", LEAST_SIZE, MOST_SIZE)
_BETWEEN = Input("days", "days from start to end", "d", 0.01, 10000)
_DAYS = Input("days", "days since the start", "d", 0, 10000)
_RATE = Input("rate_per_day", "growth rate", "1/d", 1e-6, 100)
_CAPACITY = Input("capacity", "size at which growth ends", "", LEAST_SIZE, MOST_SIZE)
_START = Input("start", "size at the start", "", LEAST_SIZE, MOST_SIZE)
_CURVE = Input("curve", "growth curve", choices=("logistic", "gompertz"))
_VALUES = Input("values", "value at each day, separated by commas", "", -MOST_SIZE, MOST_SIZE)
_THRESHOLD = Input("threshold", "value from which it has set in", "", -MOST_SIZE, MOST_SIZE)


@dataclass(frozen=True)
class Inhibition:
    """How much less the treated grew: of the growth rate, and of the yield [%]. Two different scales; never compare one with the other."""

    growth_rate_pct: float
    yield_pct: float


@dataclass(frozen=True)
class Onset:
    """When a threshold was first reached [d].

    Known is the gap: after last_below (None: reached on the first day already), at first_at or before it (None: not reached). linear,
    log_linear: a point in the gap by a straight line through values or logarithms, for charts only; None where it cannot be drawn.
    """

    last_below: float | None
    first_at: float | None
    linear: float | None
    log_linear: float | None


@calculator(title="Relative growth rate", unit="1/d", sources=("hunt1982", "hoffmann2002"), inputs=(_START_SIZES, _END_SIZES, _BETWEEN))
def relative_growth_rate(start: ArrayLike, end: ArrayLike, days: ArrayLike) -> float:
    """Relative growth rate: growth per day as a share of what is there, mean over several plants if several are given.

    With several plants the logarithms are averaged, never the sizes: the logarithm of a mean would call scatter growth. The plants at
    the end need not be those of the start.

    Parameters
    ----------
    start : array of shape (n,), or float
        Size at the start. [any unit], 1e-12 to 1e+12.
    end : array of shape (m,), or float
        Size at the end. [any unit, as start], 1e-12 to 1e+12.
    days : float
        Days from start to end. [d], 0.01 to 10000.

    Returns
    -------
    float
        Relative growth rate, below 0 where the plants shrank. [1/d]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range; a dead plant of size 0 has no growth rate.
    InputError
        If a list is empty, or several numbers of days are given.

    References
    ----------
    hunt1982 for the rate, hoffmann2002 for the mean of logarithms (keys from sources.py).

    Examples
    --------
    >>> round(relative_growth_rate([1, 2, 4], [2, 8, 16], 10), 5)
    0.11552
    """
    return (_mean_log(_END_SIZES, end) - _mean_log(_START_SIZES, start)) / _one_span(days)


@calculator(title="Doubling time", unit="d", sources=("arithmetic",), inputs=(_RATE,))
def doubling_days(rate_per_day: ArrayLike) -> Floats:
    """Days in which something doubles that grows at a steady relative growth rate.

    Parameters
    ----------
    rate_per_day : float or array of shape (n,)
        Relative growth rate. [1/d], 1e-06 to 100.

    Returns
    -------
    float or array of shape (n,)
        Doubling time. [d]

    Raises
    ------
    OutOfRangeError
        If a rate lies outside its range; what does not grow never doubles.

    References
    ----------
    arithmetic: ln 2 / rate (keys from sources.py).

    Examples
    --------
    >>> round(doubling_days(0.231), 2)
    3.0
    """
    return plain(np.log(2) / within(_RATE, rate_per_day, "What does not grow never doubles."))


@calculator(title="Inhibition of growth", sources=("oecd201",), inputs=(_CONTROL, _TREATED, _START_SIZES, _BETWEEN),
            outputs=(Output("growth_rate_pct", "inhibition of the growth rate", "%"), Output("yield_pct", "inhibition of the yield", "%")))
def inhibition(control: ArrayLike, treated: ArrayLike, start: ArrayLike, days: ArrayLike) -> Inhibition:
    """How much less the treated grew than the control, by growth rate and by yield.

    The two numbers say different things of the same data, and that of the yield rises with the length of a trial: compare each only
    with its like. Rates come from means of logarithms, yields from plain means.

    Parameters
    ----------
    control : array of shape (n,), or float
        Size of the control at the end. [any unit], 1e-12 to 1e+12.
    treated : array of shape (m,), or float
        Size of the treated at the end. [any unit, as control], 1e-12 to 1e+12.
    start : array of shape (k,), or float
        Size of both at the start. [any unit, as control], 1e-12 to 1e+12.
    days : float
        Days from start to end. [d], 0.01 to 10000.

    Returns
    -------
    Inhibition
        growth_rate_pct and yield_pct; below 0 where the treated grew more. [%]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range, or the control did not grow.
    InputError
        If a list is empty, or several numbers of days are given.

    References
    ----------
    oecd201: (μc - μt) / μc and (Yc - Yt) / Yc, in percent (keys from sources.py).

    Examples
    --------
    >>> found = inhibition(64, 32, 1, 3)
    >>> round(found.growth_rate_pct, 2), round(found.yield_pct, 2)
    (16.67, 50.79)
    """
    rate = relative_growth_rate(start, control, days)
    begun = float(np.mean(within(_START_SIZES, start)))
    gained = float(np.mean(within(_CONTROL, control))) - begun
    if rate <= 0 or gained <= 0:
        raise OutOfRangeError("control", f"{begun + gained:g}", f"more than at the start, {begun:g}",
                              "A control that did not grow shows no inhibition.")
    treated_gain = float(np.mean(within(_TREATED, treated))) - begun
    return Inhibition(100 * (1 - relative_growth_rate(start, treated, days) / rate), 100 * (1 - treated_gain / gained))


@calculator(title="Logistic growth", unit="", sources=("verhulst1838",), inputs=(_DAYS, _CAPACITY, _START, _RATE))
def logistic(days: ArrayLike, capacity: ArrayLike, start: ArrayLike, rate_per_day: ArrayLike) -> Floats:
    """Size on a day of logistic growth: at the growth rate first, then slower and slower up to the capacity.

    Parameters
    ----------
    days : float or array of shape (n,)
        Days since the start. [d], 0 to 10000.
    capacity : float or array of shape (n,)
        Size at which growth ends. [any unit], 1e-12 to 1e+12.
    start : float or array of shape (n,)
        Size at the start; above the capacity it shrinks to it. [any unit, as capacity], 1e-12 to 1e+12.
    rate_per_day : float or array of shape (n,)
        Growth rate while there is room. [1/d], 1e-06 to 100.

    Returns
    -------
    float or array of shape (n,)
        Size. [unit of capacity]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    verhulst1838: K / (1 + (K / N0 - 1) exp(-r t)) (keys from sources.py).

    Examples
    --------
    >>> round(logistic(14, 80, 2, 0.25), 3)
    36.736
    """
    most, missing = within(_CAPACITY, capacity), within(_CAPACITY, capacity) / within(_START, start) - 1
    return plain(most / (1 + missing * np.exp(-within(_RATE, rate_per_day) * within(_DAYS, days))))


@calculator(title="Gompertz growth", unit="", sources=("gompertz1825",), inputs=(_DAYS, _CAPACITY, _START, _RATE))
def gompertz(days: ArrayLike, capacity: ArrayLike, start: ArrayLike, rate_per_day: ArrayLike) -> Floats:
    """Size on a day of Gompertz growth: fastest early, with a long slow end.

    The rate is that at which growth slows down, not a relative growth rate: do not compare it with one.

    Parameters
    ----------
    days : float or array of shape (n,)
        Days since the start. [d], 0 to 10000.
    capacity : float or array of shape (n,)
        Size at which growth ends. [any unit], 1e-12 to 1e+12.
    start : float or array of shape (n,)
        Size at the start; above the capacity it shrinks to it. [any unit, as capacity], 1e-12 to 1e+12.
    rate_per_day : float or array of shape (n,)
        Rate at which growth slows down. [1/d], 1e-06 to 100.

    Returns
    -------
    float or array of shape (n,)
        Size. [unit of capacity]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    gompertz1825: K exp(ln(N0 / K) exp(-c t)) (keys from sources.py).

    Examples
    --------
    >>> round(gompertz(14, 80, 2, 0.12), 3)
    40.226
    """
    most = within(_CAPACITY, capacity)
    return plain(most * np.exp(np.log(within(_START, start) / most) * np.exp(-within(_RATE, rate_per_day) * within(_DAYS, days))))


@calculator(title="Day of fastest growth", unit="d", sources=("verhulst1838", "gompertz1825"), inputs=(_CURVE, _CAPACITY, _START, _RATE))
def inflection_days(curve: str, capacity: ArrayLike, start: ArrayLike, rate_per_day: ArrayLike) -> Floats:
    """Day on which a growth curve is steepest: at half of the capacity (logistic), at 37 % of it (Gompertz).

    Below 0 where the start lies beyond that point already.

    Parameters
    ----------
    curve : str
        logistic or gompertz. [-]
    capacity : float or array of shape (n,)
        Size at which growth ends, above the start. [any unit], 1e-12 to 1e+12.
    start : float or array of shape (n,)
        Size at the start. [any unit, as capacity], 1e-12 to 1e+12.
    rate_per_day : float or array of shape (n,)
        Rate of that curve. [1/d], 1e-06 to 100.

    Returns
    -------
    float or array of shape (n,)
        Day since the start. [d]

    Raises
    ------
    InputError
        If the curve is not one of the two.
    OutOfRangeError
        If a number lies outside its range, or the start is not below the capacity.

    References
    ----------
    verhulst1838: ln(K / N0 - 1) / r; gompertz1825: ln(ln(K / N0)) / c (keys from sources.py).

    Examples
    --------
    >>> round(inflection_days("logistic", 80, 2, 0.25), 3)
    14.654
    """
    word, most, begun = one_of(_CURVE, curve), within(_CAPACITY, capacity), within(_START, start)
    if (begun >= most).any():
        raise OutOfRangeError("start", f"{float(np.max(begun)):g}", "less than the capacity", "Were the two exchanged?")
    room = np.log(most / begun) if word == "gompertz" else most / begun - 1
    return plain(np.log(room) / within(_RATE, rate_per_day))


@calculator(title="Onset", sources=("arithmetic",), inputs=(DATES, _VALUES, _THRESHOLD),
            outputs=(Output("last_below", "last day below", "d"), Output("first_at", "first day at or above", "d"),
                     Output("linear", "straight line in between", "d"), Output("log_linear", "straight line through logarithms", "d")))
def onset(days: ArrayLike, values: ArrayLike, threshold: ArrayLike) -> Onset:
    """Between which two observations a value first reached a threshold.

    Nobody looked in between, so the true day lies somewhere in the gap. A later fall below is not looked at.

    Parameters
    ----------
    days : array of shape (n,)
        Days of the observations, rising. [d], 0 to 10000.
    values : array of shape (n,)
        Value at each of them. [any unit], -1e+12 to 1e+12.
    threshold : float
        Value from which it has set in. [any unit, as values], -1e+12 to 1e+12.

    Returns
    -------
    Onset
        last_below, first_at, and for charts linear and log_linear. [d]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range; leave out a day without a value.
    InputError
        If the lists differ in length, the days do not rise, or several thresholds are given.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> found = onset([10, 12], [3, 7], 5)
    >>> found.last_below, found.first_at, found.linear, round(found.log_linear, 3)
    (10.0, 12.0, 11.0, 11.206)
    """
    at, seen = np.atleast_1d(within(DATES, days)), np.atleast_1d(within(_VALUES, values, "Leave out days without a value."))
    if (given := within(_THRESHOLD, threshold)).size != 1:
        raise InputError("threshold", "several numbers", "one number")
    level = float(given.reshape(-1)[0])
    if at.shape != seen.shape or at.ndim != 1 or at.size == 0:
        raise InputError("values", "of another length than days, or empty", "one value for each day")
    check_rising(at)
    reached = np.flatnonzero(seen >= level)
    if reached.size == 0:
        return Onset(float(at[-1]), None, None, None)
    place = int(reached[0])
    if place == 0:
        return Onset(None, float(at[0]), None, None)
    gap, between = at[place - 1:place + 1], seen[place - 1:place + 1]
    # A value of 0 has no logarithm.
    logs = float(np.interp(np.log(level), np.log(between), gap)) if between[0] > 0 else None
    return Onset(float(gap[0]), float(gap[1]), float(np.interp(level, between, gap)), logs)


def _mean_log(declared: Input, sizes: ArrayLike) -> float:
    logs = np.log(within(declared, sizes, "A plant that died has no growth rate: count it apart."))
    if logs.size == 0:
        raise InputError(declared.name, "an empty list", "one size or more")
    return float(logs.mean())


def _one_span(days: ArrayLike) -> float:
    span = within(_BETWEEN, days)
    if span.size != 1:
        raise InputError("days", "several numbers", "one number of days between start and end")
    return float(span.reshape(-1)[0])
