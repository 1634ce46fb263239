"""A backup taken back: everything in it is checked before anything is put in place, and what was there before is kept beside."""

import hashlib
import json
import os
import re
import secrets
import shutil
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from glob import escape
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.core import serializers
from django.core.management.color import no_style
from django.db import DatabaseError, connection, connections, transaction
from django.db.migrations.loader import MigrationLoader

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.places import READY_END, SECRET_FILE
from fairtank.records.database import PAGES_LOCK, tables_ready
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES
from fairtank.records.folder.zipped import ZIP_FAULTS
from fairtank.records.locks import locked
from fairtank.records.models import Material, Photo, Tank, Trial
from fairtank.records.photo_files import PhotoFiles
from fairtank.records.services.backing_up import DATABASE_FILE, FACTS_FILE, FORM, PHOTOS_FOLDER, ROWS_FOLDER, models_kept

_ARGUMENT, _ACCEPTED = "the backup", "a file that fairtank backup wrote"
_MOST_PHOTOS, _MOST_FACTS_BYTES, _CHUNK_BYTES, _BATCH = 5_000_000, 64_000_000, 1 << 20, 500
_NAMES = re.compile(rf"{re.escape(FACTS_FILE)}|{re.escape(DATABASE_FILE)}|{ROWS_FOLDER}[a-z_]+\.[a-z_]+\.jsonl|"
                    rf"{PHOTOS_FOLDER}[0-9a-f]{{64}}")


@dataclass(frozen=True)
class Restored:
    """A backup that is in place. made_at: when it was made; kept: where what was there before lies, None where there was nothing; missing:
    how many photos were missing already when it was made."""

    made_at: str
    trials: int
    photos: int
    kept: Path | None
    missing: int


def shelf_restore(*, path: Path, replace: bool = False, progress: Callable[[int, int], None] | None = None) -> Restored:
    """Put a backup in the place of the shelf.

    Parameters
    ----------
    path : Path
        Of the backup.
    replace : bool
        Whether a shelf that holds something may give way; it is kept beside.
    progress : function of photos checked and in all, optional

    Returns
    -------
    Restored

    Raises
    ------
    InputError
        If the file is no backup, damaged, or of a newer version; or the shelf is not empty and `replace` was not said.
    JobError
        If the pages are running, or the disk does not take it.

    References
    ----------
    fips180 (keys from sources.py).
    """
    data = Path(settings.DATA)
    if not replace and not _is_empty():
        raise InputError("the shelf", f"not empty ({data})", "an empty shelf, or the word that this one may give way",
                         "Say --replace: what is there now is kept in a folder beside it.")
    coming = data.parent / f".{data.name}.{secrets.token_hex(4)}.coming"
    try:
        with ExitStack() as held:
            _pages_stopped(data, held)
            _leftovers_delete(data)
            facts, photos = _unpacked(path, coming, progress)
            kept = _put_in_place(data, coming)
    except OSError as error:
        raise JobError(f"The backup could not be put in place: {plain_reason(error)}. The shelf is as it was.") from error
    finally:
        shutil.rmtree(coming, ignore_errors=True)
    tables_ready()
    return Restored(facts["made_at"], Trial.objects.count(), photos, kept, len(facts["missing"]))


def _leftovers_delete(data: Path) -> None:
    """Delete what a restore left beside the data folder that was killed before it put anything in place."""
    for place in [one for end in (".coming", READY_END) for one in data.parent.glob(f".{escape(data.name)}.*{end}")]:
        shutil.rmtree(place, ignore_errors=True)


def _pages_stopped(data: Path, held: ExitStack) -> None:
    """Nobody shows the pages, and nobody will until it is done."""
    try:
        held.enter_context(locked(data / PAGES_LOCK, patience_s=0))
    except JobError as error:
        raise JobError("The pages of this shelf are running. Stop them (Ctrl-C where they were started), then restore again.") from error


def _is_empty() -> bool:
    """Whether nothing of a keeper's lies on the shelf."""
    return not any(model.everything.exists() for model in (Trial, Photo, Tank, Material))


def _unpacked(path: Path, coming: Path, progress: Callable[[int, int], None] | None) -> tuple[dict[str, Any], int]:
    """Everything out of the file into a folder of its own, each piece compared with its digest."""
    try:
        with zipfile.ZipFile(path) as archive:
            entries = _entries(archive, path, coming)
            facts = _facts(archive, path)
            tables = [name for name in entries if not name.startswith(PHOTOS_FOLDER) and name != FACTS_FILE]
            if set(tables) != set(facts["digests"]) or len(entries) - len(tables) - 1 != facts["photos"] - len(facts["missing"]):
                raise _refused(path, "What its list names and what it holds differ.")
            for name in tables:
                _one_out(archive, name, coming / name, facts["digests"][name], path)
            files, digests = PhotoFiles(coming / "photos"), [name for name in entries if name.startswith(PHOTOS_FOLDER)]
            for done, name in enumerate(digests, start=1):
                with archive.open(name) as file:
                    stored = files.put(_chunks(file), called=name, most_bytes=PICTURE_LIMIT_BYTES)
                if stored.sha256 != name.removeprefix(PHOTOS_FOLDER):
                    raise _refused(path, f"The photo {name} in it is not as it was.")
                if progress is not None:
                    progress(done, len(digests))
    except ZIP_FAULTS as error:
        raise _refused(path, "It is damaged, or no backup. Nothing was changed.") from error
    _database_checked(coming, path)
    return facts, len(digests)


