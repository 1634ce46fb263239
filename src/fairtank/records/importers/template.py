"""An empty sheet of readings for a trial: a row for each planned day and tank, a column for each quantity with its unit."""

from collections.abc import Sequence
from datetime import timedelta

from fairtank.planning.schedule.doing import is_quantity
from fairtank.planning.schedule.tasks import planned_tasks
from fairtank.records.exporters.sheets import Value, sheet_bytes
from fairtank.records.importers.facts import KnownQuantity, TrialFacts

FIRST_COLUMNS = ("date", "day", "tank")
EVERY_DAYS = 7  # where the schedule asks for no tests. common practice, no source


def template_of(facts: TrialFacts, form: str) -> bytes:
    """An empty sheet that is read back as it is, once values are filled in.

    Parameters
    ----------
    facts : TrialFacts
        What is known of the trial.
    form : str
        `csv` or `xlsx`.

    Returns
    -------
    bytes
        Days are those on which the schedule asks for tests, else one in seven and those of the planned looks.

    Raises
    ------
    InputError
        If the form is another one.

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    columns, rows = template_rows(facts)
    return sheet_bytes(columns, rows, form, title="readings")


def template_rows(facts: TrialFacts) -> tuple[tuple[str, ...], list[tuple[Value, ...]]]:
    """The headings and the rows of the empty sheet."""
    columns = (*FIRST_COLUMNS, *(_heading(known) for known in facts.quantities), "method")
    blanks = (None,) * (len(facts.quantities) + 1)
    start = facts.plan.start
    return columns, [(start + timedelta(days=day), day, unit, *blanks) for day in days_of(facts) for unit in facts.units]


def days_of(facts: TrialFacts) -> Sequence[int]:
    """The days on which something is to be tested."""
    plan = facts.plan
    tasks = planned_tasks(plan, facts.chores) if facts.chores else ()
    planned = {task.day for task in tasks if not task.is_plan_day and task.chore.kind == "test"
               and any(is_quantity(known.key, task.chore.quantity) for known in facts.quantities)}
    return sorted(planned or {*range(0, plan.days + 1, EVERY_DAYS), *plan.looks.days, plan.days})


def _heading(known: KnownQuantity) -> str:
    """A quantity's key with its unit behind it."""
    return f"{known.key} ({known.unit_of_measure})" if known.unit_of_measure else known.key
