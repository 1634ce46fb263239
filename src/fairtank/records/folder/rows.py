"""The text of a CSV file as parsed rows, with every cell that cannot be used named."""

import csv
import io
from dataclasses import dataclass, field
from typing import Any

from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.problems import Problems, Refusal, listed, shown
from fairtank.records.folder.tables import NEEDED, TEXT, Column, Table

MOST_ROWS = 200_000
_CSV_FAULTS = {
    "unexpected end of data": ("a quotation mark is opened and never closed", 'each " that opens a cell closed by a second one'),
    "expected after": ("text follows a closing quotation mark", 'a comma after the closing ", and "" for a quotation mark inside'),
    "field larger": ("a cell is longer than 131072 characters", "cells of ordinary length (is a quotation mark missing?)"),
}


@dataclass(frozen=True)
class Row:
    """One row: its number as a spreadsheet shows it, the values that could be read, and the cells of unknown columns."""

    number: int
    values: dict[str, Any]
    extra: dict[str, str]


@dataclass(frozen=True)
class Rows:
    """All rows of one table, in the order of the file, and the names of its unknown columns.

    is_lost: the file is there, and some or all of its rows could not be read. absent: known columns that its header leaves out.
    """

    table: Table
    rows: tuple[Row, ...] = ()
    unknown: tuple[str, ...] = ()
    is_there: bool = False
    is_lost: bool = False
    absent: tuple[str, ...] = ()

    def is_sure(self, *names: str) -> bool:
        """Whether every cell of these columns could be read, so that what is not found in them was not given."""
        return not self.is_lost and all(name not in self.absent and all(name in row.values for row in self.rows) for name in names)

    @property
    def is_bare(self) -> bool:
        """Whether the file holds a header that is in order, and nothing below it."""
        needed = (column.name for column in self.table.columns if column.blank is NEEDED)
        return self.is_there and not self.rows and self.is_sure(*needed)


@dataclass
class _Header:
    """Where the columns stand: known ones, unknown ones, and places without a name."""

    width: int
    known: list[tuple[int, Column]] = field(default_factory=list)
    absent: list[Column] = field(default_factory=list)
    unknown: list[tuple[int, str]] = field(default_factory=list)
    nameless: list[int] = field(default_factory=list)


def rows_from_text(table: Table, text: str, problems: Problems) -> Rows:
    """Every row of a table; what cannot be read is noted and left out of the row's values."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    header: _Header | None = None
    rows: list[Row] = []
    number, is_lost = 0, False
    try:
        for number, cells in enumerate(reader, start=1):
            if not "".join(cells).strip():
                continue
            if header is None:
                header = _header(table, number, cells, problems)
                if header is None:
                    return Rows(table, is_there=True, is_lost=True)
            elif len(rows) == MOST_ROWS:
                problems.add(table.file, number, None, f"the table goes on after {MOST_ROWS} rows", f"at most {MOST_ROWS} rows")
                is_lost = True
                break
            else:
                row = _row(table, header, number, cells, problems)
                if row is None:
                    is_lost = True
                else:
                    rows.append(row)
    except csv.Error as error:
        is_lost = True
        known = [fault for sign, fault in _CSV_FAULTS.items() if sign in str(error)]
        read, accepted = known[0] if known else ("the row cannot be parted into cells", "cells parted by commas")
        problems.add(table.file, number + 1, None, read, accepted)
    if header is None:
        hint = f" (or {table.if_empty})" if table.if_empty else ""
        problems.add(table.file, 1, None, "there is no header row", f"a first row with the names {_names(table)}{hint}")
        return Rows(table, is_there=True, is_lost=True)
    unknown, absent = tuple(name for _, name in header.unknown), tuple(column.name for column in header.absent)
    return Rows(table, tuple(rows), unknown, is_there=True, is_lost=is_lost, absent=absent)


def _header(table: Table, number: int, cells: list[str], problems: Problems) -> _Header | None:
    """The header row understood, or None when the file is not parted by commas at all."""
    names = [cell.strip() for cell in cells]
    for mark, what in ((";", "semicolons"), ("\t", "tabs")):
        if len(names) == 1 and mark in names[0]:
            problems.add(table.file, number, None, f"the columns are parted by {what}",
                         "columns parted by commas, numbers with a decimal point (choose CSV with commas when saving)")
            return None
    header = _Header(len(names))
    columns = {column.name: column for column in table.columns}
    seen: set[str] = set()
    for index, name in enumerate(names):
        if name in seen:
            problems.add(table.file, number, name, f"the header names {shown(name)} twice", "each column once")
        elif not name:
            header.nameless.append(index)
        elif name in columns:
            header.known.append((index, columns[name]))
        else:
            header.unknown.append((index, name))
        seen.add(name)
        seen.discard("")
    _correct(table, header, number, columns, seen, problems)
    for name, column in columns.items():
        if name not in seen:
            header.absent.append(column)
            if column.blank is NEEDED:
                problems.add(table.file, number, name, "the column is missing", f"a header row with {_names(table)}")
    return header


def _correct(table: Table, header: _Header, number: int, columns: dict[str, Column], seen: set[str], problems: Problems) -> None:
    """Columns whose names are misspelt, noted and read as they were meant; kept in silence they would leave the known one empty.

    A column near one that only holds free text, such as `notes` beside `note`, may well be the keeper's own: it is kept and told.
    """
    counted = [name for name, column in columns.items() if column.blank is NEEDED or column.cell is not TEXT]
    for index, name in list(header.unknown):
        near = meant(name, [known for known in counted if known not in seen])
        if near:
            problems.add(table.file, number, name, f"the column is not known{did_you_mean(near)}", listed(tuple(columns), most=20))
            header.unknown.remove((index, name))
            header.known.append((index, columns[near]))
            seen.add(near)


def _row(table: Table, header: _Header, number: int, cells: list[str], problems: Problems) -> Row | None:
    """One row's cells read; None when they cannot be told apart."""
    if len(cells) != header.width:
        hint = " (does a number have a decimal comma, or a text a comma without quotation marks?)" if len(cells) > header.width else ""
        found = "1 cell" if len(cells) == 1 else f"{len(cells)} cells"
        problems.add(table.file, number, None, f"the row has {found}", f"{header.width} cells, as in the header{hint}")
        return None
    values: dict[str, Any] = {column.name: column.blank for column in header.absent if column.blank is not NEEDED}
    for index, column in header.known:
        text = cells[index].strip()
        if not text:
            if column.blank is NEEDED:
                problems.add(table.file, number, column.name, "the cell is empty", column.cell.accepted)
            else:
                values[column.name] = column.blank
            continue
        try:
            values[column.name] = column.cell.read(text)
        except Refusal as refusal:
            problems.refuse(table.file, number, column.name, refusal)
    for index in header.nameless:
        if cells[index].strip():
            problems.add(table.file, number, None, f"cell {index + 1} holds {shown(cells[index])} under no column name",
                         "a name in the header for every column that is used")
    return Row(number, values, {name: cells[index] for index, name in header.unknown})


def _names(table: Table) -> str:
    """The columns that a header must name."""
    return listed(tuple(column.name for column in table.columns if column.blank is NEEDED), most=20)
