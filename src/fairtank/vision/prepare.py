"""The part of a photo's way that no stroke can change: found in its frame, its colours made comparable, its quality looked at.

What comes out is small, is kept on disk, and is all that is needed to measure the photo again with other strokes.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import Corners
from fairtank.vision.card.finding import cards_found
from fairtank.vision.card.flat import card_read_at
from fairtank.vision.card.reading import CardReading
from fairtank.vision.card.stickers import stickers_found
from fairtank.vision.colour.correction import Correction, card_correction, patch_correction, uncorrected
from fairtank.vision.colour.patch import patch_mean
from fairtank.vision.framing.camera import camera_moved
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.lens import bent_points
from fairtank.vision.framing.placing import Placement, placed
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.quality.evidence import Evidence, card_light_ratio, with_look
from fairtank.vision.quality.look import look_of
from fairtank.vision.rectify import rectified_in_colour
from fairtank.vision.spots import SpotCandidates, spot_candidates
from fairtank.vision.view import View, carried, straight_corners, straightened


@dataclass(frozen=True, eq=False)
class PreparedPhoto:
    """One photo before its classes are told.

    evidence: what is known about it as a measurement. picture: array (h, w, 3), uint8, its frame as an upright rectangle in the colours of
    the trial; None when no frame was found. corners_px: of the frame, in px of the upright original. candidates: dots that may be spots.
    size_px: width and height of the upright original.
    """

    evidence: Evidence
    picture: np.ndarray | None = None
    corners_px: Corners | None = None
    candidates: SpotCandidates | None = None
    size_px: tuple[int, int] | None = None


class CardLook:
    """The photo card looked for in one photo: first where the frame says it stands, and only if it is not there in the whole photo."""

    def __init__(self, pixels: np.ndarray, view: View) -> None:
        """Nothing is looked at yet. pixels: the photo at analysis scale. view: of its unit."""
        self.pixels, self.view = pixels, view
        self.reading: CardReading | None = None

    @cached_property
    def anywhere(self) -> tuple[CardReading, ...]:
        """Every card in the photo."""
        return cards_found(self.pixels)

    def agrees(self, corners: np.ndarray) -> bool | None:
        """Whether the unit's card stands where it must if the frame's corners lie there [normalised px]; None where that cannot be told."""
        card = self.view.card
        if card is None:
            return None
        expected = carried(card.corners, self.view.corners * NORMAL_LONG_SIDE_PX, corners)
        self.reading = card_read_at(self.pixels, expected, card.card)
        if self.reading is not None:
            return True
        return False if any(reading.card == card.card for reading in self.anywhere) else None

    def settled(self) -> CardReading | None:
        """The card that tells about this photo: the unit's own, else any other one that is there instead."""
        if self.view.card is None or self.reading is not None:
            return self.reading
        own = [reading for reading in self.anywhere if reading.card == self.view.card.card]
        return next(iter((*own, *self.anywhere)), None)


