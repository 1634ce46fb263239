"""A photo brought into its frame and classified: what every measure looks at."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fairtank.science.colour import lab_from_srgb
from fairtank.vision.colours import CELLS, CLASSES, ColourLookup, cell_index
from fairtank.vision.view import View

BACKGROUND, PLANT, ALGAE = range(len(CLASSES))
_SMOOTHING_PX = 5
_FEWEST_PLANT_PX = 200


@dataclass(frozen=True, eq=False)
class Scene:
    """One rectified photo with its classes.

    pixels: array (h, w, 3), uint8, sRGB. cells: array (h, w), uint16, the lookup cell of each px. classes: array (h, w),
    uint8, index into colours.CLASSES; `visible plant` counts as plant, algae on a leaf as algae. fine_plant: array (h, w),
    bool: plant before smoothing, with the thinnest tips and with specks. unsure: array (h, w), bool: px whose class was a
    close call. view: the unit's. has_plant, has_algae: whether strokes of that class were there.
    """

    pixels: np.ndarray
    cells: np.ndarray
    classes: np.ndarray
    fine_plant: np.ndarray
    unsure: np.ndarray
    view: View
    has_plant: bool
    has_algae: bool

    @property
    def unsure_fraction(self) -> float:
        """Share of the counted px whose class was a close call."""
        return np.count_nonzero(self.unsure & self.view.counted) / np.count_nonzero(self.view.counted)

    def share(self, kind: int, mask: np.ndarray) -> float:
        """Share of the masked px that belong to a class. [0 to 1]"""
        return np.count_nonzero((self.classes == kind) & mask) / np.count_nonzero(mask)

    @cached_property
    def plant_lab(self) -> tuple[float, float, float] | None:
        """Mean CIELAB colour of the counted plant px; None when hardly any plant is seen."""
        plant = (self.classes == PLANT) & self.view.counted
        if np.count_nonzero(plant) < _FEWEST_PLANT_PX:
            return None
        # Px of one lookup cell differ by less than the cell; each cell is converted once, at the mean of its px.
        cells = self.cells[plant]
        counts = np.bincount(cells, minlength=CELLS)
        used = np.flatnonzero(counts)
        sums = [np.bincount(cells, weights=self.pixels[..., channel][plant], minlength=CELLS)[used] for channel in range(3)]
        values = lab_from_srgb(np.stack(sums, axis=1) / counts[used, None])
        lightness, redness, yellowness = (float(part) for part in (values * counts[used, None]).sum(axis=0) / counts.sum())
        return lightness, redness, yellowness


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
    raw = np.take(lookup.classes, cells)
    # A median of class numbers would turn a border between 0 and 2 into 1. So living or not is smoothed first, then what lives is split.
    living = cv2.medianBlur((raw != BACKGROUND).astype(np.uint8), _SMOOTHING_PX)
    classes = living * np.uint8(PLANT)
    fine_plant = raw != BACKGROUND
    if lookup.has_algae:
        window = (_SMOOTHING_PX, _SMOOTHING_PX)
        algae, plant = (cv2.boxFilter((raw == kind).astype(np.uint8), cv2.CV_8U, window, normalize=False) for kind in (ALGAE, PLANT))
        classes[(living > 0) & (algae > plant)] = ALGAE
        fine_plant &= algae <= plant
    return Scene(pixels, cells, classes, fine_plant, np.take(lookup.unsure, cells), view, "plant" in lookup.known, lookup.has_algae)
