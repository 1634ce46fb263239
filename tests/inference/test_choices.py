"""From choices between two photos to strengths that the analysis takes: what counts, what is refused, and how honest it is."""

import itertools
import math

import numpy as np
import pytest
from tests.inference.trials import event, measure, plan_of

from fairtank.errors import InputError
from fairtank.inference import judge
from fairtank.inference.earlier.borrowing import entries_of
from fairtank.inference.eyes.bridges import FARTHEST, MOST_BRIDGED, bridging, is_one_sided, unseen_variance
from fairtank.inference.eyes.choices import SeenChoice, chosen_series
from fairtank.inference.eyes.preferences import Choice, _fitted, _with_borrowed, strengths_from_wins
from fairtank.inference.intervals.welch import welch
from fairtank.trial import MeasureChoice, SpreadEntry

PICKED = MeasureChoice("more_algae", "primary", title="Algae")


def plan(n=3, **more):
    return plan_of(n, n, measures=(more.pop("choice", PICKED),), **{"blinded": True, **more})


def seen(rater, one, other, more, *, day=40, day_b=None):
    day_b = day if day_b is None else day_b
    return SeenChoice(rater, f"{one}-{day}", f"{other}-{day_b}", one, other, day, day_b, more)


def all_pairs(strengths, *, people="ABC", days=(36, 40), seed=1):
    """Every two units by every person on every day, answered by chance with the odds that the strengths give."""
    draw = np.random.default_rng(seed)
    found = []
    for who, day, (one, other) in itertools.product(people, days, itertools.combinations(strengths, 2)):
        odds = 1 / (1 + math.exp(strengths[other] - strengths[one]))
        found.append(seen(who, one, other, "a" if draw.random() < odds else "b", day=day))
    return found


STRONG = {"R1": 1.6, "R2": 1.2, "R3": 1.4, "C1": -1.3, "C2": -1.5, "C3": -1.4}


def test_strengths_are_the_units_numbers_and_the_difference_of_arms_is_judged():
    answers = all_pairs(STRONG)
    (found,) = judge(plan(), chosen_series(plan(), PICKED, answers))
    ranked = {one.unit: one.strength for one in found.eyes.ranking}
    assert {unit.unit: unit.z for unit in found.units} == pytest.approx(ranked)
    arms = {arm: np.mean([ranked[f"{arm}{place}"] for place in (1, 2, 3)]) for arm in "RC"}
    assert found.estimate == pytest.approx(arms["C"] - arms["R"])
    assert (found.grade, found.basis, found.scale) == ("differs", "own tanks", "identity")
    assert (found.eyes.kind, found.eyes.use, found.eyes.raters, found.eyes.answers) == ("choices", "use", 3, 90)
    assert found.reading_day is None
    assert not any("One reading day" in text for text in found.cautions)


def test_the_ranking_never_stands_without_the_places_that_each_tank_may_hold():
    (found,) = judge(plan(), chosen_series(plan(), PICKED, all_pairs(STRONG)))
    assert [one.place for one in found.eyes.ranking] == sorted(one.place for one in found.eyes.ranking)
    assert all(one.best <= one.place <= one.worst and one.low < one.strength < one.high for one in found.eyes.ranking)


def test_several_photos_of_a_tank_are_still_one_tank():
    (one,) = [series for series in chosen_series(plan(), PICKED, all_pairs(STRONG, days=(30, 33, 36, 40))) if series.unit == "R1"]
    assert (one.days, len(one.values), one.ready_made, one.scored) == ((40,), 1, True, True)


@pytest.mark.parametrize(("extra", "said"), [
    (seen("A", "C1", "R1", "a"), "1 choice was not counted: the same person had chosen between these two photos before."),
    (seen("A", "R1", "C1", "a", day=50), "1 choice was not counted: a photo lies outside the window or on a day that an event takes out."),
    (seen("A", "R1", "C1", "a", day=12), "1 choice was not counted: a photo lies outside the window or on a day that an event takes out."),
    (seen("A", "R1", "C1", "b", day=20, day_b=40),
     "1 choice was not counted: the two photos were taken more than 7 days apart and show two ages, not two tanks."),
    (SeenChoice("A", "R1-40", "R1-36", "R1", "R1", 40, 36, "a"), "1 choices between two photos of one tank were not counted."),
])
def test_choices_that_say_nothing_about_two_tanks_are_set_aside_and_told(extra, said):
    answers, events = all_pairs(STRONG), (event(["C1"], 10, 14, "exclude_window"),)
    plain, more = (chosen_series(plan(), PICKED, given, events) for given in (answers, [*answers, extra]))
    assert [one.values for one in plain] == [one.values for one in more]
    assert said in more[0].eyes.cautions


