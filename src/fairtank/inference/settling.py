"""What would settle a finding: how many tanks, pairs or rounds would tell a difference as large as the margin, with the scatter seen here.

Nothing here asks how large the difference was that was seen: the power of a trial against its own result says nothing that the interval
does not say better.
"""

import math
from collections.abc import Callable
from functools import cache

from fairtank.finding import MOST_NEEDED, Finding, Settling
from fairtank.inference.foresight.power import t_multiplier
from fairtank.inference.foresight.spread_parts import SETTLED_TANKS, Weighing, mean_weighing, swap_weighing, unit_sd
from fairtank.inference.intervals.chi_square import over_df
from fairtank.inference.intervals.student import quantile
from fairtank.inference.unfinished import NOT_OVER
from fairtank.inference.working import TWO_GROUPS

SAMPLES = {"pairs": "pair", "rounds": "round"}
FEWEST = {"pair": 3, "round": 4}
FEWEST_PER_ARM = 2
TOLD_BY = (3, 6, 12)  # units per arm for which the smallest difference is told where no margin was fixed
# The run-in and the wash-out that are reckoned with, and the shortest window that is worth halving: two periods of ten days, as few as a
# mean needs with a wash-out between them. Common practice, no source.
RUN_IN_D, WASHOUT_D, SHORTEST_SWAP_D = 14, 3, 20
# How much farther than a pooled t interval Welch's reaches on average before it finds a difference 4 times in 5, by units per arm.
WELCH_OVER_POOLED = {2: 1.838, 3: 1.142, 4: 1.056, 5: 1.030, 6: 1.018, 7: 1.012, 8: 1.009}
# A spread that is borrowed: these tanks may vary half as much again, or a third less.
BORROWED_FACTOR = 1.5
FEWEST_DF = 2.0  # below it a standard deviation may be nearly anything, and nothing is reckoned from it
_UNSURE = 0.1  # on either side of the range in which the spread lies 4 times in 5

DifferenceOf = Callable[[int], float]


def settling_of(finding: Finding) -> Settling | None:
    """What would settle a primary finding.

    Parameters
    ----------
    finding : Finding
        Frozen but for this field; its facts hold the scatter (`working`).

    Returns
    -------
    Settling or None
        None for a secondary measure and for a trial that is not over.

    References
    ----------
    arithmetic, student1908, welch1947 (keys from sources.py).

    Examples
    --------
    See `tests/inference/test_settling.py`.
    """
    if finding.role != "primary" or finding.spoilt_reason.startswith(NOT_OVER):
        return None
    sample = SAMPLES.get(finding.design, finding.unit_word)
    have = min(finding.n_reference, finding.n_changed)
    if "looks_left" in dict(finding.facts):
        return Settling("wait", finding.margin, sample, have)
    if finding.grade == "spoilt":
        return Settling("again", finding.margin, sample, have)
    if finding.grade in ("matters", "alike"):
        return Settling("repeat", finding.margin, sample, have)
    if _is_capped(finding):
        return Settling("blind", finding.margin, sample, have)
    if finding.low is None and "at the limit of the scale" in finding.tags:
        return Settling("scale", finding.margin, sample, have)
    if finding.summary == "threshold" or (finding.grade == "alone" and sample in FEWEST):
        return Settling("count", finding.margin, sample, have)
    if finding.design not in (*TWO_GROUPS, *SAMPLES):
        return Settling("more", finding.margin, sample, have)
    return _reckoned(finding, sample, have)


def _is_capped(finding: Finding) -> bool:
    """Whether the interval alone would say more, and only the missing blinding holds it back."""
    low, high, margin = finding.low, finding.high, finding.margin
    if finding.grade != "open" or "not blinded" not in finding.tags or low is None or high is None:
        return False
    return low > 0 or high < 0 or (margin is not None and -margin < low and high < margin)


def _reckoned(finding: Finding, sample: str, have: int) -> Settling:
    """The numbers: from the margin, or without one what given numbers of units would tell."""
    alpha = (1.0 - finding.level) / max(finding.comparisons, 1)
    spread, basis, df = _spread(finding)
    told = _difference(sample, alpha)
    aim = "size" if finding.margin is None else "width" if finding.grade == "differs" else "difference"
    if spread is None or (df is not None and df < FEWEST_DF):
        largest = None if finding.margin is None or aim != "difference" else _rough(finding.margin / told(3))
        return Settling(aim, finding.margin, sample, have, spread_for_three=largest)
    if finding.margin is None:
        reach = tuple((count, _rough(spread * told(count))) for count in TOLD_BY if count >= FEWEST.get(sample, 0))
        return Settling(aim, None, sample, have, spread, basis, df, reach=reach)
    reaches = _width(sample, alpha) if aim == "width" else told
    low_factor, high_factor = _factors(df)
    fewest = FEWEST.get(sample, FEWEST_PER_ARM)
    needed, low, high = (fewest_that(reaches, finding.margin / (factor * spread), fewest) for factor in (1.0, low_factor, high_factor))
    run_in, swap = (None, None) if sample in FEWEST else _other_ways(finding, spread, reaches)
    return Settling(aim, finding.margin, sample, have, spread, basis, df, needed, low, high, with_run_in=run_in, with_swap=swap)


