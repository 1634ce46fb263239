"""Area: cover in cm² on the plane of the front glass (or of the floor, in a view from above)."""

from fairtank.registry import measure
from fairtank.vision.measures.cover import ALGAE_BY_COLOUR
from fairtank.vision.scene import ALGAE, PLANT, Scene


@measure(key="plant_area", title="Plant area", unit="cm²", scale="log", span=(0.0, 30_000.0), sources=("arithmetic",))
def plant_area(scene: Scene) -> dict[str, float]:
    """Area in which a plant is seen, as if it stood at the frame's plane; what stands further back looks smaller.

    A zone of kind `plant`, drawn around one chosen plant, has its own value; it stays a part of the whole.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        Area of the whole frame under the empty name, and of each zone of kind `plant`. [cm²]

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if not scene.has_plant:
        return {}
    view = scene.view
    zones = [zone for zone, kind in enumerate(view.zone_kinds) if kind == "plant" and scene.tally[zone + 1].any()]
    return {"": _area_cm2(scene, PLANT), **{view.zone_names[zone]: _area_cm2(scene, PLANT, zone) for zone in zones}}


@measure(key="algae_area", title="Algae area", unit="cm²", scale="log", span=(0.0, 30_000.0), sources=("arithmetic",),
         caution=ALGAE_BY_COLOUR)
def algae_area(scene: Scene) -> dict[str, float]:
    """Area in which algae are seen, as if they stood at the frame's plane.

    Parameters
    ----------
    scene : Scene
        One classified photo.

    Returns
    -------
    dict of str to float
        Area of the whole frame under the empty name. [cm²] Empty when no algae strokes were painted.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return {"": _area_cm2(scene, ALGAE)} if scene.has_algae else {}


def _area_cm2(scene: Scene, kind: int, zone: int | None = None) -> float:
    across, down = scene.view.px_per_cm
    return scene.px_in(kind, zone) / (across * down)
