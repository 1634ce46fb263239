"""A small model of a planted tank from its first day on, run as a band of courses that are plausible: never a promise.

Light, nitrogen in three forms with the bacteria that turn one into the next, phosphorus, carbon dioxide and oxygen, plants by form group,
and the film of algae on the glass. Arms are run with the same draws of everything that is not known, so that they differ by
the change alone. Most rates are assumptions: see `fairtank.simulation.ecology.rates`, and docs/methods/forecast.md.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import InputError
from fairtank.registry import Input
from fairtank.science.cycling import READY_MG_L
from fairtank.science.ranges import one_number, one_of
from fairtank.simulation.ecology.measures import HIGHEST_PH, MEASURES, balance_of, measures_of, safe_days
from fairtank.simulation.ecology.pools import BEFORE_PLANTS, PLANTS_FROM, STATES, SUMS, Columns, columns_of
from fairtank.simulation.ecology.rates import RATES, Parameters, Rate, drawn_parameters, like_tanks, usual_parameters
from fairtank.simulation.ecology.running import TOLERANCE, Run, run
from fairtank.simulation.ecology.setup import (
    FORMS,
    Dose,
    Event,
    Light,
    Plants,
    TankSetup,
    Trim,
    Water,
    WaterChange,
    Wipe,
    soil_start_changes,
    weekly_changes,
)

Array = NDArray[np.float64]
Progress = Callable[[float], None]
__all__ = [
    "FORMS", "HIGHEST_PH", "MEASURES", "PART_MEMBERS", "RATES", "READY_MG_L", "STATES", "Course", "Dose", "Ensemble", "Event", "Light",
    "LikeSpread", "Parameters", "Plants", "Rate", "TankSetup", "Trim", "Water", "WaterChange", "Wipe", "drawn_parameters", "joined",
    "like_tank_spread", "parts_of", "safe_days", "soil_start_changes", "tank_course", "tank_ensemble", "usual_parameters", "weekly_changes",
]

PART_MEMBERS = 100  # members of one part of an ensemble: results do not depend on how many processes share the parts
LOGIT_MEASURES = ("plant_cover", "carpet_cover", "algae_cover")
_SIGNED = ("alkalinity", *(name for name in BEFORE_PLANTS if name.startswith("ln_")))  # states that may be below 0
_LEAST_SHARE = 0.001  # cover nearer to 0 or 1 than this counts as this on the logit scale
_DAYS = Input("days", "days to look ahead", "d", 1, 365)
_MEMBERS = Input("members", "members of the ensemble", "", 2, 5000)
_METHOD = Input("method", "integrator", choices=("fast", "reference"))
_TOLERANCE = Input("tolerance", "tolerance of the integrator", "", 1e-7, 0.05)


@dataclass(frozen=True, eq=False)
class Course:
    """How one arm's tank goes, for every member.

    days: whole days since the filling, shape (days,); readings are taken at the setup's reading hour. states: shape (members, days,
    len(STATES)), in the order of STATES. measures: key of MEASURES -> shape (members, days). safe_day: the day on which total ammonia and
    nitrite have both read below 0.25 mg/L N for the second time, and stay so to the end; NaN where that is not reached; shape
    (members,). balance: relative error of the balance of nitrogen, phosphorus and carbon at the end, shape (members, 3).
    """

    days: Array
    states: Array
    measures: dict[str, Array]
    safe_day: Array
    balance: Array

    def quantiles(self, measure: str, shares: tuple[float, ...] = (0.05, 0.5, 0.95)) -> Array:
        """Quantiles of a measure over the members on each day, shape (shares, days)."""
        return np.asarray(np.quantile(self.measures[measure], shares, axis=0))

    def of(self, members: NDArray[np.int_]) -> "Course":
        """Those members, in that order."""
        return Course(self.days, self.states[members], {key: values[members] for key, values in self.measures.items()},
                      self.safe_day[members], self.balance[members])


@dataclass(frozen=True, eq=False)
class Ensemble:
    """Courses of all arms under the same draws. courses: arm -> Course. parameters: what was drawn, one column for each member.

    members: their numbers in the whole ensemble, rising.
    """

    courses: dict[str, Course]
    parameters: Parameters
    members: NDArray[np.int_]


@dataclass(frozen=True)
class LikeSpread:
    """How far tanks set up alike end up apart.

    measure: key of MEASURES. scale: `logit` or `identity`. sd: standard deviation between like tanks of the mean over the days, on
    that scale, in the middle of the draws. low, high: the band that holds nine in ten draws. first_day, last_day: of the mean.
    """

    measure: str
    scale: str
    sd: float
    low: float
    high: float
    first_day: int
    last_day: int


def tank_course(setup: TankSetup, parameters: Parameters | None = None, *, days: int = 60, method: str = "fast",
                times_d: Array | None = None, tolerance: float = TOLERANCE) -> Course:
    """The course of one tank, by the usual values or by those that are given.

    Parameters
    ----------
    setup : TankSetup
        The tank.
    parameters : Parameters or None
        One column for each course; None stands for the usual values.
    days : int
        The last day that is looked at. [d], 1 to 365.
    method : str
        `fast`, or `reference`: scipy's LSODA with a relative tolerance of 1e-9, for one column only. [-]
    times_d : array of shape (times,) or None
        Moments of the states, rising, from 0 to below days + 1; the measures are then empty and safe_day is NaN. None: one reading a
        day. [d]
    tolerance : float
        Of the fast method. [-], 1e-07 to 0.05.

    Returns
    -------
    Course
        days holds times_d where those were given.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If the reference is asked for several columns at once, the method is neither of its words, or the times are not in order.

    References
    ----------
    wiesmann1994, vannecke2015 for the bacteria; jassby1976, monod1949 for growth; kirk2011 for light in water; wanninkhof1992 for gases;
    sommeijer1998 for the integration; common_practice for the rest (keys from sources.py).

    Examples
    --------
    >>> course = tank_course(TankSetup(), days=10)
    >>> course.measures["total_ammonia"].shape, bool(course.balance.max() < 1e-6)
    ((1, 11), True)
    """
    parameters = usual_parameters() if parameters is None else parameters
    last, is_reference = int(one_number(_DAYS, days)), one_of(_METHOD, method) == "reference"
    if is_reference and parameters.members > 1:
        raise InputError("parameters", f"{parameters.members} columns", "one column with the method reference")
    columns = columns_of([setup], parameters)
    times = _reading_times(setup, last) if times_d is None else np.asarray(times_d, dtype=np.float64)
    if times.size and (times[0] < 0 or times[-1] >= last + 1 or np.any(np.diff(times) <= 0)):
        raise InputError("times_d", "not in order", f"rising moments from 0 to below {last + 1} d")
    found = run(columns, times, last + 1.0, tolerance=one_number(_TOLERANCE, tolerance), is_reference=is_reference)
    if times_d is None:
        return _courses(found, columns, last)[0]
    states, missing = _all_states(found.samples, columns), np.full(parameters.members, np.nan)
    return Course(times, np.moveaxis(states, 2, 0), {}, missing, balance_of(found, columns).T)


def parts_of(members: int) -> int:
    """How many parts an ensemble falls into; each can run in a process of its own.

    >>> parts_of(200)
    2
    """
    return -(-members // PART_MEMBERS)


def tank_ensemble(setups: Mapping[str, TankSetup], *, members: int = 200, days: int = 60, seed: int = 1, part: int | None = None,
                  parameters: Parameters | None = None, progress: Progress | None = None) -> Ensemble:
    """Many plausible courses of each arm, all arms under the same draws of what is not known.

    Parameters
    ----------
    setups : mapping of str to TankSetup
        Arm -> its tank. Readings are taken at the hour of the first one.
    members : int
        How many draws; ignored where parameters are given. [-], 2 to 5000.
    days : int
        The last day that is looked at. [d], 1 to 365.
    seed : int
        The same seed gives the same draws. [-], 0 or more.
    part : int or None
        Only that part, from 0 to parts_of(members) - 1, for several processes; see `joined`. None: all of them here.
    parameters : Parameters or None
        Draws of one's own, such as those that fit readings.
    progress : callable or None
        Told the share that is done, 0 to 1, now and then.

    Returns
    -------
    Ensemble
        Members in the order of the draws.

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.
    InputError
        If there is no arm, or no such part.

    References
    ----------
    As in `tank_course`; the bands of the rates are those of `fairtank.simulation.ecology.rates` (common_practice).

    Examples
    --------
    >>> two = tank_ensemble({"A": TankSetup(), "B": TankSetup(temp_c=27)}, members=4, days=3)
    >>> two.courses["B"].states.shape[:2]
    (4, 4)
    """
    if not setups:
        raise InputError("setups", "empty", "at least one arm with its tank")
    if parameters is None:
        parameters = drawn_parameters(int(one_number(_MEMBERS, members)), seed)
    last, count = int(one_number(_DAYS, days)), parts_of(parameters.members)
    if part is not None and not 0 <= part < count:
        raise InputError("part", part, f"0 to {count - 1}")
    chosen = range(count) if part is None else (part,)
    found = []
    for place, number in enumerate(chosen):
        columns = np.arange(number * PART_MEMBERS, min((number + 1) * PART_MEMBERS, parameters.members))
        found.append(_part(setups, parameters.of(columns), columns, last, _share_of(progress, place, len(chosen))))
    return joined(found)


def _share_of(progress: Progress | None, place: int, count: int) -> Progress | None:
    """Progress within one of several equal parts, told as progress of the whole."""
    if progress is None:
        return None
    told = progress
    return lambda share: told((place + share) / count)


def _part(setups: Mapping[str, TankSetup], parameters: Parameters, members: NDArray[np.int_], last: int,
          progress: Progress | None) -> Ensemble:
    columns = columns_of(tuple(setups.values()), parameters)
    found = run(columns, _reading_times(columns.setups[0], last), last + 1.0, progress=progress)
    return Ensemble(dict(zip(setups, _courses(found, columns, last), strict=True)), parameters, members)


def joined(parts: list[Ensemble]) -> Ensemble:
    """Parts of one ensemble put together, in whatever order they come.

    Parameters
    ----------
    parts : list of Ensemble
        At least one.

    Returns
    -------
    Ensemble
        Members in the order of their numbers.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    parts = sorted(parts, key=lambda one: int(one.members[0]))
    courses = {}
    for arm in parts[0].courses:
        each = [one.courses[arm] for one in parts]
        courses[arm] = Course(each[0].days, np.concatenate([one.states for one in each]),
                              {key: np.concatenate([one.measures[key] for one in each]) for key in each[0].measures},
                              np.concatenate([one.safe_day for one in each]), np.concatenate([one.balance for one in each]))
    values = {name: np.concatenate([one.parameters.values[name] for one in parts]) for name in parts[0].parameters.values}
    return Ensemble(courses, Parameters(values), np.concatenate([one.members for one in parts]))


