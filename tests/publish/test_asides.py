"""Findings of swaps, pairs, rounds and thresholds in whole sentences, made by the judge and not by hand."""

from dataclasses import replace

import pytest

from fairtank.inference import compare
from fairtank.publish.arms import arm_looks
from fairtank.publish.dots import dots_of
from fairtank.publish.methods import methods_words
from fairtank.publish.phrases import plain_text
from fairtank.publish.report_pictures import _dots_caption
from fairtank.publish.sentences import sentence
from fairtank.trial import Series, Unit
from inference.trials import level, measure, plan_of

GRAMS = measure("identity", unit="g")


def swap(counts=(2, 2)):
    choice = measure("identity", summary="swap", unit="g")
    plan = plan_of(*counts, kind="swap", swap_day=21, washout_days=3, choice=choice)
    ends = {"R1": (10, 15), "R2": (11, 15.8), "C1": (14, 11), "C2": (13.5, 10.8)}
    series = [Series(key, "cover", tuple(range(43)), (float(first),) * 21 + (float(second),) * 22) for key, (first, second) in ends.items()
              if int(key[1]) <= counts[key[0] == "C"]]
    return plan, compare(plan, choice, series)


def test_a_swap_tells_what_time_did_to_all_tanks():
    plan, finding = swap()
    assert plain_text(sentence(finding)).endswith(
        "Judged on 2 tanks that had the dimmed first and 2 that had the plain first. Whatever the arm, cover by eye stood at 12 g in the "
        "first period and 13 g in the second; the swap takes this out.")
    words = " ".join(map(plain_text, methods_words(finding, plan)))
    assert "in the first period (day 0 to day 20) minus that in the second (day 24 to day 42)." in words


def test_the_dots_of_a_swap_are_each_tank_under_the_reference_and_under_the_change():
    plan, finding = swap()
    dots = {dot.unit: (dot.start, dot.place) for dot in dots_of(finding, next(iter(arm_looks(plan))))}
    assert dots == {"R1": (10, pytest.approx(15)), "R2": (11, pytest.approx(15.8)), "C1": (11, pytest.approx(14)),
                    "C2": (pytest.approx(10.8), pytest.approx(13.5))}
    assert "under the reference (open mark) and under the change (filled mark)" in _dots_caption(finding)


def paired(differences):
    units = tuple(Unit(f"{arm}{number}", arm, pair=str(number)) for number in range(len(differences)) for arm in "RC")
    series = [level(f"{arm}{number}", 20.0 + 2 * number + (arm == "C") * value) for number, value in enumerate(differences) for arm in "RC"]
    plan = plan_of(kind="pairs", units=units, choice=GRAMS)
    return plan, compare(plan, GRAMS, series)


def test_pairs_are_counted_as_pairs():
    plan, finding = paired([2.0, 2.5, 1.8])
    assert plain_text(sentence(finding)).endswith("Judged on 3 pairs, each with one tank under the dimmed and one under the plain.")
    assert any(text.startswith("The pairs are the sample, not the photos") for text in methods_words(finding, plan))


def test_two_pairs_are_too_few_and_say_how_alike_the_two_would_have_to_be():
    plan, finding = paired([2.0, 2.5])
    assert plain_text(sentence(finding)) == (
        "Too few pairs: the data alone cannot tell. Cover by eye was 21 g under the plain and 23 g under the dimmed. Two tanks of a pair "
        "treated alike would have to end closer than 3.2 g to each other, 19 times in 20, before this could be called surprising (apart by "
        "2.2 g; an SD of 1.6 g per pair).")
    few = "No interval is given: with fewer than 3 pairs nothing shows how far the two of a pair end up apart."
    assert few in methods_words(finding, plan)


def test_rounds_tell_the_lasting_difference_that_was_taken_out():
    units, series = [], []
    for number, slip in enumerate((0.1, -0.2, 0.15, 0.0)):
        for tank in "AB":
            arm = "C" if (tank == "A") == (number % 2 == 0) else "R"
            units.append(Unit(f"{tank}{number}", arm, tank=tank, round=str(number)))
            series.append(level(f"{tank}{number}", 30.0 + 5 * (tank == "A") + (2 + slip) * (arm == "C")))
    plan = plan_of(kind="rounds", units=tuple(units), choice=GRAMS)
    text = plain_text(sentence(compare(plan, GRAMS, series)))
    assert text.endswith("Judged on 4 rounds of the same two tanks. The two tanks lay 5.1 g apart whatever the arm; this is taken out.")


def threshold(n, reached_by):
    choice = replace(measure(summary="threshold"), threshold=5.0)
    plan = plan_of(n, n, choice=choice)
    days = tuple(range(0, 43, 2))
    series = [Series(f"{arm}{number}", "cover", days, tuple(8.0 if day >= reached_by[arm] else 1.0 for day in days)) for arm in "RC"
              for number in range(1, n + 1)]
    return plan, compare(plan, choice, series)


def test_a_threshold_tells_the_order_and_no_size():
    plan, finding = threshold(4, {"R": 10, "C": 20})
    assert plain_text(sentence(finding)) == (
        "The dimmed reached the threshold of cover by eye later; how much later is not told by this test. Each tank under the "
        "dimmed was held against "
        "each one under the plain: it reached the threshold of cover by eye, 5 %, later in 16 of 16 cases and earlier in 0. Judged on 4 "
        "tanks under the dimmed and 4 under the plain.")
    words = " ".join(methods_words(finding, plan))
    assert "the shuffle test alone decides" in words
    assert "log-odds" not in words


def test_a_threshold_with_three_tanks_in_an_arm_says_that_the_method_does_not_decide():
    text = plain_text(sentence(threshold(3, {"R": 10, "C": 20})[1]))
    assert text.startswith("Cannot tell: on which day a threshold is reached, this method does not decide with fewer than 4 tanks")


def test_the_dots_of_a_threshold_are_both_days_and_a_tank_that_never_reached_it_is_open():
    dots = dots_of(threshold(4, {"R": 10, "C": 99})[1])
    assert {(dot.start, dot.place, dot.is_open) for dot in dots} == {(8, 10, False), (None, 42, True)}
    assert dots[-1].unit == "C4, not yet"
