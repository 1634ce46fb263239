"""The tests of books with one scatter for all arms: Dunnett's and Tukey's.

The judging does not use them, because arms may scatter differently; published checks do, and they show what the judging's own rules add.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from fairtank.errors import NotEnoughDataError
from fairtank.inference.intervals.multiple import (
    all_pairs_critical,
    all_pairs_tail,
    loadings_of,
    many_to_one_critical,
    many_to_one_tail,
)
from fairtank.inference.intervals.welch import Interval, is_constant, mean, variance
from fairtank.inference.rounding import settled


@dataclass(frozen=True)
class Classical:
    """One comparison with a spread common to all arms: which arms (by place), the interval, and the largest t's chance."""

    first: int
    second: int
    interval: Interval


def _pooled(arms: Sequence[Sequence[float]], scale: str) -> tuple[float | None, float]:
    """The variance common to all arms and its degrees of freedom; None where it is none."""
    df = sum(len(arm) for arm in arms) - len(arms)
    if df < 1 or min(len(arm) for arm in arms) < 1:
        raise NotEnoughDataError("A spread common to all arms needs a unit in each arm and two in at least one of them.")
    scattered = [arm for arm in arms if len(arm) > 1]
    if all(is_constant(arm, scale) for arm in scattered):
        return None, float(df)
    return math.fsum((len(arm) - 1) * variance(arm) for arm in scattered) / df, float(df)


def _classical(
    arms: Sequence[Sequence[float]], pairs: Sequence[tuple[int, int]], spread: tuple[float | None, float], critical: float,
    tail: Callable[[float], float],
) -> tuple[Classical, ...]:
    found = []
    for first, second in pairs:
        difference = mean(arms[second]) - mean(arms[first])
        if spread[0] is None:
            found.append(Classical(first, second, settled(Interval(difference, arms_constant=True))))
            continue
        error = math.sqrt(spread[0] * (1 / len(arms[first]) + 1 / len(arms[second])))
        interval = Interval(difference, difference - critical * error, difference + critical * error, spread[1],
                            tail(abs(difference) / error))
        found.append(Classical(first, second, settled(interval)))
    return tuple(found)


def dunnett(arms: Sequence[Sequence[float]], *, alpha: float, scale: str = "identity") -> tuple[Classical, ...]:
    """Each arm against the first, with one spread common to all arms (Dunnett's test as printed in books).

    The judging uses `many_arms.held_together` instead.

    Parameters
    ----------
    arms : sequence of sequence of float
        The units' numbers, the reference arm first; sizes may differ. [summary scale]
    alpha : float
        1 minus the level of all intervals together, above 0 and below 1.
    scale : str
        `logit`, `log` or `identity`; says when an arm counts as constant.

    Returns
    -------
    tuple of Classical
        One per changed arm, in their order.

    Raises
    ------
    NotEnoughDataError
        If an arm is empty or no arm has two units.

    References
    ----------
    dunnett1955 (keys from sources.py).

    Examples
    --------
    >>> found = dunnett([[1.0, 2.0, 3.0], [2.0, 3.0, 4.0], [4.0, 5.0, 6.0]], alpha=0.05)
    >>> [round(one.interval.p_value, 4) for one in found]
    [0.4179, 0.0184]
    """
    spread = _pooled(arms, scale)
    loadings = loadings_of(len(arms[0]), tuple(len(arm) for arm in arms[1:]))
    critical = many_to_one_critical(alpha, spread[1], loadings)
    pairs = [(0, place) for place in range(1, len(arms))]
    return _classical(arms, pairs, spread, critical, lambda t: many_to_one_tail(t, spread[1], loadings))


def tukey(arms: Sequence[Sequence[float]], *, alpha: float, scale: str = "identity") -> tuple[Classical, ...]:
    """All pairs of arms, with one spread common to all arms (Tukey's test, with uneven arms Tukey and Kramer's).

    The judging uses `many_arms.held_together` instead.

    Parameters
    ----------
    arms : sequence of sequence of float
        The units' numbers; sizes may differ. [summary scale]
    alpha : float
        1 minus the level of all intervals together, above 0 and below 1.
    scale : str
        `logit`, `log` or `identity`; says when an arm counts as constant.

    Returns
    -------
    tuple of Classical
        One per pair, the later arm minus the earlier.

    Raises
    ------
    NotEnoughDataError
        If an arm is empty or no arm has two units.

    References
    ----------
    tukey1953, kramer1956 (keys from sources.py).

    Examples
    --------
    >>> found = tukey([[1.0, 2.0, 3.0], [2.0, 3.0, 4.0], [4.0, 5.0, 6.0]], alpha=0.05)
    >>> [(one.first, one.second, round(one.interval.p_value, 4)) for one in found]
    [(0, 1, 0.4827), (0, 2, 0.0242), (1, 2, 0.1089)]
    """
    spread = _pooled(arms, scale)
    critical = all_pairs_critical(alpha, spread[1], len(arms))
    pairs = list(combinations(range(len(arms)), 2))
    return _classical(arms, pairs, spread, critical, lambda t: all_pairs_tail(t, spread[1], len(arms)))
