"""The text of a TOML file as one document; what no reader of TOML should be handed is refused in a sentence."""

import re
import tomllib
from typing import Any

from fairtank.records.folder.problems import Problems, shown

MOST_DOTS = 200


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
        at = re.search(r"\(at line (\d+)", str(error))
        read = re.sub(r"\s*\(at .*\)$", "", str(error)) if at else "a value cannot be read"
        problems.add(file, int(at[1]) if at else None, None, f"the file cannot be read as TOML here ({shown(read)})",
                     'lines of the form key = value, texts in "quotation marks", dates as 2026-03-01, true or false')
    return None
