"""Cover: the share of the frame, and of each zone, that plants or algae are seen to cover."""

import numpy as np

from fairtank.registry import measure
from fairtank.vision.classes.lookup import CLASSES
from fairtank.vision.scene import ALGAE, PLANT, Scene

ALGAE_BY_COLOUR = (
    "Algae are told by colour and by what lies around it. How well that works was checked on rendered tanks with exact truth and on field "
    "photos of a crop among weeds, not on photographs of tanks in which a person had outlined the algae."
)


@measure(key="plant_cover", title="Plant cover", unit="%", scale="logit", span=(0.0, 100.0), sources=("common_practice",))
def plant_cover(scene: Scene) -> dict[str, float]:
    """Share of the frame in which a plant is seen.

    Static and ignored zones are left out of the whole. A leaf under a film of algae counts as algae, because the photo
    shows the film. Where strokes tell several kinds of plant apart, each has its share of the frame under its own name.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        Cover by zone and kind, the whole frame under the empty name. [%]

    References
    ----------
    common_practice (keys from sources.py).
    """
    return _cover(scene, PLANT) if scene.has_plant else {}


@measure(key="algae_cover", title="Algae cover", unit="%", scale="logit", span=(0.0, 100.0), sources=("common_practice",),
         caution=ALGAE_BY_COLOUR)
def algae_cover(scene: Scene) -> dict[str, float]:
    """Share of the frame in which algae are seen: on glass, leaves, stones and floor alike.

    Where strokes tell several kinds of algae apart, each has its share of the frame under its own name.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        Cover by zone and kind, the whole frame under the empty name. [%] Empty when no algae strokes were painted.

    References
    ----------
    common_practice (keys from sources.py).
    """
    return _cover(scene, ALGAE) if scene.has_algae else {}


@measure(key="carpet_cover", title="Carpet cover", unit="%", scale="logit", span=(0.0, 100.0), sources=("common_practice",),
         needs_zones=("floor",))
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
    view = scene.view
    floors = [zone for zone, kind in enumerate(view.zone_kinds) if kind == "floor" and scene.tally[zone + 1].any()]
    if not floors or not scene.has_plant:
        return {}
    if len(floors) == 1:
        return {"": 100 * scene.share_in(PLANT, floors[0])}
    return {"": 100 * scene.share(PLANT, np.any([view.zones[zone] for zone in floors], axis=0))}


def _cover(scene: Scene, kind: int) -> dict[str, float]:
    view = scene.view
    zones = [zone for zone, where in enumerate(view.zone_kinds) if where != "backdrop" and scene.tally[zone + 1].any()]
    named = {view.zone_names[zone]: 100 * scene.share_in(kind, zone) for zone in zones}
    kinds = scene.map.classifier.kinds.get(CLASSES[kind], ())
    shares = scene.map.kind_shares(view.counted) if kinds else {}
    return {"": 100 * scene.share_in(kind), **{name: 100 * shares[name] for name in kinds}, **named}
