"""Whether a photo can be trusted as a measurement, with the reasons in whole sentences."""

from fairtank.trial import QUALITIES
from fairtank.vision.quality.evidence import Evidence
from fairtank.vision.quality.state import PictureState

USABLE, DOUBTFUL, NOT_USABLE = QUALITIES
# Sharpness relative to the unit's reference photo, below which a photo is doubtful, or not usable.
SHARPNESS_DOUBTFUL, SHARPNESS_LOWEST = 0.6, 0.4
CLIPPED_HIGHEST = 0.05
# Brightness of the lightest tenth relative to the reference photo's, in linear light. (The median would fall as plants grow.)
# At half the light a quarter to almost half of the algae were missed on rendered photos, while plants kept their cover.
LIGHT_DOUBTFUL, LIGHT_LOWEST = (0.6, 1.7), (0.25, 4.0)
UNSURE_HIGHEST = 0.25


def quality_of(evidence: Evidence, reference: PictureState | None, unsure_fraction: float | None) -> tuple[str, tuple[str, ...]]:
    """The photo's quality and the reasons for it, one sentence each.

    Parameters
    ----------
    evidence : Evidence
        What is known about this photo.
    reference : PictureState or None
        Of the unit's reference photo.
    unsure_fraction : float or None
        Share of counted px whose class was a close call.

    Returns
    -------
    (str, tuple of str)
        One of `trial.QUALITIES`, and sentences; none for a photo that is simply usable.

    References
    ----------
    common_practice (keys from sources.py).
    """
    worst, reasons = 0, []

    def note(severity: int, sentence: str) -> None:
        nonlocal worst
        worst = max(worst, severity)
        reasons.append(sentence)

    edges, residual = evidence.edges_found, evidence.residual_px
    if edges is not None and residual is not None and (edges < 3 or residual > 1.0):
        few = f"Only {edges} of the 4 glass edges were found again"
        note(1, f"{few if edges < 4 else 'The glass edges were found only roughly'}, so the frame is less exact.")
    if reference is not None and evidence.detail is not None and evidence.level is not None:
        sharp = evidence.detail / max(reference.detail, 1e-6)
        if sharp < SHARPNESS_DOUBTFUL:
            blurred = f"The photo is blurred: it has {100 * sharp:.0f} % of the reference photo's fine detail."
            note(2 if sharp < SHARPNESS_LOWEST else 1, blurred)
        light = evidence.level / max(reference.level, 1e-6)
        if not LIGHT_DOUBTFUL[0] <= light <= LIGHT_DOUBTFUL[1]:
            word = "darker" if light < 1 else "brighter"
            far = not LIGHT_LOWEST[0] <= light <= LIGHT_LOWEST[1]
            note(2 if far else 1, f"The photo is much {word} than the reference photo: {light:.2g} times its light.")
    clipped = evidence.clipped_fraction or 0.0
    excess = clipped - (reference.clipped_fraction if reference is not None else 0.0)
    if excess > CLIPPED_HIGHEST:
        note(2 if excess > 4 * CLIPPED_HIGHEST else 1, f"{100 * clipped:.0f} % of the frame is burnt out to pure white or full colour.")
    if unsure_fraction is not None and unsure_fraction > UNSURE_HIGHEST:
        share = f"{100 * unsure_fraction:.0f} % of the frame"
        note(1, f"{share} has colours that the strokes leave open: paint strokes on this photo.")
    return QUALITIES[worst], tuple(reasons)
