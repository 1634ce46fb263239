"""Oxygen saturation, exchange, electrolysis and gas in a room, against printed tables, oceanography's library and definitions."""

import csv
from pathlib import Path

import numpy as np
import pytest

from checking import agrees, every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import air, gases

PUBLISHED = Path(__file__).resolve().parent.parent / "published"


def rows_of(name):
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


@pytest.mark.published(entry="oxygen_saturation_mg_l", source="en25814", where="table of saturation at 1013.25 hPa, 0 to 30 °C")
@every("row", rows_of("en25814_oxygen.csv"), ids=lambda row: f"{row['temp_c']} degC")
def test_oxygen_saturation_equals_the_table_of_the_standard(row):
    saturation = gases.oxygen_saturation_mg_l(float(row["temp_c"]))
    if row["off"]:  # 12.448, 12.139 and 8.915 by the formula: there the standard's own table lies one last digit away
        assert not agrees(saturation, row["printed_mg_l"])
        assert saturation == pytest.approx(float(row["printed_mg_l"]), abs=0.065)
    else:
        assert agrees(saturation, row["printed_mg_l"])


@pytest.mark.published(entry="oxygen_saturation_mg_l", source="benson1984", where="fit at 1 atm, worked out apart from this code")
@pytest.mark.parametrize(("temp_c", "printed"), [
    (15, "10.084"), (18, "9.467"), (20, "9.092"), (22, "8.744"), (24, "8.418"), (25, "8.263"), (26, "8.114"), (28, "7.828"), (30, "7.559"),
    (32, "7.305"),
])
def test_oxygen_saturation_equals_the_fit(temp_c, printed):
    assert agrees(gases.oxygen_saturation_mg_l(temp_c), printed)


def test_oxygen_saturation_agrees_with_the_sea_water_library_at_no_salt():
    """gsw 3.6: O2sol_SP_pt(0, t) [umol/kg], a later fit to the same measurements; 0.05 % is what the two fits differ by."""
    gsw = pytest.importorskip("gsw")
    temps = np.arange(0.0, 41.0)
    second = gsw.O2sol_SP_pt(0, temps) * 31.9988e-6 * gsw.rho(0, temps, 0)
    assert gases.oxygen_saturation_mg_l(temps) == pytest.approx(second, rel=5.5e-4)
    for temp_c, printed in ((20, "9.093"), (25, "8.265"), (30, "7.561")):
        assert agrees(second[temp_c], printed), "the library says what it was said to say"


@pytest.mark.as_it_was("pressure part: its water-vapour term is from memory, 2026-11-25")
@pytest.mark.parametrize(("temp_c", "pressure_atm", "printed"), [
    (20, 0.90, "8.162"), (20, 0.95, "8.627"), (25, 0.90, "7.411"), (25, 850 / 1013.25, "6.890"),
])
def test_oxygen_saturation_under_less_pressure(temp_c, pressure_atm, printed):
    assert agrees(gases.oxygen_saturation_mg_l(temp_c, pressure_atm), printed)


def test_another_published_form_of_the_vapour_pressure_gives_the_same_digits():
    """Green & Carritt 1967, as the public R package wql (oxySol) writes it; the pressure correction around it is the same."""
    temp, pressure = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 40, 41), np.linspace(0.5, 1.1, 13)))
    kelvin = temp + 273.15
    vapour = np.exp(18.1973 * (1 - 373.16 / kelvin) + 3.1813e-7 * (1 - np.exp(26.1205 * (1 - kelvin / 373.16)))
                    - 0.018726 * (1 - np.exp(8.03945 * (1 - 373.16 / kelvin))) + 5.02802 * np.log(373.16 / kelvin))
    theta = 0.000975 - 1.426e-5 * temp + 6.436e-8 * temp**2
    second = (gases.oxygen_saturation_mg_l(temp) * pressure * (1 - vapour / pressure) * (1 - theta * pressure)
              / ((1 - vapour) * (1 - theta)))
    assert gases.oxygen_saturation_mg_l(temp, pressure) == pytest.approx(second, abs=0.0025)


def test_oxygen_saturation_falls_as_water_warms_and_rises_with_pressure():
    assert (np.diff(gases.oxygen_saturation_mg_l(np.linspace(0, 40, 81))) < 0).all()
    assert (np.diff(gases.oxygen_saturation_mg_l(25, np.linspace(0.5, 1.1, 61))) > 0).all()


