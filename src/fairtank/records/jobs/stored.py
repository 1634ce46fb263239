"""Values of photos become rows while the photos are measured, a second's worth at a time."""

import time
from dataclasses import dataclass, field

from fairtank.records.models import Trial
from fairtank.records.services.answers import measured_keep
from fairtank.records.store import Store
from fairtank.vision.measure import PhotoResult

_PAUSE_S = 1.0


@dataclass(frozen=True)
class RowStore(Store):
    """A store that hands on what is put into it to the rows of a trial."""

    trial: Trial | None = None
    new: list[PhotoResult] = field(default_factory=list, compare=False)
    told_at: list[float] = field(default_factory=lambda: [time.monotonic()], compare=False)

    def put(self, sha256: str, version: str, result: PhotoResult) -> None:
        """Keep a result, and remember it for its rows."""
        super().put(sha256, version, result)
        self.new.append(result)

    def rows_keep(self, *, at_once: bool = False) -> None:
        """Write the rows of what is new, unless that was done within a second."""
        now = time.monotonic()
        if self.trial is None or not self.new or not (at_once or now - self.told_at[0] >= _PAUSE_S):
            return
        measured_keep(trial=self.trial, measured=[row for one in self.new for row in one.measured],
                      qualities=[one.quality for one in self.new])
        self.new.clear()
        self.told_at[0] = now

    def __reduce__(self) -> tuple[type[Store], tuple[object]]:
        """Another process gets a plain store: rows are written in one place."""
        return Store, (self.root,)
