"""The trade's ways to judge CO2, against PHREEQC and against what the trade itself says."""

import numpy as np
import pytest
from tests.science.phreeqc import aired, co2_mg_l, phreeqc, water

from checking import agrees
from fairtank.errors import OutOfRangeError
from fairtank.science import equilibria
from fairtank.science.co2 import (
    alkalinity_parts,
    calcite_alkalinity_dkh,
    co2_after_ph_drop,
    co2_reading_error_fraction,
    indicator_colour,
    indicator_limits,
    trade_table_check,
    trade_table_co2_mg_l,
)
from fairtank.science.water import air_equilibrium, carbonate


@pytest.mark.published(entry="trade_table_co2_mg_l", source="common_practice", where="three times KH times ten to the power of 7 less pH")
@pytest.mark.parametrize(("alkalinity_dkh", "ph", "printed"), [(4, 7.0, "12"), (4, 6.6, "30.1"), (10, 7.0, "30")])
def test_the_trade_table_reads_what_keepers_read_in_it(alkalinity_dkh, ph, printed):
    assert agrees(trade_table_co2_mg_l(alkalinity_dkh, ph), printed)


@pytest.mark.published(entry="trade_table_check", source="phreeqc3", where="4 dKH, pH 6.6: factor in place of 3, and share missing")
@pytest.mark.parametrize(("temp_c", "factor", "low_pct"), [(15, "3.95", "24"), (20, "3.62", "17"), (25, "3.38", "11"), (30, "3.20", "6")])
def test_the_trade_table_reads_low_by_the_printed_share(temp_c, factor, low_pct):
    check = trade_table_check(temp_c, 4, 6.6)
    assert check.true_factor == pytest.approx(float(factor), rel=0.0025), "the models differ by up to a quarter of a percent"
    assert agrees(check.reads_low_pct, low_pct)
    theirs = water(temp_c, 4, 6.6)
    assert agrees(3 * co2_mg_l(theirs) / trade_table_co2_mg_l(4, 6.6), factor)
    theirs.forget()


def test_the_check_holds_together():
    check = trade_table_check([15, 25], [[2], [8]], 6.8)
    assert check.true_factor.shape == check.table_co2_mg_l.shape == (2, 2)
    assert check.table_co2_mg_l * check.true_factor / 3 == pytest.approx(check.co2_mg_l, rel=1e-12)
    assert check.table_co2_mg_l == pytest.approx(check.co2_mg_l * (1 - check.reads_low_pct / 100), rel=1e-12)


@pytest.mark.published(entry="co2_reading_error_fraction", source="arithmetic", where="0.1 pH 23 %, 0.5 of 4 dKH 12.5 %, together 26 %")
def test_the_error_of_co2_equals_the_hand_worked_one():
    assert agrees(100 * co2_reading_error_fraction(4, 0.1, 0), "23")
    assert agrees(100 * co2_reading_error_fraction(4, 0, 0.5), "12.5")
    assert agrees(100 * co2_reading_error_fraction(4, 0.1, 0.5), "26")
    assert co2_reading_error_fraction(4) == co2_reading_error_fraction(4, 0.1, 0.5)


def test_the_error_is_the_slope_of_the_model():
    step = 1e-5
    by_ph = np.log(carbonate(25, 4, 6.6 - step).co2_mg_l / carbonate(25, 4, 6.6 + step).co2_mg_l) / (2 * step)
    assert 0.1 * by_ph == pytest.approx(co2_reading_error_fraction(4, 0.1, 0), rel=1e-3)
    by_kh = np.log(carbonate(25, 4 + step, 6.6).co2_mg_l / carbonate(25, 4 - step, 6.6).co2_mg_l) / (2 * step)
    # KH also sets the ionic strength: 2 % less than in plain proportion.
    assert 0.5 * by_kh == pytest.approx(co2_reading_error_fraction(4, 0, 0.5), rel=0.03)


