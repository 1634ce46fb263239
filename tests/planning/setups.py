"""Three invented setups, and the hand-worked box. Keepers, makes, prices and numbers are made up.

`midday` is the setup of the demo trial of that name: six glass boxes of 45 x 28 x 36 cm (45 L by their outer size).
"""

from fairtank.build import (
    Device,
    Dose,
    Layer,
    Light,
    Material,
    Money,
    Piece,
    Planting,
    Scope,
    Setup,
    SourceWater,
    Tank,
    WaterPlan,
)

CHANGED = Scope(arms=("C",))

MIDDAY_MATERIALS = (
    Material("peat_clay_base", "layer", "peat and clay base, dry", bulk_density_kg_l=0.60, particle_density_kg_l=1.90, pack_size=5.0,
             pack_unit="kg", price=11.50, batch="PC-03"),
    Material("baked_clay_cap", "layer", "baked clay cap 2-3 mm", bulk_density_kg_l=0.95, particle_density_kg_l=2.50, pack_size=9.0,
             pack_unit="L", price=16.00, batch="BC-41"),
    Material("broken_slate", "rock", "broken slate", particle_density_kg_l=2.75, pack_size=5.0, pack_unit="kg", price=9.00, owned=4.0,
             waste_fraction=0.0),
    Material("root_wood", "wood", "root wood, water-logged", particle_density_kg_l=1.10, pack_size=1.0, pack_unit="piece", price=6.50,
             waste_fraction=0.0),
    Material("green_stem", "plant", "green stem plant", pack_unit="piece", pieces_per_pack=6, price=3.20),
    Material("red_stem", "plant", "red stem plant", pack_unit="piece", pieces_per_pack=5, price=3.80),
    Material("carpet_plant", "plant", "carpet plant", pack_unit="piece", pieces_per_pack=8, price=5.40),
    Material("potassium_nitrate", "salt", "potassium nitrate", formula="KNO3", pack_size=500, pack_unit="g", price=6.00, owned=120),
    Material("potassium_phosphate", "salt", "potassium dihydrogen phosphate", formula="KH2PO4", pack_size=250, pack_unit="g", price=5.00),
    Material("epsom_salt", "salt", "Epsom salt", formula="MgSO4.7H2O", pack_size=1.0, pack_unit="kg", price=3.00),
    Material("gypsum", "salt", "gypsum", formula="CaSO4.2H2O", pack_size=1.0, pack_unit="kg", price=4.00),
    Material("iron_liquid", "liquid", "iron and trace liquid", label_mg_ml=(("Fe", 1.0), ("K", 3.0)), pack_size=250, pack_unit="mL",
             price=8.00),
    Material("osmosis_water", "other", "osmosis water", pack_size=20, pack_unit="L", price=1.20, waste_fraction=0.0),
    Material("tap_water", "other", "tap water", pack_size=1000, pack_unit="L", price=4.00, waste_fraction=0.0),
)


def midday() -> Setup:
    """Six boxes of 45 L, three per arm; both arms get 8 h of light, arm C with a dark break that a second timer makes."""
    places = tuple((f"T{number}", f"T{number}") for number in range(1, 7))
    tanks = tuple(Tank(key, 450, 280, 360, 5, 315, rim="open") for _, key in places)
    arms = tuple(zip((unit for unit, _ in places), ("R", "C", "R", "C", "C", "R"), strict=True))
    return Setup(
        tanks=tanks, places=places, arms=arms, weeks=37 / 7, materials=MIDDAY_MATERIALS,
        layers=(Layer("peat_clay_base", mass_kg=1.60), Layer("baked_clay_cap", mass_kg=5.40)),
        rocks=(Piece("broken_slate", 2.10, 4),), woods=(Piece("root_wood", 0.35, 1),),
        plantings=(Planting("green_stem", "background", "bunched", count=11), Planting("red_stem", "midground", "bunched", count=8),
                   Planting("carpet_plant", "foreground", "in_vitro", per_100_cm2=6.0, area_fraction=0.35)),
        devices=(Device("lamp", "lamp", "lamp 24 W", power_w=24, hours_per_day=8, mass_kg=0.6, price=39.00, owned=6),
                 Device("filter", "filter", "sponge filter", power_w=4, mass_kg=0.4, displaced_l=0.20, in_water_fraction=1.0, flow_l_h=250,
                        price=14.00),
                 Device("heater", "heater", "heater 75 W", power_w=75, mass_kg=0.2, displaced_l=0.10, in_water_fraction=1.0, price=17.00),
                 Device("second_timer", "other", "timer with a dark break", power_w=0.5, price=7.00, is_change=True, scope=CHANGED)),
        light=(Light(60, 8, measured=((0.25, 27.0), (0.5, 56.0), (1.0, 113.0))),),
        water=(WaterPlan(SourceWater("tap_water", gh_dgh=12, kh_dkh=8, conductivity_us_cm=430, ions_mg_l=(("NO3", 10.0),)),
                         SourceWater("osmosis_water", gh_dgh=0, kh_dkh=0, conductivity_us_cm=12), target_gh_dgh=7, target_kh_dkh=4,
                         gh_salts=(("gypsum", 0.7), ("epsom_salt", 0.3)), temp_c=24, room_temp_c=19, change_fraction=0.30),),
        doses=(Dose("potassium_nitrate", mass_mg=150, doses_per_week=2), Dose("potassium_phosphate", mass_mg=20, doses_per_week=2),
               Dose("iron_liquid", volume_ml=1.5, doses_per_week=2)),
        money=Money("crowns", 0.32),
    )


