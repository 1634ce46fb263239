"""Other ways of analysing: which of them make a finding fragile."""

import pytest
from invented_trials import finding

from fairtank.publish.ways import fragile_words, ways_words

FIXED = " Other ways of analysing are fixed beforehand by the method."


@pytest.mark.parametrize(("ways", "text"), [
    ((("without C1", "open"), ("without C2", "differs")), "Fragile: without C1 the grade would be “open”."),
    ((("without C1", "open"), ("without C2", "open")), "Fragile: without C1 or without C2 the grade would be “open”."),
    ((("without C1", "open"), ("on the log scale", "alike")),
     "Fragile: without C1 the grade would be “open”, on the log scale it would be “alike”."),
    (tuple((f"without C{number}", "open") for number in range(1, 4)),
     "Fragile: without C1 or without C2 the grade would be “open”, and 1 more way changes it too."),
    (tuple((f"without C{number}", "open") for number in range(1, 6)),
     "Fragile: without C1 or without C2 the grade would be “open”, and 3 more ways change it too."),
])
def test_at_most_two_ways_are_named_and_the_rest_is_counted(ways, text):
    assert fragile_words(finding(grade="differs", alternatives=ways)) == text + FIXED


def test_a_secondary_measure_says_that_its_ways_look_at_it_alone():
    text = fragile_words(finding(grade="differs", role="secondary", alternatives=(("without C1", "open"),)))
    assert text.endswith("are fixed beforehand by the method, and look at each secondary measure alone.")


def test_ways_that_give_the_same_grade_make_nothing_fragile():
    assert fragile_words(finding(grade="open", alternatives=(("without C1", "open"),))) == ""
    assert fragile_words(finding()) == ways_words(finding()) == ""


def test_a_single_unit_left_out_needs_no_list():
    assert ways_words(finding(alternatives=(("without C1", "open"),))) == "without C1: open"
