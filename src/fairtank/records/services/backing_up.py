"""A backup: the whole shelf in one ZIP file, with every photo and a digest of everything, written whole or not at all.

backup.json        what it is, by which version, when, and the digest of every table file
shelf.sqlite3      the database, copied in one moment, where it is an SQLite file
rows/*.jsonl       else its rows, a line each, read in one moment
photos/<digest>    every photo and picture of strokes that a row names, named by its SHA-256
"""

import hashlib
import json
import os
import sqlite3
import tempfile
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from fairtank import __version__
from fairtank.errors import InputError, JobError, plain_reason
from fairtank.records.services.trash import named_digests
from fairtank.records.shelf_photos import photo_files

FORM, FACTS_FILE, DATABASE_FILE, ROWS_FOLDER, PHOTOS_FOLDER = "fairtank-backup 1", "backup.json", "shelf.sqlite3", "rows/", "photos/"
# Rows that are worth nothing elsewhere: who is logged in, and the notes of the queue.
LEFT_OUT = ("sessions.session", "django_tasks_database.dbtaskresult")
_CHUNK_BYTES = 1 << 20
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)
# Photos cannot be packed any smaller; rows can, and quickly.
_ROWS_PACKED, _LEVEL = zipfile.ZIP_DEFLATED, 1


@dataclass(frozen=True)
class BackedUp:
    """A backup that was written. photos: how many photos are in it; missing: digests of photos that are gone or damaged, and not in it."""

    path: Path
    size_bytes: int
    photos: int
    missing: tuple[str, ...]


def shelf_backup(*, path: Path, progress: Callable[[int, int], None] | None = None) -> BackedUp:
    """Write everything on the shelf into one file; the shelf may be used meanwhile.

    Parameters
    ----------
    path : Path
        A file that is not there yet.
    progress : function of photos written and in all, optional

    Returns
    -------
    BackedUp

    Raises
    ------
    InputError
        If something lies there already.
    JobError
        If it cannot be written.

    References
    ----------
    fips180 (keys from sources.py).
    """
    if os.path.lexists(path):
        raise InputError("the file for the backup", path, "a file that is not there yet", "Choose another name; nothing was written.")
    draft = path.with_name(f".{path.name}.{os.getpid()}.partial")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with open(draft, "xb") as file:
            with zipfile.ZipFile(file, "w") as archive:
                photos, missing = _written(archive, progress)
            file.flush()
            os.fsync(file.fileno())
        os.replace(draft, path)
    except OSError as error:
        raise JobError(f"{path} cannot be written: {plain_reason(error)}. The shelf is as it was.") from error
    finally:
        draft.unlink(missing_ok=True)
    return BackedUp(path, path.stat().st_size, photos, tuple(missing))


def shelf_backed_up(path: Path) -> BackedUp | None:
    """What a backup that was written says of itself; None where there is none."""
    if not path.is_file():
        return None
    with zipfile.ZipFile(path) as archive:
        facts = json.loads(archive.read(FACTS_FILE))
    return BackedUp(path, path.stat().st_size, facts["photos"] - len(facts["missing"]), tuple(facts["missing"]))


def _written(archive: zipfile.ZipFile, progress: Callable[[int, int], None] | None) -> tuple[int, list[str]]:
    """Database, photos, facts; how many photos, and which are missing."""
    digests: dict[str, str] = {}
    if connection.vendor == "sqlite":
        with tempfile.TemporaryDirectory(dir=Path(settings.DATA) / "derived", prefix=".backup-") as place:
            copy = Path(place) / DATABASE_FILE
            named = database_copied(copy)
            digests[DATABASE_FILE] = _put(archive, DATABASE_FILE, _chunks(copy), _ROWS_PACKED)
    else:
        with transaction.atomic():
            connection.cursor().execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            named = sorted(set(named_digests()))
            for model in models_kept():
                name = f"{ROWS_FOLDER}{model._meta.label_lower}.jsonl"
                digests[name] = _put(archive, name, _rows(model), _ROWS_PACKED)
    missing, files = [], photo_files()
    for done, digest in enumerate(named, start=1):
        try:
            if _put(archive, f"{PHOTOS_FOLDER}{digest}", _chunks(files.path_of(digest)), zipfile.ZIP_STORED) != digest:
                missing.append(digest)
        except FileNotFoundError:
            missing.append(digest)
        if progress is not None:
            progress(done, len(named))
    facts = {"form": FORM, "software": f"fairtank {__version__}", "made_at": timezone.now().isoformat(timespec="seconds"),
             "photos": len(named), "missing": missing, "digests": digests,
             "steps": sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())}
    _put(archive, FACTS_FILE, iter([json.dumps(facts, indent=1).encode()]), _ROWS_PACKED)
    return len(named) - len(missing), missing


def database_copied(place: Path) -> list[str]:
    """Copy the SQLite database as it is at one moment, and read from the copy which photos it names."""
    connection.ensure_connection()
    if connection.in_atomic_block:  # it would wait for itself for ever
        raise JobError("A backup cannot be made in the middle of a change.")
    with sqlite3.connect(place) as copy:
        source: Any = connection.connection
        source.backup(copy, pages=2000, sleep=0.01)
        copy.execute("PRAGMA journal_mode=DELETE")
        for label in LEFT_OUT:
            copy.execute(f'DELETE FROM "{apps.get_model(label)._meta.db_table}"')
        named = {row[0] for row in copy.execute("SELECT sha256 FROM records_photo UNION SELECT sha256 FROM records_stroke")}
        for (before,) in copy.execute("SELECT c.before FROM records_change c JOIN records_photo p ON p.id = c.row "
                                      "WHERE c.kind = 'photo' AND c.verb = 'remove' AND p.removed_at IS NOT NULL"):
            named |= {stroke["sha256"] for stroke in json.loads(before).get("strokes", ())}
    copy.close()
    return sorted(named)


def models_kept() -> list[type[Any]]:
    """Every kind of row that a backup holds, those first to which others refer."""
    kept = [model for model in apps.get_models() if model._meta.label_lower not in LEFT_OUT and model._meta.managed]
    return list(serializers.sort_dependencies([(None, kept)], allow_cycles=True))


def _rows(model: type[Any]) -> Iterator[bytes]:
    """Every row as a line of JSON."""
    for row in model._base_manager.order_by("pk").iterator(chunk_size=2000):
        yield serializers.serialize("jsonl", [row]).encode()


def _chunks(place: Path) -> Iterator[bytes]:
    with place.open("rb") as file:
        while chunk := file.read(_CHUNK_BYTES):
            yield chunk


def _put(archive: zipfile.ZipFile, name: str, chunks: Iterator[bytes], packed: int) -> str:
    """Write one file of the archive piece by piece; its digest. A file that is not there leaves nothing behind."""
    told, first = hashlib.sha256(), next(chunks, b"")
    entry = zipfile.ZipInfo(name, _ZIP_DATE)
    entry.compress_type, entry.external_attr = packed, 0o600 << 16
    entry._compresslevel = _LEVEL  # type: ignore[attr-defined]
    with archive.open(entry, "w", force_zip64=True) as file:
        for chunk in chain([first], chunks):
            told.update(chunk)
            file.write(chunk)
    return told.hexdigest()
