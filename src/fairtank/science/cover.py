"""Cover from counted points: intervals for a share, strata, areas from a confusion matrix, cover classes.

All intervals here are about ONE photo or one map: they say how well its cover is known. They are not intervals for the
difference between tanks; a hundred points in one photo are still one tank.
"""

from dataclasses import dataclass
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input, calculator
from fairtank.science.ranges import Floats, one_number, plain, within
from fairtank.science.scales import COVER_SCALES

# Middle of each cover class [%], classes 1 to 6 of Daubenmire (1959): 0-5, 5-25, 25-50, 50-75, 75-95, 95-100.
DAUBENMIRE_MIDPOINT_PCT = np.array(COVER_SCALES["daubenmire"].middles_pct)

_HITS = Input("k", "points that fell on it", "", 0, 1e9)
_POINTS = Input("n", "points looked at", "", 1, 1e9)
_LEVEL = Input("level", "level of the interval", "", 0.5, 0.9999, default=0.95)
_WEIGHTS = Input("weights", "share of the area in each stratum, separated by commas", "", 0, 1)
_SHARES = Input("shares", "share of the points that fell on it in each stratum, separated by commas", "", 0, 1)
_COUNTS = Input("counts", "points looked at in each stratum, separated by commas", "", 2, 1e9)
_MATRIX = Input("matrix", "counts, one row per map class and one column per true class", "", 0, 1e9)
_AREAS = Input("areas", "mapped area of each class, separated by commas", "", 0, 1e15)
_MAP_SHARE = Input("map_share", "share of the area that the map calls it", "", 0, 1)
_HITS_IN = Input("hits_in", "audited points that are it, where the map says it is", "", 0, 1e9)
_N_IN = Input("n_in", "audited points where the map says it is", "", 0, 1e9)
_HITS_OUT = Input("hits_out", "audited points that are it, where the map says it is not", "", 0, 1e9)
_N_OUT = Input("n_out", "audited points where the map says it is not", "", 0, 1e9)
_CLASSES = Input("classes", "cover class of each plot, separated by commas", "", 1, 6)


class Interval(NamedTuple):
    """Lower and upper limit; a named tuple, so that `low, high = wilson(12, 50)` reads as it should."""

    low: Floats
    high: Floats


@dataclass(frozen=True)
class Share:
    """A share with its standard error [-]."""

    share: float
    se: float


@dataclass(frozen=True)
class AuditedShare:
    """A share with the limits of its interval [-]."""

    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Areas:
    """Areas corrected by a confusion matrix.

    area, se: per class, in the unit of the mapped areas. users: share of a map class that is truly it. producers: share
    of a true class that the map found. overall, overall_se: share of the whole area that the map has right.
    """

    area: NDArray[np.float64]
    se: NDArray[np.float64]
    users: NDArray[np.float64]
    producers: NDArray[np.float64]
    overall: float
    overall_se: float


@calculator(title="Interval for a counted share", unit="", sources=("wilson1927", "newcombe1998single"), inputs=(_HITS, _POINTS, _LEVEL))
def wilson(k: ArrayLike, n: ArrayLike, level: float = 0.95) -> Interval:
    """Lower and upper limit for a share of which k in n points were counted (Wilson's score interval).

    Unlike share ± 2 standard errors it stays inside 0 to 1 and is honest at 0 hits. Points must be independent draws; a
    regular grid of points is treated as if they were.

    Parameters
    ----------
    k : float or array of shape (m,)
        Points that fell on it, at most n. [-], 0 to 1e+09.
    n : float or array of shape (m,)
        Points looked at. [-], 1 to 1e+09.
    level : float
        Level of the interval. [-], 0.5 to 0.9999.

    Returns
    -------
    Interval
        low and high, each of the shape of the input. [-]

    Raises
    ------
    InputError
        If several levels are given.
    OutOfRangeError
        If an input lies outside its range, or k is larger than n.

    References
    ----------
    wilson1927; newcombe1998single, method 3 (keys from sources.py).

    Examples
    --------
    >>> low, high = wilson(12, 50)
    >>> round(low, 4), round(high, 4)
    (0.143, 0.3741)
    """
    hits, points = within(_HITS, k), within(_POINTS, n)
    if (hits > points).any():
        raise OutOfRangeError("k", f"{float(np.max(hits))!r}", "0 to n")
    z = NormalDist().inv_cdf(0.5 + one_number(_LEVEL, level) / 2)
    share = hits / points
    middle = (share + z**2 / (2 * points)) / (1 + z**2 / points)
    half = z / (1 + z**2 / points) * np.sqrt(share * (1 - share) / points + z**2 / (4 * points**2))
    # At 0 and at n hits the exact limits are 0 and 1; rounding would leave 1e-17.
    low = np.where(hits == 0, 0.0, middle - half)
    high = np.where(hits == points, 1.0, middle + half)
    return Interval(plain(low), plain(high))


