"""Conductivity, ionic strength and TDS, against runs of PHREEQC."""

import re

import numpy as np
import pytest
from tests.science.phreeqc import phreeqc

from checking import agrees
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science.conductivity import (
    SALT_CONDUCTIVITIES,
    conductivity_25_us_cm,
    conductivity_from_tds,
    ionic_strength_mmol_l,
    tds_range_mg_l,
)

# What is dissolved, mmol per kg of water, and its printed conductivity at 25 degC [µS/cm]; the same rows as in the module, in order.
SOLUTIONS = [
    ({"Na": 1, "Cl": 1}, "123.2"), ({"K": 1, "Cl": 1}, "146.3"), ({"K": 10, "Cl": 10}, "1396"),
    ({"Ca": 100 / 172.17, "S(6)": 100 / 172.17}, "142.3"), ({"Na": 4 * 0.356650, "Alkalinity": 4 * 0.356650}, "130.6"),
    ({"K": 10 / 62.005, "N(5)": 10 / 62.005}, "23.2"),
]


@pytest.mark.published(entry="tds_range_mg_l", source="phreeqc3", where="SC at 25 degC of single salts, phreeqc.dat")
@pytest.mark.parametrize(("row", "dissolved", "printed"), [(row, *rest) for row, rest in enumerate(SOLUTIONS)])
def test_the_table_of_salts_is_what_phreeqc_gives(row, dissolved, printed):
    solution = phreeqc().add_solution({"units": "mmol/kgw", "temp": 25, "pH": 7, **dissolved})
    assert agrees(solution.sc, printed)
    assert agrees(SALT_CONDUCTIVITIES[row].conductivity_us_cm, printed)
    solution.forget()


@pytest.mark.published(entry="tds_range_mg_l", source="phreeqc3", where="milligrams per µS/cm of sodium chloride, potassium chloride, ...")
@pytest.mark.parametrize(("salt", "printed"), [
    ("1 mmol/L sodium chloride", "0.474"), ("1 mmol/L potassium chloride", "0.51"), ("100 mg/L gypsum", "0.556"),
    ("4 dKH of sodium bicarbonate", "0.92"),
])
def test_the_factor_of_each_salt_equals_the_printed_one(salt, printed):
    assert agrees(next(row.factor for row in SALT_CONDUCTIVITIES if row.solution == salt), printed)


def test_the_range_runs_from_the_lightest_salt_to_the_heaviest():
    salts = tds_range_mg_l(1000)
    assert (round(salts.low_mg_l), round(salts.high_mg_l)) == (474, 917)
    assert salts.high_mg_l > 1.9 * salts.low_mg_l, "no single factor could stand for both"


@pytest.mark.published(entry="conductivity_from_tds", source="common_practice", where="makers of meters multiply by 0.5 to 0.7")
def test_tds_meters_of_two_makers_differ_by_their_factors():
    salts = tds_range_mg_l(300)
    assert agrees(salts.meter_low_mg_l, "150")
    assert agrees(salts.meter_high_mg_l, "210")
    behind = conductivity_from_tds(150)
    assert agrees(behind.high_us_cm, "300")
    assert agrees(behind.low_us_cm, "214")


def test_a_reading_of_tds_holds_the_true_conductivity_whatever_the_meter():
    for factor in (0.5, 0.6, 0.7):
        behind = conductivity_from_tds(factor * 420)
        assert behind.low_us_cm <= 420 * (1 + 1e-12)
        assert behind.high_us_cm >= 420 * (1 - 1e-12)


@pytest.mark.published(entry="ionic_strength_mmol_l", source="aqion_conductivity", where="eq. 2: 1.6e-5 mol/L for each µS/cm")
def test_ionic_strength_equals_the_printed_factor():
    assert agrees(ionic_strength_mmol_l(1) / 1000, "1.6e-5")


@pytest.mark.parametrize(("dissolved", "least", "most"), [
    ({"pH": 7.6, "Ca": 1.5, "Mg": 0.4, "Na": 1, "Alkalinity": 3, "Cl": 0.9, "S(6)": 0.45}, 1.0, 1.15),
    ({"K": 0.16, "N(5)": 0.16}, 2.0, 2.5), ({"Na": 1.43, "Alkalinity": 1.43}, 1.4, 1.6), ({"Mg": 1, "S(6)": 1}, 0.95, 1.05),
])
def test_ionic_strength_is_right_in_hard_water_and_too_high_for_single_charges(dissolved, least, most):
    solution = phreeqc().add_solution({"units": "mmol/kgw", "temp": 25, **dissolved})
    assert least < ionic_strength_mmol_l(solution.sc) / (1000 * solution.I) < most
    solution.forget()


@pytest.mark.as_it_was("2 % per degree is a literature value, from memory, 2026-11-25")
def test_conductivity_at_25_degrees_is_what_it_was():
    assert agrees(conductivity_25_us_cm(270, 20), "300.0")
    assert conductivity_25_us_cm(500, 25) == 500


@pytest.mark.parametrize("temp_c", [15, 20, 30])
def test_phreeqc_warms_a_hard_water_by_about_two_percent_a_degree(temp_c):
    tap = {"units": "mmol/kgw", "pH": 7.6, "Ca": 1.5, "Mg": 0.4, "Na": 1, "Alkalinity": 3, "Cl": 1.8}
    cold, warm = (phreeqc().add_solution({**tap, "temp": degrees}) for degrees in (temp_c, 25))
    assert conductivity_25_us_cm(cold.sc, temp_c) == pytest.approx(warm.sc, rel=0.03)
    for solution in (cold, warm):
        solution.forget()


def test_warmer_water_conducts_better_and_arrays_give_arrays():
    at_25 = conductivity_25_us_cm(500, [15, 20, 25, 30])
    assert (np.diff(at_25) < 0).all()
    assert tds_range_mg_l([100, 200]).low_mg_l.shape == (2,)
    assert isinstance(conductivity_from_tds(100).low_us_cm, float)


def test_no_function_turns_conductivity_into_one_tds():
    """Every calculator that answers in mg/L answers with a range."""
    from fairtank import registry

    for entry in registry.entries("calculator"):
        if entry.function.__module__ == "fairtank.science.conductivity" and re.search("tds", entry.key):
            assert len(entry.outputs) >= 2, entry.key


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: conductivity_25_us_cm(-1, 20), r"conductivity_us_cm is -1\.0 µS/cm; accepted: 0 to 20000 µS/cm"),
    (lambda: conductivity_25_us_cm(300, 20, 2), r"slope_fraction is 2\.0; accepted: 0\.015 to 0\.025"),
    (lambda: ionic_strength_mmol_l(1e6), r"conductivity_us_cm is 1000000\.0 µS/cm"),
    (lambda: tds_range_mg_l(-5), r"conductivity_us_cm is -5\.0 µS/cm"),
    (lambda: conductivity_from_tds(-5), r"tds_mg_l is -5\.0 mg/L; accepted: 0 to 10000 mg/L"),
])
def test_a_number_outside_its_range_is_refused(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


def test_a_word_is_refused():
    with pytest.raises(InputError, match=r"conductivity_us_cm is 'salty'; accepted: 0 to 20000 µS/cm"):
        ionic_strength_mmol_l("salty")
