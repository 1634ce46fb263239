"""The smallest difference that several arms, a ladder of doses or two changes at once show: by seeded draws of their own intervals' widths.

Their intervals are widened and have degrees of freedom that hang on how the arms scatter, so that no formula is exact. Every difference
is in standard deviations of one unit and grows in step with it; the estimate does not depend on the width, which makes few draws enough.
"""

import math
from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import NotEnoughDataError
from fairtank.inference.designs.ladder import FEWEST_UNITS, fit_line
from fairtank.inference.designs.ladder import WIDENING as LADDER_WIDENING
from fairtank.inference.designs.many_arms import widening_of
from fairtank.inference.designs.two_changes import FEWEST_BLOCKS, FEWEST_PER_WAY, QUESTIONS
from fairtank.inference.designs.two_changes import UNEVEN_WIDENING as UNEVEN_WAYS_WIDENING
from fairtank.inference.foresight.power import USUAL_ALPHA, USUAL_POWER, critical_multiplier, smallest_where
from fairtank.inference.intervals.multiple import many_to_one_critical
from fairtank.inference.intervals.student import quantile
from fairtank.inference.intervals.welch import UNEVEN_FROM_RATIO

DRAWS = 4000
_SEED = 20261126
_CRITICAL_NODES = 9

Array = NDArray[np.float64]


def _found(widths: Array, error: float, power: float) -> float:
    """The difference that leaves 0 outside its interval with the power asked for."""
    from scipy.special import ndtr

    def chance_at(difference: float) -> float:
        return float((ndtr((difference - widths) / error) + ndtr((-difference - widths) / error)).mean())

    return smallest_where(power, chance_at)


def _variances(rng: np.random.Generator, sizes: Sequence[int]) -> Array:
    """Variances of units that differ by 1; shape (arms, DRAWS)."""
    return np.array([rng.chisquare(size - 1, DRAWS) / (size - 1) for size in sizes])


def _criticals(df: Array, alpha: float, comparisons: int) -> Array:
    """Critical values of several comparisons for many degrees of freedom: exact at a few, and nearly straight in between."""
    low, high = float(df.min()), float(df.max())
    if high - low < 1e-9:
        return np.full(len(df), many_to_one_critical(alpha, low, (0.0,) * comparisons))
    nodes = 1.0 / np.linspace(1.0 / high, 1.0 / low, _CRITICAL_NODES)
    logs = [math.log(many_to_one_critical(alpha, float(node), (0.0,) * comparisons)) for node in nodes]
    return np.exp(np.interp(1.0 / df, 1.0 / nodes, logs))


@cache
def several_arms_difference(sizes: tuple[int, ...], *, all_pairs: bool = False, power: float = USUAL_POWER,
                            alpha: float = USUAL_ALPHA) -> float:
    """The smallest difference that one comparison among several arms shows, all comparisons held together.

    The one told is that of the reference and the smallest other arm; of all pairs, that of the two smallest arms.

    Parameters
    ----------
    sizes : tuple of int
        Units in the arms, the reference first; at least two in each.
    all_pairs : bool
        Whether every arm is compared with every other.
    power, alpha : float
        See `fairtank.inference.foresight.power`.

    Returns
    -------
    float
        In standard deviations of one unit.

    Raises
    ------
    NotEnoughDataError
        If an arm has fewer than two units.

    References
    ----------
    dunnett1980, welch1947 (keys from sources.py).

    Examples
    --------
    >>> all_of_three, pairs = (several_arms_difference((4, 4, 4), all_pairs=every) for every in (False, True))
    >>> round(all_of_three, 1), pairs > all_of_three
    (3.1, True)
    """
    _enough(sizes, 2)
    n_1, n_2 = sorted(sizes)[:2] if all_pairs else (sizes[0], min(sizes[1:]))
    comparisons = len(sizes) * (len(sizes) - 1) // 2 if all_pairs else len(sizes) - 1
    first, second = _variances(np.random.Generator(np.random.Philox(_SEED)), (n_1, n_2)) / np.array([[n_1], [n_2]])
    whole, smaller = first + second, min(n_1, n_2)
    df = 1.0 / ((first / whole) ** 2 / (n_1 - 1) + (second / whole) ** 2 / (n_2 - 1))
    if max(n_1, n_2) >= UNEVEN_FROM_RATIO * smaller:
        df = np.full(DRAWS, float(smaller - 1))
    elif n_1 != n_2:
        df = np.minimum(df, 2.0 * (smaller - 1))
    widths = widening_of(n_1, n_2) * np.sqrt(whole) * _criticals(np.maximum(df, 1.0), alpha, comparisons)
    return _found(widths, math.sqrt(1.0 / n_1 + 1.0 / n_2), power)


