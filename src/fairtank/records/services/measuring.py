"""Measure every photo of a trial folder, in as many processes as there are cores, and keep each result as soon as it is there."""

import hashlib
import multiprocessing
import os
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass, field
from importlib.metadata import version as installed_version
from pathlib import Path

from fairtank.errors import JobError, NotEnoughDataError, PhotoError
from fairtank.records.fanout import fanout_twice
from fairtank.records.store import Store
from fairtank.trial import AuditPoint, Corners, Frame, Measured, Photo, PhotoQuality, TrialFolder
from fairtank.vision.classes.classifier import Classifier, learn_classes
from fairtank.vision.classes.strokes import load_strokes, stroke_picture
from fairtank.vision.load import load_photo
from fairtank.vision.measure import METHOD, PhotoResult, measure_photo, unusable
from fairtank.vision.prepare import prepared_photo
from fairtank.vision.view import View, relative, view_of

Progress = Callable[[int, int, int], None]
NO_STROKES = "No strokes were painted (folder labels/), so plants and algae could not be told apart and no cover was measured."
_LIBRARIES = ("numpy", "opencv-python-headless", "pillow", "simplejpeg")


@dataclass(frozen=True, eq=False)
class MeasuredTrial:
    """Every photo's values and quality, in the order of photos.csv.

    thumbnails: photo path -> JPEG bytes. fresh: how many photos were measured now; the others were in the store.
    cautions: what kept values from being taken, in sentences.
    """

    measured: tuple[Measured, ...] = ()
    qualities: tuple[PhotoQuality, ...] = ()
    thumbnails: dict[str, bytes] = field(default_factory=dict)
    fresh: int = 0
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class _Task:
    """What a worker process needs besides the photo itself."""

    root: Path
    views: dict[str, View]
    view_errors: dict[str, str]
    classifier: Classifier | None
    versions: dict[str, str]
    by_hand: dict[str, Corners]
    audit: dict[str, tuple[AuditPoint, ...]]


def folder_measure(*, folder: TrialFolder, store: Store, workers: int | None = None, progress: Progress | None = None) -> MeasuredTrial:
    """Measure the photos of a folder; photos whose result is stored under the same method and inputs are not opened again.

    Parameters
    ----------
    folder : TrialFolder
        A checked trial folder.
    store : Store
        Where results are kept.
    workers : int or None
        Processes; None for one per core. 1 works in this process.
    progress : callable or None
        Called with (photos done, photos in all, photos taken from the store).

    Returns
    -------
    MeasuredTrial

    References
    ----------
    common_practice (keys from sources.py).
    """
    if not folder.photos or not folder.frames:
        return MeasuredTrial()  # without frames photos are there to be scored or compared, not to be measured
    digests = folder.file_digests
    versions = _versions(folder)
    results: dict[str, PhotoResult] = {}
    for photo in folder.photos:
        kept = store.get(photo, digests[photo.path], versions[photo.path])
        if kept is not None:
            results[photo.path] = kept
    stored = len(results)
    open_photos = [photo for photo in folder.photos if photo.path not in results]
    if progress:
        progress(stored, len(folder.photos), stored)
    together = _text_digest(sorted(set(versions.values())))[:12]
    cautions = store.cautions_get(together)
    if open_photos or cautions is None:
        task, found = _task(folder, versions)
        cautions = found if folder.labels else (NO_STROKES,)
        store.cautions_put(together, cautions)
        for done, (photo, result) in enumerate(_all_measured(task, open_photos, workers), start=stored + 1):
            if isinstance(result, JobError):  # tells about the machine, not about the photo: not kept, tried again at the next run
                results[photo.path] = unusable(photo, str(result), versions[photo.path])
            else:
                results[photo.path] = result
                store.put(digests[photo.path], versions[photo.path], result)
            if progress:
                progress(done, len(folder.photos), stored)
    ordered = [results[photo.path] for photo in folder.photos]
    return MeasuredTrial(
        measured=tuple(row for result in ordered for row in result.measured),
        qualities=tuple(result.quality for result in ordered),
        thumbnails={photo.path: results[photo.path].thumbnail for photo in folder.photos if results[photo.path].thumbnail},
        fresh=len(open_photos),
        cautions=(*cautions, *_missing(folder)),
    )


def _missing(folder: TrialFolder) -> list[str]:
    """What the plan asks of the photos and the folder does not give, in sentences."""
    asked = {choice.key for choice in folder.plan.measures} - {series.measure for series in folder.series}
    said = []
    if folder.label_classes and not any(part.counts_as == "algae" for part in folder.label_classes):
        said += [f"{key} could not be measured: no class in labels/classes.csv counts as algae." for key in sorted(asked) if "algae" in key]
    if "carpet_cover" in asked and not any(zone.kind == "floor" for zone in folder.zones):
        said.append("carpet_cover could not be measured: zones.csv holds no zone of kind floor.")
    return said


def unit_frames(folder: TrialFolder) -> dict[str, Frame]:
    """The first frame of each unit: the frame itself, or in mode `by_hand` the one that sets the size."""
    frames: dict[str, Frame] = {}
    for frame in folder.frames:
        frames.setdefault(frame.unit, frame)
    return frames


