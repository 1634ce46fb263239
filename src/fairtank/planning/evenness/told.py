"""One thing that is told of one unit about one factor, and by which file."""

from dataclasses import dataclass

# Whom to believe first: what was measured or weighed in while the trial ran, what the keeper wrote down, what was planned.
MEASURED, WRITTEN, PLANNED = 0, 1, 2
RANK_WORDS = ("measured", "written down", "planned")

Value = float | str


@dataclass(frozen=True)
class Told:
    """What one file tells of a factor in one unit.

    rank: MEASURED, WRITTEN or PLANNED. where: the file, such as `readings.csv`. part: of a factor with several parts, which one (an ion, a
    person). dated: it comes from days of the trial, and may differ between its periods. unit_of_measure: of a number that is not in the
    factor's own unit.
    """

    unit: str
    value: Value
    where: str
    rank: int = WRITTEN
    part: str = ""
    dated: bool = False
    unit_of_measure: str = ""
