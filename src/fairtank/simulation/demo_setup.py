"""What went into the invented tanks of the demo trials. Makes, prices, labels and numbers are made up.

Glass, water line and bed are those of the rendered photos; amounts are those of the demo's build.csv, with which the build sheet made
from this setup agrees.
"""

from fairtank.build import Device, Dose, Layer, Light, Material, Money, Piece, Planting, Scope, Setup, SourceWater, Tank, WaterPlan
from fairtank.simulation.camera import TANK_DEPTH_CM, TANK_HEIGHT_CM, TANK_WIDTH_CM
from fairtank.simulation.light import WATER_LINE_CM
from fairtank.trial import Plan

GLASS_MM = 6.0
_CHANGED = Scope(arms=("C",))
_MATERIALS = (
    # Both earths hold pores that stay closed, so that their grains are light.
    Material("peat_clay_base", "layer", "peat and clay base, dry", bulk_density_kg_l=0.60, particle_density_kg_l=1.50, pack_size=5.0,
             pack_unit="kg", price=11.50, batch="B1"),
    Material("baked_clay_cap", "layer", "baked clay cap 2-3 mm", bulk_density_kg_l=0.95, particle_density_kg_l=1.90, pack_size=9.0,
             pack_unit="L", price=16.00, batch="B1"),
    Material("broken_slate", "rock", "broken slate", particle_density_kg_l=2.70, pack_size=5.0, pack_unit="kg", price=9.00, owned=4.0,
             batch="B1", waste_fraction=0.0),
    Material("root_wood", "wood", "root wood", particle_density_kg_l=1.10, pack_size=1.0, pack_unit="piece", price=6.50, batch="B1",
             waste_fraction=0.0),
    Material("green_stem", "plant", "green stem plant", price=3.20, batch="B1", pieces_per_pack=6.0),
    Material("red_stem", "plant", "red stem plant", price=3.80, batch="B1", pieces_per_pack=5.0),
    Material("carpet_plant", "plant", "carpet plant", price=5.40, batch="B1", pieces_per_pack=1.0, waste_fraction=0.0),
    Material("plant_feed", "liquid", "potassium and iron feed", label_mg_ml=(("K", 10.0), ("Fe", 0.3)), pack_size=500.0, pack_unit="mL",
             price=9.00),
    Material("tap_water", "other", "tap water", pack_size=1000.0, pack_unit="L", price=4.00, waste_fraction=0.0),
)
_DEVICES = (
    Device("lamp", "lamp", "lamp 18 W", power_w=18.0, hours_per_day=8.0, mass_kg=0.7, price=42.00, owned=2.0),
    Device("heater", "heater", "heater 100 W", power_w=100.0, mass_kg=0.2, displaced_l=0.20, in_water_fraction=1.0, price=17.00),
    Device("filter", "filter", "outer filter with its pipes", power_w=5.0, mass_kg=0.3, displaced_l=0.30, in_water_fraction=0.3,
           flow_l_h=300.0, price=48.00),
)
_CHANGES = {
    "midday": Device("break_timer", "other", "timer with a dark break", price=7.50, is_change=True, scope=_CHANGED),
    "cover_glass": Device("cover_glass", "cover", "cover glass", mass_kg=0.9, shade_fraction=0.08, price=6.00, is_change=True,
                          scope=_CHANGED),
}


def demo_setup(name: str, plan: Plan) -> Setup:
    """The setup of a demo trial: every tank alike, but for the one device that is the change.

    Parameters
    ----------
    name : str
        `midday` or `cover_glass`.
    plan : Plan
        For the units, their arms and the length of the trial.

    Returns
    -------
    Setup
        Lengths in mm, masses in kg.

    References
    ----------
    common_practice (all of it is invented; keys from sources.py).
    """
    length_mm, width_mm, height_mm = 10 * TANK_WIDTH_CM, 10 * TANK_DEPTH_CM, 10 * TANK_HEIGHT_CM
    water_mm = round(10 * WATER_LINE_CM - GLASS_MM, 6)  # the photos' line counts from the lower edge of the glass
    return Setup(
        tanks=tuple(Tank(unit.tank, length_mm, width_mm, height_mm, GLASS_MM, water_mm) for unit in plan.units),
        places=tuple((unit.key, unit.tank) for unit in plan.units), arms=tuple((unit.key, unit.arm) for unit in plan.units),
        weeks=plan.days / 7, materials=_MATERIALS,
        layers=(Layer("peat_clay_base", mass_kg=1.60), Layer("baked_clay_cap", mass_kg=5.40)),
        rocks=(Piece("broken_slate", 2.10, 4),), woods=(Piece("root_wood", 0.35, 1),),
        plantings=(Planting("green_stem", "background", "bunched", count=11), Planting("red_stem", "midground", "bunched", count=8),
                   Planting("carpet_plant", "foreground", "potted", count=4)),
        devices=(*_DEVICES, _CHANGES[name]),
        light=(Light(45.0, 8.0, measured=((0.3, 26.0), (0.6, 50.0), (1.0, 82.0))),),
        water=(WaterPlan(SourceWater("tap_water", gh_dgh=7.0, kh_dkh=4.0, conductivity_us_cm=310.0), temp_c=24.0, room_temp_c=17.0,
                         change_fraction=0.30, changes_per_week=1.0),),
        doses=(Dose("plant_feed", volume_ml=2.0, doses_per_week=2.0),), money=Money("crowns", 0.32),
    )
