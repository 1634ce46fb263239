"""The forecast of a trial: bands of what is plausible in each arm, when fauna may come in, how far arms part, what would tell most."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.fit import READING_ERRORS, Fit, Observed, weighed_quantiles
from fairtank.simulation.tank import MEASURES, Ensemble, LikeSpread

Array = NDArray[np.float64]
SHARES = (0.05, 0.5, 0.95)
TESTS = ("total_ammonia", "nitrite", "nitrate")
_APART_D, _MOST_TESTS, _LEAST_TOLD = 4, 3, 0.05


@dataclass(frozen=True)
class Band:
    """One measure of one arm: key, and for each day from 0 the low end, the middle and the high end of the band of nine in ten courses."""

    measure: str
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class Safe:
    """From which day on ammonia and nitrite stay clear: low end, middle and high end over nine in ten courses; None: not within the days.

    never_fraction: courses in which that is not reached within the days. before: the ends without any readings, where readings were weighed
    in, else None.
    """

    low_day: int | None
    middle_day: int | None
    high_day: int | None
    never_fraction: float
    before: tuple[int | None, int | None] | None = None


@dataclass(frozen=True)
class ArmForecast:
    """One arm: its bands by measure, when fauna may come in, and the most un-ionised ammonia over the days (low, middle, high) [mg/L N]."""

    arm: str
    bands: dict[str, Band]
    safe: Safe
    most_ammonia_mg_l: tuple[float, float, float]


@dataclass(frozen=True)
class Parting:
    """How far a changed arm parts from the reference in the mean over some days: low, middle, high, in the measure's unit.

    Both arms were run with the same draws: this is what the change alone does in the model, without what parts like tanks.
    """

    arm: str
    measure: str
    low: float
    middle: float
    high: float
    first_day: int
    last_day: int


@dataclass(frozen=True)
class TellingTest:
    """A test that would tell much: what, on which day, and which share of the doubt about the safe day it would take away."""

    arm: str
    measure: str
    day: int
    narrowed_fraction: float


@dataclass(frozen=True)
class TellingPhotos:
    """Days on which a cover is least known: there photos tell most. low, high: the band of the measure on the day of the widest band."""

    arm: str
    measure: str
    first_day: int
    last_day: int
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Forecast:
    """Everything that is told, frozen. days: last day looked at. members: courses of each arm. stated: what was assumed, as sentences.

    arms: in the order of the plan. are_alike: whether the model was given nothing that parts the arms. fit: None without readings.
    readings: what was weighed in. spread: of like tanks in the primary measure, where the model has it.
    """

    days: int
    members: int
    seed: int
    arms: tuple[ArmForecast, ...]
    are_alike: bool
    partings: tuple[Parting, ...]
    tests: tuple[TellingTest, ...]
    photos: tuple[TellingPhotos, ...]
    spread: LikeSpread | None
    fit: Fit | None
    readings: tuple[Observed, ...]
    stated: tuple[str, ...]


def arm_forecast(ensemble: Ensemble, arm: str, weights: Array, *, is_fitted: bool) -> ArmForecast:
    """The bands and the safe day of one arm.

    Parameters
    ----------
    ensemble : Ensemble
        The courses.
    arm : str
        Its key.
    weights : array of shape (members,)
        As from `fit_of`.
    is_fitted : bool
        Whether readings were weighed in; then the safe day without them is told beside.

    Returns
    -------
    ArmForecast
        Bands of all measures.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    course = ensemble.courses[arm]
    bands = {}
    for key in MEASURES:
        low, middle, high = weighed_quantiles(course.measures[key], weights, SHARES)
        bands[key] = Band(key, tuple(low.tolist()), tuple(middle.tolist()), tuple(high.tolist()))
    most = weighed_quantiles(course.measures["un_ionised_ammonia"].max(axis=1), weights, SHARES)
    safe = _safe(course.safe_day, weights)
    if is_fitted:
        plain = _safe(course.safe_day, np.full(len(weights), 1 / len(weights)))
        safe = Safe(safe.low_day, safe.middle_day, safe.high_day, safe.never_fraction, (plain.low_day, plain.high_day))
    return ArmForecast(arm, bands, safe, (float(most[0]), float(most[1]), float(most[2])))


