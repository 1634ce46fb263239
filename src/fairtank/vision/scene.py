"""A photo brought into its frame and classified: what every measure looks at."""

from dataclasses import dataclass

import numpy as np

from fairtank.vision.colours import CLASSES, ColourLookup, cell_index
from fairtank.vision.view import View

BACKGROUND, PLANT, ALGAE = range(len(CLASSES))
_SMOOTHING_PX = 5


@dataclass(frozen=True, eq=False)
class Scene:
    """One rectified photo with its classes.

    pixels: array (h, w, 3), uint8, sRGB. classes: array (h, w), uint8, index into colours.CLASSES; `visible plant` counts
    as plant, algae on a leaf as algae. fine_plant: array (h, w), bool: plant before smoothing, with the thinnest tips and with
    specks. unsure: array (h, w), bool: px whose class was a close call. view: the unit's. has_plant, has_algae: whether
    strokes of that class were there.
    """

    pixels: np.ndarray
    classes: np.ndarray
    fine_plant: np.ndarray
    unsure: np.ndarray
    view: View
    has_plant: bool
    has_algae: bool

    @property
    def unsure_fraction(self) -> float:
        """Share of the counted px whose class was a close call."""
        return float(self.unsure[self.view.counted].mean())

    def share(self, kind: int, mask: np.ndarray) -> float:
        """Share of the masked px that belong to a class. [0 to 1]"""
        return float((self.classes[mask] == kind).mean())


def scene_of(pixels: np.ndarray, view: View, lookup: ColourLookup) -> Scene:
    """Classify a rectified photo.

    Parameters
    ----------
    pixels : array of shape (h, w, 3), uint8
        The rectified photo.
    view : View
        Of the unit.
    lookup : ColourLookup
        Of the trial.

    Returns
    -------
    Scene
        Living or not after a 5 x 5 median, which removes specks; plant or algae by the majority of 5 x 5 px.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    import cv2

    cells = cell_index(pixels)
    raw = lookup.classes[cells]
    # A median of class numbers would turn a border between 0 and 2 into 1. So living or not is smoothed first, then what lives is split.
    living = cv2.medianBlur((raw != BACKGROUND).astype(np.uint8), _SMOOTHING_PX)
    classes = living * np.uint8(PLANT)
    fine_plant = raw != BACKGROUND
    if lookup.has_algae:
        window = (_SMOOTHING_PX, _SMOOTHING_PX)
        algae, plant = (cv2.boxFilter((raw == kind).astype(np.uint8), cv2.CV_8U, window, normalize=False) for kind in (ALGAE, PLANT))
        classes[(living > 0) & (algae > plant)] = ALGAE
        fine_plant &= algae <= plant
    return Scene(pixels, classes, fine_plant, lookup.unsure[cells], view, "plant" in lookup.known, lookup.has_algae)
