"""Whether each measure of the plan can have values: a key that is known, and values within its range."""

import difflib
from functools import cache
from pathlib import Path

from fairtank import registry
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.checks import RowSets
from fairtank.records.folder.checks_needed import missing, near_name
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Rows
from fairtank.records.folder.tables import MEASURED_FIELDS, SERIES
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.trial import MeasureChoice

SHARE = "a share in % from 0 to 100"


@cache
def own_measures() -> dict[str, registry.Entry]:
    """fairtank's own measures by key. Asking for them imports numpy, so ask only where the tables do not settle the matter."""
    return {entry.key: entry for entry in registry.entries("measure")}


def check_measure_keys(root: Path, row_sets: RowSets, draft: Draft, problems: Problems) -> frozenset[str]:
    """Each key of the plan is fairtank's own or has values in a table; hands back the keys that a wrong one was meant to be."""
    tables = [(row_sets[field], column) for field, column in MEASURED_FIELDS]
    given = tuple(dict.fromkeys(row.values[column] for rows, column in tables for row in rows.rows if column in row.values))
    choices = list(enumerate(draft.measures or (), start=1))
    loose = [(number, choice.key) for number, choice in choices if choice.key not in given]
    if not loose or not all(rows.is_sure(column) for rows, column in tables):
        return frozenset()
    own = own_measures()
    # A key with a unit or a title is meant as the keeper's own, whose values may come later, such as weights at harvest.
    described = {choice.key for _, choice in choices if choice.unit_of_measure or choice.title}
    unknown = [(number, key) for number, key in loose if key not in own and key not in described]
    if unknown and not row_sets["series"].is_there and near_name(root, SERIES.file):
        reason = f"and trial.toml asks for {listed(tuple(key for _, key in unknown))}"
        problems.add(SERIES.file, None, None, missing(root, SERIES.file, reason), "ready-made values of each measure of your own")
        return frozenset()
    meant = set()
    for number, key in unknown:
        near = difflib.get_close_matches(key, (*own, *given), 1, 0.7)
        meant.update(near)
        asked = f" (did you mean {shown(near[0])}?)" if near else ""
        read = f"{shown(key)} is no measure of fairtank and has no values in series.csv, scores.csv, pairs.csv or readings.csv{asked}"
        accepted = f"{listed(tuple(sorted({*own, *given})), most=20)}, or your own with unit_of_measure or values in series.csv"
        problems.add(PLAN_FILE, None, f"[[measure]] {number}, key", read, accepted)
    return frozenset(meant)


def check_series(rows: Rows, draft: Draft, problems: Problems) -> None:
    """A value fits the scale that the plan gives its measure, and the range of a measure of fairtank's own."""
    choices = {choice.key: choice for choice in draft.measures or ()}
    for row in rows.rows:
        choice, value = choices.get(row.values.get("measure", "")), row.values.get("value")
        if choice is None or value is None:
            continue
        accepted = accepted_value(choice, value)
        if accepted:
            problems.add(rows.table.file, row.number, "value", f"{number_text(value)} is out of range", accepted)


def accepted_value(choice: MeasureChoice, value: float) -> str:
    """What the measure accepts, where that value lies outside; empty where it is in order."""
    if 0 <= value <= 100:
        return ""
    if choice.scale == "logit":
        return f"{SHARE}, as the scale of this measure is logit"
    if choice.scale == "log" and value < 0:
        return "a number of 0 or more, as the scale of this measure is log"
    return _accepted_by(own_measures().get(choice.key), choice, value)


def _accepted_by(entry: registry.Entry | None, choice: MeasureChoice, value: float) -> str:
    """What a measure of fairtank's own accepts; nothing where the value is in order."""
    if entry is None:
        return ""
    if entry.unit == "%":
        return f"{SHARE}, as {choice.key} is a share"
    if entry.scale == "log" and value < 0:
        return f"a number of 0 or more, as {choice.key} is a size in {entry.unit}"
    return ""
