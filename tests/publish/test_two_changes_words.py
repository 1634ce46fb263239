"""Two changes in words: what each did averaged over the other, and that what they do together stays open."""

from dataclasses import replace

import pytest

from fairtank.finding import Finding, Natural
from fairtank.publish.phrases import plain_text
from fairtank.publish.two_changes_words import amount_words, count_words, interaction_words, verdict_words

FACTS = (("interaction", -0.27), ("interaction_low", -3.2), ("interaction_high", 2.7))
FINDING = Finding(
    measure="mass", title="Plant mass", role="primary", summary="mean", scale="identity", window=(0, 42), estimate=3.03, low=1.28,
    high=4.79, level=0.95, df=7.7, p_value=0.003, shuffle_p=None, arrangements=0, grade="matters", tags=(), basis="own tanks", margin=1.0,
    n_reference=6, n_changed=6, tipping_spread=None, units=(), natural=Natural(2.05, 5.08, 3.33, 6.84, "g"), cautions=(),
    reference_label="without light", changed_label="with light", comparisons=2, design="two_changes", facts=FACTS,
)
AVERAGED = "averaged over the other change"


@pytest.mark.parametrize(("grade", "low", "high", "text"), [
    ("matters", 1.28, 4.79, f"Light gave more plant mass, {AVERAGED}, and by enough to matter."),
    ("differs", 0.28, 4.79, f"Light gave more plant mass, {AVERAGED}; how much is still unsure."),
    ("alike", -0.4, 0.4, f"Any difference that light made, {AVERAGED}, is smaller than would matter."),
    ("open", -0.4, 4.79, f"Cannot tell what light did, {AVERAGED}: both no effect and an effect that matters fit what was seen."),
])
def test_the_verdict_names_the_change(grade, low, high, text):
    assert verdict_words(replace(FINDING, grade=grade, low=low, high=high)) == text


def test_too_few_tanks_say_what_the_four_ways_need():
    alone = replace(FINDING, grade="alone", low=None, high=None, tipping_spread=0.5, facts=())
    text = plain_text(verdict_words(alone))
    assert text.startswith("Too few tanks: each of the four ways needs two, or three whole blocks. Plant mass was 2.0 g without light and ")
    assert "under with" not in text
    assert amount_words(alone) is None
    assert count_words(alone) is None


def test_what_they_do_together_is_told_apart_from_the_amount_and_alike_for_both_changes():
    assert plain_text(amount_words(FINDING)) == "Plant mass with light was 3.0 g more than without light (1.3 to 4.8 g more)."
    text = plain_text(interaction_words(FINDING))
    assert text == (
        "Whether the two changes help or hinder each other stays open: together they give 0.3 g less (3.2 g less to 2.7 g more) than what "
        "each does alone would add up to. To notice that takes twice as large a difference as for one change alone, or four times the "
        "tanks.")
    assert text == plain_text(interaction_words(replace(FINDING, reference_label="without food", changed_label="with food")))


def test_an_interval_that_leaves_out_none_still_decides_nothing():
    facts = (("interaction", 7.7), ("interaction_low", 4.8), ("interaction_high", 10.7))
    text = plain_text(interaction_words(replace(FINDING, facts=facts)))
    assert text == ("The two changes together seem to give more plant mass than what each does alone would add up to: 7.7 g more (4.8 to "
                    "10.7 g more). This was not the question and decides nothing, but each change's average hides it.")
    ratios = plain_text(interaction_words(replace(FINDING, facts=tuple((name, value / 10) for name, value in facts), scale="log")))
    assert ": 2.2 times as much (1.6 to 2.9 times). This" in ratios
    odds = plain_text(interaction_words(replace(FINDING, scale="logit")))
    assert "together they give 0.3 log-odds less (3.2 log-odds less to 2.7 log-odds more) than" in odds
    assert interaction_words(replace(FINDING, facts=())) == ""


def test_the_count_says_that_every_tank_serves_both_questions():
    together = "the intervals of both changes hold at once, in 95 % of such trials."
    assert plain_text(count_words(FINDING)) == f"Judged on 6 tanks with light and 6 without, which serve both changes; {together}"
    assert plain_text(count_words(replace(FINDING, facts=(*FACTS, ("blocks", 3.0))))) == f"Judged on 3 blocks of four tanks; {together}"
