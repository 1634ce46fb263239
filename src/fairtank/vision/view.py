"""A unit's view: its frame, its zones and its reference photo, prepared once and used for every photo of the unit."""

from dataclasses import dataclass

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import Corners, Frame, Zone
from fairtank.vision.colour.correction import uncorrected
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.placing import Reference, reference_of
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.quality.state import PictureState, picture_state
from fairtank.vision.rectify import rectified_in_colour

# The rectified picture: one px is a fixed part of a cm for all photos of a unit. A frame that is longer than this in its reference
# photo is reduced, and then to REDUCED_LONG_SIDE_PX: on rendered tanks more px changed cover by less than its error.
RECTIFIED_LONG_SIDE_PX, REDUCED_LONG_SIDE_PX = 960, 720
OUTSIDE = 255


@dataclass(frozen=True, eq=False)
class View:
    """How photos of one unit become a rectified picture.

    corners: array (4, 2), in parts of the reference photo's long side. width_px, height_px: of the rectified picture.
    counted: array (height, width), bool, False in static and ignored zones. seen: the same, False in ignored zones only.
    zone_names, zone_kinds and zones (one bool array each): zones of kind `water` and `floor`. reference: for mode
    `registered`. reference_state: how sharp and bright the reference photo is.
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
    reference_state: PictureState | None

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


def view_of(frame: Frame, zones: tuple[Zone, ...], photo: LoadedPhoto) -> View:
    """Prepare a unit's view from its frame, its zones and its reference photo.

    Parameters
    ----------
    frame : Frame
        Of the unit; in mode `by_hand` that of any one photo.
    zones : tuple of Zone
        All zones of the unit, polygons in cm from the frame's top-left corner.
    photo : LoadedPhoto
        The reference photo (in mode `by_hand` the photo that the frame belongs to).

    Returns
    -------
    View

    Raises
    ------
    PhotoError
        If zones of kind `static` and `ignore` leave nothing of the frame.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    full_long_px = max(photo.full_width_px, photo.full_height_px)
    corners = relative(frame.corners, full_long_px)
    long_px = max(photo.pixels.shape[:2])
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T) * long_px
    across, down = (sides[0] + sides[2]) / 2, (sides[1] + sides[3]) / 2
    native = max(across / frame.width_cm, down / frame.height_cm)
    long_cm = max(frame.width_cm, frame.height_cm)
    px_per_cm = native if native * long_cm <= RECTIFIED_LONG_SIDE_PX else REDUCED_LONG_SIDE_PX / long_cm
    width_px, height_px = max(8, round(px_per_cm * frame.width_cm)), max(8, round(px_per_cm * frame.height_cm))
    masks = {zone.key: _polygon_mask(zone, frame, width_px, height_px) for zone in zones}
    seen = np.ones((height_px, width_px), bool)
    for zone in zones:
        if zone.kind == "ignore":
            seen &= ~masks[zone.key]
    counted = seen.copy()
    for zone in zones:
        if zone.kind == "static":
            counted &= ~masks[zone.key]
    if not counted.any():
        raise PhotoError(
            f"The zones of {frame.unit} leave nothing to measure: static and ignored zones fill the whole frame. "
            "Draw them smaller in zones.csv."
        )
    measured = [zone for zone in zones if zone.kind in ("water", "floor")]
    reference = reference_of(photo.pixels, corners * NORMAL_LONG_SIDE_PX) if frame.mode == "registered" else None
    return View(
        frame.unit, frame.mode, frame.view, frame.width_cm, frame.height_cm, corners, width_px, height_px, counted, seen,
        tuple(zone.key for zone in measured), tuple(zone.kind for zone in measured),
        tuple(masks[zone.key] & counted for zone in measured), reference,
        picture_state(rectified_in_colour(photo.pixels, corners, width_px, height_px, uncorrected()), counted),
    )  # fmt: skip


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


def _polygon_mask(zone: Zone, frame: Frame, width_px: int, height_px: int) -> np.ndarray:
    """Which rectified px lie inside a zone."""
    import cv2

    scale = np.array([width_px / frame.width_cm, height_px / frame.height_cm])
    points = np.asarray(zone.polygon) * scale - 0.5
    mask = np.zeros((height_px, width_px), np.uint8)
    cv2.fillPoly(mask, [np.round(points * 16).astype(np.int32)], 1, shift=4)
    return mask.astype(bool)