@calculator(title="Standard error of a counted share", unit="", sources=("cochran1977",), inputs=(_HITS, _POINTS))
def point_intercept_se(k: ArrayLike, n: ArrayLike) -> Floats:
    """Standard error of a share of which k in n points were counted.

    It is 0 when no point or every point hit, which no photo deserves: for an interval take `wilson`. Points of a grid in one photo are
    not independent tanks.

    Parameters
    ----------
    k : float or array of shape (m,)
        Points that fell on it, at most n. [-], 0 to 1e+09.
    n : float or array of shape (m,)
        Points looked at. [-], 1 to 1e+09.

    Returns
    -------
    float or array of shape (m,)
        Standard error of k / n. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or k is larger than n.

    References
    ----------
    cochran1977: sqrt(p (1 - p) / n) (keys from sources.py).

    Examples
    --------
    >>> round(point_intercept_se(12, 50), 4)
    0.0604
    """
    hits, points = within(_HITS, k), within(_POINTS, n)
    if (hits > points).any():
        raise OutOfRangeError("k", f"{float(np.max(hits))!r}", "0 to n")
    share = hits / points
    return plain(np.sqrt(share * (1 - share) / points))


@calculator(title="Share over strata", unit="", sources=("cochran1977",), inputs=(_WEIGHTS, _SHARES, _COUNTS))
def stratified(weights: ArrayLike, shares: ArrayLike, counts: ArrayLike) -> Share:
    """Share of the whole area from shares counted in its parts, with its standard error.

    Each part counts by its area, not by its number of points. Points are taken as a simple random draw inside each part.

    Parameters
    ----------
    weights : array of shape (m,)
        Share of the area in each stratum; they sum to 1. [-], 0 to 1.
    shares : array of shape (m,)
        Share of the points that fell on it in each stratum. [-], 0 to 1.
    counts : array of shape (m,)
        Points looked at in each stratum. [-], 2 to 1e+09.

    Returns
    -------
    Share
        share and se. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the weights do not sum to 1.
    InputError
        If the three lists are not equally long.

    References
    ----------
    cochran1977, sections 5.3 and 5.10 (keys from sources.py).

    Examples
    --------
    >>> result = stratified([.5, .3, .2], [.2, .4, .7], [50, 30, 20])
    >>> round(result.share, 3), round(result.se, 5)
    (0.36, 0.04476)
    """
    weight, share, count = (np.atleast_1d(within(declared, value))
                            for declared, value in ((_WEIGHTS, weights), (_SHARES, shares), (_COUNTS, counts)))
    if not weight.shape == share.shape == count.shape or weight.ndim != 1:
        raise InputError("counts", "of another length than weights or shares", "one number per stratum in each of the three")
    if abs(weight.sum() - 1) > 1e-6:
        raise OutOfRangeError("weights", f"{float(weight.sum())!r} in sum", "numbers that sum to 1")
    variance = (weight**2 * share * (1 - share) / (count - 1)).sum()
    return Share(float((weight * share).sum()), float(np.sqrt(variance)))


@calculator(title="Areas corrected by a confusion matrix", unit="", sources=("olofsson2014",), inputs=(_MATRIX, _AREAS))
def area_from_matrix(matrix: ArrayLike, areas: ArrayLike) -> Areas:
    """True areas of map classes, from points checked in each of them, with standard errors.

    A plain pixel count is biased by what the map mistakes. The sample must have been drawn class by class of the map;
    rows are map classes, columns are what was truly there.

    Parameters
    ----------
    matrix : array of shape (m, m)
        Counts of checked points, rows map class, columns true class, at least 2 in each row. [-], 0 to 1e+09.
    areas : array of shape (m,)
        Mapped area of each class. [any unit of area], 0 to 1e+15.

    Returns
    -------
    Areas
        area and se [unit of the areas], users, producers, overall and overall_se. [-]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range, a row has fewer than 2 points, or all areas are 0.
    InputError
        If the matrix is not square or does not match the areas.

    References
    ----------
    olofsson2014, equations 1 to 11 (keys from sources.py).

    Examples
    --------
    >>> result = area_from_matrix([[45, 5], [10, 90]], [100.0, 300.0])
    >>> result.area.round(1).tolist(), round(result.overall, 3)
    ([120.0, 280.0], 0.9)
    """
    counts, mapped = within(_MATRIX, matrix), within(_AREAS, areas)
    if counts.ndim != 2 or counts.shape != (mapped.size, mapped.size) or mapped.ndim != 1:
        raise InputError("matrix", "not square, or not as wide as there are areas", "as many rows and columns as there are areas")
    rows = counts.sum(axis=1)
    if (rows < 2).any():
        raise OutOfRangeError("matrix", f"{float(rows.min())!r} points in a row", "2 points or more in each map class")
    if mapped.sum() <= 0:
        raise OutOfRangeError("areas", "0 in sum", "more than 0 in sum")
    weight, share = mapped / mapped.sum(), counts / rows[:, None]
    joint = weight[:, None] * share  # eq. 4
    truly = joint.sum(axis=0)  # eq. 9
    se = np.sqrt((weight[:, None] ** 2 * share * (1 - share) / (rows[:, None] - 1)).sum(axis=0))  # eq. 10
    users = np.diag(share)
    producers = np.divide(np.diag(joint), truly, out=np.full(truly.shape, np.nan), where=truly > 0)
    overall_se = np.sqrt((weight**2 * users * (1 - users) / (rows - 1)).sum())  # eq. 5
    return Areas(truly * mapped.sum(), se * mapped.sum(), users, producers, float(np.trace(joint)), float(overall_se))


