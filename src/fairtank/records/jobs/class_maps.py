"""What was counted as what on every usable photo, kept as small pictures of classes for the pages to lay over the photos."""

import io
from pathlib import Path
from typing import Any

import numpy as np

from fairtank.records.folder import read_folder
from fairtank.records.jobs.progress import Progress
from fairtank.records.models import Job, Trial
from fairtank.records.services.answers import answer_keep, measured_keep
from fairtank.records.services.maps import scenes_of
from fairtank.records.services.measuring import folder_measure
from fairtank.records.services.teaching import NOT_COUNTED
from fairtank.records.services.working import opened, out_of
from fairtank.records.store import store_of
from fairtank.records.writing import bytes_write

FOLDER = "classes"


def class_maps(job: Job, moves: Progress) -> dict[str, Any]:
    """Draw the classes of every usable photo that was measured; what was drawn for the same values is kept."""
    trial = job.trial
    assert trial is not None
    with opened(trial, "jobs") as root:
        revision, folder = trial.revision, read_folder(root)
        store = store_of(root, out_of(trial))
        measured = folder_measure(folder=folder, store=store, progress=moves)
        measured_keep(trial=trial, measured=measured.measured, qualities=measured.qualities)
        versions = {quality.photo: quality.version for quality in measured.qualities}
        drawn = 0
        for photo, scene in scenes_of(folder, store, measured):
            place = map_place(trial, folder.file_digests[photo.path], versions[photo.path])
            if not place.exists():
                classes = scene.classes.copy()
                classes[~scene.view.counted] = NOT_COUNTED
                bytes_write(place, _as_png(classes))
            drawn += 1
            moves(drawn, len(folder.photos))
    answer_keep(trial=trial, kind="maps", revision=revision, content={"photos": drawn}, digest=folder.digest)
    return {"photos": drawn}


def map_place(trial: Trial, sha256: str, version: str) -> Path:
    """Where the classes of a photo lie, whether they were drawn or not."""
    return out_of(trial) / FOLDER / version / f"{sha256}.png"


def classes_drawn(trial: Trial, sha256: str, version: str) -> np.ndarray | None:
    """The classes of a photo in its frame; None where they were not drawn."""
    from PIL import Image

    try:
        with Image.open(map_place(trial, sha256, version), formats=("PNG",)) as picture:
            return np.asarray(picture.convert("L"))
    except OSError:
        return None


def _as_png(classes: np.ndarray) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(classes).save(out, "PNG")
    return out.getvalue()
