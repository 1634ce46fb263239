"""A small trial on the shelf with readings, photos and events, for tests of what is kept."""

import atexit
import shutil
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from tests.records.photo_trials import Shape, photo_trial


@pytest.fixture
def filed_shelf(_database: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty shelf whose database is a file of its own, without a transaction around the test: it can be copied and replaced."""
    from django.conf import settings
    from django.db import connections
    from django.db.backends.sqlite3.base import DatabaseWrapper

    from fairtank.records.database import _made_at_once

    data = tmp_path / "data"
    (data / "photos").mkdir(parents=True)
    (data / "derived").mkdir()
    monkeypatch.setattr(settings, "DATA", data)
    monkeypatch.setattr(settings, "MIGRATION_MODULES", {})  # the steps are noted as done, so that the commands take it for theirs
    before = connections["default"]
    own = DatabaseWrapper({**before.settings_dict, "NAME": str(data / "shelf.sqlite3"), "OPTIONS": {
        "transaction_mode": "IMMEDIATE", "init_command": "PRAGMA journal_mode=WAL; PRAGMA foreign_keys=ON; PRAGMA synchronous=OFF;"}})
    connections["default"] = own
    try:
        _made_at_once()
        yield data
    finally:
        own.close()
        connections["default"] = before


def shelved(tmp_path: Path):
    """A trial with four photos, a picture of strokes, readings and events."""
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=shutil.copytree(made_once(), tmp_path / "photographed"), by=KEEPER)


@cache
def made_once() -> Path:
    """The folder of that trial, made once per process beside the folders of the tests."""
    place = Path(tempfile.mkdtemp(prefix="fairtank-shelved-"))
    atexit.register(shutil.rmtree, place, ignore_errors=True)
    root = photo_trial(place / "photographed", Shape(days=(0, 7), mode="fixed", painted=(("T1", 7),)))
    plan = (root / "trial.toml").read_text(encoding="utf-8")
    start = next(line.split("=")[1].strip() for line in plan.splitlines() if line.startswith("start"))
    readings = f"unit,taken_at,quantity,value\nT1,{start}T18:00:00,ph,6.8\nT2,{start}T18:00:00,ph,6.9\n"
    (root / "readings.csv").write_text(readings, encoding="utf-8")
    (root / "events.csv").write_text(f"units,at,kind,note\nT1,{start}T09:00:00,pump,stood still\n", encoding="utf-8")
    return root


def photo_place(trial, number: int = 0) -> Path:
    """Where the bytes of one of its photos lie."""
    from fairtank.records.models import Photo
    from fairtank.records.shelf_photos import photo_files

    return photo_files().path_of(Photo.objects.filter(trial=trial)[number].sha256)


def damage(place: Path) -> None:
    """Turn over one bit in the middle of a file."""
    place.chmod(0o600)
    content = bytearray(place.read_bytes())
    content[len(content) // 2] ^= 1
    place.write_bytes(content)
