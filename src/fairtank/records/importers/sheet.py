"""Pasted cells, a CSV file, a spreadsheet or a logger file as one sheet of text, with its header row found."""

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from functools import cached_property

from fairtank.errors import InputError
from fairtank.records.exporters.sheets import unguarded
from fairtank.records.folder.problems import on_one_line, shown
from fairtank.records.folder.rows import MOST_ROWS
from fairtank.records.importers.amounts import is_amount, is_missing, is_not_detected
from fairtank.records.importers.decoding import TABLES_ACCEPTED, called, text_of_bytes
from fairtank.records.importers.times import is_clock, is_moment
from fairtank.records.importers.workbook import MARK, MOST_COLUMNS, worksheet_of

DELIMITERS = {"\t": "tabs", ";": "semicolons", ",": "commas", "|": "upright strokes"}
_COMMENTS = ("#", "//", "%", "!", "*")
_LOOKED_AT = 400  # rows above which a table must have begun
_LONGEST_HEADING = 120
_PARTED_SHARE = 0.6  # of the rows that a mark must part alike. common practice, no source
_MAY_BE_GUARDED = ("'", " ", "\t")
_LONE_LINE = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class Sheet:
    """A table as text, before anybody decided what its columns mean.

    name: of the file; empty for pasted cells. rows: every row from the first, each with its cells, so that row number n is rows[n - 1].
    header: place of the header in rows, None where the table begins at once. first: place of the first row below it. said: how it was
    read, in sentences. is_workbook: its numbers were kept as numbers. table, tables: the worksheet read, and all there are.
    """

    name: str
    rows: tuple[tuple[str, ...], ...]
    header: int | None
    first: int
    said: tuple[str, ...] = ()
    is_workbook: bool = False
    table: str = ""
    tables: tuple[str, ...] = ()

    @cached_property
    def width(self) -> int:
        """How many columns there are."""
        below = max((len(row) for row in self.rows[self.first :]), default=0)
        return max(below, len(self.rows[self.header]) if self.header is not None else 0)

    @cached_property
    def headings(self) -> tuple[str, ...]:
        """What stands above each column; `column 3` where nothing does."""
        cells = self.rows[self.header] if self.header is not None else ()
        bare = [on_one_line(cell.lstrip("#").strip() if place == 0 else cell, _LONGEST_HEADING) for place, cell in enumerate(cells)]
        return tuple((bare[place] if place < len(bare) else "") or f"column {place + 1}" for place in range(self.width))

    @property
    def preface(self) -> str:
        """What stands above the header, such as a logger's name."""
        return " ".join(" ".join(row) for row in self.rows[: self.first if self.header is None else self.header])

    @cached_property
    def data(self) -> tuple[tuple[int, tuple[str, ...]], ...]:
        """Row number, as a spreadsheet shows it, and cells of every row below the header that holds anything and is no comment."""
        return tuple((number, cells) for number, cells in enumerate(self.rows[self.first :], start=self.first + 1)
                     if any(cells) and not cells[0].startswith(("#", "//")))


