"""A photo brought into its frame and classified: what every measure looks at."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fairtank.science.colour import lab_from_srgb
from fairtank.vision.classes.classifier import ALGAE, BACKGROUND, PLANT, ClassMap
from fairtank.vision.classes.lookup import CELLS, cell_index
from fairtank.vision.spots import SpotCandidates
from fairtank.vision.view import View

__all__ = ["ALGAE", "BACKGROUND", "PLANT", "Scene"]
_FEWEST_PLANT_PX = 200


@dataclass(frozen=True, eq=False)
class Scene:
    """One rectified photo with its classes.

    pixels: array (h, w, 3), uint8, sRGB in the colours of the trial. map: its classes. view: the unit's. known: which of plant, algae and
    background had strokes. colour_basis: what makes its colours comparable: `card`, `patch` or `none`. candidates: what may be spots on
    the front glass.
    """

    pixels: np.ndarray
    map: ClassMap
    view: View
    known: tuple[str, ...]
    colour_basis: str = "none"
    candidates: SpotCandidates | None = None

    @property
    def classes(self) -> np.ndarray:
        """Array (h, w), uint8: BACKGROUND, PLANT or ALGAE; `visible plant` counts as plant, algae on a leaf as algae."""
        return self.map.classes

    @property
    def has_plant(self) -> bool:
        """Whether plant strokes were there; without them nothing can be said of plants."""
        return "plant" in self.known

    @property
    def has_algae(self) -> bool:
        """Whether algae strokes were there; without them no algae cover can be given."""
        return "algae" in self.known

    @property
    def unsure_fraction(self) -> float:
        """Share of the counted px whose class was a close call."""
        return np.count_nonzero(self.map.unsure & self.view.counted) / np.count_nonzero(self.view.counted)

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
        pixels = self.pixels[plant]
        cells = cell_index(pixels)
        counts = np.bincount(cells, minlength=CELLS)
        used = np.flatnonzero(counts)
        sums = [np.bincount(cells, weights=pixels[:, channel], minlength=CELLS)[used] for channel in range(3)]
        values = lab_from_srgb(np.stack(sums, axis=1) / counts[used, None])
        lightness, redness, yellowness = (float(part) for part in (values * counts[used, None]).sum(axis=0) / counts.sum())
        return lightness, redness, yellowness
