"""The diary, by day and tank, the newest first: a page of days with a constant number of queries."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, Q
from django.utils import timezone

from fairtank.records.models import ChoreDone, Event, Photo, Reading, Round, Trial
from fairtank.records.services.entries import KEPT_DAYS

KINDS = ("photos", "readings", "events", "chores_done")
MODELS: dict[str, type[Any]] = {"photos": Photo, "readings": Reading, "events": Event, "chores_done": ChoreDone}
_DAYS, _MOST_REMOVED = 7, 40
_MOST_READINGS = 200  # on a page; a single day is shown whole


@dataclass(frozen=True)
class UnitEntries:
    """What was entered of one tank on one day; key is empty for what concerns all tanks."""

    key: str
    photos: tuple[Photo, ...] = ()
    readings: tuple[Reading, ...] = ()
    events: tuple[Event, ...] = ()
    chores_done: tuple[ChoreDone, ...] = ()


@dataclass(frozen=True)
class DiaryDay:
    """One day of the diary. late: reasons why something was entered later."""

    day: int
    date: date
    units: tuple[UnitEntries, ...]
    rounds: tuple[Round, ...] = ()

    @property
    def late(self) -> tuple[str, ...]:
        """Why entries of this day came later."""
        return tuple(dict.fromkeys(found.late_reason for found in self.rounds if found.late_reason))


@dataclass(frozen=True)
class DiaryPage:
    """Some days of the diary. older: the day before which the next page begins; None on the last one."""

    days: tuple[DiaryDay, ...]
    older: int | None
    removed: tuple[tuple[str, Any], ...] = ()


def diary_page(trial: Trial, start: date, order: tuple[str, ...], *, unit: str = "", kind: str = "",
               before: int | None = None) -> DiaryPage:  # fmt: skip
    """A page of the diary; unit, kind: only these."""
    kinds = (kind,) if kind in KINDS else KINDS
    days = _days(trial, kinds, unit, before)
    shown = _cut(_rows(trial, "readings", unit), days[:_DAYS]) if "readings" in kinds else days[:_DAYS]
    older = shown[-1] if len(days) > len(shown) else None
    rows = {name: _rows(trial, name, unit).filter(day__in=shown) if name in kinds else () for name in KINDS}
    rounds: dict[int, list[Round]] = {}
    for found in Round.objects.filter(trial=trial, day__in=shown):
        rounds.setdefault(found.day, []).append(found)
    grouped: dict[int, dict[str, dict[str, list[Any]]]] = {day: {} for day in shown}
    for name, found_rows in rows.items():
        for row in found_rows:
            for key in ([unit] if unit else row.units or [""]) if name == "events" else [row.unit.key]:
                grouped[row.day].setdefault(key, {}).setdefault(name, []).append(row)
    places = {key: place for place, key in enumerate(("", *order))}
    return DiaryPage(tuple(
        DiaryDay(day, start + timedelta(days=day),
                 tuple(UnitEntries(key, **{name: tuple(own) for name, own in by_kind.items()})
                       for key, by_kind in sorted(grouped[day].items(), key=lambda item: places.get(item[0], len(places)))),
                 tuple(rounds.get(day, ()))) for day in shown), older, _removed(trial))


def _cut(rows: Any, days: list[int]) -> list[int]:
    """So many of the days that a page does not hold too many readings."""
    counts = dict(rows.filter(day__in=days).order_by().values_list("day").annotate(n=Count("pk")))
    total, kept = 0, list[int]()
    for day in days:
        total += counts.get(day, 0)
        if kept and total > _MOST_READINGS:
            break
        kept.append(day)
    return kept


def _days(trial: Trial, kinds: Iterable[str], unit: str, before: int | None) -> list[int]:
    """The latest days on which something was entered, one more than a page shows."""
    found: set[int] = set()
    for name in kinds:
        rows = _rows(trial, name, unit) if before is None else _rows(trial, name, unit).filter(day__lt=before)
        found |= set(rows.order_by("-day").values_list("day", flat=True).distinct()[: _DAYS + 1])
    return sorted(found, reverse=True)[: _DAYS + 1]


def _rows(trial: Trial, name: str, unit: str) -> Any:
    rows = MODELS[name].objects.filter(trial=trial)
    if name == "events":
        return _events(rows, unit).order_by("day", "at", "pk")
    rows = rows.filter(unit__key=unit) if unit else rows
    return rows.select_related("unit").order_by("day", KIND_CLOCKS[name], "pk")


KIND_CLOCKS = {"photos": "taken_at", "readings": "taken_at", "events": "at", "chores_done": "done_at"}


def _events(rows: Any, unit: str) -> Any:
    """Events of one tank: those that name it, and those of all tanks."""
    if not unit:
        return rows
    wanted = [row.pk for row in rows.only("pk", "units") if not row.units or unit in row.units]  # no database finds words in lists alike
    return rows.filter(pk__in=wanted)


def _removed(trial: Trial) -> tuple[tuple[str, Any], ...]:
    """What was taken back and can still be brought back, the latest first."""
    since = timezone.now() - timedelta(days=KEPT_DAYS)
    found = [(name, row) for name, model in MODELS.items()
             for row in (model.everything if name == "events" else model.everything.select_related("unit"))
             .filter(trial=trial, removed_at__gte=since).order_by("-removed_at")[:_MOST_REMOVED]]
    return tuple(sorted(found, key=lambda one: one[1].removed_at, reverse=True)[:_MOST_REMOVED])


def deviations_of(trial: Trial) -> tuple[Event, ...]:
    """Events that leave days or tanks out of the judging."""
    return tuple(Event.objects.filter(trial=trial).exclude(effect="keep").order_by("-day", "-pk"))


def entry_of(trial: Trial, kind: str, number: int, *, removed: bool = False) -> Any:
    """One entry of a trial; None where there is none of that number."""
    if kind not in KINDS:
        return None
    rows = MODELS[kind].everything if removed else MODELS[kind].objects
    return (rows if kind == "events" else rows.select_related("unit")).filter(Q(trial=trial), pk=number).first()


@dataclass(frozen=True)
class ReadingsTable:
    """Readings of one quantity: tanks as columns, days as rows, the latest first."""

    quantity: str
    units: tuple[str, ...]
    rows: tuple[tuple[int, date, tuple[tuple[Reading, ...], ...]], ...]
    older: int | None


def readings_table(trial: Trial, start: date, units: tuple[str, ...], quantity: str, *, before: int | None = None,
                   most: int = 42) -> ReadingsTable:  # fmt: skip
    """A page of a table of readings."""
    rows = Reading.objects.filter(trial=trial, quantity=quantity)
    rows = rows if before is None else rows.filter(day__lt=before)
    days = list(rows.order_by("-day").values_list("day", flat=True).distinct()[: most + 1])
    shown = _cut(rows, days[:most])
    older = shown[-1] if len(days) > len(shown) else None
    cells: dict[tuple[int, str], list[Reading]] = {}
    asked = rows.filter(day__in=shown).annotate(tank=F("unit__key")).order_by("taken_at", "pk")
    for reading in asked.only("day", "taken_at", "value", "unit_of_measure", "below_detection"):
        cells.setdefault((reading.day, reading.tank), []).append(reading)
    lines = tuple((day, start + timedelta(days=day), tuple(tuple(cells.get((day, unit), ())) for unit in units)) for day in shown)
    return ReadingsTable(quantity, units, lines, older)
