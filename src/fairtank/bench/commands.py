"""The command that asks the same question in a terminal."""

import re
from collections.abc import Mapping

from fairtank.bench.inputs import option_of
from fairtank.registry import Entry

# What numbers, units, errors, ranges and words are made of. A text with anything else is no question, and no shell shall see it.
_SAFE = re.compile(r"[\w .,:;%+/()°²³⁻¹·µ-]+")
_BARE = re.compile(r"[\w.,:+][\w.,:+-]*|-[\d.][\w.,:+-]*")


def command_of(entry: Entry, texts: Mapping[str, str], *, start: str = "fairtank", rest: str = "") -> str:
    """A line to copy, from texts that were read without a refusal; empty where one of them holds a sign that has no place in it.

    >>> from types import SimpleNamespace
    >>> inputs = tuple(SimpleNamespace(name=name) for name in ("ph", "temp_c"))
    >>> command_of(SimpleNamespace(key="carbonate", inputs=inputs), {"temp_c": "77 degF", "ph": "6.6 ± 0.05"})
    'fairtank calc carbonate --ph "6.6 +- 0.05" --temp-c "77 degF"'
    """
    words = [start, "calc", entry.key]
    for declared in entry.inputs:
        if declared.name not in texts:
            continue
        text = " ".join(texts[declared.name].split()).replace("±", "+-").replace("−", "-")
        if not _SAFE.fullmatch(text):
            return ""
        words += [option_of(declared), text if _BARE.fullmatch(text) else f'"{text}"']
    return " ".join([*words, *([rest] if rest else [])])