def test_one_person_alone_gets_a_caution_and_no_interval_over_people():
    (found,) = judge(plan(), chosen_series(plan(), PICKED, all_pairs(STRONG, people="A")))
    assert found.eyes.use == "not known"
    assert any("One person chose" in text and "a second person" in text for text in found.cautions)
    assert all(one.low is None for one in found.eyes.ranking)


def test_a_tank_that_was_picked_always_is_placed_with_half_a_choice_lent_and_it_is_said():
    answers = [seen(who, one, other, "a") for who in "ABC" for one, other in itertools.combinations(STRONG, 2)]
    (found,) = judge(plan(), chosen_series(plan(), PICKED, answers))
    assert math.isfinite(found.estimate)
    assert any("half a choice each way was lent" in text for text in found.cautions)


def test_tanks_that_were_never_compared_with_the_others_are_not_judged():
    answers = [seen(who, one, other, "a") for who in "AB" for one, other in (("R1", "R2"), ("C1", "C2"))]
    (found,) = judge(plan(), chosen_series(plan(), PICKED, answers))
    assert (found.grade, found.eyes.use) == ("spoilt", "display only")
    assert found.spoilt_reason.startswith("Some units were never compared with the others")


def test_a_bridge_of_few_choices_between_the_arms_is_not_judged():
    inside = [pair for pair in itertools.combinations(STRONG, 2) if pair[0][0] == pair[1][0]]
    answers = [seen(who, one, other, "a" if turn % 2 else "b") for turn, (who, (one, other)) in
               enumerate(itertools.product("ABC", [*inside, ("R1", "C1")]))]
    (found,) = judge(plan(), chosen_series(plan(), PICKED, answers))
    assert (found.grade, found.eyes.use) == ("spoilt", "display only")
    assert found.spoilt_reason.startswith("Too few choices set a tank of one arm against a tank of the other")
    assert len(found.eyes.ranking) == 6


@pytest.mark.parametrize(("kind", "summary"), [("side_by_side", "slope"), ("side_by_side", "threshold")])
def test_choices_have_one_strength_and_serve_no_other_summary(kind, summary):
    choice = MeasureChoice("more_algae", "primary", summary=summary, threshold=0.5)
    (found,) = judge(plan(choice=choice, kind=kind), chosen_series(plan(choice=choice, kind=kind), choice, all_pairs(STRONG)))
    assert found.grade == "spoilt"
    assert found.spoilt_reason.startswith("Choices between photos give each tank one strength over all days")
    assert found.spoilt_reason.endswith("What would settle it: scores of single photos, which serve every design")


def test_choices_that_were_not_blinded_stay_open():
    (found,) = judge(plan(blinded=False), chosen_series(plan(), PICKED, all_pairs(STRONG)))
    assert (found.grade, "not blinded" in found.tags) == ("open", True)


def test_strengths_neither_borrow_a_spread_nor_lend_one():
    earlier = tuple(SpreadEntry("more_algae", "identity", "mean", "", "", 0.01, 4.0, f"trial {number}") for number in range(6))
    two = {unit: STRONG[unit] for unit in ("R1", "R2", "C1", "C2")}
    series = chosen_series(plan(2), PICKED, all_pairs(two))
    assert judge(plan(2), series, earlier=earlier) == judge(plan(2), series)
    assert entries_of(plan(), judge(plan(), chosen_series(plan(), PICKED, all_pairs(STRONG)))) == ()


def test_an_answer_that_is_none_is_refused():
    with pytest.raises(InputError, match="more is left; accepted: a, b, same"):
        chosen_series(plan(), PICKED, [seen("A", "R1", "C1", "left")])


def test_bridging_is_1_for_all_pairs_and_grows_as_fewer_cross():
    units = [unit.key for unit in plan().units]
    inside = [pair for pair in itertools.combinations(units, 2) if pair[0][0] == pair[1][0]]
    across = [(one, other) for one in units[:3] for other in units[3:]]
    found = [bridging(plan(), [Choice("A", *pair, "a") for pair in [*inside, *across[:count]]]) for count in (9, 6, 3, 1)]
    assert found[0] == pytest.approx(1.0)
    assert sorted(found) == found
    assert found[2] > MOST_BRIDGED > found[0]


def test_bridging_uses_the_covariance_of_alike_tanks():
    # Answers half and half: the fitted strengths are all 0, so that the covariance of the fit is the one meant.
    units = [unit.key for unit in plan().units]
    pairs = [*itertools.combinations(units, 2), ("R1", "R2"), ("R1", "C3")]
    wins = np.zeros((6, 6))
    for one, other in pairs:
        wins[units.index(one), units.index(other)] += 0.5
        wins[units.index(other), units.index(one)] += 0.5
    spread = np.array(strengths_from_wins(units, wins.tolist()).covariance)
    weights = np.array([1 / 3] * 3 + [-1 / 3] * 3)
    blocks = [spread[:3, :3], spread[3:, 3:]]
    inside = sum((np.trace(block) - (block.sum() - np.trace(block)) / 2) / 9 for block in blocks)
    assert bridging(plan(), [Choice("A", *pair, "same") for pair in pairs]) == pytest.approx(weights @ spread @ weights / inside)


