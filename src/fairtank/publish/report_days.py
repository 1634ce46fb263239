"""What was done day by day: photos, tests, chores with what was late or missed, and events; a long trial is folded by week."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from fairtank.planning.schedule.days import day_list, states_of
from fairtank.planning.schedule.tasks import Doings, Schedule, doings_from, schedule_of
from fairtank.publish.blocks import Block, Folded, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.phrases import capital, so_many, word_of
from fairtank.publish.schedule_words import missed_words, slip_words
from fairtank.publish.setup import quantity_words
from fairtank.trial import Event, Plan, TrialFolder

WEEK_D = 7
# Up to so many rows a table of days is read at a glance.
FEW_DAYS = 10
NO_SCHEDULE = "No schedule was kept, so that nobody can tell what was late or left out."


@dataclass(frozen=True)
class _Due:
    """Chores that were due on a day: in how many units, in how many of these done, and done late."""

    due: int = 0
    done: int = 0
    late: int = 0


@dataclass(frozen=True)
class _Span:
    """What was done from one day to another. photos: unit-days with a photo; tests: quantities with their counts."""

    first: int
    last: int
    photos: int
    tests: tuple[tuple[str, int], ...]
    chores: _Due
    marks: tuple[str, ...]
    events: tuple[Event, ...]

    @property
    def is_empty(self) -> bool:
        return not (self.photos or self.tests or self.chores.due or self.events or self.marks)


@dataclass(frozen=True)
class _Record:
    """A folder with what is asked of it for every day."""

    folder: TrialFolder
    schedule: Schedule
    doings: Doings
    photo_days: frozenset[tuple[int, str]]
    due: dict[int, _Due]


def day_blocks(content: ReportContent) -> tuple[Block, ...]:
    """What was done, in sentences and then by day or by week."""
    folder = content.folder
    record, plan = _record(folder), folder.plan
    told = [_opening(record), *_chore_words(record)]
    if folder.chores:
        told += missed_words(day_list(record.schedule.tasks, record.doings, plan.days + 1))
        told += slip_words(folder.slips, record.schedule)
    blocks: list[Block] = [Words(text) for text in told if text]
    full = [one for one in (_span(record, day, day) for day in range(plan.days + 1)) if not one.is_empty]
    if not full:
        return tuple(blocks)
    table = _table(record, full, "What was done, day by day")
    if len(full) <= FEW_DAYS:
        return (*blocks, table)
    weeks = (_span(record, first, min(first + WEEK_D - 1, plan.days)) for first in range(0, plan.days + 1, WEEK_D))
    short = _table(record, [one for one in weeks if not one.is_empty], "What was done, week by week")
    return (*blocks, Folded(short, table, f"Day by day: all {len(full)} days on which something was done"))


def _record(folder: TrialFolder) -> _Record:
    doings = doings_from(chores_done=folder.chores_done, photos=folder.photos, readings=folder.readings, events=folder.events)
    schedule = schedule_of(folder.plan, folder.chores, folder.slips, doings)
    late = {(row.chore, row.unit, row.due_day) for row in folder.chores_done if row.due_day is not None and row.day > row.due_day}
    due: dict[int, _Due] = {}
    for state in states_of(schedule.tasks, doings):
        task = state.task
        if task.is_plan_day:
            continue
        on_time = doings.units_done(task.chore, task.units, task.day, task.day + 1)
        behind = [unit for unit in state.done if unit not in on_time or (task.chore.key, unit, task.day) in late]
        before = due.get(task.day, _Due())
        due[task.day] = _Due(before.due + len(task.units), before.done + len(state.done), before.late + len(behind))
    return _Record(folder, schedule, doings, frozenset((photo.day, photo.unit) for photo in folder.photos), due)


def _span(record: _Record, first: int, last: int) -> _Span:
    folder = record.folder
    own = [record.due[day] for day in range(first, last + 1) if day in record.due]
    tests = Counter(quantity_words(row.quantity) for row in folder.readings if first <= row.day <= last)
    marks = tuple(capital(shown(task.chore.title)) for task in record.schedule.tasks if task.is_plan_day and first <= task.day <= last)
    events = tuple(event for event in folder.events if event.day_from <= last and event.day_until >= first)
    chores = _Due(sum(one.due for one in own), sum(one.done for one in own), sum(one.late for one in own))
    return _Span(first, last, sum(first <= day <= last for day, _ in record.photo_days), tuple(tests.items()), chores, marks, events)


def _opening(record: _Record) -> str:
    """Photos, tests and events in one sentence or two."""
    folder, plan = record.folder, record.folder.plan
    inside = [(day, unit) for day, unit in record.photo_days if 0 <= day <= plan.days]
    told = []
    if inside:
        whole = sum(count >= len(plan.units) for count in Counter(day for day, _ in inside).values())
        told.append(f"There are photos of {len({day for day, _ in inside})} of {plan.days + 1} days, on {whole} of them of every "
                    f"{word_of(plan)}.")
    if folder.readings:
        days = len({row.day for row in folder.readings})
        told.append(f"{so_many(len(folder.readings), 'water test')} on {so_many(days, 'day')}.")
    if folder.events:
        told.append(f"{so_many(len(folder.events), 'event')} written down.")
    return " ".join(told) or "Nothing that was done is recorded: no photo, no test, no chore, no event."


def _chore_words(record: _Record) -> list[str]:
    """How many chores were done, late or left, and whose hands did them."""
    folder = record.folder
    if not folder.chores:
        return [NO_SCHEDULE]
    due, done, late = (sum(getattr(one, name) for one in record.due.values()) for name in ("due", "done", "late"))
    told = [f"By the schedule {so_many(due, 'chore')} fell due, each counted once for each {word_of(folder.plan)}: {done} done, "
            f"{late} of them late, {due - done} not done or not written down."]
    hands = Counter(shown(row.by) for row in folder.chores_done if row.by)
    if hands:
        told.append(f"Done by {in_a_row(f'{who} ({count})' for who, count in hands.most_common())}.")
    return told


def _table(record: _Record, spans: Sequence[_Span], caption: str) -> Table:
    folder, plan = record.folder, record.folder.plan
    is_daily = all(one.first == one.last for one in spans)
    rows = [(_days(one, plan), _of(one.photos, (one.last - one.first + 1) * len(plan.units)) if one.photos else "none", _tests(one),
             _chores(one.chores), _happened(one, is_daily=is_daily)) for one in spans]
    keep = [0, *([1] if folder.photos else []), *([2] if folder.readings else []), *([3] if folder.chores else []), 4]
    head = ("Day" if is_daily else "Days", "Photos", "Tests", "Chores", "What happened")
    caption += f"; chores are counted once for each {word_of(plan)}" if folder.chores else ""
    return Table(caption, tuple(head[index] for index in keep), tuple(tuple(row[index] for index in keep) for row in rows),
                 wide=tuple(place for place, index in enumerate(keep) if index in (2, 4)))


def _days(one: _Span, plan: Plan) -> str:
    first, last = (plan.start + timedelta(days=day) for day in (one.first, one.last))
    if one.first == one.last:
        return f"{one.first} ({first:%m-%d})"
    return f"{one.first} to {one.last} ({first:%m-%d} to {last:%m-%d})"


def _of(count: int, whole: int) -> str:
    return f"{count} of {whole}"


def _tests(one: _Span) -> str:
    return ", ".join(f"{name} {count}" for name, count in one.tests) or "none"


def _chores(due: _Due) -> str:
    if not due.due:
        return "none due"
    told = [f"{due.done} of {due.due} done"]
    told += [f"{due.late} late"] if due.late else []
    return ", ".join(told)


def _happened(one: _Span, *, is_daily: bool) -> str:
    """Days of the plan and events; in a week an event has its day behind it."""
    told = list(one.marks)
    for event in one.events:
        where = f" in {', '.join(map(shown, event.units))}" if event.units else ""
        when = "" if is_daily else f" (day {event.day_from})" if event.day_from == event.day_until else \
            f" (day {event.day_from} to {event.day_until})"
        told.append(f"{shown(event.kind) or 'event'}{where}{when}")
    return "; ".join(dict.fromkeys(told)) or "nothing written down"
