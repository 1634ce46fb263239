"""How large a difference must be before a trial would probably find it: power of the t intervals, by quadrature of its own.

scipy's noncentral t gives NaN far out at small degrees of freedom, which is just where trials of few tanks lie; the integral here
does not. Differences are in units of their own standard error unless a name says otherwise.
"""

import math
from collections.abc import Callable
from functools import cache

import numpy as np

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.inference.intervals.student import quantile
from fairtank.inference.intervals.welch import degrees_of_freedom

USUAL_POWER, USUAL_ALPHA = 0.8, 0.05
_NEGLECTED = 45.0  # densities below exp(-45) of their peak are left out
_SHARE_NODES = 48
_BISECTIONS = 60
_ROOT_2 = math.sqrt(2.0)
# So few values that loading a library for them would take longer: a judged trial asks this once or twice.
_erfc = np.frompyfunc(math.erfc, 1, 1)


def _log_scatter(df: float, narrowest: float) -> tuple[np.ndarray, np.ndarray]:
    """Nodes and weights for a mean over the scatter s of a spread that is estimated on df degrees of freedom (s = 1: as it is).

    The trapezoid in ln s: both tails fall off so fast that it is exact to rounding once the step is a fraction of the narrowest
    feature of the integrand.
    """
    def depth(u: float) -> float:
        return df * (math.expm1(2.0 * u) / 2.0 - u)

    low = high = 0.5 / math.sqrt(df)
    while depth(-low) < _NEGLECTED:
        low *= 1.2
    while depth(high) < _NEGLECTED:
        high *= 1.2
    step = 0.25 * min(1.0 / math.sqrt(2.0 * df), narrowest)
    u = np.arange(-low, high + step, step)
    weights = np.exp(-df * (np.expm1(2.0 * u) / 2.0 - u))
    return np.exp(u), weights / weights.sum()


def _beyond(noncentrality: float, critical: float, df: float) -> float:
    """The chance that a noncentral t leaves ±critical: over the scatter s, the chance that Z + noncentrality leaves ±critical s."""
    s, weights = _log_scatter(df, 1.0 / (1.0 + abs(noncentrality)))
    chances = np.asarray(_erfc((critical * s - noncentrality) / _ROOT_2) + _erfc((critical * s + noncentrality) / _ROOT_2), float)
    return float(weights @ chances) / 2.0


def _check(alpha: float, power: float) -> None:
    if not 0 < alpha < 1:
        raise OutOfRangeError("alpha", alpha, "above 0, below 1")
    if not alpha < power < 1:
        raise OutOfRangeError("power", power, f"above alpha ({alpha:g}), below 1")


def smallest_where(power: float, chance_at: Callable[[float], float]) -> float:
    """The difference at which a rising chance reaches the power, to rounding."""
    low, high = 0.0, 2.0
    while chance_at(high) < power:
        low, high = high, 2.0 * high
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        if chance_at(middle) < power:
            low = middle
        else:
            high = middle
        if high - low < 1e-12 * high:
            break
    return (low + high) / 2.0


def t_power(noncentrality: float, df: float, *, alpha: float = USUAL_ALPHA) -> float:
    """The chance that a two-sided t interval leaves out 0.

    Parameters
    ----------
    noncentrality : float
        The true difference in units of its true standard error.
    df : float
        Degrees of freedom, at least 1; need not be whole.
    alpha : float
        1 minus the level of the interval, above 0 and below 1.

    Returns
    -------
    float
        A chance; alpha itself at a difference of 0.

    Raises
    ------
    OutOfRangeError
        If alpha or df lies outside its range.

    References
    ----------
    student1908, statsmodels_library (keys from sources.py).

    Examples
    --------
    >>> round(t_power(5.653, 2), 3), round(t_power(0.0, 2), 3)
    (0.8, 0.05)
    """
    _check(alpha, 1 - 1e-12)
    return _beyond(noncentrality, quantile(alpha / 2, df), df)


