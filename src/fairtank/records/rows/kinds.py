"""Which table of a trial folder is kept in which rows: the one list."""

from dataclasses import dataclass
from typing import Any

from fairtank.records import models
from fairtank.records.folder.nouns import FIELDS
from fairtank.records.folder.tables import Table


@dataclass(frozen=True)
class RowKind:
    """One table and its rows.

    field: of `TrialFolder`. model: of the rows. units, photos: columns that refer to a unit or a photo, by the row's field. lists:
    columns that hold keys of units. renamed: the row's field where its name is not the noun's. clock: the column that gives the day.
    """

    field: str
    model: type[Any]
    units: tuple[str, ...] = ()
    photos: tuple[str, ...] = ()
    lists: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    clock: str = ""

    @property
    def table(self) -> Table:
        """The table, with its file and columns."""
        return FIELDS[self.field]

    def row_field(self, noun_field: str) -> str:
        """What the row calls a field of the noun."""
        return dict(self.renamed).get(noun_field, noun_field)


_UNIT = ("unit",)
KINDS = {kind.field: kind for kind in (
    RowKind("photos", models.Photo, units=_UNIT, clock="taken_at"),
    RowKind("frames", models.Frame, units=_UNIT, photos=("reference_photo",)),
    RowKind("zones", models.Zone, units=_UNIT),
    RowKind("label_classes", models.LabelClass),
    RowKind("audit", models.AuditPoint, photos=("photo",)),
    RowKind("scores", models.Score, photos=("photo",)),
    RowKind("pairs", models.PairChoice, photos=("photo_a", "photo_b")),
    RowKind("readings", models.Reading, units=_UNIT, clock="taken_at"),
    RowKind("events", models.Event, lists=("units",), clock="at"),
    RowKind("series", models.SeriesValue, units=_UNIT),
    RowKind("spread", models.SpreadEntry, renamed=(("trial", "of_trial"),)),
    RowKind("build", models.BuildLine, units=_UNIT),
    RowKind("cards", models.Card, units=_UNIT),
    RowKind("lens", models.Lens, lists=("units",)),
    RowKind("factors", models.FactorValue, units=_UNIT),
    RowKind("chores_done", models.ChoreDone, units=_UNIT, clock="done_at"),
)}  # fmt: skip
FILE_FIELDS = {kind.table.file: field for field, kind in KINDS.items()}
