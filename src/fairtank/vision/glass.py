"""Where the front glass can be looked through into open water, and which of a photo's dots lie there."""

import numpy as np

from fairtank.vision.runs import painted, runs_of
from fairtank.vision.scene import BACKGROUND, Scene
from fairtank.vision.spots import SpotNote, above_ground

CELLS_PER_CM = 2
# A patch of plants or algae smaller than this may be a spot itself and hides nothing. [cm²]
LARGEST_SPOT_CM2 = 0.4
# Leaf tips and edges look like dots: this near to a patch the glass is not looked at. [cm]
MARGIN_CM = 0.05


def open_water(scene: Scene) -> np.ndarray:
    """Where neither a patch of plants or algae nor anything static lies in front of or behind the glass, above the ground.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    array of shape (h, w), bool
        On the rectified picture.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    import cv2

    across, down = scene.view.px_per_cm
    living = runs_of(scene.classes, BACKGROUND)
    hides = painted(living, living.areas >= LARGEST_SPOT_CM2 * across * down)
    size = tuple(2 * max(1, round(MARGIN_CM * px_per_cm)) + 1 for px_per_cm in (across, down))
    hidden = cv2.dilate(hides, np.ones(size[::-1], np.uint8))
    return above_ground(scene.view) & (hidden == 0)


def spot_note(scene: Scene) -> SpotNote | None:
    """The dots of one photo that lie in open water, and where the water is open.

    Parameters
    ----------
    scene : Scene
        One classified photo with its dots.

    Returns
    -------
    SpotNote or None
        None where dots were not looked for.

    References
    ----------
    common_practice (keys from sources.py).
    """
    import cv2

    candidates, view = scene.candidates, scene.view
    if candidates is None:
        return None
    mask = open_water(scene)
    columns, rows = (int(np.ceil(CELLS_PER_CM * length_cm)) for length_cm in (view.width_cm, view.height_cm))
    # Each cell is the mean of the px it holds; the frame's last cells may reach beyond it.
    wide = np.zeros((round(rows / CELLS_PER_CM * view.px_per_cm[1]), round(columns / CELLS_PER_CM * view.px_per_cm[0])), np.uint8)
    wide[: view.height_px, : view.width_px] = mask * np.uint8(255)
    cells: np.ndarray = cv2.resize(wide, (columns, rows), interpolation=cv2.INTER_AREA) > 127
    at_px = np.floor(candidates.places * view.px_per_cm).astype(int)
    at_cell = np.floor(candidates.places * CELLS_PER_CM).astype(int)
    inside = mask[at_px[:, 1].clip(0, view.height_px - 1), at_px[:, 0].clip(0, view.width_px - 1)]
    inside &= cells[at_cell[:, 1].clip(0, rows - 1), at_cell[:, 0].clip(0, columns - 1)]
    return SpotNote(candidates.places[inside], candidates.radius_cm[inside], cells, float(cells.sum()) / CELLS_PER_CM**2)
