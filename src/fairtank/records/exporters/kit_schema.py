"""The tables of a trial folder as Table Schemas, made from the one list of columns that the reader of folders has.

A schema promises what the file at hand holds: where a cell is written in a way that the reader understands and the standard does not, such
as a time without seconds, its column is told as text. What such a column may hold is said in its description in any case.
"""

import csv
import io
import re
from collections.abc import Callable, Sequence
from typing import Any

from fairtank.records.folder.cells import Cell
from fairtank.records.folder.paths import text_from_bytes
from fairtank.records.folder.tables import FRAMES, NEEDED, PHOTOS, TABLES, Column, Table

Schema = dict[str, Any]
PROFILE = "https://datapackage.org/profiles/2.0/tableschema.json"
KEYS = {PHOTOS.file: ["photo"], FRAMES.file: ["unit", "reference_photo"], "labels/classes.csv": ["class"], "cards.csv": ["unit"],
        "lens.csv": ["camera"]}  # fmt: skip
_INTEGER = re.compile(r"[+-]?[0-9]+")
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]{1,3})?")
_MOMENT, _DAY = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d", re.ASCII), re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_YES, _NO = ("true", "True", "TRUE", "yes", "Yes", "YES", "1"), ("false", "False", "FALSE", "no", "No", "NO", "0")
_BY_FILE = {table.file: table for table in TABLES}


def table_of(path: str) -> Table | None:
    """The table that a file of a folder holds; None for one that is not the reader's."""
    return _BY_FILE.get(path)


def schema_of(table: Table | None, content: bytes, targets: dict[str, str]) -> Schema | None:
    """The Table Schema of one CSV file; None where it is not a plain table.

    Parameters
    ----------
    table : Table or None
        The reader's list of its columns; None where it has none: then every column is any text.
    content : bytes
        The file.
    targets : dict
        What columns may refer to (`unit`, `photo`, `measure`) -> the name of the resource that lists it.

    Returns
    -------
    dict or None

    References
    ----------
    data_package (keys from sources.py).
    """
    rows = _rows(content)
    if rows is None:
        return None
    known = {} if table is None else {column.name: column for column in table.columns}
    cells: dict[str, list[str]] = {name: [row[place] for row in rows[1:]] for place, name in enumerate(rows[0])}
    schema: Schema = {"$schema": PROFILE, "fields": [_field(name, known.get(name), given) for name, given in cells.items()],
                      "missingValues": [""]}
    key = KEYS.get(table.file, []) if table else []
    if key and set(key) <= set(cells) and _is_key([cells[name] for name in key]):
        schema["primaryKey"] = key
    foreign = [{"fields": [name], "reference": {"resource": targets[column.refers_to], "fields": [column.refers_to]}}
               for name in cells if (column := known.get(name)) is not None and column.refers_to in targets]
    return {**schema, **({"foreignKeys": foreign} if foreign else {})}


def _rows(content: bytes) -> list[list[str]] | None:
    """The cells of a table that is plain: a header of plain names, and rows as wide as it is."""
    text, _, _ = text_from_bytes(content)
    try:
        rows = list(csv.reader(io.StringIO(text or "", newline=""), strict=True))
    except csv.Error:
        return None
    if not rows or len(set(rows[0])) < len(rows[0]) or not all(name and name == name.strip() for name in rows[0]):
        return None
    is_even = all(len(row) == len(rows[0]) and "".join(row).strip() for row in rows)
    return rows if is_even else None


def _is_key(columns: Sequence[Sequence[str]]) -> bool:
    keys = list(zip(*columns, strict=True))
    return len(set(keys)) == len(keys) and all(all(key) for key in keys)


def _field(name: str, column: Column | None, given: Sequence[str]) -> Schema:
    """One column: its type and what it is held to, as far as every cell in the file is written that way."""
    if column is None:
        return {"name": name, "type": "string", "description": "A column of the keeper's own."}
    filled = [cell for cell in given if cell]
    is_needed = column.blank is NEEDED and len(filled) == len(given)
    told: Schema = {"name": name, **_type(column.cell, filled),
                    "description": f"{column.cell.accepted[:1].upper()}{column.cell.accepted[1:]}"
                    + ("." if column.blank is NEEDED else "; or nothing.")}
    constraints = {**({"required": True} if is_needed else {}), **_limits(column.cell, told["type"], filled)}
    return {**told, **({"constraints": constraints} if constraints else {})}


def _type(cell: Cell, filled: Sequence[str]) -> Schema:
    """The type of a column by how its cells are written."""
    plain: dict[str, list[tuple[str, Callable[[str], object]]]] = {
        "integer": [("integer", _INTEGER.fullmatch), ("number", _NUMBER.fullmatch)], "number": [("number", _NUMBER.fullmatch)],
        "datetime": [("datetime", _MOMENT.fullmatch), ("date", _DAY.fullmatch)], "boolean": [("boolean", (_YES + _NO).__contains__)]}
    for name, fits in plain.get(cell.form, []):
        if all(map(fits, filled)):
            return {"type": name, **({"trueValues": list(_YES), "falseValues": list(_NO)} if name == "boolean" else {})}
    return {"type": "string"}


def _limits(cell: Cell, form: str, filled: Sequence[str]) -> Schema:
    """The constraints of a column; none where its cells are told as text though they are more."""
    if form != cell.form and (form, cell.form) != ("number", "integer"):
        return {}
    found = {name: list(limit) if isinstance(limit, tuple) else limit for name, limit in cell.limits}
    return {} if "enum" in found and not set(filled) <= set(found["enum"]) else found
