"""What salts and liquids add, how much it takes, and how strong a stock is, against molar masses and arithmetic."""

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import changes, dosing
from fairtank.science.dosing import (
    alkalinity_gain_dkh,
    hardness_gain_dgh,
    liquid_gain_mg_l,
    salt_gain_mg_l,
    salt_mass_for_alkalinity_g,
    salt_mass_for_hardness_g,
    salt_mass_g,
    stock_solution,
)
from fairtank.science.salts import SALTS
from fairtank.science.water import hardness_dgh


@pytest.mark.published(entry="salt_gain_mg_l", source="molmass", where="1 g in 1 L")
@pytest.mark.parametrize(("salt", "printed"), [
    ("Ca(NO3)2.4H2O", {"Ca": "169.7", "NO3": "525.1"}), ("KNO3", {"K": "386.7", "NO3": "613.3", "N": "138.5"}),
    ("KH2PO4", {"K": "287.3", "PO4": "697.9", "P": "227.6"}), ("NH4NO3", {"NH4": "225.4", "NO3": "774.6", "N": "350.0"}),
    ("CO(NH2)2", {"N": "466.5"}), ("C10H12FeN2NaO8.3H2O", {"Fe": "132.6"}),
])
def test_a_gram_in_a_litre_adds_what_is_printed(salt, printed):
    gain = salt_gain_mg_l(salt, 1, 1)
    assert all(agrees(gain[ion], digits) for ion, digits in printed.items())


@pytest.mark.published(entry="hardness_gain_dgh", source="molmass", where="1 g in 1 L")
@pytest.mark.parametrize(("salt", "printed"), [
    ("CaSO4.2H2O", "32.57"), ("CaCl2.2H2O", "38.14"), ("CaCl2 anhydrous", "50.53"), ("MgSO4.7H2O", "22.75"), ("CaCO3", "56.03"),
    ("KHCO3", "0"),
])
def test_general_hardness_of_a_gram_in_a_litre_equals_the_printed_one(salt, printed):
    assert agrees(hardness_gain_dgh(salt, 1, 1), printed)


@pytest.mark.published(entry="alkalinity_gain_dkh", source="molmass", where="1 g in 1 L")
@pytest.mark.parametrize(("salt", "printed"), [
    ("KHCO3", "28.01"), ("NaHCO3", "33.38"), ("K2CO3", "40.58"), ("CaCO3", "56.03"), ("KCl", "0"),
])
def test_carbonate_hardness_of_a_gram_in_a_litre_equals_the_printed_one(salt, printed):
    assert agrees(alkalinity_gain_dkh(salt, 1, 1), printed)


@pytest.mark.published(entry="salt_mass_g", source="molmass", where="100 / 613.3 mg/g of nitrate in potassium nitrate, by hand")
def test_the_mass_for_a_rise_equals_the_hand_worked_one():
    assert agrees(salt_mass_g("KNO3", "NO3", 10, 50), "0.815")
    assert agrees(salt_mass_g("KNO3", "N", 10, 50), "3.61")


@pytest.mark.published(entry="salt_mass_for_hardness_g", source="molmass", where="3 x 50 / 32.57, by hand")
def test_the_mass_for_a_general_hardness_equals_the_hand_worked_one():
    assert agrees(salt_mass_for_hardness_g("CaSO4.2H2O", 3, 50), "4.61")


@pytest.mark.published(entry="salt_mass_for_alkalinity_g", source="molmass", where="2 x 50 / 28.01, by hand")
def test_the_mass_for_a_carbonate_hardness_equals_the_hand_worked_one():
    assert agrees(salt_mass_for_alkalinity_g("KHCO3", 2, 50), "3.57")


@pytest.mark.published(entry="liquid_gain_mg_l", source="arithmetic", where="5 mL of 20 mg/mL in 50 L are 100 mg in 50 L")
def test_a_dose_of_liquid_adds_its_milligrams():
    assert agrees(liquid_gain_mg_l(20, 5, 50), "2.0")


@pytest.mark.published(entry="stock_solution", source="molmass", where="1 mL for 1 mg/L of nitrate in 50 L: 50 mg by 613.3 mg/g in 1 mL")
def test_a_stock_solution_equals_the_hand_worked_one():
    stock = stock_solution("KNO3", "NO3", gain_mg_l=1, dose_ml=1, volume_l=50, stock_ml=500)
    assert agrees(stock.strength_g_l, "81.5")
    assert agrees(stock.salt_g, "40.8")
    assert stock.verdict.startswith("dissolves: at most 158 g/L, 60 % of what dissolves at 15 °C")


def test_a_dose_of_the_stock_brings_the_wanted_rise():
    for row in SALTS.values():
        for ion, share in (*row.ions, *row.elements):
            stock = stock_solution(row.formula, ion, 0.5, 2, 60, 250)
            assert liquid_gain_mg_l(stock.strength_g_l * share / 1000, 2, 60) == pytest.approx(0.5, rel=1e-9)
            assert stock.salt_g == pytest.approx(stock.strength_g_l * 0.25, rel=1e-12)


