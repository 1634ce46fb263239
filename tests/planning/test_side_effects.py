"""What the change brings besides itself: hand-worked amounts, small steps in time, and when nothing is to be said."""

from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Device, Dose, Layer, Light, Material, Piece, Scope, SourceWater, WaterPlan
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.effects.devices import _Loss
from fairtank.planning.effects.doses import meant_ion
from fairtank.planning.effects.side_effect import FACTORS, IONS, REMEDIES, is_apart
from fairtank.planning.side_effects import side_effects
from fairtank.science.heat import evaporation_w, steady_rise_c, turnover_per_h
from planning.setups import hand_worked, midday, soil_under_cap, three_bays

CHANGED = Scope(arms=("C",))
SALTS = (Material("nitrate", "salt", "potassium nitrate", formula="KNO3"), Material("epsom", "salt", "Epsom salt", formula="MgSO4.7H2O"),
         Material("calcium", "salt", "calcium nitrate", formula="Ca(NO3)2.4H2O"), Material("urea", "salt", "urea", formula="CO(NH2)2"),
         Material("bicarbonate", "salt", "potassium bicarbonate", formula="KHCO3"),
         Material("liquid", "liquid", "iron liquid", label_mg_ml=(("Fe", 1.0), ("K", 3.0))))


def two_boxes(**changes):
    """The hand-worked box twice, one for each arm, with a daily change of nothing."""
    box = hand_worked()
    first, second = (replace(box.tanks[0], key=key) for key in ("one", "two"))
    setup = replace(box, tanks=(first, second), places=(("A", "one"), ("B", "two")), arms=(("A", "R"), ("B", "C")),
                    materials=(*box.materials, *SALTS))
    return replace(setup, **changes)


def found(setup, factor=None):
    effects = side_effects(setup, build_sheet(setup))
    return [effect for effect in effects if factor in (None, effect.factor)]


def of_device(factor, **changes):
    device = Device("gadget", "other", **{"scope": CHANGED, **changes})
    effect, = found(two_boxes(devices=(device,)), factor)
    return effect


def dosed(material, mass_mg, change_fraction=0.0, **changes):
    water = (WaterPlan(SourceWater("tap", 8, 4), change_fraction=change_fraction),)
    setup = two_boxes(doses=(Dose(material, mass_mg=mass_mg, scope=CHANGED, **changes),), water=water)
    return {effect.factor: effect for effect in found(setup)}, build_sheet(setup).facts_of("B").net_l


# hand-worked amounts -------------------------------------------------------------------------------------------------


@pytest.mark.published(entry="side_effects", source="codata2018", where="by hand: 37.61 mg of hydrogen, 298.5 mg of oxygen for an Ah")
def test_an_electrolytic_device_makes_what_faraday_allows():
    hydrogen, oxygen = of_device("hydrogen", current_ma=50), of_device("oxygen", current_ma=50)
    assert agrees(hydrogen.amount * 20, "37.61")
    assert agrees(oxygen.high / 0.9 * 20, "298.5")
    assert agrees(oxygen.low / 0.3 * 20, "298.5")
    assert hydrogen.remedy == "air"


@pytest.mark.published(entry="side_effects", source="arithmetic", where="4 kg at 2.7 kg/L: 1.481 L; 6.3504 kg at 2.5 kg/L: 2.540 L")
def test_stones_and_layers_take_the_place_of_water():
    stones, = found(two_boxes(rocks=(Piece("stone", 4.0, 1, CHANGED),)), "volume")
    assert agrees(-stones.amount, "1.481")
    assert (stones.unit, stones.remedy, stones.remedy_amount) == ("B", "blank", -stones.amount)
    bed, = found(two_boxes(layers=(Layer("grit", depth_mm=50, scope=CHANGED),)), "volume")
    assert agrees(-bed.amount, "2.540")
    height, = found(two_boxes(layers=(Layer("grit", front_mm=20, back_mm=60, scope=CHANGED),)), "bed height")
    assert (height.amount, height.low, height.high) == (40, 20, 60)


@pytest.mark.parametrize(("weeks", "doses"), [(37 / 7, 11), (4.0, 8), (0.3, 1)])
def test_what_a_salt_builds_up_to_ends_with_the_trial(weeks, doses):
    """Two doses a week from the first day on, none of them ever changed out: at the end there are as many as were given."""
    setup = two_boxes(doses=(Dose("nitrate", mass_mg=500, doses_per_week=2, scope=CHANGED),), weeks=weeks)
    potassium, = found(setup, "potassium")
    assert potassium.amount == pytest.approx(doses * potassium.low)
    assert potassium.high == potassium.amount


