"""The schedule of a trial on the shelf: a proposal taken, chores changed one by one, days that slipped, and the file for a calendar."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import tomli_w
from django.utils.text import slugify

from fairtank.chore import Chore, Slip
from fairtank.errors import DesignError
from fairtank.planning.schedule.days import DayList, State, day_list, states_of
from fairtank.planning.schedule.doing import Doings
from fairtank.planning.schedule.proposing import default_chores
from fairtank.planning.schedule.tasks import Schedule, schedule_of
from fairtank.records.exporters.calendar import calendar_bytes
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.schedule_toml import schedule_from_text
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.schedule_toml_writer import text_from_schedule
from fairtank.records.models import ChoreDone, Event, Photo, Reading, Trial
from fairtank.records.selectors.trial_state import Papers, papers_of
from fairtank.records.services.fields_refused import FieldsRefused
from fairtank.records.services.scheduling import OPENING, trial_schedule
from fairtank.records.services.trail import By
from fairtank.records.services.working import changing
from fairtank.records.writing import text_write
from fairtank.trial import Plan

CHORE_FIELDS = ("title", "kind", "every", "from_day", "until_day", "at", "minutes", "units", "quantity", "amount", "unit_of_measure",
                "note")
_WHOLE, _NUMBERS = ("from_day", "until_day"), ("minutes",)


@dataclass(frozen=True)
class Scheduled:
    """The schedule as it stands: chores, slips, every task with what was done of it, and one day's list."""

    plan: Plan
    papers: Papers
    chores: tuple[Chore, ...]
    slips: tuple[Slip, ...]
    schedule: Schedule
    states: tuple[State, ...]
    day: int
    listed: DayList


def scheduled_of(trial: Trial, today: date | None = None) -> Scheduled | None:
    """The schedule of a trial from its rows; None where there is no plan.

    Parameters
    ----------
    trial : Trial
    today : date, optional
        Whose list is told.

    Returns
    -------
    Scheduled or None

    References
    ----------
    common_practice (keys from sources.py).
    """
    papers = papers_of(trial)
    plan = papers.plan
    if plan is None:
        return None
    chores, slips = papers.schedule
    if not papers.has_schedule:
        chores = default_chores(plan, papers.setup)
    doings = doings_of_rows(trial)
    schedule = schedule_of(plan, chores, slips, doings)
    day = ((today or date.today()) - plan.start).days
    return Scheduled(plan, papers, chores, slips, schedule, states_of(schedule.tasks, doings), day, day_list(schedule.tasks, doings, day))


def doings_of_rows(trial: Trial) -> Doings:
    """What was done, in four queries, each day of a unit once."""
    rows: dict[tuple[str, str], list[tuple[int | None, int]]] = {}
    done = ChoreDone.objects.filter(trial=trial).exclude(chore="")
    for chore, unit, due, day in done.values_list("chore", "unit__key", "due_day", "day"):
        rows.setdefault((chore, unit), []).append((due, day))
    photos: dict[str, set[int]] = {}
    for unit, day in Photo.objects.filter(trial=trial).order_by().values_list("unit__key", "day").distinct():
        photos.setdefault(unit, set()).add(day)
    read: dict[str, set[tuple[int, str]]] = {}
    for unit, day, quantity in Reading.objects.filter(trial=trial).order_by().values_list("unit__key", "day", "quantity").distinct():
        read.setdefault(unit, set()).add((day, quantity))
    events: dict[tuple[str, str], set[int]] = {}
    for units, kind, day in Event.objects.filter(trial=trial).values_list("units", "kind", "day"):
        word = kind.strip().casefold().replace(" ", "_").replace("-", "_")
        for unit in units or ("",):
            events.setdefault((word, unit), set()).add(day)
    return Doings(rows, {unit: tuple(sorted(days)) for unit, days in photos.items()},
                  {unit: tuple(sorted(found)) for unit, found in read.items()}, {key: tuple(sorted(days)) for key, days in events.items()})


def calendar_of(trial: Trial, alarm_min: int | None = None) -> bytes:
    """The schedule for a calendar.

    Parameters
    ----------
    trial : Trial
    alarm_min : int, optional
        Remind so many minutes before each chore. [min]

    Returns
    -------
    bytes

    Raises
    ------
    DesignError
        If there is no plan yet.

    References
    ----------
    rfc5545 (keys from sources.py).
    """
    found = scheduled_of(trial)
    if found is None:
        raise DesignError("There is no plan yet, and so no schedule.")
    seal = found.papers.seal
    stamp = None if seal is None else seal.last.at
    return calendar_bytes(found.plan, found.schedule, setup=found.papers.setup, stamp=stamp, alarm_min=alarm_min)


def schedule_take(*, trial: Trial, by: By) -> None:
    """Take the schedule that is proposed."""
    _store(trial, by, _document(trial), "Took the proposed schedule.")


