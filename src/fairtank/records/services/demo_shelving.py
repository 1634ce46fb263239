"""A demo folder that was measured and judged, taken onto the shelf with its results, so that its pages are there at once."""

import os
import shutil
from datetime import date
from pathlib import Path

from fairtank.records.jobs.judge import judged_keep
from fairtank.records.jobs.measure import measured_facts
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Result, Trial
from fairtank.records.services.answers import answer_keep
from fairtank.records.services.importing import Progress, trial_import
from fairtank.records.services.trail import KEEPER
from fairtank.records.services.trash import trial_forget
from fairtank.records.services.trials import JudgedTrial
from fairtank.records.services.working import opened
from fairtank.records.store import FOLDER_NAME

# What the worker makes of it, as soon as there is one.
_LATER = ("even", "watch", "report")


def demo_shelve(*, root: Path, judged: JudgedTrial, progress: Progress | None = None) -> Trial:
    """Take a demo folder in as an invented example; the one of the same name that is there stays if nothing has changed, else it goes.

    Parameters
    ----------
    root : Path
        The folder.
    judged : JudgedTrial
        What was found in it just now.
    progress : function of photos done and in all, optional

    Returns
    -------
    Trial

    References
    ----------
    common_practice (keys from sources.py).
    """
    for there in Trial.everything.filter(is_example=True, origin=root.name):
        if there.removed_at is None and Result.objects.filter(trial=there, kind="judge", digest=judged.folder.digest).exists():
            return there
        trial_forget(there)
    trial, today = trial_import(root=root, by=KEEPER, progress=progress, is_example=True), date.today()
    with opened(trial, "jobs") as folder:
        _store_shared(root / FOLDER_NAME, folder / FOLDER_NAME)
    answer_keep(trial=trial, kind="measure", revision=trial.revision, content=measured_facts(judged.folder, judged.measured),
                digest=judged.folder.digest)
    judged_keep(trial, judged, trial.revision, today)
    for kind in _LATER:
        enqueue(kind=kind, by=KEEPER, trial=trial)
    return trial


def _store_shared(source: Path, target: Path) -> None:
    """What was measured, linked where the disk can, so that nothing is measured twice."""
    if source.is_dir():
        shutil.copytree(source, target, copy_function=_linked, dirs_exist_ok=True)


def _linked(source: str, target: str) -> str:
    try:
        os.link(source, target)
    except OSError:
        shutil.copyfile(source, target)
    return target
