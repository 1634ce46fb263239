"""Once a day: what is long over, long taken away or expired is forgotten."""

import time
from importlib import import_module
from pathlib import Path

from django.conf import settings

from fairtank.errors import FairtankError
from fairtank.records.database import database_told
from fairtank.records.jobs.recovery import old_forgotten
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
            import_module(settings.SESSION_ENGINE).SessionStore.clear_expired()
    except (FairtankError, OSError):
        pass
    return True
