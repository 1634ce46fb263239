"""How far people agree when they score the same photos, beyond what chance would give.

Krippendorff's alpha for any number of people with gaps; Cohen's kappa for two sortings of the same photos.
"""

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.inference.rounding import rounded, settled

LEVELS = ("nominal", "ordinal", "interval", "ratio")
WEIGHTS = ("none", "linear", "quadratic")

DRAWS = 1000  # resamples of the photos
CHUNK = 200  # of them at a time, so that a large trial stays within memory
FEWEST_PHOTOS = 5  # that two people scored, before their spread can be resampled
FEWEST_VARIED = 0.95  # share of the resamples that must show two scores or more

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Alpha:
    """Krippendorff's alpha and how sure it is.

    value: 1 for perfect agreement, 0 for what chance would give, below 0 for less; None where all scores are the same, so that there is
    nothing to agree on. low, high: interval by resampling the photos; None with too few of them. level: nominal, ordinal, interval or
    ratio. photos: scored by two people or more. scores: their number on these photos. confidence: the interval's level.
    """

    value: float | None
    low: float | None
    high: float | None
    level: str
    photos: int
    scores: int
    confidence: float


@dataclass(frozen=True)
class Kappa:
    """Cohen's kappa of two ways of sorting the same photos.

    value: 1 for perfect agreement, 0 for what chance would give; None where both put everything into one class. se: its large-sample
    standard error. low, high: value ± quantile · se, cut at -1 and 1. weights: none, linear or quadratic. n: photos.
    """

    value: float | None
    se: float | None
    low: float | None
    high: float | None
    weights: str
    n: int


def one_of(name: str, value: str, accepted: Sequence[str]) -> str:
    if value not in accepted:
        raise InputError(name, value, ", ".join(accepted))
    return value


def _check_confidence(confidence: float) -> None:
    if not 0 < confidence < 1:
        raise OutOfRangeError("confidence", confidence, "above 0 and below 1")


def _counts(photos: Sequence[Sequence[float | None]]) -> tuple[Numbers, Numbers]:
    """How often each photo got each score (photo x score), and the distinct scores, ascending. Photos with one score are left out."""
    for score in (score for scores in photos for score in scores):
        if score is not None and not math.isfinite(score):
            raise InputError("score", score, "a finite number", "Leave the place empty where a photo was not scored.")
    # Rounded: 0.1 + 0.2 and 0.3 are one score.
    kept = [[rounded(score) for score in scores if score is not None] for scores in photos]
    kept = [scores for scores in kept if len(scores) > 1]
    if not kept:
        raise NotEnoughDataError("No photo was scored by two people; agreement needs photos that both of them scored.")
    values, where = np.unique([score for scores in kept for score in scores], return_inverse=True)
    counts = np.zeros((len(kept), values.size))
    np.add.at(counts, (np.repeat(np.arange(len(kept)), [len(scores) for scores in kept]), where), 1.0)
    return counts, values


def _ratio_distances(values: Numbers) -> Numbers:
    total = np.add.outer(values, values)
    return np.where(total == 0, 0.0, np.subtract.outer(values, values) / np.where(total == 0, 1.0, total)) ** 2


def _squares(sizes: Numbers, sums: Numbers, sums_of_squares: Numbers) -> Numbers:
    """The squared distances of all ordered pairs of a group of numbers, added up."""
    return 2.0 * (sizes * sums_of_squares - sums**2)


def _alphas(counts: Numbers, values: Numbers, level: str, taken: Numbers) -> Numbers:
    """Alpha for each row of taken, which says how often each photo is counted; NaN where all scores counted are the same.

    Observed: the distances within photos; expected: the distances among all scores thrown together, each over (scores - 1). These are
    the sums over the coincidence matrix, collected photo by photo. Ordinal distances are interval distances of mid-ranks: the scores
    that lie between two values, half of each value's own counted.
    """
    sizes, pooled = counts.sum(axis=1), taken @ counts
    n = pooled.sum(axis=1)
    if level == "nominal":
        within = np.broadcast_to(sizes**2 - (counts**2).sum(axis=1), taken.shape)
        among = n**2 - (pooled**2).sum(axis=1)
    elif level == "ratio":
        apart = _ratio_distances(values)
        within = np.broadcast_to(((counts @ apart) * counts).sum(axis=1), taken.shape)
        among = ((pooled @ apart) * pooled).sum(axis=1)
    else:
        places = np.cumsum(pooled, axis=1) - pooled / 2 if level == "ordinal" else np.broadcast_to(values, pooled.shape)
        places = places - (pooled * places).sum(axis=1, keepdims=True) / n[:, None]
        within = _squares(sizes, places @ counts.T, places**2 @ counts.T)
        among = _squares(n, (pooled * places).sum(axis=1), (pooled * places**2).sum(axis=1))
    varied = (pooled > 0).sum(axis=1) > 1
    observed = (taken * within / (sizes - 1.0)).sum(axis=1)
    return np.where(varied, 1.0 - (n - 1.0) * observed / np.where(varied, among, 1.0), np.nan)


def seeded(*content: object) -> np.random.Generator:
    """A generator whose stream follows from the content alone, so that the same record always gives the same interval."""
    digest = hashlib.sha256(repr(content).encode()).digest()
    return np.random.Generator(np.random.Philox(key=np.frombuffer(digest[:16], dtype=np.uint64)))


