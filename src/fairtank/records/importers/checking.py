"""The checks of a trial folder, called on rows that come from elsewhere: what a folder would refuse is refused here, in its words."""

from collections.abc import Sequence

from fairtank.records.folder import checks, checks_dates, checks_instruments, checks_readings
from fairtank.records.folder.nouns import FIELDS
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.rows import Row, Rows
from fairtank.records.folder.tables import READINGS
from fairtank.records.importers.facts import TrialFacts

# In a page there are no files: what is said of them is said of the trial.
_WORDS = ((" of trial.toml", " of this trial"), ("is start in trial.toml right", "is the first day of the trial right"),
          ("readings.csv", "this table"), ("trial.toml", "the plan"))


class _Noted(Problems):
    """Every problem by itself, with its row: none is counted away, as rows with problems are left out one by one."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[int | None, str, str, str]] = []

    def add(self, file: str, row: int | None, column: str | None, read: str, accepted: str) -> None:
        """Note one problem: its row, None where it concerns all of them, the column of readings.csv, what was read, what is accepted."""
        self.found.append((row, column or "", _said(read), _said(accepted)))


def problems_of(rows: Sequence[Row], facts: TrialFacts) -> list[tuple[int | None, str, str, str]]:
    """What a trial folder with these rows in readings.csv would be refused for: row, column, what was read, what is accepted.

    Rows have different numbers. Rules of single cells were applied when they were read.
    """
    plan, noted = facts.plan, _Noted()
    draft = Draft(plan, facts.units, plan.measures, plan.start, plan.days)
    row_sets = {field: Rows(table) for field, table in FIELDS.items()}
    row_sets["readings"] = readings = Rows(READINGS, tuple(rows), is_there=True)
    checks.check_references(row_sets, draft, frozenset(), noted)
    checks_dates.check_dates(row_sets, draft, noted)
    checks_readings.check_readings(readings, noted)
    checks_instruments.check_instruments(row_sets, draft, noted)
    return noted.found


def _said(text: str) -> str:
    for of_files, of_trials in _WORDS:
        text = text.replace(of_files, of_trials)
    return text
