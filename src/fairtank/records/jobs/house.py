"""Work for the whole shelf: a backup into the data folder, and a look at whether everything is as it was kept."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job
from fairtank.records.services.backing_up import shelf_backup
from fairtank.records.services.checking import shelf_check
from fairtank.records.services.shelf_settings import BACKUPS


def backup(job: Job, moves: Progress) -> dict[str, Any]:
    """Write one file with everything. The result: `file`, its name among the backups, its size, and which photos are gone."""
    name = f"fairtank-{timezone.now():%Y-%m-%d-%H%M%S}-{job.pk}.zip"
    written = shelf_backup(path=Path(settings.DATA) / BACKUPS / name, progress=moves)
    return {"file": name, "size_bytes": written.size_bytes, "photos": written.photos, "missing": list(written.missing)}


def check(job: Job, moves: Progress) -> dict[str, Any]:
    """Look at every photo and every row. The result: `faults` and `notes`, sentences, and what was counted."""
    found = shelf_check(progress=moves)
    return {"faults": list(found.faults), "notes": list(found.notes), "counts": found.counts}
