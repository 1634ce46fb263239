"""What a plan could show: held against simulated trials and against itself."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fairtank.errors import DesignError, OutOfRangeError
from fairtank.inference.designs.drawn_start import drawn_start
from fairtank.inference.earlier.classes import window_class
from fairtank.inference.foresight.borrowed_power import borrowed_power, supposed_power
from fairtank.inference.foresight.drawn_start_power import drawn_start_difference, two_tank_differences
from fairtank.inference.foresight.layouts import Layout
from fairtank.inference.foresight.many_arms_power import ladder_difference, several_arms_difference, two_changes_difference
from fairtank.inference.foresight.showing import Prices, marked_best, show, spent
from fairtank.inference.foresight.smallest import arms_difference, pairs_difference
from fairtank.inference.foresight.spread_parts import NEW_TANKS, SETTLED_TANKS, mean_weighing
from fairtank.inference.intervals.welch import welch
from fairtank.trial import Arm, Unit
from inference.test_like_spread import entries
from inference.test_spread_parts import days_of
from inference.trials import looks, measure, plan_of


def by_key(showing):
    return {one.key: one for one in showing.designs}


def test_the_plan_itself_follows_the_formula():
    showing = show(plan_of(3, 3))
    assert showing.plan.difference == pytest.approx(arms_difference(showing.spread.sd, 3, 3))
    odds = math.exp(showing.plan.difference) * 10 / 90
    assert showing.plan.noticed.more == pytest.approx(100 * odds / (1 + odds))
    assert showing.plan.way == "formula"


def test_trials_with_that_difference_are_found_eight_times_in_ten():
    """The whole chain on simulated days: run-in, time-weighted means, Welch."""
    choice = measure(summary="change")
    showing = show(plan_of(3, 3, kind="run_in", run_in_days=14, days=56, choice=choice), tanks="settled")
    trials, run_in = 700, mean_weighing(14, 56, (0, 13))
    values = days_of(SETTLED_TANKS, 57, 14, np.random.default_rng(21), tanks=6 * trials)
    z = (values[:, list(run_in.days)] @ np.array(run_in.weights)).reshape(trials, 6)
    found = 0
    for row in z.tolist():
        interval = welch(row[:3], [value + showing.plan.difference for value in row[3:]], alpha=0.05)
        found += interval.low > 0 or interval.high < 0
    assert found / trials == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / trials) + 0.02)


@pytest.mark.parametrize("expect", ["more", "less", "either"])
def test_a_drawn_start_with_that_difference_is_found_eight_times_in_ten(expect):
    layout = by_key(show(plan_of(3, 3, expect=expect)))["drawn_start"].layout
    size = drawn_start_difference(layout, NEW_TANKS, expect=expect, full_after_d=42.0)
    rng, trials, found = np.random.default_rng(22), 300, 0
    first, last = layout.start_window
    for gaps in two_tank_differences(NEW_TANKS, 43, trials, rng):
        day = int(rng.integers(first, last + 1))
        step = (-size if expect == "less" else size) * (np.arange(43) >= day)
        found += drawn_start(range(43), gaps + step, np.zeros(43), start_window=(first, last), drawn_day=day,
                             direction=expect).grade == "differs"
    assert found / trials == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / trials) + 0.02)


def test_a_simulated_answer_is_the_same_every_time():
    layout = Layout("drawn_start", 1, 1, 0, 42, start_window=(14, 27))
    first, second = (drawn_start_difference(layout, NEW_TANKS, expect="more", full_after_d=42.0) for _ in range(2))
    assert first == second


def test_a_drawn_start_scales_with_the_spread():
    layout = Layout("drawn_start", 1, 1, 0, 42, start_window=(14, 27))
    small, large = (drawn_start_difference(layout, NEW_TANKS if factor == 1 else replace(
        NEW_TANKS, lasting_drift_sd=0.02, period_drift_sd=0.014, day_sd=0.5, photo_sd=0.24), expect="more", full_after_d=42.0)
        for factor in (1, 2))
    assert large == pytest.approx(2 * small, rel=0.1)  # another seed: two answers of 2000 trials each


def test_one_tank_per_arm_finds_nothing_by_itself_and_three_would():
    found = by_key(show(plan_of(1, 1)))
    for key in ("plan", "run_in", "swap", "weeks"):
        assert (found[key].difference, found[key].noticed, found[key].way) == (None, None, "none")
        assert found[key].reason == "one tank in an arm cannot tell how far like tanks differ"
    assert found["three"].difference < found["tank"].difference
    assert found["drawn_start"].way == "simulation"


def test_enough_earlier_trials_carry_one_tank_per_arm():
    found = by_key(show(plan_of(1, 1), entries=entries([0.04] * 6), tank_litres=54.0))
    told = borrowed_power([0.04] * 6, [2.0] * 6, 0.2, 1, 1)
    assert (found["plan"].way, found["plan"].difference) == ("borrowed spread", pytest.approx(told.difference))
    assert found["plan"].half_width == pytest.approx(told.half_width)
    assert (found["tank"].way, found["three"].way) == ("borrowed spread", "formula")
    assert (found["weeks"].way, found["swap"].way) == ("none", "none")  # other windows and summaries need entries of their own


def test_entries_of_an_alternative_help_that_alternative():
    changes = entries([0.02] * 5, summary="change", window_class=window_class(43, run_in_days=14))
    found = by_key(show(plan_of(1, 1), entries=[*entries([0.04] * 6), *changes], tank_litres=54.0))
    assert (found["run_in"].way, found["run_in"].with_earlier) == ("borrowed spread", None)
    assert found["run_in"].difference == pytest.approx(borrowed_power([0.02] * 5, [2.0] * 5, math.sqrt(0.02), 1, 1).difference)


def test_without_enough_earlier_trials_it_is_worked_out_what_five_would_do():
    found = by_key(show(plan_of(1, 1, expect="more"), sd=0.3))
    size = 0.3 * supposed_power(1, 1).difference
    assert found["plan"].with_earlier.more == pytest.approx(100 / (1 + 9 * math.exp(-size)))
    assert found["tank"].with_earlier.more < found["tank"].noticed.more
    assert (found["three"].with_earlier, found["drawn_start"].with_earlier) == (None, None)
    assert by_key(show(plan_of(1, 1, earlier_tanks=False), sd=0.3))["plan"].with_earlier is None


def test_a_plan_that_lets_no_earlier_tanks_help_borrows_nothing():
    showing = show(plan_of(1, 1, earlier_tanks=False), entries=entries([0.04] * 6), tank_litres=54.0)
    assert (showing.plan.way, showing.may_borrow, showing.spread.origin) == ("none", False, "earlier trials")


@pytest.mark.parametrize("tanks", ["new", "settled"])
def test_one_more_tank_and_a_swap_find_smaller_differences(tanks):
    found = by_key(show(plan_of(2, 2), tanks=tanks))
    assert found["tank"].difference < found["plan"].difference
    assert found["swap"].difference < found["run_in"].difference < found["plan"].difference
    assert found["tank_run_in"].difference < min(found["tank"].difference, found["run_in"].difference)


def test_the_range_follows_the_spread():
    plan = show(plan_of(3, 3)).plan
    assert (plan.low, plan.high) == (pytest.approx(plan.difference / 1.5), pytest.approx(plan.difference * 1.5))
    assert plan.noticed_low.more < plan.noticed.more < plan.noticed_high.more
    assert plan.noticed_low.less > plan.noticed.less > plan.noticed_high.less


def test_an_effect_that_builds_up_is_told_for_the_last_day():
    showing = show(plan_of(3, 3, choice=measure(summary="slope")))
    assert (showing.shape, showing.full_after_d) == ("builds up", 42.0)
    assert showing.plan.difference == pytest.approx(42 * arms_difference(showing.spread.sd, 3, 3))


def test_pairs_and_rounds_have_their_own_formula():
    units = tuple(Unit(f"{arm}{number}", arm, pair=str(number)) for number in range(4) for arm in "RC")
    showing = show(plan_of(kind="pairs", units=units))
    assert showing.plan.difference == pytest.approx(pairs_difference(math.sqrt(2) * showing.spread.sd, 4))
    few = show(plan_of(kind="pairs", units=units[:4])).plan
    assert (few.difference, few.reason) == (None, "fewer than 3 pairs cannot tell how far like pairs differ")
    rounds = tuple(Unit(f"{arm}{number}", arm, tank=arm, round=str(number)) for number in range(4) for arm in "RC")
    assert show(plan_of(kind="rounds", units=rounds, days=111, round_days=28)).plan.difference > 0
    assert show(plan_of(kind="rounds", units=rounds[:6], days=83, round_days=28)).plan.reason.startswith("fewer than 4 rounds")


def several(sizes, kind="side_by_side", doses=None, **more):
    keys = "RABC"[: len(sizes)]
    arms = tuple(Arm(key, "changed" if key != "R" else "reference", dose=None if doses is None else doses[place])
                 for place, key in enumerate(keys))
    units = tuple(Unit(f"{key}{number}", key) for key, size in zip(keys, sizes, strict=True) for number in range(size))
    return replace(plan_of(units=units, kind=kind, **more), arms=arms)


def test_several_arms_a_ladder_and_two_changes_have_their_own_formula():
    at_once, pairwise = (show(several((4, 4, 4), compare=compare)) for compare in ("reference", "all"))
    assert at_once.plan.difference == pytest.approx(at_once.spread.sd * several_arms_difference((4, 4, 4)))
    assert pairwise.plan.difference == pytest.approx(at_once.spread.sd * several_arms_difference((4, 4, 4), all_pairs=True))
    ladder = show(several((3, 3, 3), "ladder", (0.0, 5.0, 10.0)))
    assert ladder.plan.difference == pytest.approx(ladder.spread.sd * ladder_difference((3, 3, 3), (0.0, 5.0, 10.0)))
    crossed = show(several((2, 2, 2, 2), "two_changes"))
    assert crossed.plan.difference == pytest.approx(crossed.spread.sd * two_changes_difference((2, 2, 2, 2)))
    for showing in (at_once, ladder, crossed):
        assert by_key(showing)["two_arms"].tanks == showing.plan.tanks
        assert by_key(showing)["tank"].difference < showing.plan.difference
    alone = show(several((1, 1, 1))).plan
    assert (alone.difference, alone.reason) == (None, "one tank in an arm cannot tell how far like tanks differ")


def test_prices_decide_what_is_best():
    by_days, by_tanks = (show(plan_of(3, 3), prices=prices) for prices in (Prices(0.0, 1.0), Prices(100.0, 1.0)))
    assert by_key(by_tanks)["plan"].cost == 642
    assert by_key(by_days)["tank"].cost == by_key(by_days)["plan"].cost
    assert not by_key(by_days)["plan"].best
    for showing in (by_days, by_tanks):
        kept = sorted((one for one in showing.designs if one.best), key=spent)
        assert [one.difference for one in kept] == sorted((one.difference for one in kept), reverse=True)
        assert not by_key(showing)["drawn_start"].best


def test_a_design_is_best_when_none_is_as_cheap_and_finds_less():
    a, b, c = show(plan_of(3, 3), prices=Prices(1.0, 0.0)).designs[:3]
    designs = [replace(one, cost=cost, difference=size) for one, cost, size in ((a, 1.0, 2.0), (b, 2.0, 1.0), (c, 2.0, 1.5))]
    assert [one.best for one in marked_best(designs)] == [True, True, False]


def test_planned_looks_find_less_early_and_the_last_one_is_the_plan():
    showing = show(plan_of(4, 4, looks=looks((14, 28, 42), (0.005, 0.010, 0.035))))
    sizes = [look.difference for look in showing.looks]
    assert sizes[0] > sizes[1] > sizes[2]
    assert sizes[2] == pytest.approx(showing.plan.difference)
    assert showing.plan.difference > show(plan_of(4, 4)).plan.difference


@pytest.mark.parametrize(("scale", "reference", "shown"), [("log", None, 100.0), ("log", 5.0, 5.0), ("identity", None, None)])
def test_the_reference_depends_on_the_scale(scale, reference, shown):
    showing = show(plan_of(3, 3, choice=measure(scale)), reference=reference, sd=0.2)
    assert (showing.reference, showing.is_relative) == (shown, scale == "log" and reference is None)
    if scale == "identity":
        assert showing.plan.noticed.more == showing.plan.difference == -showing.plan.noticed.less


def test_the_progress_ends_with_all_designs():
    told = []
    showing = show(plan_of(2, 2), progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (len(showing.designs),) * 2


@pytest.mark.parametrize(("make", "error", "message"), [
    (lambda: show(plan_of(3, 3), reference=0.0), OutOfRangeError, "the reference level is 0.0; accepted: 0.2 to 99.8 % for cover"),
    (lambda: show(plan_of(3, 3), reference=math.nan), OutOfRangeError, "the reference level is nan"),
    (lambda: show(plan_of(3, 3, choice=measure("log")), reference=-1.0), OutOfRangeError, "accepted: a number above 0 for cover"),
    (lambda: show(plan_of(3, 3, choice=measure(summary="threshold"))), DesignError, "cover is judged by the day on which a level is first"),
    (lambda: show(plan_of(3, 3, choice=measure(role="secondary"))), DesignError, "The plan names no primary measure"),
    (lambda: show(plan_of(3, 3), power=1.2), OutOfRangeError, "power is 1.2"),
    (lambda: Prices(-1.0, 0.0), OutOfRangeError, "per_tank is -1.0; accepted: 0 or more"),
    (lambda: drawn_start_difference(Layout("swap", 1, 1, 0, 9), NEW_TANKS, expect="less", full_after_d=1.0), DesignError,
     "A drawn start needs the window of days"),
])
def test_what_cannot_be_shown_is_refused(make, error, message):
    with pytest.raises(error, match=message):
        make()
