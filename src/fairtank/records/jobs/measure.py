"""The photos measured: values and quality as rows, photo by photo, and the tables that `fairtank measure` writes."""

from typing import Any

from fairtank.records.exporters.measures import measures_text, quality_text
from fairtank.records.folder import read_folder
from fairtank.records.jobs.progress import Progress
from fairtank.records.jobs.stored import RowStore
from fairtank.records.models import Job
from fairtank.records.services.answers import answer_keep, measured_keep
from fairtank.records.services.measuring import MeasuredTrial, folder_measure
from fairtank.records.services.trials import MEASURES_FILE, QUALITY_FILE, result_write
from fairtank.records.services.working import opened, out_of
from fairtank.records.store import store_of
from fairtank.trial import QUALITIES, TrialFolder


def measure(job: Job, moves: Progress) -> dict[str, Any]:
    """Measure what is not measured yet; what was stored when it stops is kept."""
    trial = job.trial
    assert trial is not None
    with opened(trial, "jobs") as root:
        revision, folder = trial.revision, read_folder(root)
        store = RowStore(store_of(root, out_of(trial)).root, trial=trial)

        def move(done: int, total: int, stored: int = 0) -> None:
            store.rows_keep()
            moves(done, total, stored)

        try:
            measured = folder_measure(folder=folder, store=store, progress=move)
        finally:
            store.rows_keep(at_once=True)
        measured_keep(trial=trial, measured=measured.measured, qualities=measured.qualities)
        result_write(out_of(trial) / MEASURES_FILE, measures_text(measured.measured))
        result_write(out_of(trial) / QUALITY_FILE, quality_text(measured.qualities))
    answer_keep(trial=trial, kind="measure", revision=revision, content=measured_facts(folder, measured), digest=folder.digest)
    return {"photos": len(measured.qualities), "fresh": measured.fresh}


def measured_facts(folder: TrialFolder, measured: MeasuredTrial) -> dict[str, Any]:
    """What pages tell about the measuring: photos in all, in which quality, measured just now; what was read besides or left out."""
    counts = {quality: sum(one.quality == quality for one in measured.qualities) for quality in QUALITIES}
    return {"photos": len(folder.photos), "measured": len(measured.qualities), "fresh": measured.fresh, "qualities": counts,
            "cautions": [*folder.cautions, *measured.cautions]}
