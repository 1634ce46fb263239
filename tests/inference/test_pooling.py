"""Several trials of one question: against printed results and other programs, and what must hold whatever the trials are."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from checking import every
from fairtank.errors import DesignError, InputError, NotEnoughDataError, OutOfRangeError
from fairtank.inference.judging import compare
from fairtank.inference.pooling import TrialResult, combined, paule_mandel, pool, standard_error, trial_result
from inference.trials import levels, measure, plan_of
from inference.worked.data import bcg

NORMAL = 1.959963984540054


def trials_of(estimates, variances, **more):
    halves = [NORMAL * math.sqrt(variance) for variance in variances]
    return [TrialResult(f"trial {index}", estimate, estimate - half, estimate + half, **more)
            for index, (estimate, half) in enumerate(zip(estimates, halves, strict=True))]


def test_thirteen_trials_have_a_verdict_on_twelve_degrees_of_freedom():
    found = pool(trials_of(*bcg()))
    assert (found.df, found.grade) == (12, "differs")


def other_pool(estimates, variances):
    from statsmodels.stats.meta_analysis import combine_effects

    found = combine_effects(np.array(estimates), np.array(variances), method_re="iterated", use_t=True, atol=1e-12)
    # It says so of the single trials' intervals, which are not looked at here.
    with pytest.warns(Warning, match="requires `nobs`"):
        return found.tau2, found.summary_frame().loc["random effect wls"]


@pytest.mark.parametrize("seed", range(8))
def test_trials_that_differ_pool_as_in_statsmodels(seed):
    generator = np.random.default_rng(seed)
    variances = generator.uniform(0.02, 0.5, size=3 + seed).tolist()
    estimates = (np.linspace(-2, 2, 3 + seed) + generator.normal(scale=0.3, size=3 + seed)).tolist()
    tau2, row = other_pool(estimates, variances)
    found = pool(trials_of(estimates, variances))
    assert tau2 > 0
    assert found.tau2 == pytest.approx(tau2, rel=1e-6)
    assert (found.estimate, found.low, found.high) == pytest.approx((row["eff"], row["ci_low"], row["ci_upp"]), rel=1e-6)


def test_three_trials_that_scatter_too_little_are_not_made_surer_by_it():
    estimates, variances = [0.50, 0.51, 0.52], [0.04, 0.05, 0.06]
    found = pool(trials_of(estimates, variances))
    assert found.tau2 == 0
    # Student's t with 2 degrees of freedom on the plain fixed-effect error: the factor below 1 is not taken.
    error = 1 / math.sqrt(sum(1 / variance for variance in variances))
    assert found.high - found.estimate == pytest.approx(4.302652729911275 * error, rel=1e-9)
    _, row = other_pool(estimates, variances)
    assert row["ci_upp"] - row["eff"] < 0.1 * (found.high - found.estimate)
    assert (found.prediction_low, found.prediction_high) == (found.low, found.high)


ESTIMATES = st.lists(st.floats(-5, 5).map(lambda value: round(value, 3)), min_size=3, max_size=9)
SEEDS = st.integers(0, 10_000)


def variances_for(estimates, seed):
    return np.random.default_rng(seed).uniform(0.05, 1.0, size=len(estimates)).tolist()


@settings(max_examples=40)
@given(ESTIMATES, SEEDS)
def test_under_tau2_the_trials_scatter_just_as_much_as_expected(estimates, seed):
    variances = variances_for(estimates, seed)
    tau2 = paule_mandel(estimates, variances)
    scatter = combined(estimates, variances, tau2).scatter
    assert scatter == pytest.approx(1, rel=1e-9) if tau2 > 0 else scatter <= 1 + 1e-12


@settings(max_examples=40)
@given(st.floats(-5, 5), st.integers(3, 9), SEEDS)
def test_tau2_is_zero_for_trials_that_all_found_the_same(estimate, trials, seed):
    found = pool(trials_of([estimate] * trials, variances_for([estimate] * trials, seed)))
    assert (found.tau2, found.q) == (0, pytest.approx(0, abs=1e-12))
    assert found.estimate == pytest.approx(estimate, abs=1e-9)


@settings(max_examples=40)
@given(st.floats(0.1, 3), ESTIMATES)
def test_with_equal_variances_tau2_is_the_sample_variance_less_theirs(variance, estimates):
    expected = max(0.0, float(np.var(estimates, ddof=1)) - variance)
    assert paule_mandel(estimates, [variance] * len(estimates)) == pytest.approx(expected, abs=1e-9)


def numbers(found):
    return (found.estimate, found.low, found.high, found.prediction_low, found.prediction_high, found.tau, found.p_value)


@settings(max_examples=40)
@given(ESTIMATES, SEEDS, st.randoms(use_true_random=False))
def test_the_order_of_the_trials_changes_only_the_order_of_the_rows(estimates, seed, random):
    trials = trials_of(estimates, variances_for(estimates, seed))
    mixed = pool(random.sample(trials, len(trials)))
    found = pool(trials)
    assert numbers(mixed) == pytest.approx(numbers(found), rel=1e-10, abs=1e-11)
    assert {row.trial: row.estimate for row in mixed.rows} == {row.trial: row.estimate for row in found.rows}


@settings(max_examples=40)
@given(ESTIMATES, SEEDS, st.floats(0.1, 10), st.floats(-3, 3))
def test_another_unit_scales_and_shifts_everything(estimates, seed, scale, shift):
    variances = variances_for(estimates, seed)
    found = pool(trials_of(estimates, variances))
    other = pool(trials_of([scale * one + shift for one in estimates], [scale * scale * variance for variance in variances]))
    for name in ("estimate", "low", "high", "prediction_low", "prediction_high"):
        assert getattr(other, name) == pytest.approx(scale * getattr(found, name) + shift, abs=1e-6)
    assert other.tau == pytest.approx(scale * found.tau, abs=1e-5)


@settings(max_examples=40)
@given(ESTIMATES, SEEDS)
def test_the_prediction_is_never_narrower_than_the_interval_and_the_weights_add_up(estimates, seed):
    found = pool(trials_of(estimates, variances_for(estimates, seed)))
    assert found.prediction_low <= found.low < found.estimate < found.high <= found.prediction_high
    assert sum(row.weight_share for row in found.rows) == pytest.approx(1)
    assert min(estimates) - 1e-9 <= found.estimate <= max(estimates) + 1e-9


@settings(max_examples=40)
@given(ESTIMATES, SEEDS)
def test_p_is_below_five_percent_exactly_when_the_interval_leaves_out_zero(estimates, seed):
    found = pool(trials_of(estimates, variances_for(estimates, seed)))
    assume(abs(found.p_value - 0.05) > 1e-9)
    assert (found.p_value < 0.05) == found.facts.leaves_out_zero == (found.grade == "differs")


def test_one_trial_is_itself():
    found = pool([TrialResult("ours", 0.8, 0.5, 1.1, grade="differs")], margin=0.4)
    assert (found.estimate, found.low, found.high, found.grade, found.tau2) == (0.8, 0.5, 1.1, "differs", None)
    assert found.note == "There is one trial; its own finding stands."
    assert pool([TrialResult("ours", 0.8, 0.5, 1.1)], margin=0.4).grade == "matters"
    assert pool([TrialResult("ours", 0.8, None, None)]).grade is None
    assert pool([TrialResult("ours", 0.8, None, None, grade="alone")]).grade == "alone"


def test_two_trials_are_shown_and_get_no_verdict():
    found = pool([TrialResult("ours", 0.8, 0.5, 1.1), TrialResult("theirs", 0.9, 0.6, 1.2)], margin=0.4)
    assert [(row.trial, row.estimate, row.low, row.high, row.weight_share) for row in found.rows] == [
        ("ours", 0.8, 0.5, 1.1, None), ("theirs", 0.9, 0.6, 1.2, None)]
    assert (found.estimate, found.low, found.prediction_low, found.grade) == (None, None, None, None)
    assert found.note.startswith("Two trials cannot show how far trials differ: they are shown beside each other, without a verdict.")
    assert (found.facts.trials, found.facts.more, found.facts.largest_trial, found.facts.largest_share) == (2, 2, "", None)


def test_a_trial_without_an_interval_is_shown_and_not_counted():
    alone = TrialResult("one tank each", 5.0, None, None, grade="alone")
    counted = trials_of([0.9, 1.0, 1.1], [0.1, 0.1, 0.1])
    found = pool([alone, *counted])
    assert numbers(found) == numbers(pool(counted))
    assert (found.rows[0].weight_share, found.rows[0].grade, found.facts.not_counted) == (0.0, "alone", ("one tank each",))
    assert pool([alone, counted[0]]).note.startswith("Only one of the trials has an interval")
    assert pool([alone, TrialResult("other", 1.0, None, None)]).note.startswith("None of the trials has an interval")


@pytest.mark.parametrize(("estimates", "margin", "grade"), [
    ([1.0, 1.01, 0.99, 1.0], 0.5, "matters"), ([-1.0, -1.01, -0.99, -1.0], 0.5, "matters"), ([0.1, 0.11, 0.09, 0.1], 0.5, "alike"),
    ([0.4, 0.41, 0.39, 0.4], 0.5, "differs"), ([0.0, 1.0, -1.0, 0.5], 0.5, "open"), ([1.0, 1.01, 0.99, 1.0], None, "differs"),
])
def test_the_pooled_finding_is_graded_like_a_trial(estimates, margin, grade):
    assert pool(trials_of(estimates, [0.01] * 4), margin=margin).grade == grade


def test_a_prediction_that_reaches_beyond_no_effect_is_said():
    found = pool(trials_of(*bcg()))
    assert (found.facts.leaves_out_zero, found.facts.next_may_be_none, found.facts.next_may_be_opposite) == (True, True, True)
    assert (found.facts.less, found.facts.more, found.facts.none) == (11, 2, 0)
    assert found.facts.largest_share == max(row.weight_share for row in found.rows)
    steady = pool(trials_of([1.0, 1.01, 0.99], [0.01] * 3))
    assert (steady.facts.leaves_out_zero, steady.facts.next_may_be_none, steady.facts.next_may_be_opposite) == (True, False, False)


def test_a_grade_that_hangs_on_one_very_sure_trial_is_fragile():
    found = pool(trials_of([1.0, -0.2, 0.9, 1.0], [0.001, 1.0, 1.0, 1.0]))
    assert (found.tau2, found.grade, found.fragile) == (0, "differs", True)
    assert found.even_low < 0 < found.even_high
    assert not pool(trials_of([1.0, 1.01, 0.99], [0.01] * 3)).fragile
    # Trials that came out alike by luck claim nothing more when counted evenly; an open finding is not called fragile for it.
    alike = pool(trials_of([1.0, 1.0, 1.0], [1.0] * 3))
    assert (alike.grade, alike.fragile) == ("open", False)


def test_trials_scored_by_people_who_knew_the_arms_stay_open_however_many_they_are():
    estimates, variances = [1.0, 1.01, 0.99, 1.0], [0.01] * 4
    found = pool(trials_of(estimates, variances, swayed=True), margin=0.5)
    assert (found.grade, found.fragile, len(found.facts.swayed)) == ("open", False, 4)
    mixed = [*trials_of(estimates, variances), TrialResult("seen", 1.0, 0.8, 1.2, swayed=True)]
    assert (pool(mixed).grade, pool(mixed).facts.swayed) == ("open", ("seen",))


def own(name, estimate, spread, tanks):
    """A trial judged by its own tanks: the half width is Student's t times the spread over the tanks."""
    df = sum(tanks) - 2
    half = {4: 2.7764451051977987, 10: 2.2281388519649385}[df] * spread * math.sqrt(1 / tanks[0] + 1 / tanks[1])
    return TrialResult(name, estimate, estimate - half, estimate + half, df=df, tanks=tanks)


