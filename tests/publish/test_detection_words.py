"""Readings below detection in words: the method by name, what else was tried, why there is no interval and what would settle it."""

from dataclasses import replace

import pytest
from tests.inference.test_detection import LEVELS, NITRATE, found_for, threshold, trial
from tests.inference.trials import plan_of

from fairtank.publish.detection_words import limits_words, method_words, open_words, settling_words
from fairtank.publish.findings_file import findings_document
from fairtank.publish.methods import methods_words
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence

HIDDEN = {**LEVELS, "C1": 1.0, "C2": 1.2, "C3": 1.5}


def test_the_method_is_told_by_its_name_with_what_else_was_tried():
    words = methods_words(found_for(trial(LEVELS)), plan_of(3, 3, choice=NITRATE))
    (said,) = [plain_text(text) for text in words if "what the test can tell" in text]
    below = found_for(trial(LEVELS)).below_detection.below
    assert said.startswith(f"Of 48 tank-days with a reading, {below} (")
    assert said.endswith("lay below what the test can tell (2 mg/L). Such a reading was taken as the limit divided by the square root "
                         "of 2 (Hornung "
                         "and Reed 1990); the judgement was repeated with all of them at the limit and with all of them at a tenth of "
                         "the limit.")


def test_on_values_as_they_are_the_lowest_is_0():
    identity = replace(NITRATE, scale="identity", margin=None)
    assert method_words(found_for(trial(LEVELS), identity))[0].endswith("with all of them at 0.")


def test_an_arm_that_nobody_could_see_has_no_interval_and_the_sentence_says_why():
    found = found_for(trial(HIDDEN))
    text = plain_text(sentence(found))
    assert text.startswith("Cannot tell: under the dimmed nearly all readings lay below what the test can tell (2 mg/L), so that no "
                           "interval can be "
                           "given. A test with a lower limit would settle it.")
    assert "More than a fifth of the readings lay below what the test can tell" in text
    assert settling_words(found) == "A test with a lower limit would settle it: with this one no number of tanks does."
    assert any(text.startswith("No interval is given: nearly all readings") for text in methods_words(found, plan_of(3, 3, choice=NITRATE)))


def test_both_arms_are_named_where_both_lie_below():
    found = found_for(trial({unit: 1.0 + place / 10 for place, unit in enumerate(LEVELS)}))
    assert "under the plain and the dimmed nearly all readings" in plain_text(sentence(found))


@pytest.mark.parametrize("levels", [LEVELS, {unit: 9.0 + place for place, unit in enumerate(LEVELS)}])
def test_other_findings_have_no_such_verdict(levels):
    found = found_for(trial(levels))
    assert open_words(found) is None
    assert settling_words(found) == ""


def test_a_threshold_says_that_such_a_reading_has_not_reached_it():
    assert method_words(threshold(2.0))[0].endswith("such a reading counts as below the threshold, which is no lower than the limit.")


def test_several_limits_are_told_as_a_range_and_none_as_nothing():
    found = found_for(trial(LEVELS))
    assert plain_text(limits_words(replace(found, below_detection=replace(found.below_detection, highest=5.0)))) == "2 to 5 mg/L"
    assert limits_words(replace(found, below_detection=None)) == ""
    assert method_words(replace(found, below_detection=None)) == ()


def test_the_json_counts_the_days():
    found = found_for(trial(HIDDEN))
    document = findings_document((found,), "sha256:0")["findings"][0]
    assert document["below_detection"] == {"days": 48, "below": found.below_detection.below, "lowest": 2.0, "highest": 2.0,
                                           "arms_below": ["C"], "arms_half": ["C"]}