@pytest.mark.published(entry="side_effects", source="molmass", where="1 g KNO3 holds K 386.7 mg; 1 g K2SO4 holds K 448.7 mg")
def test_the_partner_of_a_salt_can_be_given_to_the_other_arm():
    effects, net_l = dosed("nitrate", 500)
    potassium = effects["potassium"]
    assert agrees(potassium.low * net_l / 0.5, "386.7")
    assert agrees(potassium.low * net_l / (potassium.remedy_amount / 1000), "448.7")
    assert (potassium.remedy_material, potassium.remedy_unit) == ("K2SO4", "mg")
    assert "nitrate" not in effects, "what the salt is given for is no side effect"
    assert "nitrogen" not in effects, "the same atoms are not told twice"


@pytest.mark.published(entry="side_effects", source="phreeqc3", where="10 mg/L of nitrate as potassium nitrate: 23.2 µS/cm")
def test_the_conductivity_of_a_salt_is_near_that_of_a_full_model():
    effects, net_l = dosed("nitrate", 1000.0)
    by_nitrate = 10 / (613.3 / net_l)
    assert effects["conductivity"].low * by_nitrate < 23.2
    assert effects["conductivity"].high / effects["potassium"].high * effects["potassium"].low * by_nitrate == pytest.approx(23.2, rel=0.02)


@pytest.mark.published(entry="side_effects", source="arithmetic", where="1 g in 1 L: Epsom salt 22.75 dGH, KHCO3 28.01 dKH")
@pytest.mark.parametrize(("material", "factor", "printed"), [
    ("epsom", "general hardness", "22.75"), ("calcium", "general hardness", "23.75"), ("bicarbonate", "carbonate hardness", "28.01"),
])
def test_the_hardness_of_a_dose_is_that_of_its_salt(material, factor, printed):
    effects, net_l = dosed(material, 10000)
    assert agrees(effects[factor].low * net_l / 10, printed)


@pytest.mark.published(entry="side_effects", source="arithmetic", where="100 umol for 8 h are 2.88 mol a day; 9 % of it")
def test_a_lid_takes_its_share_of_a_day():
    lid = Device("lid", "other", shade_fraction=0.09, scope=CHANGED)
    effect, = found(two_boxes(devices=(lid,), light=(Light(100, 8),)), "light")
    assert agrees(-effect.amount, "0.2592")
    unplanned, = found(two_boxes(devices=(lid,)), "light")
    assert (unplanned.amount, unplanned.unit_of_measure) == (pytest.approx(-9), "%")


@pytest.mark.published(entry="side_effects", source="arithmetic", where="60 umol: 8 h 1.728, 6 h 1.296 mol a day")
def test_fewer_hours_take_light_and_stronger_light_gives_it_back():
    setup = two_boxes(light=(Light(60, 8, scope=Scope(arms=("R",))), Light(60, 6, scope=CHANGED)))
    longer, shorter = found(setup, "light")
    assert agrees(shorter.amount, "-0.432")
    assert agrees(longer.amount, "0.432")
    assert shorter.remedy_amount == pytest.approx(80)
    same = two_boxes(light=(Light(60, 8, scope=Scope(arms=("R",))), Light(80, 6, scope=CHANGED)))
    assert found(same) == []


def test_a_device_takes_the_place_of_water_and_shares_count():
    whole = of_device("volume", displaced_l=0.3)
    assert whole.amount == pytest.approx(-0.3)
    assert whole.share == pytest.approx(-0.3 / build_sheet(two_boxes()).facts_of("B").net_l)
    setup = three_bays()
    device = Device("gadget", "other", displaced_l=0.3, shared_by=3, is_change=True)
    thirds = found(replace(setup, devices=(*setup.devices, device)))
    assert [effect.amount for effect in thirds] == pytest.approx([-0.1] * 3)


def test_the_flow_is_what_media_leave_of_it():
    flow, net_l = of_device("flow", flow_l_h=300), build_sheet(two_boxes()).facts_of("B").net_l
    rated = turnover_per_h(300, net_l)
    assert (flow.low, flow.amount, flow.high) == pytest.approx((0.4 * rated, 0.55 * rated, 0.7 * rated))


