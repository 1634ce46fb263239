"""Devices on the sheet, light, heat and electricity of a tank."""

from dataclasses import replace

import pytest

from checking import agrees
from fairtank.build import Device, Light, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.buildsheet import build_sheet
from fairtank.science.heat import evaporation_w, wall_loss_w
from planning.setups import hand_worked, midday, three_bays


def with_devices(*devices, setup=None):
    return build_sheet(replace(setup or hand_worked(), devices=devices))


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="25 W for 8 h a day are 1.4 kWh a week, 73.0 kWh a year")
def test_electricity_of_a_week():
    facts = with_devices(Device("lamp", "lamp", power_w=25, hours_per_day=8)).tanks[0]
    assert agrees(facts.energy_kwh_week, "1.40")
    assert agrees(facts.energy_kwh_week / 7 * 365, "73.0")


def test_the_light_plan_sets_the_hours_of_the_lamp():
    setup = replace(hand_worked(), devices=(Device("lamp", "lamp", power_w=25, hours_per_day=10),), light=(Light(50, 8),))
    sheet = build_sheet(setup)
    assert agrees(sheet.tanks[0].energy_kwh_week, "1.40")
    assert "lamp runs 10 h a day by its own line and 8 h by the light plan; the light plan counts." in sheet.cautions


def test_a_heater_makes_up_the_loss_and_no_more_than_its_power():
    loss_w = with_devices().tanks[0].heat_loss_w
    strong, weak = Device("heater", "heater", power_w=300), Device("heater", "heater", power_w=10)
    pump = Device("pump", "pump", power_w=12, in_water_fraction=0.5)
    assert with_devices(strong).tanks[0].energy_kwh_week == pytest.approx(loss_w * 0.168)
    assert with_devices(weak).tanks[0].energy_kwh_week == pytest.approx(10 * 0.168)
    helped = with_devices(strong, pump).tanks[0]
    assert helped.device_heat_w == 6
    assert helped.energy_kwh_week == pytest.approx((loss_w - 6 + 12) * 0.168)
    assert with_devices(replace(strong, hours_per_day=5)).tanks[0].energy_kwh_week == pytest.approx(300 * 5 * 7 / 1000)


def test_the_loss_is_that_of_walls_and_open_surface_at_the_coldest_room():
    facts = with_devices().tanks[0]
    by_parts_w = wall_loss_w(600, 300, 336, 6, 25, 20, "insulated", "open") + evaporation_w(0.588 * 0.288, 25, 20, 50)
    assert facts.heat_loss_w == pytest.approx(by_parts_w)
    assert (facts.heater_low_w, facts.heater_high_w) == pytest.approx((1.5 * by_parts_w, 2 * by_parts_w))


def test_a_cover_stops_evaporation():
    covered = with_devices(Device("cover", "cover")).tanks[0]
    assert covered.heat_loss_w == pytest.approx(wall_loss_w(600, 300, 336, 6, 25, 20, "insulated", "lid"))
    assert covered.heat_loss_w < with_devices().tanks[0].heat_loss_w


def test_a_room_warmer_than_the_water_needs_no_heater():
    setup = hand_worked()
    warm = replace(setup, water=(WaterPlan(setup.water[0].tap, temp_c=22, room_temp_c=35),), devices=(Device("cover", "cover"),))
    facts = build_sheet(warm).tanks[0]
    assert (facts.heat_loss_w, facts.heater_low_w, facts.heater_high_w) == (0, 0, 0)


def test_a_weak_heater_is_named():
    said = " ".join(with_devices(Device("heater", "heater", power_w=25)).cautions)
    assert "Tank box: heaters of 25 W for a loss of about 63 W at the coldest room; 94 to 125 W are usual" in said
    assert "heaters of" not in " ".join(with_devices(Device("heater", "heater", power_w=100)).cautions)


def test_a_shared_device_counts_once_for_the_tank():
    setup = replace(three_bays(), water=(), doses=())
    pump = Device("pump", "pump", power_w=30, mass_kg=3, displaced_l=0.3, shared_by=3, in_water_fraction=1.0)
    facts = with_devices(pump, setup=setup)
    without = with_devices(setup=setup)
    assert facts.tanks[0].energy_kwh_week == pytest.approx(30 * 0.168)
    assert facts.tanks[0].device_heat_w == pytest.approx(30)
    assert facts.tanks[0].weight_kg - without.tanks[0].weight_kg == pytest.approx(3 - 0.3 * 0.99705)
    assert {line.note for line in facts.lines if line.material == "pump"} == {"one for 3 units; 30 W, 24 h a day"}