def _entries(archive: zipfile.ZipFile, path: Path, coming: Path) -> list[str]:
    """Names of what the file holds, once all of it is known to be of a backup and to find room on the disk."""
    names = [one.filename for one in archive.infolist()]
    if FACTS_FILE not in names or len(names) > _MOST_PHOTOS or len(set(names)) != len(names):
        raise _refused(path, "It is another kind of ZIP file.")
    strange = next((name for name in names if not _NAMES.fullmatch(name)), None)
    if strange is not None:
        raise _refused(path, f"It holds {strange[:80]!a}, which no backup does.")
    size, free = sum(one.file_size for one in archive.infolist()), shutil.disk_usage(coming.parent).free
    if size > free:
        raise JobError(f"The backup needs {size / 1e9:.1f} GB, and {free / 1e9:.1f} GB are free beside {coming.parent}. Make room first.")
    return names


def _facts(archive: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    """What the file says of itself."""
    if archive.getinfo(FACTS_FILE).file_size > _MOST_FACTS_BYTES:
        raise _refused(path, "Its list is too long.")
    try:
        facts: dict[str, Any] = json.loads(archive.read(FACTS_FILE))
        known = {"form": str, "software": str, "made_at": str, "photos": int, "missing": list, "digests": dict, "steps": list}
        if any(not isinstance(facts.get(name), kind) for name, kind in known.items()):
            raise ValueError("a part is missing")
    except (ValueError, AttributeError) as error:
        raise _refused(path, "Its list cannot be read.") from error
    steps = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    newer = [step for step in facts["steps"] if step.startswith("records.") and step not in steps]
    if facts["form"] != FORM or newer:
        raise _refused(path, f"It was made by {facts['software'][:40]}, which is newer than this one. Install that version first.")
    if (DATABASE_FILE in facts["digests"]) and connection.vendor != "sqlite":
        raise _refused(path, "It holds an SQLite database, and this shelf is kept in another one. Restore it without DATABASE_URL.")
    return facts


def _one_out(archive: zipfile.ZipFile, name: str, target: Path, digest: str, path: Path) -> None:
    told = hashlib.sha256()
    target.parent.mkdir(parents=True, exist_ok=True)
    with archive.open(name) as file, target.open("wb") as out:
        for chunk in _chunks(file):
            told.update(chunk)
            out.write(chunk)
        out.flush()
        os.fsync(out.fileno())
    if told.hexdigest() != digest:
        raise _refused(path, f"{name} in it is not as it was.")


def _chunks(file: IO[bytes]) -> Iterator[bytes]:
    while chunk := file.read(_CHUNK_BYTES):
        yield chunk


def _database_checked(coming: Path, path: Path) -> None:
    place = coming / DATABASE_FILE
    if not place.exists():
        return
    try:
        with sqlite3.connect(f"file:{place}?mode=ro", uri=True) as database:
            if database.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
                raise sqlite3.DatabaseError("not whole")
        database.close()
    except sqlite3.DatabaseError as error:
        raise _refused(path, "The database in it is damaged.") from error


def _put_in_place(data: Path, coming: Path) -> Path | None:
    """The new folder in the place of the old one, which is kept beside; or new rows into the database that this shelf uses."""
    was_empty = _is_empty()
    if not (coming / DATABASE_FILE).exists():
        _rows_in(coming)
    if (data / SECRET_FILE).exists():
        shutil.copy2(data / SECRET_FILE, coming / SECRET_FILE)
    shutil.rmtree(coming / "rows", ignore_errors=True)
    os.chmod(coming, 0o700)
    for folder in ("derived/uploads", "photos"):
        (coming / folder).mkdir(parents=True, exist_ok=True, mode=0o700)
    connections.close_all()
    kept = data.parent / f"{data.name}-before-{datetime.now():%Y-%m-%d-%H%M%S}"
    ready = coming.with_suffix(READY_END)
    coming.rename(ready)  # from here on whoever finds no data folder puts this one in its place: see places
    try:
        data.rename(kept)
        try:
            ready.rename(data)
        except OSError:
            kept.rename(data)
            raise
    except OSError:
        shutil.rmtree(ready, ignore_errors=True)
        raise
    if was_empty:
        shutil.rmtree(kept, ignore_errors=True)
    return None if was_empty else kept


def _rows_in(coming: Path) -> None:
    """Rows of a backup in the place of those that are there, all of them or none."""
    tables_ready()
    models = models_kept()
    try:
        with transaction.atomic(), connection.constraint_checks_disabled():
            with connection.cursor() as cursor:
                for sql in connection.ops.sql_flush(no_style(), [model._meta.db_table for model in models], reset_sequences=True,
                                                    allow_cascade=True):
                    cursor.execute(sql)
            for model in models:
                for rows in _batches(coming / f"{ROWS_FOLDER}{model._meta.label_lower}.jsonl"):
                    model._base_manager.bulk_create(rows)
            with connection.cursor() as cursor:
                for sql in connection.ops.sequence_reset_sql(no_style(), models):
                    cursor.execute(sql)
    except (DatabaseError, serializers.base.DeserializationError) as error:
        raise JobError("The rows of the backup do not fit into this database, which is as it was.") from error


def _batches(place: Path) -> Iterator[list[Any]]:
    if not place.exists():
        return
    rows: list[Any] = []
    with place.open(encoding="utf-8") as file:
        for one in serializers.deserialize("jsonl", file):
            rows.append(one.object)
            if len(rows) == _BATCH:
                yield rows
                rows = []
    if rows:
        yield rows


def _refused(path: Path, why: str) -> InputError:
    return InputError(_ARGUMENT, path, _ACCEPTED, why)