def _rough(size: float) -> float:
    """Six figures: more than such a reckoning holds, and the same on every processor."""
    return float(f"{size:.6g}")


def _spread(finding: Finding) -> tuple[float | None, str, float | None]:
    """Standard deviation of one unit's share in the effect, where it comes from, and its degrees of freedom."""
    facts, half = dict(finding.facts), 2.0 if finding.summary == "swap" else 1.0
    if finding.earlier is not None and finding.earlier.typical_spread is not None and not finding.earlier.withdrawn:
        return finding.earlier.typical_spread / half, "earlier tanks", None
    for key, lost in (("spread_of_pairs", 1), ("spread_of_rounds", 2)):
        if key in facts:
            return facts[key], "own tanks", float(finding.n_changed - lost)
    n_1, n_2 = finding.n_reference, finding.n_changed
    squares = [(n - 1) * facts[key] ** 2 for n, key in ((n_1, "spread_reference"), (n_2, "spread_changed")) if key in facts]
    df = float(n_1 + n_2 - 2)
    if not squares or math.fsum(squares) == 0:
        return None, "", None
    return math.sqrt(math.fsum(squares) / df) / half, "own tanks", df


@cache
def _difference(sample: str, alpha: float) -> DifferenceOf:
    """The smallest difference that so many units per arm, pairs or rounds tell 4 times in 5, in standard deviations of one of them."""
    if sample == "pair":
        return lambda count: t_multiplier(count - 1.0, alpha=alpha) / math.sqrt(count)
    if sample == "round":
        return lambda count: t_multiplier(count - 2.0, alpha=alpha) / math.sqrt(count * (1.0 - (count % 2) / count**2))
    return lambda count: WELCH_OVER_POOLED.get(count, 1.0) * t_multiplier(2.0 * count - 2.0, alpha=alpha) * math.sqrt(2.0 / count)


def _width(sample: str, alpha: float) -> DifferenceOf:
    """How far the interval reaches to either side, in standard deviations of one unit, pair or round."""
    if sample == "pair":
        return lambda count: quantile(alpha / 2, count - 1.0) / math.sqrt(count)
    if sample == "round":
        return lambda count: quantile(alpha / 2, count - 2.0) / math.sqrt(count)
    return lambda count: quantile(alpha / 2, 2.0 * count - 2.0) * math.sqrt(2.0 / count)


def fewest_that(reaches: DifferenceOf, wanted: float, fewest: int) -> int:
    """The smallest count from `fewest` on for which a falling function comes down to the wanted value; MOST_NEEDED + 1 if none does.

    >>> fewest_that(lambda count: 1.0 / count, 0.1, 2)
    10
    """
    if reaches(fewest) <= wanted:
        return fewest
    low, high = fewest, MOST_NEEDED + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if reaches(middle) <= wanted else (middle, high)
    return high


def _factors(df: float | None) -> tuple[float, float]:
    """How much smaller and larger the spread may well be than it was seen."""
    if df is None:
        return 1.0 / BORROWED_FACTOR, BORROWED_FACTOR
    return 1.0 / math.sqrt(over_df(df, _UNSURE)), 1.0 / math.sqrt(over_df(df, 1.0 - _UNSURE))


def _other_ways(finding: Finding, spread: float, reaches: DifferenceOf) -> tuple[int | None, int | None]:
    """The number needed after a run-in and in a swap, by how much of a lasting difference between tanks each would take out."""
    first, last = finding.window
    by_choices = finding.eyes is not None and finding.eyes.kind == "choices"
    if finding.margin is None or finding.summary not in ("mean", "change") or finding.reading_day is not None or by_choices:
        return None, None
    now = _sd(mean_weighing(first, last, finding.run_in))
    after_run_in = None
    if finding.run_in is None:
        compared = _sd(mean_weighing(first, last, (first - RUN_IN_D, first - 1)))
        after_run_in = fewest_that(reaches, finding.margin * now / (spread * compared), FEWEST_PER_ARM)
    if last - first < SHORTEST_SWAP_D or finding.comparisons > 1:  # a swap is for two arms
        return after_run_in, None
    swapped = _sd(swap_weighing(first, (first + last + 1) // 2, last, WASHOUT_D))
    return after_run_in, fewest_that(reaches, finding.margin * now / (spread * swapped), FEWEST_PER_ARM)


def _sd(weighing: Weighing) -> float:
    return unit_sd(SETTLED_TANKS, weighing)
