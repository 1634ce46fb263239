"""Water that turns brown or milky: what stands further back loses more blue and more contrast. Invented, and 0 unless asked for."""

from dataclasses import dataclass

import numpy as np

from fairtank.science.colour import delta_e_2000, lab_from_srgb
from fairtank.simulation.light import bytes_from_linear, linear_from_srgb

# Share of red, green and blue that brown water takes when it takes all of what is called tint; linear light of the veil of milky water.
_TAKEN = np.array([0.15, 0.45, 1.0])
_VEIL = np.array([0.30, 0.36, 0.38])
LAYERS = 3


@dataclass(frozen=True)
class Water:
    """The water of one day. tint: share of blue light lost on the way to the back wall. haze: share of a veil before it. Both 0 to 1."""

    tint: float = 0.0
    haze: float = 0.0

    @property
    def is_clear(self) -> bool:
        """Whether it changes nothing."""
        return self.tint == 0 and self.haze == 0


def water_on(course: tuple[tuple[float, float, float], ...], day: float) -> Water:
    """The water of a day, on straight lines between the course's knots (day, tint, haze); clear without any.

    >>> water_on(((0, 0.0, 0.0), (10, 0.2, 0.1)), 5).tint
    0.1
    """
    if not course:
        return Water()
    days, tints, hazes = zip(*course, strict=True)
    return Water(float(np.interp(day, days, tints)), float(np.interp(day, days, hazes)))


def through_water(part: np.ndarray, water: Water, layers: int = 1) -> np.ndarray:
    """A picture (uint8 RGB) seen through some of the LAYERS of water that lie before the back wall."""
    import cv2

    share = layers / LAYERS
    left = (1 - water.tint * _TAKEN) ** share
    veil = 1 - (1 - water.haze) ** share
    levels = linear_from_srgb(np.arange(256) / 255)[:, None] * left * (1 - veil) + _VEIL * veil
    found: np.ndarray = cv2.LUT(part, bytes_from_linear(levels[None]))
    return found


def tint_and_haze(box: np.ndarray, backdrop: np.ndarray, equipment: np.ndarray, first: Water, now: Water) -> tuple[float, float]:
    """How far the bare tank's backdrop is from its colour in the first photo [CIEDE2000], and the contrast lost between the backdrop and
    the darkest fifth of the equipment [%].

    box: tank box (uint8 RGB) in clear water. backdrop, equipment: bool masks of it.
    """
    if first == now:
        return 0.0, 0.0
    seen = [through_water(box, water, LAYERS) for water in (first, now)]
    labs = [lab_from_srgb(picture[backdrop].astype(float)).mean(axis=0) for picture in seen]
    darkest = np.argsort(box[equipment].sum(axis=1), kind="stable")[: np.count_nonzero(equipment) // 5]
    contrasts = []
    for picture in seen:
        dark = float(linear_from_srgb(picture[equipment][darkest] / 255).mean())
        bright = float(linear_from_srgb(picture[backdrop] / 255).mean())
        contrasts.append((bright - dark) / (bright + dark))
    return float(delta_e_2000(labs[0], labs[1])), 100 * (1 - contrasts[1] / contrasts[0])
