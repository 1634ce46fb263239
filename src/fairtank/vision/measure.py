"""One photo measured: prepared, classified, judged for quality, and every declared measure taken."""

from dataclasses import dataclass
from typing import TypedDict

import numpy as np

from fairtank import registry
from fairtank.science.cover import audited_cover
from fairtank.trial import AuditPoint, Corners, Measured, Photo, PhotoQuality
from fairtank.vision.audit_points import OUTSIDE_COUNTED, places_in_frame
from fairtank.vision.classes.classifier import Classifier, classified
from fairtank.vision.classes.lookup import CLASSES
from fairtank.vision.glass import spot_note
from fairtank.vision.keeping import as_kept
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.prepare import PreparedPhoto, prepared_photo
from fairtank.vision.quality.verdicts import NOT_USABLE, quality_of, verdicts_of
from fairtank.vision.rows import measured_row, rounded
from fairtank.vision.scene import ALGAE, PLANT, Scene
from fairtank.vision.spots import SpotNote
from fairtank.vision.view import View

# Goes up whenever a change can alter a measured value; results stored under another number are measured again.
METHOD = "2"
THUMBNAIL_WIDTH_PX = 240
# Audit points of one photo needed before its cover is given a standard error.
FEWEST_AUDIT_POINTS = 30
_AUDITED = {"plant_cover": PLANT, "algae_cover": ALGAE}


@dataclass(frozen=True, eq=False)
class PhotoResult:
    """All that one photo gave: its measures, its quality and a small rectified picture (JPEG bytes, empty when it was not placed).

    spots: what it says about spots on the glass, which another photo must confirm; None where they were not looked for.
    """

    measured: tuple[Measured, ...]
    quality: PhotoQuality
    thumbnail: bytes
    spots: SpotNote | None = None


def measure_photo(
    photo: Photo,
    loaded: LoadedPhoto,
    view: View,
    classifier: Classifier | None,
    *,
    version: str,
    by_hand: Corners | None = None,
    audit: tuple[AuditPoint, ...] = (),
) -> PhotoResult:
    """Every measure of one photo, with its quality, from its px: `prepared_photo`, then `measure_prepared`.

    Parameters
    ----------
    photo : Photo
        Which photo it is: path, unit, time and day.
    loaded : LoadedPhoto
        Its pixels.
    view : View
        Of its unit.
    classifier : Classifier or None
        Learnt from strokes; without it only the photo's quality is given.
    version : str
        Names the method and its inputs; goes into every value.
    by_hand : four (x, y) pairs or None
        Corners set for this photo.
    audit : tuple of AuditPoint
        What a person saw at random points of this photo.

    Returns
    -------
    PhotoResult

    References
    ----------
    common_practice (keys from sources.py).
    """
    return measure_prepared(photo, as_kept(prepared_photo(loaded, view, by_hand)), view, classifier, version=version, audit=audit)


def measure_prepared(
    photo: Photo, prepared: PreparedPhoto, view: View, classifier: Classifier | None, *, version: str, audit: tuple[AuditPoint, ...] = ()
) -> PhotoResult:
    """Every measure of one prepared photo, with its quality.

    A photo that cannot be placed gives no measures and says why; it never raises for what the picture shows.

    Parameters
    ----------
    photo : Photo
    prepared : PreparedPhoto
        The photo in its frame and in the colours of the trial.
    view : View
        Of its unit.
    classifier : Classifier or None
    version : str
    audit : tuple of AuditPoint

    Returns
    -------
    PhotoResult

    References
    ----------
    common_practice (keys from sources.py).
    """
    evidence, picture = prepared.evidence, prepared.picture
    if picture is None:
        verdicts = verdicts_of(evidence)
        return unusable(photo, " ".join(verdict.sentence for verdict in verdicts), version, tuple(verdict.key for verdict in verdicts))
    scene = None
    if classifier is not None:
        classes = classified(picture, classifier)
        scene = Scene(picture, classes, view, classifier.known, evidence.colour_basis, prepared.candidates)
    verdicts = verdicts_of(evidence, scene.unsure_fraction if scene else None)
    quality, reasons = quality_of(verdicts), tuple(verdict.sentence for verdict in verdicts)
    used = scene if quality != NOT_USABLE else None
    letters = _map_letters(used, prepared, audit)
    measured = _measured(photo, used, audit, letters, quality, version) if used else ()
    facts = PhotoQuality(
        photo.path, photo.unit, photo.day, quality, reasons, prepared.corners_px,
        sharpness=_rounded(evidence.sharpness), clipped_fraction=_rounded(evidence.clipped_fraction), light_level=_rounded(evidence.level),
        uncertain_fraction=rounded(scene.unsure_fraction) if scene else None, version=version,
        map_at_audit=letters, verdicts=tuple(verdict.key for verdict in verdicts),
        colour_basis=evidence.colour_basis, **_map_facts(scene),
    )  # fmt: skip
    return PhotoResult(measured, facts, jpeg(picture, THUMBNAIL_WIDTH_PX), spot_note(used) if used else None)