def _safe(days: Array, weights: Array) -> Safe:
    low, middle, high = (int(one) if np.isfinite(one) else None for one in weighed_quantiles(days, weights, SHARES))
    return Safe(low, middle, high, float(weights[np.isnan(days)].sum()))


def parting_of(ensemble: Ensemble, arms: tuple[str, str], measure: str, window: tuple[int, int], weights: Array) -> Parting:
    """How far the second arm's mean over the days lies above the first one's, draw by draw.

    Parameters
    ----------
    ensemble : Ensemble
        The courses.
    arms : tuple of str
        Key of the reference, key of the changed arm.
    measure : str
        Key of a measure.
    window : tuple of int
        First and last day of the mean. [d]
    weights : array of shape (members,)
        As from `fit_of`.

    Returns
    -------
    Parting
        In the measure's unit.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    days = slice(window[0], window[1] + 1)
    one, other = (ensemble.courses[arm].measures[measure][:, days].mean(axis=1) for arm in arms)
    low, middle, high = weighed_quantiles(other - one, weights, SHARES)
    return Parting(arms[1], measure, float(low), float(middle), float(high), *window)


def telling_tests(ensemble: Ensemble, arm: str, weights: Array, last_read_day: int = -1) -> tuple[TellingTest, ...]:
    """The few tests still to come that would take away most of the doubt about the safe day.

    A test tells as much as its value goes with the safe day over the courses (by ranks), the less the larger its own error is beside the
    spread of the courses.

    Parameters
    ----------
    ensemble : Ensemble
        The courses.
    arm : str
        Its key.
    weights : array of shape (members,)
        As from `fit_of`.
    last_read_day : int
        Tests up to that day are past. [d]

    Returns
    -------
    tuple of TellingTest
        At most three, at least four days apart, in the order of days; none where the safe day is known, or no test would tell a twentieth.

    References
    ----------
    gum2008 for the error that a value and its reading have together (keys from sources.py).
    """
    course = ensemble.courses[arm]
    safe = np.where(np.isnan(course.safe_day), course.days[-1] + 10, course.safe_day)
    end = weighed_quantiles(safe, weights, (0.95,))[0]
    target = _ranks(safe)
    found = []
    for measure in TESTS:
        share, least = READING_ERRORS[measure]
        for day in range(max(last_read_day + 1, 1), int(min(end, course.days[-1])) + 1):
            values = course.measures[measure][:, day]
            middle = np.sum(weights * values)
            variance = float(np.sum(weights * (values - middle) ** 2))
            error = max(share * float(middle), least)
            told = _correlation(_ranks(values), target, weights) ** 2 * variance / (variance + error**2)
            found.append(TellingTest(arm, measure, day, float(1 - np.sqrt(max(1 - told, 0.0)))))
    chosen: list[TellingTest] = []
    for one in sorted(found, key=lambda one: (-one.narrowed_fraction, one.day, one.measure)):
        if one.narrowed_fraction < _LEAST_TOLD or len(chosen) == _MOST_TESTS:
            break
        if all(abs(one.day - other.day) >= _APART_D for other in chosen):
            chosen.append(one)
    return tuple(sorted(chosen, key=lambda one: one.day))


def telling_photos(forecast: ArmForecast, measure: str) -> TellingPhotos:
    """The days on which the band of a cover is at least four fifths of its widest.

    Parameters
    ----------
    forecast : ArmForecast
        Of one arm.
    measure : str
        Key of a cover.

    Returns
    -------
    TellingPhotos
        First and last such day, and the widest band.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    band = forecast.bands[measure]
    width = np.asarray(band.high) - np.asarray(band.low)
    wide = np.flatnonzero(width >= 0.8 * width.max())
    widest = int(np.argmax(width))
    return TellingPhotos(forecast.arm, measure, int(wide[0]), int(wide[-1]), band.low[widest], band.high[widest])


def _ranks(values: Array) -> Array:
    return np.argsort(np.argsort(values, kind="stable"), kind="stable").astype(np.float64)


def _correlation(one: Array, other: Array, weights: Array) -> float:
    one, other = one - np.sum(weights * one), other - np.sum(weights * other)
    size = float(np.sqrt(np.sum(weights * one**2) * np.sum(weights * other**2)))
    return float(np.sum(weights * one * other)) / size if size > 0 else 0.0