def test_one_pump_for_six_tanks_counts_a_sixth_in_each():
    setup = midday()
    pump = Device("pump", "pump", power_w=12, shared_by=6)
    plain, with_pump = build_sheet(setup), build_sheet(replace(setup, devices=(*setup.devices, pump)))
    for before, after in zip(plain.tanks, with_pump.tanks, strict=True):
        assert after.energy_kwh_week - before.energy_kwh_week == pytest.approx(2 * 0.168)


def test_a_device_shared_by_more_than_are_there_is_refused():
    with pytest.raises(DesignError, match=r"pump is shared by 2 units, and 1 have it: whole groups are needed"):
        with_devices(Device("pump", "pump", shared_by=2))


def test_the_turn_over_of_a_filter_is_told_as_rated_and_as_it_will_be():
    sheet = with_devices(Device("filter", "filter", flow_l_h=518.6))
    note, = (line.note for line in sheet.lines if line.material == "filter")
    assert note == ("rated flow turns the water over 10.0 times an hour; media and height take 30 to 60 % of it (common practice, no "
                    "source), so expect 4.0 to 7.0; measure with bucket and watch")


@pytest.mark.published(entry="build_sheet", source="arithmetic", where="50 µmol m-2 s-1 for 8 h are 1.44 mol m-2 d-1")
def test_light_per_day_and_the_aim_where_nothing_was_measured():
    sheet = build_sheet(replace(hand_worked(), light=(Light(50, 8),)))
    aim, hours = (line for line in sheet.lines if line.part == "light")
    assert agrees(sheet.units[0].daily_light_mol_m2, "1.44")
    assert (aim.title, aim.planned, aim.unit_of_measure) == ("light at the bed", 50, "µmol m⁻² s⁻¹")
    assert (hours.planned, hours.unit_of_measure, hours.tolerance) == (8, "h", 0.25)


def test_one_reading_at_full_output_is_taken_as_proportional():
    sheet = build_sheet(replace(hand_worked(), light=(Light(60, 8, measured=((1.0, 100.0),)),)))
    setting = next(line for line in sheet.lines if line.title == "lamp setting")
    assert (setting.planned, setting.unit_of_measure) == (60, "%")


@pytest.mark.published(entry="ppfd_from_lux", source="thimijan1983", where="sunlight: 54 lux per µmol m-2 s-1")
def test_lux_is_turned_into_plant_light_by_the_kind_of_lamp():
    light = Light(60, 8, measured=((1.0, 5400.0),), unit_of_measure="lux", source="sunlight")
    setting = next(line for line in build_sheet(replace(hand_worked(), light=(light,))).lines if line.title == "lamp setting")
    assert setting.planned == 60
    assert "from 1 reading, from lux under sunlight" in setting.note


def test_readings_off_the_curve_and_settings_never_read_are_said():
    light = Light(15, 8, measured=((0.25, 30.0), (0.5, 80.0), (1.0, 120.0)))
    setting = next(line for line in build_sheet(replace(hand_worked(), light=(light,))).lines if line.title == "lamp setting")
    assert "outside the settings that were read" in setting.note
    assert "% off the curve" in setting.note


@pytest.mark.parametrize(("light", "sentence"), [
    (Light(200, 8, measured=((1.0, 100.0),)), r"The light plan: target_umol is 200\.0 .* no more than the lamp gives"),
    (Light(50, 8, measured=((0.5, 100.0), (1.0, 190.0))), r"The light plan: Read the light at 3 different settings or more"),
    (Light(50, 8, measured=((1.0, 5000.0),), unit_of_measure="lux"), r"Light was measured in lux: name the kind of lamp as source"),
    (Light(50, 8, measured=((1.0, 5000.0),), unit_of_measure="lux", source="moon"), r"The light plan: source is 'moon'"),
    (Light(50, 8, measured=((1.0, 50.0),), unit_of_measure="foot"), r"Light was measured in foot; it may be umol or lux"),
])
def test_a_light_plan_that_cannot_be_set_is_refused(light, sentence):
    with pytest.raises(DesignError, match=sentence):
        build_sheet(replace(hand_worked(), light=(light,)))


def test_equal_lamps_have_one_setting_in_all_units():
    assert {line.planned for line in build_sheet(midday()).lines if line.title == "lamp setting"} == {54}
