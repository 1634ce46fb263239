"""A calculator's answer in sentences: figures by the interval, the reading to improve, cautions, and sources that were not read."""

from dataclasses import dataclass

import pytest

from checking import every
from fairtank.publish.calc_words import (
    FROM_MEMORY,
    Answer,
    advice_words,
    answer_text,
    answer_words,
    condition_words,
    notes_text,
    printed_unit,
    short_labels,
    value_text,
)
from fairtank.registry import Entry, Input, Output, ReadingError, entries
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.science.uncertainty import Uncertain
from fairtank.sources import SOURCES


@dataclass(frozen=True)
class Both:
    gas: float
    colour: str


PROBE, TEST = ReadingError(0.1, instrument="pH probe, calibrated"), ReadingError(0.5, instrument="drop test")
PH = Input("ph", "pH", "", 0, 14, error=PROBE)
KH = Input("kh", "carbonate hardness (KH)", "dKH", 0, 30, error=TEST, figure_from=1.0)
TEMP = Input("temp_c", "water temperature", "°C", 0, 40, error=ReadingError(0.5))
ERRORS = {"ph": PROBE, "kh": TEST}
OUTPUTS = (Output("gas", "free gas: dissolved", "mg/L"), Output("colour", "colour"))
ENTRY = Entry("calculator", "gas", "Dissolved gas", "mg/L", ("arithmetic",), "", float, inputs=(KH, PH, TEMP))
PARTS = Entry("calculator", "gas", "Gas and colour", "", ("arithmetic",), "", float, inputs=(KH, PH, TEMP), outputs=OUTPUTS)


def uncertain(value, low, high, **shares):
    return Uncertain(value, low, high, 0.95, "draws", tuple(shares.items()))


def text_of(entry, result, told, given=None, errors=None):
    answer = Answer(entry, given or {"kh": 4.0, "ph": 6.6}, result, ERRORS if errors is None else errors, told)
    return [line.replace("\u00a0", " ") for line in answer_text(answer)]


def test_one_number_is_told_with_its_interval_the_readings_and_the_one_to_improve():
    assert text_of(ENTRY, 33.97, {"": uncertain(33.97, 25.6, 44.4, ph=0.84, kh=0.16)}) == [
        "Dissolved gas: 34 mg/L",
        "26 to 44 mg/L in 19 cases of 20, if pH is right to ±0.1 and KH to ±0.5 dKH; 84 % of that comes from pH.",
        "A better reading of pH (pH probe) would narrow it most; a better one of KH (drop test) would hardly help.",
    ]


def test_a_number_without_an_interval_is_told_with_four_figures():
    assert text_of(ENTRY, 55.88352, {}) == ["Dissolved gas: 55.88 mg/L"]


def test_with_one_uncertain_reading_nothing_is_said_of_shares():
    told = text_of(ENTRY, 9.092, {"": uncertain(9.092, 9.01, 9.18, ph=1.0)})
    assert told[1] == "9.01 to 9.18 mg/L in 19 cases of 20, if pH is right to ±0.1."
    assert told[2] == "A better reading of pH (pH probe) would narrow it."


def test_an_interval_that_no_reading_moves_is_not_spoken_of():
    assert text_of(ENTRY, 2e-300, {"": uncertain(2e-300, 2e-300, 2e-300, ph=0.0, kh=0.0)})[1:] == []


def test_the_parts_of_an_answer_and_its_reasons_can_be_had_apart():
    told = {"gas": uncertain(33.97, 25.6, 44.4, ph=0.84, kh=0.16)}
    answer = Answer(PARTS, {"kh": 4.0, "ph": 6.6}, Both(33.97, "green"), ERRORS, told)
    words = answer_words(answer)
    assert [label for label, _ in words.parts] == ["free gas", "colour"]
    assert answer_text(answer) == (words.title, *(f"  {label}: {text}" for label, text in words.parts), *words.reasons)
    single = answer_words(Answer(ENTRY, {}, 55.88352, {}, {}))
    assert (single.parts, single.reasons) == ((("", "55.88\u00a0mg/L"),), ())


def test_where_a_reading_is_too_coarse_only_the_interval_is_told():
    told = text_of(ENTRY, 5.1, {"": uncertain(None, 1.07, 10.2, kh=0.98, ph=0.02)}, given={"kh": 0.6, "ph": 6.6})
    assert told == [
        "Dissolved gas: between 1.1 and 10.2 mg/L",
        "KH below 1 dKH is too coarse for a figure.",
        "The interval holds in 19 cases of 20, if KH is right to ±0.5 dKH and pH to ±0.1.",
        "A better reading of KH (drop test) would narrow it most; a better one of pH (pH probe) would hardly help.",
    ]


def test_a_result_with_parts_has_a_line_for_each_and_one_condition():
    told = text_of(PARTS, Both(33.97, "yellow_green"), {"gas": uncertain(33.97, 25.6, 44.4, ph=0.6, kh=0.4)})
    assert told == [
        "Gas and colour",
        "  free gas: 34 mg/L (26 to 44); 60 % of that comes from pH",
        "  colour: yellow green",
        "The interval holds in 19 cases of 20, if pH is right to ±0.1 and KH to ±0.5 dKH.",
        "A better reading of pH (pH probe) would narrow it most, then one of KH (drop test).",
    ]