def _resampled_limits(counts: Numbers, values: Numbers, level: str, confidence: float) -> tuple[float, float] | None:
    """Percentiles of alpha over resamples of the photos; None where there are too few photos or the resamples often show one score only."""
    photos = len(counts)
    if photos < FEWEST_PHOTOS:
        return None
    # Sorted first: the interval must not depend on the order in which the photos were handed over.
    counts = counts[np.lexsort(counts.T)]
    draw = seeded("photos", level, values.tolist(), counts.tolist())
    even = np.full(photos, 1 / photos)
    drawn = np.concatenate([
        _alphas(counts, values, level, draw.multinomial(photos, even, size=CHUNK).astype(float)) for _ in range(DRAWS // CHUNK)
    ])
    drawn = drawn[np.isfinite(drawn)]
    if drawn.size < FEWEST_VARIED * DRAWS:
        return None
    low, high = np.quantile(drawn, [(1 - confidence) / 2, (1 + confidence) / 2])
    return float(low), float(high)


def krippendorff_alpha(photos: Sequence[Sequence[float | None]], level: str = "ordinal", *, confidence: float = 0.95) -> Alpha:
    """How far people agree on their scores, beyond what chance would give, for any number of people and with gaps.

    Observed over expected disagreement of scores that met on one photo. Photos with fewer than two scores say nothing about agreement
    and are left out. The interval resamples photos, not scores: what people saw in one photo hangs together.

    Parameters
    ----------
    photos : sequence of sequences of float or None
        For each photo its scores, one place per person; None where a person did not score it. People may come in any order.
    level : str
        nominal (names), ordinal (better and worse), interval (equal steps) or ratio (equal steps from a true zero).
    confidence : float
        Level of the interval, above 0 and below 1.

    Returns
    -------
    Alpha
        value is None where all scores are the same.

    Raises
    ------
    InputError
        If the level is not one of the four or a score is not finite.
    OutOfRangeError
        If the confidence lies outside its range, or a score below 0 is called ratio.
    NotEnoughDataError
        If no photo has two scores.

    References
    ----------
    krippendorff2011, efron1979 (keys from sources.py).

    Examples
    --------
    >>> round(krippendorff_alpha([[1, 1], [2, 2], [3, 3], [4, 3]], "interval").value, 4)
    0.8889
    """
    one_of("level", level, LEVELS)
    _check_confidence(confidence)
    counts, values = _counts(photos)
    if level == "ratio" and values[0] < 0:
        raise OutOfRangeError("score", values[0], "0 or more", "Scores below zero have no true zero: use interval.")
    value = float(_alphas(counts, values, level, np.ones((1, len(counts))))[0])
    counted = len(counts), int(counts.sum())
    if math.isnan(value):
        return Alpha(None, None, None, level, *counted, confidence)
    low, high = _resampled_limits(counts, values, level, confidence) or (None, None)
    return settled(Alpha(value, low, high, level, *counted, confidence))


def _disagreement_weights(size: int, weights: str) -> Numbers:
    apart = np.abs(np.subtract.outer(np.arange(size), np.arange(size)))
    if weights == "none":
        return (apart > 0).astype(float)
    share = apart / max(size - 1, 1)
    return share if weights == "linear" else share**2


def cohen_kappa(table: Sequence[Sequence[float]], weights: str = "none", *, confidence: float = 0.95) -> Kappa:
    """How far two people agree on the class of each photo, beyond what chance would give.

    With weights a near miss counts as part of an agreement: linear by how many classes apart, quadratic by the square of that. The
    standard error is the large-sample one; with few photos it is too small.

    Parameters
    ----------
    table : sequence of sequences of float, shape (classes, classes)
        Photos by the first person's class (row) and the second person's (column), classes in their order.
    weights : str
        none, linear or quadratic.
    confidence : float
        Level of the interval, above 0 and below 1.

    Returns
    -------
    Kappa
        value is None where both people put every photo into one and the same class.

    Raises
    ------
    InputError
        If the table is not square, holds a count that is not a whole number from 0 up, or the weights are not known.
    OutOfRangeError
        If the confidence lies outside its range.
    NotEnoughDataError
        If the table is empty.

    References
    ----------
    cohen1960, fleiss1969 (keys from sources.py).

    Examples
    --------
    >>> round(cohen_kappa([[20, 5], [10, 15]]).value, 2)
    0.4
    """
    one_of("weights", weights, WEIGHTS)
    _check_confidence(confidence)
    if len({len(row) for row in table} | {len(table)}) > 1:
        raise InputError("table", "not square", "as many rows as columns, one for each class")
    counts = np.array(table, dtype=np.float64)
    if not (np.isfinite(counts) & (counts >= 0) & (counts == np.floor(counts))).all():
        raise InputError("table", "not made of counts", "whole numbers from 0 up")
    n = float(counts.sum())
    if n == 0:
        raise NotEnoughDataError("The table holds no photo; agreement needs photos that were scored twice.")
    shares = counts / n
    rows, columns = shares.sum(axis=1), shares.sum(axis=0)
    apart = _disagreement_weights(len(counts), weights)
    by_chance = float(rows @ apart @ columns)
    if by_chance == 0:
        return Kappa(None, None, None, None, weights, int(n))
    value = 1.0 - float((apart * shares).sum()) / by_chance
    # Fleiss, Cohen & Everitt's variance, written with agreement weights.
    near = 1.0 - apart
    typical = (near @ columns)[:, None] + (rows @ near)[None, :]
    spread = float((shares * (near - typical * (1 - value)) ** 2).sum()) - (value - (1 - by_chance) * (1 - value)) ** 2
    se = math.sqrt(max(spread, 0.0) / n) / by_chance
    half = NormalDist().inv_cdf((1 + confidence) / 2) * se
    return settled(Kappa(value, se, max(-1.0, value - half), min(1.0, value + half), weights, int(n)))