def test_the_scatter_inside_the_arms_shows_all_that_chance_does_to_alike_tanks_and_less_where_one_arm_wins():
    units = [unit.key for unit in plan().units]
    pairs = [*itertools.combinations(units, 2)]
    alike = [Choice("A", *pair, "a" if turn % 2 else "b") for pair in pairs for turn in range(20)]
    ahead = [Choice("A", one, other, "b" if turn == 0 or (turn % 2 and one[0] == other[0]) else "a") for one, other in pairs
             for turn in range(20)]
    assert unseen_variance(plan(), alike) == pytest.approx(0.0, abs=1e-9)
    assert unseen_variance(plan(), ahead) > 0.05
    assert not is_one_sided(plan(), ahead)
    assert is_one_sided(plan(), [one for one in ahead if not (one.unit_a[0] != one.unit_b[0] and one.more == "b")])
    assert not is_one_sided(plan(), [Choice("A", "R1", "C1", "a"), Choice("A", "R2", "C2", "same")])


def test_an_interval_is_widened_by_what_the_scatter_inside_the_arms_does_not_show():
    strengths = {unit: 2.5 if unit[0] == "R" else 0.0 for unit in STRONG}
    (found,) = judge(plan(), chosen_series(plan(), PICKED, all_pairs(strengths, people="ABCD")))
    z = {arm: tuple(unit.z for unit in found.units if unit.arm == arm) for arm in "RC"}
    bare = welch(z["R"], z["C"], alpha=0.05, scale="identity")
    assert found.eyes.unseen_variance > 0
    assert not found.eyes.one_sided
    reach = (bare.high - bare.low) / 2 / math.sqrt(sum(np.var(own, ddof=1) / 3 for own in z.values()))
    error = math.sqrt(sum(np.var(own, ddof=1) / 3 for own in z.values()) + found.eyes.unseen_variance)
    assert (found.high - found.low) / 2 == pytest.approx(reach * error)
    level = found.natural.reference
    assert (found.natural.low, found.natural.high) == pytest.approx((level + found.low, level + found.high))
    assert found.p_value > bare.p_value
    assert any("the interval was widened for it" in text for text in found.cautions)


def test_where_every_choice_between_the_arms_goes_one_way_the_far_end_is_put_at_999_of_1000():
    answers = all_pairs({unit: 40.0 if unit[0] == "R" else 0.0 for unit in STRONG})
    (found,) = judge(plan(), chosen_series(plan(), PICKED, answers))
    assert found.eyes.one_sided
    assert found.low <= -FARTHEST
    assert any("999 of 1000 choices" in text for text in found.cautions)


def claims(n, *, tank_sd, cross=None, effect=0.0, trials=1500, seed=20):
    """Share of simulated trials in which Welch's interval over the strengths leaves out 0: three people, every pair once by each."""
    draw, size = np.random.default_rng(seed), 2 * n
    pairs = list(itertools.combinations(range(size), 2))
    inside = [pair for pair in pairs if (pair[0] < n) == (pair[1] < n)]
    wins = np.zeros((trials, size, size))
    for trial in range(trials):
        tanks = draw.normal(0, tank_sd, size) + np.repeat([0.0, effect], n)
        for _ in range(3):
            taste = tanks + draw.normal(0, 0.3, size)
            across = [pair for pair in pairs if pair not in inside]
            asked = pairs if cross is None else [*inside, *(across[k] for k in draw.choice(len(across), cross, replace=False))]
            for one, other in asked:
                first = draw.random() < 1 / (1 + math.exp(taste[other] - taste[one]))
                wins[trial, one, other] += first
                wins[trial, other, one] += 1 - first
    found = [welch(tuple(row[:n]), tuple(row[n:]), alpha=0.05, scale="identity") for row in _fitted(_with_borrowed(wins)[0])[0]]
    return sum(one.low is not None and not one.low <= 0 <= one.high for one in found) / trials


@pytest.mark.parametrize("tank_sd", [0.0, 1.0, 2.0])
def test_strengths_of_balanced_choices_claim_falsely_in_at_most_5_of_100_trials(tank_sd):
    assert claims(3, tank_sd=tank_sd) <= 0.05 + 2 * math.sqrt(0.05 * 0.95 / 1500)


def test_without_the_rule_on_bridges_few_crossing_choices_would_claim_too_often():
    assert claims(3, tank_sd=0.0, cross=1) > 0.08


def test_a_measure_with_a_scale_of_its_own_is_compared_on_strengths_as_they_are():
    choice = measure("identity", key="more_algae", unit="")
    (found,) = judge(plan(choice=choice), chosen_series(plan(choice=choice), choice, all_pairs(STRONG)))
    assert found.scale == "identity"
