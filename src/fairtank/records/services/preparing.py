"""What all photos of a folder need before the first one is measured: views of the frames, and the classifier learnt from the strokes."""

from pathlib import Path

import numpy as np

from fairtank.errors import NotEnoughDataError, PhotoError
from fairtank.records.services.lens import lens_of_unit
from fairtank.records.services.photo_work import Task, prepared_and_kept
from fairtank.records.services.versions import Versions, by_hand_corners, card_of, libraries, versions_of
from fairtank.records.store import Store, prepared_of
from fairtank.trial import Corners, Frame, TrialFolder
from fairtank.vision.classes.classifier import learn_classes
from fairtank.vision.classes.static import static_masks, view_without
from fairtank.vision.classes.strokes import UNPAINTED, StrokePicture, load_strokes, stroke_picture
from fairtank.vision.colour.cautions import colour_cautions
from fairtank.vision.colour.target import colour_target_of
from fairtank.vision.framing.lens import straight_in_frame
from fairtank.vision.load import load_photo, photo_bytes
from fairtank.vision.prepare import PreparedPhoto
from fairtank.vision.quality.verdicts import verdicts_of
from fairtank.vision.view import View, relative, view_of, with_colour_target


def task_of(folder: TrialFolder, store: Store, versions: Versions) -> tuple[Task, tuple[str, ...], int]:
    """What the workers are handed, made once in this process; cautions; and how many photos were opened for it."""
    views, errors = views_of(folder, store, versions)
    pictures, cautions, opened = _stroke_pictures(folder, store, versions, views)
    classifier = None
    if folder.labels:
        try:
            classifier = learn_classes(pictures, folder.label_classes)
        except NotEnoughDataError as error:
            cautions = (*cautions, str(error))
    counted, bare = _counted_views(folder, versions, views, errors, pictures)
    cautions = (*cautions, *_bare_words(bare), *colour_cautions(views.values()))
    return Task(folder.root, store, views, counted, errors, classifier, tuple(libraries())), cautions, opened


def _counted_views(
    folder: TrialFolder, versions: Versions, views: dict[Frame, View], errors: dict[Frame, str], pictures: tuple[StrokePicture, ...]
) -> tuple[dict[Frame, View], list[Frame]]:
    """The views without the static things that were painted, and the frames of units that have them painted in another frame only.

    A frame that they fill goes to the errors.
    """
    names = {frame: f"{number} {frame.unit}" for number, frame in enumerate(views)}
    masks = static_masks(pictures, folder.label_classes, {one.photo: names[versions.frames[one.photo]] for one in pictures})
    counted = {}
    for frame, view in views.items():
        try:
            counted[frame] = view_without(view, masks[names[frame]]) if names[frame] in masks else view
        except PhotoError as error:
            errors[frame] = str(error)
    painted = {frame.unit for frame, name in names.items() if name in masks}
    return counted, [frame for frame, name in names.items() if frame.unit in painted and name not in masks]


def _bare_words(frames: list[Frame]) -> list[str]:
    """Where static things count again because the tank was laid out anew, or its camera moved, after they were painted."""
    return [f"The static things of {frame.unit} were painted, but not in a photo of its frame with the reference photo "
            f"{frame.reference_photo}, where they count as anything else. Paint them there, too." for frame in frames]


def views_of(folder: TrialFolder, store: Store | None = None, versions: Versions | None = None
             ) -> tuple[dict[Frame, View], dict[Frame, str]]:
    """The view of each frame, all brought to the colours of the trial, and for frames that give none the reason in a sentence."""
    versions = versions or versions_of(folder)
    views, errors = {}, {}
    for frame, version in versions.views.items():
        view = store.view_get(version) if store else None
        if view is None:
            try:
                loaded = load_photo(folder.root / frame.reference_photo)
                zones = tuple(zone for zone in folder.zones if zone.unit == frame.unit)
                view = view_of(frame, zones, loaded, card=card_of(folder, frame.unit), lens=lens_of_unit(folder, frame.unit))
            except PhotoError as error:
                errors[frame] = f"The frame of {frame.unit} cannot be used: {error}"
                continue
            if store:
                store.view_put(version, view)
        views[frame] = view
    targets = [views[frame] for frame in versions.targets if frame in views]
    target = colour_target_of([view.card for view in targets], [view.patch for view in targets])
    return {frame: with_colour_target(view, target) for frame, view in views.items()}, errors


def _stroke_pictures(
    folder: TrialFolder, store: Store, versions: Versions, views: dict[Frame, View]
) -> tuple[tuple[StrokePicture, ...], tuple[str, ...], int]:
    """All photos with strokes in their frames; why others could not be used; and how many photos were opened for it."""
    pictures: list[StrokePicture] = []
    cautions: list[str] = []
    opened = 0
    for label in folder.labels:
        view = views.get(versions.frames[label.photo]) if label.photo in versions.frames else None
        if view is None:
            continue
        try:
            prepared, is_fresh = _prepared(folder, store, versions, label.photo, view)
            opened += is_fresh
            strokes = load_strokes(folder.root / label.path, folder.label_classes)
        except PhotoError as error:
            cautions.append(f"The strokes of {label.photo} could not be used: {error}")
            continue
        if prepared.picture is None or prepared.corners_px is None:
            cautions.append(f"The strokes of {label.photo} could not be used: {prepared.evidence.failure}")
            continue
        wrong = [verdict.sentence for verdict in verdicts_of(prepared.evidence) if verdict.key == "wrong_tank" and verdict.severity > 1]
        if wrong:
            cautions.append(f"The strokes of {label.photo} could not be used: {wrong[0]}")
            continue
        pictures.append(strokes_in_frame(label.photo, prepared.picture, strokes, prepared.corners_px, view))
    return tuple(pictures), tuple(cautions), opened


def strokes_in_frame(photo: str, picture: np.ndarray, strokes: np.ndarray, corners_px: Corners, view: View) -> StrokePicture:
    """A photo's strokes in its frame; they have the size of the upright photo, and were painted on it as its lens bent it.

    Parameters
    ----------
    photo : str
        Its path in the folder.
    picture : array
        The photo in its frame.
    strokes : array
        Numbers of classes, of the size of the upright photo.
    corners_px : Corners
        Of the frame. [px of the upright photo]
    view : View

    Returns
    -------
    StrokePicture

    References
    ----------
    common_practice (keys from sources.py).
    """
    if view.lens is None:
        return stroke_picture(photo, picture, strokes, relative(corners_px, max(strokes.shape)), view)
    numbers = straight_in_frame(strokes, np.asarray(corners_px, float), view.lens, view.width_px, view.height_px, UNPAINTED)
    return StrokePicture(photo, picture, numbers, view.counted)


def _prepared(folder: TrialFolder, store: Store, versions: Versions, path: str, view: View) -> tuple[PreparedPhoto, bool]:
    """A photo prepared, and whether it had to be opened for it because the store does not hold it."""
    sha256, version = folder.file_digests[path], versions.prepared[path]
    kept = store.prepared_get(sha256, version)
    prepared = prepared_of(kept) if kept is not None else None
    if prepared is not None:
        return prepared, False
    prepared, kept = prepared_and_kept(photo_bytes(folder.root / path), Path(path).name, view, by_hand_corners(folder).get(path))
    store.prepared_put(sha256, version, kept)
    return prepared, True
