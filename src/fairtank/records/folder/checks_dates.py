"""Dates far from the days of a trial: most often a wrong year, or a camera whose clock was never set."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from fairtank.records.folder.cells import TIME, TIME_UNTIL
from fairtank.records.folder.checks import RowSets
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.rows import Row, Rows
from fairtank.records.folder.tables import DAYS_AWAY

FEWEST_ALIKE = 4


def check_dates(row_sets: RowSets, draft: Draft, problems: Problems) -> None:
    """No date may lie more than DAYS_AWAY days before day 0 or after the last day."""
    if draft.start is None or draft.days is None:
        return
    _check_series_days(row_sets["series"], draft.days, problems)
    away = timedelta(days=DAYS_AWAY)
    first, last = draft.start - away, draft.start + timedelta(days=draft.days) + away
    accepted = f"a date from {first} to {last}, which is at most {DAYS_AWAY} days before day 0 or after the last day, day {draft.days}"
    for rows in row_sets.values():
        for column in rows.table.columns:
            if column.cell in (TIME, TIME_UNTIL):
                dated = tuple(_dated(rows, column.name))
                far = tuple((row, day) for row, day in dated if not first <= day <= last)
                if len(far) == len(dated) >= FEWEST_ALIKE:
                    row, day = far[0]
                    read = f"all {len(far)} dates are far from the days of the trial: {day} in row {row.number} {_as_day(day, draft.start)}"
                    problems.add(rows.table.file, None, column.name, read, f"{accepted} (is start in trial.toml right?)")
                    continue
                for row, day in far:
                    read = f"{day} {_as_day(day, draft.start)}, far from the days of the trial"
                    problems.add(rows.table.file, row.number, column.name, read, accepted)


def _dated(rows: Rows, column: str) -> Iterator[tuple[Row, date]]:
    for row in rows.rows:
        moment: Any = row.values.get(column)
        if moment is not None:
            yield row, moment.date()


def _as_day(day: date, start: date) -> str:
    return f"would be day {(day - start).days}"


def _check_series_days(rows: Rows, days: int, problems: Problems) -> None:
    first, last = -DAYS_AWAY, days + DAYS_AWAY
    accepted = f"a day from {first} to {last}, which is at most {DAYS_AWAY} days before day 0 or after the last day, day {days}"
    for row in rows.rows:
        day = row.values.get("day")
        if day is not None and not first <= day <= last:
            problems.add(rows.table.file, row.number, "day", f"day {day} is far from the days of the trial", accepted)
