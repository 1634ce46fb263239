"""The part of a photo's way that no stroke can change: found in its frame, its colours made comparable, its quality looked at.

What comes out is small, is kept on disk, and is all that is needed to measure the photo again with other strokes.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.errors import PhotoError
from fairtank.trial import Corners
from fairtank.vision.colour.correction import Correction, uncorrected
from fairtank.vision.framing.edges import NORMAL_LONG_SIDE_PX
from fairtank.vision.framing.placing import Placement, placed
from fairtank.vision.load import LoadedPhoto
from fairtank.vision.quality.evidence import Evidence
from fairtank.vision.quality.state import picture_state
from fairtank.vision.rectify import rectified_in_colour
from fairtank.vision.spots import SpotCandidates
from fairtank.vision.view import View, relative


@dataclass(frozen=True, eq=False)
class PreparedPhoto:
    """One photo before its classes are told.

    evidence: what is known about it as a measurement. picture: array (h, w, 3), uint8, its frame as an upright rectangle in the colours of
    the trial; None when no frame was found. corners_px: of the frame, in px of the upright original. candidates: dots that may be spots.
    """

    evidence: Evidence
    picture: np.ndarray | None = None
    corners_px: Corners | None = None
    candidates: SpotCandidates | None = None


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
    try:
        corners, placement = frame_in_photo(loaded, view, by_hand)
    except PhotoError as error:
        return PreparedPhoto(Evidence(view.mode, failure=str(error)))
    correction: Correction = uncorrected()
    picture = rectified_in_colour(loaded.pixels, corners, view.width_px, view.height_px, correction)
    state = picture_state(picture, view.counted)
    evidence = Evidence(
        view.mode,
        way=placement.way if placement else view.mode,
        edges_found=placement.edges_found if placement else None,
        residual_px=placement.residual_px if placement else None,
        detail=state.detail, clipped_fraction=state.clipped_fraction, level=state.level,
        colour_basis=correction.basis, colour_residual=correction.residual_delta_e,
    )  # fmt: skip
    full_px = corners * max(loaded.full_width_px, loaded.full_height_px)
    corners_px: Corners = tuple((round(float(x), 2), round(float(y), 2)) for x, y in full_px)  # type: ignore[assignment]
    return PreparedPhoto(evidence, picture, corners_px)
