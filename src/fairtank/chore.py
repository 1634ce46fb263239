"""The nouns of a schedule: what is to be done when, what was done, and what slipped, as frozen dataclasses that every room shares."""

from dataclasses import dataclass
from datetime import datetime, time

CHORE_KINDS = ("photo", "test", "dose", "water_change", "light", "trim", "clean", "feed", "other")


@dataclass(frozen=True)
class Chore:
    """Something that is to be done again and again, or once.

    rule: when, as a recurrence rule (RFC 5545, without its start), counted from from_day. from_day, until_day: first and last day of the
    trial on which it may fall, both inclusive; until_day None: to the end. at: time of day. minutes: how long it takes for all its units
    together. units: empty means all. quantity, amount, unit_of_measure: of a dose, test or water change, what and how much for each unit
    (a water change in L, or as a share with the unit empty).
    """

    key: str
    title: str
    kind: str
    rule: str
    from_day: int = 0
    until_day: int | None = None
    at: time = time(18, 0)
    minutes: float = 0.0
    units: tuple[str, ...] = ()
    quantity: str = ""
    amount: float | None = None
    unit_of_measure: str = ""
    note: str = ""


@dataclass(frozen=True)
class ChoreDone:
    """A chore as it was done in one unit: a row of chores.csv.

    chore: key of the chore; empty for something that was not planned. kind: one of CHORE_KINDS. due_day: the day for which it was
    planned; None where it was not. day: the day of the trial on which it was done. minutes: of work in that unit; amount as in Chore.
    by: whose hands.
    """

    unit: str
    chore: str
    kind: str
    due_day: int | None
    done_at: datetime
    day: int
    minutes: float | None = None
    quantity: str = ""
    amount: float | None = None
    unit_of_measure: str = ""
    by: str = ""
    note: str = ""


@dataclass(frozen=True)
class Slip:
    """From this day on everything that was not done yet moves by so many days, and why."""

    day: int
    by_days: int
    reason: str
