"""Everything that is to be done in a trial, each thing on its day, and what becomes of it after a slip.

A slip moves what was not done yet. Tasks are known by their chore and the day for which they were first planned, however often they
move. What was done stays where it was, and so do the plan's own days.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from fairtank.chore import Chore, ChoreDone, Slip
from fairtank.planning.schedule.dates import rule_days
from fairtank.planning.schedule.doing import Doings, doings_of
from fairtank.planning.schedule.plan_days import is_plan_chore, plan_chores
from fairtank.trial import Event, Photo, Plan, Reading

NOTHING_DONE = Doings()


@dataclass(frozen=True)
class Task:
    """One chore on one day.

    chore: what is to be done. planned_day: the day for which it was first planned, which never changes. day, date: when it is to be done
    now. units: in which units, in the order of the plan. slipped_by: numbers of the slips that moved it, counted from 1.
    """

    chore: Chore
    planned_day: int
    day: int
    date: date
    units: tuple[str, ...]
    slipped_by: tuple[int, ...] = ()

    @property
    def at(self) -> time:
        """Time of day, by the keeper's own clock."""
        return self.chore.at

    @property
    def due_at(self) -> datetime:
        """Date and time, by the keeper's own clock."""
        return datetime.combine(self.date, self.chore.at)

    @property
    def minutes(self) -> float:
        """Minutes of work, for all its units together."""
        return self.chore.minutes

    @property
    def is_plan_day(self) -> bool:
        """Whether this is one of the plan's own days and no chore."""
        return is_plan_chore(self.chore)


@dataclass(frozen=True)
class Touched:
    """A day of the plan that lies on or after a slip: slip counts from 1, chore is the plan's day. It stays where it is."""

    slip: int
    chore: Chore

    @property
    def day(self) -> int:
        """The day of the trial."""
        return self.chore.from_day


@dataclass(frozen=True)
class Schedule:
    """What is to be done after all slips.

    tasks: in the order of days and times. left_out: tasks that a slip moved past the last day of the trial; day is where they would have
    gone. touched: days of the plan on or after a slip, which stay.
    """

    tasks: tuple[Task, ...]
    left_out: tuple[Task, ...] = ()
    touched: tuple[Touched, ...] = ()


def planned_tasks(plan: Plan, chores: Sequence[Chore], slips: Sequence[Slip] = (), doings: Doings = NOTHING_DONE) -> tuple[Task, ...]:
    """Everything that is to be done, each thing on its day, the plan's own days among it.

    Parameters
    ----------
    plan : Plan
        The plan.
    chores : sequence of Chore
        What is to be done again and again, or once.
    slips : sequence of Slip
        What moved, in the order in which it was written down.
    doings : Doings
        What was done, which slips leave where it was; nothing where it is left out.

    Returns
    -------
    tuple of Task
        In the order of days and times. The plan's own days are tasks too, with `is_plan_day` and 0 minutes.

    References
    ----------
    rfc5545, section 3.8.5.3 (keys from sources.py).
    """
    return schedule_of(plan, chores, slips, doings).tasks


def schedule_of(plan: Plan, chores: Sequence[Chore], slips: Sequence[Slip] = (), doings: Doings = NOTHING_DONE) -> Schedule:
    """Everything that is to be done after all slips, what fell out, and which days of the plan the slips touch.

    Parameters are those of `planned_tasks`.

    Returns
    -------
    Schedule

    References
    ----------
    rfc5545, section 3.8.5.3 (keys from sources.py).
    """
    own = plan_chores(plan)
    by_chore = {chore.key: _first_tasks(plan, chore) for chore in (*own, *chores)}
    left_out: list[Task] = []
    for number, slip in enumerate(slips, start=1):
        for key, tasks in by_chore.items():
            if tasks and not tasks[0].is_plan_day:
                by_chore[key], gone = _slipped(tasks, slip, number, plan, doings)
                left_out += gone
    places = {key: place for place, key in enumerate(by_chore)}
    tasks = sorted((task for found in by_chore.values() for task in found), key=lambda task: (task.day, task.at, places[task.chore.key]))
    touched = tuple(Touched(number, chore) for number, slip in enumerate(slips, start=1) for chore in own if chore.from_day >= slip.day)
    return Schedule(tuple(tasks), tuple(left_out), touched)


def doings_from(*, chores_done: Sequence[ChoreDone] = (), photos: Sequence[Photo] = (), readings: Sequence[Reading] = (),
                events: Sequence[Event] = ()) -> Doings:
    """What was done, from the rows of chores.csv, the photos, the readings and the events of a folder."""
    return doings_of(chores_done, photos, readings, events)


def units_of(plan: Plan, chore: Chore) -> tuple[str, ...]:
    """The units in which a chore is to be done, in the order of the plan."""
    return tuple(unit.key for unit in plan.units if not chore.units or unit.key in chore.units)


def minutes_by_day(tasks: Sequence[Task]) -> dict[int, float]:
    """Minutes of work on each day on which there is any, in the order of the days."""
    found: dict[int, float] = {}
    for task in tasks:
        if task.minutes:
            found[task.day] = found.get(task.day, 0.0) + task.minutes
    return dict(sorted(found.items()))


def last_day(plan: Plan, chore: Chore) -> int:
    """The last day on which a chore may fall."""
    return plan.days if chore.until_day is None else min(chore.until_day, plan.days)


def _first_tasks(plan: Plan, chore: Chore) -> list[Task]:
    """The tasks of one chore as they were first planned."""
    units = units_of(plan, chore)
    days = rule_days(chore.rule, start=plan.start, from_day=chore.from_day, until_day=last_day(plan, chore))
    found = [Task(chore, day, day, plan.start + timedelta(days=day), _running(plan, units, day)) for day in days]
    return [task for task in found if task.units]


def _running(plan: Plan, units: tuple[str, ...], day: int) -> tuple[str, ...]:
    """Those of the units that stand on a day: where rounds follow one another, those of the round that runs."""
    if not plan.round_days:
        return units
    rounds = tuple(dict.fromkeys(unit.round for unit in plan.units))
    runs = rounds[min(max(day // plan.round_days, 0), len(rounds) - 1)]
    return tuple(unit.key for unit in plan.units if unit.key in units and unit.round == runs)


def _slipped(tasks: Sequence[Task], slip: Slip, number: int, plan: Plan, doings: Doings) -> tuple[list[Task], list[Task]]:
    """The tasks of one chore after a slip, and those that it moved past the last day."""
    stay: list[Task] = []
    gone: list[Task] = []
    for place, task in enumerate(tasks):
        following = tasks[place + 1].day if place + 1 < len(tasks) else None
        if task.day < slip.day or doings.is_begun(task.chore, task.units, task.day, following, slip):
            stay.append(task)
            continue
        moved = replace(task, day=task.day + slip.by_days, date=task.date + timedelta(days=slip.by_days),
                        slipped_by=(*task.slipped_by, number))
        (stay if moved.day <= plan.days else gone).append(moved)
    return sorted(stay, key=lambda task: (task.day, task.planned_day)), gone
