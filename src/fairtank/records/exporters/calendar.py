"""calendar.ics: the schedule as an iCalendar file (RFC 5545), for the calendar of a phone.

A chore is one recurring event as long as nothing slipped. After a slip the recurring event ends before it, and what moved stands as
events of their own, each known by its chore and the day for which it was first planned: a calendar that reads the file again moves them
and holds nothing twice. Times are the keeper's own clock, wherever the phone is. The same schedule gives the same bytes.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from typing import Any

from fairtank import __version__
from fairtank.build import Setup
from fairtank.chore import Chore
from fairtank.planning.schedule.tasks import Schedule, Task
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.schedule_words import KIND_WORDS, amount_words, caution_keys
from fairtank.science.cautions import CAUTIONS
from fairtank.trial import Plan

DOMAIN = "fairtank.invalid"  # a name that nobody can own (RFC 2606)
SHORTEST_MIN = 5
_SCOPE_LETTERS = 12


def calendar_bytes(plan: Plan, schedule: Schedule, *, setup: Setup | None = None, stamp: datetime | None = None,
                   alarm_min: int | None = None) -> bytes:
    """The schedule as an iCalendar file.

    Parameters
    ----------
    plan : Plan
        The plan.
    schedule : Schedule
        What is to be done after all slips.
    setup : Setup or None
        What is built, for the cautions.
    stamp : datetime or None
        When the information was made (DTSTAMP), with its offset from UTC; without it, midnight UTC of the date of day 0, so that the
        same schedule gives the same bytes.
    alarm_min : int or None
        Remind so many minutes before each chore; None: no reminder.

    Returns
    -------
    bytes
        UTF-8, lines ended by CR LF and folded at 75 bytes.

    References
    ----------
    rfc5545 (keys from sources.py).
    """
    from icalendar import Calendar

    at = datetime.combine(plan.start, time(), UTC) if stamp is None else stamp.astimezone(UTC)
    calendar = Calendar()
    calendar.add("prodid", f"-//fairtank//fairtank {__version__}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("x-wr-calname", shown(plan.title) or "fairtank trial")
    making = _Making(plan, setup, at.replace(microsecond=0), alarm_min)
    *head, end = _lines(calendar)
    body = [line for tasks in _by_chore(schedule).values() for line in making.lines(tasks, frozenset(schedule.left_out))]
    return b"".join(line + b"\r\n" for line in (*head, *body, end))


def trial_scope(plan: Plan) -> str:
    """What tells the events of this trial from those of others: its first day and its units, so that a new title changes nothing."""
    named = "\n".join((plan.start.isoformat(), *(unit.key for unit in plan.units)))
    return hashlib.sha256(named.encode()).hexdigest()[:_SCOPE_LETTERS]


def uid_of(plan: Plan, chore: Chore, day: int | None = None) -> str:
    """The identifier of a chore's recurring event, or of its task that was first planned for a day."""
    name = hashlib.sha256(chore.key.encode()).hexdigest()[:_SCOPE_LETTERS]
    return f"{name}{'' if day is None else f'-{day}'}.{trial_scope(plan)}@{DOMAIN}"


def _by_chore(schedule: Schedule) -> dict[str, list[Task]]:
    """All tasks of each chore in the order in which they were first planned, those that fell out among them."""
    found: dict[str, list[Task]] = {}
    for task in sorted((*schedule.tasks, *schedule.left_out), key=lambda task: task.planned_day):
        found.setdefault(task.chore.key, []).append(task)
    return found


