"""Cover: the share of the frame, and of each zone, that plants or algae are seen to cover."""

from fairtank.registry import measure
from fairtank.vision.scene import ALGAE, PLANT, Scene

ALGAE_BY_COLOUR = (
    "Algae are told by colour. How well that works was checked on rendered photos with exact truth, not yet on photographs of tanks "
    "in which a person had outlined the algae."
)


@measure(key="plant_cover", title="Plant cover", unit="%", scale="logit", sources=("common_practice",))
def plant_cover(scene: Scene) -> dict[str, float]:
    """Share of the frame in which a plant is seen.

    Static and ignored zones are left out of the whole. A leaf under a film of algae counts as algae, because the photo
    shows the film.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        Cover by zone, the whole frame under the empty name. [%]

    References
    ----------
    common_practice (keys from sources.py).
    """
    return _cover(scene, PLANT) if scene.has_plant else {}


@measure(key="algae_cover", title="Algae cover", unit="%", scale="logit", sources=("common_practice",), caution=ALGAE_BY_COLOUR)
def algae_cover(scene: Scene) -> dict[str, float]:
    """Share of the frame in which algae are seen: on glass, leaves, stones and floor alike.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        Cover by zone, the whole frame under the empty name. [%] Empty when no algae strokes were painted.

    References
    ----------
    common_practice (keys from sources.py).
    """
    return _cover(scene, ALGAE) if scene.has_algae else {}


@measure(key="carpet_cover", title="Carpet cover", unit="%", scale="logit", sources=("common_practice",))
def carpet_cover(scene: Scene) -> dict[str, float]:
    """Share of the floor zones that plants cover.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        One value under the empty name. [%] Empty when no zone of kind `floor` was drawn.

    References
    ----------
    common_practice (keys from sources.py).
    """
    floors = [mask for mask, kind in zip(scene.view.zones, scene.view.zone_kinds, strict=True) if kind == "floor" and mask.any()]
    if not floors or not scene.has_plant:
        return {}
    floor = floors[0].copy()
    for mask in floors[1:]:
        floor |= mask
    return {"": 100 * scene.share(PLANT, floor)}


def _cover(scene: Scene, kind: int) -> dict[str, float]:
    named = {name: 100 * scene.share(kind, mask) for name, mask in zip(scene.view.zone_names, scene.view.zones, strict=True) if mask.any()}
    return {"": 100 * scene.share(kind, scene.view.counted), **named}
