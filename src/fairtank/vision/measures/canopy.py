"""Canopy height: how far up the plants reach."""

import numpy as np

from fairtank.registry import measure
from fairtank.vision.compiled import compiled
from fairtank.vision.runs import painted, runs_of
from fairtank.vision.scene import Scene

# A patch of plant whose sure px are fewer than this share of the frame is a speck: one near the surface would be taken for the canopy.
SMALLEST_SHARE = 0.0006
# And most of a patch must be sure: wood with a tinge of a plant's colour is not.
SUREST_SHARE = 0.5
# Pieces below this share of the frame are dropped first: specks in a row along a branch must not hold on to a leaf beside it.
PIECE_SHARE = 5e-5
# Thin leaves break into pieces; pieces nearer than this belong together when specks are told from plants.
_GAP_PX = 7
PERCENTILE = 90


@measure(key="canopy_height", title="Canopy height", unit="cm", scale="log", span=(0.0, 100.0), sources=("common_practice",))
def canopy_height(scene: Scene) -> dict[str, float]:
    """Height that nine tenths of the planted columns stay under, in cm as seen at the front glass.

    In each column of the picture the topmost plant counts, unless it belongs to a speck; thin tips count, and so do leaves in
    front of static equipment. Heights are taken from the
    lower edge of the floor zones, or of the frame where no floor zone was drawn. Plants far behind the glass look
    smaller than they are.

    Parameters
    ----------
    scene : Scene
        One classified photo, seen from the front.

    Returns
    -------
    dict of str to float
        One value under the empty name. [cm] Empty in a view from above, and when no plant is seen.

    References
    ----------
    common_practice (keys from sources.py).
    """
    line_px = canopy_line_px(scene)
    if line_px is None:
        return {}
    view = scene.view
    floors = [mask for mask, kind in zip(view.zones, view.zone_kinds, strict=True) if kind == "floor" and mask.any()]
    base_px = max((int(np.flatnonzero(mask.any(axis=1)).max()) + 1 for mask in floors), default=view.height_px)
    return {"": max((base_px - line_px) / view.px_per_cm[1], 0.0)}


def canopy_line_px(scene: Scene) -> float | None:
    """Row of the rectified picture that the topmost plant of nine tenths of the planted columns lies at or below.

    Parameters
    ----------
    scene : Scene
        One classified photo, seen from the front.

    Returns
    -------
    float or None
        None in a view from above, and when no plant is seen. [px of the rectified picture]

    References
    ----------
    common_practice (keys from sources.py).
    """
    import cv2

    view = scene.view
    if view.view != "front" or not scene.has_plant:
        return None
    pieces = runs_of(scene.map.fine_plant & view.seen)
    plant = painted(pieces, pieces.areas >= PIECE_SHARE * scene.classes.size)
    patches = runs_of(cv2.morphologyEx(plant, cv2.MORPH_CLOSE, np.ones((_GAP_PX, _GAP_PX), np.uint8)))
    places = (patches.row_starts, patches.begins, patches.ends, patches.parts)
    sure = np.zeros(len(patches.areas), np.int32)
    _count_in(*places, (plant > 0) & ~scene.map.unsure & view.counted, sure)
    large = (sure >= SMALLEST_SHARE * plant.size) & (sure >= SUREST_SHARE * patches.areas)
    tops = np.full(plant.shape[1], -1, np.int32)
    _find_tops(*places, large, plant, tops)
    tops = tops[tops >= 0]
    return float(np.percentile(tops, 100 - PERCENTILE)) if len(tops) else None


@compiled
def _count_in(row_starts: np.ndarray, begins: np.ndarray, ends: np.ndarray, parts: np.ndarray, mask: np.ndarray,
              counts: np.ndarray) -> None:
    """Masked px of each part."""
    for y in range(mask.shape[0]):
        for number in range(row_starts[y], row_starts[y + 1]):
            inside = 0
            for x in range(begins[number], ends[number]):
                inside += mask[y, x]
            counts[parts[number]] += inside


@compiled
def _find_tops(row_starts: np.ndarray, begins: np.ndarray, ends: np.ndarray, parts: np.ndarray, chosen: np.ndarray, plant: np.ndarray,
               tops: np.ndarray) -> None:
    """Of each column the topmost plant px in the chosen parts."""
    for y in range(plant.shape[0]):
        for number in range(row_starts[y], row_starts[y + 1]):
            if chosen[parts[number]]:
                for x in range(begins[number], ends[number]):
                    if tops[x] < 0 and plant[y, x]:
                        tops[x] = y