@cache
def t_multiplier(df: float, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """How many standard errors a difference must measure to be found with a given power by a t interval.

    Parameters
    ----------
    df : float
        Degrees of freedom, at least 1.
    power : float
        Above alpha, below 1.
    alpha : float
        1 minus the level of the interval.

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    student1908, statsmodels_library (keys from sources.py).

    Examples
    --------
    >>> [round(t_multiplier(df), 2) for df in (2, 4, 10)]
    [5.65, 3.76, 3.11]
    """
    _check(alpha, power)
    critical = quantile(alpha / 2, df)
    return smallest_where(power, lambda difference: _beyond(difference, critical, df))


def critical_multiplier(critical: float, df: float, *, power: float = USUAL_POWER) -> float:
    """How many standard errors a difference must measure where the interval's own critical value is given, as with several comparisons.

    Parameters
    ----------
    critical : float
        Half-width of the interval in estimated standard errors, above 0.
    df : float
        Degrees of freedom of the spread, at least 1.
    power : float
        Above 0.05, below 1.

    Returns
    -------
    float

    Raises
    ------
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    student1908 (keys from sources.py).

    Examples
    --------
    >>> abs(critical_multiplier(quantile(0.025, 10), 10) - t_multiplier(10)) < 1e-9
    True
    """
    _check(USUAL_ALPHA, power)
    if not 0 < critical < math.inf:
        raise OutOfRangeError("critical", critical, "a number above 0")
    if not df >= 1:
        raise OutOfRangeError("df", df, "at least 1")
    return smallest_where(power, lambda difference: _beyond(difference, critical, df))


def units_per_arm(difference_sd: float, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """How many units each of two arms needs to find a difference, not rounded up; by the pooled t test.

    Parameters
    ----------
    difference_sd : float
        The difference in standard deviations of one unit's z, above 0.
    power, alpha : float
        See `t_multiplier`.

    Returns
    -------
    float
        At least 1.5, where the degrees of freedom reach 1.

    Raises
    ------
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    statsmodels_library (keys from sources.py).

    Examples
    --------
    >>> round(units_per_arm(1.0), 2)
    16.71
    """
    _check(alpha, power)
    if not 0 < difference_sd < math.inf:
        raise OutOfRangeError("difference_sd", difference_sd, "a number above 0")

    def chance(n: float) -> float:
        return t_power(difference_sd * math.sqrt(n / 2.0), 2.0 * n - 2.0, alpha=alpha)

    low = 1.5
    if chance(low) >= power:
        return low
    return low + smallest_where(power, lambda more: chance(low + more))


@cache
def welch_shares(n_1: int, n_2: int, alpha: float) -> tuple[tuple[float, float], ...]:
    """(weight, critical value) over the share of the first arm in the pooled scatter, when both arms scatter alike.

    That share is Beta(df1/2, df2/2) and independent of the pooled scatter, so Welch's interval is a t interval whose critical value
    depends on the share. The angle takes away the ends' infinite density.
    """
    df_1, df_2 = n_1 - 1, n_2 - 1
    nodes, weights = np.polynomial.legendre.leggauss(_SHARE_NODES)
    parts = []
    for angle, weight in zip((nodes + 1.0) * math.pi / 4.0, weights, strict=True):
        share = math.sin(angle) ** 2
        of_1, of_2 = share / (n_1 * df_1), (1.0 - share) / (n_2 * df_2)
        ratio = (df_1 + df_2) * (of_1 + of_2) / (1.0 / n_1 + 1.0 / n_2)
        critical = quantile(alpha / 2, max(degrees_of_freedom(of_1, n_1, of_2, n_2), 1.0)) * math.sqrt(ratio)
        parts.append((float(weight) * math.sin(angle) ** (df_1 - 1) * math.cos(angle) ** (df_2 - 1), critical))
    whole = math.fsum(weight for weight, _ in parts)
    return tuple((weight / whole, critical) for weight, critical in parts)


def welch_power(noncentrality: float, n_1: int, n_2: int, *, alpha: float = USUAL_ALPHA) -> float:
    """The chance that Welch's interval of two arms leaves out 0, when both arms scatter alike and normally.

    With few units it is lower than that of the pooled t interval, because Welch's interval is wider; it is the interval by which a
    trial's own tanks are judged, its rule for uneven arms included.

    Parameters
    ----------
    noncentrality : float
        The true difference in units of its true standard error.
    n_1, n_2 : int
        Units in the arms, at least 2 each.
    alpha : float
        1 minus the level of the interval.

    Returns
    -------
    float
        A chance; at a difference of 0 the true share of false alarms.

    Raises
    ------
    NotEnoughDataError
        If an arm has fewer than 2 units.
    OutOfRangeError
        If alpha lies outside its range.

    References
    ----------
    welch1947, satterthwaite1946 (keys from sources.py).

    Examples
    --------
    >>> round(welch_power(0.0, 2, 2), 3), round(welch_power(3.11, 6, 6), 2)
    (0.023, 0.79)
    """
    _check(alpha, 1 - 1e-12)
    if min(n_1, n_2) < 2:
        raise NotEnoughDataError(f"The arms have {n_1} and {n_2} units; an interval needs at least 2 in each.")
    return _over_shares(noncentrality, welch_shares(n_1, n_2, alpha), n_1 + n_2 - 2)


def _over_shares(noncentrality: float, shares: tuple[tuple[float, float], ...], df: int) -> float:
    from scipy.special import ndtr

    s, over_scatter = _log_scatter(df, 1.0 / (1.0 + abs(noncentrality)))
    weights, critical = (np.array(column)[:, None] for column in zip(*shares, strict=True))
    chances = ndtr(noncentrality - critical * s) + ndtr(-noncentrality - critical * s)
    return float((weights * chances * over_scatter).sum())


@cache
def welch_multiplier(n_1: int, n_2: int, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """How many standard errors a difference of two arms must measure to be found with a given power by Welch's interval.

    Parameters
    ----------
    n_1, n_2 : int
        Units in the arms, at least 2 each.
    power, alpha : float
        See `t_multiplier`.

    Returns
    -------
    float

    Raises
    ------
    NotEnoughDataError
        If an arm has fewer than 2 units.
    OutOfRangeError
        If an argument lies outside its range.

    References
    ----------
    welch1947 (keys from sources.py).

    Examples
    --------
    >>> round(welch_multiplier(3, 3), 2) > round(t_multiplier(4), 2)
    True
    """
    _check(alpha, power)
    if min(n_1, n_2) < 2:
        raise NotEnoughDataError(f"The arms have {n_1} and {n_2} units; an interval needs at least 2 in each.")
    shares = welch_shares(n_1, n_2, alpha)
    return smallest_where(power, lambda difference: _over_shares(difference, shares, n_1 + n_2 - 2))
