"""What was counted as what, drawn on every usable photo: pictures of the maps, and one page with all of them in line."""

import re
from collections.abc import Iterator
from pathlib import Path

from fairtank.publish.map_wall import MapCell, map_wall_text
from fairtank.records.folder import read_folder
from fairtank.records.services.measuring import MeasuredTrial, Progress
from fairtank.records.services.preparing import task_of
from fairtank.records.services.trials import result_write
from fairtank.records.services.versions import versions_of
from fairtank.records.store import Store, prepared_of
from fairtank.trial import Photo, TrialFolder
from fairtank.vision.classes.classifier import classified
from fairtank.vision.measure import jpeg
from fairtank.vision.overlay import overlay
from fairtank.vision.quality.verdicts import NOT_USABLE
from fairtank.vision.scene import Scene

MAPS_FOLDER, MAPS_PAGE = "maps", "maps.html"
_WIDTH_PX = 480


def maps_write(*, root: Path, out: Path, store: Store, measured: MeasuredTrial, progress: Progress | None = None) -> Path | None:
    """Draw the map of every usable photo of a measured folder.

    Parameters
    ----------
    root : Path
        The trial folder.
    out : Path
        Where `maps/` and `maps.html` are written.
    store : Store
        The one that the folder was measured into.
    measured : MeasuredTrial
        What came of it.
    progress : callable or None
        Called with (photos looked at, photos in all, 0).

    Returns
    -------
    Path or None
        The page; None where nothing was classified.

    Raises
    ------
    JobError
        If a map cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    cells, places = [], {photo: number for number, photo in enumerate(folder.photos, start=1)}
    for photo, scene in scenes_of(folder, store, measured):
        name = f"{MAPS_FOLDER}/{map_name(photo, places[photo])}"
        result_write(out / name, jpeg(overlay(scene, _WIDTH_PX), _WIDTH_PX))
        cells.append(MapCell(photo.unit, photo.day, name, scene.unsure_fraction))
        if progress:
            progress(places[photo], len(folder.photos), 0)
    if not cells:
        return None
    page = out / MAPS_PAGE
    result_write(page, map_wall_text(folder.plan.title, [unit.key for unit in folder.plan.units], cells))
    return page


def map_name(photo: Photo, place: int) -> str:
    """The file name of a photo's map; a unit's key may hold anything, a file name only what is safe everywhere.

    Parameters
    ----------
    photo : Photo
    place : int
        Of the photo in photos.csv, from 1.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    unit = re.sub(r"[^A-Za-z0-9_]+", "-", photo.unit)[:40].strip("-") or "unit"
    return f"{unit}-day-{photo.day}-photo-{place}.jpg"


def scenes_of(folder: TrialFolder, store: Store, measured: MeasuredTrial) -> Iterator[tuple[Photo, Scene]]:
    """Every usable photo of a measured folder with its classes, in the order of photos.csv; photos themselves are not opened.

    Parameters
    ----------
    folder : TrialFolder
        The trial.
    store : Store
        The one that it was measured into.
    measured : MeasuredTrial
        What came of it.

    Yields
    ------
    tuple of Photo and Scene

    References
    ----------
    common_practice (keys from sources.py).
    """
    versions = versions_of(folder)
    task, _, _ = task_of(folder, store, versions)
    if task.classifier is None:
        return
    quality_of = {quality.photo: quality.quality for quality in measured.qualities}
    for photo in folder.photos:
        kept = store.prepared_get(folder.file_digests[photo.path], versions.prepared[photo.path])
        prepared = prepared_of(kept) if kept is not None else None
        frame = versions.frames.get(photo.path)
        if prepared is None or prepared.picture is None or frame not in task.counted_views or quality_of[photo.path] == NOT_USABLE:
            continue
        classes = classified(prepared.picture, task.classifier)
        view, basis = task.counted_views[frame], prepared.evidence.colour_basis
        yield photo, Scene(prepared.picture, classes, view, task.classifier.known, basis, prepared.candidates)
