"""What each unit has of something that all should have alike, written down in the pages: checked as factors.csv is, kept as rows."""

import csv
import io
from collections.abc import Mapping
from datetime import date

from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.planning.evenness.wording import alike
from fairtank.records.folder.checks_factors import check_factors
from fairtank.records.folder.factor_cells import cell_read, known_factors
from fairtank.records.folder.nouns import nouns_from_rows
from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.rows import rows_from_text
from fairtank.records.folder.tables import FACTORS
from fairtank.records.models import FactorValue, Trial
from fairtank.records.rows.door import rows_from_nouns
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.entries import plain
from fairtank.records.services.fields_refused import FieldsRefused
from fairtank.records.services.trail import By, noted
from fairtank.registry import Entry

_ANY_DAY = date(2000, 1, 1)  # of a day's number only its being one counts here


def factor_store(*, trial: Trial, by: By, factor: str, values: Mapping[str, str], unit_of_measure: str = "", note: str = "") -> int:
    """Write down what each unit has of a factor, in the place of what was written down of it before.

    Parameters
    ----------
    trial : Trial
        With a plan.
    by : By
    factor : str
        Key of a factor.
    values : mapping
        By unit, as they were typed; the empty key stands for all units. What is empty is left out.
    unit_of_measure : str
        Of the numbers; empty is the factor's own.
    note : str

    Returns
    -------
    int
        How many values are kept now.

    Raises
    ------
    FieldsRefused
        With a sentence for each unit whose value cannot be used.
    InputError
        If there is no such factor, or no plan.

    References
    ----------
    common_practice (keys from sources.py).
    """
    papers, entry = papers_of(trial), known_factors().get(factor)
    if papers.plan is None or entry is None:
        raise InputError("The factor", factor[:60] or "left out", "one of the list")
    typed = {unit: words for unit, text in values.items() if (words := plain(text))}
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([column.name for column in FACTORS.columns])
    measured = "" if entry.unit == "word" else plain(unit_of_measure)
    cells = {"factor": factor, "unit_of_measure": measured, "note": " ".join(plain(note).split())}
    for unit, text in typed.items():
        row = {**cells, "unit": unit, "value": text}
        writer.writerow([row.get(column.name, "") for column in FACTORS.columns])
    problems = Problems()
    rows = rows_from_text(FACTORS, out.getvalue(), problems)
    check_factors(rows, papers.draft, problems)
    _check_numbers(entry, cells, typed, problems)
    if problems:
        raise FieldsRefused(_by_unit(problems, list(typed)))
    nouns = nouns_from_rows("factors", rows, papers.plan)
    with transaction.atomic():
        FactorValue.objects.filter(trial=trial, factor=factor).update(removed_at=timezone.now())
        FactorValue.objects.bulk_create(rows_from_nouns(trial, papers.plan, "factors", nouns))
        told = ", ".join(f"{unit or 'all'} {text}" for unit, text in typed.items()) or "nothing"
        noted(by=by, verb="change", said=f"Wrote down {entry.title.lower()}: {told[:900]}.", trial=trial, tables=("factors",))
    return len(nouns)


def _check_numbers(entry: Entry, cells: Mapping[str, str], typed: Mapping[str, str], problems: Problems) -> None:
    """Where numbers are asked for, a word other than none was typed by mistake; in a folder, which others may have written, it stays."""
    if entry.unit == "word" or problems:
        return
    for row, text in enumerate(typed.values(), start=2):
        read = cell_read(entry, text, cells["unit_of_measure"], _ANY_DAY)[0]
        if isinstance(read, str) and alike(read) != alike("none"):
            accepted = f"a number{f' in {entry.unit}' if entry.unit else ''}, or none"
            problems.add(FACTORS.file, row, "value", f"{shown(text)} is not a number", accepted)


def _by_unit(problems: Problems, units: list[str]) -> dict[str, str]:
    """A sentence for each unit; the rows of the text stand in the order of the units, from row 2 on."""
    told: dict[str, str] = {}
    for problem in problems.as_error().problems:
        for row in (problem.row or 0, *problem.further_rows):
            unit = units[row - 2] if 2 <= row < len(units) + 2 else ""
            told.setdefault(unit, f"{problem.read}; accepted: {problem.accepted}.")
    return told
