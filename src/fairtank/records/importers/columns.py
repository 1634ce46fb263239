"""What one column by itself seems to hold, told by a sample of its cells and by its heading."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from fairtank.planning.evenness.wording import flat
from fairtank.records.importers.amounts import is_amount, is_missing, is_not_detected
from fairtank.records.importers.facts import TrialFacts
from fairtank.records.importers.headings import is_unit_of_measure
from fairtank.records.importers.sheet import Sheet
from fairtank.records.importers.times import is_clock, is_moment

MOST_SAMPLED = 120
_MOSTLY = 0.6  # of the cells that a column must have in common. common practice, no source
# Headings that say what a column is, without blanks and marks. Common practice, no source.
HEADINGS: dict[str, tuple[str, ...]] = {
    "time": ("takenat", "datetime", "timestamp", "dateandtime", "datetimeutc", "datetimelocal", "localtime", "date", "time", "when",
             "measuredat", "recordedat", "readat", "datum", "zeit", "zeitpunkt", "datumzeit"),
    "clock": ("time", "clock", "uhrzeit", "zeit", "timeofday", "hour", "at"),
    "day": ("day", "trialday", "dayoftrial", "daynumber", "tag"),
    "unit": ("unit", "tank", "aquarium", "vessel", "box", "compartment", "tankid", "tankname", "becken", "tanks", "units", "where"),
    "quantity": ("quantity", "parameter", "what", "measure", "variable", "analyte", "testof", "grösse", "groesse", "test", "measurement"),
    "value": ("value", "reading", "result", "amount", "wert", "messwert", "level", "concentration", "readings", "values"),
    "unit_of_measure": ("unitofmeasure", "uom", "unit", "units", "einheit", "measuredin", "in"),
    "method": ("method", "testkit", "kit", "instrument", "how", "methode", "test", "device"),
    "below": ("belowdetection", "below", "bdl", "belowlimit", "notdetected", "isbelow", "underlimit"),
    "ignore": ("no", "nr", "number", "index", "row", "record", "id", "line", "note", "notes", "comment", "remark", "sample"),
}
_YES_NO = frozenset({"true", "false", "yes", "no", "0", "1"})


@dataclass(frozen=True)
class Content:
    """Shares of a column's sampled cells that can be one thing or another; count: how many were sampled."""

    count: int
    amounts: float
    moments: float
    clocks: float
    units: float
    quantities: float
    units_of_measure: float
    yes_no: float
    is_counting: bool

    def mostly(self, what: str) -> bool:
        """Whether most cells can be that."""
        share: float = getattr(self, what)
        return self.count > 0 and share >= _MOSTLY


def sample_of(sheet: Sheet) -> tuple[tuple[str, ...], ...]:
    """Rows from all over a sheet, in their order."""
    rows = [cells for _, cells in sheet.data]
    step = max(len(rows) // MOST_SAMPLED, 1)
    return tuple(rows[: MOST_SAMPLED // 3] + rows[MOST_SAMPLED // 3 :: step])


def content_of(cells: Sequence[str], facts: TrialFacts) -> Content:
    """What the cells of one column can be."""
    held = [cell for cell in cells if not is_missing(cell)]
    count = max(len(held), 1)
    distinct = {cell: held.count(cell) for cell in set(held)} if len(set(held)) < 60 else dict.fromkeys(held, 1)
    total = max(sum(distinct.values()), 1)

    def share(fits) -> float:  # type: ignore[no-untyped-def]
        return sum(times for cell, times in distinct.items() if fits(cell)) / total

    numbers = [int(cell) for cell in held if cell.isascii() and cell.isdigit() and len(cell) < 10]
    return Content(
        len(held), share(lambda cell: is_amount(cell) or is_not_detected(cell)), share(is_moment), share(is_clock),
        share(lambda cell: bool(facts.unit_named(cell)[0])), share(lambda cell: bool(facts.quantity_named(cell)[0])),
        share(is_unit_of_measure), share(lambda cell: cell.casefold() in _YES_NO),
        is_counting=len(numbers) == count > 4 and all(later - sooner >= 1 for sooner, later in pairwise(numbers)),
    )


def heading_says(heading: str, role: str) -> bool:
    """Whether a heading is a usual word for a role; a unit in brackets behind it does not count."""
    word = flat(heading.split("(")[0].split("[")[0])
    return word in HEADINGS[role]
