"""The noun of a draw: what the lot decided, and all that somebody else needs to draw it again, as a frozen dataclass."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Draw:
    """One draw, as draw.json holds it.

    seed: what the lot was made from. at: when it was drawn [UTC]. procedure: which procedure, by its version. arms: unit and arm drawn.
    blocks: unit and the block it was drawn in. possible: how many different draws there were. witness: who saw it, in the keeper's words.
    reason: why it was drawn again; empty for the first.
    """

    seed: int
    at: datetime
    procedure: str
    arms: tuple[tuple[str, str], ...]
    blocks: tuple[tuple[str, str], ...]
    possible: int
    witness: str = ""
    reason: str = ""
