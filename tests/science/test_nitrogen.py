"""Un-ionised ammonia, criteria and what nitrification takes, against the printed table, announcements and second programs."""

import csv
from pathlib import Path

import numpy as np
import pytest
from tests.science.phreeqc import phreeqc

from checking import agrees, every
from fairtank import registry
from fairtank.errors import OutOfRangeError
from fairtank.publish.calc_words import error_words
from fairtank.science import nitrogen
from fairtank.science.uncertainty import interval_of
from fairtank.units import convert

PUBLISHED = Path(__file__).resolve().parent.parent / "published"


def rows_of(name):
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


TABLE = rows_of("emerson1975_unionised.csv")


@pytest.mark.published(entry="unionised_fraction", source="emerson1975", where="table, 6 to 30 °C, pH 7.0 to 8.4, misprints left out")
@pytest.mark.parametrize("ph", sorted({row["ph"] for row in TABLE}))
def test_the_unionised_share_equals_the_printed_table(ph):
    rows = [row for row in TABLE if row["ph"] == ph and not row["misprint"]]
    assert len(rows) >= 12
    for row in rows:
        share = nitrogen.unionised_fraction(float(row["temp_c"]), float(ph))
        # Five cells lie within 0.000005 of a half (0.001851 is printed .0018): the table was computed with a rounded pKa.
        assert agrees(share, row["printed"]) or abs(share - float(row["printed"])) < 0.000055, row


def test_the_cells_left_out_are_misprints_and_not_rounding():
    """The whole column for 32 °C and the cell at 20 °C, pH 7.4 are off by 2 to 5 %; of the others none by more than rounding."""
    def off(row):
        share = 1 / (1 + 10 ** (0.09018 + 2729.92 / (float(row["temp_c"]) + 273.15) - float(row["ph"])))
        return abs(share - float(row["printed"])) / share

    wrong = [row for row in TABLE if row["misprint"]]
    assert {row["temp_c"] for row in wrong} == {"32", "20"}
    assert len(wrong) == 9
    assert min(off(row) for row in wrong) > 0.02
    assert max(abs(off(row) * float(row["printed"])) for row in TABLE if not row["misprint"]) < 0.000056


@pytest.mark.published(entry="unionised_fraction", source="emerson1975", where="formula, worked out apart from this code, and its table")
@pytest.mark.parametrize(("temp_c", "ph", "printed"), [
    (20, 7.0, ".00394"), (24, 8.0, ".05017"), (30, 7.0, ".00796"), (28, 8.0, ".06538"), (20, 8.0, ".03807"), (25, 8.0, ".05366"),
    (20, 7.4, ".0098"),  # the table's cell, .0096, is one of its misprints
])
def test_the_unionised_share_equals_the_formula_worked_out(temp_c, ph, printed):
    assert agrees(nitrogen.unionised_fraction(temp_c, ph), printed)


@pytest.mark.published(entry="unionised_fraction", source="emerson1975", where="pKa of ammonium, worked out apart from this code")
@pytest.mark.parametrize(("temp_c", "printed"), [(15, "9.5641"), (20, "9.4025"), (25, "9.2464"), (30, "9.0954")])
def test_half_of_the_ammonia_is_unionised_at_the_pka(temp_c, printed):
    """pKa from the share at pH 9; and the misprinted constant of a public help page is not the one in use."""
    share = nitrogen.unionised_fraction(temp_c, 9.0)
    assert agrees(9.0 - np.log10(share / (1 - share)), printed)
    assert not agrees(nitrogen.unionised_fraction(25, 8), ".0545")


def second_share(temp_c, ph, salts_mmol_l):
    """The un-ionised share in water with those salts: phreeqpython 1.6 with phreeqc.dat."""
    water = phreeqc().add_solution({"units": "mmol/L", "temp": temp_c, "pH": ph, "N(-3)": 0.01, **salts_mmol_l})
    forms = {name: amount for name, amount in water.species.items() if name.startswith("NH")}
    water.forget()
    return forms["NH3"] / sum(forms.values())


@pytest.mark.parametrize(("salt_mmol_l", "printed"), [(0.1, ".0533"), (3.0, ".0508")])
def test_the_unionised_share_agrees_with_a_second_program(salt_mmol_l, printed):
    """25 °C, pH 8: in dilute water within 1 %; salts lower the share by a few percent."""
    share = second_share(25, 8.0, {"Na": f"{salt_mmol_l} charge", "Cl": salt_mmol_l})
    assert agrees(share, printed)
    assert nitrogen.unionised_fraction(25, 8) == pytest.approx(share, rel=0.01 if salt_mmol_l < 1 else 0.06)


