"""A photo brought into its frame and classified: what every measure looks at."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from fairtank.science.colour import lab_from_srgb
from fairtank.vision.classes.classifier import ALGAE, BACKGROUND, PLANT, ClassMap
from fairtank.vision.classes.lookup import CELLS, CLASSES
from fairtank.vision.compiled import compiled
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
        found: float = self.tally[0, -1] / self.tally[0, :-1].sum()
        return float(found)

    @cached_property
    def tally(self) -> np.ndarray:
        """Px of each class, and last the close calls among them, in all that counts (first row) and in each zone: one pass."""
        places, members = _places(self.view)
        counts = np.zeros((len(members), len(CLASSES) + 1), np.int64)
        _count(places, self.classes, self.map.unsure, counts)
        found: np.ndarray = members.T.astype(np.int64) @ counts
        return found

    def px_in(self, kind: int, zone: int | None = None) -> int:
        """Px of a class in one of the view's zones; in all that counts without one."""
        return int(self.tally[0 if zone is None else zone + 1, kind])

    def share_in(self, kind: int, zone: int | None = None) -> float:
        """Share of one of the view's zones that belongs to a class; of all that counts without one. [0 to 1]"""
        row = self.tally[0 if zone is None else zone + 1]
        return float(row[kind] / row[:-1].sum())

    def share(self, kind: int, mask: np.ndarray) -> float:
        """Share of any masked px that belong to a class. [0 to 1]"""
        return np.count_nonzero((self.classes == kind) & mask) / np.count_nonzero(mask)

    @cached_property
    def plant_lab(self) -> tuple[float, float, float] | None:
        """Mean CIELAB colour of the counted plant px; None when hardly any plant is seen."""
        # Px of one lookup cell differ by less than the cell; each cell is converted once, at the mean of its px.
        sums = np.zeros((CELLS, 4), np.int32)
        _add_up(self.pixels, self.classes, self.view.counted, PLANT, sums)
        cells = sums[sums[:, 0] > 0].astype(float)
        counts = cells[:, 0]
        if counts.sum() < _FEWEST_PLANT_PX:
            return None
        values = lab_from_srgb(cells[:, 1:] / counts[:, None])
        lightness, redness, yellowness = (float(part) for part in (values * counts[:, None]).sum(axis=0) / counts.sum())
        return lightness, redness, yellowness


@lru_cache(maxsize=64)
def _places(view: View) -> tuple[np.ndarray, np.ndarray]:
    """Numbers, array (h, w), one for all px in the same of a view's masks (what counts, then each zone); and which masks these are."""
    masks = np.stack([view.counted, *view.zones])
    bits = np.packbits(masks, axis=0)
    numbers, members = np.zeros(view.counted.size, np.int64), np.zeros((1, 0), bool)
    for eight in bits.reshape(len(bits), -1):  # masks at a time; counting what there is takes a tenth of the time of sorting it
        codes = numbers * 256 + eight
        there = np.flatnonzero(np.bincount(codes))
        renumbered = np.zeros(there[-1] + 1, np.int64)
        renumbered[there] = np.arange(len(there))
        numbers = renumbered[codes]
        which = np.unpackbits((there % 256).astype(np.uint8)[:, None], axis=1).astype(bool)
        members = np.concatenate([members[there // 256], which], axis=1)
    return numbers.reshape(view.counted.shape).astype(np.uint16), members[:, : len(masks)]


@compiled
def _count(places: np.ndarray, classes: np.ndarray, unsure: np.ndarray, counts: np.ndarray) -> None:
    """Of each number px of each class, and of close calls."""
    last = counts.shape[1] - 1
    for y in range(places.shape[0]):
        for x in range(places.shape[1]):
            counts[places[y, x], classes[y, x]] += 1
            counts[places[y, x], last] += unsure[y, x]


@compiled
def _add_up(pixels: np.ndarray, classes: np.ndarray, counted: np.ndarray, kind: int, sums: np.ndarray) -> None:
    """Of each cell of the colour lookup: counted px of a class, and the sums of their channels."""
    for y in range(classes.shape[0]):
        for x in range(classes.shape[1]):
            if classes[y, x] == kind and counted[y, x]:
                red, green, blue = int(pixels[y, x, 0]), int(pixels[y, x, 1]), int(pixels[y, x, 2])
                cell = sums[(red >> 3) * 1024 + (green >> 3) * 32 + (blue >> 3)]
                cell[0] += 1
                cell[1] += red
                cell[2] += green
                cell[3] += blue
