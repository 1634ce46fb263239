"""What is to be done when: the schedule read or proposed, today's list, a slip written down, and the files to carry along."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from fairtank import __version__
from fairtank.chore import Chore, Slip
from fairtank.errors import InputError, JobError
from fairtank.planning.schedule.days import DayList, State, day_list, states_of
from fairtank.planning.schedule.proposing import default_chores
from fairtank.planning.schedule.tasks import Schedule, doings_from, minutes_by_day, schedule_of
from fairtank.publish.schedule_pages import DaysContent, days_pdf
from fairtank.publish.schedule_words import touched_words
from fairtank.records.exporters.calendar import calendar_bytes
from fairtank.records.exporters.json_text import json_text
from fairtank.records.exporters.plan_by_day import plan_by_day_text
from fairtank.records.folder import read_folder
from fairtank.records.folder.cells import LONGEST_TEXT
from fairtank.records.folder.paths import TOML_LIMIT_BYTES, is_there, read_bytes
from fairtank.records.folder.plan_writer import section_text
from fairtank.records.folder.schedule_toml import MOST_SLIP_DAYS
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.schedule_toml_writer import text_from_schedule
from fairtank.records.services.trials import place_check, result_write
from fairtank.records.writing import bytes_write, text_write
from fairtank.trial import Plan, TrialFolder

TABLE_FILE, PAGES_FILE, CALENDAR_FILE = "plan-by-day.csv", "plan-by-day.pdf", "calendar.ics"
OPENING = ("A proposed schedule: change times, minutes and days to fit. It was made from trial.toml and setup.toml.",
           'every = "every day", "every 3 days", "on Sunday and Wednesday", "weekly", "once on day 10", or a rule of RFC 5545.')


@dataclass(frozen=True)
class ScheduleFiles:
    """Where everything was written."""

    table: Path
    pages: Path
    calendar: Path


@dataclass(frozen=True)
class ScheduledTrial:
    """A trial's schedule as it stands.

    folder: as it was read, with chores and slips. day: of the list. today: the day's list. states: every task. is_proposed: there was no
    schedule.toml, and this one is a proposal. is_written: the proposal was written. slip: what was written down just now. files: None
    where nothing was written.
    """

    folder: TrialFolder
    day: int
    today: DayList
    schedule: Schedule
    states: tuple[State, ...]
    is_proposed: bool
    is_written: bool
    slip: Slip | None = None
    files: ScheduleFiles | None = None

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.folder.plan

    @property
    def date(self) -> date:
        """The date of the list."""
        return self.plan.start + timedelta(days=self.day)


def trial_schedule(*, root: Path, out: Path | None = None, day: str = "today", slip: str | None = None, by_days: int | None = None,
                   reason: str | None = None, alarm_min: int | None = None, today: Callable[[], date] = date.today) -> ScheduledTrial:
    """The schedule of a folder; with `out`, written to take along; with `slip`, re-planned from that day on.

    A folder without schedule.toml gets a proposed one, where anything is written at all; one that is there is only added to.

    Parameters
    ----------
    root : Path
        The trial folder.
    out : Path or None
        Where the plan by day and the calendar go; None writes nothing but a slip.
    day : str
        Which day's list: `today`, a date, or a day of the trial.
    slip : str or None
        The first day that slipped: `today`, a date, or a day of the trial.
    by_days : int or None
        By how many days all that is not done moves.
    reason : str or None
        Why.
    alarm_min : int or None
        Remind so many minutes before each chore.
    today : function
        The clock.

    Returns
    -------
    ScheduledTrial

    Raises
    ------
    FolderError
        If anything in the folder is wrong.
    InputError
        If a day is none, or the slip lacks its days or its reason.
    JobError
        If something cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    asked = _day_of(day, "--day", folder.plan, today)
    added = None if slip is None else _slip_of(slip, by_days, reason, folder.plan, today)
    if out is not None:
        place_check(out, root, tuple(photo.path for photo in folder.photos))
    is_proposed = not is_there(root, SCHEDULE_FILE)
    is_written = is_proposed and (out is not None or added is not None)
    chores: tuple[Chore, ...] = default_chores(folder.plan, folder.setup) if is_proposed else folder.chores
    if is_written:
        _schedule_write(root, text_from_schedule(chores, opening=OPENING))
    if added is not None:
        _slip_write(root, added)
    if is_written or added is not None:
        folder = read_folder(root)
        chores = folder.chores
    doings = doings_from(chores_done=folder.chores_done, photos=folder.photos, readings=folder.readings,
                          events=folder.events)
    schedule = schedule_of(folder.plan, chores, folder.slips, doings)
    states = states_of(schedule.tasks, doings)
    files = None if out is None else _written(out, folder, schedule, states, alarm_min)
    return ScheduledTrial(folder, asked, day_list(schedule.tasks, doings, asked), schedule, states, is_proposed, is_written, added, files)


def _day_of(text: str, name: str, plan: Plan, today: Callable[[], date]) -> int:
    """A day of the trial from `today`, a date, or its number."""
    word = text.strip().casefold()
    accepted = f"today, a date such as {plan.start}, or a day of the trial such as 10"
    if word == "today":
        return (today() - plan.start).days
    try:
        return int(word) if len(word) <= 5 else (date.fromisoformat(word) - plan.start).days
    except ValueError:
        raise InputError(name, f"'{text}'", accepted) from None


