"""The noun of a factor: what one unit has of something that every unit should have alike, as the keeper wrote it down."""

from dataclasses import dataclass


@dataclass(frozen=True)
class FactorValue:
    """One cell of factors.csv.

    unit: empty where it holds for all units. factor: key of a factor in the registry. value: a number, or a word where the factor is told
    in words. unit_of_measure: of a number, the factor's own unit once it was read.
    """

    unit: str
    factor: str
    value: float | str
    unit_of_measure: str = ""
    note: str = ""
