"""A setup that does not hang together is refused with a sentence for each fault."""

from dataclasses import replace

import numpy as np
import pytest

from checking import every
from fairtank.build import Device, Layer, Light, Money, Piece, Planting, Scope, Setup, SourceWater, Tank, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.buildsheet import build_sheet
from planning.setups import hand_worked

BOX = hand_worked()
NAN = float("nan")


def tank(**changes):
    return replace(BOX, tanks=(replace(BOX.tanks[0], **changes),))


def grit(**changes):
    return replace(BOX, materials=(replace(BOX.materials[0], **changes), BOX.materials[1]))


def planted(**changes):
    planting = replace(Planting("grit", "foreground", count=3), **changes)
    return replace(BOX, plantings=(planting,))


FAULTS = [
    (replace(BOX, places=(), tanks=()), r"No unit is placed"),
    (replace(BOX, places=(("U1", "bowl"),)), r"Unit U1 stands in tank bowl, which is not described: there are box\."),
    (Setup((), (("U1", "bowl"),), 4), r"which is not described: there is none\."),
    (replace(BOX, places=(("U1", "box"), ("U2", "box"))), r"Tank box has 1 compartment and 2 units: give it more dividers"),
    (replace(BOX, places=(("U1", "box"), ("U1", "box")), tanks=(replace(BOX.tanks[0], dividers=1, divider_glass_mm=5),)),
     r"The unit U1 is described 2 times"),
    (replace(BOX, tanks=BOX.tanks * 2), r"The tank box is described 2 times: each needs a key of its own"),
    (replace(BOX, tanks=(*BOX.tanks, Tank("spare", 300, 200, 200, 4, 150))), r"Tank spare holds no unit"),
    (replace(BOX, arms=(("U9", "R"),)), r"Unit U9 has an arm but no tank"),
    (tank(rim="welded"), r"Tank box: its rim is welded; it may be open, braced"),
    (tank(water_mm=355), r"Tank box: its water line of 355 mm lies above its top edge, 354 mm over the inner bottom"),
    (tank(water_mm=NAN), r"water_mm of tank 1 is nan, which is no number to build with"),
    (tank(glass_mm=0), r"Tank box: its glass needs a thickness"),
    (tank(glass_mm=150), r"Tank box: its panes leave no space between them"),
    (tank(dividers=1), r"Tank box has dividers: say how thick, as divider_glass_mm"),
    (tank(dividers=-1), r"Tank box has -1 dividers; 0 or more make sense"),
    (tank(length_mm=40), r"Tank box: .*length_mm is 40"),
    (grit(kind="sand"), r"grit is of kind sand; it may be layer, rock"),
    (grit(pack_unit="bag"), r"grit is sold by bag; it may be kg, L, g, mL, piece"),
    (grit(pack_size=3.0), r"grit has a pack size but no pack unit"),
    (grit(pack_size=0.0, pack_unit="kg"), r"grit: densities and packs must be above 0"),
    (grit(price=-1.0), r"grit: .* price, stock, waste and label cannot be below 0"),
    (grit(bulk_density_kg_l=0.0), r"grit: densities and packs must be above 0"),
    (replace(BOX, materials=(*BOX.materials, BOX.materials[0])), r"The material grit is described 2 times"),
    (replace(BOX, materials=()), r"Layer 1 names grit, which is not among the materials: describe it there, of kind layer"),
    (replace(BOX, rocks=(Piece("grit", 1.0),)), r"The rock names grit, which is of kind layer and should be rock"),
    (replace(BOX, layers=(Layer("grit", 1.0, scope=Scope(units=("U7",))),)), r"A layer is for unit U7, which is not placed in a tank"),
    (replace(BOX, layers=(Layer("grit", 1.0, scope=Scope(arms=("C",))),)), r"A layer is for arm C, and no unit is known to have that arm"),
    (replace(BOX, devices=(Device("d", "other", scope=Scope(units=("U7",))),)), r"d is for unit U7"),
    (replace(BOX, layers=(Layer("grit"),)), r"Layer 1 \(grit\): give exactly one of mass_kg, depth_mm, or front_mm with back_mm"),
    (replace(BOX, layers=(Layer("grit", 1.0, 20.0),)), r"Layer 1 \(grit\): give exactly one of"),
    (replace(BOX, layers=(Layer("grit", front_mm=10.0),)), r"Layer 1 \(grit\): a slope needs front_mm and back_mm"),
    (replace(BOX, layers=(Layer("grit", depth_mm=-5.0),)), r"Layer 1 \(grit\): amounts below 0 make no bed"),
    (replace(BOX, rocks=(Piece("stone", 0.0),)), r"stone: give a mass above 0 kg and at least one piece"),
    (planted(zone="roof"), r"its zone is roof; it may be foreground"),
    (planted(stock="wild"), r"its stock is wild; it may be in_vitro"),
    (planted(per_100_cm2=3.0), r"give either count or per_100_cm2"),
    (planted(count=None, per_100_cm2=3.0, area_cm2=50.0, area_fraction=0.1), r"give area_cm2 or area_fraction, not both"),
    (planted(count=None, per_100_cm2=3.0, area_fraction=1.5), r"its share of the floor must be above 0 and at most 1"),
    (planted(count=0), r"numbers and areas must be above 0"),
    (planted(), r"A planting names grit, which is of kind layer and should be plant"),
    (replace(BOX, devices=(Device("d", "robot"),)), r"d is of kind robot; it may be filter"),
    (replace(BOX, devices=(Device("d", "lamp", hours_per_day=25),)), r"d runs 25 h a day; a day has 24"),
    (replace(BOX, devices=(Device("d", "lamp", in_water_fraction=50),)), r"d: a share of 50 is not between 0 and 1"),
    (replace(BOX, devices=(Device("d", "lamp", power_w=-1),)), r"d: power, mass, volume, flow, current, price and stock cannot be below 0"),
    (replace(BOX, devices=(Device("d", "lamp", shared_by=0),)), r"d: it is shared by 0 units"),
    (replace(BOX, devices=(Device("d", "lamp"), Device("d", "pump"))), r"The device d is described 2 times"),
    (replace(BOX, light=(Light(0, 8),)), r"A light plan needs 1 µmol m⁻² s⁻¹ or more, the least that meters show, and 0\.1 to 24 hours"),
    (replace(BOX, devices=(Device("d", "other", current_ma=-50),)), r"d: .* current, price and stock cannot be below 0"),
    (replace(BOX, light=(Light(0.4, 8),)), r"A light plan needs 1 µmol"),
    (replace(BOX, light=(Light(50, 0.01),)), r"A light plan needs .* 0\.1 to 24 hours a day"),
    (replace(BOX, light=(Light(1, 8, measured=((1.0, 300.0),)),)),
     r"1 µmol m⁻² s⁻¹ would be 0\.33 % of full output, which no dimmer is set to: raise the lamp, shade it, or take a weaker one"),
    (replace(BOX, water=(WaterPlan(SourceWater("well", 8, 4, ions_mg_l=(("NO3", -10.0),))),)), r"well: .* ions cannot be below 0"),
    (replace(BOX, water=(WaterPlan(SourceWater("well", 8, 4, conductivity_us_cm=-1),),)), r"well: .* conductivity and ions cannot be"),
    (replace(BOX, rocks=(Piece("stone", 1.0, 1.5),)), r"count of rock 1 is 1\.5; a whole number is needed"),
    (planted(count=2.5), r"count of planting 1 is 2\.5; a whole number is needed"),
    (tank(dividers=1.0, divider_glass_mm=6), r"dividers of tank 1 is 1\.0; a whole number is needed"),
    (tank(length_mm="600 mm"), r"length_mm of tank 1 is the text “600 mm”; a number is needed"),
    (tank(glass_mm=True), r"glass_mm of tank 1 is yes; a number is needed"),
    (tank(width_mm=None), r"width_mm of tank 1 is missing; a number is needed"),
    (tank(height_mm=(360,)), r"height_mm of tank 1 is neither a number nor a text; a number is needed"),
    (tank(title=7), r"title of tank 1 is 7; a text is needed"),
    (replace(BOX, tanks=BOX.tanks[0]), r"tank is neither a number nor a text; a list is needed"),
    (replace(BOX, tanks=("box",)), r"tank 1 is the text “box”; a whole description is needed"),
    (replace(BOX, places=(("U1", "box", "left"),)), r"places is neither a number nor a text; a pair is needed"),
    (replace(BOX, layers=(Layer("grit", 1.0, scope=Scope(units="U1")),)), r"units of scope of layer 1 is the text “U1”; a list is needed"),
    (replace(BOX, devices=(Device("d", "other", is_change=0),)), r"is_change of device 1 is 0; yes or no is needed"),
    (grit(label_mg_ml=(("NO3", "20"),)), r"label_mg_ml of material 1 is the text “20”; a number is needed"),
    (replace(BOX, light=(Light(50, 8), Light(60, 8))), r"Unit U1 has 2 light plans: one is needed"),
    (replace(BOX, water=BOX.water * 2), r"Unit U1 has 2 water plans: one is needed"),
    (replace(BOX, water=(replace(BOX.water[0], change_fraction=30),)),
     r"A water change of 30 of the water: give a share from 0\.01 to 1, or 0 for none"),
    (replace(BOX, water=(replace(BOX.water[0], changes_per_week=-1),)), r"-1 water changes a week: 0 to 168 make sense"),
    (replace(BOX, water=(replace(BOX.water[0], gh_salts=(("MgSO4.7H2O", 0.0),)),)), r"Each of the gh_salts needs a part above 0"),
    (replace(BOX, water=(WaterPlan(SourceWater("well", -1, 2)),)), r"well: hardness, conductivity and ions cannot be below 0"),
    (replace(BOX, weeks=0), r"The trial runs for 0 weeks; more than 0 and at most 520"),
    (replace(BOX, weeks=NAN), r"weeks is nan, which is no number to build with"),
    (replace(BOX, weeks=1000), r"The trial runs for 1000 weeks; more than 0 and at most 520"),
    (grit(price=float("inf")), r"price of material 1 is inf, which is no number to build with"),
    (replace(BOX, water=(WaterPlan(SourceWater("well", 8, NAN)),)), r"kh_dkh of tap of water plan 1 is nan"),
    (replace(BOX, money=Money("crowns", -0.3)), r"The price of electricity cannot be below 0"),
    (replace(BOX, waste_fraction=-0.1), r"A waste of -0\.1 times what is needed"),
]


@every(("setup", "sentence"), FAULTS, ids=[sentence[:40] for _, sentence in FAULTS])
def test_a_fault_is_refused_with_its_sentence(setup, sentence):
    with pytest.raises(DesignError, match=sentence) as refusal:
        build_sheet(setup)
    assert not any(sign in str(refusal.value) for sign in ("(U", "Tank(", "[", "frozenset", "None"))


def test_the_hand_worked_setup_itself_is_accepted():
    assert build_sheet(BOX).lines


def test_numbers_of_the_arithmetic_library_are_numbers():
    numbers = replace(tank(length_mm=np.float64(600), dividers=np.int64(0)), rocks=(Piece("stone", np.float32(4), np.int64(1)),))
    assert build_sheet(numbers) == build_sheet(BOX)
