"""Scores, choices and water tests that a measure of the plan rests on: one source, one scale, one unit, and limits that can be true."""

from collections.abc import Iterable

from fairtank.records.folder.cells import number_text
from fairtank.records.folder.checks import RowSets
from fairtank.records.folder.checks_measures import accepted_value, own_measures
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Row, Rows
from fairtank.records.folder.tables import MEASURED_FIELDS
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.readings import is_convertible, unit_of
from fairtank.trial import MeasureChoice

UNITS_ACCEPTED = "units of one quantity (a nutrient as the ion or as the element), or a measure for each"
SOURCES = MEASURED_FIELDS[1:]  # of them, a measure has one


def check_instruments(row_sets: RowSets, draft: Draft, problems: Problems) -> None:
    """Every check of this file; a measure that series.csv holds is not looked at, since its values come from there."""
    for field in ("scores", "pairs"):
        _check_raters(row_sets[field], problems)
    _check_limits(row_sets["readings"], problems)
    ready = {row.values.get("measure") for row in row_sets["series"].rows}
    for number, choice in enumerate(draft.measures or (), start=1):
        if choice.key in ready or row_sets["series"].is_lost:
            continue
        held = {field: rows for field, column in SOURCES if (rows := _of_measure(row_sets[field], column, choice.key))}
        _check_one_source(row_sets, held, choice, problems)
        if "pairs" in held:
            _check_scale_of_choices(number, choice, problems)
        for field in ("scores", "readings"):
            _check_values(row_sets[field], held.get(field, ()), choice, problems)
        if "readings" in held:
            _check_units(row_sets["readings"], held["readings"], number, choice, problems)


def _of_measure(rows: Rows, column: str, measure: str) -> tuple[Row, ...]:
    return tuple(row for row in rows.rows if row.values.get(column) == measure)


def _check_raters(rows: Rows, problems: Problems) -> None:
    """Who scored is named in every row or in none: a row without a name would be a further person."""
    named = [row for row in rows.rows if row.values.get("rater")]
    for row in rows.rows if named else ():
        if row.values.get("rater") == "":
            problems.add(rows.table.file, row.number, "rater", f"the cell is empty, and row {named[0].number} names a person",
                         "the person's name or letter in every row")


def _check_limits(rows: Rows, problems: Problems) -> None:
    """A reading below detection gives the limit itself, which is above 0."""
    for row in rows.rows:
        value = row.values.get("value")
        if row.values.get("below_detection") and value is not None and value <= 0:
            problems.add(rows.table.file, row.number, "value", f"{number_text(value)} cannot be a limit of detection",
                         "the smallest amount that the test can tell, above 0, where below_detection is true")


def _check_one_source(row_sets: RowSets, held: dict[str, tuple[Row, ...]], choice: MeasureChoice, problems: Problems) -> None:
    fields = list(held)
    for field in fields[1:]:
        first = row_sets[fields[0]].table.file
        problems.add(row_sets[field].table.file, held[field][0].number, dict(SOURCES)[field],
                     f"{shown(choice.key)} has values here and in {first}", "one source for each measure: a key of its own for each")


def _check_scale_of_choices(number: int, choice: MeasureChoice, problems: Problems) -> None:
    """Choices have a scale of their own: log odds of being picked, taken as they are."""
    if choice.scale not in (None, "identity"):
        problems.add(PLAN_FILE, None, f"[[measure]] {number}, scale", f"{choice.scale} does not fit choices between photos",
                     "identity, or no scale: choices give log odds of being picked, which are taken as they are")
    elif choice.key in own_measures():
        problems.add(PLAN_FILE, None, f"[[measure]] {number}, key", f"{shown(choice.key)} is what fairtank measures in photos, and "
                     "pairs.csv holds choices under it", f"a key of its own for choices, such as {choice.key}_by_eye")


def _check_values(rows: Rows, held: Iterable[Row], choice: MeasureChoice, problems: Problems) -> None:
    """Scores and readings fit the scale that the measure has."""
    for row in held:
        value = row.values.get("value")
        accepted = accepted_value(choice, value) if value is not None else ""
        if value is not None and accepted:
            problems.add(rows.table.file, row.number, "value", f"{number_text(value)} is out of range", accepted)


def _check_units(rows: Rows, held: tuple[Row, ...], number: int, choice: MeasureChoice, problems: Problems) -> None:
    """All readings of a measure can be told in its unit; where the plan states none, they may not have one."""
    written = tuple(dict.fromkeys(row.values.get("unit_of_measure", "") for row in held))
    named = tuple(unit for unit in written if unit)
    wanted = unit_of(choice)
    if named and not wanted:
        problems.add(PLAN_FILE, None, f"[[measure]] {number}, unit_of_measure",
                     f"no unit is given for {shown(choice.key)}, and {rows.table.file} has it in {listed(named)}",
                     f'the unit in which it is told, such as unit_of_measure = "{named[0]}"')
        return
    for row in held:
        unit = row.values.get("unit_of_measure", "")
        if not unit and named:
            problems.add(rows.table.file, row.number, "unit_of_measure", f"the cell is empty, and other rows of {shown(choice.key)} have "
                         f"{listed(named)}", "a unit in every row of a quantity, or in none")
        elif unit and not is_convertible(unit, wanted):
            problems.add(rows.table.file, row.number, "unit_of_measure", f"{shown(unit)} cannot be turned into {shown(wanted)}, the unit "
                         f"of {shown(choice.key)}", UNITS_ACCEPTED)
