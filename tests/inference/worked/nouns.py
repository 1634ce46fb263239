"""What one worked example is."""

from collections.abc import Callable
from dataclasses import dataclass

from fairtank.sources import SOURCES

# Where a printed number comes from -> what is said of it on the page.
KINDS = {
    "printed": "printed by others",
    "program": "by another program",
    "hand": "by hand",
    "recalled": "recalled, not read",
}
PROGRAMS = ("scipy_library", "statsmodels_library", "krippendorff_library")


@dataclass(frozen=True)
class Number:
    """One number: what it is, its digits as they were printed, and how fairtank comes to it."""

    what: str
    published: str
    compute: Callable[[], float]


@dataclass(frozen=True)
class Example:
    """One worked example.

    name: a sentence. entry: the function checked, as module.function of the inference room. source: key of the source of the numbers.
    where: table, chapter or call. data: key of the source of the data, where that is another one. from_memory: the data or the numbers were
    recalled and not read, so that the check holds the code to what it gave before and proves no more. note: what a reader should know.
    """

    name: str
    entry: str
    source: str
    where: str
    numbers: tuple[Number, ...]
    data: str = ""
    from_memory: bool = False
    note: str = ""

    @property
    def kind(self) -> str:
        """One of KINDS."""
        if self.from_memory or SOURCES[self.source].from_memory:
            return "recalled"
        if self.source in PROGRAMS:
            return "program"
        return "hand" if self.source == "arithmetic" else "printed"
