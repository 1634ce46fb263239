"""Keys of trial.toml and setup.toml that fairtank does not use: kept as text, reported by place, written back where they stood."""

import re
import tomllib
from typing import Any

import tomli_w

from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.problems import Problems, listed
from fairtank.records.folder.toml_section import FILE

Cells = dict[str, tuple[dict[str, str], ...]]


def unknown_place(place: str, key: str) -> str:
    """Where a key stands: `[design] foo`, `[[unit]] 2, foo`, or `foo` at the top."""
    if not place:
        return key
    return f"{place}, {key}" if place.startswith("[[") else f"{place} {key}"


def heads_corrected(document: dict[str, Any], heads: tuple[str, ...], file: str, problems: Problems) -> dict[str, Any]:
    """The document with misspelt names of tables noted and put right, so that what stands in them is checked as it was meant."""
    right: dict[str, Any] = {}
    for name, value in document.items():
        near = "" if name in heads else meant(name, heads)
        if not near:
            right[name] = _joined(document.get(name), right.get(name)) if name in right else value
            continue
        is_list = isinstance(value, list) and all(isinstance(one, dict) for one in value)
        opened, closed = ("[[", "]]") if is_list else ("[", "]") if isinstance(value, dict) else ("", "")
        place, known = f"{opened}{name}{closed}", f"{opened}{near}{closed}"
        problems.add(file, None, place, f"{place} is not known{did_you_mean(known)}", listed(heads, most=20))
        if is_list or isinstance(value, dict):
            right[near] = _joined(right.get(near), value)
    return right


def _joined(first: Any, second: Any) -> Any:
    """The tables of two lists as one list; of two other things the first that is there."""
    if isinstance(first, list) and isinstance(second, list):
        return [*first, *second]
    return second if first is None else first


def unknown_cells_from_keys(keys: list[tuple[str, str, Any]], file: str = FILE) -> Cells:
    """The values as TOML text by place, in the shape that `TrialFolder.unknown_cells` has for tables."""
    return {file: ({unknown_place(place, key): _text(key, value) for place, key, value in keys},)} if keys else {}


def add_unknown_keys(document: dict[str, Any], cells: dict[str, str]) -> None:
    """Put the values back into a document of trial.toml, each at its place; a place that is gone is left out."""
    for place, text in cells.items():
        entry = re.match(r"\[\[(\w+)\]\] (\d+), ", place)
        section = re.match(r"\[(\w+)\] ", place)
        if entry:
            tables = document.get(entry[1], [])
            number = int(entry[2])
            target = tables[number - 1] if number <= len(tables) else None
        else:
            target = document.setdefault(section[1], {}) if section else document
        if target is not None:
            target.update(tomllib.loads(text))


def _text(key: str, value: Any) -> str:
    try:
        return tomli_w.dumps({key: value})
    except RecursionError:
        return tomli_w.dumps({key: "nested too deeply to be kept"})
