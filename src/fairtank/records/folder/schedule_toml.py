"""schedule.toml as chores and slips: what is to be done when, every key checked and checked against the plan."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from fairtank.chore import Chore, Slip
from fairtank.planning.schedule.dates import rule_days
from fairtank.planning.schedule.plan_days import PLAN_KEY
from fairtank.planning.schedule.rules import Recurrence
from fairtank.planning.schedule.tasks import last_day
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE, ChoreSection
from fairtank.records.folder.tables import DAYS_AWAY, LONGEST_TRIAL_DAYS
from fairtank.records.folder.toml_section import toml_shown
from fairtank.records.folder.toml_text import document_from_text
from fairtank.records.folder.unknown_keys import heads_corrected

SCHEDULE_HEADS = ("chore", "slip")
MOST_TABLES = 300
MOST_SLIP_DAYS = 365
_EXAMPLE = "the example schedule (docs/guide/schedule.md shows one)"
Placed = tuple[ChoreSection, Chore | None]


@dataclass
class ScheduleDraft:
    """What could be read of schedule.toml.

    keys: of its chores; None where there is no such file or one chore could not be read, so that rows of chores.csv cannot be judged by
    them. unknown: place, key and value of what nobody asked for.
    """

    chores: tuple[Chore, ...] = ()
    slips: tuple[Slip, ...] = ()
    keys: tuple[str, ...] | None = None
    unknown: list[tuple[str, str, Any]] = field(default_factory=list)


def schedule_from_text(text: str, draft: Draft, problems: Problems, doubts: Problems) -> ScheduleDraft:
    """The schedule that a text of schedule.toml describes.

    Parameters
    ----------
    text : str
        The content of the file.
    draft : Draft
        As much of trial.toml as could be read: days and units are checked against it.
    problems : Problems
        Collects everything that is wrong.
    doubts : Problems
        Collects what was probably not meant: a chore that falls on no day of the trial.
    """
    document = document_from_text(SCHEDULE_FILE, text, _EXAMPLE, problems)
    if document is None:
        return ScheduleDraft()
    found = Problems()
    document = heads_corrected(document, SCHEDULE_HEADS, SCHEDULE_FILE, found)
    chores: list[Placed] = [(section, _chore(section)) for section in _sections("chore", document, draft, found)]
    slips = [(section, _slip(section)) for section in _sections("slip", document, draft, found)]
    _check_keys(chores, found)
    unknown = [(section.place, key, value) for section, _ in (*chores, *slips) for key, value in section.leftovers().items()]
    unknown += [("", key, value) for key, value in document.items() if key not in SCHEDULE_HEADS]
    problems.take(found)
    if found:
        return ScheduleDraft(unknown=unknown)
    read = tuple(chore for _, chore in chores if chore is not None)
    _doubt_idle(read, draft, doubts)
    return ScheduleDraft(read, tuple(slip for _, slip in slips if slip is not None), tuple(chore.key for chore in read), unknown)


def _sections(name: str, document: dict[str, Any], draft: Draft, problems: Problems) -> list[ChoreSection]:
    """The tables of one name."""
    tables = document.get(name, [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        problems.add(SCHEDULE_FILE, None, f"[[{name}]]", f"{toml_shown(tables)} stands in place of a list of tables",
                     f"one table headed [[{name}]] for each {name}")
        return []
    if len(tables) > MOST_TABLES:
        problems.add(SCHEDULE_FILE, None, f"[[{name}]]", f"there are {len(tables)} such tables", f"at most {MOST_TABLES}")
        return []
    return [ChoreSection(f"[[{name}]] {number}", table, problems, draft) for number, table in enumerate(tables, start=1)]


def _chore(section: ChoreSection) -> Chore | None:
    """A chore; None after a problem was noted."""
    key, title, kind, every = section.name("key"), section.text("title"), section.kind(), section.every()
    last = LONGEST_TRIAL_DAYS if section.draft.days is None else section.draft.days
    from_day = section.day("from_day", 0, -DAYS_AWAY, last)
    until_day = section.day("until_day", None, -DAYS_AWAY, last)
    at, minutes, units, amount = section.at(), section.minutes(), section.units(), section.amount()
    quantity, unit, note = section.text("quantity"), section.text("unit_of_measure"), section.text("note")
    if None in (key, title, kind, every, from_day, at, minutes, units, amount, quantity, unit, note):
        return None
    first = _first_day(section, every, from_day, last)
    if section.has("until_day") and until_day is not None and first is not None and until_day < first:
        section.fault("until_day", f"day {until_day} lies before the first day, day {first}", f"a day from {first} to {last}")
    if amount[1] and unit and unit != amount[1]:
        section.fault("unit_of_measure", f"{toml_shown(unit)} stands there, and amount says {amount[1]}", "one of them")
    if first is None:
        return None
    return Chore(key, title or key.replace("_", " "), kind, every.rule, first, until_day, at, minutes, units, quantity, amount[0],
                 unit or amount[1], note)


def _first_day(section: ChoreSection, every: Recurrence, from_day: int, last: int) -> int | None:
    """The first day on which the chore may fall: of its words where they name one."""
    start = section.draft.start
    day = every.day if every.on is None else None if start is None else (every.on - start).days
    if every.on is None and every.day is None:
        return from_day
    if day is None:
        return None  # the date of day 0 could not be read, which was told
    named = f"day {day}" if every.on is None else f"{every.on}, day {day},"
    if section.has("from_day") and from_day != day:
        section.fault("from_day", f"day {from_day} stands there, and every says {named.rstrip(',')}", "one of them")
    if not -DAYS_AWAY <= day <= last:
        section.fault("every", f"{named} is no day of the trial", f"a day from {-DAYS_AWAY} to {last}")
        return None
    return day


def _slip(section: ChoreSection) -> Slip | None:
    """A slip; None after a problem was noted."""
    last = LONGEST_TRIAL_DAYS if section.draft.days is None else section.draft.days
    day, by_days, reason = section.slip_day(last), section.whole("by_days", 1, MOST_SLIP_DAYS), section.needed_text("reason")
    return None if day is None or by_days is None or reason is None else Slip(day, by_days, reason)


def _check_keys(chores: Sequence[Placed], problems: Problems) -> None:
    """Each key once, and none that belongs to the plan's own days."""
    first: dict[str, str] = {}
    for section, chore in chores:
        if chore is None:
            continue
        if chore.key.casefold().startswith(f"{PLAN_KEY}:"):
            section.fault("key", f"{shown(chore.key)} belongs to the days of the plan", f"a key that does not begin with {PLAN_KEY}:")
        before = first.setdefault(chore.key.casefold(), section.place)
        if before != section.place:
            section.fault("key", f"{shown(chore.key)} stands in {before} too", "a key of its own for each chore")


def _doubt_idle(chores: Sequence[Chore], draft: Draft, doubts: Problems) -> None:
    """A chore that falls on no day of the trial was probably meant otherwise."""
    if draft.plan is None:
        return
    for number, chore in enumerate(chores, start=1):
        until = last_day(draft.plan, chore)
        if not rule_days(chore.rule, start=draft.plan.start, from_day=chore.from_day, until_day=until):
            doubts.add(SCHEDULE_FILE, None, f"[[chore]] {number}, every",
                       f"{shown(chore.title)} falls on no day from day {chore.from_day} to day {until}", "")
