"""The texts of a question: read or refused input by input, under the name that each door has for it."""

import pytest

from fairtank import registry
from fairtank.bench.asking import MOST_LETTERS, asked, calculator_named, input_of, read, reworded
from fairtank.bench.inputs import option_of
from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import ReadingError

CARBONATE = registry.entry("calculator", "carbonate")
TEXTS = {"temp_c": "25", "alkalinity_dkh": "4", "ph": "6.6"}


def test_values_ranges_and_errors_are_sorted_by_input():
    found = asked(read(CARBONATE, {"temp_c": "77 degF", "alkalinity_dkh": "4 exact", "ph": "6:7:0.5±0.02"}))
    assert found.given == {"temp_c": 25, "alkalinity_dkh": 4}
    assert found.ranges["ph"].value == [6, 6.5, 7]
    assert found.typed == {"alkalinity_dkh": None, "ph": ReadingError(0.02, instrument=CARBONATE.inputs[2].error.instrument)}
    assert list(found.errors) == ["temp_c", "ph"]
    assert found.converted == ("temp_c",)


def test_each_text_is_refused_by_itself_under_the_name_of_its_input():
    known = read(CARBONATE, {**TEXTS, "alkalinity_dkh": "4 dGH", "ph": "sour"})
    assert list(known.found) == ["temp_c"]
    assert {name: error.name for name, error in known.refused.items()} == {"alkalinity_dkh": "alkalinity_dkh", "ph": "ph"}
    with pytest.raises(InputError, match=r"^alkalinity_dkh is 4 dGH; "):
        asked(known)


def test_what_is_missing_is_known_and_refused():
    known = read(CARBONATE, {"temp_c": "25"})
    assert [declared.name for declared in known.missing] == ["alkalinity_dkh", "ph"]
    with pytest.raises(InputError, match="alkalinity_dkh is missing; accepted: a value"):
        asked(known)


def test_names_that_are_no_input_are_passed_over():
    assert read(CARBONATE, {**TEXTS, "nothing": "1"}) == read(CARBONATE, TEXTS)


def test_a_text_longer_than_anything_typed_is_refused_and_a_long_one_is_shown_by_its_beginning():
    known = read(CARBONATE, {"ph": "6" * (MOST_LETTERS + 1), "temp_c": "x" * 1000})
    assert str(known.refused["ph"]) == f"ph is {MOST_LETTERS + 1} letters long; accepted: at most {MOST_LETTERS} letters."
    assert str(known.refused["temp_c"]).startswith(f"temp_c is {'x' * 60}…; accepted: a number in degC")


def test_spaces_do_not_matter():
    assert read(CARBONATE, {"ph": "  6.6 \t ±\n0.05 "}).found == read(CARBONATE, {"ph": "6.6 ± 0.05"}).found


@pytest.mark.parametrize(("texts", "told"), [
    ({"temp_c": "20:25:1", "alkalinity_dkh": "2:4:1", "ph": "6:7:1"},
     r"^the number of ranges is 3 \(--temp-c, --alkalinity-dkh, --ph\); accepted: one or two\. Give the others one value each\.$"),
    ({"temp_c": "25", "alkalinity_dkh": "2:4:0.01", "ph": "6:7:0.01"}, "^the number of rows is 20301; accepted: at most 10000"),
])  # fmt: skip
def test_too_many_ranges_or_rows_are_refused(texts, told):
    with pytest.raises(InputError, match=told):
        asked(read(CARBONATE, texts), option_of)


@pytest.mark.parametrize(("name", "worded"), [
    ("ph", "--ph"), ("reading error of ph", "reading error of --ph"), ("the number of rows", "the number of rows"),
    ("phosphate", "phosphate"),
])  # fmt: skip
def test_a_door_puts_its_own_word_in_place_of_the_input(name, worded):
    error = reworded(CARBONATE, OutOfRangeError(name, "3", "5 to 9.5", "Is it sour?"), option_of)
    assert isinstance(error, OutOfRangeError)
    assert str(error) == f"{worded} is 3; accepted: 5 to 9.5. Is it sour?"


def test_a_refusal_about_several_inputs_is_about_none():
    assert input_of(CARBONATE, InputError("ph and temp_c", "x", "y")) is None
    assert input_of(CARBONATE, InputError("ph", "x", "y")).label == "pH"


def test_a_name_that_is_unknown_is_refused_with_names_near_it():
    assert calculator_named("gross-volume-l").key == "gross_volume_l"
    with pytest.raises(InputError, match=r"calculator is panle; accepted: .* Near it: panel"):
        calculator_named("panle")
    with pytest.raises(InputError, match="fairtank calc lists them"):
        calculator_named("zzzz")
