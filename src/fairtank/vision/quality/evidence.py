"""All that is known about a photo as a measurement before its classes are told: numbers only, the verdict is made from them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Evidence:
    """What a photo shows of itself; None where it was not looked for or could not be told.

    mode: of the frame. failure: why no frame was found, a sentence; empty when one was. edges_found, residual_px: glass edges found
    again, and the worst edge's median residual [normalised px]. way: how the frame was found. moved_cm: how far the camera stands from
    where it stood for the reference photo. changed_fraction: share of what does not grow that no longer looks as in the reference photo.
    card_expected, card_read: number of the card that the unit's reference photo shows, and of the one that this photo shows.
    detail, clipped_fraction, level: see `quality.state.PictureState`. colour_basis, colour_residual: see `colour.correction.Correction`.
    """

    mode: str
    failure: str = ""
    way: str = ""
    edges_found: int | None = None
    residual_px: float | None = None
    moved_cm: float | None = None
    changed_fraction: float | None = None
    card_expected: int | None = None
    card_read: int | None = None
    detail: float | None = None
    clipped_fraction: float | None = None
    level: float | None = None
    colour_basis: str = "none"
    colour_residual: float | None = None