class _MapFacts(TypedDict, total=False):
    new_fraction: float
    closeness: float
    classifier: str


def _map_facts(scene: Scene | None) -> _MapFacts:
    """What the map of the classes says of itself; nothing where there is none."""
    if scene is None:
        return {}
    found = scene.map
    new = found.new_fraction(scene.view.counted)
    return {"new_fraction": rounded(new), "closeness": rounded(found.closeness), "classifier": found.classifier.digest[:12]}


def unusable(photo: Photo, reason: str, version: str, verdicts: tuple[str, ...] = ("unreadable",)) -> PhotoResult:
    """The result of a photo that gave nothing, with the reason.

    Parameters
    ----------
    photo : Photo
    reason : str
        One whole sentence.
    version : str
    verdicts : tuple of str
        Keys of what is wrong.

    Returns
    -------
    PhotoResult

    References
    ----------
    common_practice (keys from sources.py).
    """
    place = (photo.path, photo.unit, photo.day)
    quality = PhotoQuality(*place, NOT_USABLE, (reason,), None, None, None, None, None, version, verdicts=verdicts)
    return PhotoResult((), quality, b"")


def jpeg(picture: np.ndarray, width_px: int, quality: int = 82) -> bytes:
    """A picture shrunk to a width (never enlarged) as JPEG bytes.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
    width_px : int
        [px], 8 or more.
    quality : int
        JPEG quality, 1 to 100.

    Returns
    -------
    bytes

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> jpeg(np.zeros((40, 80, 3), np.uint8), 20)[:2] == bytes([0xFF, 0xD8])
    True
    """
    import cv2
    import simplejpeg

    if width_px < picture.shape[1]:
        height_px = max(1, round(picture.shape[0] * width_px / picture.shape[1]))
        picture = cv2.resize(picture, (width_px, height_px), interpolation=cv2.INTER_AREA)
    return simplejpeg.encode_jpeg(np.ascontiguousarray(picture), quality=quality)


def _measured(
    photo: Photo, scene: Scene, audit: tuple[AuditPoint, ...], letters: str, quality: str, version: str
) -> tuple[Measured, ...]:
    rows = []
    for entry in registry.entries("measure"):
        if entry.over != "photo":
            continue
        for zone, value in entry.function(scene).items():
            se = _audited_se(scene, _AUDITED[entry.key], audit, letters) if zone == "" and entry.key in _AUDITED else None
            rows.append(measured_row(photo, entry, zone, value, quality=quality, version=version, se=se))
    return tuple(rows)


def _audited_se(scene: Scene, kind: int, audit: tuple[AuditPoint, ...], letters: str) -> float | None:
    """Standard error of the map's cover [%] after a person's answers at random points; None with too few of them.

    It is the distance from the map's cover to the further end of the audit's interval, over 1.96: the map is taken at
    its word only as far as the points bear it out. A point that several people saw counts once, with the mean of their answers.
    """
    seen: dict[tuple[float, float], list[bool]] = {}
    mapped: dict[tuple[float, float], bool] = {}
    for point, letter in zip(audit, letters, strict=True):
        if point.answer in CLASSES and letter != OUTSIDE_COUNTED:
            seen.setdefault((point.x, point.y), []).append(point.answer == CLASSES[kind])
            mapped[point.x, point.y] = letter == CLASSES[kind][0]
    in_map = [sum(answers) / len(answers) for place, answers in seen.items() if mapped[place]]
    out_of_map = [sum(answers) / len(answers) for place, answers in seen.items() if not mapped[place]]
    if len(seen) < FEWEST_AUDIT_POINTS or not in_map or not out_of_map:
        return None
    share = scene.share(kind, scene.view.counted)
    audited = audited_cover(share, sum(in_map), len(in_map), sum(out_of_map), len(out_of_map))
    return rounded(100 * max(abs(share - audited.low), abs(audited.high - share)) / 1.959963984540054)


def _map_letters(scene: Scene | None, prepared: PreparedPhoto, audit: tuple[AuditPoint, ...]) -> str:
    """What the map says at each audit point, a letter each: see `PhotoQuality.map_at_audit`."""
    if scene is None or prepared.corners_px is None or not audit:
        return ""
    view, letters = scene.view, ""
    points = [(point.x, point.y) for point in audit]
    for x, y in places_in_frame(points, prepared.corners_px, view.width_px, view.height_px, view.lens, prepared.size_px):
        is_counted = 0 <= x < view.width_px and 0 <= y < view.height_px and view.counted[int(y), int(x)]
        letters += CLASSES[scene.classes[int(y), int(x)]][0] if is_counted else OUTSIDE_COUNTED
    return letters


def _rounded(value: float | None) -> float | None:
    """The same in six significant digits, where there is one."""
    return None if value is None else rounded(value)