def test_trials_that_say_how_many_tanks_they_had_share_one_spread():
    found = pool([own("a", 1.0, 0.1, (3, 3)), own("b", 1.1, 0.7, (3, 3)), own("c", 0.9, 0.5, (6, 6))])
    assert found.like_tank_spread == pytest.approx(math.sqrt((4 * 0.1**2 + 4 * 0.7**2 + 10 * 0.5**2) / 18))
    shares = [row.weight_share for row in found.rows]
    # tau2 is 0: a trial weighs by its number of tanks, not by how alike its tanks came out.
    assert found.tau2 == 0
    assert shares == pytest.approx([0.25, 0.25, 0.5])
    assert found.note == "3 trials, each weighed by its number of tanks and by how far the trials differ."


def test_an_interval_of_another_kind_keeps_its_own_error_beside_them():
    other = TrialResult("library", 1.0, 1.0 - NORMAL, 1.0 + NORMAL)
    found = pool([own("a", 1.0, 0.5, (3, 3)), own("b", 1.0, 0.5, (3, 3)), other])
    weights = [1.5 / 0.25, 1.5 / 0.25, 1.0]
    assert [row.weight_share for row in found.rows] == pytest.approx([weight / sum(weights) for weight in weights])


@pytest.mark.parametrize(("tanks", "trials", "tau"), [(2, 10, 0.0), (3, 5, 1.0), (3, 10, 0.3)])
def test_pooled_intervals_of_simulated_trials_hold_the_truth_often_enough(tanks, trials, tau):
    """Trials of a few tanks, whose spreads differ from trial to trial; 200 sets, so 3 Monte-Carlo errors are 4.6 points."""
    from scipy.stats import t

    generator = np.random.default_rng(20261125 + tanks + trials)
    df, factor, held = 2 * (tanks - 1), 2 / tanks, 0
    reach = float(t.ppf(0.975, df))
    for _ in range(200):
        variances = 8 / generator.chisquare(8, size=trials)
        estimates = generator.normal(scale=tau, size=trials) + generator.normal(size=trials) * np.sqrt(variances * factor)
        halves = reach * np.sqrt(variances * factor * generator.chisquare(df, size=trials) / df)
        results = [TrialResult(str(index), estimate, estimate - half, estimate + half, df=df, tanks=(tanks, tanks))
                   for index, (estimate, half) in enumerate(zip(estimates.tolist(), halves.tolist(), strict=True))]
        found = pool(results)
        held += found.low <= 0 <= found.high
    assert held / 200 >= 0.95 - 3 * math.sqrt(0.95 * 0.05 / 200)


