"""What the diary says of each factor, as one series for each unit."""

import statistics
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from fairtank.errors import InputError
from fairtank.planning.drift.watched import BY_KEY, BY_QUANTITY, WATCHED, Watchable
from fairtank.trial import Plan, Reading, TrialFolder
from fairtank.units import in_unit

WEEK_D = 7
_SHARED_DAYS = 0.8  # daily comparison where this share of days is shared by all tanks; else week by week
_TOP_UP = ("top-up", "top up", "topup", "evaporation")
Points = dict[str, dict[int, list[float]]]  # values by unit and day


@dataclass(frozen=True)
class Record:
    """One factor's values: the periods (their days), and for each unit its value and count of readings in each; None where it has none."""

    watched: Watchable
    part: str
    unit: str
    days: tuple[int, ...]
    values: dict[str, tuple[float | None, ...]]
    counts: dict[str, tuple[int, ...]]


def records_of(folder: TrialFolder) -> tuple[Record, ...]:
    """Everything that the diary tells of the factors that can be watched, in the order of the list of factors.

    Parameters
    ----------
    folder : TrialFolder
        Its readings, chores done, events and photos are read; days before day 0 and after the last day are left out, and so is what the
        plan judges: that the arms part there is the question and not a drift, and is not to be seen before its day.

    Returns
    -------
    tuple of Record
        Levels by day, or by week where the tanks are not read on the same days; sums by whole week.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    found = [*_levels(folder), *_doses(folder), *_other_sums(folder)]
    order = [watched.key for watched in WATCHED]
    return tuple(sorted(found, key=lambda record: (order.index(record.watched.key), record.part)))


def judged_of(plan: Plan) -> frozenset[str]:
    """What could be watched and is judged instead."""
    found = (BY_QUANTITY.get(_plain(choice.key)) for choice in plan.measures)
    return frozenset(watched.key for watched in found if watched is not None)


def _plain(word: str) -> str:
    return word.strip().casefold().replace(" ", "_")


def _levels(folder: TrialFolder) -> list[Record]:
    by_key: dict[str, list[Reading]] = defaultdict(list)
    judged = judged_of(folder.plan)
    for reading in folder.readings:
        watched = BY_QUANTITY.get(_plain(reading.quantity))
        if watched is not None and watched.key not in judged and 0 <= reading.day <= folder.plan.days:
            by_key[watched.key].append(reading)
    return [_level(folder, BY_KEY[key], readings) for key, readings in by_key.items()]


def _level(folder: TrialFolder, watched: Watchable, readings: Sequence[Reading]) -> Record:
    unit, values = _in_one_unit(watched, readings)
    points: Points = defaultdict(lambda: defaultdict(list))
    for reading, value in values:
        points[reading.unit][reading.day].append(value)
    every = {day for days in points.values() for day in days}
    shared = sum(all(day in days for days in points.values()) for day in every)
    if shared < _SHARED_DAYS * len(every):
        weekly: Points = defaultdict(lambda: defaultdict(list))
        for key, days in points.items():
            for day, found in days.items():
                weekly[key][day // WEEK_D * WEEK_D + WEEK_D // 2] += found
        points = weekly
    return _record(folder, watched, "", unit, points, statistics.fmean)


def _in_one_unit(watched: Watchable, readings: Sequence[Reading]) -> tuple[str, list[tuple[Reading, float]]]:
    """The readings in the factor's unit; in the keeper's own where all are in it and it is another quantity; mixed ones are left out."""
    written = [reading.unit_of_measure.strip() for reading in readings]
    if len(set(written)) == 1:
        own = written[0]
        try:
            return watched.unit, [(one, in_unit(one.value, own, watched.unit)) for one in readings]
        except InputError:
            return own, [(one, one.value) for one in readings]
    kept = []
    for one, own in zip(readings, written, strict=True):
        try:
            kept.append((one, in_unit(one.value, own, watched.unit)))
        except InputError:
            continue
    return watched.unit, kept


def _doses(folder: TrialFolder) -> list[Record]:
    """What was dosed in each week, one record for each nutrient or product and unit of measure; dose events without amounts as a count."""
    groups: dict[tuple[str, str], Points] = defaultdict(lambda: defaultdict(lambda: defaultdict(list)))
    for done in folder.chores_done:
        if done.kind == "dose" and done.amount is not None:
            groups[done.quantity, done.unit_of_measure][done.unit][done.day].append(done.amount)
    if not groups:
        counted = _counted(folder, lambda kind: kind == "dose", ("dose", "dosing"))
        return [_weekly(folder, BY_KEY["doses"], "", "times a week", counted)] if counted else []
    return [_weekly(folder, BY_KEY["doses"], part, f"{unit} a week".strip(), points) for (part, unit), points in groups.items()]


def _other_sums(folder: TrialFolder) -> list[Record]:
    found = []
    for key, points, unit in (_changed_water(folder), _topped_up(folder)):
        if points:
            found.append(_weekly(folder, BY_KEY[key], "", unit, points))
    minutes: Points = defaultdict(lambda: defaultdict(list))
    photos: Points = defaultdict(lambda: defaultdict(list))
    for done in folder.chores_done:
        if done.minutes is not None:
            minutes[done.unit][done.day].append(done.minutes)
    for photo in folder.photos:
        photos[photo.unit][photo.day].append(1.0)
    cleaned = _counted(folder, lambda kind: kind in ("clean", "trim"), ("clean", "cleaning", "trim", "wipe", "glass"))
    for key, points in (("care_minutes", minutes), ("cleaning", cleaned), ("photos_per_week", photos)):
        if points:
            found.append(_weekly(folder, BY_KEY[key], "", BY_KEY[key].unit, points))
    return found


def _changed_water(folder: TrialFolder) -> tuple[str, Points, str]:
    """Water changed in a week: litres or a share where every row says so in one unit, else how often."""
    rows = [done for done in folder.chores_done if done.kind == "water_change"]
    units = {done.unit_of_measure for done in rows}
    if rows and len(units) == 1 and all(done.amount is not None for done in rows):
        own = units.pop()
        points: Points = defaultdict(lambda: defaultdict(list))
        for done in rows:
            points[done.unit][done.day].append((done.amount or 0.0) * (1.0 if own else 100.0))
        return "water_change", points, f"{own or '%'} a week"
    return "water_change", _counted(folder, lambda kind: kind == "water_change", ("water change", "water_change")), "times a week"


def _topped_up(folder: TrialFolder) -> tuple[str, Points, str]:
    rows = [done for done in folder.chores_done if done.quantity.strip().casefold() in _TOP_UP and done.amount is not None]
    points: Points = defaultdict(lambda: defaultdict(list))
    for done in rows:
        points[done.unit][done.day].append(done.amount or 0.0)
    return "evaporation", points, f"{rows[0].unit_of_measure if rows else 'L'} a week"


def _counted(folder: TrialFolder, wanted: Callable[[str], bool], event_kinds: Iterable[str]) -> Points:
    """How often something was done: by the chores, and by the events where no chores tell of it."""
    points: Points = defaultdict(lambda: defaultdict(list))
    for done in folder.chores_done:
        if wanted(done.kind):
            points[done.unit][done.day].append(1.0)
    if points:
        return points
    kinds, every = set(event_kinds), tuple(unit.key for unit in folder.plan.units)
    for event in folder.events:
        if event.kind.strip().casefold() in kinds:
            for unit in event.units or every:
                points[unit][event.day_from].append(1.0)
    return points


def _weekly(folder: TrialFolder, watched: Watchable, part: str, unit: str, points: Points) -> Record:
    """Sums over whole weeks from day 0. A week that is not over in the diary is left out, and so is one in which nobody noted anything;
    a unit that has rows at all has none of it in a week without a row."""
    days = [day for own in points.values() for day in own if 0 <= day <= folder.plan.days]
    if not days:
        return Record(watched, part, unit, (), {}, {})
    over = (min(folder.plan.days, last_day_of(folder)) + 1) // WEEK_D
    weeks = sorted({day // WEEK_D for day in days if day // WEEK_D < over})
    values: dict[str, tuple[float | None, ...]] = {}
    for key in (one.key for one in folder.plan.units if one.key in points):
        values[key] = tuple(sum(sum(found) for day, found in points[key].items() if day // WEEK_D == week) for week in weeks)
    ends = tuple(week * WEEK_D + WEEK_D - 1 for week in weeks)
    return Record(watched, part, unit, ends, values, {key: (1,) * len(weeks) for key in values})


def last_day_of(folder: TrialFolder) -> int:
    """The last day of the trial on which anything of the diary was noted; -1 where nothing was."""
    days = [*(one.day for one in folder.readings), *(one.day for one in folder.chores_done), *(one.day for one in folder.photos),
            *(one.day_from for one in folder.events)]
    return max((day for day in days if day <= folder.plan.days), default=-1)


def _record(folder: TrialFolder, watched: Watchable, part: str, unit: str, points: Points,
            joined: Callable[[list[float]], float]) -> Record:
    days = tuple(sorted({day for own in points.values() for day in own}))
    keys = [one.key for one in folder.plan.units if one.key in points]
    values = {key: tuple(joined(points[key][day]) if day in points[key] else None for day in days) for key in keys}
    counts = {key: tuple(len(points[key].get(day, ())) for day in days) for key in keys}
    return Record(watched, part, unit, days, values, counts)