def frame_in_photo(
    loaded: LoadedPhoto, view: View, by_hand: Corners | None, look: CardLook | None = None
) -> tuple[np.ndarray, Placement | None]:
    """The frame's corners in this photo, in parts of its long side, and how they were found.

    Parameters
    ----------
    loaded : LoadedPhoto
    view : View
        Of the photo's unit.
    by_hand : four (x, y) pairs or None
        Corners set for this very photo, in px of the upright original (mode `by_hand`).
    look : CardLook or None
        At the card of this photo, which speaks for or against a place of the frame.

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
    look = look or CardLook(loaded.pixels, view)
    if view.mode == "by_hand" and by_hand is None:
        raise PhotoError("Its corners were not set; frames.csv needs a row for each photo in mode by_hand.")
    if view.mode != "registered" or view.reference is None:
        corners = view.corners if by_hand is None else straight_corners(by_hand, loaded, view.lens)
        look.agrees(corners * NORMAL_LONG_SIDE_PX)
        return corners, None

    def marked() -> np.ndarray | None:
        seen = stickers_found(loaded.pixels, view.card_of_unit)
        return seen.corners if seen else None

    placement = placed(loaded.pixels, view.reference, check=look.agrees, stickers=marked if view.reference.stickers is not None else None)
    if placement is None:
        raise PhotoError(
            "The tank was not found again: the photo does not match the reference photo. Is it another tank, very dark, or very blurred?"
        )
    return placement.corners / NORMAL_LONG_SIDE_PX, placement


def correction_of(pixels: np.ndarray, corners: np.ndarray, view: View, card: CardReading | None) -> Correction:
    """What brings a photo to the colours of the trial: its card, else its painted patch, else only what is known of its unit.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
    corners : array of shape (4, 2)
        Of the frame, in parts of the long side.
    view : View
        Of the photo's unit.
    card : CardReading or None
        The card that the photo shows.

    Returns
    -------
    Correction

    References
    ----------
    iec61966 (keys from sources.py).
    """
    if card is not None and view.card is not None and view.colours.fields is not None and card.card == view.card.card:
        found = card_correction(card.patches, card.clipped, view.colours.fields)
        if found.basis == "card":
            return found
    if view.patch_corners is not None and view.colours.patch is not None:
        seen = patch_mean(pixels, carried(view.patch_corners, view.corners, corners) * max(pixels.shape[:2]))
        if seen is not None:
            found = patch_correction(seen, view.colours.patch)
            if found.basis == "patch":
                return found
    return uncorrected(view.colours.scale)


def prepared_photo(loaded: LoadedPhoto, view: View, by_hand: Corners | None = None) -> PreparedPhoto:
    """A photo in its frame and in the colours of the trial, with all that tells how far it can be trusted.

    It never raises for what the picture shows: a photo that cannot be placed says why in its evidence.

    Parameters
    ----------
    loaded : LoadedPhoto
    view : View
        Of the photo's unit.
    by_hand : four (x, y) pairs or None
        Corners set for this photo.

    Returns
    -------
    PreparedPhoto

    References
    ----------
    common_practice (keys from sources.py).
    """
    loaded = straightened(loaded, view.lens)
    look = CardLook(loaded.pixels, view)
    expected = view.card.card if view.card else None
    try:
        corners, placement = frame_in_photo(loaded, view, by_hand, look)
    except PhotoError as error:
        card = look.settled()
        return PreparedPhoto(Evidence(view.mode, failure=str(error), card_expected=expected, card_read=card.card if card else None))
    card = look.settled()
    correction = correction_of(loaded.pixels, corners, view, card)
    picture = rectified_in_colour(loaded.pixels, corners, view.width_px, view.height_px, correction)
    evidence = Evidence(
        view.mode,
        way=placement.way if placement else view.mode,
        edges_found=placement.edges_found if placement else None,
        residual_px=placement.residual_px if placement else None,
        moved_cm=_moved_cm(corners, loaded, view), card_expected=expected, card_read=card.card if card else None,
        colour_basis=correction.basis, colour_residual=correction.residual_delta_e, card_light_ratio=_light_on_card(card, view.card),
    )  # fmt: skip
    look_here = look_of(loaded.pixels, corners, picture, view.counted)
    evidence = with_look(evidence, look_here, view.reference_look, view.width_cm, view.view)
    size_px = (loaded.full_width_px, loaded.full_height_px)
    return PreparedPhoto(evidence, picture, _as_taken(corners, loaded, view), spot_candidates(loaded.pixels, corners, view), size_px)


def _as_taken(corners: np.ndarray, loaded: LoadedPhoto, view: View) -> Corners:
    """Corners in px of the upright original, as the lens bent them."""
    width_px, height_px = loaded.full_width_px, loaded.full_height_px
    full_px = corners * max(width_px, height_px)
    if view.lens is not None:
        full_px = bent_points(full_px, view.lens, width_px, height_px)
    one, two, three, four = ((round(float(x), 2), round(float(y), 2)) for x, y in full_px)
    return one, two, three, four


def _moved_cm(corners: np.ndarray, loaded: LoadedPhoto, view: View) -> float | None:
    """How far the camera stands from its place for the reference photo; 0 for what may be no more than the corners' own error."""
    if view.mode == "fixed" or view.view != "front":
        return None
    height, width = loaded.pixels.shape[:2]
    middle = NORMAL_LONG_SIDE_PX / 2 * np.array([width, height]) / max(width, height)
    move = camera_moved(
        view.corners * NORMAL_LONG_SIDE_PX, corners * NORMAL_LONG_SIDE_PX, width_cm=view.width_cm, height_cm=view.height_cm,
        middle_px=(float(middle[0]), float(middle[1])), focal_px=view.lens.focal_px if view.lens else _noted_focal_px(loaded),
    )  # fmt: skip
    return move.moved_cm if move.moved_cm > move.tolerance_cm else 0.0


def _noted_focal_px(loaded: LoadedPhoto) -> float | None:
    """Focal length [normalised px] from what the camera noted in the photo, film's diagonal (43.27 mm) to the photo's; None without."""
    if loaded.focal_35mm is None:
        return None
    width_px, height_px = loaded.full_width_px, loaded.full_height_px
    return loaded.focal_35mm / 43.27 * math.hypot(width_px, height_px) / max(width_px, height_px) * NORMAL_LONG_SIDE_PX


def _light_on_card(card: CardReading | None, reference: CardReading | None) -> float | None:
    """Light on the unit's own card, in units of the reference photo's; None where one of the two is not there."""
    if card is None or reference is None or card.card != reference.card:
        return None
    both = ~(card.clipped | reference.clipped)
    return card_light_ratio(card.patches[both, 1].tolist(), reference.patches[both, 1].tolist())
