"""The noun of a draw: what the lot decided, and all that somebody else needs to draw it again, as a frozen dataclass."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Draw:
    """One draw, as draw.json holds it.

    seed: what the lot was made from. at: when it was drawn [UTC]. procedure: which procedure, by its version. arms: unit and arm drawn,
    in a swap the arm that comes first. blocks: unit and the block it was drawn in. possible: how many different draws there were.
    witness: who saw it, in the keeper's words. reason: why it was drawn again, or late; empty for the first. kind: of the trial.
    arm_keys: the arms in the order of the plan. tanks: in rounds, unit and tank. rows, columns: of a Latin square, by unit. window: first
    and last day between which the start was drawn; drawn_day: the day. places: unit and the place drawn for it; places_before: unit and
    the place it had. planting, scoring: units in the order drawn. blocked_by: what made the blocks. seed_from: `given` or `system`.
    sealed, values, photos: what there was already. said_before: what trial.toml said of an earlier draw that no record shows.
    """

    seed: int
    at: datetime
    procedure: str
    arms: Pairs
    blocks: Pairs
    possible: int
    witness: str = ""
    reason: str = ""
    kind: str = ""
    arm_keys: tuple[str, ...] = ()
    tanks: Pairs = ()
    rows: Pairs = ()
    columns: Pairs = ()
    window: tuple[int, int] | None = None
    drawn_day: int | None = None
    places: Pairs = ()
    places_before: Pairs = ()
    planting: tuple[str, ...] = ()
    scoring: tuple[str, ...] = ()
    blocked_by: tuple[str, ...] = ()
    seed_from: str = "given"
    sealed: bool = False
    values: int = 0
    photos: int = 0
    said_before: str = ""


def order_of_work(keys: Sequence[str], draws: Sequence[Draw]) -> tuple[str, ...]:
    """The units in the order of planting that the last draw gave, where it names the same units; else as they stand in the plan.

    >>> order_of_work(("T1", "T2"), ())
    ('T1', 'T2')
    """
    planting = draws[-1].planting if draws else ()
    return tuple(planting) if sorted(planting) == sorted(keys) else tuple(keys)
