"""What a day asks for, in one trial or in all that run: a constant number of queries."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import reduce
from operator import or_

from django.db.models import F, Q

from fairtank.planning.schedule.days import USUAL_AHEAD, DayList, State, day_list
from fairtank.planning.schedule.doing import Doings
from fairtank.planning.schedule.tasks import Task
from fairtank.records.folder.tables import DAYS_AWAY
from fairtank.records.models import ChoreDone, Event, Reading, Round, Trial, Unit
from fairtank.records.planned import Planned, planned_of_all


@dataclass(frozen=True)
class DueTrial:
    """What one trial asks for on a day.

    day: of the trial. list: what is due, overdue and ahead. rounds: begun on that day, the latest first.
    """

    trial: Trial
    planned: Planned
    day: int
    list: DayList
    rounds: tuple[Round, ...] = ()

    @property
    def left(self) -> tuple[State, ...]:
        """What is due today and not done everywhere."""
        return tuple(state for state in self.list.today if not state.is_done and not state.task.is_plan_day)

    @property
    def overdue(self) -> tuple[State, ...]:
        """What was due before; a proposed schedule, which nobody has agreed to, is never late."""
        return () if self.planned.is_proposed else self.list.overdue

    @property
    def plan_days(self) -> tuple[State, ...]:
        """What the plan itself says of this day."""
        return tuple(state for state in self.list.today if state.task.is_plan_day)

    @property
    def next(self) -> State | None:
        """The next thing that comes after today."""
        return next((state for state in self.list.ahead if not state.task.is_plan_day), None)


@dataclass(frozen=True)
class TodayList:
    """All trials on one day: with something to do, without, and those that have not begun."""

    due: tuple[DueTrial, ...]
    idle: tuple[DueTrial, ...]
    ahead: tuple[Trial, ...]


def running_on(trials: Iterable[Trial], on: date) -> list[Trial]:
    """Trials that have begun, are not finished, and whose last day is not past."""
    return [trial for trial in trials if trial.planned and trial.start is not None and trial.closed_at is None
            and 0 <= (on - trial.start).days <= trial.days]


def today_of(trials: Sequence[Trial], on: date) -> TodayList:
    """What all trials ask for on a date."""
    found = due_of(running_on(trials, on), on, later_days=0)
    ahead = tuple(sorted((trial for trial in trials if trial.planned and trial.start and trial.start > on and trial.closed_at is None),
                         key=lambda trial: trial.start or on))
    due, idle = (tuple(one for one in found if bool(one.left or one.overdue) is has_work) for has_work in (True, False))
    return TodayList(due, idle, ahead)


def due_of(trials: Sequence[Trial], on: date, *, later_days: int = USUAL_AHEAD) -> list[DueTrial]:
    """What some trials ask for on a date; those without a plan are left out.

    later_days: what was done so many days after it counts too, as when an earlier day is looked at.
    """
    planned = planned_of_all(trials)
    with_plan = [trial for trial in trials if trial.pk in planned]
    days = {trial.pk: (on - planned[trial.pk].plan.start).days for trial in with_plan}
    since = {trial.pk: _since(planned[trial.pk], days[trial.pk]) for trial in with_plan}
    doings = _doings(since, {trial: day + later_days for trial, day in days.items()})
    rounds: dict[int, list[Round]] = {}
    for found in Round.objects.filter(trial__in=list(days), day__in=set(days.values())).order_by("-pk"):
        if found.day == days[found.trial_id]:
            rounds.setdefault(found.trial_id, []).append(found)
    answer = []
    for trial in with_plan:
        own, day = planned[trial.pk], days[trial.pk]
        tasks = own.tasks(doings[trial.pk]) if own.slips else own.tasks_around(day)
        answer.append(DueTrial(trial, own, day, day_list(tasks, doings[trial.pk], day), tuple(rounds.get(trial.pk, ()))))
    return answer


def _since(planned: Planned, day: int) -> dict[str, int]:
    """The first day of which it matters what was done, for each sort of chore."""
    if planned.slips:
        return dict.fromkeys({chore.kind for chore in planned.chores}, -DAYS_AWAY)
    found: dict[str, int] = {}
    for task in planned.tasks_around(day):
        if task.day <= day and not task.is_plan_day:
            found[task.chore.kind] = min(found.get(task.chore.kind, task.day), task.day)
    return found


def _doings(since: dict[int, dict[str, int]], until: dict[int, int]) -> dict[int, Doings]:
    """What was done in each trial, as far back as it matters."""
    first = {trial: min(kinds.values(), default=0) for trial, kinds in since.items()}
    photos = {trial: kinds["photo"] for trial, kinds in since.items() if "photo" in kinds}
    tests = {trial: kinds["test"] for trial, kinds in since.items() if "test" in kinds}
    rows: dict[int, dict[tuple[str, str], list[tuple[int | None, int]]]] = {trial: {} for trial in since}
    days: dict[int, dict[str, list[int]]] = {trial: {} for trial in since}
    read: dict[int, dict[str, list[tuple[int, str]]]] = {trial: {} for trial in since}
    told: dict[int, dict[tuple[str, str], list[int]]] = {trial: {} for trial in since}
    for trial, unit, chore, due, day in ChoreDone.objects.filter(_within(first, until)).exclude(chore="").values_list(
            "trial_id", "unit__key", "chore", "due_day", "day"):
        rows[trial].setdefault((chore, unit), []).append((due, day))
    # From the tanks to their photos: the other way round a database reads every photo of a trial for the few of these days.
    taken = Unit.objects.filter(_within(photos, until, "photos__"), photos__trial=F("trial"), photos__removed_at=None)
    for trial, unit, day in taken.values_list("trial_id", "key", "photos__day").distinct().order_by():
        days[trial].setdefault(unit, []).append(day)
    for trial, unit, day, quantity in Reading.objects.filter(_within(tests, until)).values_list(
            "trial_id", "unit__key", "day", "quantity").distinct().order_by():
        read[trial].setdefault(unit, []).append((day, quantity))
    for trial, units, kind, day in Event.objects.filter(_within(first, until)).values_list("trial_id", "units", "kind", "day"):
        for unit in units or ("",):
            told[trial].setdefault((kind.strip().casefold().replace(" ", "_").replace("-", "_"), unit), []).append(day)
    return {trial: Doings(rows[trial], {unit: tuple(found) for unit, found in days[trial].items()},
                          {unit: tuple(found) for unit, found in read[trial].items()},
                          {key: tuple(found) for key, found in told[trial].items()}) for trial in since}


# Beyond so many trials the days are not asked for one by one: a database has a limit for that.
_MOST_ASKED = 300


def _within(first: dict[int, int], until: dict[int, int], of: str = "") -> Q:
    """Rows of these trials between these days, both included; of: `photos__` where the rows that are asked for are tanks."""
    if not first:
        return Q(pk__in=())
    if len(first) > _MOST_ASKED:
        return _days(of, list(first), min(first.values()), max(until[trial] for trial in first))
    by_days: dict[tuple[int, int], list[int]] = {}
    for trial, day in first.items():
        by_days.setdefault((day, until[trial]), []).append(trial)
    return reduce(or_, (_days(of, trials, low, high) for (low, high), trials in by_days.items()))


def _days(of: str, trials: list[int], low: int, high: int) -> Q:
    return Q(("trial__in", trials), (f"{of}day__gte", low), (f"{of}day__lte", high))


def due_in(found: DueTrial, unit: str) -> list[tuple[Task, bool, bool]]:
    """Tasks of one tank on the day: what is to be done, whether it is done there, and whether it was due earlier."""
    states = [(state, False) for state in found.list.today] + [(state, True) for state in found.overdue]
    return [(state.task, unit in state.done, is_late) for state, is_late in states
            if unit in state.task.units and not state.task.is_plan_day]
