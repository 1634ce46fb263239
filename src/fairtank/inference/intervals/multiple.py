"""Several comparisons under one promise: the critical values of Dunnett (each arm against one), of Tukey (all pairs), of independent ones.

scipy has these distributions, but importing it takes longer than judging a whole trial; the tests hold these against scipy's. Both are
chances over a common spread s (root of a chi-square over its degrees of freedom) and a common normal z, added up on a fine grid; the
trapezoid is exact to the last digits for such bell-shaped integrands.
"""

import math
from collections.abc import Callable
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import OutOfRangeError
from fairtank.inference.intervals.student import quantile, upper_tail

Array = NDArray[np.float64]

MOST_ALIKE = 0.999  # loadings closer to 1 would need an endless grid; taken as this, which widens an interval by a hair
_FARTHEST_Z = 8.5  # beyond it a normal deviate's chance is below 1e-16
_PER_ONE = 64  # nodes of the table of the normal distribution for each unit
_TERMS = 6
_LOST = 37.0  # the natural log of a density that no longer counts
_ENOUGH = 2e-13
_STEPS = 100
_FARTHEST_T = 1e100


@cache
def _table() -> Array:
    """Taylor coefficients of the normal distribution function about each node, highest power last."""
    nodes = np.arange(-9 * _PER_ONE, 9 * _PER_ONE + 1) / _PER_ONE
    density = np.exp(-0.5 * nodes * nodes) / math.sqrt(2.0 * math.pi)
    rows = [np.array([0.5 * math.erfc(-node / math.sqrt(2.0)) for node in nodes.tolist()])]
    before, polynomial = np.zeros_like(nodes), np.ones_like(nodes)
    for power in range(1, _TERMS):
        rows.append((-1) ** (power - 1) * density * polynomial / math.factorial(power))
        before, polynomial = polynomial, nodes * polynomial - (power - 1) * before
    return np.array(rows)


def normal_below(x: Array) -> Array:
    """The chance that a standard normal deviate lies below each value.

    >>> normal_below(np.array([0.0, 1.959963984540054])).round(12).tolist()
    [0.5, 0.975]
    """
    inside = np.clip(x, -9.0, 9.0)
    place = np.rint(inside * _PER_ONE).astype(np.intp)
    step, rows = inside - place / _PER_ONE, _table()
    found = rows[-1][place + 9 * _PER_ONE]
    for row in rows[-2::-1]:
        found = found * step + row[place + 9 * _PER_ONE]
    return found


@lru_cache(maxsize=256)
def _spreads(df: float) -> tuple[Array, Array]:
    """Nodes of s and their weights, which add up to 1. The grid is even in the logarithm of s."""
    step = min(0.15, 0.6 / math.sqrt(2.0 * df))
    lowest, highest = -min(_LOST / df + 0.5, 9.0 / math.sqrt(df) + _LOST / df), 0.0
    while df * (math.exp(2.0 * highest) / 2.0 - highest - 0.5) < _LOST:
        highest += 10.0 * step
    logs = np.arange(math.floor(lowest / step), math.ceil(highest / step) + 1) * step
    weights = np.exp(df * (logs - np.exp(2.0 * logs) / 2.0 + 0.5))
    return np.asarray(np.exp(logs), np.float64), np.asarray(weights / weights.sum(), np.float64)


@lru_cache(maxsize=64)
def _deviates(step: float, reach: float) -> tuple[Array, Array]:
    """Nodes of a standard normal z from -reach to reach and their weights, which add up to 1."""
    nodes = np.arange(-math.ceil(reach / step), math.ceil(reach / step) + 1, dtype=np.float64) * step
    weights = np.exp(-0.5 * nodes * nodes)
    return nodes, np.asarray(weights / weights.sum(), np.float64)


def _checked(t: float, df: float) -> float:
    if not t >= 0:
        raise OutOfRangeError("t", t, "0 or more")
    if not df >= 1:
        raise OutOfRangeError("df", df, "at least 1")
    return min(t, _FARTHEST_T)


def many_to_one_tail(t: float, df: float, loadings: tuple[float, ...]) -> float:
    """The chance that the largest of several t statistics, all of them against one reference, exceeds a value in size.

    Two of them correlate by the product of their loadings: what they share is the reference's mean and the spread. With all loadings
    0 they share the spread alone (the studentized maximum modulus), which is the largest chance that any loadings give.

    Parameters
    ----------
    t : float
        The value, 0 or more.
    df : float
        Degrees of freedom of the spread, at least 1; need not be whole.
    loadings : tuple of float
        One per comparison, 0 to below 1: the root of n / (n + n of the reference). Above 0.999 counts as 0.999.

    Returns
    -------
    float
        A chance from 0 to 1.

    Raises
    ------
    OutOfRangeError
        If t, df or a loading lies outside its range.

    References
    ----------
    dunnett1955, sidak1967 (keys from sources.py).

    Examples
    --------
    >>> round(many_to_one_tail(2.262157, 9, (0.5,)), 6)
    0.05
    """
    t = _checked(t, df)
    for loading in loadings:
        if not 0 <= loading < 1:
            raise OutOfRangeError("loading", loading, "0 to below 1")
    if len(loadings) == 1:
        return min(1.0, 2.0 * upper_tail(t, df))
    loads = [min(loading, MOST_ALIKE) for loading in loadings]
    own = [math.sqrt(1.0 - load * load) for load in loads]
    step = min([0.25, *(0.4 * rest / load for rest, load in zip(own, loads, strict=True) if load > 0)])
    s, s_weights = _spreads(df)
    z, z_weights = _deviates(step, _FARTHEST_Z) if any(loads) else (np.zeros(1), np.ones(1))
    inside = np.ones((len(s), len(z)))
    for rest, load in sorted(set(zip(own, loads, strict=True))):
        near, far = (load * z[None, :] + sign * t * s[:, None] for sign in (-1.0, 1.0))
        inside *= (normal_below(far / rest) - normal_below(near / rest)) ** loads.count(load)
    return min(1.0, max(0.0, float(s_weights @ ((1.0 - inside) @ z_weights))))


