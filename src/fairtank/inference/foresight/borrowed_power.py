"""What a trial of one or two tanks per arm would find when its spread is borrowed: from the very mixture by which it will be judged.

What the own tanks will scatter is not known beforehand, so the interval's width is worked out for a row of own variances and averaged
over those that like tanks show. Where the own scatter would set the earlier tanks aside, the interval is that of the own tanks.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.inference.earlier.library import BRAKES, WITHDRAWN_BELOW
from fairtank.inference.earlier.mixture import difference_mixture, spread_grid
from fairtank.inference.foresight.power import USUAL_ALPHA, USUAL_POWER, smallest_where, welch_shares

# Five earlier trials as they might come out, for plans that have none yet: two like tanks in each arm, and a spread that differs from
# trial to trial as much as in the simulations behind the brakes (8 degrees of freedom).
SUPPOSED_TRIALS, SUPPOSED_DF, SUPPOSED_ALIKENESS = 5, 2.0, 8.0
_OWN_NODES = 400  # variances that the own tanks may show, all equally likely
_WIDTH_NODES = 16
_REACH_LOG = 8.0  # below the largest own variance that still borrows: there it no longer moves the width
_FARTHEST_LOG = 12.0
_BISECTIONS = 40

Array = NDArray[np.float64]
Earlier = tuple[tuple[float, ...], tuple[float, ...]]
Weighed = tuple[Array, Array]


@dataclass(frozen=True)
class Borrowed:
    """What a borrowed interval finds.

    difference: smallest effect found with the power asked for, None where it is not found however large. half_width: how far the
    interval reaches to either side, the mean over trials that borrow. withdrawn: the chance that the own scatter sets the earlier tanks
    aside. All on the summary scale.
    """

    difference: float | None
    half_width: float
    withdrawn: float


def supposed_variances(sd: float) -> tuple[float, ...]:
    """Variances that five earlier trials might show: evenly spaced quantiles of the F distribution that like tanks' variances follow.

    >>> [round(one, 2) for one in supposed_variances(1.0)]
    [0.11, 0.37, 0.76, 1.4, 3.11]
    """
    half = SUPPOSED_ALIKENESS / 2.0
    chances = [(place + 0.5) / SUPPOSED_TRIALS for place in range(SUPPOSED_TRIALS)]
    return tuple(sd**2 * half * ((1.0 - chance) ** (-1.0 / half) - 1.0) for chance in chances)


def borrowed_power(variances: Sequence[float], dfs: Sequence[float], sd: float, n_1: int, n_2: int, *, power: float = USUAL_POWER,
                   alpha: float = USUAL_ALPHA, halved: bool = False) -> Borrowed:
    """The smallest difference that is found with the help of earlier like tanks.

    Parameters
    ----------
    variances, dfs : sequence of float
        Of the earlier trials, one each, above 0. [summary scale, squared; for a swap of the whole difference of the periods]
    sd : float
        Standard deviation of this trial's like tanks, above 0. [summary scale; for a swap as above]
    n_1, n_2 : int
        Units in the arms; the smaller one has 1 or 2.
    power, alpha : float
        See `fairtank.inference.foresight.power`.
    halved : bool
        Whether the effect is half the difference (a swap).

    Returns
    -------
    Borrowed

    Raises
    ------
    NotEnoughDataError
        If the smaller arm has no unit or more than 2.
    OutOfRangeError
        If another argument lies outside its range.

    References
    ----------
    smyth2004, welch1947 (keys from sources.py).

    Examples
    --------
    >>> alone, two = (borrowed_power([0.2, 0.25, 0.3, 0.25, 0.25], [4] * 5, 0.5, count, count) for count in (1, 2))
    >>> round(alone.half_width, 2), round(alone.difference, 2), round(two.difference, 2)
    (2.48, 3.08, 2.08)
    """
    if min(n_1, n_2) not in (1, 2):
        raise NotEnoughDataError(f"The arms have {n_1} and {n_2} units; a spread is borrowed where the smaller arm has 1 or 2.")
    if not 0 < sd < math.inf:
        raise OutOfRangeError("sd", sd, "a number above 0")
    if not 0 < alpha < power < 1:
        raise OutOfRangeError("power", power, f"above alpha ({alpha:g}), below 1")
    earlier = tuple(map(float, variances)), tuple(map(float, dfs))
    factor = (1.0 / n_1 + 1.0 / n_2) / (4.0 if halved else 1.0)
    borrowing, own = _widths(earlier, sd, n_1, n_2, alpha, factor)
    widths, weights = (np.concatenate(parts) for parts in zip(borrowing, own, strict=True))
    withdrawn = float(own[1].sum())
    half_width = float(borrowing[0] @ borrowing[1]) / (1.0 - withdrawn) if withdrawn < 1.0 else math.inf
    found = power < float(weights[np.isfinite(widths)].sum())
    return Borrowed(smallest_where(power, _chance(widths, weights, sd * math.sqrt(factor))) if found else None, half_width, withdrawn)


@cache
def supposed_power(n_1: int, n_2: int, *, power: float = USUAL_POWER, alpha: float = USUAL_ALPHA, halved: bool = False) -> Borrowed:
    """What five earlier trials with two like tanks per arm would help to find, for like tanks that differ by 1.

    Everything in it grows in step with the spread, so that one answer serves all.

    Parameters
    ----------
    n_1, n_2, power, alpha, halved
        See `borrowed_power`.

    Returns
    -------
    Borrowed
        In standard deviations of like tanks.

    References
    ----------
    smyth2004 (keys from sources.py).

    Examples
    --------
    >>> round(supposed_power(1, 1).difference, 1), round(supposed_power(2, 2).difference, 1)
    (6.9, 4.1)
    """
    return borrowed_power(supposed_variances(1.0), (SUPPOSED_DF,) * SUPPOSED_TRIALS, 1.0, n_1, n_2, power=power, alpha=alpha, halved=halved)


def _chance(widths: Array, weights: Array, error: float) -> Callable[[float], float]:
    """The chance that an interval leaves out 0, over all widths it may have; an endless one never does."""
    from scipy.special import ndtr

    def chance_at(difference: float) -> float:
        return float(weights @ (ndtr((difference - widths) / error) + ndtr((-difference - widths) / error)))

    return chance_at


def _widths(earlier: Earlier, sd: float, n_1: int, n_2: int, alpha: float, factor: float) -> tuple[Weighed, Weighed]:
    """Half-widths of the interval, each with its chance: those with the help of earlier tanks, and those where they were set aside."""
    df = n_1 + n_2 - 2
    nothing = np.zeros(0), np.zeros(0)
    if df == 0:
        return (np.array([_half_width(earlier, alpha, factor, BRAKES[1])]), np.ones(1)), nothing
    from scipy.special import chdtri

    chances = (np.arange(_OWN_NODES) + 0.5) / _OWN_NODES
    own = sd**2 * chdtri(df, 1.0 - chances) / df
    each = np.full(_OWN_NODES, 1.0 / _OWN_NODES)
    log_own, log_width, limit = _curve(earlier, df, alpha, factor, BRAKES[min(n_1, n_2)])
    kept = own < limit
    borrowing = np.exp(np.interp(np.log(own[kept]), log_own, log_width)), each[kept]
    scatter = np.sqrt(own[~kept] * factor)
    if min(n_1, n_2) < 2:
        return borrowing, (np.full(len(scatter), math.inf), each[~kept])
    shares = np.array(welch_shares(n_1, n_2, alpha))
    return borrowing, (np.outer(scatter, shares[:, 1]).ravel(), np.outer(each[~kept], shares[:, 0]).ravel())


@cache
def _half_width(earlier: Earlier, alpha: float, factor: float, brake: float) -> float:
    """The half-width where the own tanks show no scatter."""
    return difference_mixture(spread_grid(*earlier), factor=factor, brake=brake).half_width(alpha)


@cache
def _curve(earlier: Earlier, df: int, alpha: float, factor: float, brake: float) -> tuple[Array, Array, float]:
    """Natural logs of own variances and of the half-widths they lead to, and the own variance from which on earlier tanks are set aside."""
    grid = spread_grid(*earlier)
    low, high = math.log(grid.typical_variance), math.log(grid.typical_variance) + _FARTHEST_LOG
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if grid.exceedance(math.exp(middle), df) >= WITHDRAWN_BELOW else (low, middle)
    nodes = np.linspace(low - _REACH_LOG, low, _WIDTH_NODES)
    widths = [difference_mixture(grid, factor=factor, brake=brake, own=(math.exp(node), df)).half_width(alpha) for node in nodes]
    return nodes, np.log(widths), math.exp(low)