@pytest.mark.parametrize(("temp_c", "older"), [(20, "9.2"), (22, "8.8"), (25, "8.4")])
def test_an_older_instrument_table_is_a_different_table(temp_c, older):
    """Tables of older field instruments at 760 mm Hg: a trial that mixes one with this one sees a difference that is none."""
    saturation = gases.oxygen_saturation_mg_l(temp_c)
    assert not agrees(saturation, older)
    assert 0.05 < float(older) - saturation < 0.15
    assert gases.OXYGEN_TABLE == "Benson & Krause 1984"


@pytest.mark.published(entry="schmidt_oxygen", source="wanninkhof1992", where="fresh-water fit, worked out apart from this code")
@pytest.mark.parametrize(("temp_c", "printed"), [(15, "689.3"), (20, "530.5"), (25, "417.85"), (30, "315.8")])
def test_the_schmidt_number_of_oxygen(temp_c, printed):
    assert agrees(gases.schmidt_oxygen(temp_c), printed)


@pytest.mark.published(entry="schmidt_carbon_dioxide", source="wanninkhof1992", where="fresh-water fit; 600 at 20 °C, which names k600")
@pytest.mark.parametrize(("temp_c", "printed"), [(15, "776.9"), (20, "599.4"), (20, "6.0e2"), (25, "470.7"), (30, "359.6")])
def test_the_schmidt_number_of_carbon_dioxide(temp_c, printed):
    assert agrees(gases.schmidt_carbon_dioxide(temp_c), printed)


@pytest.mark.published(entry="electrolysis_oxygen_mg_h", source="codata2018", where="Faraday's law, worked by hand: 0.29848 g/Ah")
@pytest.mark.parametrize(("current_ma", "printed"), [(1000, "298.48"), (20, "5.97"), (50, "14.92"), (100, "29.85"), (500, "149.2")])
def test_electrolysis_oxygen_equals_the_hand_worked_currents(current_ma, printed):
    assert agrees(gases.electrolysis_oxygen_mg_h(current_ma), printed)


@pytest.mark.published(entry="electrolysis_hydrogen_mg_h", source="codata2018", where="Faraday's law by hand: 37.61 mg/Ah, 0.46 L/Ah")
def test_electrolysis_hydrogen_equals_the_hand_worked_current():
    mg_h = gases.electrolysis_hydrogen_mg_h(1000)
    assert agrees(mg_h, "37.61")
    assert agrees(mg_h / 1000 / 2.01588 * 24.465, "0.46")


def test_electrolysis_gives_two_hydrogen_for_one_oxygen_and_agrees_with_public_constants():
    from molmass import Formula
    from scipy.constants import physical_constants

    assert physical_constants["Faraday constant"][0] == pytest.approx(gases.FARADAY_C_MOL, rel=1e-9)
    oxygen, hydrogen = Formula("O2").mass, Formula("H2").mass
    currents = np.array([1.0, 20, 500])
    moles_oxygen, moles_hydrogen = gases.electrolysis_oxygen_mg_h(currents) / oxygen, gases.electrolysis_hydrogen_mg_h(currents) / hydrogen
    assert 2 * moles_oxygen == pytest.approx(moles_hydrogen, rel=1e-4)
    assert gases.electrolysis_oxygen_mg_h(50, 0.4) == pytest.approx(0.4 * gases.electrolysis_oxygen_mg_h(50))


@pytest.mark.published(entry="steady_excess_mg_l", source="arithmetic", where="14.92 mg/h into 0.18 m², worked by hand")
@pytest.mark.parametrize(("transfer_cm_h", "printed"), [(1, "8.29"), (2, "4.15"), (5, "1.66"), (10, "0.83")])
def test_the_lasting_excess_equals_the_hand_worked_tank(transfer_cm_h, printed):
    assert agrees(gases.steady_excess_mg_l(gases.electrolysis_oxygen_mg_h(50), transfer_cm_h, 0.18), printed)


@pytest.mark.published(entry="time_constant_h", source="arithmetic", where="60 L over 0.18 m², worked by hand")
@pytest.mark.parametrize(("transfer_cm_h", "printed"), [(1, "33.3"), (2, "16.7"), (5, "6.67"), (10, "3.33")])
def test_the_time_constant_equals_the_hand_worked_tank(transfer_cm_h, printed):
    assert agrees(gases.time_constant_h(60, transfer_cm_h, 0.18), printed)


