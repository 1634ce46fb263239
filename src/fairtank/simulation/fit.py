"""Weigh the courses of an ensemble by how well they agree with what a keeper has read, without trusting the model more than it deserves."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.simulation.tank import Ensemble

Array = NDArray[np.float64]
MISFIT_SHARE = 0.25  # how far the model is off even where its rates are right, and like tanks from each other: an assumption, no source
LEAST_SHARE, LEAST_MEMBERS = 0.2, 20  # with a tenth the band of nitrate held the truth too seldom: benchmarks/bench_forecast_fit.py
# How far a usual reading is off: share of what is read, and at least so much. Common practice of colour tests and probes, no source.
READING_ERRORS: dict[str, tuple[float, float]] = {
    "total_ammonia": (0.3, 0.1), "nitrite": (0.3, 0.05), "nitrate": (0.3, 2.5), "phosphate": (0.3, 0.05), "kh": (0.0, 1.0),
}


@dataclass(frozen=True)
class Observed:
    """One reading as the fit takes it: arm, day, key of a measure, value in that measure's unit.

    is_below: the test showed nothing, and the value is the least that it can show.
    """

    arm: str
    day: int
    measure: str
    value: float
    is_below: bool = False


@dataclass(frozen=True, eq=False)
class Fit:
    """What the readings did to the courses.

    weights: of each member, their sum is 1. counted: how many readings were weighed in. effective_members: how many equally weighed courses
    would say as much. softened: 1 where the readings counted in full; below that share they were held back, because else a handful of
    courses would have decided. outside: readings that lay outside the band of nine in ten that the courses had before, reading error
    included.
    """

    weights: Array
    counted: int
    effective_members: float
    softened: float
    outside: int


def fit_of(ensemble: Ensemble, readings: tuple[Observed, ...]) -> Fit:
    """Weights of the members by the likelihood of the readings.

    A reading differs from a course by its own error and by a quarter of the course's value, for what the model leaves out. Where the
    readings would leave fewer than a fifth of the courses (or 20), all of them count less, by one power, until so many are left.

    Parameters
    ----------
    ensemble : Ensemble
        The courses before any reading.
    readings : tuple of Observed
        None: all courses weigh alike. Days after the last day of the courses are left out.

    Returns
    -------
    Fit
        Weights in the order of the members.

    References
    ----------
    common_practice: the errors of readings and of the model are assumptions, no source (keys from sources.py).

    Examples
    --------
    >>> from fairtank.simulation.tank import TankSetup, tank_ensemble
    >>> fit_of(tank_ensemble({"A": TankSetup()}, members=4, days=2), ()).weights.tolist()
    [0.25, 0.25, 0.25, 0.25]
    """
    from scipy.special import log_ndtr

    members = len(ensemble.members)
    total, counted, outside = np.zeros(members), 0, 0
    for one in readings:
        course = ensemble.courses.get(one.arm)
        if course is None or one.measure not in READING_ERRORS or not 0 <= one.day < len(course.days):
            continue
        values = course.measures[one.measure][:, one.day]
        size = spread_of(one.measure, values)
        deviate = (one.value - values) / size
        total += log_ndtr(deviate) if one.is_below else -0.5 * deviate**2 - np.log(size)
        counted += 1
        below = float(np.mean(np.exp(log_ndtr(deviate))))  # share of the courses, errors included, that would have read less
        outside += below < 0.05 or (below > 0.95 and not one.is_below)
    least = min(max(LEAST_MEMBERS, LEAST_SHARE * members), members)
    softened = _softened(total, least)
    weights = _weights(total, softened)
    return Fit(weights, counted, float(1 / np.sum(weights**2)), softened, outside)


def spread_of(measure: str, values: Array) -> Array:
    """Standard deviation of a reading around each course's value: error of the reading and what the model leaves out, taken together."""
    share, least = READING_ERRORS[measure]
    own = np.maximum(share * values, least)
    misfit = 0.0 if measure == "kh" else MISFIT_SHARE  # KH moves little, and by steps of what went in
    return np.asarray(np.hypot(own, misfit * values))


def _weights(total: Array, power: float) -> Array:
    raised = np.exp(power * (total - total.max()))
    return np.asarray(raised / raised.sum())


def _softened(total: Array, least: float) -> float:
    """The largest power, at most 1, that leaves so many effective members."""
    if 1 / np.sum(_weights(total, 1.0) ** 2) >= least:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if 1 / np.sum(_weights(total, middle) ** 2) >= least else (low, middle)
    return low


def weighed_quantiles(values: Array, weights: Array, shares: tuple[float, ...]) -> Array:
    """Quantiles over the first axis with weights; NaN counts as larger than anything.

    Parameters
    ----------
    values : array of shape (members, ...)
        What is looked at.
    weights : array of shape (members,)
        Not negative, their sum is 1.
    shares : tuple of float
        Wanted shares. [-]

    Returns
    -------
    array of shape (shares, ...)
        Infinite where that share of the members lies at NaN.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> weighed_quantiles(np.array([3.0, 1.0, 2.0]), np.array([0.2, 0.4, 0.4]), (0.5,)).tolist()
    [2.0]
    """
    filled = np.where(np.isnan(values), np.inf, values)
    order = np.argsort(filled, axis=0, kind="stable")
    reached = np.cumsum(weights[order], axis=0)
    places = [np.argmax(reached >= share - 1e-12, axis=0) for share in shares]
    sorted_values = np.take_along_axis(filled, order, axis=0)
    return np.asarray([np.take_along_axis(sorted_values, place[None], axis=0)[0] for place in places])
