"""A unit's view: its frame, its zones and its reference photo, prepared once and used for every photo of the unit."""

from dataclasses import dataclass, replace

import numpy as np

from fairtank.errors import PhotoError
from fairtank.lens import Lens
from fairtank.trial import Corners, Frame, Zone
from fairtank.vision.card.finding import cards_found
from fairtank.vision.card.reading import CardReading
from fairtank.vision.card.stickers import stickers_found
from fairtank.vision.colour.correction import uncorrected
from fairtank.vision.colour.patch import patch_mean
from fairtank.vision.colour.target import AS_STORED, ColourTarget, UnitColours, colour_target_of, unit_colours
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.lens import straight_points, undistorted
from fairtank.vision.framing.placing import Reference, reference_of
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.plane import SQUARE, polygon_mask, through
from fairtank.vision.quality.look import Look, look_of
from fairtank.vision.rectify import rectified_in_colour

# The rectified picture: one px is a fixed part of a cm for all photos of a unit. A frame that is longer than this in its reference
# photo is reduced, and then to REDUCED_LONG_SIDE_PX: on rendered tanks more px changed cover by less than its error.
RECTIFIED_LONG_SIDE_PX, REDUCED_LONG_SIDE_PX = 960, 720
OUTSIDE = 255
# Zones whose values are told under their own name.
MEASURED_KINDS = ("water", "floor", "plant", "backdrop")
# Zones that never count; what is ignored is not even seen.
UNCOUNTED_KINDS = ("static", "patch", "ignore")


@dataclass(frozen=True, eq=False)
class View:
    """How photos of one unit become a rectified picture.

    corners: array (4, 2), in parts of the reference photo's long side. width_px, height_px: of the rectified picture.
    counted: array (height, width), bool, False in static and ignored zones. seen: the same, False in ignored zones only.
    zone_names, zone_kinds and zones (one bool array each): zones of kind `water` and `floor`. reference: for mode
    `registered`. reference_look: what the reference photo looks like as a photo. card: as the reference photo shows it. card_of_unit:
    number of the card that cards.csv gives the unit. patch_corners: array (n, 2), outline of its painted patch in the reference photo, in
    parts of its long side; patch: array (3,), its mean stored colour there. colours: what its photos are brought to. lens: of the camera,
    where it is known; then all positions here and in prepared photos are those of straightened photos.
    reference_picture: the reference photo in its frame, in the camera's own colours; kept only where a zone of kind `backdrop` was drawn.
    """

    unit: str
    mode: str
    view: str
    width_cm: float
    height_cm: float
    corners: np.ndarray
    width_px: int
    height_px: int
    counted: np.ndarray
    seen: np.ndarray
    zone_names: tuple[str, ...]
    zone_kinds: tuple[str, ...]
    zones: tuple[np.ndarray, ...]
    reference: Reference | None
    reference_look: Look | None
    card: CardReading | None = None
    card_of_unit: int | None = None
    patch_corners: np.ndarray | None = None
    patch: np.ndarray | None = None
    colours: UnitColours = AS_STORED
    lens: Lens | None = None
    reference_picture: np.ndarray | None = None

    @property
    def px_per_cm(self) -> tuple[float, float]:
        """Rectified px per cm across and down."""
        return self.width_px / self.width_cm, self.height_px / self.height_cm


def relative(corners: Corners | np.ndarray, long_side_px: float) -> np.ndarray:
    """Corners in parts of the photo's long side, so that photos of any resolution compare.

    Parameters
    ----------
    corners : four (x, y) pairs
        [px]
    long_side_px : float
        Long side of the photo in the same px.

    Returns
    -------
    array of shape (4, 2)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> relative(((0, 0), (100, 0), (100, 50), (0, 50)), 200)[2].tolist()
    [0.5, 0.25]
    """
    return np.asarray(corners, float) / long_side_px