def _slip_of(day: str, by_days: int | None, reason: str | None, plan: Plan, today: Callable[[], date]) -> Slip:
    """The slip that is to be written down, checked."""
    found, why = _day_of(day, "--slip", plan, today), " ".join((reason or "").split())
    if not 0 <= found <= plan.days:
        raise InputError("--slip", f"'{day}', which is day {found}", f"a day of the trial from 0 to {plan.days}, {plan.start} to "
                         f"{plan.start + timedelta(days=plan.days)}", "Before day 0 nothing can slip: change start in trial.toml instead."
                         if found < 0 else "")
    if by_days is None or not 1 <= by_days <= MOST_SLIP_DAYS:
        raise InputError("--by", "left out" if by_days is None else by_days,
                         f"by how many days all that is not done moves, 1 to {MOST_SLIP_DAYS}")
    if not why or len(why) > LONGEST_TEXT:
        raise InputError("--reason", "left out" if not why else "very long", f"why it slipped, in at most {LONGEST_TEXT} characters",
                         "It stands beside the schedule for whoever reads the trial.")
    return Slip(found, by_days, why)


def _schedule_write(root: Path, text: str) -> None:
    try:
        text_write(root / SCHEDULE_FILE, text)
    except OSError as error:
        raise JobError(f"{root / SCHEDULE_FILE} cannot be written: {error.strerror}. Nothing was scheduled.") from error


def _slip_write(root: Path, slip: Slip) -> None:
    """Add a slip at the end of schedule.toml; what stands there, remarks too, stays byte for byte."""
    place = root / SCHEDULE_FILE
    before = read_bytes(root, SCHEDULE_FILE, TOML_LIMIT_BYTES)
    own = section_text("[[slip]]", {"day": slip.day, "by_days": slip.by_days, "reason": slip.reason}).encode()
    gap = b"\n" if before.endswith(b"\n") or not before else b"\n\n"
    try:
        bytes_write(place, before + gap + own)
    except OSError as error:
        raise JobError(f"{place} cannot be written: {error.strerror}. The slip was not written down.") from error


def _written(out: Path, folder: TrialFolder, schedule: Schedule, states: tuple[State, ...], alarm_min: int | None) -> ScheduleFiles:
    """Everything made first, then written."""
    stamp = None if folder.seal is None else folder.seal.last.at
    table = plan_by_day_text(states, folder.plan)
    pages = days_pdf(DaysContent(folder, states, schedule))
    calendar = calendar_bytes(folder.plan, schedule, setup=folder.setup, stamp=stamp, alarm_min=alarm_min)
    files = ScheduleFiles(out / TABLE_FILE, out / PAGES_FILE, out / CALENDAR_FILE)
    result_write(files.table, table)
    result_write(files.pages, pages)
    result_write(files.calendar, calendar)
    return files


def schedule_json(scheduled: ScheduledTrial) -> str:
    """The schedule as one JSON object."""
    folder, found, touched = scheduled.folder, scheduled.today, scheduled.schedule.touched
    tasks = [state.task for state in scheduled.states]
    minutes = minutes_by_day(tasks)
    number = None if scheduled.slip is None else len(folder.slips)
    document = {
        "software": f"fairtank {__version__}", "inputs_digest": folder.digest, "day": scheduled.day, "date": scheduled.date.isoformat(),
        "proposed": scheduled.is_proposed,
        "today": [_task(state) for state in found.today], "overdue": [_task(state) for state in found.overdue],
        "missed": [_task(state) for state in found.missed], "ahead": [_task(state) for state in found.ahead],
        "minutes_left_today": round(found.minutes, 1), "minutes_total": sum(minutes.values()),
        "minutes_by_day": [{"day": day, "minutes": value} for day, value in minutes.items()],
        "tasks": [_task(state) for state in scheduled.states],
        "slips": [{"day": one.day, "by_days": one.by_days, "reason": one.reason} for one in folder.slips],
        "left_out": [{"chore": task.chore.key, "planned_day": task.planned_day, "day": task.day} for task in scheduled.schedule.left_out],
        "slip": None if number is None else {"cautions": touched_words(touched, number, is_sealed=folder.seal is not None)},
        "files": None if scheduled.files is None else {"table": str(scheduled.files.table), "pages": str(scheduled.files.pages),
                                                       "calendar": str(scheduled.files.calendar)},
        "cautions": list(folder.cautions),
    }
    return json_text(document)


def _task(state: State) -> dict[str, Any]:
    task = state.task
    at = None if task.is_plan_day else datetime.combine(task.date, task.at).isoformat(timespec="minutes")
    return {"chore": task.chore.key, "title": task.chore.title, "kind": "plan" if task.is_plan_day else task.chore.kind, "day": task.day,
            "planned_day": task.planned_day, "date": task.date.isoformat(), "at": at, "units": list(task.units), "done": list(state.done),
            "left": [] if task.is_plan_day else list(state.left), "minutes": task.minutes, "amount": task.chore.amount,
            "unit_of_measure": task.chore.unit_of_measure, "quantity": task.chore.quantity}
