"""What is uneven and leans to an arm without going along with the arms for certain, and what a change does not excuse."""

import pytest

from fairtank.publish.arms import arm_looks
from fairtank.publish.even_words import MOST_IN_FULL, even_sentences
from fairtank.registry import entries
from fairtank.trial import Arm
from planning.even_trials import check_of, checked, plan, told, verdict


@pytest.mark.parametrize(("factor", "values", "leans"), [
    ("window_side", ["away"] * 4 + ["towards"] * 3 + ["away"], True),
    ("temperature", [24.0] * 4 + [26.0] * 3 + [24.0], True),
    ("window_side", ["away", "towards"] * 4, False),
    ("temperature", [23.0, 25.0] * 4, False),
    ("lamp_model", [f"serial {number}" for number in range(8)], False),
])
def test_what_most_tanks_of_one_arm_have_leans_to_it(factor, values, leans):
    check = check_of(factor, plan("RRRRCCCC"), factors=told(factor, values))
    assert (check.verdict, check.is_leaning) == ("crossed", leans)


def test_what_a_tank_keeps_through_a_swap_does_not_lean():
    trial = plan("RRCC", kind="swap", first_arm=list("RRCC"), swap_day=21)
    assert not check_of("lamp_model", trial, factors=told("lamp_model", list("AABB"))).is_leaning


def test_leaning_factors_are_told_with_what_they_do_before_those_that_do_not():
    trial = plan("RRRRCCCC")
    window = told("window_side", ["away"] * 4 + ["towards"] * 3 + ["away"])
    result = checked(trial, factors=(*window, *told("lamp_model", list("ABABABAB"))))
    sentences = even_sentences(result, arm_looks(trial))
    assert "leaning to one arm" in sentences[1]
    assert "Daylight" in sentences[1]
    assert sentences[2].startswith("Lamp, uneven but dealt evenly")


@pytest.mark.parametrize(("declared", "factor"), [("lamp_model", "lamp_age"), ("lamp_model", "lamp_height"),
                                                  ("water_change", "source_water")])
def test_a_change_does_not_excuse_what_could_be_evened_out(declared, factor):
    values = list("AAABBB") if factor == "source_water" else [10.0] * 3 + [20.0] * 3
    assert verdict(factor, plan("RRRCCC", declared=(declared,)), factors=told(factor, values)) == "confounded"


def test_the_only_tank_known_in_each_arm_goes_along_with_it():
    assert verdict("lamp_model", plan("RRRCCC"), factors=told("lamp_model", ["A", None, None, "B", None, None])) == "confounded"


def test_the_order_of_a_list_and_the_code_of_an_accent_do_not_count():
    trial = plan("RRCC")
    assert verdict("fauna", trial, factors=told("fauna", ["5 snails, 3 shrimps"] * 2 + ["3 shrimps and 5 snails"] * 2)) == "even"
    assert verdict("lamp_model", trial, factors=told("lamp_model", ["Caf\u00e9"] * 2 + ["Cafe\u0301"] * 2)) == "even"
    assert verdict("substrate_kind", trial, factors=told("substrate_kind", ["soil, sand"] * 2 + ["sand, soil"] * 2)) == "confounded"


def test_many_factors_of_two_tanks_are_told_in_few_sentences_and_none_is_left_out():
    trial = plan("RC")
    words = [entry for entry in entries("factor") if entry.unit == "word" and entry.key != "place"]
    result = checked(trial, factors=tuple(value for entry in words for value in told(entry.key, ["A", "B"])))
    confounded, sentences = result.with_verdict("confounded"), even_sentences(result, arm_looks(trial))
    assert len(confounded) > 2 * MOST_IN_FULL
    assert sum("which goes along with the arms" in sentence for sentence in sentences) == MOST_IN_FULL
    folded = next(sentence for sentence in sentences if sentence.startswith("These go along"))
    assert folded.count("in arm R; ") == len(confounded) - MOST_IN_FULL
    assert f"and {len(confounded) - 6} more go along" in sentences[0]


@pytest.mark.parametrize("arms", ["RC", "RRCC", "RRRCCC", "RRRRCCCC", "RRRRRRRCCCCCCC"])
def test_arms_apart_by_the_tolerance_itself_are_within_it(arms):
    days = [float(arm == "C") for arm in arms]
    assert verdict("planted_on", plan(arms), factors=told("planted_on", days)) == "within"


@pytest.mark.parametrize(("factor", "values"), [("temperature", [24.0] * 6 + [27.0] * 2), ("lamp_model", list("AAAAAABB"))])
def test_of_two_changes_what_the_arm_with_both_has_alone_goes_along_with_it(factor, values):
    arms = tuple(Arm(key, "changed" if key != "N" else "reference", key, changes=changes)
                 for key, changes in (("N", ()), ("X", ("co2",)), ("Y", ("light",)), ("Z", ("co2", "light"))))
    check = check_of(factor, plan("NNXXYYZZ", arms=arms, kind="two_changes"), factors=told(factor, values))
    assert (check.verdict, check.arm) == ("confounded", "Z")