def test_parts_without_labels_and_intervals_stand_in_one_line():
    assert text_of(ENTRY, {"K": 3.867, "NO3_N": 1.385}, {}) == ["Dissolved gas: K 3.867 mg/L, NO3 N 1.385 mg/L"]


@pytest.mark.parametrize(("shares", "told"), [
    ((("ph", 0.55), ("kh", 0.45)), "Better readings of pH (pH probe) and KH (drop test) would narrow it most, each about as much."),
    ((("ph", 0.7), ("kh", 0.3)), "A better reading of pH (pH probe) would narrow it most, then one of KH (drop test)."),
    ((("ph", 0.7), ("kh", 0.25), ("temp_c", 0.05)),
     "A better reading of pH (pH probe) would narrow it most, then one of KH (drop test); a better one of water temperature would hardly "
     "help."),
    ((("ph", 0.9), ("kh", 0.06), ("temp_c", 0.04)),
     "A better reading of pH (pH probe) would narrow it most; better ones of the rest would hardly help."),
])  # fmt: skip
def test_the_advice_names_the_reading_that_narrows_the_interval_most(shares, told):
    assert advice_words(ENTRY, {**ERRORS, "temp_c": ReadingError(0.5)}, shares) == told


def test_hardly_helping_means_a_tenth_of_the_width_at_most():
    """Without a reading that causes 18 % of the variance, the interval is sqrt(0.82) = 0.906 as wide."""
    assert "hardly" in advice_words(ENTRY, ERRORS, (("ph", 0.82), ("kh", 0.18)))
    assert "then one of KH" in advice_words(ENTRY, ERRORS, (("ph", 0.8), ("kh", 0.2)))


def test_readings_that_scatter_and_relative_errors_are_told_as_such():
    errors = {"ph": ReadingError(0.05, "standard"), "kh": ReadingError(0.1, "within", True), "temp_c": ReadingError(0.5)}
    told = condition_words(ENTRY, errors, ("ph", "kh", "temp_c")).replace("\u00a0", " ")
    assert told == "if KH is right to ±10 %, water temperature to ±0.5 °C and pH scatters by 0.05"


@pytest.mark.parametrize(("value", "unit", "told"), [
    (True, "", "yes"), (None, "", "not known"), (float("nan"), "mg/L", "not known"), ("keep_apart", "", "keep apart"), (12, "", "12"),
    (12345.678, "L", "12 346 L"), (2.2e-16, "", "0"), (-0.5, "°C", "−0.5 °C"), ([2.5, 3.75], "mg/L", "(2.5, 3.75) mg/L"),
    (5.0, "1/h", "5 per hour"), (0.00012, "", "0.00012"),
])  # fmt: skip
def test_parts_are_told_in_words(value, unit, told):
    assert value_text(value, unit).replace("\u00a0", " ") == told


def test_labels_that_would_be_cut_alike_stay_whole():
    inputs = (Input("air", "mass, in air", "g"), Input("water", "mass, in water", "g"), Input("kh", "carbonate hardness (KH)", "dKH"))
    entry = Entry("calculator", "d", "D", "", (), "", float, inputs=inputs)
    assert list(short_labels(entry).values()) == ["mass, in air", "mass, in water", "KH"]


@every("entry", [pytest.param(entry, id=entry.key) for entry in entries("calculator")])
def test_the_short_labels_of_a_calculator_differ_from_one_another(entry):
    labels = short_labels(entry)
    assert list(labels) == [declared.name for declared in entry.inputs]
    assert len(set(labels.values())) == len(labels)
    assert all(labels.values())


@every("entry", [pytest.param(entry, id=entry.key) for entry in entries("calculator")])
def test_cautions_come_before_the_sources_and_sources_from_memory_say_so(entry):
    told = notes_text(entry)
    cautions, sources = told[: len(told) - len(entry.sources)], told[len(told) - len(entry.sources) :]
    assert [line for line in cautions if line != LAST_WORD] == [f"Caution: {CAUTIONS[key].title}. {CAUTIONS[key].text}"
                                                               for key in entry.cautions]
    assert (LAST_WORD in cautions) == bool(entry.cautions)
    for key, line in zip(entry.sources, sources, strict=True):
        assert line.startswith(f"Source: {SOURCES[key].reference}")
        assert line.endswith(f"({FROM_MEMORY})") == SOURCES[key].from_memory


def test_glass_is_called_a_screening():
    glass = [entry for entry in entries("calculator") if entry.function.__module__ == "fairtank.science.glass"]
    assert glass
    for entry in glass:
        told = " ".join(notes_text(entry))
        assert "A screening, not a structural calculation; have it checked by a glazier" in told, entry.key


def test_units_are_printed_as_people_write_them():
    assert [printed_unit(unit) for unit in ("degF", "m3", "umol/m2/s", "1/d", "mg/L")] == ["°F", "m³", "µmol m⁻² s⁻¹", "per day", "mg/L"]