def views_of(folder: TrialFolder) -> tuple[dict[str, View], dict[str, str]]:
    """The prepared view of each unit with photos, and for units that have none the reason in a sentence."""
    views, errors = {}, {}
    for unit, frame in unit_frames(folder).items():
        try:
            loaded = load_photo(folder.root / frame.reference_photo)
            views[unit] = view_of(frame, tuple(zone for zone in folder.zones if zone.unit == unit), loaded)
        except PhotoError as error:
            errors[unit] = f"The frame of {unit} cannot be used: {error}"
    return views, errors


def by_hand_corners(folder: TrialFolder) -> dict[str, Corners]:
    """Corners that were set for single photos, by photo."""
    return {frame.reference_photo: frame.corners for frame in folder.frames if frame.mode == "by_hand"}


def _task(folder: TrialFolder, versions: dict[str, str]) -> tuple[_Task, tuple[str, ...]]:
    """Views and classifier, made once in this process and handed to the workers."""
    views, errors = views_of(folder)
    audit: dict[str, tuple[AuditPoint, ...]] = {}
    counts_as = {part.key: part.counts_as for part in folder.label_classes}
    for point in folder.audit:
        seen = AuditPoint(point.photo, point.x, point.y, counts_as.get(point.answer, point.answer), point.rater)
        audit[point.photo] = (*audit.get(point.photo, ()), seen)
    classifier, cautions = _classifier(folder, views)
    return _Task(folder.root, views, errors, classifier, versions, by_hand_corners(folder), audit), cautions


def _classifier(folder: TrialFolder, views: dict[str, View]) -> tuple[Classifier | None, tuple[str, ...]]:
    """One classifier for the whole trial, learnt from all stroke pictures of all units together."""
    if not folder.labels:
        return None, ()
    photos = {photo.path: photo for photo in folder.photos}
    by_hand = by_hand_corners(folder)
    pictures, cautions = [], []
    for label in folder.labels:
        view = views.get(photos[label.photo].unit)
        if view is None:
            continue
        try:
            loaded = load_photo(folder.root / label.photo)
            strokes = load_strokes(folder.root / label.path, folder.label_classes)
        except PhotoError as error:
            cautions.append(f"The strokes of {label.photo} could not be used: {error}")
            continue
        prepared = prepared_photo(loaded, view, by_hand.get(label.photo))
        if prepared.picture is None or prepared.corners_px is None:
            cautions.append(f"The strokes of {label.photo} could not be used: {prepared.evidence.failure}")
            continue
        corners = relative(prepared.corners_px, max(loaded.full_width_px, loaded.full_height_px))
        pictures.append(stroke_picture(label.photo, prepared.picture, strokes, corners, view))
    try:
        return learn_classes(tuple(pictures), folder.label_classes), tuple(cautions)
    except NotEnoughDataError as error:
        return None, (*cautions, str(error))


def _all_measured(task: _Task, photos: list[Photo], workers: int | None):  # type: ignore[no-untyped-def]
    count = min(workers or os.cpu_count() or 1, len(photos))
    if count <= 1:
        _begin(task)
        for photo in photos:
            yield photo, _measure(photo)
        return

    def made(number: int | None) -> Executor:
        return ProcessPoolExecutor(number or count, mp_context=multiprocessing.get_context("spawn"), initializer=_begin, initargs=(task,))

    yield from fanout_twice(made, _measure, photos)


_current: _Task | None = None


def _begin(task: _Task) -> None:
    """Set up a worker: the task stays with the process; one thread per library, since the processes share the cores."""
    global _current
    import cv2

    cv2.setNumThreads(1)
    _current = task


def _measure(photo: Photo) -> PhotoResult:
    """The work of one unit of the fan-out: load a photo and measure it; what goes wrong becomes the photo's reason."""
    assert _current is not None
    task, version = _current, _current.versions[photo.path]
    view = task.views.get(photo.unit)
    if view is None:
        return unusable(photo, task.view_errors.get(photo.unit, f"frames.csv has no frame for {photo.unit}."), version)
    try:
        loaded = load_photo(task.root / photo.path)
    except PhotoError as error:
        return unusable(photo, str(error), version)
    return measure_photo(
        photo, loaded, view, task.classifier, version=version, by_hand=task.by_hand.get(photo.path), audit=task.audit.get(photo.path, ())
    )


def _versions(folder: TrialFolder) -> dict[str, str]:
    """For each photo a name of the method and of all that its values depend on besides itself: frames, zones, strokes, libraries."""
    digests = folder.file_digests
    stroke_units = {photo.unit for photo in folder.photos if photo.path in {label.photo for label in folder.labels}}
    shared = [
        METHOD,
        *(f"{name} {installed_version(name)}" for name in _LIBRARIES),
        *map(repr, folder.label_classes),
        *(f"{label.photo} {digests[label.photo]} {digests[label.path]}" for label in folder.labels),
    ]
    by_unit = {}
    for unit in {photo.unit for photo in folder.photos}:
        frames = [frame for frame in folder.frames if frame.unit in stroke_units | {unit}]
        zones = [zone for zone in folder.zones if zone.unit in stroke_units | {unit}]
        references = [digests.get(frame.reference_photo, "") for frame in frames]
        by_unit[unit] = [*shared, unit, *map(repr, frames), *references, *map(repr, zones)]
    own = {photo: [repr(corners)] for photo, corners in by_hand_corners(folder).items()}
    for point in folder.audit:
        own.setdefault(point.photo, []).append(repr(point))
    return {photo.path: f"{METHOD}-{_text_digest([*by_unit[photo.unit], *own.get(photo.path, [])])[:12]}" for photo in folder.photos}


def _text_digest(parts: list[str]) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()