def test_the_standard_error_is_undone_at_the_interval_s_own_level():
    assert standard_error(TrialResult("x", 0.0, -2.5758293035489004, 2.5758293035489004, level=0.99)) == pytest.approx(1)
    assert standard_error(TrialResult("x", 0.0, -4.302652729911275, 4.302652729911275, df=2)) == pytest.approx(1)
    with pytest.raises(NotEnoughDataError, match="x has no interval"):
        standard_error(TrialResult("x", 0.0, None, None))


def test_a_finding_becomes_a_trial_with_its_tanks():
    plan = plan_of(3, 4, choice=measure("identity"))
    finding = compare(plan, plan.measures[0], levels((1.0, 2.0, 3.0), (3.0, 4.0, 5.0, 6.0)))
    found = trial_result("spring", finding)
    assert (found.estimate, found.low, found.high, found.grade) == (finding.estimate, finding.low, finding.high, finding.grade)
    assert (found.df, found.tanks, found.measure, found.scale, found.swayed) == (finding.df, (3, 4), "cover", "identity", False)
    choice = measure("identity")
    alone = trial_result("alone", compare(plan_of(1, 1, choice=choice), choice, levels((1.0,), (3.0,))))
    assert (alone.estimate, alone.low, alone.df, alone.tanks) == (2.0, None, None, None)