@cache
def ladder_difference(sizes: tuple[int, ...], doses: tuple[float, ...], *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """The smallest step from the reference's dose to the farthest that the straight line through a ladder's units shows.

    Parameters
    ----------
    sizes, doses : tuple
        Units on each dose, and the doses, the reference's first; three different doses and five units at least.
    power, alpha : float
        See `fairtank.inference.foresight.power`.

    Returns
    -------
    float
        In standard deviations of one unit.

    Raises
    ------
    NotEnoughDataError
        If there are too few units or doses.

    References
    ----------
    mackinnon1985, bell2002 (keys from sources.py).

    Examples
    --------
    >>> few, many = (ladder_difference((count,) * 4, (0.0, 5.0, 10.0, 20.0)) for count in (2, 3))
    >>> round(few, 1), few > many
    (4.6, True)
    """
    each = np.repeat(np.array(doses, float), sizes)
    if len(each) < FEWEST_UNITS or min(sizes) < 1:
        raise NotEnoughDataError(f"The ladder has {len(each)} units; an interval needs at least {FEWEST_UNITS}, and one on each dose.")
    rng = np.random.Generator(np.random.Philox(_SEED))
    df = fit_line(each.tolist(), rng.normal(size=len(each)).tolist()).df  # the same for all values: it hangs on the doses alone
    step = max(abs(dose - doses[0]) for dose in doses)
    apart = (each - each.mean()) / step
    square = float(apart @ apart)
    seen = rng.normal(size=(DRAWS, len(each)))
    rest = seen - seen.mean(axis=1, keepdims=True) - np.outer(seen @ apart / square, apart)
    weights = apart / square / np.sqrt(1.0 - 1.0 / len(each) - apart**2 / square)
    widths = LADDER_WIDENING * quantile(alpha / 2, df) * np.sqrt((rest * weights) ** 2 @ np.ones(len(each)))
    return _found(widths, 1.0 / math.sqrt(square), power)


@cache
def two_changes_difference(sizes: tuple[int, ...], *, blocks: int = 0, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA) -> float:
    """The smallest effect of either of two changes that are tried at once, each averaged over the other.

    Parameters
    ----------
    sizes : tuple of int
        Units with neither, one, the other and both changes; at least two of each.
    blocks : int
        In how many whole blocks they stand; 0 where they do not. What sets blocks apart is not counted, so that it is told a little
        too large with them.
    power, alpha : float
        See `fairtank.inference.foresight.power`.

    Returns
    -------
    float
        In standard deviations of one unit.

    Raises
    ------
    NotEnoughDataError
        If one of the four ways has fewer than two units.

    References
    ----------
    yates1937, satterthwaite1946 (keys from sources.py).

    Examples
    --------
    >>> round(two_changes_difference((3, 3, 3, 3)), 1)
    2.4
    """
    if blocks >= FEWEST_BLOCKS:
        critical = many_to_one_critical(alpha, float(blocks - 1), (0.0,) * QUESTIONS)
        return critical_multiplier(critical, float(blocks - 1), power=power) / math.sqrt(blocks)
    _enough(sizes, FEWEST_PER_WAY)
    counts = np.array(sizes, float)[:, None]
    parts = _variances(np.random.Generator(np.random.Philox(_SEED)), sizes) / counts / 4.0
    whole = parts.sum(axis=0)
    df = 1.0 / ((parts / whole) ** 2 / (counts - 1.0)).sum(axis=0)
    is_uneven = len(set(sizes)) > 1
    if is_uneven:
        df = np.minimum(df, 4.0 * (min(sizes) - 1))
    widths = (UNEVEN_WAYS_WIDENING if is_uneven else 1.0) * np.sqrt(whole) * _criticals(np.maximum(df, 1.0), alpha, QUESTIONS)
    return _found(widths, math.sqrt(float((1.0 / counts).sum())) / 2.0, power)


def _enough(sizes: Sequence[int], fewest: int) -> None:
    if min(sizes) < fewest:
        raise NotEnoughDataError(f"The arms have {', '.join(map(str, sizes))} units; an interval needs at least {fewest} in each.")
