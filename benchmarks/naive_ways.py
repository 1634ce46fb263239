"""What people often do with such photos instead: every value counted as if it were a tank. Only to be held against; nothing judges so.

Each way takes the logit of cover (trials, units, days), NaN where there is no photo, and which unit-days stood under the change, and
gives for all trials at once an estimate (changed less reference), its standard error and degrees of freedom.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr, stdtrit

LAST_WEEK_D = 7


@dataclass(frozen=True, eq=False)
class Claimed:
    """For each trial: estimate, limits of the 95 % interval, and whether a difference would have been claimed."""

    estimate: np.ndarray
    low: np.ndarray
    high: np.ndarray
    is_claim: np.ndarray


def _claimed(estimate: np.ndarray, error: np.ndarray, df: np.ndarray) -> Claimed:
    half = stdtrit(df, 0.975) * error
    return Claimed(estimate, estimate - half, estimate + half, 2 * stdtr(df, -np.abs(estimate) / error) < 0.05)


def _student(values: np.ndarray, changed: np.ndarray) -> Claimed:
    """Student's t-test with pooled variance; values (trials, n), NaN for none. Without limits where a side has no value."""
    there = np.isfinite(values)
    sides = [there & mask for mask in (~changed, changed)]
    counts = [side.sum(axis=1) for side in sides]
    with np.errstate(divide="ignore", invalid="ignore"):
        means = [np.where(side, values, 0.0).sum(axis=1) / count for side, count in zip(sides, counts, strict=True)]
        squares = sum((np.where(side, values - centre[:, np.newaxis], 0.0) ** 2).sum(axis=1)
                      for side, centre in zip(sides, means, strict=True))
        df = counts[0] + counts[1] - 2
        error = np.sqrt(squares / df * (1 / counts[0] + 1 / counts[1]))
        return _claimed(means[1] - means[0], error, df)


def daily_t(values: np.ndarray, changed: np.ndarray, ends: tuple[int, ...]) -> Claimed:
    """A t-test over all values of all days."""
    return _student(values.reshape(len(values), -1), np.broadcast_to(changed.ravel(), (len(values), changed.size)))


def last_day(values: np.ndarray, changed: np.ndarray, ends: tuple[int, ...]) -> Claimed:
    """A t-test over the last value of each tank; with one tank each, over all values of the last week. In a swap, of both periods."""
    parts, sides = [], []
    for end in ends:
        week = values[..., end - LAST_WEEK_D + 1:end + 1]
        if values.shape[1] > 2:
            there = np.isfinite(week)
            place = LAST_WEEK_D - 1 - np.argmax(there[..., ::-1], axis=-1)
            week = np.take_along_axis(week, place[..., np.newaxis], -1)
        parts.append(week.reshape(len(values), -1))
        sides.append(np.repeat(changed[:, end], week.shape[-1]))
    both = np.concatenate(parts, axis=1)
    return _student(both, np.broadcast_to(np.concatenate(sides), both.shape))


def photo_anova(values: np.ndarray, changed: np.ndarray, ends: tuple[int, ...]) -> Claimed:
    """An analysis of variance over photos with the arm and the day as factors."""
    there = np.isfinite(values)
    count = there.sum(axis=1, keepdims=True)
    arm = np.where(there, changed, 0.0)
    y = np.where(there, values, 0.0)
    of_day = np.maximum(count, 1)
    arm = np.where(there, arm - arm.sum(axis=1, keepdims=True) / of_day, 0.0)
    y = np.where(there, y - y.sum(axis=1, keepdims=True) / of_day, 0.0)
    squares = (arm * arm).sum(axis=(1, 2))
    estimate = (arm * y).sum(axis=(1, 2)) / squares
    df = there.sum(axis=(1, 2)) - (count > 0).sum(axis=(1, 2)) - 1
    rest = ((y - estimate[:, np.newaxis, np.newaxis] * arm) ** 2).sum(axis=(1, 2))
    return _claimed(estimate, np.sqrt(rest / df / squares), df)


WAYS: dict[str, Callable[[np.ndarray, np.ndarray, tuple[int, ...]], Claimed]] = {
    "daily_t": daily_t, "last_day": last_day, "photo_anova": photo_anova,
}  # fmt: skip
