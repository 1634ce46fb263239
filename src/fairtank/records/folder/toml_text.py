"""The text of a TOML file as one document; what no reader of TOML should be handed is refused in a sentence."""

import re
import tomllib
from datetime import date
from typing import Any

from fairtank.records.folder.problems import Problems, shown
from fairtank.records.folder.toml_causes import cause_of

MOST_DOTS = 200
_DATE = re.compile(r"(?<![\w\"'-])([0-9]{4}-[0-9]{2}-[0-9]{2})")
ACCEPTED = 'lines of the form key = value, texts in "quotation marks", dates as 2026-03-01, true or false'


def document_from_text(file: str, text: str, example: str, problems: Problems) -> dict[str, Any] | None:
    """The document that a text of TOML describes; None after a problem was noted. example names what shows how to write one."""
    accepted = f"keys, texts and numbers as in {example}"
    for number, line in enumerate(text.splitlines(), start=1):
        if line.count(".") > MOST_DOTS:  # the TOML reader's time grows with the square of a key's dots
            problems.add(file, number, None, f"the line has more than {MOST_DOTS} dots", accepted)
            return None
    try:
        return tomllib.loads(text)
    except RecursionError:
        problems.add(file, None, None, "lists or tables are nested too deeply", accepted)
    except ValueError as error:
        _tell(file, text, str(error), problems)
    return None


def _tell(file: str, text: str, error: str, problems: Problems) -> None:
    """The line at which reading stopped, what stands there, and the likely cause."""
    lines = text.replace("\r\n", "\n").split("\n")
    at = re.search(r"\(at line (\d+)", error)
    number = int(at[1]) if at else _impossible_date(lines)
    if number is None:
        unclosed = "at end of document" in error
        read = "the file ends inside a list, a text or a table that is opened and never closed" if unclosed else "a value cannot be read"
        problems.add(file, None, None, read, ACCEPTED)
        return
    line = lines[min(number, len(lines)) - 1].strip()
    cause = cause_of(line, error, lines[: number - 1])
    why, accepted = cause if cause else (_told_by_reader(error), ACCEPTED)
    problems.add(file, number, None, f"{shown(line) if line else 'this place'} cannot be read{f': {why}' if why else ''}", accepted)


def _impossible_date(lines: list[str]) -> int | None:
    """The first line with a date that no calendar has, such as 2026-13-45."""
    for number, line in enumerate(lines, start=1):
        for found in _DATE.findall(line):
            try:
                date.fromisoformat(found)
            except ValueError:
                return number
    return None


def _told_by_reader(error: str) -> str:
    """What the TOML reader says, without its place."""
    words = re.sub(r"\s*\(at .*\)$", "", error)
    return shown(words) if words != error else ""