@pytest.mark.published(entry="exchange_mg_h", source="arithmetic", where="excess 29.4 mg/L, 2 cm/h, 0.18 m², worked by hand")
def test_the_loss_of_carbon_dioxide_equals_the_hand_worked_tank():
    assert agrees(gases.exchange_mg_h(29.4, 2, 0.18), "105.8")


def test_at_the_lasting_excess_the_surface_lets_out_what_is_made():
    rng = np.random.default_rng(3)
    source, transfer, surface = rng.uniform(1, 500, 50), rng.uniform(0.3, 50, 50), rng.uniform(0.02, 2, 50)
    excess = gases.steady_excess_mg_l(source, transfer, surface)
    assert gases.exchange_mg_h(excess, transfer, surface) == pytest.approx(source, rel=1e-12)
    assert gases.exchange_mg_h(-excess, transfer, surface) == pytest.approx(-source, rel=1e-12)


def test_the_three_exchange_formulas_solve_the_same_balance():
    """dC/dt = source/V - excess/time constant, stepped finely over one time constant, reaches 1 - 1/e of the lasting excess."""
    volume, transfer, surface, source = 60.0, 2.0, 0.18, 14.92
    hours = gases.time_constant_h(volume, transfer, surface)
    excess, steps = 0.0, 5000
    for _ in range(steps):
        excess += hours / steps * (source - gases.exchange_mg_h(excess, transfer, surface)) / volume
    assert excess == pytest.approx((1 - np.exp(-1)) * gases.steady_excess_mg_l(source, transfer, surface), rel=1e-4)


@pytest.mark.as_it_was("transfer velocities by the look of a surface are literature values from memory, 2026-11-25")
def test_the_table_of_surfaces_rises_without_gaps():
    assert gases.SURFACES == {"still": (0.3, 1.0), "gentle": (1.0, 4.0), "rippled": (4.0, 10.0), "agitated": (10.0, 50.0)}
    assert set(gases.SURFACES_NOTE) == set(gases.SURFACES)
    pairs = list(gases.SURFACES.values())
    assert all(low < high for low, high in pairs)
    assert [low for low, _ in pairs[1:]] == [high for _, high in pairs[:-1]]


@pytest.mark.published(entry="room_co2_ppm", source="arithmetic", where="m/44.01 x 24.465 L/mol / room, worked by hand, 30 m³")
@pytest.mark.parametrize(("mass_kg", "printed"), [(0.5, "9265"), (2, "37060")])
def test_carbon_dioxide_in_a_room_equals_the_hand_worked_leak(mass_kg, printed):
    assert agrees(gases.room_co2_ppm(mass_kg, 30), printed)


@pytest.mark.published(entry="room_co2_ppm", source="niosh_pocket_guide", where="5000 ppm a day, 30000 ppm 15 minutes, 40000 ppm IDLH")
def test_a_full_small_cylinder_in_a_small_room_is_over_the_limits_its_text_tells():
    text = gases.room_co2_ppm.__doc__
    for limit in ("5000 ppm", "30000 ppm", "40000 ppm"):
        assert limit in " ".join(text.split())
    assert gases.room_co2_ppm(0.5, 30) > 5000
    assert 30000 < gases.room_co2_ppm(2, 30) < 40000


@pytest.mark.published(entry="pressure_from_altitude_atm", source="icao_atmosphere",
                       where="pressure ratio of the 1976 table at 2 and 3 km, which counts geometric altitude")
@pytest.mark.parametrize(("geometric_m", "printed"), [(2000, "0.784618"), (3000, "0.692042")])
def test_pressure_by_altitude_equals_the_standard_atmosphere(geometric_m, printed):
    earth_m = 6356766  # the radius with which the table turns geometric into geopotential altitude
    assert agrees(air.pressure_from_altitude_atm(earth_m * geometric_m / (earth_m + geometric_m)), printed)


@pytest.mark.as_it_was("hand-worked from the standard atmosphere, altitude taken as geopotential, 2026-11-25")
@pytest.mark.parametrize(("altitude_m", "pressure", "oxygen"), [
    (500, ".9421", "7.770"), (1000, ".8870", "7.300"), (2000, ".7846", "6.427"),
])
def test_altitude_lowers_pressure_and_oxygen(altitude_m, pressure, oxygen):
    atm = air.pressure_from_altitude_atm(altitude_m)
    assert agrees(atm, pressure)
    assert agrees(gases.oxygen_saturation_mg_l(25, atm), oxygen)
    assert agrees(air.pressure_from_altitude_atm(1500), ".8345")