def sheet_of(content: bytes | str, name: str = "", *, table: str = "") -> Sheet:
    """A file or pasted cells as a sheet of text; nothing is decided yet but where the table begins.

    Parameters
    ----------
    content : bytes or str
        A file's bytes, or pasted text. Encodings UTF-8, UTF-16 and Windows-1252; cells parted by tabs, semicolons, commas or upright
        strokes; XLSX. Lines above the header, such as a logger's, may stand there.
    name : str, optional
        The file's name; empty for pasted cells.
    table : str, optional
        Of a spreadsheet file, the worksheet that is wanted; else the first that holds anything.

    Returns
    -------
    Sheet
        Cells without blanks around them.

    Raises
    ------
    InputError
        If it is no table, or larger than can be meant: more than 20 MB, 200 000 rows or 200 columns.

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    if isinstance(content, bytes) and content.startswith(MARK):
        found = worksheet_of(content, name, table)
        said = ["A spreadsheet."] if len(found.tables) == 1 else [f"A spreadsheet; of its worksheets {shown(found.table)} was read."]
        if found.unsaved:
            cells = "1 cell holds a formula without a saved result and counts" if found.unsaved == 1 else \
                f"{found.unsaved} cells hold a formula without a saved result and count"
            said.append(f"{cells} as empty: open the file in a spreadsheet program, save it, and choose it again.")
        return _with_header(Sheet(name, found.rows, None, 0, tuple(said), True, found.table, found.tables))
    text, encoding = text_of_bytes(content, name) if isinstance(content, bytes) else text_of_bytes(_encoded(content), name)
    rows, parted = _rows_of_text(text, name)
    said = [f"Text in {encoding}, {parted}." if name else f"Pasted cells, {parted}."]
    return _with_header(Sheet(name, rows, None, 0, tuple(said)))


def _encoded(text: str) -> bytes:
    """Pasted text as bytes; half characters, which no encoding holds, become question marks."""
    return text.encode("utf-8", "replace")


def _rows_of_text(text: str, name: str) -> tuple[tuple[tuple[str, ...], ...], str]:
    lines = [line for line in _LONE_LINE.split(text[:200_000])[:_LOOKED_AT] if line.strip()]
    mark = _mark(lines)
    if not mark:
        return _checked([(unguarded(line.strip()),) for line in _LONE_LINE.split(text)], name), "one column"
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True))
    except csv.Error as error:
        if mark != "\t":
            raise InputError(called(name), f"not parted into cells as CSV is ({error})", TABLES_ACCEPTED,
                             'Close each quotation mark " that opens a cell, and write "" for one inside.') from error
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark, quoting=csv.QUOTE_NONE))
    bare = [tuple([unguarded(cell.strip()) if cell[:1] in _MAY_BE_GUARDED else cell.strip() for cell in row]) for row in rows]
    return _checked(bare, name), f"columns parted by {DELIMITERS[mark]}"


def _mark(lines: list[str]) -> str:
    """What parts the cells: the mark that parts most rows alike; of equals a tab before a semicolon before a comma."""
    best, best_share = "", _PARTED_SHARE
    lines = [line for line in lines if not line.startswith(_COMMENTS)] or lines
    for mark in DELIMITERS:
        try:
            together = Counter(len(row) for row in csv.reader(lines, delimiter=mark) if row)
            alone = Counter(len(row) for line in lines for row in csv.reader([line], delimiter=mark))
        except csv.Error:
            continue
        share = max(_share(together, mark), _share(alone, mark))
        if share >= best_share + (0.1 if best else 0):
            best, best_share = mark, share
    return best


def _share(widths: Counter[int], mark: str) -> float:
    """The share of rows that a mark parts alike; a tab, which nobody types into a cell, may part them unlike."""
    wide = [count for width, count in widths.items() if width > 1]
    return (sum(wide) if mark == "\t" else max(wide, default=0)) / max(sum(widths.values()), 1)


def _checked(rows: list[tuple[str, ...]], name: str) -> tuple[tuple[str, ...], ...]:
    """Rows within limits, without empty ones at the end."""
    while rows and not any(rows[-1]):
        rows.pop()
    if not rows:
        raise InputError(called(name), "empty", TABLES_ACCEPTED)
    widest = max(map(len, rows))
    if len(rows) > MOST_ROWS or widest > MOST_COLUMNS:
        what = f"{widest} columns wide" if widest > MOST_COLUMNS else f"{len(rows)} rows long"
        raise InputError(called(name), what, f"at most {MOST_ROWS} rows and {MOST_COLUMNS} columns", "Part it into several files.")
    return tuple(rows)


def _with_header(sheet: Sheet) -> Sheet:
    """The sheet with its header found: the row above the first one that holds numbers or times where the next one does."""
    places = [place for place, row in enumerate(sheet.rows[:_LOOKED_AT]) if _is_data(row)]
    if not places:
        header = next((place for place, row in enumerate(sheet.rows[:_LOOKED_AT]) if any(row) and not _is_comment(row)), 0)
        return _placed(sheet, header, header + 1)
    first = next((place for place in places if _goes_on(sheet.rows, place)), places[0])
    width = sum(map(bool, sheet.rows[first]))
    for above in range(first - 1, -1, -1):
        row = sheet.rows[above]
        held = sum(map(bool, row))
        # The row just above may have fewer cells: decimal commas between commas part each number in two.
        if held and (held >= width or len(row) >= max(width, 2) or (above == first - 1 and held > 1)) and not _is_shown(row):
            if above > 0 and _is_row_of_units(row) and sum(map(bool, sheet.rows[above - 1])) >= width:
                return _placed(sheet, above - 1, above + 1)
            return _placed(sheet, above, above + 1)
    return _placed(sheet, None, places[0])


def _goes_on(rows: tuple[tuple[str, ...], ...], place: int) -> bool:
    """Whether the next row holds numbers and times in the same columns: a logger's `Serial, 12345` does not go on, readings do."""
    following = next((row for row in rows[place + 1 : _LOOKED_AT] if any(row) and not _is_comment(row)), None)
    return following is None or (_is_data(following) and all(
        one == other or not one or not other for one, other in zip(map(_kind, rows[place]), map(_kind, following), strict=False)))


def _kind(cell: str) -> str:
    """What a cell is: a time, a number, a text; empty where it says nothing of that."""
    if is_missing(cell) or is_not_detected(cell):
        return ""
    return "time" if is_moment(cell) or is_clock(cell) else "number" if is_amount(cell) else "text"


def _placed(sheet: Sheet, header: int | None, first: int) -> Sheet:
    told = f"Row {header + 1} holds the headings." if header is not None else "No row holds headings."
    return Sheet(sheet.name, sheet.rows, header, first, (*sheet.said, told), sheet.is_workbook, sheet.table, sheet.tables)


def _is_comment(row: tuple[str, ...]) -> bool:
    return row[0].startswith(_COMMENTS)


def _is_shown(row: tuple[str, ...]) -> bool:
    """Whether a row holds a number or a time, as a heading never does by itself."""
    return any(_is_value(cell) for cell in row)


def _is_value(cell: str) -> bool:
    return bool(cell) and not is_missing(cell) and (is_moment(cell) or is_clock(cell) or is_amount(cell))


def _is_data(row: tuple[str, ...]) -> bool:
    """Whether a row can be one of readings: two cells at least, one of them a number or a time, and no comment."""
    if not any(row) or _is_comment(row):
        return False
    held = [cell for cell in row if cell]
    return any(map(_is_value, held)) and (len(held) > 1 or len(row) == 1)


def _is_row_of_units(row: tuple[str, ...]) -> bool:
    """Whether a row between header and readings names units of measure only."""
    held = [cell.strip("[]()") for cell in row if cell]
    return bool(held) and all(len(cell) <= 12 and (cell in ("-", "pH", "hh:mm") or "/" in cell or "°" in cell or cell in _SHORT_UNITS)
                              for cell in held)


_SHORT_UNITS = frozenset({"%", "C", "F", "dKH", "dGH", "lux", "ppm", "L", "mL", "cm", "µS/cm", "mS/cm", "V", "date", "time"})
