"""Readings of a table stored at once, under one key, so that all of them can be taken back at once."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone

from fairtank.errors import DesignError, InputError
from fairtank.records.importers import Matching, Preview, Sheet, TrialFacts, rows_of
from fairtank.records.models import Change, PairChoice, Reading, Score, SeriesValue, Trial, Unit
from fairtank.records.planned import Planned
from fairtank.records.services.entries import KEPT_DAYS, check_open, open_plan, plain
from fairtank.records.services.trail import By, noted
from fairtank.trial import Reading as ReadingNoun

VERB = "import"
_MOST_LISTED = 10
_TABLES = ("readings",)


@dataclass(frozen=True)
class Imported:
    """One table that was brought in: its key, what was said of it, when, how many of its readings are there and how many were taken back,
    and until when those can be brought back."""

    key: str
    said: str
    at: datetime
    there: int
    away: int
    until: datetime | None = None

    @property
    def can_come_back(self) -> bool:
        """Whether what was taken back can still be brought back."""
        return self.away > 0 and self.until is not None and self.until > timezone.now()


def facts_of_trial(trial: Trial, planned: Planned) -> TrialFacts:
    """What the readers of readings need to know of a trial on the shelf, in one query."""
    rows = Reading.objects.filter(trial=trial).order_by("pk").values_list(
        "unit__key", "taken_at", "day", "quantity", "value", "unit_of_measure", "method", "below_detection")
    readings = tuple(ReadingNoun(*row) for row in rows.iterator(chunk_size=5000))
    return TrialFacts(planned.plan, readings, () if planned.is_proposed else planned.chores)


def readings_import(*, trial: Trial, by: By, key: str, sheet: Sheet, matching: Matching, seen: str) -> int:
    """Store what a sheet holds, all of it or nothing; gives how many readings were stored.

    The sheet is read once more while nobody else writes, so that what is stored is what the trial does not have. The same key again stores
    nothing.

    Parameters
    ----------
    trial : Trial
    by : By
    key : str
        Of this import; it stands in the key of each of its readings.
    sheet : Sheet
    matching : Matching
    seen : str
        What the keeper was shown, see `digest_of_preview`; another one means that the trial or the choices have changed since.

    Returns
    -------
    int

    Raises
    ------
    InputError
        If there is nothing to store, something is left to be answered, or it is not what was shown.
    DesignError
        If the trial is finished or has no plan, or a measure has values of another kind.

    References
    ----------
    common_practice (keys from sources.py).
    """
    planned = open_plan(trial)
    with transaction.atomic():
        check_open(trial)
        if _rows(trial, key).exists():
            return 0
        preview = rows_of(sheet, matching, facts_of_trial(trial, planned))
        _check(trial, planned, preview, seen)
        rows = preview.rows
        _insert(trial, key, preview.readings)
        source = plain(sheet.name) if sheet.name else "pasted cells"
        said = f"Brought in {_readings(len(rows))} from {source}."
        noted(by=by, verb=VERB, said=said, trial=trial, tables=_TABLES, before={"import": key})
    return len(rows)


def _insert(trial: Trial, key: str, readings: Iterable[ReadingNoun]) -> None:
    """Store readings as plain values: made into rows first, a table of a logger takes six times as long. The database checks them."""
    fields = [field for field in Reading._meta.concrete_fields if not field.primary_key]
    units = dict(Unit.objects.filter(trial=trial).values_list("key", "pk"))
    same = {"trial": trial.pk, "extra": {}, "round": None, "removed_at": None, "entered_at": timezone.now()}
    ready = {field.name: field.get_db_prep_save(same[field.name], connection) for field in fields if field.name in same}
    clock = Reading._meta.get_field("taken_at")

    def told(number: int, one: ReadingNoun) -> list[Any]:
        values = {**ready, "unit": units[one.unit], "taken_at": clock.get_db_prep_save(one.taken_at, connection), "day": one.day,
                  "quantity": one.quantity, "value": one.value, "unit_of_measure": one.unit_of_measure, "method": one.method,
                  "below_detection": one.below_detection, "entry": f"import:{key}:{number}"}
        return [values[field.name] for field in fields]

    names = ", ".join(connection.ops.quote_name(field.column) for field in fields)
    query = f"INSERT INTO {connection.ops.quote_name(Reading._meta.db_table)} ({names}) VALUES ({', '.join(['%s'] * len(fields))})"
    with connection.cursor() as cursor:
        cursor.executemany(query, (told(number, one) for number, one in enumerate(readings)))


def digest_of_preview(preview: Preview) -> str:
    """A mark of the readings that would be stored, so that nothing else is stored than what was looked at."""
    mark = hashlib.sha256()
    for row in preview.rows:
        mark.update(repr(row.reading).encode())
    return mark.hexdigest()


def is_imported(trial: Trial, key: str) -> bool:
    """Whether readings came in under that key, be they there or taken back."""
    return _rows(trial, key).exists()


def _check(trial: Trial, planned: Planned, preview: Preview, seen: str) -> None:
    if not preview.is_ready:
        raise InputError("the table", "not ready", "one in which something is new and nothing is left to be answered",
                         "Look at what the page asks.")
    if digest_of_preview(preview) != seen:
        raise InputError("what would be stored", "not what was shown last", "what you have looked at",
                         "The choices or the trial were changed since. Look at the readings below, then store them.")
    judged = {choice.key for choice in planned.plan.measures} & {row.reading.quantity for row in preview.rows}
    for model in (Score, PairChoice, SeriesValue):
        other = model._default_manager.filter(trial=trial, measure__in=judged).values_list("measure", flat=True).first()
        if other:
            raise DesignError(f"{other} has values of another kind in this trial already; a measure has one source. Give the readings a "
                              "name of their own.")
    for name in ("quantity", "unit_of_measure", "method"):
        longest = int(Reading._meta.get_field(name).max_length or 0)
        text = max((getattr(row.reading, name) for row in preview.rows), key=len)
        if len(text) > longest:
            raise InputError(f"the text {text[:30]} ...", f"{len(text)} characters long", f"at most {longest} characters")


def readings_import_take_back(*, trial: Trial, by: By, key: str) -> int:
    """Take all readings of one import back; for 30 days they can be brought back together. Gives how many they were."""
    with transaction.atomic():
        check_open(trial)
        count = _rows(trial, key).filter(removed_at=None).update(removed_at=timezone.now())
        if count:
            noted(by=by, verb="remove", said=f"Took back {_readings(count)} that came in one table.", trial=trial, tables=_TABLES)
    return count


def readings_import_bring_back(*, trial: Trial, by: By, key: str) -> int:
    """Bring back what was taken back together the last time; gives how many readings that were.

    Raises
    ------
    InputError
        If that was more than 30 days ago.
    """
    with transaction.atomic():
        check_open(trial)
        rows = _rows(trial, key)
        last = rows.aggregate(last=Max("removed_at"))["last"]
        if last is None:
            return 0
        if last < timezone.now() - timedelta(days=KEPT_DAYS):
            raise InputError("the table", f"taken back more than {KEPT_DAYS} days ago", "one of the last 30 days", "Bring it in anew.")
        count = rows.filter(removed_at=last).update(removed_at=None)
        noted(by=by, verb="bring back", said=f"Brought back {_readings(count)} that came in one table.", trial=trial, tables=_TABLES)
    return count


def imports_of(trial: Trial) -> tuple[Imported, ...]:
    """The last tables that were brought in, the newest first, in two queries."""
    changes = [change for change in Change.objects.filter(trial=trial, verb=VERB).order_by("-pk")[: 5 * _MOST_LISTED]
               if isinstance(change.before.get("import"), str)][:_MOST_LISTED]
    if not changes:
        return ()
    counts = dict(_counts(change.before["import"] for change in changes))
    counted: dict[str, Any] = Reading.everything.filter(trial=trial).aggregate(**counts)
    found = []
    for number, change in enumerate(changes):
        last = counted[f"last_{number}"]
        until = None if last is None else last + timedelta(days=KEPT_DAYS)
        there, away = counted[f"there_{number}"], counted[f"away_{number}"]
        found.append(Imported(change.before["import"], change.said, change.at, there, away, until))
    return tuple(found)


def _counts(keys: Iterable[str]) -> Iterable[tuple[str, Any]]:
    for number, key in enumerate(keys):
        own = _of(key)
        yield f"there_{number}", Count("pk", filter=own & Q(removed_at=None))
        yield f"away_{number}", Count("pk", filter=own & Q(removed_at__isnull=False))
        yield f"last_{number}", Max("removed_at", filter=own)


def _of(key: str) -> Q:
    return Q(entry__gte=f"import:{key}:", entry__lt=f"import:{key};")


def _rows(trial: Trial, key: str) -> QuerySet[Any]:
    """Every reading of one import, be it there or taken back."""
    rows: QuerySet[Any] = Reading.everything.filter(_of(key), trial=trial)
    return rows


def _readings(count: int) -> str:
    return f"{count} reading{'' if count == 1 else 's'}"