def chore_store(*, trial: Trial, by: By, key: str, typed: Mapping[str, str]) -> None:
    """Change a chore, or add one.

    Parameters
    ----------
    trial : Trial
    by : By
    key : str
        Of the chore that is changed; empty for a new one.
    typed : mapping
        By the names of `CHORE_FIELDS`, as they were typed; units with commas between them, empty for all.

    Raises
    ------
    FieldsRefused
        With a sentence for each field that cannot be used.

    References
    ----------
    rfc5545, section 3.3.10 (keys from sources.py).
    """
    document = _document(trial)
    chores: list[dict[str, Any]] = document.setdefault("chore", [])
    place = next((number for number, chore in enumerate(chores) if chore.get("key") == key), None) if key else None
    if key and place is None:
        raise FieldsRefused({"": "There is no such chore any more. Load the page again."})
    title = " ".join(typed.get("title", "").split())
    if not title:
        raise FieldsRefused({"title": "A chore needs a name, such as Wipe the front pane."})
    own = {"key": key or _free_key(title, [str(chore.get("key", "")) for chore in chores]), **_table(typed), "title": title}
    if place is None:
        chores.append(own)
        place = len(chores) - 1
    else:
        chores[place] = {**{name: value for name, value in chores[place].items() if name not in CHORE_FIELDS}, **own}
    _check(trial, document, f"[[chore]] {place + 1}")
    _store(trial, by, document, f"Changed the chore “{title}”." if key else f"Added the chore “{title}”.")


def _table(typed: Mapping[str, str]) -> dict[str, Any]:
    """What was typed as a table of schedule.toml; a number that is none stays as it was typed, so that it is refused with its name."""
    table: dict[str, Any] = {}
    for name in CHORE_FIELDS:
        text = " ".join(typed.get(name, "").split())
        if not text:
            continue
        table[name] = text
        if name in _WHOLE and text.removeprefix("-").isdecimal() and len(text) < 6:
            table[name] = int(text)
        elif name == "units":
            table[name] = [part.strip() for part in text.split(",") if part.strip()]
        elif name in _NUMBERS or name == "amount":
            table[name] = _number(text)
    return table


def _number(text: str) -> float | str:
    try:
        return float(text.replace(",", ".", 1))
    except ValueError:
        return text


def _free_key(title: str, taken: list[str]) -> str:
    stem = slugify(title).replace("-", "_")[:40] or "chore"
    return next(key for number in range(1, len(taken) + 2) if (key := stem if number == 1 else f"{stem}_{number}") not in taken)


def chore_remove(*, trial: Trial, by: By, key: str) -> None:
    """Take a chore out of the schedule; what was done of it stays in the diary."""
    document = _document(trial)
    left = [chore for chore in document.get("chore", []) if chore.get("key") != key]
    gone = [chore for chore in document.get("chore", []) if chore.get("key") == key]
    if gone:
        _store(trial, by, {**document, "chore": left}, f"Took the chore “{gone[0].get('title', key)}” out of the schedule.")


def slip_store(*, trial: Trial, by: By, day: str, by_days: str, reason: str) -> None:
    """From a day on, move all that is not done yet.

    Raises
    ------
    InputError
        If the day is none of the trial's, the days are no number, or the reason is missing.
    """
    count = int(by_days) if by_days.strip().isdecimal() and len(by_days.strip()) < 5 else None
    why, which = " ".join(reason.split()), f"day {day.strip()}" if day.strip().isdecimal() else day.strip()
    with changing(trial=trial, by=by, verb="slip", said=f"Moved what was left from {which} on by {by_days.strip()} days: {why}.") as root:
        trial_schedule(root=root, day="0", slip=day, by_days=count, reason=why)


def _document(trial: Trial) -> dict[str, Any]:
    """schedule.toml as a document; the proposal where there is none yet."""
    papers = papers_of(trial)
    if papers.plan is None:
        raise DesignError("There is no plan yet, and so no schedule.")
    text = papers.texts.get(SCHEDULE_FILE)
    if text is None:
        text = text_from_schedule(default_chores(papers.plan, papers.setup), opening=OPENING)
    return tomllib.loads(text)


def _check(trial: Trial, document: dict[str, Any], place: str) -> None:
    """Refuse a chore that cannot be read, with its problems by field."""
    problems = Problems()
    schedule_from_text(tomli_w.dumps(document), papers_of(trial).draft, problems, Problems())
    if not problems:
        return
    sentences: dict[str, str] = {}
    for problem in problems.as_error().problems:
        where, _, field = (problem.column or "").partition(", ")
        name = field if where == place else ""
        sentences[name] = f"{problem.read[:1].upper()}{problem.read[1:]}; accepted: {problem.accepted}."
    raise FieldsRefused(sentences)


def _store(trial: Trial, by: By, document: dict[str, Any], said: str) -> None:
    with changing(trial=trial, by=by, verb="schedule", said=said) as root:
        text_write(root / SCHEDULE_FILE, tomli_w.dumps(document))
