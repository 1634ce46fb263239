"""Plant colour: the mean CIELAB colour of the px classified as plant."""

from fairtank.registry import measure
from fairtank.vision.scene import Scene

_SOURCES = ("cie15", "iec61966")


@measure(key="plant_lightness", title="Plant lightness", unit="L*", scale="identity", span=(0.0, 100.0), sources=_SOURCES,
         needs_colour=True)
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


@measure(key="plant_redness", title="Plant redness", unit="a*", scale="identity", span=(-128.0, 127.0), sources=_SOURCES,
         needs_colour=True)
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


@measure(key="plant_yellowness", title="Plant yellowness", unit="b*", scale="identity", span=(-128.0, 127.0), sources=_SOURCES,
         needs_colour=True)
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
    return {"": scene.plant_lab[channel]} if scene.plant_lab is not None else {}
