"""The keeper's choices are written down, and what lies in the data folder is measured."""

import os
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Count, Sum

from fairtank.errors import InputError
from fairtank.records.models import Photo, Setting
from fairtank.records.selectors.preferences import CHOICES, KEEPER_NAME, KEYS, is_choice, preferences
from fairtank.records.services.trail import By, noted

LONGEST_NAME = 60
BACKUPS = "backups"
_CALLED = {"keeper_name": "your name", "measures": "the units of measure", "temperature": "the unit of temperature",
           "keep_gps": "whether photos keep the place where they were taken"}


def preferences_store(*, by: By, given: Mapping[str, Any]) -> tuple[str, ...]:
    """Keep choices; what is the same as before is left as it is.

    Parameters
    ----------
    by : By
    given : mapping
        Choices by the names of `Preferences`; an empty name of the keeper takes the choice back.

    Returns
    -------
    tuple of str
        What was changed, in words.

    Raises
    ------
    InputError
        If there is no such choice, or nothing that can be chosen was given.

    References
    ----------
    common_practice (keys from sources.py).
    """
    wanted = {key: _checked(key, value) for key, value in given.items()}
    before, changed = preferences(), list[str]()
    with transaction.atomic():
        for key, value in wanted.items():
            was = getattr(before, key)
            if value == was:
                continue
            row, _ = Setting.objects.update_or_create(key=key, defaults={"value": value})
            noted(by=by, verb="change", said=f"Changed {_CALLED[key]}.", row=row, before={"value": was})
            changed.append(_CALLED[key])
    return tuple(changed)


def _checked(key: str, value: Any) -> Any:
    if key not in KEYS:
        raise InputError("the choice", key, f"one of {', '.join(KEYS)}")
    if key == "keeper_name":
        plain = " ".join(str(value).split()) or KEEPER_NAME
        if len(plain) > LONGEST_NAME or not plain.isprintable():
            what = f"{len(plain)} characters long" if plain.isprintable() else "one with a character that cannot be shown"
            raise InputError("The name", what, f"up to {LONGEST_NAME} characters that can be shown")
        return plain
    if not is_choice(key, value):
        raise InputError(_CALLED[key], value, " or ".join(str(one) for one in CHOICES[key]))
    return value


@dataclass(frozen=True)
class DataFolder:
    """Where the data lie, and how large they are.

    database_bytes: 0 where the rows lie on a server of their own. photos_bytes: as the rows tell it; a photo that two trials have counts
    twice. backups_bytes: of the backups that lie here. free_bytes: left on the disk.
    """

    place: Path
    database_bytes: int
    photos: int
    photos_bytes: int
    backups_bytes: int
    free_bytes: int


def data_measured() -> DataFolder:
    """How much room the shelf takes. What can be made again is not counted.

    Returns
    -------
    DataFolder

    References
    ----------
    common_practice (keys from sources.py).
    """
    place = Path(settings.DATA)
    own = [place / f"shelf.sqlite3{end}" for end in ("", "-wal")] if connection.vendor == "sqlite" else []
    told = Photo.everything.aggregate(count=Count("pk"), size=Sum("size_bytes"))
    return DataFolder(place, sum(file.stat().st_size for file in own if file.is_file()), told["count"], told["size"] or 0,
                      sum(size for _, size, _ in backups_kept()), shutil.disk_usage(place).free)


def backups_kept() -> list[tuple[str, int, float]]:
    """Name, size and time of the backups in the data folder, the latest first."""
    place = Path(settings.DATA) / BACKUPS
    found = [entry for entry in os.scandir(place) if entry.is_file() and entry.name.endswith(".zip")] if place.is_dir() else []
    told = [(entry.name, entry.stat().st_size, entry.stat().st_mtime) for entry in found if not entry.name.startswith(".")]
    return sorted(told, key=lambda one: one[2], reverse=True)