# warmth --------------------------------------------------------------------------------------------------------------


def stepped_rises(loss, heat_w, hours_per_day, steps_an_hour=200):
    """Mean, coolest and warmest of a day by small steps in time, after the tank has settled."""
    rise = heat_w * hours_per_day / 24 / loss.w_per_c
    seen = []
    for day in range(12):
        for step in range(24 * steps_an_hour):
            power = heat_w if step < hours_per_day * steps_an_hour else 0.0
            rise += 3.6 * (power - loss.w_per_c * rise) / loss.kj_per_c / steps_an_hour
            if day == 11:
                seen.append(rise)
    return sum(seen) / len(seen), min(seen), max(seen)


@pytest.mark.parametrize(("w_per_c", "litres", "hours"), [(5.3, 60, 8), (2.0, 20, 12), (12.0, 40, 1)])
def test_the_warmth_of_a_day_equals_small_steps_in_time(w_per_c, litres, hours):
    loss = _Loss(w_per_c, litres * 4.17)
    mean, low, high = loss.rises(10.0, hours)
    stepped = stepped_rises(loss, 10.0, hours)
    assert (mean, low * 1.13, high * 0.87) == pytest.approx(stepped, rel=0.01)


def test_a_device_that_never_pauses_warms_by_power_over_loss_and_its_span():
    lid = Device("lid", "cover")
    device = Device("pump", "pump", power_w=10, in_water_fraction=1.0, scope=CHANGED)
    effect, = found(two_boxes(devices=(lid, device)), "temperature")
    assert effect.amount == pytest.approx(steady_rise_c(10, 600, 300, 336, 6, "insulated", "lid"))
    assert (effect.low, effect.high) == pytest.approx((effect.amount / 1.13, effect.amount / 0.87))
    assert effect.remedy == "thermostat"


def test_an_open_tank_warms_less_than_a_covered_one_and_air_takes_what_is_not_in_the_water():
    device = Device("pump", "pump", power_w=10, in_water_fraction=1.0, scope=CHANGED)
    covered, = found(two_boxes(devices=(Device("lid", "cover"), device)), "temperature")
    bare, = found(two_boxes(devices=(device,)), "temperature")
    half, = found(two_boxes(devices=(replace(device, in_water_fraction=0.5),)), "temperature")
    assert bare.amount < covered.amount
    assert half.amount == pytest.approx(bare.amount / 2)
    assert found(two_boxes(devices=(replace(device, in_water_fraction=0.0),)), "temperature") == []


def test_compartments_share_the_warmth_of_a_device():
    setup = three_bays()
    device = Device("pump", "pump", power_w=6, in_water_fraction=1.0, scope=CHANGED)
    effect, = found(replace(setup, devices=(*setup.devices, device)), "temperature")
    assert effect.amount == pytest.approx(steady_rise_c(6, 900, 400, 370, 8, "insulated", "lid"))


def test_a_cover_on_one_arm_keeps_water_and_warmth_in():
    setup = two_boxes(devices=(Device("lid", "cover", scope=CHANGED),))
    kept, warmth = found(setup)
    lost_w = evaporation_w(0.588 * 0.288, 25, 20, 50)
    assert kept.amount == pytest.approx(-lost_w * 86.4 / 2440)
    assert kept.low < kept.amount < kept.high < 0
    assert warmth.amount == pytest.approx(lost_w * steady_rise_c(1, 600, 300, 336, 6, "insulated", "lid"))
    assert warmth.low < warmth.amount < warmth.high


@pytest.mark.as_it_was("heat of vapour and the equation for pools are from memory, 2026-11-25")
def test_what_a_cover_keeps_in_stays_as_it_was():
    kept, _ = found(two_boxes(devices=(Device("lid", "cover", scope=CHANGED),)))
    assert -kept.amount == pytest.approx(1.066, rel=0.01)


# doses ---------------------------------------------------------------------------------------------------------------


def test_partners_build_up_between_one_dose_and_the_bound():
    effects, _ = dosed("nitrate", 500, change_fraction=0.5)
    potassium = effects["potassium"]
    assert potassium.high == pytest.approx(2 * potassium.low), "half the water each week: never above two weekly doses"
    assert potassium.low < potassium.amount < potassium.high


