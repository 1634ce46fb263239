"""One photo measured: placed, rectified, judged for quality, classified, and every declared measure taken."""

from dataclasses import dataclass

import numpy as np

from fairtank import registry
from fairtank.errors import PhotoError
from fairtank.science.cover import audited_cover
from fairtank.trial import AuditPoint, Corners, Measured, Photo, PhotoQuality
from fairtank.vision.colours import CLASSES, ColourLookup
from fairtank.vision.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.placing import Placement, placed
from fairtank.vision.quality import NOT_USABLE, picture_state, quality_of
from fairtank.vision.scene import ALGAE, PLANT, Scene, scene_of
from fairtank.vision.view import View, rectified, relative

# Goes up whenever a change can alter a measured value; results stored under another number are measured again.
METHOD = "1"
THUMBNAIL_WIDTH_PX = 240
# Audit points of one photo needed before its cover is given a standard error.
FEWEST_AUDIT_POINTS = 30
_AUDITED = {"plant_cover": PLANT, "algae_cover": ALGAE}


@dataclass(frozen=True, eq=False)
class PhotoResult:
    """All that one photo gave: its measures, its quality and a small rectified picture (JPEG bytes, empty when it was not placed)."""

    measured: tuple[Measured, ...]
    quality: PhotoQuality
    thumbnail: bytes


def frame_in_photo(loaded: LoadedPhoto, view: View, by_hand: Corners | None) -> tuple[np.ndarray, Placement | None]:
    """The frame's corners in this photo, in parts of its long side, and how they were found.

    Parameters
    ----------
    loaded : LoadedPhoto
    view : View
        Of the photo's unit.
    by_hand : four (x, y) pairs or None
        Corners set for this very photo, in px of the upright original (mode `by_hand`).

    Returns
    -------
    (array of shape (4, 2), Placement or None)
        The placement in mode `registered` only.

    Raises
    ------
    PhotoError
        If the photo does not match the reference photo, or needs corners and has none.

    References
    ----------
    rublee2011 (keys from sources.py).
    """
    if view.mode == "by_hand":
        if by_hand is None:
            raise PhotoError("Its corners were not set; frames.csv needs a row for each photo in mode by_hand.")
        return relative(by_hand, max(loaded.full_width_px, loaded.full_height_px)), None
    if view.mode == "fixed" or view.reference is None:
        return view.corners, None
    placement = placed(loaded.pixels, view.reference)
    if placement is None:
        raise PhotoError(
            "The tank was not found again: the photo does not match the reference photo. Is it another tank, very dark, or very blurred?"
        )
    return placement.corners / NORMAL_LONG_SIDE_PX, placement