@every("temp_c", [20, 28])
@every("ph", [7.2, 8.2])
@every(("dgh", "dkh", "low_pct", "high_pct"), [
    (0.5, 0.3, 1, 2), (3, 2, 3, 4.1), (6, 4, 5, 6), (12, 8, 7, 8.5), (20, 12, 9, 10.5),
])
def test_hard_water_has_less_of_it_by_as_much_as_the_docstring_says(temp_c, ph, dgh, dkh, low_pct, high_pct):
    """Three quarters of the hardness as calcium; what carbonate does not balance is chloride."""
    hard, carbonate = 0.178325 * dgh, 0.356650 * dkh
    share = second_share(temp_c, ph, {"Ca": 0.75 * hard, "Mg": 0.25 * hard, "Alkalinity": carbonate, "Cl": 2 * hard - carbonate})
    assert low_pct < 100 * (1 - share / nitrogen.unionised_fraction(temp_c, ph)) < high_pct
    assert "by 1 to 4 % in soft water and by 5 to 10 % in hard water" in " ".join(nitrogen.unionised_fraction.__doc__.split())


@pytest.mark.published(entry="ammonia_mg_l", source="un_ionised_caution", where="worked example: 1.0 mg/L at 24 °C, pH 8.0 is 0.0502 mg/L")
def test_unionised_ammonia_equals_the_worked_example():
    assert agrees(nitrogen.ammonia_mg_l(1.0, 24, 8.0), "0.0502")


@pytest.mark.published(entry="ammonia_load", source="un_ionised_caution", where="0.05 mg/L harms: the worked example lies on that line")
def test_the_load_of_the_worked_example_lies_on_the_harmful_line():
    load = nitrogen.ammonia_load(1.0, 24, 8.0)
    assert agrees(load.ammonia_mg_l, "0.0502")
    assert agrees(load.share_of_harm, "1.00")
    assert agrees(load.share_of_caution, "2.5")


READ = {"temp_c": 28.0, "ph": 8.2}


@pytest.mark.parametrize("read_mg_l", [0.0, 0.05, 0.1, 0.2])
def test_a_reading_below_the_first_colour_step_tells_from_nothing_up_to_past_that_step(read_mg_l):
    """What the test cannot tell from 0.25 mg/L must not be told as harmless: at 28 °C and pH 8.2 that is 0.025 mg/L, over the caution."""
    step = nitrogen.ammonia_mg_l(0.25, **READ)
    assert agrees(step, "0.0250")
    told = interval_of(registry.entry("calculator", "ammonia_mg_l"), {"total_mg_l": read_mg_l, **READ})[""]
    assert told.value is None
    assert told.low == 0.0
    assert told.high > step > nitrogen.CAUTION_MG_L
    load = interval_of(registry.entry("calculator", "ammonia_load"), {"total_mg_l": read_mg_l, **READ})
    assert load["share_of_caution"].high > 1.2
    assert {load[part].low for part in ("ammonia_mg_l", "share_of_caution", "share_of_harm", "share_of_chronic")} == {0.0}


def test_a_drop_test_is_off_by_a_quarter_or_by_its_first_step():
    """Alone, the error leaves 0.95 of its size on either side: 0.25 mg/L up to a reading of 1, 25 % above."""
    entry, share = registry.entry("calculator", "ammonia_mg_l"), nitrogen.unionised_fraction(**READ)
    for read, size in ((0.5, 0.25), (1.0, 0.25), (4.0, 1.0)):
        told = interval_of(entry, {"total_mg_l": read, **READ}, {"temp_c": None, "ph": None})[""]
        assert (told.low, told.high) == pytest.approx(((read - 0.95 * size) * share, (read + 0.95 * size) * share), rel=1e-3)
    words = error_words(nitrogen.TOTAL, nitrogen.TOTAL.error).replace("\N{NO-BREAK SPACE}", " ")
    assert words == "is right to ±0.25 mg/L N, or 25 % where that is more"