def soil_under_cap() -> Setup:
    """Two boxes of 40 x 25 x 30 cm: a rich base under a fine-grained cap, sloped; the small electrolytic device is the change."""
    return Setup(
        tanks=(Tank("left", 400, 250, 300, 5, 270), Tank("right", 400, 250, 300, 5, 270)), places=(("A", "left"), ("B", "right")), weeks=6,
        arms=(("A", "R"), ("B", "C")),
        materials=(Material("pond_soil", "layer", "sifted pond soil", pack_size=20, pack_unit="L", price=4.50),
                   Material("aquatic_soil", "layer", "fine aquatic soil", pack_size=3, pack_unit="L", price=9.00),
                   Material("lava_rock", "rock", "lava rock"), Material("moss", "plant", "moss on wood"),
                   Material("wood", "wood", "branch"), Material("rosette", "plant", "small rosette plant", pieces_per_pack=1, price=4.00)),
        layers=(Layer("pond_soil", depth_mm=15), Layer("aquatic_soil", front_mm=25, back_mm=55)),
        rocks=(Piece("lava_rock", 1.2, 3),), woods=(Piece("wood", 0.4, 2),),
        plantings=(Planting("rosette", "midground", "potted", per_100_cm2=3.0), Planting("moss", "on_wood", "own", count=2)),
        devices=(Device("lamp", "lamp", "lamp 15 W", power_w=15), Device("filter", "filter", "hang-on filter", power_w=3, flow_l_h=180),
                 Device("electrodes", "other", "electrode pair", power_w=2, in_water_fraction=1.0, current_ma=50, is_change=True,
                        scope=CHANGED)),
        light=(Light(45, 7, measured=((1.0, 5200.0),), unit_of_measure="lux", source="LED-B3"),),
        water=(WaterPlan(SourceWater("tap", gh_dgh=9, kh_dkh=5), change_fraction=0.5, changes_per_week=2),),
        money=Money("crowns"),
    )


def three_bays() -> Setup:
    """One 90 cm box cut by two dividers into three compartments, with one shared heater and one filter for each."""
    bays = ("left", "middle", "right")
    return Setup(
        tanks=(Tank("long", 900, 400, 400, 8, 360, bottom_glass_mm=10, dividers=2, divider_glass_mm=6),),
        places=tuple((bay, "long") for bay in bays), weeks=8, arms=(("left", "R"), ("middle", "C"), ("right", "R")),
        materials=(Material("silica_sand", "layer", "quartz sand", pack_size=25, pack_unit="kg", price=8.00),
                   Material("granite", "rock", "granite pebbles"),
                   Material("nitrate_liquid", "liquid", "nitrate liquid", label_mg_ml=(("NO3", 20.0),), pack_size=500,
                            pack_unit="mL", price=10.00)),
        layers=(Layer("silica_sand", depth_mm=40),), rocks=(Piece("granite", 0.9, 5),),
        devices=(Device("heater", "heater", "heater 150 W", power_w=150, displaced_l=0.3, mass_kg=0.3, shared_by=3, price=22.00),
                 Device("filter", "filter", "corner filter", power_w=4, flow_l_h=200, displaced_l=0.25, mass_kg=0.5, price=12.00),
                 Device("cover", "cover", "cover glass", mass_kg=1.1)),
        water=(WaterPlan(SourceWater("tap", gh_dgh=6, kh_dkh=3), target_gh_dgh=8, target_kh_dkh=5,
                         gh_salts=(("CaCl2.2H2O", 1.0),), kh_salt="KHCO3", temp_c=25, room_temp_c=19, change_fraction=0.5),),
        doses=(Dose("nitrate_liquid", volume_ml=0.25, per_litre=True),),
        money=Money("crowns", 0.30),
    )


def hand_worked(dividers: int = 0) -> Setup:
    """600 x 300 x 360 mm, 6 mm glass, water line 330 mm, 50 mm of bed at 0.75 and 2.5 kg/L, 4 kg of rock at 2.7 kg/L."""
    units = tuple(f"U{number}" for number in range(1, dividers + 2))
    return Setup(
        tanks=(Tank("box", 600, 300, 360, 6, 330, dividers=dividers, divider_glass_mm=6.0 if dividers else 0.0),),
        places=tuple((unit, "box") for unit in units), weeks=4,
        materials=(Material("grit", "layer", bulk_density_kg_l=0.75, particle_density_kg_l=2.5),
                   Material("stone", "rock", particle_density_kg_l=2.7)),
        layers=(Layer("grit", depth_mm=50),), rocks=(Piece("stone", 4.0 / len(units), 1),),
        water=(WaterPlan(SourceWater("tap", gh_dgh=8, kh_dkh=4), temp_c=25, room_temp_c=20),),
    )
