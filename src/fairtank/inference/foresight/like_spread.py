"""How far like tanks end up apart, for planning: as it was stated, from earlier trials, from this trial's run-in, or from a table."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import InputError, OutOfRangeError
from fairtank.inference.earlier.classes import window_class
from fairtank.inference.earlier.like_tanks import SMALLEST_ENTRY_VARIANCE, Library, SpreadKind
from fairtank.inference.foresight.layouts import Layout, weighing_of
from fairtank.inference.foresight.spread_parts import NEW_TANKS, SETTLED_TANKS, SpreadParts, mean_weighing, scaled_to, unit_sd
from fairtank.inference.intervals.welch import mean, variance
from fairtank.inference.series.days import daily_medians, series_of
from fairtank.inference.series.scales import scale_for
from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_MEAN, time_weighted_mean
from fairtank.trial import MeasureChoice, Plan, Series

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
    left_out: entries of earlier trials that do not count, each with its trial and the reason. cautions: what was taken on trust of those
    that do.
    """

    parts: SpreadParts
    sd: float
    origin: str
    df: float | None = None
    trials: int = 0
    low_factor: float = 1.0 / USUAL_FACTOR
    high_factor: float = USUAL_FACTOR
    carries_one_tank: bool = False
    left_out: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()

def kind_of_layout(choice: MeasureChoice, scale: str, layout: Layout, tanks: str) -> SpreadKind:
    """What an entry of earlier like tanks must be about to speak for a layout; tanks is their class, empty where it is not known.

    For the plan's own layout the same as `borrowing.spread_kind` says once there are values.
    """
    if layout.kind == "swap":
        return SpreadKind(choice.key, scale, "swap", window_class(layout.swap_day - layout.first_day), tanks)
    if layout.first_day == layout.last_day:
        return SpreadKind(choice.key, scale, "mean", window_class(max(layout.last_day, 1), read_once=True), tanks)
    alike = 0 if layout.run_in is None else layout.run_in[1] - layout.run_in[0] + 1
    summary = "change" if layout.run_in else "slope" if layout.builds_up else "mean"
    return SpreadKind(choice.key, scale, summary, window_class(layout.last_day - layout.first_day + 1, run_in_days=alike), tanks)


def pooled_sd(library: Library) -> float:
    """The standard deviation of like tanks over the trials of a library, weighted by degrees of freedom. [summary scale]"""
    return math.sqrt(math.fsum(entry.df * entry.variance for entry in library.groups) / library.total_df)


def like_spread(plan: Plan, choice: MeasureChoice, layout: Layout, *, scale: str, sd: float | None = None,
                library: Library | None = None, series: Sequence[Series] = (), tanks: str = "new") -> LikeSpread:
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
    library : Library or None
        Earlier trials of the plan's own kind.
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
    left_out = () if library is None else tuple((out.entry.trial, out.reason) for out in library.left_out)
    if library is not None and library.groups:
        # Entries of a swap are about the whole difference of the periods, its summary here about half of it.
        pooled, df = pooled_sd(library) / (2.0 if layout.kind == "swap" else 1.0), library.total_df
        low, high = _factors(df)
        return LikeSpread(scaled_to(table, weighing, pooled), pooled, "earlier trials", df, len(library.groups), low, high,
                          library.is_qualified, left_out, library.cautions)
    alike = _run_in_means(plan, choice, scale, series)
    if len(alike) > 1 and variance(alike) >= SMALLEST_ENTRY_VARIANCE * (1.0 if scale != "identity" else mean(alike) ** 2):
        parts = scaled_to(table, mean_weighing(0, plan.run_in_days - 1), math.sqrt(variance(alike)))
        low, high = _factors(len(alike) - 1)
        return LikeSpread(parts, unit_sd(parts, weighing), "run-in", float(len(alike) - 1), 0, low, high, left_out=left_out)
    if scale == "identity":
        raise InputError("the spread of like tanks", "not known", "--sd, or earlier trials in spread.csv, or a run-in in series.csv",
                         f"No table holds it for {choice.key}, which is judged as it is.")
    return LikeSpread(table, unit_sd(table, weighing), "table", left_out=left_out)


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