def test_a_stock_says_whether_it_dissolves():
    assert stock_solution("KNO3", "NO3", 5, 1, 50, 500).verdict == (
        "too strong: at most 158 g/L, 60 % of what dissolves at 15 °C. Make it weaker and dose more")
    assert "60 % of what dissolves at 20 °C; less in a cold room" in stock_solution("K2SO4", "K", 0.1, 1, 50, 500).verdict
    assert stock_solution("Ca(NO3)2.4H2O", "Ca", 1, 1, 50, 500).verdict.startswith("not known: see the label")
    assert [words.split(":")[0] for words in stock_solution("KNO3", "NO3", [1, 5], 1, 50, 500).verdict] == ["dissolves", "too strong"]


def test_a_limit_from_memory_says_so_in_the_verdict_and_no_other_does():
    recalled = {row.formula: row for row in SALTS.values() if row.solubility and row.solubility.mark == "from memory"}
    assert set(recalled) == {"KH2PO4", "NaHCO3", "KHCO3"}
    for row in SALTS.values():
        ion = (*row.ions, *row.elements)[0][0]
        for verdict in stock_solution(row.formula, ion, [0.001, 5000], 1, 50, 500).verdict:
            assert ("at 20 °C (a literature value, from memory); less in a cold room" in verdict) == (row.formula in recalled), verdict
    text = " ".join(stock_solution.__doc__.split())
    assert all(formula in text for formula in recalled)
    assert "literature value, from memory" in text


def test_mass_and_gain_undo_each_other_for_every_salt_and_ion():
    for row in SALTS.values():
        gain = salt_gain_mg_l(row.formula, 3.2, 85)
        assert set(gain) == {name for name, _ in (*row.ions, *row.elements)}
        for ion, rise in gain.items():
            assert salt_mass_g(row.formula, ion, rise, 85) == pytest.approx(3.2, rel=1e-9)
        if row.dgh_per_g_l:
            assert salt_mass_for_hardness_g(row.formula, hardness_gain_dgh(row.formula, 3.2, 85), 85) == pytest.approx(3.2, rel=1e-9)
        if row.dkh_per_g_l:
            assert salt_mass_for_alkalinity_g(row.formula, alkalinity_gain_dkh(row.formula, 3.2, 85), 85) == pytest.approx(3.2, rel=1e-9)


def test_hardness_gained_is_that_of_the_calcium_and_magnesium_gained():
    for salt in ("CaSO4.2H2O", "MgSO4.7H2O", "KNO3"):
        gain = salt_gain_mg_l(salt, 7, 40)
        assert hardness_gain_dgh(salt, 7, 40) == pytest.approx(hardness_dgh(gain.get("Ca", 0), gain.get("Mg", 0)), rel=1e-9)


def test_twice_the_water_halves_the_gain_and_arrays_give_arrays():
    gain = salt_gain_mg_l("KNO3", [1, 2], 100)
    assert gain["NO3"].shape == (2,)
    assert gain["NO3"][1] == pytest.approx(salt_gain_mg_l("KNO3", 1, 50)["NO3"], rel=1e-12)
    assert isinstance(salt_gain_mg_l("KNO3", 1, 50)["NO3"], float)
    assert stock_solution("KNO3", "NO3", 1, np.array([1.0, 2.0]), 50, 500).salt_g.shape == (2,)


def test_runs_of_doses_and_changes_can_be_had_from_here_too():
    assert dosing.after_changes_mg_l is changes.after_changes_mg_l
    assert dosing.steady_mg_l is changes.steady_mg_l


@pytest.mark.parametrize(("call", "error", "sentence"), [
    (lambda: salt_gain_mg_l("MgSO4", 1, 50), InputError, r"salt is MgSO4; accepted: MgSO4\.7H2O or MgSO4 anhydrous"),
    (lambda: salt_gain_mg_l("KNO3", -1, 50), OutOfRangeError, r"mass_g is -1\.0 g; accepted: 0 to 100000 g"),
    (lambda: salt_gain_mg_l("KNO3", 1, 0), OutOfRangeError, r"volume_l is 0\.0 L; accepted: 0\.01 to 50000 L"),
    (lambda: hardness_gain_dgh("CaCl2", 1, 50), InputError, r"salt is CaCl2; accepted: CaCl2\.2H2O or CaCl2 anhydrous"),
    (lambda: alkalinity_gain_dkh("KHCO3", "much", 50), InputError, r"mass_g is 'much'; accepted: 0 to 100000 g"),
    (lambda: salt_mass_g("KNO3", "PO4", 1, 50), InputError, r"ion is PO4; accepted: what KNO3 brings: K, NO3, N"),
    (lambda: salt_mass_g("KNO3", "NO4", 1, 50), InputError, r"ion is 'NO4'; accepted: CO3, Ca, Cl"),
    (lambda: salt_mass_for_hardness_g("KNO3", 1, 50), InputError, r"salt is KNO3; accepted: CaSO4\.2H2O, .* It has neither calcium"),
    (lambda: salt_mass_for_alkalinity_g("KNO3", 1, 50), InputError, r"salt is KNO3; accepted: KHCO3, NaHCO3, K2CO3, CaCO3\. It has no "),
    (lambda: liquid_gain_mg_l(-1, 5, 50), OutOfRangeError, r"strength_g_l is -1\.0 g/L; accepted: 0 to 2000 g/L"),
    (lambda: stock_solution("KNO3", "NO3", 1, 0, 50, 500), OutOfRangeError, r"dose_ml is 0\.0 mL; accepted: 0\.1 to 10000 mL"),
])
def test_wrong_input_is_refused(call, error, sentence):
    with pytest.raises(error, match=sentence):
        call()
