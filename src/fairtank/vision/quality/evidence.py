"""All that is known about a photo as a measurement before its classes are told: numbers only, the verdict is made from them."""

from dataclasses import dataclass, replace
from statistics import median

from fairtank.vision.quality.compared import compared
from fairtank.vision.quality.look import Look


@dataclass(frozen=True)
class Evidence:
    """What a photo shows of itself; None where it was not looked for or could not be told.

    mode: of the frame. failure: why no frame was found, a sentence; empty when one was. edges_found, residual_px: glass edges found
    again, and the worst edge's median residual [normalised px]. way: how the frame was found. moved_cm: how far the camera stands from
    where it stood for the reference photo.
    card_expected, card_read: number of the card that the unit's reference photo shows, and of the one that this photo shows.
    card_light_ratio: light on the card as stored, in units of the reference's. clipped_fraction, level: see `quality.look.Look`.
    colour_basis, colour_residual: see `colour.correction.Correction`. sharpness and the rest: see `quality.compared.Compared`.
    """

    mode: str
    failure: str = ""
    way: str = ""
    edges_found: int | None = None
    residual_px: float | None = None
    moved_cm: float | None = None
    card_expected: int | None = None
    card_read: int | None = None
    clipped_fraction: float | None = None
    level: float | None = None
    colour_basis: str = "none"
    colour_residual: float | None = None
    card_light_ratio: float | None = None
    sharpness: float | None = None
    light_ratio: float | None = None
    surround_ratio: float | None = None
    clipped_excess: float | None = None
    veiled_fraction: float | None = None
    hidden_fraction: float | None = None
    foreign_fraction: float | None = None
    kept_fraction: float | None = None
    shifted_fraction: float | None = None
    shift_cm: float | None = None
    line_strength: float | None = None
    line_at: float | None = None


def with_look(evidence: Evidence, look: Look, reference: Look | None, width_cm: float, view: str = "front") -> Evidence:
    """The evidence with what the photo's look adds to it.

    Parameters
    ----------
    evidence : Evidence
    look : Look
        Of this photo.
    reference : Look or None
        Of the unit's reference photo; without it only what a photo says of itself is added.
    width_cm : float
        Width of the frame. [cm], above 0
    view : str
        One of `trial.VIEWS`; a water line is looked for from the front only.

    Returns
    -------
    Evidence
        Corners that were set by hand for each photo come from a camera that stood anywhere: then what stands in the frame is not
        compared place by place, only sharpness and light are.

    References
    ----------
    common_practice (keys from sources.py).
    """
    own = replace(evidence, clipped_fraction=look.clipped_fraction, level=look.level)
    if reference is None or look.light.shape != reference.light.shape:
        return own
    beside = compared(look, reference, width_cm)
    own = replace(own, sharpness=beside.sharpness, light_ratio=beside.light_ratio, surround_ratio=beside.surround_ratio,
                  clipped_excess=beside.clipped_excess)  # fmt: skip
    if evidence.mode == "by_hand":
        return own
    lined = view == "front"
    return replace(
        own, veiled_fraction=beside.veiled_fraction, hidden_fraction=beside.hidden_fraction, foreign_fraction=beside.foreign_fraction,
        kept_fraction=beside.kept_fraction, shifted_fraction=beside.shifted_fraction, shift_cm=beside.shift_cm,
        line_strength=beside.line_strength if lined else None, line_at=beside.line_at if lined else None,
    )  # fmt: skip


def card_light_ratio(patches: list[float], reference: list[float]) -> float | None:
    """Light on the card in units of the reference photo's: the middle of its fields' ratios.

    Parameters
    ----------
    patches, reference : list of float
        Stored lightness of the same fields in both photos, of those that are neither too dark nor burnt out. [0 to 255]

    Returns
    -------
    float or None
        None without a field.

    References
    ----------
    iec61966 (keys from sources.py).

    Examples
    --------
    >>> card_light_ratio([128.0, 64.0], [128.0, 64.0])
    1.0
    """
    ratios = [_light(one) / max(_light(other), 1e-6) for one, other in zip(patches, reference, strict=True)]
    return median(ratios) if ratios else None


def _light(stored: float) -> float:
    """Linear light of a stored value (iec61966)."""
    part = stored / 255
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
