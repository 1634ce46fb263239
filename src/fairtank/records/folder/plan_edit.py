"""trial.toml with some of its values replaced: comments, order and everything else stay as the keeper wrote them."""

import re
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from fairtank.records.folder.plan_writer import section_text

_HEAD = re.compile(r"\s*(\[\[?)\s*([A-Za-z_-]+)\s*\]\]?\s*(#.*)?$")
_KEY = re.compile(r"""(\s*)(["']?)([A-Za-z0-9_-]+)\2\s*=\s*(.*)$""")
_REMARK = re.compile(r"""(\s*#[^"']*)$""")

Values = Mapping[str, Any]


def text_with(text: str, design: Values, units: Mapping[str, Values], trial: Values | None = None) -> str | None:
    """The text of a plan with these values of [design], of its [[unit]] tables and of [trial]; a value that is empty takes the key out.

    Parameters
    ----------
    text : str
        trial.toml as it stands.
    design : mapping
        Key and value.
    units : mapping
        Unit, then key and value.
    trial : mapping, optional
        Key and value.

    Returns
    -------
    str or None
        None where the text is written in a way in which single values cannot be replaced, such as units in braces on one line.

    References
    ----------
    common_practice (keys from sources.py).
    """
    sections = {"design": design, "trial": trial or {}}
    wanted = document_with(tomllib.loads(text), design, units, trial)
    keys = [str(table.get("key", "")) for table in tomllib.loads(text).get("unit", [])]
    lines, tables = text.splitlines(), _tables(text.splitlines())
    numbers = {"unit": 0}
    for name, start, stop in reversed(list(_counted(tables, numbers))):
        number = int(name) if name.isdecimal() else len(keys)
        values = sections.get(name) or (units.get(keys[number], {}) if number < len(keys) else {})
        lines[start:stop] = _replaced(lines[start:stop], values)
    edited = "\n".join(lines) + "\n"
    try:
        return edited if tomllib.loads(edited) == wanted else None
    except tomllib.TOMLDecodeError:
        return None


def document_with(document: dict[str, Any], design: Values, units: Mapping[str, Values], trial: Values | None = None) -> dict[str, Any]:
    """The same change in a document that was read."""
    changed = deepcopy(document)
    tables = [(changed.setdefault(name, {}), values) for name, values in (("design", design), ("trial", trial)) if values is not None]
    tables += [(table, units.get(str(table.get("key", "")), {})) for table in changed.get("unit", []) if isinstance(table, dict)]
    for table, values in tables:
        for key, value in values.items():
            if value in (None, ""):
                table.pop(key, None)
            else:
                table[key] = value
    return changed


def _tables(lines: list[str]) -> list[tuple[str, int, int]]:
    """Name, first line behind the head and first line of the next table, for every table."""
    heads = [(number, found[2]) for number, line in enumerate(lines) if (found := _HEAD.match(line))]
    ends = [number for number, _ in heads[1:]] + [len(lines)]
    return [(name, number + 1, end) for (number, name), end in zip(heads, ends, strict=True)]


def _counted(tables: list[tuple[str, int, int]], numbers: dict[str, int]) -> list[tuple[str, int, int]]:
    """The tables with the units called by their number."""
    told = []
    for name, start, stop in tables:
        if name == "unit":
            told.append((str(numbers["unit"]), start, stop))
            numbers["unit"] += 1
        else:
            told.append((name, start, stop))
    return told


def _replaced(lines: list[str], values: Values) -> list[str]:
    """One table's lines with its values replaced, new ones behind the last key."""
    left, done, last = dict(values), [], 0
    for line in lines:
        found = _KEY.match(line)
        key = found[3] if found else ""
        if key in left:
            value = left.pop(key)
            if value in (None, ""):
                continue
            remark = _REMARK.search(line)
            line = f"{found[1] if found else ''}{_line(key, value)}{remark[1] if remark else ''}"
        done.append(line)
        last = len(done) if found else last
    return [*done[:last], *(_line(key, value) for key, value in left.items() if value not in (None, "")), *done[last:]]


def _line(key: str, value: Any) -> str:
    return section_text("", {key: value}).strip("\n")