def measure_photo(
    photo: Photo,
    loaded: LoadedPhoto,
    view: View,
    lookup: ColourLookup | None,
    *,
    version: str,
    by_hand: Corners | None = None,
    audit: tuple[AuditPoint, ...] = (),
) -> PhotoResult:
    """Every measure of one photo, with its quality.

    A photo that cannot be placed gives no measures and says why; it never raises for what the picture shows.

    Parameters
    ----------
    photo : Photo
        Which photo it is: path, unit, time and day.
    loaded : LoadedPhoto
        Its pixels.
    view : View
        Of its unit.
    lookup : ColourLookup or None
        Classes learnt from strokes; without them only the photo's quality is given.
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
    try:
        corners, placement = frame_in_photo(loaded, view, by_hand)
    except PhotoError as error:
        return unusable(photo, str(error), version)
    picture = rectified(loaded.pixels, corners, view.width_px, view.height_px)
    state = picture_state(picture, view.counted)
    scene = scene_of(picture, view, lookup) if lookup is not None else None
    reference_state = view.reference_state if view.mode != "by_hand" else None
    quality, reasons = quality_of(state, reference_state, placement, view.mode, scene.unsure_fraction if scene else None)
    measured = () if scene is None or quality == NOT_USABLE else _measured(photo, scene, corners, loaded, audit, quality, version)
    full_px = corners * max(loaded.full_width_px, loaded.full_height_px)
    corners_px: Corners = tuple((round(float(x), 2), round(float(y), 2)) for x, y in full_px)  # type: ignore[assignment]
    facts = PhotoQuality(
        photo.path, photo.unit, photo.day, quality, reasons, corners_px,
        sharpness=_rounded(state.detail / view.reference_state.detail) if view.reference_state and view.reference_state.detail else None,
        clipped_fraction=_rounded(state.clipped_fraction), light_level=_rounded(state.level),
        uncertain_fraction=_rounded(scene.unsure_fraction) if scene else None, version=version,
    )  # fmt: skip
    return PhotoResult(measured, facts, jpeg(picture, THUMBNAIL_WIDTH_PX))


def unusable(photo: Photo, reason: str, version: str) -> PhotoResult:
    """The result of a photo that gave nothing, with the reason.

    Parameters
    ----------
    photo : Photo
    reason : str
        One whole sentence.
    version : str

    Returns
    -------
    PhotoResult

    References
    ----------
    common_practice (keys from sources.py).
    """
    quality = PhotoQuality(photo.path, photo.unit, photo.day, NOT_USABLE, (reason,), None, None, None, None, None, version)
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
    photo: Photo, scene: Scene, corners: np.ndarray, loaded: LoadedPhoto, audit: tuple[AuditPoint, ...], quality: str, version: str
) -> tuple[Measured, ...]:
    rows = []
    for entry in registry.entries("measure"):
        for zone, value in entry.function(scene).items():
            se = None
            if zone == "" and entry.key in _AUDITED:
                se = _audited_se(scene, _AUDITED[entry.key], corners, loaded, audit)
            place = (photo.path, photo.unit, photo.taken_at, photo.day)
            rows.append(Measured(*place, entry.key, zone, _rounded(value), entry.unit, se, quality, version))
    return tuple(rows)


def _audited_se(scene: Scene, kind: int, corners: np.ndarray, loaded: LoadedPhoto, audit: tuple[AuditPoint, ...]) -> float | None:
    """Standard error of the map's cover [%] after a person's answers at random points; None with too few of them.

    It is the distance from the map's cover to the further end of the audit's interval, over 1.96: the map is taken at
    its word only as far as the points bear it out.
    """
    import cv2

    view = scene.view
    answered = [point for point in audit if point.answer in CLASSES]
    if not answered:
        return None
    source = (corners * max(loaded.full_width_px, loaded.full_height_px)).astype(np.float32)
    target = np.array([[0, 0], [view.width_px, 0], [view.width_px, view.height_px], [0, view.height_px]], np.float32)
    matrix = cv2.getPerspectiveTransform(source, target)
    places = cv2.perspectiveTransform(np.array([[(point.x, point.y) for point in answered]], np.float32), matrix)[0]
    inside = [
        (bool(scene.classes[int(y), int(x)] == kind), point.answer == CLASSES[kind])
        for (x, y), point in zip(places, answered, strict=True)
        if 0 <= x < view.width_px and 0 <= y < view.height_px and view.counted[int(y), int(x)]
    ]
    in_map = [truly for mapped, truly in inside if mapped]
    out_of_map = [truly for mapped, truly in inside if not mapped]
    if len(inside) < FEWEST_AUDIT_POINTS or not in_map or not out_of_map:
        return None
    share = scene.share(kind, view.counted)
    audited = audited_cover(share, sum(in_map), len(in_map), sum(out_of_map), len(out_of_map))
    return _rounded(100 * max(abs(share - audited.low), abs(audited.high - share)) / 1.959963984540054)


def _rounded(value: float) -> float:
    """Six significant digits: more than any photo supports, few enough to be the same on every machine."""
    return float(f"{value:.6g}")
