"""People as the instrument: what their agreement lets a finding say."""

from dataclasses import replace

import pytest
from tests.inference.trials import measure, plan_of

from fairtank.finding import Eyes
from fairtank.inference import judge
from fairtank.inference.eyes.eyes import eyes_of_scores, higher_share, scored_series
from fairtank.inference.eyes.raters import Rating
from fairtank.trial import MeasureChoice

SCORE = MeasureChoice("by_eye", "primary", margin=0.5, title="Algae score")
DAYS = range(0, 43, 6)
# How far each person is off on the photos, in turn: people who agree, who agree moderately, and who do not.
AGREE, MODERATE, APART = (0, 0, 0, 0), (0, 3, -3, 0), (0, 4, -4, 3)


def ratings(off, *, people="PQ", changed=(3, 4, 3), reference=(7, 8, 7)):
    """Scores of three tanks in each arm, over the days; the second person is off by the list, in turn."""
    levels = {f"{arm}{place}": level for arm, own in (("R", reference), ("C", changed)) for place, level in enumerate(own, 1)}
    found, turn = [], 0
    for unit, level in levels.items():
        for day in DAYS:
            for place, who in enumerate(people):
                shift = off[turn % len(off)] * place
                found.append(Rating(f"{unit}-{day}.jpg", unit, day, who, float(level + day // 20 + shift)))
            turn += 1
    return found


def judged(scores, **more):
    plan = plan_of(3, 3, measures=(SCORE,), **{"blinded": True, **more})
    return judge(plan, scored_series(scores, "by_eye"))[0]


def test_people_who_agree_are_judged_and_the_finding_carries_their_agreement():
    found = judged(ratings(AGREE))
    assert found.grade == "matters"
    assert (found.eyes.kind, found.eyes.use, found.eyes.raters, found.eyes.photos, found.eyes.alpha) == ("scores", "use", 2, 48, 1.0)
    assert "raters differ" not in found.tags
    assert dict(found.facts)["higher_share"] == 0.0
    assert {"krippendorff2011", "krippendorff_cutoffs"} <= set(found.sources)


def test_people_who_agree_moderately_are_judged_with_a_tag():
    found = judged(ratings(MODERATE))
    assert 0.667 <= found.eyes.alpha < 0.80
    assert (found.eyes.use, found.grade) == ("raters differ", "matters")
    assert "raters differ" in found.tags


def test_people_who_do_not_agree_are_shown_and_not_judged():
    found = judged(ratings(APART))
    assert (found.eyes.use, found.grade, found.basis) == ("display only", "spoilt", "none")
    assert (found.estimate, found.low, found.p_value, found.natural, found.alternatives) == (None, None, None, None, ())
    assert found.spoilt_reason.startswith("The 2 people agree at ")
    assert "that is too little to judge by, so the scores are shown only. What would settle it: clearer steps" in found.spoilt_reason
    assert all(unit.z is not None for unit in found.units)


def test_one_person_alone_is_judged_with_a_caution():
    found = judged(ratings(AGREE, people="P"))
    assert (found.eyes.use, found.eyes.alpha, found.grade) == ("not known", None, "matters")
    assert ("One person scored: nothing shows whether others would see the same. What would settle it: a second person who scores the same "
            "photos, with tank and day hidden.") in found.cautions


def test_scores_that_were_not_blinded_stay_open_whatever_the_interval_says():
    found = judged(ratings(AGREE), blinded=False)
    assert found.high < -0.5
    assert (found.grade, "not blinded" in found.tags) == ("open", True)


def test_a_second_score_of_a_photo_changes_self_agreement_and_nothing_else():
    first = ratings(AGREE)
    again = [*first, *(replace(one, value=one.value + 1) for one in first if one.rater == "P" and one.day == 6)]
    once, twice = judged(first), judged(again)
    (own,) = twice.eyes.alone
    assert (own.rater, own.repeats, own.same_share) == ("P", 6, 0.0)
    assert once.units == twice.units
    assert (once.eyes.alpha, once.low) == (twice.eyes.alpha, twice.low)


def test_several_photos_of_one_day_become_their_median():
    more = [Rating(f"R1-0{extra}.jpg", "R1", 0, who, value) for extra, value in (("b", 7.0), ("c", 40.0)) for who in "PQ"]
    plain, crowded = (next(unit for unit in judged(scores).units if unit.unit == "R1") for scores in
                      (ratings(AGREE), [*ratings(AGREE), *more]))
    assert plain.z == crowded.z


def test_a_mild_person_who_saw_one_arm_more_does_not_move_the_arms_apart():
    # Q gives two steps less; without balance the changed arm, which Q saw more of, would look better.
    alike = {f"{arm}{place}": 6 for arm in "RC" for place in (1, 2, 3)}
    scores = [Rating(f"{unit}-{day}.jpg", unit, day, who, float(level + place + (-2 if who == "Q" else 0)))
              for place, (unit, level) in enumerate(alike.items()) for day in DAYS for who in "PQ"
              if who == "Q" or unit[0] == "R" or day == 0]
    found = {one.unit: one.values for one in scored_series(scores, "by_eye")}
    assert found["C1"] == pytest.approx((6 + 3 - 1,) * len(DAYS))
    assert "Not everyone scored every photo: each person's mildness was taken out, as the same number of steps on every photo." in \
        eyes_of_scores(scores).cautions


def test_people_who_share_no_photo_get_a_caution():
    scores = [Rating("a", "R1", 0, "P", 5.0), Rating("b", "C1", 0, "Q", 3.0)]
    assert any("a mild person may favour a tank" in text for text in eyes_of_scores(scores).cautions)


def test_the_share_of_pairs_counts_ties_half_and_needs_two_groups():
    found = judged(ratings(AGREE, changed=(3, 7, 9), reference=(7, 7, 7)))
    # 3 loses to all three, 7 ties with all three, 9 wins against all three.
    assert higher_share(found) == pytest.approx((0 + 1.5 + 3) / 9)
    assert higher_share(replace(found, design="pairs")) is None
    assert higher_share(replace(found, summary="swap")) is None


def test_the_share_is_the_effect_that_brunner_and_munzel_test():
    from scipy.stats import mannwhitneyu

    found = judged(ratings(AGREE, changed=(3, 7, 9), reference=(7, 8, 7)))
    z = {arm: [unit.z for unit in found.units if unit.arm == arm] for arm in "RC"}
    assert higher_share(found) == pytest.approx(mannwhitneyu(z["C"], z["R"]).statistic / 9)


def test_a_secondary_measure_that_is_shown_only_does_not_hold_up_the_primary_one():
    plan = plan_of(3, 3, measures=(SCORE, measure("identity", key="other", role="secondary")), blinded=True)
    good = scored_series(ratings(AGREE), "by_eye")
    bad = tuple(replace(one, measure="other") for one in scored_series(ratings(APART), "other"))
    first, second = judge(plan, (*good, *bad))
    assert (first.grade, second.grade) == ("matters", "spoilt")
    assert isinstance(second.eyes, Eyes)


def test_scores_of_a_plan_that_is_still_running_say_so_and_carry_the_people():
    found = judged([one for one in ratings(AGREE) if one.day <= 12])
    assert found.grade == "spoilt"
    assert found.eyes.use == "use"
