"""What strokes teach, shown on one photo while they are painted: by colour alone, which is quick.

Measuring also looks at what lies around a px, which takes several seconds to learn.
"""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from fairtank.errors import PhotoError
from fairtank.lens import Lens
from fairtank.records.models import Photo, Stroke, Trial
from fairtank.records.selectors.trial_state import folder_of_rows
from fairtank.records.services.photo_work import prepared_and_kept
from fairtank.records.services.preparing import strokes_in_frame, views_of
from fairtank.records.services.strokes import at_full_size, classes_of
from fairtank.records.services.versions import Versions, by_hand_corners, versions_of
from fairtank.records.services.working import FOLDER, opened, place_of
from fairtank.records.store import FOLDER_NAME, Store, prepared_of
from fairtank.trial import Corners, Frame, Label, TrialFolder
from fairtank.vision.classes.classifier import ALGAE, PLANT, classified, learn_classes
from fairtank.vision.classes.strokes import StrokePicture, load_strokes
from fairtank.vision.framing.lens import straight_points
from fairtank.vision.load import photo_bytes
from fairtank.vision.overlay import ALGAE_RGB, PLANT_RGB
from fairtank.vision.view import View

OVERLAY_LONG_SIDE_PX = 1200
NOT_COUNTED = 3
_NOT_COUNTED_RGB = (120, 120, 120)
_VEILED, _EDGE = 110, 255


def folder_with_photos(trial: Trial) -> TrialFolder:
    """A trial from its rows, with the digests of its photos and strokes, and where its files lie: all that measuring asks for."""
    strokes = list(Stroke.objects.filter(trial=trial).select_related("photo").order_by("path"))
    digests = dict(Photo.objects.filter(trial=trial).values_list("path", "sha256"))
    digests |= {stroke.path: stroke.sha256 for stroke in strokes}
    return replace(folder_of_rows(trial), root=place_of(trial) / FOLDER, file_digests=digests,
                   labels=tuple(Label(stroke.photo.path, stroke.path) for stroke in strokes))


def measured_store(trial: Trial) -> Store:
    """Where the worker keeps what it made of a trial's photos."""
    return Store(place_of(trial, "jobs") / FOLDER / FOLDER_NAME)


def taught_classes(*, trial: Trial, photo: Photo, numbers: np.ndarray) -> bytes:
    """What all strokes together, those on this photo as they are now, make of this photo: a picture to lay over it.

    Parameters
    ----------
    trial : Trial
    photo : Photo
    numbers : array of shape (h, w), uint8
        The painting of this photo.

    Returns
    -------
    bytes
        A PNG in the shape of the upright photo; see `class_overlay`.

    Raises
    ------
    PhotoError
        If the photo has no frame, or cannot be placed in it.
    NotEnoughDataError
        If too little is painted to tell anything.

    References
    ----------
    common_practice (keys from sources.py).
    """
    with opened(trial):
        folder = replace(folder_with_photos(trial), label_classes=classes_of(trial))
    store, versions = measured_store(trial), versions_of(folder)
    frame = versions.frames.get(photo.path)
    if frame is None:
        raise PhotoError(f"{photo.unit.key} has no frame yet. Draw it first, so that only the tank is looked at.")
    views, errors = views_of(folder, store, versions)
    if frame not in views:
        raise PhotoError(errors[frame])
    pictures = [one for label in folder.labels if label.photo != photo.path
                if (one := _learnt_from(folder, store, versions, views, label)) is not None]
    picture, corners = _framed(folder, store, versions, photo.path, views[frame])
    pictures.append(strokes_in_frame(photo.path, picture, at_full_size(numbers, photo), corners, views[frame]))
    classifier = learn_classes(tuple(pictures), folder.label_classes, with_context=False)
    found = classified(picture, classifier).classes.copy()
    found[~views[frame].counted] = NOT_COUNTED
    return class_overlay(found, corners, (photo.width_px, photo.height_px), views[frame].lens)


def _learnt_from(folder: TrialFolder, store: Store, versions: Versions, views: dict[Frame, View], label: Label) -> StrokePicture | None:
    """One photo with its strokes in its frame, held in memory as long as neither changes; None where it cannot be used."""
    frame = versions.frames.get(label.photo)
    if frame is None or frame not in views:
        return None
    key = (folder.file_digests[label.path], versions.prepared[label.photo])
    return _held(key, folder, store, versions, views[frame], label)


