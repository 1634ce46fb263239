"""What would settle a finding, one exact text for each case."""

import pytest
from invented_trials import finding
from judged_trials import found

from checking import every
from fairtank.finding import EarlierTanks, Eyes, Natural, Settling
from fairtank.publish.phrases import plain_text
from fairtank.publish.settling_words import settling_words, size_words

MARGIN = "a difference as large as the margin (7.6 % or 18 % instead of 12 %)"
RECKONED = Settling("difference", 0.5, "tank", 3, 0.3, "own tanks", 4.0, 7, 4, 20)


def said(settling=RECKONED, **given) -> str:
    return plain_text(settling_words(finding(settling=settling, **given)))


def test_open_names_the_tanks_that_would_notice_the_margin_and_how_unsure_that_number_is():
    assert said() == (
        f"To notice {MARGIN} 4 times in 5 takes about 7 tanks per arm, with the scatter seen here. That scatter is itself known only "
        "roughly from so few tanks: 4 times in 5 the right number lies between 4 and 20. In settled tanks more days hardly help beyond six "
        "weeks; in a new tank, where the effect builds up, they do.")


def test_other_ways_are_named_where_they_need_fewer():
    settling = Settling("difference", 0.5, "tank", 3, 0.3, "own tanks", 4.0, 7, 4, 20, with_run_in=4, with_swap=2)
    assert ("A run-in of two weeks before the change would bring it down to about 4 per arm, and a swap, where the change can be taken "
            "back, to about 2 for each order, if most of that scatter comes from lasting differences between tanks.") in said(settling)


def test_as_many_as_there_are_means_a_repeat():
    settling = Settling("difference", 0.5, "tank", 7, 0.3, "own tanks", 12.0, 7, 5, 12)
    assert said(settling).startswith(f"7 tanks per arm notice {MARGIN} 4 times in 5, with the scatter seen here; this was one of the "
                                     "times when nothing was settled, or the difference is smaller. More tanks in one new trial, or three "
                                     "trials of the question pooled, would tell.")
    width = Settling("width", 0.5, "pair", 7, 0.3, "own tanks", 12.0, 7, 5, 12)
    assert ("A new trial with more pairs would narrow it; so would three trials of the same question, pooled."
            in said(width, grade="differs", design="pairs"))


def test_numbers_beyond_all_reach_are_told_as_such():
    assert "takes about more than 60" not in said(Settling("difference", 0.5, "tank", 3, 0.3, "own tanks", 4.0, 61, 61, 61))
    assert "takes more than 60 tanks per arm" in said(Settling("difference", 0.5, "tank", 3, 0.3, "own tanks", 4.0, 61, 61, 61))


def test_six_weeks_are_enough():
    assert said(window=(0, 60)).endswith("In settled tanks more days buy nothing; in new ones, where the effect builds up, they do.")


def test_a_repeat_is_not_said_to_be_judged_together_with_this_trial():
    assert said(Settling("repeat"), grade="matters").endswith("whether it holds there too; from three trials on they can be pooled.")


def test_two_changes_are_told_together_once():
    facts = (("interaction", -0.27), ("interaction_low", -3.2), ("interaction_high", 2.7))
    assert "Whether the two changes help or hinder each other stays open" in said(Settling("repeat"), grade="matters",
                                                                                 design="two_changes", facts=facts)


def test_one_tank_each_is_told_how_alike_tanks_would_have_to_be_and_what_two_tanks_can_do():
    text = said(Settling("difference", 0.5, "tank", 1, spread_for_three=0.1625), grade="alone", low=None, high=None, n_reference=1,
                n_changed=1, design="side_by_side", basis="none", natural=Natural(12.0, 8.3, None, None, "%"))
    assert text == (
        f"Three tanks per arm would notice {MARGIN} 4 times in 5, provided two tanks treated alike usually, 19 times in 20, end closer to "
        "each other than 12 % is from 18 %. With the two tanks at hand: let the change go to and fro between them for four rounds or more, "
        "where it can be taken back, or let the lot draw the day on which it starts. Finished trials of like tanks would help too, from 5 "
        "on: they show how far apart like ones end up.")


