"""Keys of trial.toml and setup.toml that fairtank does not use: kept as text, reported by place, written back where they stood."""

import re
import tomllib
from typing import Any

import tomli_w

from fairtank.records.folder.toml_section import FILE

Cells = dict[str, tuple[dict[str, str], ...]]


def unknown_place(place: str, key: str) -> str:
    """Where a key stands: `[design] foo`, `[[unit]] 2, foo`, or `foo` at the top."""
    if not place:
        return key
    return f"{place}, {key}" if place.startswith("[[") else f"{place} {key}"


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
