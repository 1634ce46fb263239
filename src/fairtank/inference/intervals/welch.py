"""Stage 2: the tanks are the sample. Welch's interval for the difference of two arms, which may scatter differently."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import NotEnoughDataError
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.rounding import settled

# Variances below this, on a logit or log scale, are not scatter of tanks but the end of the scale or a rounding.
SMALLEST_VARIANCE = 1e-6
# The same for values as they are: relative to their size, what is left of a variance when all values are equal but for rounding.
SMALLEST_RELATIVE_VARIANCE = 1e-18
UNEVEN_FROM_RATIO = 2


@dataclass(frozen=True)
class Interval:
    """Changed minus reference on the summary scale, with its interval.

    All but estimate and arms_constant are None when no interval can be built.
    """

    estimate: float
    low: float | None = None
    high: float | None = None
    df: float | None = None
    p_value: float | None = None
    arms_constant: bool = False


def mean(values: Sequence[float]) -> float:
    """The plain mean; independent of the order of the values."""
    return math.fsum(values) / len(values)


def variance(values: Sequence[float]) -> float:
    """The sample variance (n - 1), of at least two values; independent of their order."""
    centre = mean(values)
    return math.fsum((value - centre) ** 2 for value in values) / (len(values) - 1)


def is_constant(values: Sequence[float], scale: str) -> bool:
    """Whether an arm shows no scatter at all, so that its spread cannot be learnt from it.

    >>> is_constant([1.0, 1.0, 1.0], "logit"), is_constant([1.0, 1.1, 1.0], "logit")
    (True, False)
    """
    if scale == "identity":
        return variance(values) <= SMALLEST_RELATIVE_VARIANCE * max(value * value for value in values)
    return variance(values) < SMALLEST_VARIANCE


def degrees_of_freedom(share_1: float, n_1: int, share_2: float, n_2: int) -> float:
    """Welch-Satterthwaite degrees of freedom from each arm's variance of its mean (s²/n).

    Where one arm has twice as many units as the other or more, the approximation is too hopeful if the smaller arm
    scatters more; then the smaller arm's n - 1 is used instead.

    >>> degrees_of_freedom(1.0, 4, 1.0, 4)
    6.0
    >>> degrees_of_freedom(1.0, 2, 1.0, 4)
    1.0
    """
    if max(n_1, n_2) >= UNEVEN_FROM_RATIO * min(n_1, n_2):
        return float(min(n_1, n_2) - 1)
    # Divided by their sum first: the squares of very small or large variances would leave the range of a float.
    part_1, part_2 = share_1 / (share_1 + share_2), share_2 / (share_1 + share_2)
    return 1.0 / (part_1**2 / (n_1 - 1) + part_2**2 / (n_2 - 1))


def welch(reference: Sequence[float], changed: Sequence[float], *, alpha: float, scale: str = "identity") -> Interval:
    """The difference of two arms, changed minus reference, with Welch's t interval.

    Each value is one unit. With two units per arm the interval is honest and nearly always very wide. An arm without any scatter
    (all units at the limit of the scale) gives no interval.

    Parameters
    ----------
    reference, changed : sequence of float, shape (n,), n >= 2
        One z per unit. [summary scale]
    alpha : float
        1 minus the level of the interval, above 0 and below 1.
    scale : str
        `logit`, `log` or `identity`; says when an arm counts as constant.

    Returns
    -------
    Interval
        Its p_value is two-sided and lies at or below alpha exactly when the interval leaves out 0.

    Raises
    ------
    NotEnoughDataError
        If an arm has fewer than two units.

    References
    ----------
    welch1947, satterthwaite1946 (keys from sources.py).

    Examples
    --------
    >>> interval = welch([1.0, 2.0, 3.0], [2.0, 3.0, 4.0], alpha=0.05)
    >>> interval.estimate, round(interval.low, 3), round(interval.high, 3)
    (1.0, -1.267, 3.267)
    """
    n_1, n_2 = len(reference), len(changed)
    if min(n_1, n_2) < 2:
        raise NotEnoughDataError(f"The arms have {n_1} and {n_2} usable units; an interval needs at least 2 in each.")
    difference = mean(changed) - mean(reference)
    if is_constant(reference, scale) or is_constant(changed, scale):
        return settled(Interval(difference, arms_constant=True))
    share_1, share_2 = variance(reference) / n_1, variance(changed) / n_2
    error = math.sqrt(share_1 + share_2)
    df = degrees_of_freedom(share_1, n_1, share_2, n_2)
    half = quantile(alpha / 2, df) * error
    return settled(Interval(difference, difference - half, difference + half, df, 2 * upper_tail(abs(difference) / error, df)))


def tipping_spread(estimate: float, n_reference: int, n_changed: int) -> float:
    """The like-tank spread, as the standard deviation of one unit's z, below which the difference would be surprising.

    With one unit in an arm the data cannot say how far like tanks end up apart; this is how small that spread would
    have to be for the difference to stand out (19 times in 20).

    >>> round(tipping_spread(0.8, 1, 1), 4)
    0.2886
    """
    return abs(estimate) / (1.96 * math.sqrt(1 / n_reference + 1 / n_changed))
