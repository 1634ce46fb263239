"""factors.csv and change_factors: what is read, what is refused and how, and that it is written as it was read."""

from dataclasses import replace

import pytest

from fairtank.factor import FactorValue
from fairtank.records.folder import read_folder
from fairtank.records.folder.writer import write_folder

HEAD = "unit,factor,value,unit_of_measure,note\n"


def test_numbers_are_read_in_the_factors_own_unit(folder):
    folder.put("factors.csv", HEAD + "T1,lamp_age,2,years,\nT2,temperature,75.2,degF,\nT1,light_on,10:30,,\n,planted_on,2026-03-08,,\n")
    lamp, warm, on, planted = read_folder(folder.root).factors
    assert (round(lamp.value, 9), lamp.unit_of_measure) == (24.0, "months")
    assert (round(warm.value, 9), warm.unit_of_measure) == (24.0, "°C")
    assert (on.value, planted.unit, planted.value) == (10.5, "", 7.0)


def test_words_stay_as_they_were_written(folder):
    folder.put("factors.csv", HEAD + 'T1,lamp_model,"Lamp A, 20 W",,bought used\n')
    assert read_folder(folder.root).factors == (FactorValue("T1", "lamp_model", "Lamp A, 20 W", "", "bought used"),)


def test_a_dose_may_stay_in_its_own_unit(folder):
    folder.put("factors.csv", HEAD + "T1,doses,4,mL a week,iron\n")
    assert read_folder(folder.root).factors[0].unit_of_measure == "mL a week"


@pytest.mark.parametrize(("row", "told"), [
    ("T1,lampage,3,,", "did you mean lamp_age"),
    ("T1,water temperature,24,,", "did you mean temperature"),
    ("T1,moon_phase,3,,", "is not a factor"),
    ("T9,lamp_age,3,,", "T9 is not a unit of trial.toml"),
    ("T1,lamp_age,3,cm,", "cm is no unit of lamp_age"),
    ('T1,temperature,"24,5",,', "24.5"),
    ("T1,lamp_age,,,", "the cell is empty"),
    ("T1,lamp_age,1e300,,", "out of range"),
])
def test_what_cannot_be_meant_is_refused_with_a_hint(folder, row, told):
    folder.put("factors.csv", f"{HEAD}{row}\n")
    assert told in folder.sentence()


def test_a_number_stands_once_for_each_unit_and_factor(folder):
    folder.put("factors.csv", HEAD + "T1,lamp_age,3,,\nT1,lamp_age,4,,\n")
    assert "lamp_age of T1 is already in row 2" in folder.sentence()


def test_the_plan_names_the_factors_that_the_change_moves(folder):
    folder.swap("trial.toml", 'expect = "less"', 'expect = "less"\nchange_factors = ["cover", "evaporation"]')
    assert read_folder(folder.root).plan.change_factors == ("cover", "evaporation")


def test_an_unknown_factor_in_the_plan_is_refused_with_a_hint(folder):
    folder.swap("trial.toml", 'expect = "less"', 'expect = "less"\nchange_factors = ["photo period"]')
    assert "did you mean photoperiod" in folder.sentence()


def test_factors_and_change_factors_are_written_as_they_were_read(folder, tmp_path):
    rows = "T1,lamp_age,2.5,months,\nT2,light_on,10.25,h (clock),timer\n,planted_on,-7,day,\nT1,fauna,3 snails,,\n"
    folder.put("factors.csv", HEAD + rows)
    trial = read_folder(folder.root)
    plan = replace(trial.plan, change_factors=("cover",))
    write_folder(tmp_path / "again", plan, factors=trial.factors)
    again = read_folder(tmp_path / "again")
    assert again.factors == trial.factors
    assert again.plan.change_factors == ("cover",)
