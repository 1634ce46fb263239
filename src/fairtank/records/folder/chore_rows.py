"""Rows of chores.csv: checked against the schedule, and taken apart so that each row says what was done in one unit."""

from dataclasses import replace
from datetime import date
from typing import Any

from fairtank.chore import Chore
from fairtank.planning.schedule.plan_days import PLAN_KEY
from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.nouns import units_named
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Row, Rows
from fairtank.records.folder.tables import DAYS_AWAY
from fairtank.trial import Plan


def check_chores(rows: Rows, draft: Draft, keys: tuple[str, ...] | None, problems: Problems, doubts: Problems) -> None:
    """Units that there are, chores of the schedule, and days for which they were due near the trial.

    keys: of the chores in schedule.toml; None where they cannot be known. A chore that is not among them may have been taken out of the
    schedule since: it is kept and told, unless it is misspelt.
    """
    for row in rows.rows:
        if draft.units is not None:
            wrong = tuple(dict.fromkeys(units_named(row.values.get("unit", ""), draft.units)[1]))
            if wrong:
                read = f"{listed(wrong, most=3)} {'is not a unit' if len(wrong) == 1 else 'are no units'} of trial.toml"
                problems.add(rows.table.file, row.number, "unit", read,
                             f"{listed(draft.units)}, parted by ; where there are several, or nothing for all")
        _check_chore(rows.table.file, row, keys, problems, doubts)
        _check_due(rows.table.file, row, draft, problems)


def _check_chore(file: str, row: Row, keys: tuple[str, ...] | None, problems: Problems, doubts: Problems) -> None:
    chore = row.values.get("chore", "")
    if not chore or keys is None or chore in keys or chore.startswith(f"{PLAN_KEY}:"):
        return
    near = meant(chore, keys)
    if near:
        problems.add(file, row.number, "chore", f"{shown(chore)} is not a chore of schedule.toml{did_you_mean(near)}",
                     listed(keys, most=20))
    else:
        read = f"{shown(chore)} is not a chore of schedule.toml; the row counts as work that was not planned"
        doubts.add(file, row.number, "chore", read, "")


def _check_due(file: str, row: Row, draft: Draft, problems: Problems) -> None:
    due: Any = row.values.get("due")
    if due is None or draft.start is None or draft.days is None:
        return
    day = (due - draft.start).days if isinstance(due, date) else due
    if not -DAYS_AWAY <= day <= draft.days + DAYS_AWAY:
        problems.add(file, row.number, "due", f"day {day} is far from the days of the trial",
                     f"a day from {-DAYS_AWAY} to {draft.days + DAYS_AWAY}, or its date")


def rows_of_units(rows: Rows, plan: Plan, chores: tuple[Chore, ...]) -> Rows:
    """A row for each unit that a row names, in the order of the file; the minutes of a row are shared among its units.

    A row that names no unit holds for those of its chore, or for all. Without a kind of its own it has its chore's.
    """
    by_key = {chore.key: chore for chore in chores}
    units = tuple(unit.key for unit in plan.units)
    parted: list[Row] = []
    for row in rows.rows:
        chore = by_key.get(row.values["chore"])
        named = units_named(row.values["unit"], units)[0] or (chore.units if chore else ()) or units
        minutes = None if row.values["minutes"] is None else row.values["minutes"] / len(named)
        kind = row.values["kind"] or (chore.kind if chore else "other")
        parted += [replace(row, values={**row.values, "unit": unit, "minutes": minutes, "kind": kind}) for unit in named]
    return replace(rows, rows=tuple(parted))