def carried(points: np.ndarray, before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """Where points of one photo lie in another in which the frame's corners moved: through the homography from corners to corners.

    It holds for what lies in the plane of the front glass, and nearly for what stands close beside it.

    Parameters
    ----------
    points : array of shape (n, 2)
    before, after : array of shape (4, 2)
        The frame's corners in the one and in the other, in the unit of `points`.

    Returns
    -------
    array of shape (n, 2)

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
    >>> carried(np.array([[0.5, 0.5]]), square, 2 * square + 1).round(6).tolist()
    [[2.0, 2.0]]
    """
    import cv2

    # Corners in normalised px are large; in float32 a homography between small shares keeps more digits.
    size = float(np.abs(before).max()) or 1.0
    matrix = cv2.getPerspectiveTransform((before / size).astype(np.float32), (after / size).astype(np.float32))
    return size * through(matrix, points / size)


def zone_mask(zone: Zone, width_cm: float, height_cm: float, width_px: int, height_px: int) -> np.ndarray:
    """Which px of a frame seen straight on lie inside a zone.

    Parameters
    ----------
    zone : Zone
    width_cm, height_cm : float
        Size of the frame. [cm]
    width_px, height_px : int
        Size of its picture.

    Returns
    -------
    array of shape (height_px, width_px), bool

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> half = Zone("T1", "pump", "static", ((0, 0), (30, 0), (30, 36), (0, 36)))
    >>> round(float(zone_mask(half, 60.0, 36.0, 600, 360).mean()), 2)
    0.5
    """
    return polygon_mask(np.asarray(zone.polygon) * (width_px / width_cm, height_px / height_cm), width_px, height_px)


def straightened(photo: LoadedPhoto, lens: Lens | None) -> LoadedPhoto:
    """A photo as a straight lens would have taken it; the same photo where the lens is not known.

    Parameters
    ----------
    photo : LoadedPhoto
    lens : Lens or None

    Returns
    -------
    LoadedPhoto

    References
    ----------
    zhang2000 (keys from sources.py).

    Examples
    --------
    >>> photo = LoadedPhoto(np.zeros((3, 4, 3), np.uint8), 4, 3)
    >>> straightened(photo, None) is photo
    True
    """
    return photo if lens is None else replace(photo, pixels=undistorted(photo.pixels, lens))


def straight_corners(corners: Corners, photo: LoadedPhoto, lens: Lens | None) -> np.ndarray:
    """Corners that were set in a photo, where they lie once it is straightened, in parts of its long side.

    Parameters
    ----------
    corners : four (x, y) pairs
        In px of the upright original.
    photo : LoadedPhoto
    lens : Lens or None

    Returns
    -------
    array of shape (4, 2)

    References
    ----------
    zhang2000 (keys from sources.py).

    Examples
    --------
    >>> photo = LoadedPhoto(np.zeros((3, 4, 3), np.uint8), 4, 3)
    >>> straight_corners(((0, 0), (4, 0), (4, 3), (0, 3)), photo, None)[2].tolist()
    [1.0, 0.75]
    """
    width_px, height_px = photo.full_width_px, photo.full_height_px
    places = np.asarray(corners, float)
    return relative(places if lens is None else straight_points(places, lens, width_px, height_px), max(width_px, height_px))


def view_of(
    frame: Frame,
    zones: tuple[Zone, ...],
    photo: LoadedPhoto,
    *,
    card: int | None = None,
    colour_target: ColourTarget | None = None,
    lens: Lens | None = None,
) -> View:
    """Prepare a unit's view from its frame, its zones and its reference photo.

    Parameters
    ----------
    frame : Frame
        Of the unit; in mode `by_hand` that of any one photo.
    zones : tuple of Zone
        All zones of the unit, polygons in cm from the frame's top-left corner.
    photo : LoadedPhoto
        The reference photo (in mode `by_hand` the photo that the frame belongs to).
    card : int or None
        Number of the photo card that stands at this unit, where that is known.
    colour_target : ColourTarget or None
        Of the trial; None for this unit's own reference photo.
    lens : Lens or None
        Of the camera, where it is known.

    Returns
    -------
    View

    Raises
    ------
    PhotoError
        If zones of kind `static` and `ignore` leave nothing of the frame, or the reference photo shows another unit's card.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    corners, photo = straight_corners(frame.corners, photo, lens), straightened(photo, lens)
    long_px = max(photo.pixels.shape[:2])
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T) * long_px
    across, down = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    native = max(across / frame.width_cm, down / frame.height_cm)
    long_cm = max(frame.width_cm, frame.height_cm)
    px_per_cm = native if native * long_cm <= RECTIFIED_LONG_SIDE_PX else REDUCED_LONG_SIDE_PX / long_cm
    width_px, height_px = max(8, round(px_per_cm * frame.width_cm)), max(8, round(px_per_cm * frame.height_cm))
    counted, seen, measured = _masks(frame, zones, width_px, height_px)
    normalised = corners * NORMAL_LONG_SIDE_PX
    reference = _reference(photo.pixels, normalised, card) if frame.mode == "registered" else None
    view = View(
        frame.unit, frame.mode, frame.view, frame.width_cm, frame.height_cm, corners, width_px, height_px, counted, seen,
        tuple(zone.key for zone, _ in measured), tuple(zone.kind for zone, _ in measured), tuple(mask for _, mask in measured), reference,
        look_of(photo.pixels, corners, rectified_in_colour(photo.pixels, corners, width_px, height_px, uncorrected()), counted),
        card=_card_seen(photo.pixels, normalised.mean(axis=0), card, frame.unit), card_of_unit=card, lens=lens,
        patch_corners=_patch_corners(frame, zones, corners),
    )  # fmt: skip
    if any(zone.kind == "backdrop" for zone in zones):
        kept = rectified_in_colour(photo.pixels, corners, width_px, height_px, uncorrected())
        view = replace(view, reference_picture=kept)
    if view.patch_corners is not None:
        view = replace(view, patch=patch_mean(photo.pixels, view.patch_corners * long_px))
    return with_colour_target(view, colour_target or colour_target_of([view.card], [view.patch]))


def with_colour_target(view: View, target: ColourTarget) -> View:
    """The same view, its photos brought to the colours of a trial.

    Parameters
    ----------
    view : View
    target : ColourTarget

    Returns
    -------
    View

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return replace(view, colours=unit_colours(view.card, view.patch, target))


def rectified(pixels: np.ndarray, corners: np.ndarray, width_px: int, height_px: int, *, nearest: bool = False) -> np.ndarray:
    """The frame's content as an upright rectangle; what lies outside the photo is OUTSIDE when `nearest`, else edge colour.

    Parameters
    ----------
    pixels : array of shape (h, w, 3) or (h, w), uint8
        A photo, or a picture of classes, at any scale.
    corners : array of shape (4, 2)
        In parts of the long side of `pixels`.
    width_px, height_px : int
        Size of the result.
    nearest : bool
        Take the nearest px instead of blending: for pictures of classes.

    Returns
    -------
    array of shape (height_px, width_px[, 3]), uint8

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> grey = np.arange(12, dtype=np.uint8).reshape(3, 4)
    >>> corners = relative(((0, 0), (4, 0), (4, 3), (0, 3)), 4)
    >>> bool((rectified(grey, corners, 4, 3) == grey).all())
    True
    """
    import cv2

    # Corners are continuous positions: 0 is the outer edge of the first px, whose centre lies at 0.5.
    source = (corners * max(pixels.shape[:2]) - 0.5).astype(np.float32)
    target = np.array([[0, 0], [width_px, 0], [width_px, height_px], [0, height_px]], np.float32) - 0.5
    matrix = cv2.getPerspectiveTransform(target, source.astype(np.float32))
    if np.allclose(matrix, np.eye(3), atol=1e-4) and pixels.shape[:2] == (height_px, width_px):
        return pixels
    flags = (cv2.INTER_NEAREST if nearest else cv2.INTER_LINEAR) | cv2.WARP_INVERSE_MAP
    border = {"borderMode": cv2.BORDER_CONSTANT, "borderValue": (OUTSIDE,) * 3} if nearest else {"borderMode": cv2.BORDER_REPLICATE}
    return cv2.warpPerspective(pixels, matrix, (width_px, height_px), flags=flags, **border)


def _reference(pixels: np.ndarray, corners: np.ndarray, card: int | None) -> Reference:
    """What later photos are placed by, with the stickers at its glass where it has any."""
    stickers = stickers_found(pixels, card)
    return reference_of(pixels, corners, stickers=stickers.corners if stickers else None)


def _masks(
    frame: Frame, zones: tuple[Zone, ...], width_px: int, height_px: int
) -> tuple[np.ndarray, np.ndarray, list[tuple[Zone, np.ndarray]]]:
    """What counts, what is seen, and the zones that are measured on their own with what counts of them."""
    masks = {zone.key: zone_mask(zone, frame.width_cm, frame.height_cm, width_px, height_px) for zone in zones}
    seen = np.ones((height_px, width_px), bool)
    for zone in zones:
        if zone.kind == "ignore":
            seen &= ~masks[zone.key]
    counted = seen.copy()
    for zone in zones:
        if zone.kind in UNCOUNTED_KINDS:
            counted &= ~masks[zone.key]
    if not counted.any():
        raise PhotoError(
            f"The zones of {frame.unit} leave nothing to measure: static and ignored zones fill the whole frame. "
            "Draw them smaller in zones.csv."
        )
    return counted, seen, [(zone, masks[zone.key] & counted) for zone in zones if zone.kind in MEASURED_KINDS]


def _card_seen(pixels: np.ndarray, middle: np.ndarray, card: int | None, unit: str) -> CardReading | None:
    """The unit's card in its reference photo: the one that is named, else the one that stands nearest to the frame."""
    found = cards_found(pixels)
    if card is None:
        return min(found, key=lambda reading: float(np.hypot(*(reading.corners.mean(axis=0) - middle))), default=None)
    own = next((reading for reading in found if reading.card == card), None)
    if own is None and found:
        raise PhotoError(
            f"The reference photo shows photo card {found[0].card}, but {unit} has card {card}. "
            "Is it the photo of another tank, or do the cards stand at the wrong tanks?"
        )
    return own


def _patch_corners(frame: Frame, zones: tuple[Zone, ...], corners: np.ndarray) -> np.ndarray | None:
    """The outline of the unit's first zone of kind `patch` in its reference photo, in parts of the long side."""
    zone = next((zone for zone in zones if zone.kind == "patch"), None)
    if zone is None:
        return None
    return carried(np.asarray(zone.polygon, float), SQUARE * (frame.width_cm, frame.height_cm), corners)


