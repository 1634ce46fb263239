"""Whether everything on the shelf is as it was kept: photos, references between rows, days, tables, half-written files, work that hangs."""

import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import chain, islice
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection
from django.utils import timezone

from fairtank.records.folder.nouns import nouns_from_rows, sort_series
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.rows import rows_from_text
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.models import Document, Job, Photo, Stroke, Trial
from fairtank.records.rows.door import live_rows, rows_from_nouns, values_of
from fairtank.records.rows.kinds import FILE_FIELDS, KINDS
from fairtank.records.rows.plan import plan_from_text
from fairtank.records.services.trash import named_digests
from fairtank.records.shelf_photos import photo_files
from fairtank.trial import Plan

_HANGS_AFTER_MIN, _WAITS_AFTER_H, _STALE_S, _MOST_NAMED = 10, 24, 3600.0, 5
PHOTOS_HINT = "Put the original back: take the photo in once more, or restore a backup."


@dataclass(frozen=True)
class CheckedShelf:
    """What a check found. faults: sentences about what is wrong; notes: about what is untidy and harms nothing; counts: what was read."""

    faults: tuple[str, ...]
    notes: tuple[str, ...]
    counts: dict[str, int]

    @property
    def is_clean(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults


def shelf_check(*, progress: Callable[[int, int], None] | None = None) -> CheckedShelf:
    """Look at every photo and every row; nothing is changed.

    Parameters
    ----------
    progress : function of photos read and in all, optional

    Returns
    -------
    CheckedShelf

    References
    ----------
    fips180 (keys from sources.py).
    """
    faults, notes, counts = list(_database_faults()), [], {}
    if not faults:
        photo_faults, photo_notes, photos = _photos_checked(set(named_digests()), progress)
        faults += [*photo_faults, *_days_off(), *_tables_off()]
        notes += [*photo_notes, *_work_told()]
        counts = {"trials": Trial.objects.count(), "photos": photos}
    return CheckedShelf(tuple(faults), (*notes, *_half_written()), counts)


def _database_faults() -> Iterator[str]:
    """Whether the database is whole, and every row's references lead somewhere."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            try:
                told = cursor.execute("PRAGMA quick_check(20)").fetchall()
            except DatabaseError as error:
                told = [(str(error),)]
            if told != [("ok",)]:
                yield f"The database is damaged ({told[0][0]}). Restore a backup: fairtank restore."
                return
            lost: dict[tuple[str, str], int] = {}
            for table, _row, refers_to, _number in cursor.execute("PRAGMA foreign_key_check").fetchall():
                lost[table, refers_to] = lost.get((table, refers_to), 0) + 1
            for (table, refers_to), count in lost.items():
                yield f"{count} rows of {table} refer to rows of {refers_to} that are not there. Restore a backup: fairtank restore."
            return
    try:
        connection.check_constraints()
    except DatabaseError as error:
        yield f"Rows refer to others that are not there ({error}). Restore a backup: fairtank restore."


def _photos_checked(named: set[str], progress: Callable[[int, int], None] | None) -> tuple[list[str], list[str], int]:
    """Every photo's bytes against its digest, and rows against photos."""
    files = photo_files()
    there = set(files.iterate())
    total = len(there)
    found = files.check(None if progress is None else lambda done: progress(done, total))
    missing = named - there
    faults = [f"{_listed(_owners({digest}))}: the photo is not as it was kept: its bytes have changed. {PHOTOS_HINT}"
              for digest in sorted(set(found.damaged) & named)]
    faults += [f"{_listed(_owners({digest}))}: the photo is missing. {PHOTOS_HINT}" for digest in sorted(missing)]
    notes = [f"{place.name} lies among the photos and is none of them. Look at it, and move it elsewhere." for place in found.strays]
    if unnamed := there - named:
        notes.append(f"{len(unnamed)} photos are kept that no row names; they go by themselves a day after they came.")
    if found.unfinished:
        notes.append(f"{len(found.unfinished)} photos were not written to their end; what is left of them goes by itself.")
    return faults, notes, total


def _owners(digests: set[str]) -> list[str]:
    """Trial and path of the rows that name these photos."""
    photos = Photo.everything.filter(sha256__in=digests).values_list("trial__title", "path")
    strokes = Stroke.objects.filter(sha256__in=digests).values_list("trial__title", "path")
    return [f"{title}, {path}" for title, path in chain(photos, strokes)] or ["Strokes of a photo that was taken away"]


def _days_off() -> Iterator[str]:
    """Rows whose day does not follow from their time and the first day of the trial."""
    for trial in Trial.everything.exclude(start=None).iterator():
        for kind in KINDS.values():
            if not kind.clock:
                continue
            rows = kind.model._base_manager.filter(trial=trial).values_list(kind.clock, "day").order_by()
            off = sum((at.date() - trial.start).days != day for at, day in rows.iterator(chunk_size=5000))
            if off:
                yield (f"{trial.title}: {off} rows of {kind.table.file} stand on another day than their time says. Change the first day in "
                       "the plan and change it back, and the days are counted anew.")


def _tables_off() -> Iterator[str]:
    """Tables that are kept as they came, but whose rows say something else now."""
    for trial in Trial.everything.filter(planned=True).iterator():
        plan_text = Document.objects.filter(trial=trial, path=PLAN_FILE).first()
        if plan_text is None:
            yield f"{trial.title}: its plan, {PLAN_FILE}, is gone. Restore a backup: fairtank restore."
            continue
        plan = plan_from_text(plan_text.text)
        for document in Document.objects.filter(trial=trial, is_table=True):
            if document.path in FILE_FIELDS and bytes(document.content) and _is_off(trial, plan, document):
                yield (f"{trial.title}: the rows of {document.path} are not what its text says. Export the trial, compare the two, and "
                       "take it in again.")


def _is_off(trial: Trial, plan: Plan, document: Document) -> bool:
    field = FILE_FIELDS[document.path]
    kind = KINDS[field]
    rows = rows_from_text(kind.table, document.text, Problems())
    if rows.is_lost:
        return True
    kept = [values_of(kind, row) for row in live_rows(trial, field)]
    if field == "chores_done":  # one row of the table may be rows of several units
        return {_done(row.values) for row in rows.rows} != {_done(values) for values in kept}
    if field == "photos":  # the time may stand in the photo alone
        known = {values["photo"]: values["taken_at"] for values in kept}
        for row in rows.rows:
            row.values["taken_at"] = row.values["taken_at"] or known.get(row.values["photo"]) or datetime.min
    if field == "label_classes":  # a class that counts as what it is called may say so or not
        for values in kept:
            values["counts_as"] = "" if values["counts_as"] == values["class"] else values["counts_as"]
    if field == "series":
        rows = sort_series(rows, plan)
    try:
        told = rows_from_nouns(trial, plan, field, nouns_from_rows(field, rows, plan))
    except KeyError:  # it names a unit or a photo that is not there
        return True
    return [values_of(kind, row) for row in told] != kept


def _done(values: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(values[name] for name in ("chore", "kind", "done_at", "quantity", "amount", "note"))


def _half_written() -> list[str]:
    """What was not written to its end, older than an hour, among what can be made again."""
    before, found = time.time() - _STALE_S, []
    for place in islice(Path(settings.DATA).rglob(".*"), 100_000):
        if place.suffix in (".tmp", ".partial", ".part") and place.lstat().st_mtime < before:
            found.append(place.name)
    return [f"{len(found)} files were not written to their end ({_listed(found)}); they can be deleted."] if found else []


def _work_told() -> list[str]:
    """Work that gives no sign of life."""
    now = timezone.now()
    hanging = Job.objects.filter(state="running", heartbeat__lt=now - timedelta(minutes=_HANGS_AFTER_MIN)).count()
    waiting = Job.objects.filter(state="waiting", made_at__lt=now - timedelta(hours=_WAITS_AFTER_H)).count()
    told = []
    if hanging:
        told.append(f"{hanging} pieces of work gave no sign of life for {_HANGS_AFTER_MIN} minutes. They begin again with the next worker: "
                    "fairtank serve, or fairtank worker.")
    if waiting:
        told.append(f"{waiting} pieces of work have waited for more than {_WAITS_AFTER_H} hours. Is a worker there? fairtank serve starts "
                    "one.")
    return told


def _listed(names: list[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