def test_the_load_is_made_of_its_parts():
    load = nitrogen.ammonia_load([0.5, 2.0], 25, [[6.2], [7.5]])
    assert load.ammonia_mg_l.shape == load.chronic_mg_l.shape == load.share_of_chronic.shape == (2, 2)
    assert load.ammonia_mg_l == pytest.approx(load.share_of_caution * 0.02)
    assert load.ammonia_mg_l == pytest.approx(load.share_of_harm * 0.05)
    assert load.share_of_chronic == pytest.approx(np.array([0.5, 2.0]) / load.chronic_mg_l)
    assert load.chronic_mg_l[0] == pytest.approx(nitrogen.criterion_chronic_mg_l(25, 6.5)), "the stricter one stands in below pH 6.5"
    assert all(isinstance(value, float) for value in vars(nitrogen.ammonia_load(1.0, 24, 8.0)).values())


@pytest.mark.published(entry="criterion_acute_mg_l", source="epa2013ammonia_headline", where="17 mg/L at pH 7, 20 °C")
def test_the_acute_criterion_gives_the_announced_value():
    assert agrees(nitrogen.criterion_acute_mg_l(20, 7.0), "17")


@pytest.mark.published(entry="criterion_chronic_mg_l", source="epa2013ammonia_headline", where="1.9 mg/L at pH 7, 20 °C")
def test_the_chronic_criterion_gives_the_announced_value():
    assert agrees(nitrogen.criterion_chronic_mg_l(20, 7.0), "1.9")


@pytest.mark.as_it_was("the formulas of the criteria are from memory, 2026-11-25")
@pytest.mark.parametrize(("ph", "temp_c", "acute", "chronic"), [
    (7.0, 20, "16.76", "1.887"), (7.0, 25, "11.07", "1.367"), (7.5, 25, "6.10", "1.009"), (8.0, 25, "2.58", "0.563"),
    (8.0, 30, "1.70", "0.408"),
])
def test_the_criteria_are_what_they_were(ph, temp_c, acute, chronic):
    assert agrees(nitrogen.criterion_acute_mg_l(temp_c, ph), acute)
    assert agrees(nitrogen.criterion_chronic_mg_l(temp_c, ph), chronic)


def test_criteria_fall_with_ph_and_warmth_and_the_acute_one_is_the_milder():
    temp, ph = np.meshgrid(np.linspace(0, 30, 31), np.linspace(6.5, 9, 26))
    acute, chronic = nitrogen.criterion_acute_mg_l(temp, ph), nitrogen.criterion_chronic_mg_l(temp, ph)
    assert (acute > chronic).all()
    for table in (acute, chronic):
        assert (np.diff(table, axis=0) < 0).all()
        assert (np.diff(table, axis=1) <= 0).all()


@pytest.mark.parametrize(("counted", "factor"), [("mg/L NH4", "1.2878"), ("mg/L NH3", "1.2159")])
def test_a_test_that_counts_an_ion_is_turned_into_nitrogen_before_it_gets_here(counted, factor):
    assert agrees(convert(1.0, "mg/L N", counted), factor)
    text = " ".join(nitrogen.ammonia_mg_l.__doc__.split())
    assert f"{float(factor):.3f}" in text


def test_the_share_rises_with_ph_and_warmth_and_stays_a_share():
    temp, ph = np.meshgrid(np.linspace(0, 30, 31), np.linspace(6, 10, 41))
    share = nitrogen.unionised_fraction(temp, ph)
    assert ((share > 0) & (share < 1)).all()
    assert (np.diff(share, axis=0) > 0).all()
    assert (np.diff(share, axis=1) > 0).all()
    assert isinstance(nitrogen.unionised_fraction(20, 7), float)


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: nitrogen.unionised_fraction(32, 8), r"temp_c is 32\.0 °C; accepted: 0 to 30 °C"),
    (lambda: nitrogen.unionised_fraction(25, 5.5), r"ph is 5\.5; accepted: 6 to 10"),
    (lambda: nitrogen.ammonia_mg_l(-1, 25, 8), r"total_mg_l is -1\.0 mg/L N; accepted: 0 to 100 mg/L N"),
    (lambda: nitrogen.ammonia_load(1, 25, 9.5), r"ph is 9\.5; accepted: 6 to 9"),
    (lambda: nitrogen.criterion_acute_mg_l(25, 6.0), r"ph is 6\.0; accepted: 6\.5 to 9"),
    (lambda: nitrogen.criterion_chronic_mg_l([20, 31], 7), r"temp_c is 31\.0 °C; accepted: 0 to 30 °C"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()
