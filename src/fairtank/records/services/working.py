"""A trial of the shelf as a folder on disk, so that everything which works on a folder works for the pages too.

The folder lies among what can be made again. It is brought in step with the rows before it is used; what a service changes in it is read
back, checked as any folder is, and stored in one step. Pages and the worker each have their own, so that neither waits for the other.
Photos that wait for a frame are left out of it.
"""

import json
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from fairtank.errors import DesignError
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.reader import read_folder
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.locks import locked
from fairtank.records.models import Document, Photo, Stroke, Trial
from fairtank.records.rows.framed import photos_without_frame
from fairtank.records.rows.kinds import FILE_FIELDS, KINDS
from fairtank.records.rows.plan import plan_rows_store
from fairtank.records.rows.texts import texts_of
from fairtank.records.services.importing import ORDER, strokes_store, table_store
from fairtank.records.services.trail import By, noted
from fairtank.records.shelf_photos import photo_files
from fairtank.records.writing import bytes_write

FOLDER, OUT = "folder", "out"
_STATE = "state.json"
_PHOTO_FILE = KINDS["photos"].table.file


def place_of(trial: Trial, purpose: str = "pages") -> Path:
    """Where what is derived from a trial lies; purpose: `pages` or `jobs`."""
    return Path(settings.DATA) / "derived" / "trials" / str(trial.uid) / purpose


def out_of(trial: Trial, purpose: str = "jobs") -> Path:
    """Where a trial's results lie: findings, report, tables of measured values."""
    return place_of(trial, purpose) / OUT


@contextmanager
def opened(trial: Trial, purpose: str = "pages") -> Iterator[Path]:
    """The trial's folder, in step with the rows, for reading; nobody else changes it meanwhile.

    Parameters
    ----------
    trial : Trial
    purpose : str
        `pages` or `jobs`.

    References
    ----------
    common_practice (keys from sources.py).
    """
    place = place_of(trial, purpose)
    with locked(place / "lock"):
        _bring_in_step(trial, place)
        yield place / FOLDER


@contextmanager
def changing(*, trial: Trial, by: By, verb: str, said: str) -> Iterator[Path]:
    """The trial's folder for a service that changes it; at the end of the block its changes are the trial's.

    Nothing is stored when the block fails or leaves a folder that cannot be read as a trial. A plan that is not there yet is in order.

    Parameters
    ----------
    trial : Trial
    by : By
    verb, said : str
        For the trail; see `noted`.

    Raises
    ------
    FolderError
        If the folder has problems afterwards.
    DesignError
        If the list of photos was changed, which only the services of photos may.

    References
    ----------
    common_practice (keys from sources.py).
    """
    place = place_of(trial)
    with locked(place / "lock"):
        _bring_in_step(trial, place)
        (place / _STATE).unlink()  # what is half done is not taken for the trial
        before = _files(place / FOLDER)
        yield place / FOLDER
        after = _files(place / FOLDER)
        changed = {path: after.get(path) for path in {*before, *after} if before.get(path) != after.get(path)}
        with transaction.atomic():
            if changed:
                _take_back(trial, place / FOLDER, changed)
            noted(by=by, verb=verb, said=said, trial=trial, row=trial)
    trial.refresh_from_db()


def _take_back(trial: Trial, root: Path, changed: dict[str, bytes | None]) -> None:
    if _PHOTO_FILE in changed:
        raise DesignError("The list of photos is changed by adding and taking away photos, not in the folder.")
    for path, content in changed.items():
        if content is None:
            Document.objects.filter(trial=trial, path=path).delete()
        else:
            Document.objects.update_or_create(trial=trial, path=path, defaults={"content": content, "is_table": path in FILE_FIELDS})
    if not (root / PLAN_FILE).exists():
        return
    folder = read_folder(root, reworded=with_arms)
    plan_rows_store(trial, (root / PLAN_FILE).read_text(encoding="utf-8-sig"), folder.seal, folder.draws)
    fields = {FILE_FIELDS[path] for path in changed if path in FILE_FIELDS}
    for field in ORDER:
        if field in fields:
            KINDS[field].model._base_manager.filter(trial=trial).delete()
            table_store(trial, folder, field)
    if any(label.path in changed for label in folder.labels) or any(path.startswith("labels/") for path in changed):
        Stroke.objects.filter(trial=trial).delete()
        strokes_store(trial, folder)


def _files(root: Path) -> dict[str, bytes]:
    """Path -> content of every file that is no photo and not hidden."""
    found: dict[str, bytes] = {}
    for folder, folders, names in os.walk(root):
        here = Path(folder)
        folders[:] = [name for name in folders if not name.startswith(".") and not (here == root and name in ("photos", OUT))]
        for name in names:
            place = here / name
            path = place.relative_to(root).as_posix()
            if not name.startswith(".") and not place.is_symlink() and (place.suffix.lower() in _TEXTS or path.startswith("labels/")):
                found[path] = place.read_bytes()
    return found


_TEXTS = (".toml", ".csv", ".json", ".md", ".txt")


def _bring_in_step(trial: Trial, place: Path) -> None:
    """Write what differs between the rows and the folder; which revision the folder shows is kept beside it."""
    trial.refresh_from_db(fields=["revision"])
    root, state = place / FOLDER, _state(place)
    if state.get("revision") == trial.revision and root.is_dir():
        return
    (place / _STATE).unlink(missing_ok=True)
    root.mkdir(parents=True, exist_ok=True)
    with transaction.atomic():
        trial.refresh_from_db(fields=["revision"])
        waiting = photos_without_frame(trial)
        texts = texts_of(trial, waiting)
        pictures = {path: sha256 for key, path, sha256 in Photo.objects.filter(trial=trial).values_list("pk", "path", "sha256")
                    if key not in waiting}
        pictures |= {stroke.path: stroke.sha256 for stroke in Stroke.objects.filter(trial=trial) if stroke.photo_id not in waiting}
    before: dict[str, str] = state.get("files", {})
    now = {path: digest_of_bytes(content) for path, content in texts.items()} | pictures
    for path in _all_files(root) - set(now):
        (root / path).unlink()
    for path, digest in now.items():
        if before.get(path) != digest or not (root / path).is_file():
            _put(root / path, texts.get(path), digest)
    bytes_write(place / _STATE, json.dumps({"revision": trial.revision, "files": now}).encode())


def _state(place: Path) -> dict[str, Any]:
    try:
        state: dict[str, Any] = json.loads((place / _STATE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return state


def _all_files(root: Path) -> set[str]:
    """Every file but hidden ones and results."""
    found = set()
    for folder, folders, names in os.walk(root):
        here = Path(folder)
        folders[:] = [name for name in folders if not name.startswith(".") and not (here == root and name == OUT)]
        found |= {(here / name).relative_to(root).as_posix() for name in names if not name.startswith(".")}
    return found


def _put(place: Path, content: bytes | None, digest: str) -> None:
    """A text written whole, or a photo linked from the store of photos (copied where links cannot be had)."""
    if content is not None:
        bytes_write(place, content)
        return
    source = photo_files().path_of(digest)
    place.parent.mkdir(parents=True, exist_ok=True)
    place.unlink(missing_ok=True)
    try:
        os.link(source, place)
    except OSError:
        shutil.copyfile(source, place)
