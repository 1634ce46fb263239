"""Several arms in words: which two, one of how many, and places that are never a bare list."""

from dataclasses import replace

import pytest

from fairtank.finding import Finding, RankedArm
from fairtank.publish.many_arms_words import amount_words, count_words, ranking_words, verdict_words
from fairtank.publish.phrases import plain_text

FINDING = Finding(
    measure="algae_cover", title="Algae cover", role="primary", summary="mean", scale="logit", window=(0, 42), estimate=0.9, low=0.2,
    high=1.6, level=0.95, df=4.0, p_value=0.02, shuffle_p=None, arrangements=0, grade="differs", tags=(), basis="own tanks", margin=0.5,
    n_reference=3, n_changed=3, tipping_spread=None, units=(), natural=None, cautions=(), reference_label="plain", changed_label="dim lamp",
    reference_arm="R", changed_arm="A", comparisons=2, design="side_by_side",
)
PLACES = (RankedArm("A", "dim lamp", 2.0, 1, 1, 1), RankedArm("R", "plain", 1.1, 2, 2, 3), RankedArm("B", "bright lamp", 1.0, 3, 2, 3))


@pytest.mark.parametrize(("grade", "low", "high", "text"), [
    ("matters", 0.6, 1.6, "The dim lamp gave more algae cover than the plain, and by enough to matter."),
    ("differs", 0.2, 1.6, "The dim lamp gave more algae cover than the plain; how much is still unsure."),
    ("alike", -0.3, 0.4, "Between the dim lamp and the plain any difference is smaller than would matter."),
    ("open", -0.3, 1.6, "Cannot tell the dim lamp from the plain: both no effect and an effect that matters fit what was seen."),
])
def test_the_verdict_names_both_arms(grade, low, high, text):
    assert verdict_words(replace(FINDING, grade=grade, low=low, high=high)) == text


def test_a_comparison_that_is_alone_or_spoilt_is_said_as_everywhere():
    assert verdict_words(replace(FINDING, grade="alone", low=None, high=None)) is None
    assert count_words(replace(FINDING, grade="alone")) is None
    assert amount_words(FINDING) is None


def test_the_count_says_one_of_how_many():
    assert plain_text(count_words(FINDING)) == (
        "Judged on 3 tanks under the dim lamp and 3 under the plain. Both comparisons hold at once (in 95 % of such trials both of them "
        "do); that makes each interval wider.")
    three = plain_text(count_words(replace(FINDING, comparisons=3)))
    assert "All 3 comparisons hold at once (in 95 % of such trials all of them do)" in three


@pytest.mark.parametrize(("summary", "opening"), [
    ("mean", "the highest algae cover"), ("change", "the largest change upwards in algae cover"),
    ("slope", "the fastest rise in algae cover"),
])
def test_places_are_told_with_their_range(summary, opening):
    text = plain_text(ranking_words(replace(FINDING, ranking=PLACES, summary=summary)))
    assert text == (f"So far each arm may hold these places, counted from {opening}: the dim lamp 1, the plain 2 to 3, the bright lamp 2 "
                    "to 3. All of this holds together at 95 %.")


def test_where_nothing_is_told_apart_there_is_no_order():
    ranking = tuple(replace(arm, best=1, worst=3) for arm in PLACES)
    assert ranking_words(replace(FINDING, ranking=ranking)) == (
        "The arms cannot be put in order by algae cover: each of the 3 may have any place.")
    assert ranking_words(FINDING) == ""
    assert ranking_words(replace(FINDING, ranking=PLACES, grade="spoilt")) == ""
