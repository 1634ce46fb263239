"""How far like tanks end up apart, for planning: as it was stated, from earlier trials, from this trial's run-in, or from a table."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import InputError, OutOfRangeError
from fairtank.inference.days import daily_medians, series_of
from fairtank.inference.layouts import Layout, weighing_of
from fairtank.inference.like_tanks import FEWEST_DF, FEWEST_GROUPS, SMALLEST_ENTRY_VARIANCE
from fairtank.inference.scales import scale_for
from fairtank.inference.spread_parts import NEW_TANKS, SETTLED_TANKS, SpreadParts, mean_weighing, scaled_to, times, unit_sd
from fairtank.inference.welch import mean, variance
from fairtank.inference.windows import FEWEST_DAYS_FOR_A_MEAN, time_weighted_mean
from fairtank.trial import MeasureChoice, Plan, Series, SpreadEntry

TABLES = {"new": NEW_TANKS, "settled": SETTLED_TANKS}
ORIGINS = ("stated", "earlier trials", "run-in", "table")
# Without degrees of freedom: like tanks may differ half as much again, or by a third less.
USUAL_FACTOR = 1.5


@dataclass(frozen=True)
class LikeSpread:
    """The spread that a plan is looked at with.

    parts: what like tanks differ by. sd: of the plan's own summary [summary scale]. origin: one of ORIGINS. df: behind the sd, None where
    nobody counted. trials: earlier trials used. low_factor, high_factor: how much smaller or larger it may well be (95 % where df is
    known, else a third less and half as much again). carries_one_tank: enough earlier trials to judge one or two tanks per arm by them.
    """

    parts: SpreadParts
    sd: float
    origin: str
    df: float | None = None
    trials: int = 0
    low_factor: float = 1.0 / USUAL_FACTOR
    high_factor: float = USUAL_FACTOR
    carries_one_tank: bool = False

    def scaled(self, factor: float) -> SpreadParts:
        """The parts, all larger or smaller by a factor."""
        return times(self.parts, factor)


def like_spread(plan: Plan, choice: MeasureChoice, layout: Layout, *, scale: str, sd: float | None = None,
                entries: Sequence[SpreadEntry] = (), series: Sequence[Series] = (), tanks: str = "new") -> LikeSpread:
    """The best spread at hand: the stated one, else earlier trials, else this trial's run-in, else the table.

    The table tells how a spread is made up of lasting differences, drift and day noise; the others only how large it is.

    Parameters
    ----------
    plan, choice, layout : Plan, MeasureChoice, Layout
        The trial and the measure.
    scale : str
        `logit`, `log` or `identity`.
    sd : float or None
        Standard deviation of the plan's own summary among like tanks, where somebody states it. [summary scale]
    entries : sequence of SpreadEntry
        Earlier trials; those of another measure, scale or summary are left out.
    series : sequence of Series
        What was recorded so far; only the run-in's days are looked at.
    tanks : str
        `new` or `settled`: which row of the table.

    Returns
    -------
    LikeSpread

    Raises
    ------
    InputError
        If `tanks` is neither, or nothing is known about a measure that is judged as it is.
    OutOfRangeError
        If sd is not above 0.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    if tanks not in TABLES:
        raise InputError("tanks", tanks, "new or settled")
    table, weighing = TABLES[tanks], weighing_of(layout)
    if sd is not None:
        if not 0 < sd < math.inf:
            raise OutOfRangeError("sd", sd, "a number above 0")
        return LikeSpread(scaled_to(table, weighing, sd), sd, "stated")
    own = [entry for entry in entries if (entry.measure, entry.scale, entry.summary) == (choice.key, scale, choice.summary)
           and entry.variance >= SMALLEST_ENTRY_VARIANCE and entry.df > 0]
    if own:
        df = math.fsum(entry.df for entry in own)
        pooled = math.sqrt(math.fsum(entry.df * entry.variance for entry in own) / df)
        trials = len({entry.trial for entry in own})
        low, high = _factors(df)
        return LikeSpread(scaled_to(table, weighing, pooled), pooled, "earlier trials", df, trials, low, high,
                          trials >= FEWEST_GROUPS and df >= FEWEST_DF)
    alike = _run_in_means(plan, choice, scale, series)
    if len(alike) > 1 and variance(alike) >= SMALLEST_ENTRY_VARIANCE * (1.0 if scale != "identity" else mean(alike) ** 2):
        parts = scaled_to(table, mean_weighing(0, plan.run_in_days - 1), math.sqrt(variance(alike)))
        low, high = _factors(len(alike) - 1)
        return LikeSpread(parts, unit_sd(parts, weighing), "run-in", float(len(alike) - 1), 0, low, high)
    if scale == "identity":
        raise InputError("the spread of like tanks", "not known", "--sd, or earlier trials in spread.csv, or a run-in in series.csv",
                         f"No table holds it for {choice.key}, which is judged as it is.")
    return LikeSpread(table, unit_sd(table, weighing), "table")


def _factors(df: float) -> tuple[float, float]:
    """How much smaller and larger a standard deviation with that many degrees of freedom may be, 19 times in 20."""
    from scipy.special import chdtri

    return math.sqrt(df / float(chdtri(df, 0.025))), math.sqrt(df / float(chdtri(df, 0.975)))


def _run_in_means(plan: Plan, choice: MeasureChoice, scale: str, series: Sequence[Series]) -> list[float]:
    """Each unit's mean over the run-in, in which all units are alike; empty without a run-in or without values."""
    last = plan.run_in_days - 1
    if last < 0 or not any(one.measure == choice.key for one in series):
        return []
    daily = daily_medians(series_of(plan, choice.key, series))
    inside = [{day: value for day, value in days.items() if 0 <= day <= last} for days in daily.values()]
    used = [days for days in inside if len(days) >= FEWEST_DAYS_FOR_A_MEAN]
    forward = scale_for(scale, tuple(value for days in used for value in days.values()), choice.key).forward
    return [time_weighted_mean([(day, forward(value)) for day, value in sorted(days.items())], (0, last)) for days in used]