@pytest.mark.published(entry="station_pressure_atm", source="icao_atmosphere", where="1013.25 hPa at sea level is the standard atmosphere")
def test_a_barometer_set_to_sea_level_is_brought_to_the_tank():
    for altitude_m in (0, 300, 1000, 2500):
        assert air.station_pressure_atm(1013.25, altitude_m) == pytest.approx(air.pressure_from_altitude_atm(altitude_m), rel=1e-12)
    assert air.station_pressure_atm(1013.25, 0) == pytest.approx(1.0, rel=1e-12)
    reduced, true = 1013.25 / 1013.25, air.station_pressure_atm(1013.25, 1000)
    wrong_by = gases.oxygen_saturation_mg_l(25, reduced) / gases.oxygen_saturation_mg_l(25, true) - 1
    assert agrees(100 * wrong_by, "13"), "percent too much at 1000 m when the reduced reading is taken as it is"


@pytest.mark.published(entry="oxygen_saturation_pct", source="en25814", where="saturation 8.26 mg/L at 25 °C, 7.56 at 30 °C")
def test_percent_of_saturation_is_100_at_the_printed_saturation():
    assert air.oxygen_saturation_pct([8.26, 4.13], 25) == pytest.approx([100, 50], abs=0.1)
    assert air.oxygen_saturation_pct(7.56, 30) == pytest.approx(100, abs=0.1)
    assert air.oxygen_saturation_pct(8.26, 25, air.pressure_from_altitude_atm(1000)) > 112


def test_arrays_give_arrays_and_numbers_give_numbers():
    assert isinstance(gases.oxygen_saturation_mg_l(20), float)
    assert isinstance(gases.room_co2_ppm(1, 30), float)
    grid = gases.oxygen_saturation_mg_l([[15], [25]], [0.9, 1.0, 1.1])
    assert grid.shape == (2, 3)
    assert grid[1, 1] == gases.oxygen_saturation_mg_l(25)


@every(("call", "sentence"), [
    (lambda: gases.oxygen_saturation_mg_l(77), r"temp_c is 77\.0 °C; accepted: 0 to 40 °C"),
    (lambda: gases.oxygen_saturation_mg_l(25, 1013), r"pressure_atm is 1013\.0 atm; accepted: 0\.5 to 1\.1 atm\. .*station_pressure_atm"),
    (lambda: air.oxygen_saturation_pct(250, 25), r"oxygen_mg_l is 250\.0 mg/L; accepted: 0 to 40 mg/L"),
    (lambda: air.pressure_from_altitude_atm(9000), r"altitude_m is 9000\.0 m; accepted: -400 to 5000 m"),
    (lambda: air.station_pressure_atm(900, 1000), r"sea_level_hpa is 900\.0 hPa; accepted: 930 to 1065 hPa\. Below 930 hPa .*1013\.25"),
    (lambda: gases.schmidt_oxygen(31), r"temp_c is 31\.0 °C; accepted: 0 to 30 °C"),
    (lambda: gases.schmidt_carbon_dioxide(-1), r"temp_c is -1\.0 °C; accepted: 0 to 30 °C"),
    (lambda: gases.electrolysis_oxygen_mg_h(50, 1.2), r"efficiency is 1\.2; accepted: 0 to 1"),
    (lambda: gases.electrolysis_hydrogen_mg_h(-5), r"current_ma is -5\.0 mA; accepted: 0 to 20000 mA"),
    (lambda: gases.steady_excess_mg_l(10, 0, 0.18), r"transfer_cm_h is 0\.0 cm/h; accepted: 0\.05 to 200 cm/h"),
    (lambda: gases.time_constant_h(60, 2, 0), r"surface_m2 is 0\.0 m²; accepted: 0\.001 to 50 m²"),
    (lambda: gases.exchange_mg_h(float("inf"), 2, 0.18), r"excess_mg_l is inf mg/L; accepted: -1000 to 5000 mg/L"),
    (lambda: gases.room_co2_ppm(50, 1), r"mass_kg is 50\.0 kg; accepted: no more gas than the room .* given in g"),
    (lambda: gases.room_co2_ppm(1, 0), r"room_m3 is 0\.0 m³; accepted: 1 to 100000 m³"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


def test_a_word_is_refused_as_not_a_number():
    with pytest.raises(InputError, match=r"temp_c is 'warm'; accepted: 0 to 40 °C"):
        gases.oxygen_saturation_mg_l("warm")