def like_tank_spread(setup: TankSetup, *, measure: str = "algae_cover", first_day: int = 14, last_day: int = 42, draws: int = 40,
                     tanks: int = 5, seed: int = 1, progress: Progress | None = None) -> LikeSpread:
    """How far tanks set up alike may end up apart: an assumption to plan with where no finished trial tells.

    Each draw of the rates gets several tanks that share it, but for germs, bacteria, light, soil and the like, which differ a little
    from tank to tank (column between_tanks of the table of rates). What finished trials showed of like tanks is always the better answer.

    Parameters
    ----------
    setup : TankSetup
        The tank.
    measure : str
        Key of MEASURES; covers are told on the logit scale, the others as they are.
    first_day, last_day : int
        Days of the mean. [d]
    draws, tanks : int
        How many draws, and like tanks in each. [-], 2 or more.
    seed : int
        The same seed gives the same answer. [-], 0 or more.
    progress : callable or None
        Told the share that is done, 0 to 1.

    Returns
    -------
    LikeSpread
        The middle and the band of the standard deviation over the draws.

    Raises
    ------
    InputError
        If the measure is not one of MEASURES, or the days are not in order.

    References
    ----------
    common_practice: the differences between like tanks are assumptions, no source (keys from sources.py).

    Examples
    --------
    >>> spread = like_tank_spread(TankSetup(), first_day=2, last_day=5, draws=3, tanks=3)
    >>> spread.scale, 0 < spread.low <= spread.sd <= spread.high
    ('logit', True)
    """
    one_of(Input("measure", "measure", choices=tuple(MEASURES)), measure)
    if not 0 <= first_day <= last_day <= _DAYS.high or draws < 2 or tanks < 2:  # type: ignore[operator]
        raise InputError("first_day", first_day, "days in rising order, and two draws and two tanks or more")
    alike = like_tanks(drawn_parameters(draws, seed), tanks, seed)
    course = tank_ensemble({"": setup}, days=max(last_day, 1), parameters=alike, progress=progress).courses[""]
    values, scale = course.measures[measure][:, first_day : last_day + 1], "identity"
    if measure in LOGIT_MEASURES:
        share = np.clip(values / 100, _LEAST_SHARE, 1 - _LEAST_SHARE)
        values, scale = np.log(share / (1 - share)), "logit"
    apart = values.mean(axis=1).reshape(draws, tanks).std(axis=1, ddof=1)
    low, middle, high = np.quantile(apart, [0.05, 0.5, 0.95])
    return LikeSpread(measure, scale, float(middle), float(low), float(high), first_day, last_day)


