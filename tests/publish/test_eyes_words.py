"""People's scores and choices in words: the sentence aloud, the tables, the methods."""

import itertools
from dataclasses import replace

import pytest
from tests.inference.test_choices import STRONG, all_pairs, plan, seen
from tests.inference.test_eyes import AGREE, APART, judged, ratings

from fairtank.finding import RankedUnit
from fairtank.inference import judge
from fairtank.inference.eyes.choices import chosen_series
from fairtank.publish.amounts import estimate_words
from fairtank.publish.blocks import Table
from fairtank.publish.eyes_words import amount_words, eyes_blocks, method_words, picked_words
from fairtank.publish.findings_file import findings_document
from fairtank.publish.methods import methods_words
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words


def chosen(answers=None, **more):
    return judge(plan(**more), chosen_series(plan(**more), plan().measures[0], answers or all_pairs(STRONG)))[0]


def told(finding):
    return plain_text(sentence(finding))


def test_scores_are_told_with_people_photos_agreement_and_cases():
    assert told(judged(ratings(AGREE))) == (
        "The dimmed gave less algae score, and by enough to matter. Algae score under the dimmed was 4.0 less than under the plain (2.7 "
        "to 5.3 "
        "less). Judged on 3 tanks under the dimmed and 3 under the plain. Scored by 2 people on 48 photos; their agreement is 1.00 "
        "(1.00 to "
        "1.00; 1 is perfect, 0 is chance). Each tank under the dimmed was set beside each under the plain: it stands higher in 0 of 9 "
        "cases.")


def test_a_tie_counts_half_and_it_is_said():
    text = told(judged(ratings(AGREE, changed=(3, 7, 9), reference=(7, 8, 7))))
    assert text.endswith("it stands higher in 4 of 9 cases.")
    assert "stands higher in 3.5 of 9 cases, a tie counting half." in told(judged(ratings(AGREE, changed=(3, 7, 9), reference=(7, 8, 8))))


def test_scores_of_one_person_say_that_the_rest_is_not_known():
    assert "Scored by 1 person on 48 photos; whether others would see the same is not known." in told(judged(ratings(AGREE, people="P")))


def test_people_who_do_not_agree_give_no_finding_and_say_what_would_settle_it():
    found = judged(ratings(APART))
    text = told(found)
    assert text.startswith("No finding: the 2 people agree at ")
    assert text.endswith("What would settle it: clearer steps, each with a picture, and new scores by two people or more.")
    assert "spoilt" not in text
    assert settling_words(found) == "Clearer steps, each with a picture, and new scores by two people or more."
    assert told(replace(found, role="secondary")).startswith("This measure was not judged: the 2 people agree at ")
    methods = methods_words(found, plan())
    assert "No interval is given: what people said is shown and not judged." in methods


def test_a_negative_agreement_has_a_true_minus():
    assert " −0." in judged(ratings((0, 9, -9, 5, -7))).eyes.reason


def test_choices_are_told_as_a_share_of_choices():
    found = chosen()
    assert told(found).startswith("The dimmed gave less algae; how much is still unsure. Asked which of two photos shows more algae, "
                                  "people "
                                  "would pick a tank under the dimmed over one under the plain in ")
    assert "; 50 % is no difference. Judged on 3 tanks" in told(found)
    assert told(found).endswith("Chosen by 3 people, in 90 choices between two photos.")
    assert estimate_words(found) == picked_words(found)


@pytest.mark.parametrize(("log_odds", "words"), [
    ((-0.852, -4.441, 2.738), "30 % of choices (1 to 94 %)"), ((0.0, -0.5, 0.5), "50 % of choices (38 to 62 %)"),
    ((-6.0, -9.0, -3.0), "under 1 % of choices (under 1 to 5 %)"), ((6.0, 3.0, 900.0), "over 99 % of choices (95 to over 99 %)"),
])
def test_log_odds_become_whole_percents_and_nobody_is_ever_quite_sure(log_odds, words):
    estimate, low, high = log_odds
    assert plain_text(picked_words(replace(chosen(), estimate=estimate, low=low, high=high))) == words


def test_without_an_interval_the_share_says_so():
    found = replace(chosen(), low=None, high=None, estimate=0.0)
    assert plain_text(picked_words(found)) == "50 % of choices, no interval"
    assert amount_words(found) == ""


def test_words_of_choices_are_for_choices_only():
    found = judged(ratings(AGREE))
    assert amount_words(found) is None
    assert picked_words(found) == ""
    assert method_words(replace(found, eyes=None)) == ()
    assert eyes_blocks(replace(found, eyes=None)) == ()


def test_choices_that_cannot_be_judged_say_why():
    inside = [pair for pair in itertools.combinations(STRONG, 2) if pair[0][0] == pair[1][0]]
    text = told(chosen([seen(who, *pair, "a") for who in "AB" for pair in inside]))
    assert text == ("No finding: some units were never compared with the others, not even by way of third ones; they cannot be put into "
                    "one "
                    "order. What would settle it: a new round of choices that sets every tank against several of the other arm.")


def test_the_order_shows_every_place_that_a_tank_may_hold():
    found = chosen()
    (table,) = [block for block in eyes_blocks(found) if isinstance(block, Table)]
    assert table.head[-1] == "Place"
    for row, ranked in zip(table.rows, found.eyes.ranking, strict=True):
        assert row[-1] == (f"{ranked.best} to {ranked.worst}" if ranked.best < ranked.worst else f"{ranked.best}")
        assert "(" in row[3]
    alone = replace(found, eyes=replace(found.eyes, ranking=(RankedUnit("R1", 0.5, None, None, 1, None, None, 0.6, 5),)))
    (table,) = [block for block in eyes_blocks(alone) if isinstance(block, Table)]
    assert plain_text(" | ".join(table.rows[0])) == "R1 | R | 60 % of 5 | 0.50 | not known"


def test_people_who_scored_twice_stand_in_a_table():
    first = ratings(AGREE)
    found = judged([*first, *(one for one in first if one.rater == "Q" and one.day in (0, 6))])
    (table,) = [block for block in eyes_blocks(found) if isinstance(block, Table)]
    assert plain_text(" | ".join(table.rows[0])) == "Q | 12 | 100 % | 1.00 (1.00 to 1.00)"


def test_methods_of_choices_say_strengths_and_not_means_of_days():
    words = " ".join(methods_words(chosen(), plan()))
    assert "Bradley and Terry" in words
    assert "time-weighted" not in words
    assert "weighted by time" not in words
    assert "median" not in words


def test_the_json_holds_what_is_known_of_the_people():
    first, second = (findings_document((found,), "sha256:0")["findings"][0] for found in (judged(ratings(AGREE)), chosen()))
    assert (first["eyes"]["alpha"], first["eyes"]["raters"], first["eyes"]["use"]) == (1.0, 2, "use")
    assert [ranked["unit"] for ranked in second["eyes"]["ranking"]][:3] == [one.unit for one in chosen().eyes.ranking][:3]
    assert first["below_detection"] is None
