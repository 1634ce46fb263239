"""The sentence for viewers, who see it once: the same claim, without what only says it again on the scale of the analysis."""

import math

import pytest
from tests.publish.test_sentences import LONE, finding

from fairtank.finding import Natural
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence, spoken_sentence


def spoken(**given):
    return plain_text(spoken_sentence(finding(**given)))


def test_a_finding_without_technical_words_is_spoken_as_it_is_written():
    found = finding()
    assert spoken_sentence(found) == sentence(found)


def test_the_technical_words_of_two_tanks_are_left_out_and_every_other_word_stays():
    found = finding(**{**LONE, "natural": Natural(3.0, 2.6, None, None, "%"), "estimate": -0.14, "tipping_spread": 0.0505})
    written = plain_text(sentence(found))
    assert written.endswith(" (apart by 0.14 log-odds; an SD of 0.051 log-odds per tank).")
    assert plain_text(spoken_sentence(found)) == written.removesuffix(" (apart by 0.14 log-odds; an SD of 0.051 log-odds per tank).") + "."


@pytest.mark.parametrize("given", [
    {**LONE, "n_changed": 2}, {**LONE, "summary": "swap"}, {**LONE, "summary": "slope"}, {**LONE, "summary": "change"},
    {**LONE, "natural": None}, {**LONE, "scale": "log"}, {**LONE, "design": "pairs"},
])  # fmt: skip
def test_no_way_of_standing_alone_speaks_of_the_scale(given):
    text = spoken(**given)
    assert "the data alone cannot tell" in text
    assert not [word for word in ("log-odds", "logarithm", "SD") if word in text], text
    assert text.count("(") == text.count(")")


def test_a_distance_without_a_level_is_told_as_a_factor_of_the_odds():
    text = spoken(**{**LONE, "natural": None, "n_changed": 2, "tipping_spread": None})
    assert math.log(1.51) == pytest.approx(0.41, abs=0.005)
    assert text == "Too few tanks: the data alone cannot tell. The tanks ended apart by a factor of 1.51 in the odds."


def test_another_way_of_reckoning_keeps_its_answer():
    given = {"grade": "differs", "alternatives": (("on the values as they are", "open"),), "tags": ("fragile",)}
    written, text = plain_text(sentence(finding(**given))), spoken(**given)
    assert "reckoned in plain per cent instead of log-odds, the answer would be “cannot tell”" in written
    assert text == written.replace(" instead of log-odds", "")
