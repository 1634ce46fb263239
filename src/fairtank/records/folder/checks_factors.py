"""Rows of factors.csv: known units of the plan, known factors, and numbers in a unit that can be turned into the factor's."""

import re
from datetime import date

from fairtank.errors import InputError
from fairtank.records.folder.factor_cells import KEYS_ARE_LISTED, cell_read, known_factors, near_factor
from fairtank.records.folder.near import did_you_mean
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Row, Rows

LARGEST = 1e7  # of any factor in its own unit
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")


def check_factors(rows: Rows, draft: Draft, problems: Problems) -> None:
    """Every row names a unit of the plan or none, a known factor, and a number in a unit that fits, each once."""
    first: dict[tuple[str, str, str], int] = {}
    known = known_factors() if rows.rows else {}
    for row in rows.rows:
        unit, key = row.values.get("unit"), row.values.get("factor")
        if unit and draft.units is not None and unit not in draft.units:
            problems.add(rows.table.file, row.number, "unit", f"{shown(unit)} is not a unit of trial.toml",
                         f"{listed(draft.units)}, or nothing for all of them")
        if key is None:
            continue
        if key not in known:
            problems.add(rows.table.file, row.number, "factor", f"{shown(key)} is not a factor{did_you_mean(near_factor(key))}",
                         KEYS_ARE_LISTED)
            continue
        value = _check_value(rows, row, draft.start, problems)
        place = (unit or "", key, row.values.get("note", "") if key == "doses" else "")
        if isinstance(value, float) and first.setdefault(place, row.number) != row.number:
            problems.add(rows.table.file, row.number, "factor", f"{key} of {shown(unit) if unit else 'all units'} is already in row "
                         f"{first[place]}", "one row for each unit and factor")


def _check_value(rows: Rows, row: Row, start: date | None, problems: Problems) -> float | str | None:
    text, unit_of_measure = row.values.get("value"), row.values.get("unit_of_measure", "")
    entry = known_factors()[row.values["factor"]]
    if text is None:
        return None
    if entry.unit != "word" and _DECIMAL_COMMA.fullmatch(text):
        problems.add(rows.table.file, row.number, "value", f"{shown(text)} has a decimal comma",
                     f"a number with a decimal point ({text.replace(',', '.')})")
        return None
    try:
        value = cell_read(entry, text, unit_of_measure, start or date(2000, 1, 1))[0]
        if isinstance(value, float) and abs(value) > LARGEST:
            problems.add(rows.table.file, row.number, "value", f"{shown(text)} is out of range", f"a number up to {LARGEST:.0f}")
        return value
    except InputError:
        problems.add(rows.table.file, row.number, "unit_of_measure", f"{shown(unit_of_measure)} is no unit of {entry.key}",
                     f"{entry.unit or 'nothing'}, or a unit that can be turned into it")
        return None
