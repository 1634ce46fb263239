"""What a worker does with one photo, in this process, in another one, or on another computer: the same function everywhere."""

import hashlib
import multiprocessing
import multiprocessing.process
import os
import threading
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import JobError, PhotoError
from fairtank.records.services.versions import libraries
from fairtank.records.store import Store, prepared_bytes, prepared_of
from fairtank.trial import AuditPoint, Corners, Frame, Photo
from fairtank.vision.classes.classifier import Classifier
from fairtank.vision.load import decoded_photo, photo_bytes
from fairtank.vision.measure import PhotoResult, measure_prepared, unusable
from fairtank.vision.prepare import PreparedPhoto, prepared_photo
from fairtank.vision.view import View


@dataclass(frozen=True, eq=False)
class Task:
    """What all photos of a trial share.

    root: the trial folder. store: where workers read and keep prepared photos; None when these are sent (a cluster). views: by frame, to
    prepare photos with; counted_views: the same without painted static things, to measure them with. view_errors: by frame. libraries:
    what decides digits, with versions, as in the process that began.
    """

    root: Path
    store: Store | None
    views: dict[Frame, View]
    counted_views: dict[Frame, View]
    view_errors: dict[Frame, str]
    classifier: Classifier | None
    libraries: tuple[str, ...]


@dataclass(frozen=True)
class PhotoWork:
    """One photo to be measured.

    frame: the one that holds for it, None where its unit has none. prepared, content: bytes of the prepared photo and of the photo itself,
    where they are sent.
    """

    photo: Photo
    sha256: str
    prepared_version: str
    version: str
    frame: Frame | None
    by_hand: Corners | None = None
    audit: tuple[AuditPoint, ...] = ()
    prepared: bytes | None = None
    content: bytes | None = None


@dataclass(frozen=True, eq=False)
class PhotoDone:
    """What came of it. opened: the photo itself was opened. prepared: what is to be kept, where the worker cannot keep it itself."""

    result: PhotoResult
    opened: bool = False
    prepared: bytes | None = None


@dataclass(frozen=True)
class NotSeen:
    """The worker does not see the photo under its path: its bytes must be sent."""


_current: Task | None = None


def begin(task: Task) -> None:
    """Set up a worker process: the task stays with it; one thread per library, since the processes share the cores."""
    global _current
    import cv2

    cv2.setNumThreads(1)
    _current = task


def begin_process(task: Task) -> None:
    """The same in a process that was started for it, and that ends when the one that started it was killed."""
    begin(task)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_ended_with, args=(parent,), daemon=True).start()


def _ended_with(parent: multiprocessing.process.BaseProcess) -> None:
    parent.join()
    os._exit(1)


def work_here(work: PhotoWork) -> PhotoDone | NotSeen | JobError:
    """The work of one unit in a process that began with the task."""
    assert _current is not None
    return photo_worked(_current, work)


def work_on_cluster(task: Task, work: PhotoWork) -> PhotoDone | NotSeen | JobError:
    """The work of one unit on a worker of a cluster, which must have the same libraries for the same digits."""
    import cv2

    cv2.setNumThreads(1)
    found = tuple(libraries())
    if found != task.libraries:
        here, there = (", ".join(sorted(set(one) - set(other))) for one, other in ((task.libraries, found), (found, task.libraries)))
        raise JobError(f"A worker of the cluster has {there} where this computer has {here}. Install the same versions on both.")
    return photo_worked(task, work)


def photo_worked(task: Task, work: PhotoWork) -> PhotoDone | NotSeen | JobError:
    """Prepare a photo, unless that was done before, and measure it; what goes wrong becomes the photo's reason.

    Parameters
    ----------
    task : Task
    work : PhotoWork

    Returns
    -------
    PhotoDone, NotSeen or JobError
        The last where the photo's file could not be read just now, which tells nothing of the photo.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    photo = work.photo
    view, counted = (views.get(work.frame) if work.frame is not None else None for views in (task.views, task.counted_views))
    if view is None or counted is None:
        said = task.view_errors.get(work.frame) if work.frame is not None else None
        return PhotoDone(unusable(photo, said or f"frames.csv has no frame for {photo.unit}.", work.version))
    kept = work.prepared
    if kept is None and task.store is not None:
        kept = task.store.prepared_get(work.sha256, work.prepared_version)
    prepared = prepared_of(kept) if kept is not None else None
    fresh = None
    if prepared is None:
        try:
            content = _content(task, work)
        except PhotoError as error:  # a passing fault of the disk must not stand as the photo's own for ever
            return JobError(str(error))
        if content is None:
            return NotSeen()
        try:
            prepared, fresh = prepared_and_kept(content, photo.path.rpartition("/")[2], view, work.by_hand)
        except PhotoError as error:
            return PhotoDone(unusable(photo, str(error), work.version), opened=True)
        if task.store is not None:
            task.store.prepared_put(work.sha256, work.prepared_version, fresh)
    result = measure_prepared(photo, prepared, counted, task.classifier, version=work.version, audit=work.audit)
    return PhotoDone(result, opened=fresh is not None, prepared=fresh if task.store is None else None)


def prepared_and_kept(content: bytes, name: str, view: View, by_hand: Corners | None) -> tuple[PreparedPhoto, bytes]:
    """A photo's bytes prepared as they will be read again from the store, and the bytes to keep.

    Parameters
    ----------
    content : bytes
        The photo's file.
    name : str
        Of the file, for a sentence.
    view : View
    by_hand : four (x, y) pairs or None

    Returns
    -------
    (PreparedPhoto, bytes)

    Raises
    ------
    PhotoError
        If the photo cannot be decoded.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    kept = prepared_bytes(prepared_photo(decoded_photo(content, name), view, by_hand))
    prepared = prepared_of(kept)
    if prepared is None:
        raise JobError(f"What was prepared of {name} could not be read again.")
    return prepared, kept


def _content(task: Task, work: PhotoWork) -> bytes | None:
    """The photo's bytes; None when, on a cluster, this worker does not see it under its path, or sees another file there."""
    if work.content is not None:
        return work.content
    if task.store is not None:
        return photo_bytes(task.root / work.photo.path)
    try:
        content = photo_bytes(task.root / work.photo.path)
    except PhotoError:
        return None
    return content if hashlib.sha256(content).hexdigest() == work.sha256 else None
