"""Plant colour: the mean CIELAB colour of the px classified as plant."""

import numpy as np

from fairtank.registry import measure
from fairtank.science.colour import lab_from_srgb
from fairtank.vision.colours import CELLS, cell_index
from fairtank.vision.scene import PLANT, Scene

_FEWEST_PIXELS = 200


@measure(key="plant_lightness", title="Plant lightness", unit="L*", scale="identity", sources=("cie15", "iec61966"))
def plant_lightness(scene: Scene) -> dict[str, float]:
    """Mean lightness of the plants, CIELAB L*.

    Photos differ in exposure; without a colour card in the picture, compare it only within photos taken alike.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        One value under the empty name. [L*, 0 to 100] Empty when hardly any plant is seen.

    References
    ----------
    cie15, iec61966 (keys from sources.py).
    """
    return _mean_lab(scene, 0)


@measure(key="plant_redness", title="Plant redness", unit="a*", scale="identity", sources=("cie15", "iec61966"))
def plant_redness(scene: Scene) -> dict[str, float]:
    """Mean redness of the plants, CIELAB a*: negative is green, positive is red.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        One value under the empty name. [a*] Empty when hardly any plant is seen.

    References
    ----------
    cie15, iec61966 (keys from sources.py).
    """
    return _mean_lab(scene, 1)


@measure(key="plant_yellowness", title="Plant yellowness", unit="b*", scale="identity", sources=("cie15", "iec61966"))
def plant_yellowness(scene: Scene) -> dict[str, float]:
    """Mean yellowness of the plants, CIELAB b*: pale, hungry leaves read higher.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        One value under the empty name. [b*] Empty when hardly any plant is seen.

    References
    ----------
    cie15, iec61966 (keys from sources.py).
    """
    return _mean_lab(scene, 2)


def _mean_lab(scene: Scene, channel: int) -> dict[str, float]:
    plant = (scene.classes == PLANT) & scene.view.counted
    if int(plant.sum()) < _FEWEST_PIXELS:
        return {}
    pixels = scene.pixels[plant]
    # Px of one lookup cell differ by less than the cell; each cell is converted once, at the mean of its px.
    cells = cell_index(pixels)
    counts = np.bincount(cells, minlength=CELLS)
    used = np.flatnonzero(counts)
    means = np.stack([np.bincount(cells, weights=pixels[:, part], minlength=CELLS)[used] / counts[used] for part in range(3)], axis=1)
    values = lab_from_srgb(means)[:, channel]
    return {"": float((values * counts[used]).sum() / counts[used].sum())}