def test_earlier_trials_that_are_too_few_are_counted():
    text = said(Settling("difference", 0.5, "tank", 1, spread_for_three=0.16), grade="alone", low=None, high=None,
                earlier=EarlierTanks(groups=3, total_df=6.0))
    assert "from 5 on (three trials so far)" in text


def test_differs_is_about_the_size():
    settling = Settling("width", 0.5, "tank", 3, 0.3, "own tanks", 4.0, 7, 4, 20)
    assert said(settling, grade="differs").startswith(
        "There is a difference, as far as one trial can tell; how large it is, is not settled. With the scatter seen here, about 7 tanks "
        "per arm would let the interval reach no farther than the margin (7.6 % or 18 % instead of 12 %) to either side.")


def test_without_a_margin_one_has_to_be_fixed_first():
    settling = Settling("size", None, "tank", 3, 0.3, "own tanks", 4.0, reach=((3, 0.8), (6, 0.5)))
    assert said(settling, margin=None) == (
        "Fix a margin before the next trial: the smallest difference that would change what you do. With the scatter seen here you would "
        "notice, 4 times in 5, 5.8 % or 23 % instead of 12 % with 3 tanks per arm; 7.6 % or 18 % with 6. These numbers are as rough as "
        "that scatter.")


@pytest.mark.parametrize(("settling", "given", "text"), [
    (Settling("repeat"), {"grade": "matters"}, "One trial is one trial. A repeat with other tanks, plants and water"),
    (Settling("again"), {"grade": "spoilt"}, "Next time: a photo of every tank at least once a week"),
    (Settling("count", None, "pair", 2), {"design": "pairs", "grade": "alone"}, "Three pairs are the least"),
    (Settling("count", None, "tank", 3), {"summary": "threshold"}, "Four tanks per arm are the least from which an order can be told."),
    (Settling("more"), {"design": "drawn_start"}, "It speaks of these two tanks alone."),
    (Settling("wait"), {"tags": ("fragile", "not by lot")}, "The trial goes on; a look still to come may settle it."),
    (Settling("blind"), {"tags": ("not blinded",)}, "The interval alone would say more: what is missing is not more numbers"),
    (Settling("scale"), {}, "Values that are read more finely would settle it"),
])
def test_what_has_no_numbers_is_told_without(settling, given, text):
    assert said(settling, **given).startswith(text)


def test_tags_add_how_the_next_trial_should_be_set_up():
    text = said(tags=("fragile", "not by lot", "not blinded"))
    assert "a repeat is worth more here than another look at the same numbers" in text
    assert "Let the lot decide which tank gets what" in text
    assert text.endswith("then their scores count.")


def test_nothing_is_told_where_nothing_was_reckoned():
    assert said(None) == ""


@pytest.mark.parametrize(("given", "size", "text"), [
    ({"scale": "identity", "unit_of_measure": "g", "natural": None}, 1.5, "1.5 g"),
    ({"scale": "log", "natural": Natural(14.0, 10.0, 8.0, 12.0, "cm")}, 0.2, "a factor of 1.22"),
    ({"scale": "logit", "summary": "slope", "natural": None}, 0.02, "a factor of 1.020 on the odds per day"),
])
def test_a_size_is_said_in_the_natural_unit(given, size, text):
    assert plain_text(size_words(finding(**given), size)) == text


@every("n", [(1, 1), (2, 2), (3, 3), (6, 6)])
@every("kind", ["side_by_side", "run_in", "swap"])
def test_the_effect_that_was_seen_is_never_mentioned(kind, n):
    summary = {"side_by_side": "mean", "run_in": "change", "swap": "swap"}[kind]
    texts = {plain_text(settling_words(found(kind, "identity", summary, n=n, effect=effect, sd=1.0, margin=1.0))) for effect in (0.0, 0.01)}
    assert len(texts) == 1


def test_a_size_of_choices_is_said_as_a_share_of_choices():
    chosen = finding(scale="identity", natural=None, eyes=Eyes("choices", "use", 3, 12, 90, "Three people agreed."))
    assert plain_text(size_words(chosen, 0.7)) == "33 % or 67 % of choices instead of 50 %"
