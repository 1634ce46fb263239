"""The checks at the door of every calculator: numbers, ranges and words."""

import numpy as np
import pytest

from checking import every
from fairtank import registry
from fairtank.errors import InputError, OutOfRangeError
from fairtank.registry import Input
from fairtank.science import glass, nitrogen
from fairtank.science.ranges import accepted_range, numbers_of, one_of, plain, within

GLASS = Input("glass_mm", "glass thickness", "mm", 0, 30)
SUPPORT = Input("support", "how the edges are held", choices=("free_top", "braced"))


@pytest.mark.parametrize("given", [
    6, 6.0, np.float32(6), np.int64(6), [6, 7], (6, 7.5), np.array([[6, 7]]), np.array([6, 7], dtype=object),
])
def test_numbers_lists_and_arrays_are_taken(given):
    numbers = within(GLASS, given)
    assert numbers.dtype == np.float64
    assert numbers.shape == np.shape(given)
    assert numbers.tolist() == np.asarray(given, dtype=float).tolist()


@pytest.mark.parametrize(("given", "told"), [
    ("six", "'six'"), ("6", "'6'"), (["6", "7"], "not a number"), ([6, "7"], "not a number"), (None, "not a number"),
    ([6, None], "not a number"), ([[6, 7], [8]], "not a number"), ({}, "not a number"), (6 + 1j, "not a number"),
    (np.array(["6"], dtype=object), "not a number"),
])
def test_what_is_not_made_of_numbers_is_refused_even_where_it_reads_as_one(given, told):
    with pytest.raises(InputError, match=rf"^glass_mm is {told}; accepted: 0 to 30 mm\. In mm\?$"):
        within(GLASS, given, "In mm?")


def test_missing_numbers_pass_the_first_check_and_not_the_second():
    assert np.isnan(numbers_of("rgb", [1.0, np.nan], "numbers")).tolist() == [False, True]
    for wrong in (np.nan, np.inf, -np.inf, 31, -0.5):
        with pytest.raises(OutOfRangeError, match=r"glass_mm is .* mm; accepted: 0 to 30 mm"):
            within(GLASS, [6.0, wrong])


def test_a_word_among_the_choices_is_handed_back():
    assert [one_of(SUPPORT, word) for word in SUPPORT.choices] == list(SUPPORT.choices)
    assert one_of(SUPPORT, np.str_("braced")) == "braced"


@pytest.mark.parametrize(("given", "told"), [
    ("clamped", "'clamped'"), ("", "''"), (np.array(["free_top", "braced"]), "not a word"), (np.array([1.0, 2.0]), "not a word"),
    (["free_top"], "not a word"), (3, "not a word"), (None, "not a word"),
])
def test_any_other_word_and_anything_else_is_refused(given, told):
    with pytest.raises(InputError, match=f"^support is {told}; accepted: free_top, braced\\.$"):
        one_of(SUPPORT, given)


def test_arrays_of_words_are_refused_by_the_calculators_too():
    words = np.array(["free_top", "braced"])
    with pytest.raises(InputError, match=r"support is not a word; accepted: free_top"):
        glass.panel(600, 348, 330, 6, support=words)
    with pytest.raises(InputError, match=r"start is not a word; accepted: bare, seeded"):
        nitrogen.cycle_forecast(25, start=np.array(["bare", "seeded"]))


WITH_WORDS = [entry for entry in registry.entries("calculator")
              if entry.function.__module__.startswith("fairtank.science") and any(given.choices for given in entry.inputs)]


@every("entry", WITH_WORDS, ids=lambda entry: entry.key)
def test_every_calculator_refuses_an_array_of_two_words_where_it_takes_one(entry):
    words = [given for given in entry.inputs if given.choices]
    numbers = {given.name: (given.low + given.high) / 2 for given in entry.inputs if not given.choices and given.low is not None}
    for given in words:
        others = {one.name: one.choices[0] for one in words if one is not given}
        with pytest.raises(InputError, match=rf"^{given.name} is .*; accepted: "):
            entry.function(**{**numbers, **others, given.name: np.array([given.choices[0]] * 2)})


def test_ranges_are_told_in_words():
    assert accepted_range(GLASS) == "0 to 30 mm"
    assert accepted_range(SUPPORT) == "free_top, braced"
    assert accepted_range(Input("surface", "surface", "cm/h", 0.05, 100, choices=("still",))) == "still, or 0.05 to 100 cm/h"
    assert accepted_range(Input("day", "day", "d", 0)) == "0 d or more"
    assert accepted_range(Input("lab1", "colour")) == "any finite number"


def test_a_single_number_comes_out_as_a_float_and_an_array_as_an_array():
    assert isinstance(plain(np.float64(2.5)), float)
    assert plain(np.array([1.0, 2.0])).shape == (2,)
