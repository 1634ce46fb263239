"""How far like tanks scatter around each other: what the tanks of one arm show, leaning on what is known of the readings themselves."""

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Values = NDArray[np.float64]

MEMORY_D = 7.0  # slow wander: what a tank is off today fades to 1/e in a week (an assumption; the benchmark tries others)
SHARES = (0.2, 0.5, 0.8, 1.0)  # of the variance that is slow
USUAL_SHARE = 0.5
PRIOR_DF = 10.0  # what is known of the readings counts as much as so many degrees of freedom
_ENOUGH_DF = 12.0
_EULER = 0.5772156649


@dataclass(frozen=True)
class Scatter:
    """Natural scatter of one reading around its tank's own course: standard deviation, its degrees of freedom, and the share of the
    variance that is slow wander."""

    sd: float
    df: float
    slow_share: float


def correlation(days: Sequence[int], slow_share: float) -> Values:
    """Correlation of one tank's scatter between days: a part that is new with each reading, and one that fades in a week.

    Parameters
    ----------
    days : sequence of int
        Days of the readings.
    slow_share : float
        Share of the variance that is slow. [], 0 to 1

    Returns
    -------
    array of shape (n, n)
        Ones on the diagonal.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    at = np.asarray(days, dtype=float)
    slow = slow_share * np.exp(-np.abs(at[:, None] - at[None, :]) / MEMORY_D)
    return np.asarray(slow + (1.0 - slow_share) * np.eye(len(at)))


def baseline_weights(present: Values, is_baseline: Values) -> Values:
    """Equal weights on a unit's baseline readings; zeros where a level is held against nothing.

    Shapes: present (units, periods) of 0 and 1, is_baseline (periods,).
    """
    chosen = present * is_baseline[None, :]
    return np.asarray(chosen / np.maximum(chosen.sum(axis=1, keepdims=True), 1.0))


def scatter_of(values: Values, present: Values, days: tuple[int, ...], baseline: Values, groups: Sequence[Sequence[int]],
               known_sd: tuple[float, float]) -> Scatter | None:
    """Natural scatter from tanks of one arm around their arm's mean; None where no arm has two tanks.

    Parameters
    ----------
    values, present : array of shape (units, periods)
        Values (anything where absent), and 1 where there is one.
    days : tuple of int
        Of the periods.
    baseline : array of shape (units, periods)
        Weights that make each unit's baseline mean; zeros for sums.
    groups : sequence of sequences of int
        Rows of the units of each arm.
    known_sd : (float, float)
        What is known of the readings: from reading to reading, and slow.

    Returns
    -------
    Scatter or None

    References
    ----------
    satterthwaite1946; smyth2004 (keys from sources.py).
    """
    groups = [group for group in groups if len(group) > 1]
    if not groups:
        return None
    keys = tuple((present[list(group)].tobytes(), len(group), days, baseline[list(group)].tobytes()) for group in groups)
    sums = [_sums(values[list(group)].tobytes(), *key) for group, key in zip(groups, keys, strict=True)]
    total, steps = (sum(column) for column in zip(*sums, strict=True))
    expected = _expected_of(keys)
    share = _slow_share(total, steps, expected)
    mean, spread = expected[share][0], expected[share][2]
    if mean <= 0:
        return None
    return joined(total / mean, 2.0 * mean**2 / spread, known_sd, share, leans=False)


def joined(variance: float, df: float, known_sd: tuple[float, float], share: float, *, leans: bool) -> Scatter:
    """What the tanks show beside what is known: never less than is known, since a coarse test can show no scatter at all.

    leans: what is shown is too little to stand alone, so that the two are weighed together; else scatter above what is known counts as
    it is.
    """
    known = known_sd[0] ** 2 + known_sd[1] ** 2
    if known <= 0:
        return Scatter(math.sqrt(variance), df, share)
    if variance <= known:
        return Scatter(math.sqrt(known), df + PRIOR_DF, share)
    if leans:
        return Scatter(math.sqrt((PRIOR_DF * known + df * variance) / (PRIOR_DF + df)), df + PRIOR_DF, share)
    return Scatter(math.sqrt(variance), df, share)


def scatter_of_two(difference: Values, days: Sequence[int], known_sd: tuple[float, float]) -> Scatter:
    """Natural scatter where only two tanks can be compared: from the steps of their difference, which a slow drift hardly touches.

    The largest step is left out, so that a jump that is to be found does not hide itself. How far the two wander slowly cannot be seen;
    half of the variance is taken to be slow.

    Parameters
    ----------
    difference : array of shape (n,)
        Difference of the two, in order.
    days : sequence of int
        Their days.
    known_sd : (float, float)
        What is known of the readings: from reading to reading, and slow.

    Returns
    -------
    Scatter
        Of one tank.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    known = known_sd[0] ** 2 + known_sd[1] ** 2
    steps = np.sort(np.diff(difference) ** 2)
    count = len(steps)
    if count < 4:
        return Scatter(math.sqrt(known), PRIOR_DF, USUAL_SHARE)
    # Expected largest of so many squared normal numbers (the first terms of its extreme-value expansion).
    largest = 2 * math.log(count) - math.log(math.log(count)) - math.log(math.pi) + 2 * _EULER
    kept = float(steps[:-1].sum()) / max(count - largest, 1.0)
    slow = np.exp(-np.diff(np.asarray(days, dtype=float)) / MEMORY_D)
    each = 2 * 2 * float(np.mean(1 - USUAL_SHARE * slow))  # two tanks, two readings each
    return joined(kept / each, (count - 1) * 2 / 3, known_sd, USUAL_SHARE, leans=True)


