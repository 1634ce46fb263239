"""Measure every photo of a trial folder, with as many processes as there are cores or on a cluster, and keep each result at once.

A photo goes through two stages, each with a place of its own in the store: it is prepared, which strokes cannot change, and then measured.
Other strokes, zones or audit answers start from the prepared photos; the photos themselves are not opened again.
"""

import multiprocessing
import os
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path

from fairtank.errors import JobError, PhotoError
from fairtank.records.cluster import address_check, cluster_at, scheduler_check
from fairtank.records.fanout import AHEAD, fanout_twice
from fairtank.records.services.comparable import comparable_cautions
from fairtank.records.services.doubtful_maps import doubtful_map_cautions
from fairtank.records.services.duplicates import duplicates_marked
from fairtank.records.services.photo_work import (
    NotSeen,
    PhotoDone,
    PhotoWork,
    Task,
    begin,
    begin_process,
    work_here,
    work_on_cluster,
)
from fairtank.records.services.preparing import task_of
from fairtank.records.services.sequences import sequence_rows
from fairtank.records.services.versions import Versions, by_hand_corners, versions_of
from fairtank.records.store import Store
from fairtank.trial import AuditPoint, Frame, Measured, Photo, PhotoQuality, TrialFolder
from fairtank.vision.load import photo_bytes
from fairtank.vision.measure import PhotoResult, unusable

Progress = Callable[[int, int, int], None]
NO_STROKES = "No strokes were painted (folder labels/), so plants and algae could not be told apart and no cover was measured."


@dataclass(frozen=True, eq=False)
class MeasuredTrial:
    """Every photo's values and quality, in the order of photos.csv.

    thumbnails: photo path -> JPEG bytes. fresh: how many photos were measured now; the others were in the store. opened: how many were
    decoded for it; the others had been prepared before. cautions: what kept values from being taken, in sentences.
    """

    measured: tuple[Measured, ...] = ()
    qualities: tuple[PhotoQuality, ...] = ()
    thumbnails: Mapping[str, bytes] = field(default_factory=dict)
    fresh: int = 0
    cautions: tuple[str, ...] = ()
    opened: int = 0


class Thumbnails(Mapping[str, bytes]):
    """Small pictures by photo path, read from the store when they are asked for: ten thousand of them need not lie in memory."""

    def __init__(self, store: Store, places: dict[str, tuple[str, str]]) -> None:
        self._store, self._places = store, places

    def __getitem__(self, path: str) -> bytes:
        kept = self._store.thumbnail_get(*self._places[path])
        if kept is None:
            raise KeyError(path)
        return kept

    def __iter__(self) -> Iterator[str]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)


def folder_measure(*, folder: TrialFolder, store: Store, workers: int | None = None, progress: Progress | None = None,
                   cluster: str | None = None) -> MeasuredTrial:
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
    cluster : str or None
        Address of a Dask scheduler that takes the work instead of processes on this computer.

    Returns
    -------
    MeasuredTrial

    Raises
    ------
    InputError
        If nothing answers at the cluster's address.
    JobError
        If the `cluster` extra is missing, or its workers cannot give the same digits.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if cluster:
        address_check(cluster)
    if not folder.photos or not folder.frames:
        return MeasuredTrial()  # without frames photos are there to be scored or compared, not to be measured
    digests, versions = folder.file_digests, versions_of(folder)
    results: dict[str, PhotoResult] = {}
    for photo in folder.photos:
        kept = store.get(photo, digests[photo.path], versions.measured[photo.path])
        if kept is not None:
            results[photo.path] = _slim(kept)
    stored, opened = len(results), 0
    open_photos = [photo for photo in folder.photos if photo.path not in results]
    if progress:
        progress(stored, len(folder.photos), stored)
    cautions = store.cautions_get(versions.together)
    if open_photos and cluster:
        scheduler_check(cluster)  # before anything is learnt or prepared
    if open_photos or cautions is None:
        task, found, opened = task_of(folder, store, versions)
        cautions = found if folder.labels else (*found, NO_STROKES)
        store.cautions_put(versions.together, cautions)
        for number, (work, done) in enumerate(_all_worked(task, _works(folder, versions, open_photos), len(open_photos), workers, cluster)):
            path = work.photo.path
            if isinstance(done, JobError):  # tells about the machine, not about the photo: not kept, tried again at the next run
                results[path] = unusable(work.photo, str(done), work.version)
            else:
                if done.prepared is not None:
                    store.prepared_put(work.sha256, work.prepared_version, done.prepared)
                store.put(work.sha256, work.version, done.result)
                results[path], opened = _slim(done.result), opened + done.opened
            if progress:
                progress(stored + number + 1, len(folder.photos), stored)
    store.tidy(versions.all())
    return _gathered(folder, store, versions, results, MeasuredTrial(fresh=len(open_photos), cautions=cautions, opened=opened))


_SEEN = b"\xff"


def _slim(result: PhotoResult) -> PhotoResult:
    """The result without what need not lie in memory for all photos at once; of the small picture only whether there is one."""
    return replace(result, thumbnail=_SEEN if result.thumbnail else b"", spots=None)


