"""Once a day: what is long over, long taken away or expired is forgotten."""

import shutil
import time
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

from django.conf import settings

from fairtank.errors import FairtankError
from fairtank.records.database import database_told
from fairtank.records.jobs.packed import INTAKE
from fairtank.records.jobs.recovery import old_forgotten
from fairtank.records.models import Job
from fairtank.records.models.jobs import OVER
from fairtank.records.services.shelf_settings import BACKUPS
from fairtank.records.services.trash import trash_empty

_DAY_S = 24 * 3600.0


def tidied_daily() -> bool:
    """Tidy the shelf, unless that was done within the last day.

    Returns
    -------
    bool
        Whether it was done now. What could not be done, because the disk is full or the database busy, waits for tomorrow.

    References
    ----------
    common_practice (keys from sources.py).
    """
    mark = Path(settings.DATA) / "derived" / "tidied"
    if mark.exists() and 0 <= time.time() - mark.stat().st_mtime < _DAY_S:
        return False
    try:
        mark.touch()
        with database_told():
            old_forgotten()
            trash_empty()
            leftovers_delete()
            import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()
    except (FairtankError, OSError):
        pass
    return True


def leftovers_delete() -> int:
    """Delete what killed processes left half done for longer than a day: packed trials nobody will take in, uploads, drafts of backups.

    Returns
    -------
    int
        How many files and folders.

    References
    ----------
    common_practice (keys from sources.py).
    """
    before, count = time.time() - _DAY_S, 0
    for place in list(_leftovers()):
        if place.lstat().st_mtime < before:
            count += 1
            if place.is_dir() and not place.is_symlink():
                shutil.rmtree(place, ignore_errors=True)
            else:
                place.unlink(missing_ok=True)
    return count


def _leftovers() -> Iterator[Path]:
    data = Path(settings.DATA)
    wanted = {given.get("path") for given in Job.objects.filter(kind="import").exclude(state__in=OVER).values_list("given", flat=True)}
    yield from (place for place in (data / INTAKE).glob("*") if str(place) not in wanted)
    yield from (data / "derived").glob(".backup-*")
    yield from (data / BACKUPS).glob(".*.partial")
    yield from (data / "derived" / "uploads").glob("*.upload*")