@pytest.mark.published(entry="co2_after_ph_drop", source="phreeqc3", where="NaHCO3 water at rest with 420 ppm, 25 degC, then one pH lower")
@pytest.mark.parametrize(("alkalinity_dkh", "printed"), [(1, 10.07), (4, 10.22), (8, 10.45)])
def test_one_ph_multiplies_co2_by_little_more_than_ten(alkalinity_dkh, printed):
    rest = air_equilibrium(25, alkalinity_dkh, 420)
    drop = co2_after_ph_drop(25, alkalinity_dkh, rest.ph, rest.ph - 1)
    # Half a percent: our run of PHREEQC below gives 10.44 for 8 dKH where 10.45 is printed.
    assert drop.times == pytest.approx(printed, rel=0.005)
    assert drop.start_co2_mg_l == pytest.approx(rest.co2_mg_l, rel=1e-9)
    assert 6.3 <= drop.co2_mg_l <= 6.6, "6 to 7 mg/L, not 30"
    degassed, lower = aired(25, alkalinity_dkh), water(25, alkalinity_dkh, aired(25, alkalinity_dkh).pH - 1)
    assert co2_mg_l(lower) / co2_mg_l(degassed) == pytest.approx(printed, rel=0.002)


@pytest.mark.published(entry="co2_after_ph_drop", source="phreeqc3", where="from a room of 1000 ppm the drop ends near 15 mg/L")
def test_a_stuffy_room_starts_the_drop_higher():
    rest = air_equilibrium(25, 4, 1000)
    assert agrees(co2_after_ph_drop(25, 4, rest.ph, rest.ph - 1).co2_mg_l, "15")


def test_a_drop_without_carbonate_is_the_plain_power_of_ten():
    assert co2_after_ph_drop(25, 0, 8.0, 7.5).times == pytest.approx(10**0.5, rel=1e-12)
    assert co2_after_ph_drop(25, 4, 7.0, 7.0).times == pytest.approx(1, rel=1e-12)
    assert co2_after_ph_drop(25, 4, 7.0, 7.5).times < 1


@pytest.mark.published(entry="alkalinity_parts", source="arithmetic", where="phosphate by pKa 7.2: 1 mg/L at pH 7.0, 5 mg/L at pH 6.6")
@pytest.mark.parametrize(("phosphate_mg_l", "ph", "printed"), [(1, 7.0, "0.0114"), (5, 6.6, "0.030")])
def test_phosphate_adds_the_printed_bit_of_kh(phosphate_mg_l, ph, printed):
    parts = alkalinity_parts(4, ph, phosphate_mg_l)
    assert agrees(parts.phosphate_dkh, printed)
    assert parts.carbonate_dkh == pytest.approx(4 - parts.phosphate_dkh, rel=1e-12)


@pytest.mark.parametrize("ph", [6.2, 7.0, 7.8])
def test_phosphate_is_as_alkaline_as_phreeqc_says(ph):
    """Alkalinity of phosphate alone; the ratio of its two forms is that of a dilute water, so activities take a few percent."""
    solution = phreeqc().add_solution({"units": "mmol/kgw", "temp": 25, "pH": ph, "P": 0.05, "K": "0.07 charge"})
    forms = solution.species
    share = sum(forms[name] for name in forms if "HPO4" in name and "H2PO4" not in name) / solution.total_element("P") * 1000
    expected_dkh = 0.05 * share / 0.356650
    assert alkalinity_parts(4, ph, 0.05 * 94.971).phosphate_dkh == pytest.approx(expected_dkh, rel=0.06)
    solution.forget()


@pytest.mark.published(entry="alkalinity_parts", source="phreeqc3", where="1 of 4 dKH organic, pH 6.6: 25.6, not 34.0 mg/L")
def test_organic_acids_make_co2_read_a_third_too_high():
    parts = alkalinity_parts(4, 6.6, organic_fraction=0.25)
    assert (parts.carbonate_dkh, parts.organic_dkh) == (3, 1)
    assert agrees(carbonate(25, 4, 6.6).co2_mg_l, "34.0")
    assert agrees(carbonate(25, parts.carbonate_dkh, 6.6).co2_mg_l, "25.6")


