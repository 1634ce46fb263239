"""What like tanks differ by, in parts, and how much of each part a design's summary lets through.

Every summary of a series is a weighted sum of its days. From the weights follow, exactly, how far the numbers of like tanks scatter
and how much of an effect of a given shape arrives in them.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from fairtank.errors import OutOfRangeError


@dataclass(frozen=True)
class SpreadParts:
    """Standard deviations between like tanks on the summary scale.

    level_sd: lasting difference of level. lasting_drift_sd: difference in rate per day that lasts the whole trial. period_drift_sd: the
    same, new in each period of a swap and after a run-in. day_sd: wandering from day to day, which is still `phi` alike on the next day.
    photo_sd: of one photo's reading.
    """

    level_sd: float
    lasting_drift_sd: float
    period_drift_sd: float
    day_sd: float
    phi: float
    photo_sd: float

    def __post_init__(self) -> None:
        for name in ("level_sd", "lasting_drift_sd", "period_drift_sd", "day_sd", "photo_sd"):
            if not 0 <= getattr(self, name) < math.inf:
                raise OutOfRangeError(name, getattr(self, name), "0 or more")
        if not 0 <= self.phi < 1:
            raise OutOfRangeError("phi", self.phi, "from 0 to below 1")


# Invented like tanks in cover on the logit scale; no source. They are those of the project's simulated trials.
NEW_TANKS = SpreadParts(0.5, 0.010, 0.007, 0.25, 0.8, 0.12)
SETTLED_TANKS = SpreadParts(0.5, 0.003, 0.003, 0.25, 0.8, 0.12)


@dataclass(frozen=True)
class Weighing:
    """A summary as a weighted sum of days.

    days: the days used. weights: one per day. period: 0 for the run-in, 1 and 2 for the treated periods. since: days since that period's
    start; drift starts anew with a period that follows a reset. has_reset: the tanks are cleaned before period 2.
    """

    days: tuple[int, ...]
    weights: tuple[float, ...]
    period: tuple[int, ...]
    since: tuple[int, ...]
    has_reset: bool = False


def _mean_weights(first: int, last: int) -> list[tuple[int, float]]:
    """The time-weighted mean over daily values: the ends count half, because the path is drawn from day to day."""
    if first == last:
        return [(first, 1.0)]
    return [(day, (0.5 if day in (first, last) else 1.0) / (last - first)) for day in range(first, last + 1)]


def mean_weighing(first: int, last: int, run_in: tuple[int, int] | None = None) -> Weighing:
    """The mean from day first to day last, less that of the run-in where there is one.

    >>> mean_weighing(0, 2).weights
    (0.25, 0.5, 0.25)
    """
    rows = [(day, weight, 1, day - first) for day, weight in _mean_weights(first, last)]
    if run_in is not None:
        rows = [(day, -weight, 0, day - run_in[0]) for day, weight in _mean_weights(*run_in)] + rows
    return _weighing(rows)


def swap_weighing(first: int, swap_day: int, last: int, washout_days: int) -> Weighing:
    """Half of the first period's mean less the second's; the wash-out is left out at the start of both.

    >>> abs(sum(swap_weighing(0, 21, 42, 3).weights)) < 1e-12
    True
    """
    rows = []
    for period, (start, end) in ((1, (first, swap_day - 1)), (2, (swap_day, last))):
        sign = 0.5 if period == 1 else -0.5
        rows += [(day, sign * weight, period, day - start) for day, weight in _mean_weights(min(start + washout_days, end), end)]
    return replace(_weighing(rows), has_reset=True)


def slope_weighing(first: int, last: int) -> Weighing:
    """The least-squares slope per day from day first to day last, at least two days.

    >>> slope_weighing(0, 1).weights
    (-1.0, 1.0)
    """
    if last <= first:
        raise OutOfRangeError("last", last, f"a day after day {first}")
    middle = (first + last) / 2.0
    whole = math.fsum((day - middle) ** 2 for day in range(first, last + 1))
    return _weighing([(day, (day - middle) / whole, 1, day - first) for day in range(first, last + 1)])


def _weighing(rows: list[tuple[int, float, int, int]]) -> Weighing:
    days, weights, period, since = zip(*rows, strict=True)
    return Weighing(days, weights, period, since)


def unit_sd(parts: SpreadParts, weighing: Weighing) -> float:
    """How far the summaries of like units scatter.

    Parameters
    ----------
    parts : SpreadParts
        What like tanks differ by.
    weighing : Weighing
        The summary.

    Returns
    -------
    float
        Standard deviation of one unit's z. [summary scale]

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(unit_sd(SETTLED_TANKS, mean_weighing(14, 42, (0, 13))) / unit_sd(SETTLED_TANKS, mean_weighing(0, 42)), 1)
    0.4
    """
    weights, days, period = (np.array(values, dtype=float) for values in (weighing.weights, weighing.days, weighing.period))
    since = np.array(weighing.since, dtype=float)
    if weighing.has_reset:
        level = math.fsum(weighing.weights)
        drift = float(weights @ since)
        drifts = [float((weights * since)[period == one].sum()) for one in np.unique(period)]
    else:
        start = float(days[0])
        level, drift = math.fsum(weighing.weights), float(weights @ (days - start))
        drifts = _drift_of_periods(weights, days, period)
    noise = parts.day_sd**2 * float(weights @ (parts.phi ** np.abs(days[:, None] - days[None, :])) @ weights)
    return math.sqrt((parts.level_sd * level) ** 2 + (parts.lasting_drift_sd * drift) ** 2
                     + parts.period_drift_sd**2 * math.fsum(one**2 for one in drifts) + noise
                     + parts.photo_sd**2 * float(weights @ weights))


def _drift_of_periods(weights: np.ndarray, days: np.ndarray, period: np.ndarray) -> list[float]:
    """How far each period's own rate reaches into the summary: it moves its own days, and all later ones stay where it left them."""
    reached = []
    starts = [float(days[period == one][0]) for one in np.unique(period)]
    for start, end in zip(starts, [*starts[1:], math.inf], strict=True):
        reached.append(float(weights @ np.clip(days - start, 0.0, end - start)))
    return reached