@calculator(title="Cover from a map and audited points", unit="", sources=("newcombe1998", "wilson1927", "zou2008"),
            inputs=(_MAP_SHARE, _HITS_IN, _N_IN, _HITS_OUT, _N_OUT, _LEVEL))
def audited_cover(map_share: float, hits_in: float, n_in: float, hits_out: float, n_out: float, level: float = 0.95) -> AuditedShare:
    """True cover of a mapped photo, from random points that a person checked, with its interval.

    The map says how the area splits; the points say how often the map is right in each part. Wilson's limits of the two
    parts are combined by the square-and-add rule (MOVER). It is the measurement error of one cover, not a difference
    between tanks. Points are best drawn over the whole area, not half in each part.

    Parameters
    ----------
    map_share : float
        Share of the area that the map calls it. [-], 0 to 1.
    hits_in : float
        Audited points that are it, where the map says it is; at most n_in. [-], 0 to 1e+09.
    n_in : float
        Audited points where the map says it is; 0 only if map_share is 0. [-], 0 to 1e+09.
    hits_out : float
        Audited points that are it, where the map says it is not; at most n_out. [-], 0 to 1e+09.
    n_out : float
        Audited points where the map says it is not; 0 only if map_share is 1. [-], 0 to 1e+09.
    level : float
        Level of the interval. [-], 0.5 to 0.9999.

    Returns
    -------
    AuditedShare
        share, low and high. [-]

    Raises
    ------
    InputError
        If several numbers are given for one input.
    OutOfRangeError
        If an input lies outside its range, or a part of the map that has area has no point.

    References
    ----------
    wilson1927 for each part, newcombe1998 (method 10) and zou2008 for their combination (keys from sources.py).

    Examples
    --------
    >>> result = audited_cover(0.30, 27, 30, 7, 70)
    >>> round(result.share, 3), round(result.low, 3), round(result.high, 3)
    (0.34, 0.281, 0.408)
    """
    inside = one_number(_MAP_SHARE, map_share)
    share, below, above = 0.0, 0.0, 0.0
    for weight, hits, points, hits_name in ((inside, one_number(_HITS_IN, hits_in), one_number(_N_IN, n_in), "hits_in"),
                                            (1 - inside, one_number(_HITS_OUT, hits_out), one_number(_N_OUT, n_out), "hits_out")):
        if hits > points:
            raise OutOfRangeError(hits_name, f"{hits!r}", "0 to the number of points there")
        if weight == 0:
            continue
        if points == 0:
            raise OutOfRangeError(hits_name.replace("hits", "n"), "0.0", "1 or more, because this part of the map has area")
        part = hits / points
        low, high = wilson(hits, points, level)
        share += weight * part
        below += (weight * (part - float(low))) ** 2
        above += (weight * (float(high) - part)) ** 2
    return AuditedShare(share, max(share - below**0.5, 0.0), min(share + above**0.5, 1.0))


@calculator(title="Mean cover from cover classes", unit="%", sources=("daubenmire1959",), inputs=(_CLASSES,))
def daubenmire_mean_pct(classes: ArrayLike) -> float:
    """Mean cover of plots that were scored in Daubenmire's six classes, each at the middle of its class.

    Classes: 1 0-5 %, 2 5-25 %, 3 25-50 %, 4 50-75 %, 5 75-95 %, 6 95-100 %. Classes about double the error of percent
    estimates: where percent can be had, take percent.

    Parameters
    ----------
    classes : array of shape (n,)
        Cover class of each plot, whole numbers. [-], 1 to 6.

    Returns
    -------
    float
        Mean cover. [%]

    Raises
    ------
    OutOfRangeError
        If a class is not one of 1 to 6, or there is none.

    References
    ----------
    daubenmire1959 (keys from sources.py).

    Examples
    --------
    >>> daubenmire_mean_pct([1, 2, 2, 4])
    23.75
    """
    numbers = np.atleast_1d(within(_CLASSES, classes))
    if numbers.size == 0:
        raise OutOfRangeError("classes", "an empty list", "one class or more")
    if (wrong := numbers[numbers != np.round(numbers)]).size:
        raise OutOfRangeError("classes", repr(float(wrong.flat[0])), "a whole number from 1 to 6")
    return float(DAUBENMIRE_MIDPOINT_PCT[numbers.astype(int) - 1].mean())
