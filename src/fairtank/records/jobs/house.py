"""Work for the whole shelf: a backup into the data folder, and a look at whether everything is as it was kept."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.backing_up import shelf_backed_up, shelf_backup
from fairtank.records.services.checking import shelf_check
from fairtank.records.services.shelf_settings import BACKUPS


def backup(job: Job, moves: Progress) -> dict[str, Any]:
    """Write one file with everything. The result: `file`, its name among the backups, its size, and which photos are gone.

    All attempts of one piece of work write the same file: one that was killed when it lay there, before it could say so, is believed.
    """
    name = f"fairtank-{job.begun_at or timezone.now():%Y-%m-%d-%H%M%S}-{job.pk}.zip"
    path = Path(settings.DATA) / BACKUPS / name
    for draft in path.parent.glob(f".{name}.*.partial"):
        draft.unlink(missing_ok=True)
    written = shelf_backed_up(path) or shelf_backup(path=path, progress=moves)
    return {"file": name, "size_bytes": written.size_bytes, "photos": written.photos, "missing": list(written.missing)}


def check(job: Job, moves: Progress) -> dict[str, Any]:
    """Look at every photo and every row. The result: `faults` and `notes`, sentences, and what was counted."""
    found = shelf_check(progress=moves)
    return {"faults": list(found.faults), "notes": list(found.notes), "counts": found.counts}