@functools.lru_cache(maxsize=64)
def _sums(values_bytes: bytes, present_bytes: bytes, count: int, days: tuple[int, ...], baseline_bytes: bytes) -> tuple[float, float]:
    """Sum of squares and sum of squared steps of an arm's tanks around its mean; the same arm is asked for by chart after chart."""
    values, present, baseline = (np.frombuffer(one).reshape(count, len(days)) for one in (values_bytes, present_bytes, baseline_bytes))
    residual = _residual(values, present, baseline)
    return float(np.sum(residual**2)), float(np.sum(np.diff(residual, axis=1) ** 2))


def _residual(values: Values, present: Values, baseline: Values) -> Values:
    """Each unit beyond its baseline, less the mean of its arm on the same days; 0 where there is no value."""
    filled = np.where(present > 0, values, 0.0)
    beyond = (filled - (filled * baseline).sum(axis=1, keepdims=True)) * present
    return np.asarray((beyond - beyond.sum(axis=0) / np.maximum(present.sum(axis=0), 1.0)) * present)


@functools.lru_cache(maxsize=1024)
def _expected_of(keys: tuple[tuple[bytes, int, tuple[int, ...], bytes], ...]) -> dict[float, Values]:
    """What scatter of variance 1 would give in several arms together, by the share that is slow."""
    return {share: np.sum([_expected(*key, share) for key in keys], axis=0) for share in SHARES}


@functools.lru_cache(maxsize=1024)
def _expected(present_bytes: bytes, count: int, days: tuple[int, ...], baseline_bytes: bytes, slow_share: float) -> Values:
    """Expected sum of squares, sum of squared steps, and variance of the sum of squares, for scatter of variance 1."""
    periods = len(days)
    present = np.frombuffer(present_bytes).reshape(count, periods)
    baseline = np.frombuffer(baseline_bytes).reshape(count, periods)
    beyond = np.zeros((count, periods, count, periods))
    for unit in range(count):
        beyond[unit, :, unit, :] = present[unit][:, None] * (np.eye(periods) * present[unit] - baseline[unit][None, :])
    mean = beyond.sum(axis=0) / np.maximum(present.sum(axis=0), 1.0)[:, None, None]
    operator = (beyond - present[:, :, None, None] * mean[None]).reshape(count * periods, count, periods)
    root = np.linalg.cholesky(correlation(days, slow_share) + 1e-9 * np.eye(periods))
    spread = (operator @ root).reshape(count * periods, count * periods)
    gram = spread.T @ spread
    steps = np.diff(spread.reshape(count, periods, count * periods), axis=1)
    return np.array([np.trace(gram), np.sum(steps**2), 2.0 * np.sum(gram**2)])


def _slow_share(total: float, steps: float, expected: dict[float, Values]) -> float:
    """The share whose expected ratio of steps to whole fits best; not below the usual one where there is too little to tell it from."""
    mean, _, spread = expected[USUAL_SHARE]
    if total <= 0 or steps <= 0:
        return USUAL_SHARE
    seen = math.log(steps / total)
    best = min(SHARES, key=lambda share: abs(math.log(expected[share][1] / expected[share][0]) - seen))
    return best if 2.0 * mean**2 / spread >= _ENOUGH_DF else max(best, USUAL_SHARE)