def all_pairs_tail(t: float, df: float, arms: int) -> float:
    """The chance that the largest of the t statistics of all pairs of arms exceeds a value in size.

    t is the difference over its own standard error; the studentized range is the root of 2 times as large. With uneven arms it is an
    upper bound (Tukey-Kramer).

    Parameters
    ----------
    t : float
        The value, 0 or more.
    df : float
        Degrees of freedom of the spread, at least 1; need not be whole.
    arms : int
        How many arms there are, 2 or more.

    Returns
    -------
    float
        A chance from 0 to 1.

    Raises
    ------
    OutOfRangeError
        If t, df or arms lies outside its range.

    References
    ----------
    tukey1953, kramer1956, hayter1984 (keys from sources.py).

    Examples
    --------
    >>> round(all_pairs_tail(2.262157, 9, 2), 6)
    0.05
    """
    t = _checked(t, df)
    if arms < 2:
        raise OutOfRangeError("arms", arms, "2 or more")
    if arms == 2:
        return min(1.0, 2.0 * upper_tail(t, df))
    s, s_weights = _spreads(df)
    z, z_weights = _deviates(0.15, _FARTHEST_Z)
    below = normal_below(z)
    between = below[None, :] - normal_below(z[None, :] - math.sqrt(2.0) * t * s[:, None])
    outside = 1.0 - arms * (between ** (arms - 1) @ z_weights)
    return min(1.0, max(0.0, float(s_weights @ outside)))


def _critical(alpha: float, df: float, comparisons: int, tail: Callable[[float], float]) -> float:
    """The t whose tail is alpha, between that of one comparison and Bonferroni's.

    On logarithms of both the tail is nearly straight: the regula falsi with halving (Illinois) needs few steps.
    """
    if not 0 < alpha < 1:
        raise OutOfRangeError("alpha", alpha, "above 0 and below 1")
    low, high = quantile(alpha / 2.0, df), quantile(alpha / (2.0 * comparisons), df)
    over, under = _log_ratio(tail(low), alpha), _log_ratio(tail(high), alpha)
    if over <= _ENOUGH or under >= -_ENOUGH:
        return low if over <= _ENOUGH else high
    left, right, moved = math.log(low), math.log(high), 0
    for _ in range(_STEPS):
        middle = right - under * (right - left) / (under - over)
        found = _log_ratio(tail(math.exp(middle)), alpha)
        if abs(found) < _ENOUGH or right - left < _ENOUGH:
            break
        if found < 0:
            right, under, over, moved = middle, found, over / (2.0 if moved < 0 else 1.0), -1
        else:
            left, over, under, moved = middle, found, under / (2.0 if moved > 0 else 1.0), 1
    return math.exp(middle)


def _log_ratio(chance: float, alpha: float) -> float:
    return math.log(max(chance, 1e-300) / alpha)


@lru_cache(maxsize=4096)
def many_to_one_critical(alpha: float, df: float, loadings: tuple[float, ...]) -> float:
    """The t that the largest of several comparisons with one reference exceeds with chance alpha (Dunnett, two-sided).

    Parameters
    ----------
    alpha : float
        Above 0 and below 1.
    df, loadings
        See `many_to_one_tail`.

    Returns
    -------
    float

    References
    ----------
    dunnett1955 (keys from sources.py).

    Examples
    --------
    >>> round(many_to_one_critical(0.05, 9.0, (0.5,)), 6)
    2.262157
    """
    return _critical(alpha, df, len(loadings), lambda t: many_to_one_tail(t, df, loadings))


@lru_cache(maxsize=4096)
def all_pairs_critical(alpha: float, df: float, arms: int) -> float:
    """The t that the largest difference between any two of several arms exceeds with chance alpha (Tukey, two-sided).

    Parameters
    ----------
    alpha : float
        Above 0 and below 1.
    df, arms
        See `all_pairs_tail`.

    Returns
    -------
    float
        The studentized range's critical value over the root of 2.

    References
    ----------
    tukey1953, kramer1956 (keys from sources.py).

    Examples
    --------
    >>> round(all_pairs_critical(0.05, 9.0, 2), 6)
    2.262157
    """
    return _critical(alpha, df, arms * (arms - 1) // 2, lambda t: all_pairs_tail(t, df, arms))


def loadings_of(n_reference: int, n_changed: tuple[int, ...]) -> tuple[float, ...]:
    """The loading of each comparison with a reference, from the arms' sizes.

    >>> loadings_of(2, (2, 6))
    (0.7071067811865476, 0.8660254037844386)
    """
    return tuple(math.sqrt(n / (n + n_reference)) for n in n_changed)
