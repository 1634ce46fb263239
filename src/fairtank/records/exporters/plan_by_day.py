"""plan-by-day.csv: everything that is to be done, one row for each task, with a column for each tank to tick."""

import csv
import io
from collections.abc import Sequence

from fairtank.planning.schedule.days import State
from fairtank.planning.schedule.rules import DAY_NAMES
from fairtank.publish.numbers import shown
from fairtank.publish.schedule_words import amount_words
from fairtank.records.exporters.sheets import guarded
from fairtank.records.folder.cells import number_text
from fairtank.trial import Plan

DAY_COLUMNS = ("day", "date", "weekday", "at", "chore", "what", "kind", "how_much", "minutes", "planned_day", "note")
DONE, NOT_THERE = "done", "-"


def plan_by_day_text(states: Sequence[State], plan: Plan) -> str:
    """plan-by-day.csv as text.

    Parameters
    ----------
    states : sequence of State
        Every task with what was done of it.
    plan : Plan
        The plan.

    Returns
    -------
    str
        A column for each unit follows the others: `done`, empty where it is still to be done, `-` where it is not to be done.

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    units = tuple(unit.key for unit in plan.units)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow((*DAY_COLUMNS, *(guarded(unit) for unit in units)))
    for state in states:
        task = state.task
        ticks = [NOT_THERE if task.is_plan_day or unit not in task.units else DONE if unit in state.done else "" for unit in units]
        kind = "plan" if task.is_plan_day else task.chore.kind
        at = "" if task.is_plan_day else f"{task.at:%H:%M}"
        how_much = amount_words(task.chore).replace("\N{NO-BREAK SPACE}", " ")
        title, note = guarded(shown(task.chore.title)), guarded(shown(task.chore.note))
        minutes = number_text(task.minutes) if task.minutes else ""
        writer.writerow((task.day, task.date.isoformat(), DAY_NAMES[task.date.weekday()], at, guarded(task.chore.key), title, kind,
                         how_much, minutes, task.planned_day, note, *ticks))
    return out.getvalue()
