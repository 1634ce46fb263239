"""Welch's interval against scipy and against itself; printed results stand among the worked examples."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from checking import agrees
from fairtank.errors import NotEnoughDataError
from fairtank.inference.intervals.student import upper_tail
from fairtank.inference.intervals.welch import degrees_of_freedom, is_constant, mean, tipping_spread, variance, welch
from inference.worked.data import weights


@pytest.mark.parametrize("treatment", ["trt1", "trt2"])
@pytest.mark.parametrize("alpha", [0.05, 0.035, 0.005])
def test_the_plant_weights_equal_scipy_to_nine_digits(treatment, alpha):
    from scipy.stats import ttest_ind

    other = ttest_ind(weights(treatment), weights("ctrl"), equal_var=False)
    limits = other.confidence_interval(1 - alpha)
    interval = welch(weights("ctrl"), weights(treatment), alpha=alpha)
    assert interval.p_value == pytest.approx(other.pvalue, rel=1e-9)
    assert interval.df == pytest.approx(other.df, rel=1e-9)
    assert (interval.low, interval.high) == pytest.approx((limits.low, limits.high), rel=1e-9)


@pytest.mark.published(entry="side_by_side", source="dobson1983", where="R datasets::PlantGrowth, anova(lm(weight ~ group))")
def test_the_table_of_plant_weights_is_the_printed_one():
    """The analysis of variance is not fairtank's; it proves that the table beside the Welch tests is the published one."""
    from scipy.stats import f_oneway

    result = f_oneway(weights("ctrl"), weights("trt1"), weights("trt2"))
    assert agrees(result.statistic, "4.846")
    assert agrees(result.pvalue, "0.0159")
    for group, printed in (("ctrl", "5.032"), ("trt1", "4.661"), ("trt2", "5.526")):
        assert agrees(mean(weights(group)), printed)


ARM = st.lists(st.floats(-10, 10).map(lambda value: round(value, 3)), min_size=2, max_size=8)


@given(ARM, ARM, st.sampled_from([0.2, 0.05, 0.005]))
def test_the_interval_leaves_out_zero_exactly_when_p_is_below_alpha(reference, changed, alpha):
    interval = welch(reference, changed, alpha=alpha)
    assume(interval.low is not None and abs(interval.p_value - alpha) > 1e-9)
    assert (interval.p_value < alpha) == (interval.low > 0 or interval.high < 0)


@given(ARM, ARM)
def test_the_limits_are_the_differences_that_a_test_just_does_not_refuse(reference, changed):
    interval = welch(reference, changed, alpha=0.05)
    assume(interval.low is not None)
    error = math.sqrt(variance(reference) / len(reference) + variance(changed) / len(changed))
    for limit in (interval.low, interval.high):
        assert 2 * upper_tail(abs(interval.estimate - limit) / error, interval.df) == pytest.approx(0.05, rel=1e-6)


@given(ARM, ARM, st.randoms(use_true_random=False))
def test_the_order_of_the_units_does_not_matter(reference, changed, random):
    again = welch(random.sample(reference, len(reference)), random.sample(changed, len(changed)), alpha=0.05)
    assert again == welch(reference, changed, alpha=0.05)


@given(ARM, ARM)
def test_naming_the_arms_the_other_way_round_turns_the_interval_over(reference, changed):
    there, back = welch(reference, changed, alpha=0.05), welch(changed, reference, alpha=0.05)
    assume(there.low is not None)
    assert (back.estimate, back.low, back.high) == pytest.approx((-there.estimate, -there.high, -there.low), abs=1e-9)
    assert back.p_value == there.p_value


@given(ARM, ARM)
def test_the_degrees_of_freedom_lie_between_those_of_the_smaller_arm_and_of_both(reference, changed):
    interval = welch(reference, changed, alpha=0.05)
    assume(interval.df is not None)
    sizes = len(reference), len(changed)
    assert min(sizes) - 1 - 1e-9 <= interval.df <= sum(sizes) - 2 + 1e-9


@pytest.mark.parametrize(("n_1", "n_2", "df"), [(2, 4, 1.0), (6, 3, 2.0), (3, 3, 4.0), (10, 5, 4.0)])
def test_an_arm_twice_as_large_as_the_other_does_not_lend_it_degrees_of_freedom(n_1, n_2, df):
    assert degrees_of_freedom(1.0, n_1, 1.0, n_2) == pytest.approx(df)


def test_two_against_three_keeps_welch_satterthwaite():
    assert 1 < degrees_of_freedom(0.5, 2, 1 / 3, 3) < 3


def test_tiny_and_huge_variances_do_not_leave_the_range_of_a_float():
    assert degrees_of_freedom(1e-200, 3, 1e-200, 3) == pytest.approx(4.0)
    assert degrees_of_freedom(1e200, 3, 1e200, 3) == pytest.approx(4.0)


@pytest.mark.parametrize(("values", "scale", "constant"), [
    ([1.0, 1.0], "logit", True), ([1.0, 1.0013], "logit", True), ([1.0, 1.002], "log", False), ([1.0, 1.001], "identity", False),
    ([0.0, 0.0], "identity", True), ([0.1 + 0.2, 0.3], "identity", True),
])
def test_an_arm_is_constant_when_nothing_but_rounding_scatters(values, scale, constant):
    assert is_constant(values, scale) == constant


def test_a_constant_arm_gives_the_difference_and_no_interval():
    interval = welch([1.0, 1.0, 1.0], [2.0, 2.5, 3.0], alpha=0.05, scale="logit")
    assert (interval.estimate, interval.low, interval.high, interval.p_value, interval.df) == (1.5, None, None, None, None)
    assert interval.arms_constant


def test_one_unit_in_an_arm_gives_no_interval():
    with pytest.raises(NotEnoughDataError, match="The arms have 1 and 3 usable units; an interval needs at least 2 in each"):
        welch([1.0], [1.0, 2.0, 3.0], alpha=0.05)


def test_with_two_units_per_arm_the_interval_is_very_wide():
    interval = welch([0.0, 1.0], [0.0, 1.0], alpha=0.05)
    assert interval.high == pytest.approx(4.302652729911275 * math.sqrt(0.5), rel=1e-10)  # t on 2 degrees of freedom


def test_a_difference_just_reaches_significance_at_the_tipping_spread():
    spread = tipping_spread(-0.7, 1, 3)
    assert 1.96 * spread * math.sqrt(1 + 1 / 3) == pytest.approx(0.7)


def test_intervals_of_small_normal_samples_hold_the_truth_often_enough():
    draws = np.random.default_rng(20260301).normal(size=(1500, 6))
    intervals = [welch(row[:3], row[3:], alpha=0.05) for row in draws.tolist()]
    missed = sum(not interval.low <= 0 <= interval.high for interval in intervals)
    assert missed / 1500 <= 0.05 + 2.58 * math.sqrt(0.05 * 0.95 / 1500)
