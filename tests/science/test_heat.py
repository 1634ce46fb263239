"""Heat loss, heaters, warming and flow: against an equation as printed, a computed water table, definitions and hand-worked tanks."""

import csv
from pathlib import Path

import numpy as np
import pint
import pytest

from checking import agrees
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import heat, heat_transfer
from fairtank.science.vessel import WATER_KG_L

PUBLISHED = Path(__file__).resolve().parent.parent / "published"
WATER = list(csv.DictReader((PUBLISHED / "iapws_water.csv").read_text(encoding="utf-8").splitlines()[1:]))
BOX = {"length_mm": 600, "width_mm": 300, "height_mm": 360, "glass_mm": 6}


def evaporation_as_printed_w(surface_m2, water_kpa, room_kpa, air_m_s):
    """W = (95 + 0.425 v)(pw - pa)/Y in lb/(h ft²), v in ft/min, pressures in inches of mercury; times Y it is a heat in Btu/(h ft²)."""
    units = pint.get_application_registry()  # one for all tests: it takes half a second to make
    surface = units.Quantity(surface_m2, "m**2").to("ft**2").magnitude
    speed = units.Quantity(air_m_s, "m/s").to("ft/min").magnitude
    pressure = units.Quantity(water_kpa - room_kpa, "kPa").to("inch_Hg_60F").magnitude
    return units.Quantity(surface * (95 + 0.425 * speed) * pressure, "Btu_it/h").to("W").magnitude


@pytest.mark.published(entry="evaporation_w", source="smith1998", where="abstract: W = (95 + 0.425 v)(pw - pa)/Y, inch-pound units")
@pytest.mark.parametrize("air", heat.AIR_M_S)
def test_evaporation_is_the_printed_equation_in_other_units(air):
    water, room = heat_transfer.vapour_kpa(np.array([25.0, 20.0]))
    expected = evaporation_as_printed_w(0.18, water, 0.5 * room, heat.AIR_M_S[air])
    assert heat.evaporation_w(0.18, 25, 20, 50, air) == pytest.approx(expected, rel=0.003)


@pytest.mark.published(entry="evaporation_w", source="iapws_library", where="vapour pressure at saturation, 15 to 30 degC")
@pytest.mark.parametrize("water", WATER, ids=lambda water: f"{water['temp_c']} degC")
def test_the_vapour_pressure_equals_the_water_table(water):
    dry_room_w = heat.evaporation_w(1, float(water["temp_c"]), 20, 0)
    assert dry_room_w / 89 == pytest.approx(float(water["vapour_kpa"]), rel=0.001)


@pytest.mark.published(entry="heat_up_h", source="iapws_library", where="density and heat capacity of water at 25 degC")
def test_the_heat_of_water_is_that_of_the_water_table():
    at_25 = next(water for water in WATER if water["temp_c"] == "25")
    assert agrees(heat.WATER_KJ_KG_K, at_25["heat_capacity_kj_kg_k"])
    assert agrees(1000 * WATER_KG_L, at_25["density_kg_m3"])


@pytest.mark.published(entry="heat_up_h", source="arithmetic", where="60 L, 5 K, 100 W, worked by hand: 3.47 h")
@pytest.mark.published(entry="adiabatic_rise_c", source="arithmetic", where="10 W, 8 h, 60 L, worked by hand: 1.15 K")
@pytest.mark.published(entry="energy_kwh", source="arithmetic", where="25 W x 8 h x 365 d: 73.0 kWh")
@pytest.mark.published(entry="flow_by_bucket_l_h", source="arithmetic", where="2.5 L in 30 s")
@pytest.mark.published(entry="turnover_per_h", source="arithmetic", where="300 L/h in 60 L")
def test_warming_electricity_and_flow_equal_the_hand_worked_ones():
    assert agrees(heat.heat_up_h(60, 5, 100), "3.47")
    assert agrees(heat.adiabatic_rise_c(10, 8, 60), "1.15")
    assert agrees(heat.energy_kwh(25, 8, 365), "73.0")
    assert agrees(heat.flow_by_bucket_l_h(2.5, 30), "300")
    assert agrees(heat.turnover_per_h(300, 60), "5.0")