@pytest.mark.parametrize(("ions", "meant"), [
    (("K", "NO3"), "NO3"), (("K", "SO4"), "K"), (("Mg", "SO4"), "Mg"), (("Ca", "Cl"), "Ca"), (("K", "PO4"), "PO4"), (("Na", "Fe"), "Fe"),
    (("N",), "N"), (("Cl",), "Cl"),
])
def test_a_salt_is_given_for_its_nutrient(ions, meant):
    assert meant_ion(ions) == meant


def test_an_ion_that_no_other_salt_brings_alone_is_to_be_told():
    effects, _ = dosed("epsom", 500)
    assert (effects["sulphate"].remedy, effects["sulphate"].remedy_amount) == ("say", None)
    assert dosed("urea", 500)[0] == {}


def test_a_liquid_is_given_for_what_its_label_names_first():
    setup = two_boxes(doses=(Dose("liquid", volume_ml=2, scope=CHANGED),))
    assert [effect.factor for effect in found(setup)] == ["potassium"]


def test_each_dose_keeps_its_own_ions_beside_the_others():
    doses = (Dose("nitrate", mass_mg=300), Dose("liquid", volume_ml=2), Dose("epsom", mass_mg=400, scope=CHANGED))
    setup = two_boxes(doses=doses)
    alone = {effect.factor: effect.amount for effect in found(two_boxes(doses=doses[2:]))}
    assert {effect.factor: effect.amount for effect in found(setup)} == pytest.approx(alone)


# when nothing is to be said ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("make", [midday, soil_under_cap, three_bays, hand_worked])
def test_what_all_units_have_alike_is_no_side_effect(make):
    setup = make()
    plain = replace(setup, devices=tuple(device for device in setup.devices if not device.is_change))
    assert found(plain) == []


def test_a_timer_that_belongs_to_the_change_brings_nothing_along():
    assert found(midday()) == []


def test_a_device_that_is_the_change_is_told_even_if_every_unit_has_it():
    device = Device("gadget", "other", displaced_l=0.1, is_change=True)
    assert [effect.unit for effect in found(two_boxes(devices=(device,)))] == ["A", "B"]
    assert found(two_boxes(devices=(replace(device, is_change=False),))) == []


def test_a_dummy_in_the_other_arm_evens_the_volume_out():
    devices = (Device("gadget", "other", power_w=3, displaced_l=0.1, in_water_fraction=1.0, is_change=True, scope=CHANGED),
               Device("dummy", "other", displaced_l=0.1, scope=Scope(arms=("R",))))
    effects = found(two_boxes(devices=devices))
    volumes = {effect.unit: effect.amount for effect in effects if effect.factor == "volume"}
    assert volumes == {"A": pytest.approx(-0.1), "B": pytest.approx(-0.1)}
    assert [effect.unit for effect in effects if effect.factor == "temperature"] == ["B"]


def test_naming_units_or_their_arm_says_the_same():
    device = Device("gadget", "other", displaced_l=0.1, flow_l_h=100, current_ma=5)
    by_arm, by_unit = (found(two_boxes(devices=(replace(device, scope=scope),))) for scope in (CHANGED, Scope(units=("B",))))
    assert by_arm == by_unit != []
    everyone = Scope(units=("A", "B"))
    assert not is_apart(two_boxes(), everyone)
    assert found(two_boxes(devices=(replace(device, scope=everyone),))) == []


def test_factors_and_remedies_are_the_listed_ones():
    setup = two_boxes(
        devices=(Device("gadget", "other", power_w=3, displaced_l=0.1, in_water_fraction=1, flow_l_h=90, shade_fraction=0.1, current_ma=9,
                        scope=CHANGED), Device("lid", "cover", scope=CHANGED)),
        doses=tuple(Dose(key, mass_mg=900, scope=CHANGED) for key in ("nitrate", "epsom", "calcium", "bicarbonate")),
        layers=(Layer("grit", depth_mm=50, scope=CHANGED),), rocks=(Piece("stone", 4, 1, CHANGED),),
        light=(Light(50, 8, scope=CHANGED), Light(60, 8, scope=Scope(("A",)))))
    effects = found(setup)
    assert {effect.factor for effect in effects} <= {*FACTORS, *IONS.values()}
    assert set(FACTORS) <= {effect.factor for effect in effects}
    assert {effect.remedy for effect in effects} <= set(REMEDIES)
    assert all(effect.low <= effect.amount <= effect.high for effect in effects)