def effect_share(weighing: Weighing, shape: str, full_after_d: float = 1.0) -> float:
    """How much of an effect arrives in the summary's difference between the arms.

    Parameters
    ----------
    weighing : Weighing
        The summary; a run-in's days (period 0) have no effect, and in a swap the other order has it in the other period.
    shape : str
        `at once`: the effect is there from the start of a treated period on. `builds up`: it grows by the same amount each day.
    full_after_d : float
        With `builds up`: after how many days the effect counts as 1, above 0. [d]

    Returns
    -------
    float
        The expected difference of changed and reference for an effect of 1. [summary scale]

    Raises
    ------
    OutOfRangeError
        If the shape is not known.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> effect_share(mean_weighing(0, 42), "at once"), effect_share(mean_weighing(0, 42), "builds up", 42.0)
    (1.0, 0.5)
    """
    if shape not in ("at once", "builds up"):
        raise OutOfRangeError("shape", shape, "`at once` or `builds up`")
    total = []
    for weight, period, since in zip(weighing.weights, weighing.period, weighing.since, strict=True):
        size = 1.0 if shape == "at once" else since / full_after_d
        total.append(0.0 if period == 0 else abs(weight) * size if weighing.has_reset else weight * size)
    return round(math.fsum(total), 12)


def scaled_to(parts: SpreadParts, weighing: Weighing, sd: float) -> SpreadParts:
    """The same mixture of parts, larger or smaller, so that this summary scatters by sd.

    >>> round(unit_sd(scaled_to(NEW_TANKS, mean_weighing(0, 42), 0.3), mean_weighing(0, 42)), 12)
    0.3
    """
    if not 0 < sd < math.inf:
        raise OutOfRangeError("sd", sd, "a number above 0")
    factor = sd / unit_sd(parts, weighing)
    return times(parts, factor)


def times(parts: SpreadParts, factor: float) -> SpreadParts:
    """Every standard deviation times a factor."""
    return SpreadParts(parts.level_sd * factor, parts.lasting_drift_sd * factor, parts.period_drift_sd * factor, parts.day_sd * factor,
                       parts.phi, parts.photo_sd * factor)