class _Making:
    """Events of one calendar, as folded lines."""

    def __init__(self, plan: Plan, setup: Setup | None, stamp: datetime, alarm_min: int | None) -> None:
        self.plan, self.setup, self.stamp, self.alarm_min = plan, setup, stamp, alarm_min
        self._told: dict[tuple[Chore, tuple[str, ...]], tuple[str, str]] = {}

    def lines(self, tasks: Sequence[Task], left_out: frozenset[Task]) -> list[bytes]:
        """The events of one chore: its recurring part, then what stands by itself."""
        chore = tasks[0].chore
        unmoved = next((place for place, task in enumerate(tasks) if task.slipped_by), len(tasks))
        changes = len({slip for task in tasks for slip in task.slipped_by})
        if tasks[0].is_plan_day:
            return _lines(self._event(tasks[0], uid_of(self.plan, chore), 0))
        first = tasks[0] if len({task.units for task in tasks[:unmoved]}) <= 1 else replace(tasks[0], units=())
        if unmoved:
            series = self._event(first, uid_of(self.plan, chore), changes)
            if unmoved > 1:
                series.add("rrule", _counted(chore.rule, unmoved))
        else:  # a calendar that holds the recurring event from before the slip is told that it is gone
            start = datetime.combine(self.plan.start + timedelta(days=tasks[0].planned_day), chore.at)
            series = self._event(tasks[0], uid_of(self.plan, chore), changes, start, is_gone=True)
        made = _lines(series)
        alike: dict[tuple[bool, tuple[str, ...]], list[bytes]] = {}
        for task in tasks[unmoved:]:
            is_gone, uid = task in left_out, uid_of(self.plan, chore, task.planned_day)
            if is_gone and len(task.slipped_by) == 1:
                continue  # one that fell out by its first slip never stood by itself
            key = is_gone, task.units
            if key not in alike:
                alike[key] = _lines(self._event(task, uid, changes, is_gone=is_gone, is_alone=True))
            made += _as_of(alike[key], task, uid)
        return made

    def _event(self, task: Task, uid: str, sequence: int, start: datetime | None = None, *, is_gone: bool = False,
               is_alone: bool = False) -> Any:
        """One event; alarms only where there is something to do. is_alone: it is one task and no series, and tells its day."""
        from icalendar import Alarm, Event

        chore, event = task.chore, Event()
        summary, description = self._words(task)
        event.add("uid", uid)
        event.add("dtstamp", self.stamp)
        event.add("sequence", sequence)
        event.add("dtstart", task.date if task.is_plan_day else start or task.due_at)
        if not task.is_plan_day:
            event.add("duration", timedelta(minutes=max(SHORTEST_MIN, round(chore.minutes))))
        event.add("summary", summary)
        event.add("description", description)
        if is_alone:
            event.add("comment", _comment(task))
        event.add("categories", ["plan" if task.is_plan_day else KIND_WORDS[chore.kind]])
        event.add("transp", "TRANSPARENT")
        if is_gone:
            event.add("status", "CANCELLED")
        elif self.alarm_min is not None and not task.is_plan_day:
            alarm = Alarm()
            alarm.add("action", "DISPLAY")
            alarm.add("description", summary)
            alarm.add("trigger", -timedelta(minutes=self.alarm_min))
            event.add_component(alarm)
        return event

    def _words(self, task: Task) -> tuple[str, str]:
        """The title, and in words what, how much, where, and what to mind; the same for all tasks of a chore."""
        key = task.chore, task.units
        if key not in self._told:
            where = "" if len(task.units) in (0, len(self.plan.units)) or task.is_plan_day else f" ({in_a_row(map(shown, task.units))})"
            self._told[key] = f"{shown(task.chore.title)}{where}", self._description(task)
        return self._told[key]

    def _description(self, task: Task) -> str:
        chore = task.chore
        lines = [shown(chore.note), f"How much: {amount_words(chore)}." if chore.amount is not None else ""]
        if task.is_plan_day:
            lines.append(f"Day {task.day} of the trial, by the plan.")
        else:
            lines.append(f"Tanks: {in_a_row(map(shown, task.units)) if task.units else 'those of the round that runs'}.")
            lines += [f"{CAUTIONS[key].title}: {CAUTIONS[key].text}" for key in caution_keys((chore,), self.setup)
                      if not key.startswith("co2") or chore.kind == "light"]
        return "\n".join(line for line in lines if line)


def _lines(component: Any) -> list[bytes]:
    """A component line by line, folded."""
    return [line.to_ical() for line in component.content_lines(sorted=False) if line]


def _as_of(lines: Sequence[bytes], task: Task, uid: str) -> list[bytes]:
    """The event of another task of the same chore, which differs in three short lines: folding is what takes time."""
    own = {b"UID": f"UID:{uid}", b"DTSTART": f"DTSTART:{task.due_at:%Y%m%dT%H%M%S}", b"COMMENT": f"COMMENT:{_comment(task)}"}
    return [own[name].encode() if (name := line.partition(b":")[0]) in own else line for line in lines]


def _comment(task: Task) -> str:
    """The task's day, without signs that a calendar would mask."""
    return f"Planned for day {task.planned_day} of the trial" + (f" and moved to day {task.day}." if task.slipped_by else ".")


def _counted(rule: str, times: int) -> dict[str, Any]:
    """A rule that ends after so many times, part by part as the calendar's writer wants it."""
    parts: dict[str, Any] = {}
    for piece in rule.split(";"):
        name, value = piece.split("=", 1)
        if name not in ("COUNT", "UNTIL"):
            parts[name] = value.split(",")
    return {"FREQ": parts.pop("FREQ"), "COUNT": times, **parts}
