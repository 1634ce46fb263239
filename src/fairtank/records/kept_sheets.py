"""A table between choosing it and storing its readings: kept for an hour among what can be made again, under a name drawn by lot.

Its name is no secret by itself: who brought it and for which trial are kept beside it, and nobody else gets it back.
"""

import hashlib
import json
import os
import re
import secrets
import time
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from fairtank.errors import InputError
from fairtank.records.folder.paths import CSV_LIMIT_BYTES
from fairtank.records.models import Trial
from fairtank.records.services.trail import By
from fairtank.records.writing import bytes_write

LASTS_S = 3600.0
# Of one visitor and trial at a time; older ones make way.
MOST_KEPT = 5
LONGEST_NAME = 120
_KEY = re.compile(r"[A-Za-z0-9_-]{16}", re.ASCII)
_START, _END = "readings-", ".sheet"


@dataclass(frozen=True)
class KeptSheet:
    """A table as it came. key: its name here. name: of the file; empty for pasted cells. content: bytes of a file, or pasted text."""

    key: str
    name: str
    content: bytes | str


def sheet_keep(*, trial: Trial, by: By, name: str, content: bytes | str) -> str:
    """Keep a table for an hour; gives the key under which it can be had again.

    Raises
    ------
    InputError
        If it is larger than a table of readings can be.
    """
    raw = content.encode("utf-8", "replace") if isinstance(content, str) else content
    if len(raw) > CSV_LIMIT_BYTES:
        raise InputError("the table", f"{len(raw) / 1e6:.0f} MB large", f"at most {CSV_LIMIT_BYTES / 1e6:.0f} MB",
                         "Part it, and bring in one part after the other.")
    key = secrets.token_urlsafe(12)
    head = json.dumps({"whose": _whose(trial, by), "name": Path(name).name[:LONGEST_NAME], "is_text": isinstance(content, str)})
    _tidy(_whose(trial, by))
    bytes_write(_place(key), head.encode() + b"\n" + raw)
    return key


def sheet_kept(*, trial: Trial, by: By, key: str) -> KeptSheet | None:
    """A table that was kept; None where it is over, was never there, or is somebody else's."""
    if not _KEY.fullmatch(key):
        return None
    place = _place(key)
    try:
        if time.time() - place.stat().st_mtime > LASTS_S:
            return None
        line, _mark, raw = place.read_bytes().partition(b"\n")
        head = json.loads(line)
    except (OSError, ValueError):
        return None
    if head.get("whose") != _whose(trial, by):
        return None
    return KeptSheet(key, head["name"], raw.decode("utf-8", "replace") if head["is_text"] else raw)


def sheet_forget(key: str) -> None:
    """Throw a table away."""
    if _KEY.fullmatch(key):
        _place(key).unlink(missing_ok=True)


def _place(key: str) -> Path:
    return _folder() / f"{_START}{key}{_END}"


def _folder() -> Path:
    return Path(settings.DATA) / "derived" / "uploads"


def _whose(trial: Trial, by: By) -> str:
    """Whose table for which trial, so that nothing of it can be read off the file's head."""
    user = "" if by.user is None else str(by.user.pk)
    return hashlib.sha256(f"{trial.uid} {by.name} {user}".encode()).hexdigest()


def _tidy(whose: str) -> None:
    """Throw away what is over, and of the same visitor all but the newest few."""
    now, own = time.time(), list[tuple[float, Path]]()
    for entry in os.scandir(_folder()) if _folder().is_dir() else ():
        if not (entry.name.startswith(_START) and entry.name.endswith(_END)):
            continue
        try:
            changed = entry.stat().st_mtime
            with open(entry.path, "rb") as file:
                is_own = whose.encode() in file.readline(1000)
        except OSError:
            continue
        if now - changed > LASTS_S:
            Path(entry.path).unlink(missing_ok=True)
        elif is_own:
            own.append((changed, Path(entry.path)))
    for _changed, place in sorted(own, reverse=True)[MOST_KEPT - 1 :]:
        place.unlink(missing_ok=True)
