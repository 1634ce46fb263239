"""Other ways of analysing: which of them make a finding fragile."""

import pytest
from invented_trials import finding

from fairtank.publish.ways import fragile_words, ways_words


@pytest.mark.parametrize(("ways", "text"), [
    ((("without C1", "open"), ("without C2", "differs")), "Fragile: without C1 the answer would be “cannot tell”."),
    ((("without C1", "open"), ("without C2", "open")), "Fragile: without C1 or without C2 the answer would be “cannot tell”."),
    ((("without C1", "open"), ("on the log scale", "alike")),
     "Fragile: without C1 the answer would be “cannot tell”, on the log scale it would be “any difference is too small to matter”."),
    (tuple((f"without C{number}", "open") for number in range(1, 4)),
     "Fragile: without C1 or without C2 the answer would be “cannot tell”, and 1 more way changes it too."),
    (tuple((f"without C{number}", "open") for number in range(1, 6)),
     "Fragile: without C1 or without C2 the answer would be “cannot tell”, and 3 more ways change it too."),
])
def test_at_most_two_ways_are_named_and_the_rest_is_counted(ways, text):
    assert fragile_words(finding(grade="differs", alternatives=ways)) == text


def test_a_secondary_measure_says_that_its_ways_look_at_it_alone():
    text = fragile_words(finding(grade="differs", role="secondary", alternatives=(("without C1", "open"),)))
    assert text == "Fragile (this measure taken alone): without C1 the answer would be “cannot tell”."


@pytest.mark.parametrize(("scale", "text"), [
    ("logit", "Fragile: reckoned in plain per cent instead of log-odds, the answer would be “there is a difference”."),
    ("log", "Fragile: reckoned with the plain values instead of logarithms, the answer would be “there is a difference”."),
])
def test_another_scale_is_told_in_words(scale, text):
    assert fragile_words(finding(scale=scale, alternatives=(("on the values as they are", "differs"),))) == text


def test_ways_that_give_the_same_grade_make_nothing_fragile():
    assert fragile_words(finding(grade="open", alternatives=(("without C1", "open"),))) == ""
    assert fragile_words(finding()) == ways_words(finding()) == ""


def test_a_single_unit_left_out_needs_no_list():
    assert ways_words(finding(alternatives=(("without C1", "open"),))) == "without C1: open"
