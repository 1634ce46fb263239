"""The control chart of one difference: weighted means over the days, limits with a stated false-alarm share, and when it left them."""

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.planning.drift.scatter import Scatter, Values, correlation

SMOOTHING_D = 7.0  # a reading's weight in the mean fades to 1/e in so many days
_LEVEL = 0.95


@dataclass(frozen=True)
class Contrast:
    """A difference of units in each period: weights (units, periods), which are zero in periods that do not count."""

    weights: Values
    days: tuple[int, ...]
    baseline: Values
    baseline_until: int

    @functools.cached_property
    def counts(self) -> Values:
        """Which periods count."""
        return np.asarray(np.any(self.weights != 0, axis=0))


@dataclass(frozen=True)
class Course:
    """What a control chart says: days and values of the difference, watched days, weighted means, limits, and their standard errors.

    alarm: place of the first watched day outside its limit; None where none is. start: place, among all days, where the clearest
    departing stretch begins. size, size_se: mean difference over that stretch. t95: multiplier of a 95 % interval.
    """

    days: tuple[int, ...]
    values: Values
    watched: tuple[int, ...]
    smooth: Values
    limits: Values
    ses: Values
    alarm: int | None
    start: int
    size: float
    size_se: float
    t95: float


def difference(contrast: Contrast, values: Values) -> Values:
    """The difference in the periods that count: each unit beyond its own baseline, then weighed."""
    filled = np.where(np.isfinite(values), values, 0.0)
    beyond = filled - (filled * contrast.baseline).sum(axis=1, keepdims=True)
    return np.asarray((contrast.weights * beyond).sum(axis=0)[contrast.counts])


def course_of(contrast: Contrast, values: Values, scatter: Scatter, *, alarm_share: float, until_day: int) -> Course | None:
    """The control chart of one difference, whose false alarms over the whole trial are at most a stated share.

    The share is spent evenly over the days from the last baseline reading to the end of the trial, so that the limits hold however often
    and on whatever days is read and looked: on each day of reading, the chance of being outside is that of the days since the reading
    before, and chances of several days add up to no more than their sum.

    Parameters
    ----------
    contrast : Contrast
        Which units, and in which periods.
    values : array of shape (units, periods)
        NaN where there is none.
    scatter : Scatter
        Of one reading of one unit.
    alarm_share : float
        False-alarm share of this chart over the whole trial. [], 0 to 1
    until_day : int
        Last day of the trial.

    Returns
    -------
    Course or None
        None where no day after the baseline counts.

    References
    ----------
    roberts1959 for the weighted mean; boole1854 for the sum of chances (keys from sources.py).
    """
    weights, baseline = contrast.weights, contrast.baseline
    design = _design(weights.tobytes(), baseline.tobytes(), weights.shape, contrast.days, contrast.baseline_until, scatter.slow_share)
    if design is None or scatter.sd <= 0:
        return None
    values_d = difference(contrast, values)
    smooth, ses = design.smoothing @ values_d[design.first:], scatter.sd * design.ses
    chances = alarm_share * design.gaps / max(until_day - design.before, float(design.gaps.sum()))
    limits = _t_of(chances / 2, scatter.df) * ses
    outside = np.flatnonzero(np.abs(smooth) > limits)
    start, size, size_se = _stretch(values_d, scatter.sd**2 * design.covariance, design.first, outside)
    days, watched = design.days, design.days[design.first:]
    t95 = float(_t_of(np.array([(1 - _LEVEL) / 2]), scatter.df)[0])
    return Course(days, values_d, watched, smooth, limits, ses, int(outside[0]) if len(outside) else None, start, size, size_se, t95)


def _t_of(tail: Values, df: float) -> Values:
    """How many standard errors leave so large a share above them."""
    from scipy.special import stdtrit

    return np.asarray(-stdtrit(df, tail))


def _smoothing(gaps: Values) -> Values:
    """Weights of the readings in each weighted mean: it starts at zero and moves towards each reading, further after a longer gap."""
    moves = 1.0 - np.exp(-gaps / SMOOTHING_D)
    weights = np.zeros((len(gaps), len(gaps)))
    row = np.zeros(len(gaps))
    for place, move in enumerate(moves):
        row = row * (1.0 - move)
        row[place] = move
        weights[place] = row
    return weights


@dataclass(frozen=True, eq=False)
class _Design:
    """What of a chart does not hang on the values: days that count, place of the first watched one, the day before it, gaps between watched
    days, weights of the means, and for scatter of variance 1 covariance of the difference and standard errors of the means."""

    days: tuple[int, ...]
    first: int
    before: int
    gaps: Values
    smoothing: Values
    covariance: Values
    ses: Values


@functools.lru_cache(maxsize=1024)
def _design(weights_bytes: bytes, baseline_bytes: bytes, shape: tuple[int, int], all_days: tuple[int, ...], baseline_until: int,
            slow_share: float) -> _Design | None:
    """None where no day after the baseline counts."""
    counts = np.any(np.frombuffer(weights_bytes).reshape(shape) != 0, axis=0)
    days = tuple(int(day) for day, counted in zip(all_days, counts, strict=True) if counted)
    first = sum(day <= baseline_until for day in days)
    if first == len(days):
        return None
    before = days[first - 1] if first else baseline_until
    gaps = np.diff(np.array((before, *days[first:]), dtype=float))
    smoothing = _smoothing(gaps)
    covariance = _unit_covariance(weights_bytes, baseline_bytes, shape, all_days, slow_share)
    variances = ((smoothing @ covariance[first:, first:]) * smoothing).sum(axis=1)
    return _Design(days, first, before, gaps, smoothing, covariance, np.sqrt(np.maximum(variances, 1e-18)))


def _unit_covariance(weights_bytes: bytes, baseline_bytes: bytes, shape: tuple[int, int], days: tuple[int, ...],
                     slow_share: float) -> Values:
    """Covariance of the difference between periods that count, for scatter of variance 1."""
    weights = np.frombuffer(weights_bytes).reshape(shape)
    baseline = np.frombuffer(baseline_bytes).reshape(shape)
    counts = np.any(weights != 0, axis=0)
    between = correlation(days, slow_share)
    total = np.zeros((int(counts.sum()),) * 2)
    for unit in range(shape[0]):
        operator = (weights[unit][:, None] * (np.eye(shape[1]) - baseline[unit][None, :]))[counts]
        total += operator @ between @ operator.T
    return total


def _stretch(values: Values, covariance: Values, first: int, outside: NDArray[np.intp]) -> tuple[int, float, float]:
    """Where the clearest departing stretch begins, its mean and standard error: it ends with the last day outside, unless that is the last
    or last but one; without any day outside it is all watched days."""
    last = len(values) - 1
    until = last if not len(outside) or first + outside[-1] >= last - 1 else first + int(outside[-1])
    starts = range(first, first + int(outside[0]) + 1) if len(outside) else (first,)
    best, found = -1.0, (first, 0.0, 1.0)
    for start in starts:
        rest = slice(start, until + 1)
        mean, se = float(values[rest].mean()), math.sqrt(max(float(covariance[rest, rest].mean()), 1e-18))
        if abs(mean) / se > best:
            best, found = abs(mean) / se, (start, mean, se)
    return found
