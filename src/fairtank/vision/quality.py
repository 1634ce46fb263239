"""Whether a photo can be trusted as a measurement, with the reasons in whole sentences."""

from dataclasses import dataclass

import numpy as np

from fairtank.trial import QUALITIES
from fairtank.vision.placing import Placement

USABLE, DOUBTFUL, NOT_USABLE = QUALITIES
# Sharpness relative to the unit's reference photo, below which a photo is doubtful, or not usable.
SHARPNESS_DOUBTFUL, SHARPNESS_LOWEST = 0.6, 0.4
CLIPPED_HIGHEST = 0.05
# Brightness of the lightest tenth relative to the reference photo's, in linear light. (The median would fall as plants grow.)
# At half the light a quarter to almost half of the algae were missed on rendered photos, while plants kept their cover.
LIGHT_DOUBTFUL, LIGHT_LOWEST = (0.6, 1.7), (0.25, 4.0)
UNSURE_HIGHEST = 0.25


@dataclass(frozen=True)
class PictureState:
    """What the pixels inside the frame say about the photo itself.

    detail: variance of fine detail over variance of middling detail; falls when a photo is blurred, does not follow
    its exposure. clipped_fraction: share of px with a channel at 254 or 255. level: the lightness
    that nine tenths of the frame stay under, in linear light. [0 to 1]
    """

    detail: float
    clipped_fraction: float
    level: float


def picture_state(rectified: np.ndarray, counted: np.ndarray) -> PictureState:
    """Sharpness, clipping and brightness of the rectified picture.

    Parameters
    ----------
    rectified : array of shape (h, w, 3), uint8
    counted : array of shape (h, w), bool
        The px that count.

    Returns
    -------
    PictureState

    References
    ----------
    iec61966 (keys from sources.py).
    """
    import cv2

    red, green, blue = cv2.split(rectified)
    mask = counted.view(np.uint8)
    small = green.astype(np.float32)
    fine = cv2.blur(small, (3, 3))
    middling = cv2.blur(fine, (7, 7))
    coarse = cv2.blur(middling, (15, 15))
    spread = [float(cv2.meanStdDev(one - other, mask=mask)[1][0, 0]) ** 2 for one, other in ((small, fine), (middling, coarse))]
    detail = spread[0] / (spread[1] + 1.0)
    highest = cv2.max(cv2.max(red, green), blue)
    clipped = np.count_nonzero((highest >= 254) & counted) / np.count_nonzero(counted)
    bright = float(np.percentile(green[counted][::7], 90)) / 255
    level = bright / 12.92 if bright <= 0.04045 else ((bright + 0.055) / 1.055) ** 2.4
    return PictureState(detail, clipped, level)


def quality_of(
    state: PictureState, reference: PictureState | None, placement: Placement | None, mode: str, unsure_fraction: float | None
) -> tuple[str, tuple[str, ...]]:
    """The photo's quality and the reasons for it, one sentence each.

    Parameters
    ----------
    state : PictureState
        Of this photo.
    reference : PictureState or None
        Of the unit's reference photo.
    placement : Placement or None
        Where the frame was found, in mode `registered`.
    mode : str
        The frame's mode.
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

    if mode == "registered" and placement is not None and (placement.edges_found < 3 or placement.residual_px > 1.0):
        few = f"Only {placement.edges_found} of the 4 glass edges were found again"
        note(1, f"{few if placement.edges_found < 4 else 'The glass edges were found only roughly'}, so the frame is less exact.")
    if reference is not None:
        sharp = state.detail / max(reference.detail, 1e-6)
        if sharp < SHARPNESS_DOUBTFUL:
            blurred = f"The photo is blurred: it has {100 * sharp:.0f} % of the reference photo's fine detail."
            note(2 if sharp < SHARPNESS_LOWEST else 1, blurred)
        light = state.level / max(reference.level, 1e-6)
        if not LIGHT_DOUBTFUL[0] <= light <= LIGHT_DOUBTFUL[1]:
            word = "darker" if light < 1 else "brighter"
            far = not LIGHT_LOWEST[0] <= light <= LIGHT_LOWEST[1]
            note(2 if far else 1, f"The photo is much {word} than the reference photo: {light:.2g} times its light.")
    excess = state.clipped_fraction - (reference.clipped_fraction if reference is not None else 0.0)
    if excess > CLIPPED_HIGHEST:
        burnt = f"{100 * state.clipped_fraction:.0f} % of the frame is burnt out to pure white or full colour."
        note(2 if excess > 4 * CLIPPED_HIGHEST else 1, burnt)
    if unsure_fraction is not None and unsure_fraction > UNSURE_HIGHEST:
        share = f"{100 * unsure_fraction:.0f} % of the frame"
        note(1, f"{share} has colours that the strokes leave open: paint strokes on this photo.")
    return QUALITIES[worst], tuple(reasons)
