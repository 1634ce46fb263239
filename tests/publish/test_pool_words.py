"""Several trials in words: one exact text for each way an effect can be told, and nothing said that was not pooled."""

from dataclasses import replace

import pytest

from fairtank.inference import compare
from fairtank.inference.pooling import TrialResult, pool
from fairtank.publish.numbers import NO_BREAK
from fairtank.publish.pool_words import (
    PoolStory,
    differ_words,
    direction_words,
    effect_heading,
    effect_words,
    headline,
    prediction_words,
    sentences,
    table_rows,
)
from inference.trials import levels, measure, plan_of

# Numbers in the texts were reckoned by hand from these: mean -0.575, SD 0.299, so SE 0.149 and t(3) = 3.18 give -1.05 to -0.10 log-odds.
SPREAD = (-0.9, -0.5, -0.7, -0.2)


def story_of(estimates, *, half=0.4, margin=None, scale="logit", summary="mean", level=12.0, swayed=(), unit="%", **more):
    """Trials with these estimates, each with an interval that reaches half to both sides."""
    choice = measure(scale, summary="mean", unit=unit)
    pattern = replace(compare(plan_of(choice=choice), choice, levels([10.0, 12.0, 14.0], [6.0, 8.0, 9.0])), summary=summary)
    pattern = replace(pattern, natural=pattern.natural if scale == "logit" and summary != "slope" else None)
    trials = [TrialResult(f"trial {place}", estimate, None if half is None else estimate - half, None if half is None else estimate + half,
                          grade="open", swayed=place in swayed) for place, estimate in enumerate(estimates, 1)]
    return PoolStory(pool(trials, margin=margin), pattern, level if scale == "logit" and summary != "slope" else None, **more)


def plain(text):
    return text.replace(NO_BREAK, " ")


def test_a_cover_is_told_at_one_level_of_the_reference():
    story = story_of(SPREAD, margin=0.2)
    assert plain(headline(story)) == (
        "4 trials taken together. The dimmed gave less cover by eye; how much is still unsure. Cover by eye of 12 % under the plain would "
        "be 7.1 % (4.6 to 11.0 %) under the dimmed.")
    assert plain(effect_heading(story)) == "Cover by eye under the dimmed where the reference has 12 %"


def test_an_amount_is_told_as_a_ratio():
    story = story_of((0.2, 0.3, 0.25), half=0.1, scale="log", unit="cm")
    assert plain(headline(story)) == (
        "3 trials taken together. The dimmed gave more cover by eye; how much is still unsure. Cover by eye under the dimmed was 1.28 "
        "times what it was under the plain (1.13 to 1.46 times).")
    assert plain(prediction_words(story)) == ("A further trial would probably lie between 1.13 and 1.46 times the reference (19 times in "
                                              "20).")


def test_a_value_as_it_is_is_told_as_a_difference_and_a_span_over_none_says_both_sides():
    story = story_of((2.0, -1.0, 0.5, 1.0), half=1.0, scale="identity", unit="cm")
    assert plain(prediction_words(story)).startswith("A further trial would probably lie between 3.5 cm less and 4.8 cm more than the "
                                                     "reference")
    story = story_of((-2.0, -1.8, -2.2), half=0.5, scale="identity", unit="cm")
    assert plain(prediction_words(story)) == ("A further trial would probably lie between 1.4 and 2.6 cm less than the reference "
                                              "(19 times in 20).")


def test_a_slope_of_a_cover_is_told_as_a_factor_a_day():
    story = story_of((-0.03, -0.02, -0.025), half=0.01, summary="slope")
    assert "Each day multiplied the odds of cover by eye under the dimmed by 0.975" in plain(headline(story))
    assert effect_heading(story) == "Daily rise of odds of cover by eye under the dimmed, times that of the reference"
    assert direction_words(story) == "All 3 trials point to a slower rise in cover by eye."


def test_two_trials_are_shown_without_a_verdict_and_without_a_prediction():
    story = story_of((-0.9, -0.5))
    assert headline(story) == story.pooled.note
    assert prediction_words(story) == differ_words(story) == ""
    assert [len(row) for row in table_rows(story)] == [4, 4, 4]
    assert not any("A further trial" in text for text in sentences(story))


def test_one_trial_stays_what_it_is():
    told = sentences(story_of((-0.9,)))
    assert told[0].startswith("Cannot tell") or "gave less cover by eye" in told[0]


def test_a_further_trial_that_may_be_opposite_is_said_to_be():
    assert plain(prediction_words(story_of((-0.9, 0.1, -0.2, -0.6), half=0.3))).endswith("So it may well point the other way.")


def test_how_far_the_trials_differ_is_told_by_levels_and_not_at_all_where_nothing_shows_it():
    far = plain(differ_words(story_of((-1.5, -0.2, -0.9, -0.1) * 3, half=0.2)))
    assert "in about two of three trials like these it would lie between" in far
    assert "where the reference has 12 %" in far
    few = plain(differ_words(story_of((-1.5, -0.2, -0.9, -0.1), half=0.2)))
    assert few.endswith("explains: the best guess is a standard deviation of 0.65 log-odds, and 4 trials say that only very roughly.")
    assert "that does not show that they are alike" in differ_words(story_of((-0.5, -0.5, -0.51), half=0.5))


def test_trials_that_chance_alone_scatters_as_much_are_not_said_to_differ_themselves():
    # Half-widths of 0.4 are standard errors of 0.204: Q = 3.56 on 2 degrees of freedom, which chance exceeds in exp(-1.78) = 17 of 100.
    text = plain(differ_words(story_of((-0.9, -0.5, -0.38), half=0.4)))
    assert text.startswith("The trials scatter somewhat more than their tanks explain; chance alone makes as much of it or more in 17 of "
                           "100 sets of trials. The best guess of how far effects differ is a standard deviation of ")
    assert text.endswith("and 3 trials say that only very roughly.")
    assert "the effect itself differs" not in text


def test_the_directions_are_counted():
    assert direction_words(story_of((-0.9, 0.1, -0.2, 0.0))) == \
        "Of 4 trials 2 point to less cover by eye, 1 points to more cover by eye and 1 to neither."


def test_scores_that_could_be_swayed_decide_nothing_however_many_there_are():
    story = story_of((-0.9, -0.8, -0.85), half=0.2, margin=0.2, swayed=(2,))
    assert headline(story).startswith("3 trials taken together. Cannot tell: the scores were not blinded")
    assert any(text.startswith("Scored by people who could know which tank had which arm: trial 2.") for text in sentences(story))


def test_a_trial_without_an_interval_is_told_by_its_level_alone():
    story = story_of((-0.9, -0.5), half=None)
    assert plain(effect_words(story, -0.9, None, None)) == "5.3 %, no interval"


def test_the_table_ends_with_all_together_and_a_further_trial():
    rows = [[plain(cell) for cell in row] for row in table_rows(story_of(SPREAD))]
    assert rows[1] == ["A", "trial 1", "open", "5.3 % (3.6 to 7.6 %)", "25 %"]
    assert [row[1] for row in rows[-2:]] == ["4 trials together", "a further trial"]
    assert rows[-2][3] == "7.1 % (4.6 to 11.0 %)"


@pytest.mark.parametrize("estimates", [SPREAD, (-0.9, -0.5), (-0.9,)])
def test_every_finished_trial_is_asked_for(estimates):
    assert sentences(story_of(estimates))[-1].startswith("Every finished trial of the question belongs in the folder")
