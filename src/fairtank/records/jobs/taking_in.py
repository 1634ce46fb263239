"""A trial folder, or one packed as a ZIP file, that lies on disk is taken onto the shelf."""

import shutil
from pathlib import Path
from typing import Any

from django.conf import settings

from fairtank.errors import FairtankError, InputError
from fairtank.records.folder.problems import shown
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.zipped import folder_at
from fairtank.records.jobs.packed import INTAKE
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job, Trial
from fairtank.records.services.importing import trial_import
from fairtank.records.services.trail import By


def take_in(job: Job, moves: Progress) -> dict[str, Any]:
    """Take it in; given: `path`, and if wanted `title`, `origin`, `is_example`, and `is_ours`: what lies there was put there for this and
    goes away, also where it is refused.

    The result: `trial`, its word in addresses.
    """
    given = job.given
    place = Path(given["path"])
    if job.trial is not None:  # an earlier attempt said so and was killed before the end: what it took in may have been put away already
        _put_away(place, given)
        return {"trial": job.trial.slug}
    intake = Path(settings.DATA) / INTAKE
    try:
        intake.mkdir(parents=True, exist_ok=True, mode=0o700)
        with folder_at(place, beside=intake) as root:  # what a killed attempt leaves there is tidied
            trial = _taken_in_before(job, root) or trial_import(
                root=root, by=By(job.by or "keeper", job.user), progress=moves, title=given.get("title", ""),
                origin=given.get("origin", ""), is_example=bool(given.get("is_example")), owner=job.user)
    except FairtankError as error:
        _put_away(place, given)
        if given.get("is_ours") and isinstance(error, InputError) and error.value == place:  # the keeper knows it by another name
            called = f"{given['origin']}.zip" if given.get("origin") else "the file"
            raise InputError(error.name, shown(called), error.accepted, error.hint) from error
        raise
    Job.objects.filter(pk=job.pk).update(trial=trial, subject=str(trial)[:300])
    _put_away(place, given)
    return {"trial": trial.slug}


def _put_away(place: Path, given: dict[str, Any]) -> None:
    if given.get("is_ours"):
        if place.is_dir():
            shutil.rmtree(place)
        else:
            place.unlink(missing_ok=True)


def _taken_in_before(job: Job, root: Path) -> Trial | None:
    """The trial that an earlier attempt had taken in when it was killed, before it could say so."""
    if job.attempts < 2:
        return None
    plan = (root / PLAN_FILE).read_bytes()
    lately = Trial.objects.filter(created_at__gte=job.begun_at, jobs=None)
    return next((trial for trial in lately if trial.documents.filter(path=PLAN_FILE, content=plan).exists()), None)
