"""What may be typed for an input: units, reading errors, ranges, words and lists, and what each refusal says."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import every
from fairtank.bench.inputs import units_taken, usual_reading
from fairtank.bench.typed import Typed, typed
from fairtank.errors import InputError
from fairtank.registry import Entry, Input, ReadingError


def invented(alkalinity_dkh, ph, temp_c, share, ammonium, nutrient, hardness_dgh, count, light, lux, surface, rise_c, conductivity,
             settings, matrix, co2_ppm, cover_pct):
    """Not called: only its inputs count.

    Parameters
    ----------
    alkalinity_dkh, ph, temp_c, share, ammonium, nutrient, hardness_dgh, count, light, lux, rise_c, conductivity, co2_ppm, cover_pct : float
        Single numbers.
    surface : str or float
        A word or a number.
    settings : array of shape (m,)
        A list.
    matrix : array of shape (m, n)
        Rows.
    """


INPUTS = {declared.name: declared for declared in (
    Input("alkalinity_dkh", "carbonate hardness (KH)", "dKH", 0, 20, error=ReadingError(0.5, instrument="drop test"), figure_from=1),
    Input("ph", "pH", "", 5, 9.5, error=ReadingError(0.1, "standard")),
    Input("temp_c", "water temperature", "°C", 0, 40),
    Input("share", "share of tap water", "", 0, 1),
    Input("ammonium", "ammonia and ammonium", "mg/L N", 0, 50),
    Input("nutrient", "concentration", "mg/L", 0, 500),
    Input("hardness_dgh", "general hardness (GH)", "dGH", 0, 50),
    Input("count", "points", "", 0, 1e9),
    Input("light", "PPFD", "µmol m⁻² s⁻¹", 0, 5000, error=ReadingError(0.1, "within", True)),
    Input("lux", "illuminance", "lux", 0, 3e5),
    Input("surface", "how the surface moves", "cm/h", 0.05, 100, choices=("still", "gently_rippled", "LED-B3")),
    Input("rise_c", "how much warmer", "°C", 0, 30),
    Input("conductivity", "conductivity at 25 °C", "µS/cm", 0, 5000),
    Input("settings", "settings", "", 0.001, 1),
    Input("matrix", "counts", "", 0, 1e9),
    Input("co2_ppm", "carbon dioxide in the air", "ppm", 100, 10000),
    Input("cover_pct", "cover", "%", 0, 100),
)}  # fmt: skip
ENTRY = Entry("calculator", "invented", "Invented", "", (), "", invented, inputs=tuple(INPUTS.values()))


def read(name, text):
    return typed(ENTRY, INPUTS[name], text)


@every(("name", "text", "value"), [
    ("temp_c", "25", 25), ("temp_c", "77 degF", 25), ("temp_c", "77°F", 25), ("temp_c", "298.15 K", 25), ("temp_c", "20 °C", 20),
    ("alkalinity_dkh", "4", 4), ("alkalinity_dkh", "0.35665 meq/L", pytest.approx(1, rel=1e-5)),
    ("alkalinity_dkh", "17.848 mg/L CaCO3", pytest.approx(1, rel=1e-4)), ("hardness_dgh", "1 mmol/L", pytest.approx(5.6077, rel=1e-4)),
    ("share", "50 %", 0.5), ("share", "0.5", 0.5), ("cover_pct", "50 %", 50), ("cover_pct", "50", 50),
    ("ammonium", "1 mg/L N", 1), ("ammonium", "1.2878 mg/L NH4", pytest.approx(1, rel=1e-4)), ("ammonium", "2", 2),
    ("nutrient", "250 ug/L", 0.25), ("count", "12", 12), ("count", "12.0", 12), ("co2_ppm", "0.1 %", 1000), ("rise_c", "9 degF", 5),
    ("rise_c", "5 K", 5), ("surface", "2.5", 2.5), ("surface", "1 m/d", pytest.approx(100 / 24)), ("surface", "still", "still"),
    ("surface", "Gently rippled", "gently_rippled"), ("surface", "gently-rippled", "gently_rippled"), ("surface", "ledb3", "LED-B3"),
    ("settings", "0.25,0.5,1", [0.25, 0.5, 1]), ("settings", "25,50,100 %", [0.25, 0.5, 1]), ("settings", "25 %, 0.5", [0.25, 0.5]),
    ("settings", "0.5", [0.5]), ("matrix", "45,5;10,90", [[45, 5], [10, 90]]),
])  # fmt: skip
def test_a_value_is_read_in_the_unit_that_was_typed(name, text, value):
    found = read(name, text)
    assert found.value == value
    assert found.error is None
    assert not found.is_range


@every(("name", "text", "value", "error"), [
    ("ph", "6.6±0.05", 6.6, ReadingError(0.05)), ("ph", "6.6 ± 0.05", 6.6, ReadingError(0.05)),
    ("ph", "6.6 +- 0.05", 6.6, ReadingError(0.05)), ("ph", "6.6+-0.05", 6.6, ReadingError(0.05)),
    ("ph", "6.6 +/- 0.05", 6.6, ReadingError(0.05)),
    ("ph", "6.6 sd 0.05", 6.6, ReadingError(0.05, "standard")), ("ph", "6.6 exact", 6.6, ReadingError(0.0)),
    ("ph", "6.6 exactly", 6.6, ReadingError(0.0)), ("temp_c", "77±0.9 degF", 25, ReadingError(0.5)),
    ("temp_c", "77 degF ± 0.5 degC", 25, ReadingError(0.5)), ("temp_c", "77 degF ± 0.9", 25, ReadingError(0.5)),
    ("lux", "1000 ± 20 %", 1000, ReadingError(0.2, "within", True)), ("lux", "1 klx ± 20 %", 1000, ReadingError(0.2, "within", True)),
    ("share", "50 % ± 2 %", 0.5, ReadingError(0.02)), ("share", "0.5 ± 0.02", 0.5, ReadingError(0.02)),
    ("cover_pct", "50 ± 2 %", 50, ReadingError(2.0)), ("ph", "6.6 ± 1 %", 6.6, ReadingError(0.01, "within", True)),
    ("alkalinity_dkh", "4 dKH ± 17.848 mg/L CaCO3", 4, ReadingError(pytest.approx(1.0, rel=1e-4), instrument="drop test")),
    ("rise_c", "9 ± 1.8 degF", 5, ReadingError(1.0)),
])  # fmt: skip
def test_a_reading_error_is_read_in_the_unit_of_the_value(name, text, value, error):
    found = read(name, text)
    assert found.value == value
    assert found.error == error


@pytest.mark.parametrize(("name", "text", "values", "shown", "unit"), [
    ("ph", "6:7:0.5", [6, 6.5, 7], (6.0, 6.5, 7.0), ""), ("ph", "6 : 7 : 0.3", [6, 6.3, 6.6, 6.9], (6.0, 6.3, 6.6, 6.9), ""),
    ("temp_c", "50:86:18 degF", [10, 20, 30], (50.0, 68.0, 86.0), "degF"), ("temp_c", "-5:5:5", [-5, 0, 5], (-5.0, 0.0, 5.0), ""),
    ("share", "0:100:50 %", [0, 0.5, 1], (0.0, 50.0, 100.0), "%"), ("surface", "1:3:1", [1, 2, 3], (1.0, 2.0, 3.0), ""),
    ("temp_c", "10:20:10 degC", [10, 20], (10.0, 20.0), ""), ("count", "1:3:1", [1, 2, 3], (1.0, 2.0, 3.0), ""),
])  # fmt: skip
def test_a_range_is_read_with_its_unit_at_the_end(name, text, values, shown, unit):
    assert read(name, text) == Typed(values, None, shown, unit)


def test_a_range_of_tenths_hits_its_round_values():
    found = read("ph", "6:8:0.1")
    assert len(found.value) == 21
    assert found.value == [round(60 + index) / 10 for index in range(21)]


def test_a_range_may_have_a_reading_error():
    assert read("ph", "6:7:0.5 ± 0.05").error == ReadingError(0.05)
    assert read("temp_c", "50:86:18 degF ± 0.9").error == ReadingError(0.5)
    assert read("ph", "6:7:0.5 exact").error == ReadingError(0.0)


@every(("name", "text", "told"), [
    ("temp_c", "5 US gal", r"temp_c is 5 US gal; accepted: a number in degC; other units: degF, K\."),
    ("temp_c", "warm", r"temp_c is warm; accepted: a number in degC; other units: degF, K\. Write decimals with a point\."),
    ("temp_c", "25,5", r"temp_c is 25,5; .* Write decimals with a point: 25\.5"),
    ("temp_c", "25 26 degC", r"temp_c is 25 26 degC; accepted: a number in degC"),
    ("temp_c", "1,2,3", r"temp_c is 1,2,3; .* It takes one number, not several\."),
    ("temp_c", "nan", r"temp_c is nan; accepted: a number in degC"),
    ("temp_c", "-inf", r"temp_c is -inf; accepted"),
    ("temp_c", "", r"temp_c is empty; accepted: a number in degC"),
    ("alkalinity_dkh", "4 dGH", r"alkalinity_dkh is 4 dGH; .* GH is not KH: .* Take the reading of the KH test\."),
    ("hardness_dgh", "4 dKH", r"hardness_dgh is 4 dKH; .* KH is not GH: .* Take the reading of the GH test\."),
    ("alkalinity_dkh", "4 dH", r"Write dGH for general hardness or dKH for carbonate hardness\."),
    ("alkalinity_dkh", "1.4 mmol/L", r"Write meq/L for carbonate hardness; 1 mmol/L of bicarbonate is 1 meq/L\."),
    ("alkalinity_dkh", "70 ppm", r"alkalinity_dkh is 70 ppm; .* other units: meq/L, fH, e, mg/L CaCO3, gr/US gal"),
    ("ammonium", "1 mg/L", r"Say what the test counts: mg/L N or mg/L NO3 or mg/L NO2 or mg/L NH4 or mg/L NH3\."),
    ("ammonium", "1 ppm", r"Say what the test counts: mg/L N"),
    ("nutrient", "5 ppm", r"nutrient is 5 ppm; .* In water write mg/L\."),
    ("nutrient", "5 mg/L NO3", r"Write mg/L, and keep to one form from start to end\."),
    ("conductivity", "300 ppm", r"set the meter to µS/cm\."),
    ("light", "3000 lux", r"the calculator ppfd_from_lux turns them into PPFD\."),
    ("lux", "100 umol/m2/s", r"the calculator lux_per_ppfd gives the factor\."),
    ("ph", "66 %", r"ph is 66 %; accepted: a number\. It takes a plain number: leave the unit out\."),
    ("ph", "6.6 dKH", r"It takes a plain number: leave the unit out\."),
    ("count", "12 %", r"It takes a plain number: leave the unit out\."),
    ("count", "12.5", r"count is 12\.5; accepted: a whole number\. It is a count\."),
    ("count", "1:2:0.5", r"count is 1:2:0\.5; accepted: a whole number\. It is a count\."),
    ("share", "0.5 ± 2 %", r"share is 0\.5 ± 2 %; .* Write 50 % ± 2 %, or 0\.5 ± 0\.02\."),
    ("ph", "6.6 ± ", r"ph is 6\.6 ±; accepted: a number"),
    ("ph", "6.6 ± much", r"ph is 6\.6 ± much; accepted: a number"),
    ("temp_c", "25 degC ± 1 L", r"accepted: a reading error in the unit of the value, or in %"),
    ("alkalinity_dkh", "4 dKH ± 1 dGH", r"GH is not KH"),
    ("ph", "6:8", r"ph is 6:8; accepted: from:to:step\. Write for example 6:8:0\.1\."),
    ("ph", "6:8:", r"Write for example 6:8:0\.1\."),
    ("ph", "6:8:0.1:2", r"Write for example 6:8:0\.1\."),
    ("ph", "8:6:0.1", r"It goes from the smaller to the larger number\."),
    ("ph", "8:6:-0.1", r"The step is -0\.1; it must be above 0\."),
    ("ph", "6:6:0.1", r"It goes from the smaller to the larger number\."),
    ("ph", "6:8:0", r"The step is 0; it must be above 0\."),
    ("ph", "6:7:2", r"The step is longer than the whole range\."),
    ("ph", "6:8:0.0001", r"accepted: at most 10000 values\. Take a larger step\."),
    ("ph", "6:8:1e-300", r"accepted: at most 10000 values\. Take a larger step\."),
    ("ph", "a:b:c", r"ph is a:b:c; accepted: a number"),
    ("temp_c", "50 degF:60:5 degC", r"Write the unit once, at the end\."),
    ("surface", "stormy", r"surface is stormy; accepted: still, gently_rippled, LED-B3, or 0\.05 to 100 cm/h\."),
    ("settings", "1;2", r"settings is 1;2; accepted: numbers separated by commas\. Semicolons separate the rows of a matrix\."),
    ("settings", "1,,2", r"settings is 1,,2; accepted: numbers separated by commas\. Write decimals with a point\."),
    ("settings", "1:2:1", r"settings is 1:2:1; .* A range or a reading error belongs to a single number\."),
    ("settings", "0.5±0.1,1", r"A range or a reading error belongs to a single number\."),
    ("settings", "1,2 kg", r"It takes a plain number|accepted: a number in %"),
    ("matrix", "45,5;10", r"accepted: rows of equal length: .* The rows have 2, 1 numbers\."),
    ("matrix", "45,5;10,2.5", r"matrix is 45,5;10,2\.5; accepted: whole numbers\. It is a count\."),
])  # fmt: skip
def test_what_cannot_be_used_is_refused_with_what_to_write(name, text, told):
    with pytest.raises(InputError, match=told):
        read(name, text)


def test_a_word_without_a_range_beside_it_is_one_of_the_choices():
    support = Input("support", "how the edges are held", choices=("free_top", "braced"))
    entry = Entry("calculator", "held", "Held", "", (), "", invented, inputs=(support,))
    assert typed(entry, support, "free top").value == "free_top"
    with pytest.raises(InputError, match="support is 3; accepted: free_top, braced"):
        typed(entry, support, "3")


def test_the_instrument_stays_with_a_typed_error():
    assert read("alkalinity_dkh", "4±1").error.instrument == "drop test"


def test_the_units_of_hardness_leave_out_what_is_counted_otherwise():
    assert units_taken(INPUTS["alkalinity_dkh"]) == ("dKH", "meq/L", "fH", "e", "mg/L CaCO3", "gr/US gal")
    assert "mmol/L" in units_taken(INPUTS["hardness_dgh"])
    assert units_taken(INPUTS["share"]) == ("%",)
    assert units_taken(INPUTS["ph"]) == ()


def test_the_usual_reading_is_told_in_words():
    assert usual_reading(INPUTS["alkalinity_dkh"]) == "usual reading ±0.5 dKH (drop test); below 1 dKH only an interval is told"
    assert usual_reading(INPUTS["ph"]) == "usual reading scatters by 0.1"
    assert usual_reading(INPUTS["light"]) == "usual reading ±10 %"
    ammonium = Input("total", "ammonia", "mg/L N", 0, 50, error=ReadingError(0.25, relative=True, least=0.25))
    assert usual_reading(ammonium) == "usual reading ±0.25 mg/L N, or 25 % where that is more"
    assert usual_reading(INPUTS["temp_c"]) == ""


SIGNS = [*"0123456789.:,;+-±%e ", "sd", "exact", "degF", "US gal", "dGH", "nan", "inf", "−", "²", "mg/L N", "1e400"]


@settings(max_examples=400, deadline=None, derandomize=True)
@given(name=st.sampled_from(sorted(INPUTS)), text=st.lists(st.sampled_from(SIGNS), max_size=12).map("".join))
def test_whatever_is_typed_is_read_or_refused_in_a_sentence(name, text):
    try:
        found = read(name, text)
    except InputError as error:
        told, found = str(error), None
    if found is None:
        assert told.startswith(f"{name} is ")
    else:
        assert found.value is not None
        assert len(found.shown) <= 10_000
