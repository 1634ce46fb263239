"""The shopping list: needed, owned, packs, money, what is missing, electricity."""

import math
from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Device, Dose, Material, Money, Piece, SourceWater, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.costs import running_cost, shopping_list
from planning.setups import hand_worked, midday, soil_under_cap, three_bays

SETUPS = pytest.mark.parametrize("make", [midday, soil_under_cap, three_bays, hand_worked])


def shopped(setup):
    return shopping_list(setup, build_sheet(setup))


def line_of(setup, key):
    return next(line for line in shopped(setup).lines if line.material == key)


def with_material(setup, key, **changes):
    materials = tuple(replace(material, **changes) if material.key == key else material for material in setup.materials)
    return replace(setup, materials=materials)


@pytest.mark.published(entry="shopping_list", source="arithmetic",
                       where="6 x 1.6 kg + 10 % = 10.56 kg: 3 bags of 5 kg at 11.50, 4.44 kg left; by hand")
def test_bags_of_the_base_for_six_tanks():
    line = line_of(midday(), "peat_clay_base")
    assert agrees(line.needed, "10.56")
    assert agrees(line.waste, "0.96")
    assert (line.packs, line.cost) == (3, 34.5)
    assert agrees(line.left_over, "4.44")


@pytest.mark.published(entry="shopping_list", source="arithmetic",
                       where="6 x 5.4 kg / 0.95 kg/L + 10 % = 37.52 L: 5 bags of 9 L at 16; by hand")
def test_a_bed_sold_by_the_litre_is_bought_by_the_litre():
    line = line_of(midday(), "baked_clay_cap")
    assert line.unit_of_measure == "L"
    assert agrees(line.needed, "37.52")
    assert (line.packs, line.cost) == (5, 80)


@pytest.mark.published(entry="shopping_list", source="arithmetic",
                       where="6 x 11 stems + 10 % = 72.6, so 73; 13 bunches of 6 at 3.20 are 41.60; by hand")
def test_plants_are_bought_in_whole_bunches():
    line = line_of(midday(), "green_stem")
    assert (line.needed, line.packs, line.left_over) == (73, 13, 5)
    assert agrees(line.cost, "41.60")


@pytest.mark.published(entry="shopping_list", source="arithmetic",
                       where="6 x 2 doses of 150 mg in 37 days, 11 times: 9.9 g, + 10 % = 10.89 g; by hand")
def test_fertiliser_lasts_for_all_weeks_and_stock_is_used_first():
    line = line_of(midday(), "potassium_nitrate")
    assert agrees(line.needed, "10.89")
    assert (line.unit_of_measure, line.packs, line.cost) == ("g", 0, 0)
    assert agrees(line.left_over, "109.11")


def test_salts_and_water_count_the_fill_and_every_change():
    sheet = build_sheet(midday())
    poured = [line for line in sheet.lines if line.material == "tap_water"]
    assert {line.times for line in poured} == {1, 5}
    assert line_of(midday(), "tap_water").needed == pytest.approx(sum(line.planned * line.times for line in poured))
    weighed_kg = sum(line.planned * line.times for line in sheet.lines if line.material == "gypsum") / 1000
    assert line_of(midday(), "gypsum").needed == pytest.approx(1.1 * weighed_kg)


def test_a_salt_named_by_its_formula_is_priced_by_the_catalogue():
    setup = three_bays()
    bag = Material("bicarbonate", "salt", "potassium bicarbonate", formula="KHCO3", pack_size=100, pack_unit="g", price=2.5)
    assert line_of(replace(setup, materials=(*setup.materials, bag)), "bicarbonate").cost == 2.5


def test_pieces_are_counted_where_they_are_sold_by_the_piece():
    assert line_of(midday(), "root_wood").needed == 6
    setup = with_material(hand_worked(), "stone", pack_unit="piece", pack_size=1.0, price=2.0, waste_fraction=0.0)
    setup = replace(setup, rocks=(Piece("stone", 3.0, 2), Piece("stone", 1.0, 5)))
    assert line_of(setup, "stone").needed == 7


def test_a_shared_device_is_bought_once():
    lines = {line.material: line for line in shopped(three_bays()).lines}
    assert (lines["heater"].packs, lines["filter"].packs) == (1, 3)
    assert lines["heater"].cost == 22


@SETUPS
def test_packs_cover_the_need_and_no_pack_is_bought_in_vain(make):
    for line in shopped(make()).lines:
        if line.packs:
            assert line.owned + line.packs * line.pack_size >= line.needed - 1e-6
            assert line.owned + (line.packs - 1) * line.pack_size < line.needed
            assert 0 <= line.left_over < line.pack_size
        assert line.needed >= line.waste >= 0
        assert line.to_buy == pytest.approx(max(0, line.needed - line.owned))


