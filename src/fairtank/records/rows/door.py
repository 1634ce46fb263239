"""Values of a table as rows, and rows as values of a table."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from django.db.models import F

from fairtank.records.folder.nouns import values_from_nouns
from fairtank.records.folder.tables import CORNERS
from fairtank.records.folder.writer import table_text
from fairtank.records.models import Photo, Trial, Unit
from fairtank.records.rows.kinds import KINDS, RowKind
from fairtank.trial import Plan

Values = Mapping[str, Any]


def rows_from_nouns(trial: Trial, plan: Plan, field: str, nouns: Sequence[Any], cells: Sequence[Mapping[str, str]] = (),
                    more: Sequence[Values] = ()) -> list[Any]:
    """Rows, not stored yet, that say what the nouns say.

    Parameters
    ----------
    trial : Trial
        With its units stored; for tables that refer to photos also with these.
    plan : Plan
        Gives day 0.
    field : str
        Of `TrialFolder`.
    nouns : sequence
        As `read_folder` gives them.
    cells : sequence of mappings, optional
        Cells of further columns, one mapping per row of the table.
    more : sequence of mappings, optional
        What a row holds beyond the table, one mapping per row, such as a photo's digest.

    Returns
    -------
    list of rows

    References
    ----------
    common_practice (keys from sources.py).
    """
    kind = KINDS[field]
    units = {unit.key: unit for unit in Unit.objects.filter(trial=trial)} if kind.units else {}
    photos = {photo.path: photo for photo in Photo.everything.filter(trial=trial)} if kind.photos else {}
    return [kind.model(trial=trial, extra=dict(cells[place]) if place < len(cells) else {}, **(more[place] if more else {}),
                       **row_values(kind, values, plan.start, units, photos))
            for place, values in enumerate(values_from_nouns(field, nouns))]  # fmt: skip


def row_values(kind: RowKind, values: Values, start: date, units: Mapping[str, Unit], photos: Mapping[str, Photo]) -> dict[str, Any]:
    """One row's fields from the cells of a table, references looked up."""
    row: dict[str, Any] = {}
    for column in kind.table.columns:
        value, name = values[column.name], kind.row_field(column.field)
        if column.field in kind.units:
            value = units[value] if value else None
        elif column.field in kind.photos:
            value = photos[value]
        elif column.field in kind.lists:
            value = list(value or ())
        row[name] = value
    if kind.field == "frames":
        row["corners"] = [row.pop(name) for name in CORNERS]
    if kind.field == "chores_done" and isinstance(row["due_day"], date):
        row["due_day"] = (row["due_day"] - start).days
    if kind.field == "zones":
        row["polygon"] = [list(point) for point in row["polygon"]]
    if kind.clock:
        row["day"] = (row[kind.clock].date() - start).days
    return row


def values_of(kind: RowKind, row: Any) -> dict[str, Any]:
    """The cells of a table, by column, that say what a row says."""
    if kind.field == "frames":
        row_corners = dict(zip(CORNERS, row.corners, strict=True))
    values: dict[str, Any] = {}
    for column in kind.table.columns:
        name = kind.row_field(column.field)
        value = row_corners[name] if kind.field == "frames" and name in CORNERS else getattr(row, name)
        if column.field in kind.units:
            value = "" if value is None else value.key
        elif column.field in kind.photos:
            value = value.path
        elif column.field in kind.lists:
            value = tuple(value)
        values[column.name] = value
    if kind.field == "zones":
        values["polygon"] = tuple(tuple(point) for point in row.polygon)
    return values


def live_rows(trial: Trial, field: str, without: frozenset[int] = frozenset()) -> Iterator[Any]:
    """The rows of one table that are there, in the order of the table, with what they refer to; without some photos and what is of them."""
    kind = KINDS[field]
    rows = kind.model.objects.filter(trial=trial).order_by("pk")
    for name in (("pk",) if field == "photos" else tuple(kind.row_field(name) for name in kind.photos)) if without else ():
        rows = rows.exclude(**{f"{name}__in": without})
    references = [kind.row_field(name) for name in (*kind.units, *kind.photos)]
    yield from (rows.select_related(*references) if references else rows).iterator(chunk_size=2000)


def text_of_rows(trial: Trial, field: str, without: frozenset[int] = frozenset()) -> str:
    """One table of a trial as CSV text; empty where it has no rows.

    Parameters
    ----------
    trial : Trial
    field : str
        Of `TrialFolder`.
    without : frozenset of int
        Keys of photos that are left out, with every row that refers to them.

    Returns
    -------
    str
        As `write_folder` writes it.

    References
    ----------
    rfc4180 (keys from sources.py).
    """
    kind = KINDS[field]
    values, cells = [], []
    for row in live_rows(trial, field, without):
        values.append(values_of(kind, row))
        cells.append(row.extra)
    return table_text(kind.table, values, cells if any(cells) else ()) if values else ""


def days_moved(trial: Trial, by: timedelta) -> None:
    """Count the days of all rows from another day 0; by: how much later it is."""
    for kind in KINDS.values():
        if kind.clock:
            kind.model._base_manager.filter(trial=trial).update(day=F("day") - by.days)
