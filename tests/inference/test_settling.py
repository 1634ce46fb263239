"""What would settle a finding: held against other libraries' power and chi-square, and never against the difference that was seen."""

import math
from dataclasses import replace

import pytest

from fairtank.finding import MOST_NEEDED, EarlierTanks
from fairtank.inference import judge
from fairtank.inference.foresight.power import t_multiplier, welch_multiplier
from fairtank.inference.settling import WELCH_OVER_POOLED, settling_of
from fairtank.inference.unfinished import NOT_OVER
from fairtank.trial import Unit
from inference.trials import levels, measure, plan_of

REFERENCE, CHANGED = (10.0, 12.0, 14.0, 12.0), (11.0, 13.0, 15.0, 13.0)
SPREAD = math.sqrt(8 / 3)


def judged(reference=REFERENCE, changed=CHANGED, *, margin=1.5, role="primary", **more):
    return judge(plan_of(len(reference), len(changed), choice=measure("identity", unit="g", margin=margin), **more),
                 levels(reference, changed))[0]


def test_the_number_needed_is_that_of_another_library():
    from statsmodels.stats.power import TTestIndPower

    for margin in (1.2, 1.5, 2.0):
        settling = judged(margin=margin).settling
        exact = TTestIndPower().solve_power(margin / SPREAD, power=0.8, alpha=0.05)
        assert settling.needed - 1 < exact * 1.02 <= settling.needed + 0.4
        assert settling.spread == pytest.approx(SPREAD)


def test_its_range_is_that_of_the_spread():
    from scipy.stats import chi2
    from statsmodels.stats.power import TTestIndPower

    settling = judged(margin=2.4).settling
    assert settling.spread_df == 6
    for count, upper in ((settling.needed_low, 0.1), (settling.needed_high, 0.9)):
        sd = SPREAD * math.sqrt(6 / chi2.isf(upper, 6))
        exact = TTestIndPower().solve_power(2.4 / sd, power=0.8, alpha=0.05)
        assert count - 1 < exact * 1.15
        assert exact <= count


def test_the_difference_that_was_seen_does_not_enter():
    here = judged()
    assert here.grade == "open"
    for shift in (-2.0, 0.3):
        moved = replace(here, estimate=here.estimate + shift, low=here.low + shift, high=here.high + shift)
        assert settling_of(moved) == here.settling


def test_welch_reaches_farther_than_the_pooled_interval_by_the_factors_of_the_table():
    for count, factor in WELCH_OVER_POOLED.items():
        assert welch_multiplier(count, count) / t_multiplier(2.0 * count - 2.0) == pytest.approx(factor, abs=0.001)


@pytest.mark.parametrize(("given", "aim"), [
    ({}, "difference"), ({"margin": None}, "size"), ({"changed": (20.0, 22.0, 24.0, 22.0)}, "repeat"),
    ({"changed": (14.5, 16.5, 18.5, 16.5), "margin": 4.0}, "width"), ({"changed": (13.0,) * 4}, "scale"),
    ({"reference": (10.0,), "changed": (12.0,)}, "difference"),
])
def test_what_is_aimed_at_follows_from_the_grade(given, aim):
    assert judged(**given).settling.aim == aim


def test_a_secondary_measure_and_a_trial_that_is_not_over_are_not_settled():
    here = judged()
    assert settling_of(replace(here, role="secondary")) is None
    assert settling_of(replace(here, grade="spoilt", spoilt_reason=f"{NOT_OVER}: values reach day 3 of 42.")) is None
    assert settling_of(replace(here, grade="spoilt", spoilt_reason="no usable unit in plain")).aim == "again"


def test_scores_that_were_not_blinded_need_no_more_tanks():
    here = replace(judged(changed=(20.0, 22.0, 24.0, 22.0)), grade="open", tags=("not blinded",))
    assert settling_of(here).aim == "blind"


def test_a_trial_that_goes_on_waits_for_its_next_look():
    here = judged()
    assert settling_of(replace(here, facts=(*here.facts, ("looks_left", 1.0)))).aim == "wait"


def test_two_tanks_in_one_arm_alone_are_too_few_to_reckon_from():
    settling = judged((10.0, 12.0), (11.0,)).settling
    assert settling.needed is None
    assert settling.spread_for_three is not None


def test_one_tank_each_says_how_alike_tanks_would_have_to_be():
    settling = judged((10.0,), (12.0,), margin=1.0).settling
    assert settling.needed is None
    sd = settling.spread_for_three
    assert sd * math.sqrt(2 / 3) * welch_multiplier(3, 3) == pytest.approx(1.0, rel=0.001)


def test_without_a_margin_it_tells_what_given_numbers_would_notice():
    settling = judged(margin=None).settling
    assert [count for count, _ in settling.reach] == [3, 6, 12]
    for count, size in settling.reach:
        assert size == pytest.approx(SPREAD * math.sqrt(2 / count) * welch_multiplier(count, count), rel=0.01)


def test_the_spread_of_earlier_tanks_may_be_half_as_much_again():
    here = replace(judged((10.0,), (12.0,)), grade="open", low=-3.0, high=7.0, earlier=EarlierTanks(6, 20.0, 1.5, 1.0))
    settling = settling_of(here)
    assert (settling.spread, settling.spread_basis, settling.spread_df) == (1.0, "earlier tanks", None)
    assert settling.needed_low < settling.needed < settling.needed_high


def test_a_run_in_or_a_swap_needs_fewer_where_tanks_differ_for_good():
    settling = judged().settling
    assert settling.with_swap <= settling.with_run_in < settling.needed


def test_more_than_can_be_told_stops_at_the_largest_number():
    assert judged(margin=0.1).settling.needed == MOST_NEEDED + 1


def test_pairs_are_counted_in_pairs():
    units = tuple(Unit(f"{arm}{place}", arm, pair=str(place)) for arm in "RC" for place in range(1, 5))
    here = judge(plan_of(kind="pairs", units=units, choice=measure("identity", unit="g", margin=1.5)),
                 levels((10.0, 12.0, 14.0, 12.0), (11.0, 11.0, 16.0, 13.5)))[0]
    assert here.settling.sample == "pair"
    sd = dict(here.facts)["spread_of_pairs"]
    wanted = 1.5 / sd
    count = here.settling.needed
    assert t_multiplier(count - 1.0) / math.sqrt(count) <= wanted < t_multiplier(count - 2.0) / math.sqrt(count - 1)


def test_a_swap_is_no_way_out_for_several_arms():
    two = judged()
    assert two.settling.with_swap is not None
    assert settling_of(replace(two, comparisons=2)).with_swap is None