@SETUPS
def test_what_is_missing_is_named_and_never_free(make):
    shopping = shopped(make())
    for line in shopping.lines:
        assert (line.cost is None) == (line.title in shopping.missing)
        assert (line.cost is None) == bool(line.packs is None or (line.packs > 0 and line.price is None))
        assert bool(line.note) == (line.cost is None)
    assert shopping.is_at_least == bool(shopping.missing)
    assert shopping.purchases == pytest.approx(sum(line.cost for line in shopping.lines if line.cost is not None))


def test_sums_per_unit_and_per_week():
    setup = midday()
    shopping = shopped(setup)
    assert shopping.missing == ()
    assert not shopping.is_at_least
    assert shopping.total == pytest.approx(shopping.purchases + shopping.running.cost_trial)
    assert (shopping.per_unit, shopping.per_week) == pytest.approx((shopping.total / 6, shopping.total / (37 / 7)))
    assert shopping.currency == "crowns"


@pytest.mark.published(entry="running_cost", source="arithmetic", where="25 W, 8 h a day, 4 weeks: 5.6 kWh; at 0.30 a kWh 1.68; by hand")
def test_electricity_of_the_trial():
    setup = replace(hand_worked(), devices=(Device("lamp", "lamp", power_w=25, hours_per_day=8),), money=Money("crowns", 0.30))
    running = running_cost(setup, build_sheet(setup))
    assert agrees(running.energy_kwh_week, "1.40")
    assert agrees(running.energy_kwh_trial, "5.60")
    assert agrees(running.cost_week, "0.42")
    assert agrees(running.cost_trial, "1.68")


def test_without_a_price_of_electricity_the_kilowatt_hours_stand_alone():
    shopping = shopped(replace(midday(), money=Money()))
    assert (shopping.running.cost_week, shopping.running.cost_trial) == (None, None)
    assert shopping.running.energy_kwh_trial > 0
    assert shopping.missing == ("electricity",)
    assert shopping.total == shopping.purchases


def test_what_is_owned_costs_nothing_even_without_a_price():
    setup = with_material(hand_worked(), "grit", owned=7.0, pack_unit="kg")
    line = line_of(setup, "grit")
    assert (line.packs, line.cost, line.note) == (0, 0, "")
    assert agrees(line.left_over, "0.015")


def test_a_waste_of_its_own_beats_the_usual_one():
    setup = with_material(midday(), "peat_clay_base", waste_fraction=0.0)
    assert agrees(line_of(setup, "peat_clay_base").needed, "9.60")
    assert agrees(line_of(replace(midday(), waste_fraction=0.25), "peat_clay_base").needed, "12.00")


def test_more_weeks_need_more_fertiliser_and_no_more_sand():
    short, long = three_bays(), replace(three_bays(), weeks=16)
    assert line_of(long, "nitrate_liquid").needed == pytest.approx(2 * line_of(short, "nitrate_liquid").needed)
    assert line_of(long, "silica_sand") == line_of(short, "silica_sand")


def test_tanks_are_said_not_to_be_priced():
    assert shopped(hand_worked()).notes[0].startswith("Tanks are not priced here.")


@pytest.mark.parametrize(("key", "pack_unit", "sentence"), [
    ("broken_slate", "L", r"broken slate is sold by L and needed by kg: give its pack in a unit of the same kind"),
    ("iron_liquid", "g", r"iron and trace liquid is sold by g and needed by mL"),
])
def test_packs_in_which_the_need_cannot_be_told_are_refused(key, pack_unit, sentence):
    with pytest.raises(DesignError, match=sentence):
        shopped(with_material(midday(), key, pack_unit=pack_unit, pack_size=1.0))


def test_all_of_them_are_named_at_once():
    setup = with_material(with_material(midday(), "broken_slate", pack_unit="L"), "iron_liquid", pack_unit="g")
    with pytest.raises(DesignError) as refusal:
        shopped(setup)
    assert len(str(refusal.value).splitlines()) == 2


def test_one_gram_more_than_a_pack_needs_two():
    setup = replace(hand_worked(), materials=(*hand_worked().materials, Material("feed", "salt", formula="KNO3", pack_size=1, pack_unit="g",
                                                                                 price=1.0, waste_fraction=0.0)),
                    water=(WaterPlan(SourceWater("tap", 8, 4)),), doses=(Dose("feed", mass_mg=250),))
    assert line_of(setup, "feed").packs == 1
    assert line_of(replace(setup, weeks=4.1), "feed").packs == math.ceil(5 * 0.25)