def test_the_parts_never_take_more_than_the_whole():
    parts = alkalinity_parts([0, 4], 7.5, phosphate_mg_l=10, organic_fraction=1.0)
    assert parts.carbonate_dkh.tolist() == [0, 0]
    assert parts.phosphate_dkh.shape == parts.organic_dkh.shape == (2,)


INDICATOR = [(7.5, "4.3"), (7.2, "8.5"), (6.9, "17.0"), (6.6, "34.0"), (6.3, "67.8"), (6.0, "135")]


@pytest.mark.published(entry="indicator_colour", source="phreeqc3", where="reference water of 4 dKH, 25 degC: pH and CO2")
@pytest.mark.parametrize(("ph", "printed"), INDICATOR)
def test_the_indicator_tells_the_printed_co2(ph, printed):
    assert agrees(carbonate(25, 4, ph).co2_mg_l, printed)
    assert indicator_colour(25, 4, float(printed)).ph == pytest.approx(ph, abs=0.005), "as far as CO2 is rounded"


@pytest.mark.as_it_was("share of blue dye by a pKa of 7.1 recalled from memory, 2026-11-25")
@pytest.mark.parametrize(("ph", "percent"), [(7.5, "72"), (6.6, "24")])
def test_the_share_of_blue_is_what_it_was(ph, percent):
    seen = indicator_colour(25, 4, carbonate(25, 4, ph).co2_mg_l)
    assert seen.ph == pytest.approx(ph, abs=1e-9)
    assert agrees(100 * seen.blue_fraction, percent)
    assert "pKa 7.1, a literature value, from memory" in " ".join(indicator_colour.__doc__.split())


@pytest.mark.published(entry="indicator_limits", source="common_practice", where="4 dKH: blue to 10, green 15 to 40, yellow over 50 mg/L")
def test_colours_change_where_keepers_say():
    limits = indicator_limits(25, 4)
    said = {"blue_below_mg_l": 10, "green_from_mg_l": 15, "green_to_mg_l": 40, "yellow_above_mg_l": 50}
    for name, co2 in said.items():
        assert getattr(limits, name) == pytest.approx(co2, rel=0.02), "the words mean no finer than this"
    assert indicator_colour(25, 4, [5, 12, 25, 45, 60]).colour.tolist() == ["blue", "blue-green", "green", "yellow-green", "yellow"]


def test_the_four_limits_cost_one_set_of_constants_and_are_those_of_the_carbonate_system(monkeypatch):
    """What a temperature settles is the dear part of a long array."""
    asked, constants = [], equilibria.constants
    monkeypatch.setattr(equilibria, "constants", lambda temp: asked.append(1) or constants(temp))
    temp, dkh = np.linspace(5, 35, 40), np.linspace(0.5, 20, 30)[:, None]
    limits = indicator_limits(temp, dkh)
    assert len(asked) == 1
    monkeypatch.undo()
    for name, ph in (("blue_below_mg_l", 7.13), ("green_from_mg_l", 6.95), ("green_to_mg_l", 6.53), ("yellow_above_mg_l", 6.43)):
        assert getattr(limits, name) == pytest.approx(carbonate(temp, dkh, ph).co2_mg_l, rel=1e-12)
    assert all(isinstance(level, float) for level in vars(indicator_limits(25, 4)).values())


def test_limits_and_colours_tell_the_same_and_go_with_the_reference_water():
    limits = indicator_limits(22, 2)
    ends = [limits.blue_below_mg_l, limits.green_from_mg_l, limits.green_to_mg_l, limits.yellow_above_mg_l]
    below, above = (indicator_colour(22, 2, np.array(ends) * move).colour.tolist() for move in (0.999, 1.001))
    assert below == ["blue", "blue-green", "green", "yellow-green"]
    assert above == ["blue-green", "green", "yellow-green", "yellow"]
    assert indicator_limits(22, 4).green_to_mg_l / limits.green_to_mg_l == pytest.approx(2, rel=0.03)
    assert indicator_colour(22, 2, 22).colour == "yellow-green", "a number gives a word"
    assert (np.diff(indicator_colour(22, 4, np.linspace(0.5, 200, 100)).blue_fraction) < 0).all()