@pytest.mark.as_it_was("wall_loss_w, steady_rise_c and evaporation_w with recalled coefficients, 2026-11-25")
def test_losses_of_a_sixty_litre_tank_stay_what_they_were():
    assert agrees(float(heat_transfer.pane_w_m2_k(6)), "8.19")
    assert agrees(heat.wall_loss_w(**BOX, temp_c=25, room_temp_c=20), "26.5")
    assert agrees(heat.wall_loss_w(**BOX, temp_c=25, room_temp_c=20) / 5 / heat_transfer.pane_w_m2_k(6), "0.648"), "area of the walls"
    assert agrees(heat.evaporation_w(0.18, 25, 20, 50), "32")
    surface, walls = heat.evaporation_w(0.18, 25, 20, 50), heat.wall_loss_w(**BOX, temp_c=25, room_temp_c=20)
    assert surface > walls, "an open surface can lose more than the walls"
    assert agrees(heat.steady_rise_c(10, **BOX), "1.88")


@pytest.mark.as_it_was("heater_w: one and a half times to twice the loss is common practice, no source, 2026-11-25")
def test_a_heater_has_one_and_a_half_times_to_twice_the_loss():
    size = heat.heater_w(26.5)
    assert (agrees(size.low_w, "39.75"), agrees(size.high_w, "53.0")) == (True, True)
    low, high = heat.USUAL_HEATER_W_L
    loss = heat.wall_loss_w(**BOX, temp_c=25, room_temp_c=20, base="bare", top="lid")
    assert low * 52 < heat.heater_w(loss).high_w < 2 * high * 52, "the habit by volume is of the same order"


def test_recalled_coefficients_leave_the_pane_within_the_told_span():
    for room, water in ((8, 100), (10, 400)):
        other = 1 / (1 / room + 0.006 / heat_transfer.GLASS_W_M_K + 1 / water)
        assert abs(other / float(heat_transfer.pane_w_m2_k(6)) - 1) < 0.14


def test_losses_add_up_face_by_face():
    warm = {"temp_c": 25, "room_temp_c": 20}
    walls, bare, lid, opened, both = (
        heat.wall_loss_w(**BOX, **warm, base=base, top=top)
        for base, top in (("insulated", "apart"), ("bare", "apart"), ("insulated", "lid"), ("insulated", "open"), ("bare", "lid"))
    )
    floor_w = 0.18 * 5 * float(heat_transfer.pane_w_m2_k(6))
    assert bare - walls == pytest.approx(floor_w)
    assert both - walls == pytest.approx(2 * floor_w)
    assert opened > lid, "no glass between water and air"


def test_at_the_steady_rise_the_walls_lose_what_the_device_gives():
    for base in heat_transfer.BASES:
        for top in heat_transfer.TOPS:
            rise = heat.steady_rise_c(12, **BOX, base=base, top=top)
            assert heat.wall_loss_w(**BOX, temp_c=20 + rise, room_temp_c=20, base=base, top=top) == pytest.approx(12)


def test_a_warm_room_warms_the_tank_and_asks_for_no_heater():
    gained = heat.wall_loss_w(**BOX, temp_c=22, room_temp_c=27)
    assert gained == pytest.approx(-heat.wall_loss_w(**BOX, temp_c=27, room_temp_c=22))
    with pytest.raises(OutOfRangeError, match=r"loss_w is -26\.\d+ W; accepted: 0 to 10000 W\. Where the room is warmer"):
        heat.heater_w(gained)


def test_heating_up_and_warming_are_each_others_inverse():
    hours = heat.heat_up_h(48, 6, 75)
    assert heat.adiabatic_rise_c(75, hours, 48) == pytest.approx(6)


