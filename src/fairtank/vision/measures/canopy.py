"""Canopy height: how far up the plants reach."""

import numpy as np

from fairtank.registry import measure
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


@measure(key="canopy_height", title="Canopy height", unit="cm", scale="log", sources=("common_practice",))
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
    import cv2

    view = scene.view
    plant = (scene.map.fine_plant & view.seen).astype(np.uint8)
    if view.view != "front" or not scene.has_plant or not plant.any():
        return {}
    numbers, areas = _parts(plant)
    plant = ((areas >= PIECE_SHARE * plant.size)[numbers] & (plant > 0)).astype(np.uint8)
    numbers, areas = _parts(cv2.morphologyEx(plant, cv2.MORPH_CLOSE, np.ones((_GAP_PX, _GAP_PX), np.uint8)))
    sure = np.bincount(numbers[(plant > 0) & ~scene.map.unsure & view.counted], minlength=len(areas))
    large = (sure >= SMALLEST_SHARE * plant.size) & (sure >= SUREST_SHARE * areas)
    plant = (large[numbers] & (plant > 0)).astype(np.uint8)
    columns = plant.any(axis=0)
    if not columns.any():
        return {}
    tops_px = plant.argmax(axis=0)[columns]
    floors = [mask for mask, kind in zip(view.zones, view.zone_kinds, strict=True) if kind == "floor" and mask.any()]
    base_px = max((int(np.flatnonzero(mask.any(axis=1)).max()) + 1 for mask in floors), default=view.height_px)
    heights_cm = (base_px - tops_px) / view.px_per_cm[1]
    return {"": max(float(np.percentile(heights_cm, PERCENTILE)), 0.0)}


def _parts(mask: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The connected parts of a mask: the number of each px's part, and each part's px; part 0 is what lies between them."""
    import cv2

    count, numbers = cv2.connectedComponents(mask, connectivity=8)
    return numbers, np.bincount(numbers.ravel(), minlength=count)