def _gathered(
    folder: TrialFolder, store: Store, versions: Versions, results: dict[str, PhotoResult], known: MeasuredTrial
) -> MeasuredTrial:
    """All photos' results together, in the order of photos.csv, with what only several photos of a unit tell."""
    digests = folder.file_digests

    def whole(photo: Photo) -> PhotoResult | None:
        return store.get(photo, digests[photo.path], versions.measured[photo.path])

    results = duplicates_marked(folder, results, whole, store)
    more = sequence_rows(folder, results, whole)
    rows = (row for photo in folder.photos for row in (*results[photo.path].measured, *more.get(photo.path, ())))
    pictured = [photo for photo in folder.photos if results[photo.path].thumbnail]
    qualities = tuple(results[photo.path].quality for photo in folder.photos)
    return replace(
        known,
        measured=tuple(rows),
        qualities=qualities,
        thumbnails=Thumbnails(store, {photo.path: (digests[photo.path], versions.measured[photo.path]) for photo in pictured}),
        cautions=(*known.cautions, *_missing(folder), *comparable_cautions(folder, qualities), *doubtful_map_cautions(folder, qualities)),
    )


def _missing(folder: TrialFolder) -> list[str]:
    """What the plan asks of the photos and the folder does not give, in sentences."""
    asked = {choice.key for choice in folder.plan.measures} - {series.measure for series in folder.series}
    said = []
    if folder.label_classes and not any(part.counts_as == "algae" for part in folder.label_classes):
        said += [f"{key} could not be measured: no class in labels/classes.csv counts as algae." for key in sorted(asked) if "algae" in key]
    return said


def unit_frames(folder: TrialFolder) -> dict[str, Frame]:
    """The first frame of each unit: the frame itself, or in mode `by_hand` the one that sets the size."""
    frames: dict[str, Frame] = {}
    for frame in folder.frames:
        frames.setdefault(frame.unit, frame)
    return frames


def _works(folder: TrialFolder, versions: Versions, photos: list[Photo]) -> Iterator[PhotoWork]:
    """What is to be done with each photo."""
    counts_as = {part.key: part.counts_as for part in folder.label_classes}
    corners = by_hand_corners(folder)
    audit: dict[str, tuple[AuditPoint, ...]] = {}
    for point in folder.audit:
        seen = AuditPoint(point.photo, point.x, point.y, counts_as.get(point.answer, point.answer), point.rater)
        audit[point.photo] = (*audit.get(point.photo, ()), seen)
    for photo in photos:
        path = photo.path
        yield PhotoWork(
            photo, folder.file_digests[path], versions.prepared[path], versions.measured[path], versions.frames.get(path),
            corners.get(path), audit.get(path, ()),
        )  # fmt: skip


def _all_worked(
    task: Task, works: Iterator[PhotoWork], photos: int, workers: int | None, cluster: str | None
) -> Iterator[tuple[PhotoWork, PhotoDone | JobError]]:
    """Each photo with what came of it, as soon as it is there."""
    if cluster and photos:
        yield from _worked_on_cluster(task, works, cluster)
        return
    count = min(workers or os.cpu_count() or 1, photos)
    if count <= 1:
        begin(task)
        for work in works:
            yield work, _done(work_here(work))
        return

    def made(number: int | None) -> Executor:
        context = multiprocessing.get_context("spawn")
        return ProcessPoolExecutor(number or count, mp_context=context, initializer=begin_process, initargs=(task,))

    for work, done in fanout_twice(made, work_here, works, ahead=4 * count):
        yield work, _done(done)


def _done(found: PhotoDone | NotSeen | JobError) -> PhotoDone | JobError:
    """The same: a worker on this computer always sees the photos."""
    assert not isinstance(found, NotSeen)
    return found


def _worked_on_cluster(task: Task, works: Iterator[PhotoWork], address: str) -> Iterator[tuple[PhotoWork, PhotoDone | JobError]]:
    """The same on a cluster: prepared photos are sent, and photos too where a worker does not see the folder."""
    store, sends = task.store, False
    assert store is not None
    unseen: list[PhotoWork] = []

    def sent(work: PhotoWork) -> PhotoWork:
        kept = store.prepared_get(work.sha256, work.prepared_version)
        if kept is not None or not sends:
            return replace(work, prepared=kept)
        try:
            return replace(work, content=photo_bytes(task.root / work.photo.path))
        except PhotoError:
            return work  # no worker will see it either

    def plain(work: PhotoWork, done: PhotoDone | NotSeen | JobError) -> tuple[PhotoWork, PhotoDone | JobError]:
        if isinstance(done, NotSeen):
            done = PhotoDone(unusable(work.photo, f"{Path(work.photo.path).name} cannot be read.", work.version), opened=True)
        return replace(work, prepared=None, content=None), done

    with cluster_at(address, work_on_cluster, replace(task, store=None)) as (made, threads):
        ahead = max(AHEAD // 2, 4 * threads)
        for work, done in fanout_twice(made, work_here, map(sent, works), ahead=ahead):
            if isinstance(done, NotSeen):
                sends = True
                unseen.append(work)
            else:
                yield plain(work, done)
        for work, done in fanout_twice(made, work_here, map(sent, unseen), ahead=ahead):
            yield plain(work, done)