def test_a_finding_scored_by_people_who_knew_is_marked():
    choice, series = measure("identity"), levels((1.0, 2.0, 3.0), (6.0, 7.0, 9.0), scored=True)
    assert trial_result("seen", compare(plan_of(choice=choice), choice, series)).swayed
    assert not trial_result("blind", compare(plan_of(choice=choice, blinded=True), choice, series)).swayed


def test_a_spoilt_trial_cannot_be_shown_beside_others():
    choice, series = measure("identity"), levels((1.0, 2.0, 3.0), (4.0, 5.0, 6.0), days=(0, 40))
    finding = compare(plan_of(choice=choice), choice, series)
    assert finding.grade == "spoilt"
    with pytest.raises(NotEnoughDataError, match="spring gave no estimate"):
        trial_result("spring", finding)


GOOD = TrialResult("good", 0.0, -1.0, 1.0)


@every(("trials", "error", "message"), [
    ([], NotEnoughDataError, "There is no trial to pool"),
    ([GOOD, GOOD], InputError, "trial is good; accepted: each trial once. A trial that is handed over twice would count double"),
    ([GOOD, TrialResult("other", 0.0, -1.0, 1.0, scale="log")], DesignError, "only trials of one question can be pooled"),
    ([TrialResult("x", float("nan"), -1.0, 1.0)], OutOfRangeError, "estimate is nan; accepted: a finite number. It was given for x"),
    ([TrialResult("x", 1e200, 0.0, 2e200)], OutOfRangeError, "estimate is 1e\\+200; accepted: a finite number"),
    ([TrialResult("x", 0.0, None, 1.0)], InputError, "interval is half given for x"),
    ([TrialResult("x", 0.0, 1.0, -1.0)], InputError, "interval is 1.0 to -1.0 for x; accepted: a lower limit, the estimate"),
    ([TrialResult("x", 0.0, 0.0, 0.0)], InputError, "interval is 0.0 to 0.0 for x"),
    ([TrialResult("x", 5.0, -1.0, 1.0)], InputError, "interval is -1.0 to 1.0 for x"),
    ([TrialResult("x", 0.0, -1.0, float("inf"))], InputError, "interval is -1.0 to inf for x"),
    ([TrialResult("x", 0.0, -1.0, 1.0, level=1.0)], OutOfRangeError, "level is 1.0"),
    ([TrialResult("x", 0.0, -1.0, 1.0, df=0.5)], OutOfRangeError, "df is 0.5; accepted: at least 1"),
    ([TrialResult("x", 0.0, -1.0, 1.0, df=2, tanks=(0, 3))], OutOfRangeError, "tanks is 0; accepted: at least 1 in each arm"),
])
def test_trials_that_cannot_be_pooled_are_refused(trials, error, message):
    with pytest.raises(error, match=message):
        pool(trials)


def test_a_margin_or_level_out_of_range_is_refused():
    with pytest.raises(OutOfRangeError, match="margin is 0; accepted: a number above 0, or none"):
        pool([GOOD], margin=0)
    with pytest.raises(OutOfRangeError, match="level is 95; accepted: above 0 and below 1"):
        pool([GOOD], level=95)


@pytest.mark.parametrize(("estimates", "variances", "error", "message"), [
    ([1.0], [1.0], NotEnoughDataError, "One trial cannot show how far trials differ"),
    ([1.0, 2.0], [1.0, 0.0], OutOfRangeError, "variance is 0.0; accepted: a number above 0"),
    ([1.0, float("inf")], [1.0, 1.0], OutOfRangeError, "estimate is inf; accepted: a finite number"),
])
def test_the_spread_of_trials_needs_real_trials(estimates, variances, error, message):
    with pytest.raises(error, match=message):
        paule_mandel(estimates, variances)
