"""A spreadsheet file (XLSX) as cells of text, opened with care: it is a ZIP file of XML that anybody may have made.

Nothing in it is computed or fetched: a cell with a formula gives the result that was saved with it, and links to other files stay shut.
"""

import io
import re
import warnings
import zipfile
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from fairtank.errors import InputError
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.problems import shown
from fairtank.records.folder.rows import MOST_ROWS
from fairtank.records.folder.zipped import ZIP_FAULTS
from fairtank.records.importers.decoding import TABLES_ACCEPTED, called, check_size

MARK = b"PK"
MOST_COLUMNS = 200
MOST_PARTS = 2_000
MOST_PART_BYTES = 40_000_000
MOST_BYTES = 100_000_000
MOST_CHARACTERS = 40_000_000
_HOSTILE = re.compile(rb"<!\s*(DOCTYPE|ENTITY)", re.IGNORECASE)
_ENCODING = re.compile(rb"""^\s*<\?xml[^>]*encoding\s*=\s*["']([A-Za-z0-9._-]+)["']""")
_UNSAVED = re.compile(rb"(?:</(?:\w+:)?f>|<(?:\w+:)?f(?:\s[^>]*)?/>)\s*(?:<(?:\w+:)?v\s*/>|<(?:\w+:)?v>\s*</(?:\w+:)?v>)?\s*</(?:\w+:)?c>")
_WORKSHEET = re.compile(r"xl/worksheets/[^/]+\.xml")
_ODD_MICROSECONDS = 1500  # a time of day is kept as a share of a day, and comes back off by some of these


@dataclass(frozen=True)
class Worksheet:
    """One worksheet: its cells as text, its name, the names of all worksheets, and how many formulas in the file had no saved result."""

    rows: tuple[tuple[str, ...], ...]
    table: str
    tables: tuple[str, ...]
    unsaved: int = 0


def worksheet_of(content: bytes, name: str, wanted: str = "") -> Worksheet:
    """One worksheet of an XLSX file: the wanted one, else the first that holds anything.

    Raises
    ------
    InputError
        If it is no such file, is packed with a password, larger than the limits, or declares entities as no spreadsheet program does.
    """
    check_size(content, name)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unsaved = _check_parts(archive, name)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # parts that are not read, such as lists to choose from
            return _opened(content, name, wanted, unsaved)
    except InputError:
        raise
    except MemoryError:
        raise
    except Exception as error:  # whatever the reader stumbles over in a file made by somebody else
        raise InputError(called(name), "no spreadsheet that can be read", TABLES_ACCEPTED,
                         "It is broken, or packed with a password; open it and save it as XLSX or CSV.") from error


def _check_parts(archive: zipfile.ZipFile, name: str) -> int:
    """Sizes as unpacked within limits and no declared entities; hands back how many formulas have no saved result."""
    parts = [part for part in archive.infolist() if not part.is_dir()]
    names = [part.filename for part in parts]
    if "mimetype" in names and not any(_WORKSHEET.fullmatch(one) for one in names):
        raise InputError(called(name), "a file of another office program", TABLES_ACCEPTED, "Save it as XLSX or CSV.")
    largest = max((part.file_size for part in parts), default=0)
    if len(parts) > MOST_PARTS or len(set(names)) < len(names) or largest > MOST_PART_BYTES or sum(p.file_size for p in parts) > MOST_BYTES:
        raise InputError(called(name), "larger when unpacked than a sheet of readings can be, or holds a part twice",
                         f"at most {MOST_BYTES / 1e6:.0f} MB and {MOST_PARTS} parts", "Copy the readings into a new, empty sheet.")
    unsaved = 0
    for part in parts:
        if part.filename.lower().endswith((".xml", ".rels", ".vml")):
            text = _part(archive, part, name)
            if _WORKSHEET.fullmatch(part.filename):
                unsaved += len(_UNSAVED.findall(text))
    return unsaved


def _part(archive: zipfile.ZipFile, part: zipfile.ZipInfo, name: str) -> bytes:
    """The XML of a part, in UTF-8 and without declarations of its own."""
    try:
        text = archive.read(part)
    except ZIP_FAULTS as error:
        raise InputError(called(name), "no spreadsheet that can be read", TABLES_ACCEPTED,
                         "It is broken, or packed with a password; open it and save it as XLSX or CSV.") from error
    encoding = _ENCODING.match(text.removeprefix(b"\xef\xbb\xbf"))
    strange = encoding is not None and encoding[1].lower() not in (b"utf-8", b"us-ascii")
    if strange or text.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in text[:200] or _HOSTILE.search(text):
        raise InputError(called(name), f"not as spreadsheet programs write it: {shown(part.filename)} declares things of its own",
                         TABLES_ACCEPTED, "Copy the readings into a new, empty sheet.")
    return text


def _opened(content: bytes, name: str, wanted: str, unsaved: int) -> Worksheet:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    try:
        sheets = {sheet.title: sheet for sheet in book.worksheets}
        if wanted and wanted not in sheets:
            raise InputError("the worksheet", shown(wanted), ", ".join(map(shown, sheets)) or "one of the file")
        rows: tuple[tuple[str, ...], ...] = ()
        for title in [wanted] if wanted else list(sheets):
            rows = _rows(sheets[title], name)
            if rows:
                return Worksheet(rows, title, tuple(sheets), unsaved)
        raise InputError(called(name), "empty: none of its cells holds anything", TABLES_ACCEPTED)
    finally:
        book.close()


def _rows(sheet: Any, name: str) -> tuple[tuple[str, ...], ...]:
    """The cells of a worksheet down to the last that is used; its own word on its size is not trusted."""
    sheet.reset_dimensions()
    rows: list[tuple[str, ...]] = []
    last = characters = 0
    for number, cells in enumerate(sheet.iter_rows(values_only=True, max_row=MOST_ROWS + 2), start=1):
        if number > MOST_ROWS + 1:
            raise InputError(called(name), f"longer than {MOST_ROWS} rows", f"at most {MOST_ROWS} rows", "Part it into several files.")
        row = [_text(cell) for cell in cells]
        while row and not row[-1]:
            row.pop()
        if len(row) > MOST_COLUMNS:
            raise InputError(called(name), f"{len(row)} columns wide in row {number}", f"at most {MOST_COLUMNS} columns")
        if row:
            last = number
            characters += sum(map(len, row))
        if characters > MOST_CHARACTERS:
            raise InputError(called(name), "fuller than a sheet of readings can be", f"at most {MOST_CHARACTERS} characters")
        rows.append(tuple(row))
    return tuple(rows[:last])


def _text(value: Any) -> str:
    """A cell's saved value as text that reads back the same."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return number_text(value) if abs(value) < 1e300 else str(value)
    if isinstance(value, datetime):
        moment = _whole_second(value)
        return moment.date().isoformat() if moment.time() == time() else moment.isoformat()
    if isinstance(value, timedelta):
        return str(value)
    return value.isoformat() if isinstance(value, (date, time)) else str(value)


def _whole_second(moment: datetime) -> datetime:
    """A moment moved to the whole second where it is off by a rounding only."""
    nearest = (moment + timedelta(microseconds=500_000)).replace(microsecond=0)
    return nearest if abs(nearest - moment) <= timedelta(microseconds=_ODD_MICROSECONDS) else moment