_HELD: dict[tuple[str, ...], StrokePicture] = {}
_MOST_HELD = 24


def _held(key: tuple[str, ...], folder: TrialFolder, store: Store, versions: Versions, view: View, label: Label) -> StrokePicture | None:
    whole = (*key, *map(repr, folder.label_classes))
    if whole not in _HELD:
        try:
            picture, corners = _framed(folder, store, versions, label.photo, view)
            strokes = load_strokes(folder.root / label.path, folder.label_classes)
        except PhotoError:
            return None
        while len(_HELD) >= _MOST_HELD:
            _HELD.pop(next(iter(_HELD)), None)
        _HELD[whole] = strokes_in_frame(label.photo, picture, strokes, corners, view)
    return _HELD.get(whole)


def _framed(folder: TrialFolder, store: Store, versions: Versions, path: str, view: View) -> tuple[np.ndarray, Corners]:
    """A photo in its frame, and where the frame lies in it: as it was kept, else made now."""
    sha256, version = folder.file_digests[path], versions.prepared[path]
    kept = store.prepared_get(sha256, version)
    prepared = prepared_of(kept) if kept is not None else None
    if prepared is None:
        content = photo_bytes(folder.root / path)
        prepared, kept = prepared_and_kept(content, Path(path).name, view, by_hand_corners(folder).get(path))
        store.prepared_put(sha256, version, kept)
    if prepared.picture is None or prepared.corners_px is None:
        raise PhotoError(f"{Path(path).name} cannot be used: {prepared.evidence.failure}")
    return prepared.picture, prepared.corners_px


def class_overlay(classes: np.ndarray, corners: Sequence[Sequence[float]], size_px: tuple[int, int], lens: Lens | None = None) -> bytes:
    """Classes of a photo in its frame as a picture to lay over the upright photo: veils and outlines in the colours of the charts.

    Parameters
    ----------
    classes : array of shape (h, w), uint8
        Background, plant, algae, or NOT_COUNTED.
    corners : four (x, y) pairs
        The frame. [px of the upright photo]
    size_px : two int
        Width and height of the upright photo.
    lens : Lens, optional
        Of the camera.

    Returns
    -------
    bytes
        A PNG of the photo's shape, its long side at most 1200 px, transparent where nothing is to be shown.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    import cv2

    scale = min(OVERLAY_LONG_SIDE_PX / max(size_px), 1.0)
    width, height = max(round(size_px[0] * scale), 1), max(round(size_px[1] * scale), 1)
    y, x = np.mgrid[0:height, 0:width]
    places = np.stack([x.ravel(), y.ravel()], -1) + 0.5
    places, framed = places / scale, np.asarray(corners, float)
    if lens is not None:
        places, framed = straight_points(places, lens, *size_px), straight_points(framed, lens, *size_px)
    rows, columns = classes.shape
    target = np.array([[0, 0], [columns, 0], [columns, rows], [0, rows]], np.float32)
    within = cv2.perspectiveTransform(places[None], cv2.getPerspectiveTransform(framed.astype(np.float32), target))[0]
    column, row = np.floor(within).astype(int).T
    is_inside = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
    found = np.zeros(width * height, np.uint8)
    found[is_inside] = classes[row[is_inside], column[is_inside]]
    return _veils(found.reshape(height, width))


def _veils(classes: np.ndarray) -> bytes:
    import cv2

    palette = np.zeros((256, 4), np.uint8)
    for place, (kind, colour) in enumerate(((PLANT, PLANT_RGB), (ALGAE, ALGAE_RGB), (NOT_COUNTED, _NOT_COUNTED_RGB))):
        palette[kind], palette[16 + place] = (*colour, _VEILED), (*colour, _EDGE)
    marked = classes.copy()
    for place, kind in enumerate((PLANT, ALGAE)):
        mask = (classes == kind).astype(np.uint8)
        marked[(mask - cv2.erode(mask, np.ones((3, 3), np.uint8))) > 0] = 16 + place
    coded, content = cv2.imencode(".png", cv2.cvtColor(palette[marked], cv2.COLOR_RGBA2BGRA), [cv2.IMWRITE_PNG_COMPRESSION, 3])
    assert coded
    return content.tobytes()
