"""Rows as the nouns of `fairtank.trial`, and the nouns as rows again."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any, TypedDict

from fairtank.chore import ChoreDone
from fairtank.factor import FactorValue
from fairtank.lens import Lens
from fairtank.records.folder import tables
from fairtank.records.folder.factor_cells import cells_from_factor, factor_from_cells
from fairtank.records.folder.rows import Rows
from fairtank.records.folder.tables import CORNERS, OWN_CLASSES, Table
from fairtank.trial import (
    AuditPoint,
    BuildLine,
    CardOfUnit,
    Event,
    Frame,
    LabelClass,
    PairChoice,
    Photo,
    Plan,
    Reading,
    Score,
    Series,
    SpreadEntry,
    Zone,
)

Values = dict[str, Any]


class Tables(TypedDict, total=False):
    """What the tables of a trial folder hold, by the field names of `TrialFolder`."""

    photos: Sequence[Photo]
    frames: Sequence[Frame]
    zones: Sequence[Zone]
    label_classes: Sequence[LabelClass]
    audit: Sequence[AuditPoint]
    scores: Sequence[Score]
    pairs: Sequence[PairChoice]
    readings: Sequence[Reading]
    events: Sequence[Event]
    series: Sequence[Series]
    spread: Sequence[SpreadEntry]
    build: Sequence[BuildLine]
    cards: Sequence[CardOfUnit]
    lens: Sequence[Lens]
    factors: Sequence[FactorValue]
    chores_done: Sequence[ChoreDone]


FIELDS: dict[str, Table] = {
    "photos": tables.PHOTOS, "frames": tables.FRAMES, "zones": tables.ZONES, "label_classes": tables.CLASSES, "audit": tables.AUDIT,
    "scores": tables.SCORES, "pairs": tables.PAIRS, "readings": tables.READINGS, "events": tables.EVENTS, "series": tables.SERIES,
    "spread": tables.SPREAD, "build": tables.BUILD, "cards": tables.CARDS, "lens": tables.LENS,
    "factors": tables.FACTORS, "chores_done": tables.CHORES,
}


def nouns_from_rows(field: str, rows: Rows, plan: Plan) -> tuple[Any, ...]:
    """The nouns of one field of `TrialFolder`; the rows must be free of problems."""
    if field == "series":
        return series_from_rows(rows)
    make, names = _MAKE[field], [(column.field, column.name) for column in rows.table.columns]
    return tuple(make({attribute: row.values[name] for attribute, name in names}, plan) for row in rows.rows)


def sort_series(rows: Rows, plan: Plan) -> Rows:
    """Rows of series.csv by unit and measure as the plan lists them, then by day, whatever the order in the file."""
    units = {unit.key: number for number, unit in enumerate(plan.units)}
    measures = {measure.key: number for number, measure in enumerate(plan.measures)}
    ordered = sorted(rows.rows, key=lambda row: (units[row.values["unit"]], measures[row.values["measure"]], row.values["day"]))
    return Rows(rows.table, tuple(ordered), rows.unknown, rows.is_there)


def series_from_rows(rows: Rows) -> tuple[Series, ...]:
    """One series for each unit and measure; the rows of one must stand together."""
    groups: dict[tuple[str, str], list[Values]] = {}
    for row in rows.rows:
        groups.setdefault((row.values["unit"], row.values["measure"]), []).append(row.values)
    return tuple(
        Series(unit, measure, tuple(values["day"] for values in group), tuple(values["value"] for values in group),
               tuple(values["se"] for values in group), ready_made=True)
        for (unit, measure), group in groups.items()
    )


def values_from_nouns(field: str, nouns: Iterable[Any]) -> list[Values]:
    """The cells of each row, by column name, that say what the nouns say."""
    if field == "series":
        return [
            {"unit": series.unit, "day": day, "measure": series.measure, "value": value, "se": se}
            for series in nouns
            for day, value, se in zip(series.days, series.values, series.ses or (None,) * len(series.days), strict=True)
        ]
    table = FIELDS[field]
    return [_taken_apart(field, noun) or {column.name: getattr(noun, column.field) for column in table.columns} for noun in nouns]


def units_named(text: str, units: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The units that a cell of events.csv names, and the words in it that are none: `T1;T2`, `T1 T2`, `*` or nothing for all."""
    if text in ("", "*"):
        return (), ()
    if text in units:
        return (text,), ()
    words: list[str] = []
    for part in filter(None, (part.strip() for part in text.split(";"))):
        words += [part] if part in units else part.replace(",", " ").split()
    return tuple(dict.fromkeys(word for word in words if word in units)), tuple(word for word in words or (text,) if word not in units)


def _photo(values: Values, plan: Plan) -> Photo:
    return Photo(**values, day=(values["taken_at"].date() - plan.start).days)


def _frame(values: Values, plan: Plan) -> Frame:
    numbers = [values.pop(name) for name in CORNERS]
    x1, y1, x2, y2, x3, y3, x4, y4 = numbers
    return Frame(**values, corners=((x1, y1), (x2, y2), (x3, y3), (x4, y4)))


def _label_class(values: Values, plan: Plan) -> LabelClass:
    return LabelClass(values["key"], (values["r"], values["g"], values["b"]), values["counts_as"] or values["key"])


def _reading(values: Values, plan: Plan) -> Reading:
    return Reading(**values, day=(values["taken_at"].date() - plan.start).days)


def _event(values: Values, plan: Plan) -> Event:
    units, _ = units_named(values.pop("units"), tuple(unit.key for unit in plan.units))
    day_from = (values["at"].date() - plan.start).days
    day_until = day_from if values["until"] is None else (values["until"].date() - plan.start).days
    return Event(units=units, day_from=day_from, day_until=day_until, **values)


def _lens(values: Values, plan: Plan) -> Lens:
    units, _ = units_named(values.pop("units"), tuple(unit.key for unit in plan.units))
    return Lens(units=units, **values)


def _chore_done(values: Values, plan: Plan) -> ChoreDone:
    due = values.pop("due_day")
    return ChoreDone(**values, due_day=(due - plan.start).days if isinstance(due, date) else due,
                     day=(values["done_at"].date() - plan.start).days)


def _plain(noun: Callable[..., Any]) -> Callable[[Values, Plan], Any]:
    return lambda values, plan: noun(**values)


def _taken_apart(field: str, noun: Any) -> Values | None:
    """The cells of nouns whose fields are not columns one to one."""
    if field == "frames":
        numbers = [number for corner in noun.corners for number in corner]
        return {**{name: getattr(noun, name, None) for name in _FRAME_FIELDS}, **dict(zip(CORNERS, numbers, strict=True))}
    if field == "factors":
        return cells_from_factor(noun)
    if field == "label_classes":
        red, green, blue = noun.rgb
        own = noun.key in OWN_CLASSES and noun.counts_as == noun.key
        return {"class": noun.key, "r": red, "g": green, "b": blue, "counts_as": "" if own else noun.counts_as}
    return None


_FRAME_FIELDS = tuple(column.name for column in tables.FRAMES.columns if column.name not in CORNERS)
_MAKE: dict[str, Callable[[Values, Plan], Any]] = {
    "photos": _photo, "frames": _frame, "zones": _plain(Zone), "label_classes": _label_class, "audit": _plain(AuditPoint),
    "scores": _plain(Score), "pairs": _plain(PairChoice), "readings": _reading, "events": _event, "spread": _plain(SpreadEntry),
    "build": _plain(BuildLine), "cards": _plain(CardOfUnit), "lens": _lens, "factors": factor_from_cells, "chores_done": _chore_done,
}