def test_evaporation_grows_with_surface_wind_and_dry_air_and_never_turns_negative():
    assert heat.evaporation_w(0.36, 25, 20, 50) == pytest.approx(2 * heat.evaporation_w(0.18, 25, 20, 50))
    by_wind = [heat.evaporation_w(0.18, 25, 20, 50, air) for air in ("still", "draught", "fan")]
    assert by_wind == sorted(by_wind)
    assert by_wind[0] < by_wind[-1]
    by_humidity = heat.evaporation_w(0.18, 25, 20, [0, 30, 60, 90])
    assert (np.diff(by_humidity) < 0).all()
    assert heat.evaporation_w(0.18, 18, 30, 95) == 0


def test_a_bucket_tells_how_much_of_the_rated_flow_is_left():
    rated, measured = 400, heat.flow_by_bucket_l_h(2.0, 32)
    low, high = heat.USUAL_FLOW_DROP
    assert low <= 1 - measured / rated <= high
    assert heat.turnover_per_h(measured, 50) == pytest.approx(4.5)


def test_arrays_give_arrays_and_numbers_give_numbers():
    assert isinstance(heat.wall_loss_w(**BOX, temp_c=25, room_temp_c=20), float)
    assert heat.wall_loss_w(**BOX, temp_c=[24, 26], room_temp_c=20).shape == (2,)
    assert heat.evaporation_w([0.1, 0.2], 25, 20, 50).shape == (2,)
    assert heat.heater_w([20, 30]).high_w.tolist() == [40, 60]
    assert heat.steady_rise_c([5, 10], **BOX).shape == (2,)
    assert heat.energy_kwh([25, 50], 8, 365).tolist() == [73, 146]


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: heat.wall_loss_w(600, 300, 360, 0, 25, 20), r"glass_mm is 0\.0 mm; accepted: 2 to 30 mm"),
    (lambda: heat.wall_loss_w(600, 300, 360, 6, 77, 20), r"temp_c is 77\.0 °C; accepted: 5 to 40 °C"),
    (lambda: heat.evaporation_w(0.18, 25, 20, 150), r"humidity_pct is 150\.0 %; accepted: 0 to 100 %"),
    (lambda: heat.evaporation_w(18, 25, 20, 50), r"surface_m2 is 18\.0 m²; accepted: 0 to 10 m²"),
    (lambda: heat.heat_up_h(60, 5, 0), r"power_w is 0\.0 W; accepted: 1 to 10000 W"),
    (lambda: heat.adiabatic_rise_c(-10, 8, 60), r"power_w is -10\.0 W; accepted: 0 to 10000 W"),
    (lambda: heat.adiabatic_rise_c(10, 8, 0), r"volume_l is 0\.0 L; accepted: 0\.1 to 50000 L"),
    (lambda: heat.steady_rise_c(10, 5, 300, 360, 6), r"length_mm is 5\.0 mm; accepted: 50 to 5000 mm"),
    (lambda: heat.energy_kwh(25, 25, 365), r"hours_per_day is 25\.0 h; accepted: 0 to 24 h"),
    (lambda: heat.turnover_per_h(300, 0), r"volume_l is 0\.0 L"),
    (lambda: heat.flow_by_bucket_l_h(2.5, 0), r"seconds is 0\.0 s; accepted: 1 to 36000 s"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: heat.wall_loss_w(**BOX, temp_c=25, room_temp_c=20, base="carpet"), r"base is 'carpet'; accepted: insulated, bare"),
    (lambda: heat.steady_rise_c(10, **BOX, top="foil"), r"top is 'foil'; accepted: apart, lid, open"),
    (lambda: heat.evaporation_w(0.18, 25, 20, 50, "storm"), r"air is 'storm'; accepted: still, draught, fan"),
    (lambda: heat.energy_kwh("much", 8, 365), r"power_w is 'much'; accepted: 0 to 10000 W"),
])
def test_a_word_that_is_no_choice_is_refused_and_the_choices_are_named(call, sentence):
    with pytest.raises(InputError, match=sentence):
        call()
