"""The nouns of a seal: the plan as it was fixed, and every amendment after it, as frozen dataclasses that every room shares."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

Parts = dict[str, dict[str, dict[str, Any]]]


@dataclass(frozen=True)
class Sealing:
    """The plan as it was fixed at one time.

    at: when [UTC]. plan: its judged parts, as section, key and field. digest: SHA-256 over them; code: its start in ten letters and
    digits. rows, photos, data_digest: how much was recorded already at that time, and the digest over it (empty where nothing was).
    reason: why the plan was amended; empty for the first. software: which fairtank wrote it.
    """

    at: datetime
    plan: Parts = field(hash=False)
    digest: str
    code: str
    rows: int
    photos: int
    data_digest: str
    reason: str = ""
    software: str = ""

    @property
    def has_data(self) -> bool:
        """Whether anything was recorded when this was sealed."""
        return self.rows + self.photos > 0


@dataclass(frozen=True)
class Seal:
    """The plan's seal: the first sealing, then its amendments in order. document: seal.json as it was read."""

    entries: tuple[Sealing, ...]
    document: dict[str, Any] = field(hash=False, compare=False)

    @property
    def last(self) -> Sealing:
        """The plan as it was sealed or amended last."""
        return self.entries[-1]
