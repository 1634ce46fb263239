"""The plan by day on paper: A4, one line for each task, a box for each tank to tick, then what every chore is and what to mind."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from fairtank import __version__
from fairtank.build import Setup
from fairtank.planning.schedule.days import State
from fairtank.planning.schedule.tasks import Schedule, minutes_by_day
from fairtank.publish.numbers import number, shown
from fairtank.publish.pdf import template_pdf
from fairtank.publish.schedule_words import amount_words, caution_keys, chore_words, day_words, minutes_words, slip_words
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.trial import Plan, TrialFolder

DAYS_TEMPLATE = "schedule.typ"
MOST_BOXES = 16  # more tanks than this have one box together, with room for a number
INTRO = ("Tick a box when the tank is done, with the time beside it if it was another one. Do the same in every tank on the same day: what "
         "is left out in one tank only is a difference between the arms. What could not be done stays unticked; write why.")
# So many letters fit over a box where there are at most so many tanks.
_LONGEST_HEADS = ((1, 12), (6, 6), (10, 6), (MOST_BOXES, 4))
_HEAD = ("At", "What")


@dataclass(frozen=True)
class DaysContent:
    """All that the pages are made from: the plan, every task with what was done of it, what slipped."""

    folder: TrialFolder
    states: tuple[State, ...]
    schedule: Schedule

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.folder.plan

    @property
    def setup(self) -> Setup | None:
        """What is built."""
        return self.folder.setup


def days_pdf(content: DaysContent) -> bytes:
    """The plan by day as PDF/UA-1.

    Parameters
    ----------
    content : DaysContent
        Plan, tasks and slips.

    Returns
    -------
    bytes
        A tagged PDF; the same content gives the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    plan, tasks = content.plan, [state.task for state in content.states]
    heads, legend = _heads([shown(unit.key) for unit in plan.units])
    title = f"Plan by day: {shown(plan.title) or 'a trial'}"
    minutes = minutes_by_day(tasks)
    chores = {task.chore.key: task.chore for task in tasks if not task.is_plan_day}
    total = sum(minutes.values())
    data = {
        "title": title, "short_title": title if len(title) <= 90 else title[:89] + "…", "intro": INTRO, "head": list(_HEAD),
        "units": heads, "legend": legend, "days": _days(content, minutes),
        "work": f"Work in all: about {minutes_words(total)}, {number(total / max(len(minutes), 1), 0)} minutes on a day with chores."
                if total else "",
        "slips": slip_words(content.folder.slips, content.schedule),
        "chores": [{"title": shown(chore.title), "when": chore_words(chore), "amount": amount_words(chore), "note": shown(chore.note)}
                   for chore in chores.values()],
        "cautions": [{"title": CAUTIONS[key].title, "text": CAUTIONS[key].text} for key in caution_keys(chores.values(), content.setup)],
        "last_word": LAST_WORD, "foot": [f"Made with fairtank {__version__}."],
    }
    return template_pdf(DAYS_TEMPLATE, data, {})


def _heads(units: Sequence[str]) -> tuple[list[str], str]:
    """The heads of the boxes' columns: the tanks, or numbers with a line that tells which is which where their names are too long."""
    if len(units) > MOST_BOXES:
        return [f"{len(units)} tanks"], ""
    longest = next(letters for most, letters in _LONGEST_HEADS if len(units) <= most)
    if max(map(len, units)) <= longest:
        return list(units), ""
    return [str(number) for number in range(1, len(units) + 1)], \
        f"The columns: {'; '.join(f'{number} {unit}' for number, unit in enumerate(units, start=1))}."


def _days(content: DaysContent, minutes: dict[int, float]) -> list[dict[str, Any]]:
    """Each day with its lines."""
    units = tuple(unit.key for unit in content.plan.units)
    found = []
    for day, group in groupby(content.states, key=lambda state: state.task.day):
        states = list(group)
        found.append({"head": day_words(day, states[0].task.date, content.plan), "rows": [_row(state, units) for state in states],
                      "minutes": f"about {minutes_words(minutes[day])}" if day in minutes else ""})
    return found


def _row(state: State, units: Sequence[str]) -> dict[str, Any]:
    """One line: a box is `open`, `done`, or `none` where nothing is to be done in that tank."""
    task = state.task
    moved = f"moved from day {task.planned_day}" if task.slipped_by else ""
    if task.is_plan_day:
        return {"at": "", "what": shown(task.chore.title), "moved": "", "is_plan": True, "boxes": []}
    boxes = ["none" if unit not in task.units else "done" if unit in state.done else "open" for unit in units]
    if len(units) > MOST_BOXES:
        boxes = ["done" if state.is_done else "open"]
    return {"at": f"{task.at:%H:%M}", "what": shown(task.chore.title), "moved": moved, "is_plan": False, "boxes": boxes}
