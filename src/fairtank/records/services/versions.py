"""Names of all that a photo's values depend on besides itself: what is stored under another name is made again."""

import hashlib
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import version

from fairtank.records.services.epochs import Epoch, frame_of, unit_epochs
from fairtank.records.services.lens import lens_of_unit
from fairtank.trial import Corners, Frame, Photo, TrialFolder, Zone
from fairtank.vision.measure import METHOD

# What the strokes are learnt with, besides these.
_LEARNT_WITH = "scipy"
LIBRARIES = ("numpy", "opencv-python-headless", "pillow", "simplejpeg", "pi-heif", "numba")
# Zones of these kinds only say where a value is told under its own name; a prepared photo is the same with and without them.
_ONLY_TOLD = ("water", "plant", "backdrop")
# Reference photos of the trial's first week set the colours of all photos; where there are none yet, those of the first week that has any.
TARGET_DAYS = 7


@dataclass(frozen=True)
class Versions:
    """The names for one folder.

    views: by frame. prepared: by photo path, what strokes cannot change. measured: by photo path, all of it. frames: the frame that holds
    for each photo, left out where its unit has none. targets: the frames whose reference photos set the colours of the trial.
    """

    views: dict[Frame, str] = field(default_factory=dict)
    prepared: dict[str, str] = field(default_factory=dict)
    measured: dict[str, str] = field(default_factory=dict)
    frames: dict[str, Frame] = field(default_factory=dict)
    targets: tuple[Frame, ...] = ()

    @property
    def together(self) -> str:
        """One name for all photos' values at once."""
        return text_digest(sorted(set(self.measured.values())))[:12]

    def all(self) -> set[str]:
        """Every name under which something is stored."""
        return {*self.views.values(), *self.prepared.values(), *self.measured.values(), self.together}


@cache
def installed_version(name: str) -> str:
    """The version of a library; looked up once, because what was loaded stays."""
    return version(name)


def libraries() -> list[str]:
    """The libraries that decide digits, with their versions."""
    return [f"{name} {installed_version(name)}" for name in LIBRARIES]


def by_hand_corners(folder: TrialFolder) -> dict[str, Corners]:
    """Corners that were set for single photos, by photo."""
    return {frame.reference_photo: frame.corners for frame in folder.frames if frame.mode == "by_hand"}


def card_of(folder: TrialFolder, unit: str) -> int | None:
    """Number of the photo card that stands at a unit; None where cards.csv does not say it."""
    return next((one.card for one in folder.cards if one.unit == unit), None)


def versions_of(folder: TrialFolder) -> Versions:
    """The names of all that the folder's photos are measured with.

    Parameters
    ----------
    folder : TrialFolder
        A checked trial folder.

    Returns
    -------
    Versions

    References
    ----------
    arithmetic (keys from sources.py).
    """
    epochs = unit_epochs(folder)
    days = {photo.path: photo.day for photo in folder.photos}
    first = {own[0].frame: days.get(own[0].frame.reference_photo, 0) for own in epochs.values()}
    begin = max(min(first.values(), default=0), 0)
    targets = tuple(frame for frame, day in first.items() if day < begin + TARGET_DAYS)
    shared = [METHOD, *libraries(), *(_target_part(folder, frame) for frame in targets)]
    views = {epoch.frame: _named("v", _view_parts(folder, epoch.frame, all_zones=True)) for own in epochs.values() for epoch in own}
    frames = _frames(folder.photos, epochs)
    by_frame = {frame: _view_parts(folder, frame, all_zones=False) for frame in views}
    corners, prepared = by_hand_corners(folder), {}
    for photo in folder.photos:
        own = by_frame[frames[photo.path]] if photo.path in frames else []
        prepared[photo.path] = _named("p", [*shared, photo.unit, *own, repr(corners.get(photo.path))])
    measured = _measured(folder, frames, prepared)
    return Versions(views, prepared, measured, frames, targets)


def _measured(folder: TrialFolder, frames: dict[str, Frame], prepared: dict[str, str]) -> dict[str, str]:
    """What the values of each photo depend on: its preparation, that of the stroke photos, the strokes, zones and audit answers."""
    digests = folder.file_digests
    strokes = [
        f"{_LEARNT_WITH} {installed_version(_LEARNT_WITH)}",
        *map(repr, folder.label_classes),
        *(f"{label.photo} {prepared[label.photo]} {digests[label.photo]} {digests[label.path]}" for label in folder.labels),
    ]
    zones = {unit: [repr(zone) for zone in _zones(folder, unit)] for unit in {photo.unit for photo in folder.photos}}
    answers: dict[str, list[str]] = {}
    for point in folder.audit:
        answers.setdefault(point.photo, []).append(repr(point))
    names = {}
    for photo in folder.photos:
        parts = [prepared[photo.path], *strokes, *zones[photo.unit], *answers.get(photo.path, [])]
        names[photo.path] = f"{METHOD}-{text_digest(parts)[:12]}"
    return names


def _frames(photos: tuple[Photo, ...], epochs: dict[str, tuple[Epoch, ...]]) -> dict[str, Frame]:
    return {photo.path: frame_of(photo, epochs[photo.unit]) for photo in photos if photo.unit in epochs}


def _view_parts(folder: TrialFolder, frame: Frame, *, all_zones: bool) -> list[str]:
    zones = [zone for zone in _zones(folder, frame.unit) if all_zones or zone.kind not in _ONLY_TOLD]
    reference = folder.file_digests.get(frame.reference_photo, "")
    around = (card_of(folder, frame.unit), lens_of_unit(folder, frame.unit))
    return [METHOD, *libraries(), repr(frame), reference, *map(repr, zones), repr(around)]


def _target_part(folder: TrialFolder, frame: Frame) -> str:
    """What a unit's reference photo says about the colours of the trial."""
    patches = [zone for zone in _zones(folder, frame.unit) if zone.kind == "patch"]
    size = (frame.width_cm, frame.height_cm) if patches else ()
    around = (card_of(folder, frame.unit), lens_of_unit(folder, frame.unit))
    return repr((frame.corners, size, folder.file_digests.get(frame.reference_photo, ""), patches, around))


def _zones(folder: TrialFolder, unit: str) -> tuple[Zone, ...]:
    return tuple(zone for zone in folder.zones if zone.unit == unit)


def _named(kind: str, parts: list[str]) -> str:
    return f"{METHOD}{kind}-{text_digest(parts)[:12]}"


def text_digest(parts: list[str]) -> str:
    """SHA-256 over lines of text."""
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()
