"""Any table as CSV or as a spreadsheet (XLSX), so that it can be opened anywhere and does nothing there but lie in its cells.

A spreadsheet program takes a cell that begins with = + - @ for a formula and may run it. In CSV such a text gets an apostrophe in front;
in XLSX it is marked as text. Numbers, also negative ones, stay numbers.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from typing import Any

from fairtank.errors import InputError
from fairtank.records.folder.cells import number_text

Value = str | float | int | bool | date | datetime | time | None
CSV_TYPE = "text/csv; charset=utf-8"
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FORMATS = {"csv": CSV_TYPE, "xlsx": XLSX_TYPE}
LONGEST_TITLE = 31
LONGEST_CELL = 32_767  # characters that one cell of a spreadsheet can hold
_FORMULA = re.compile(r"'*\s*[=+\-@\t\r|]")
_GUARDED = re.compile(r"''*\s*[=+\-@\t\r|]")
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?", re.ASCII)
_UNFIT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")  # what XML cannot hold


def sheet_bytes(columns: Sequence[str], rows: Iterable[Sequence[Value]], form: str, *, title: str = "readings") -> bytes:
    """A table as the bytes of a file.

    Parameters
    ----------
    columns : sequence of str
        The headings.
    rows : iterable of sequences
        Texts, numbers, dates, times, yes or no; None is an empty cell.
    form : str
        `csv`, in UTF-8 with the mark by which spreadsheet programs know it, or `xlsx`.
    title : str, optional
        The worksheet's name.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    InputError
        If the form is another one.

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    if form == "csv":
        return b"\xef\xbb\xbf" + csv_text(columns, rows).encode("utf-8", "replace")
    if form == "xlsx":
        return _xlsx(columns, rows, title)
    raise InputError("the form of the file", form, ", ".join(FORMATS))


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Value]]) -> str:
    """A table as CSV: commas, lines that end as the standard says, decimals with a point, ISO 8601 for dates and times."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([guarded(column) for column in columns])
    for row in rows:
        writer.writerow([_written(value) for value in row])
    return out.getvalue()


def guarded(text: str) -> str:
    """A text that no spreadsheet program takes for a formula; a number stays as it is.

    >>> guarded("=1+1"), guarded("-0.5"), guarded("T1")
    ("'=1+1", '-0.5', 'T1')
    """
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def unguarded(text: str) -> str:
    """The text as it was before it was guarded.

    >>> unguarded("'=1+1"), unguarded("'s"), unguarded(guarded("'=x"))
    ('=1+1', "'s", "'=x")
    """
    return text[1:] if text.startswith("'") and _GUARDED.match(text) and not _NUMBER.fullmatch(text[1:]) else text


def _written(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return guarded(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return number_text(value)
    return value.isoformat()


def _xlsx(columns: Sequence[str], rows: Iterable[Sequence[Value]], title: str) -> bytes:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font

    book = Workbook(write_only=True)
    sheet = book.create_sheet(re.sub(r"[\[\]:*?/\\]", " ", _fit(title)).strip("' ")[:LONGEST_TITLE] or "table")
    sheet.freeze_panes = "A2"
    for place, column in enumerate(columns):
        sheet.column_dimensions[_letters(place)].width = max(10, min(len(column) + 2, 40))

    def cell(value: Value, *, is_heading: bool = False) -> Any:
        if not isinstance(value, str):
            return value
        made = WriteOnlyCell(sheet, _fit(value))
        made.data_type = "s"  # else a text that begins with = would be kept as a formula
        if is_heading:
            made.font = Font(bold=True)
        elif _FORMULA.match(value):
            made.quotePrefix = True
        return made

    sheet.append([cell(column, is_heading=True) for column in columns])
    for row in rows:
        sheet.append([cell(value) for value in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fit(text: str) -> str:
    """A text that a cell of a spreadsheet can hold."""
    return _UNFIT.sub("\N{REPLACEMENT CHARACTER}", text)[:LONGEST_CELL]


def _letters(place: int) -> str:
    """A column's letters by its place, counted from 0."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