@pytest.mark.published(entry="calcite_alkalinity_dkh", source="phreeqc3", where="calcite in pure water at rest with 420 ppm")
@pytest.mark.parametrize(("temp_c", "printed"), [(25, "3.04"), (20, "3.30"), (15, "3.58")])
def test_limestone_and_air_end_at_the_printed_kh(temp_c, printed):
    # Within half a percent: activities by another equation, and the gas a little off ideal there.
    assert calcite_alkalinity_dkh(temp_c, air_equilibrium(temp_c, 0, 420).co2_mg_l) == pytest.approx(float(printed), rel=0.005)
    theirs = phreeqc().add_solution({"temp": temp_c})
    theirs.equalize(["CO2(g)", "Calcite"], [np.log10(420e-6), 0])
    assert agrees(2 * theirs.total_element("Ca") / 0.356650, printed)
    theirs.forget()


@pytest.mark.parametrize("co2_in_air", [1e-3, 1e-2, 0.05])
def test_with_co2_limestone_raises_kh_as_far_as_phreeqc_says(co2_in_air):
    theirs = phreeqc().add_solution({"temp": 25})
    theirs.equalize(["CO2(g)", "Calcite"], [np.log10(co2_in_air), 0])
    assert calcite_alkalinity_dkh(25, co2_mg_l(theirs)) == pytest.approx(2 * theirs.total_element("Ca") / 0.356650, rel=0.01)
    theirs.forget()


def test_limestone_dissolves_more_in_cold_water_and_with_more_co2():
    assert (np.diff(calcite_alkalinity_dkh([5, 15, 25, 35], 5.0)) < 0).all()
    rising = calcite_alkalinity_dkh(25, np.geomspace(0.1, 300, 60))
    assert (np.diff(rising) > 0).all()
    assert calcite_alkalinity_dkh(25, 8.0) / calcite_alkalinity_dkh(25, 1.0) == pytest.approx(8 ** (1 / 3), rel=0.08), "about the cube root"


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: trade_table_co2_mg_l(21, 7), r"alkalinity_dkh is 21\.0 dKH; accepted: 0 to 20 dKH"),
    (lambda: trade_table_check(25, 0, 7), r"alkalinity_dkh is 0\.0 dKH; accepted: 0\.1 to 20 dKH"),
    (lambda: trade_table_check(25, 4, 9), r"ph is 9\.0; accepted: 5 to 8\.5"),
    (lambda: co2_reading_error_fraction(4, -0.1), r"ph_error is -0\.1; accepted: 0 to 1"),
    (lambda: co2_after_ph_drop(25, 4, 12, 7), r"degassed_ph is 12\.0; accepted: 5 to 9\.5"),
    (lambda: alkalinity_parts(4, 7, 200), r"phosphate_mg_l is 200\.0 mg/L; accepted: 0 to 20 mg/L"),
    (lambda: alkalinity_parts(4, 7, 1, 25), r"organic_fraction is 25\.0; accepted: 0 to 1"),
    (lambda: indicator_colour(25, 4, 0), r"co2_mg_l is 0\.0 mg/L; accepted: 0\.1 to 300 mg/L"),
    (lambda: indicator_limits(25, 0.1), r"alkalinity_dkh is 0\.1 dKH; accepted: 0\.5 to 20 dKH"),
    (lambda: calcite_alkalinity_dkh(50, 1), r"temp_c is 50\.0 °C; accepted: 5 to 35 °C"),
])
def test_a_number_outside_its_range_is_refused(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()