def _reading_times(setup: TankSetup, last: int) -> Array:
    return np.asarray(np.arange(last + 1) + setup.reading_hour / 24, dtype=np.float64)


def _all_states(samples: Array, columns: Columns) -> Array:
    """States of shape (times, len(STATES), columns) from those that hold only the forms that stand there; undershoots count as 0."""
    found = np.zeros((len(samples), len(STATES), columns.count))
    found[:, :PLANTS_FROM] = samples[:, :PLANTS_FROM]
    for place, form in enumerate(columns.forms):
        found[:, PLANTS_FROM + FORMS.index(form)] = samples[:, PLANTS_FROM + place]
    found[:, -len(SUMS):] = samples[:, -len(SUMS):]
    pools = [place for place, name in enumerate(STATES) if name not in SUMS and name not in _SIGNED]
    found[:, pools] = np.maximum(found[:, pools], 0.0)
    return found


def _courses(found: Run, columns: Columns, last: int) -> list[Course]:
    """The course of each arm."""
    states, measures, balance = _all_states(found.samples, columns), measures_of(found, columns), balance_of(found, columns)
    days = np.arange(last + 1, dtype=np.float64)
    courses = []
    for arm in range(len(columns.setups)):
        place = columns.arm == arm
        each = {key: np.ascontiguousarray(values[:, place].T) for key, values in measures.items()}
        courses.append(Course(days, np.ascontiguousarray(np.moveaxis(states[:, :, place], 2, 0)), each,
                              safe_days(days, each["total_ammonia"], each["nitrite"]), balance[:, place].T))
    return courses
