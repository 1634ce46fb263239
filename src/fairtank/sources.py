"""The bibliography: one key per source, cited from code, tests, reports and pages. Its rows stand in sources.toml beside this file."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import InputError


@dataclass(frozen=True)
class Source:
    """One published source. `from_memory` marks a value recalled, not read, when the code was written."""

    key: str
    reference: str
    from_memory: bool = False


_TABLES = tomllib.loads((Path(__file__).parent / "sources.toml").read_text(encoding="utf-8"))
SOURCES = {
    key: Source(key, " ".join(table["reference"].split()), table.get("from_memory", False)) for key, table in sorted(_TABLES.items())
}


def source(key: str) -> Source:
    """The source behind a key; refuses a key that is not in the bibliography.

    >>> source("sharma2005").reference.startswith("Sharma")
    True
    """
    if key not in SOURCES:
        raise InputError("source key", key, "a key of sources.toml")
    return SOURCES[key]
