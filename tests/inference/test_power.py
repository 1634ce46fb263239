"""Power by the house's own quadrature: against statsmodels where that works, against simulation, and against itself."""

import math

import numpy as np
import pytest

from checking import agrees, every
from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.inference.foresight.power import critical_multiplier, t_multiplier, t_power, units_per_arm, welch_multiplier, welch_power
from fairtank.inference.foresight.smallest import arms_difference, pairs_difference, rounds_difference
from fairtank.inference.intervals.student import quantile
from fairtank.inference.intervals.welch import welch


@pytest.mark.published(entry="units_per_arm", source="statsmodels_library", where="TTestIndPower().solve_power(d, alpha=.05, power=.8)")
@pytest.mark.parametrize(("difference_sd", "printed"), [(0.5, "63.77"), (1.0, "16.71")])
def test_units_per_arm_are_those_of_statsmodels(difference_sd, printed):
    from statsmodels.stats.power import TTestIndPower

    theirs = float(TTestIndPower().solve_power(difference_sd, alpha=0.05, power=0.8))
    assert agrees(theirs, printed)
    assert agrees(units_per_arm(difference_sd), printed)
    assert units_per_arm(difference_sd) == pytest.approx(theirs, rel=1e-6)


@pytest.mark.published(entry="t_multiplier", source="scipy_library", where="integrate.quad over the chi density, 1.17")
@pytest.mark.parametrize(("df", "printed"), [(2, "5.65"), (4, "3.76"), (6, "3.37"), (8, "3.20"), (10, "3.11"), (14, "3.01"), (22, "2.93")])
def test_the_multiplier_gives_eighty_percent_by_another_quadrature(df, printed):
    from scipy.integrate import quad
    from scipy.special import ndtr
    from scipy.stats import chi, t

    def integrand(s, difference):
        critical = t.ppf(0.975, df)
        return (ndtr(difference - critical * s) + ndtr(-difference - critical * s)) * chi.pdf(s * math.sqrt(df), df) * math.sqrt(df)

    found = t_multiplier(df)
    assert agrees(found, printed)
    assert quad(integrand, 0, np.inf, args=(found,), epsabs=1e-11)[0] == pytest.approx(0.8, abs=1e-8)


@every("df", [5, 10, 40.5, 200])
@every("noncentrality", [0.5, 2.0, 4.0])
def test_power_equals_the_noncentral_t_of_scipy_where_that_is_finite(df, noncentrality):
    from scipy.stats import nct

    critical = quantile(0.025, df)
    theirs = nct.sf(critical, df, noncentrality) + nct.cdf(-critical, df, noncentrality)
    assert t_power(noncentrality, df) == pytest.approx(theirs, abs=1e-9)


def test_far_out_where_scipy_fails_power_is_still_a_chance():
    assert 0.99 < t_power(11.92, 2) < 1.0
    assert t_power(60.0, 1) == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("df", [1, 1.5, 2, 7, 1000])
@pytest.mark.parametrize("alpha", [0.05, 0.005])
def test_without_a_difference_power_is_the_share_of_false_alarms(df, alpha):
    assert t_power(0.0, df, alpha=alpha) == pytest.approx(alpha, rel=1e-9)


@pytest.mark.parametrize(("n_1", "n_2", "printed"), [(2, 2, "2.5"), (3, 3, "3.6"), (4, 4, "4.2"), (6, 6, "4.5")])
@pytest.mark.as_it_was("false alarms of Welch's interval in an independent simulation of 60000 draws, in percent, 2026-11-25")
def test_false_alarms_of_welch_are_those_that_a_simulation_counted(n_1, n_2, printed):
    assert 100 * welch_power(0.0, n_1, n_2) == pytest.approx(float(printed), abs=3 * 100 * math.sqrt(0.04 * 0.96 / 60000))


@pytest.mark.parametrize(("n_1", "n_2"), [(2, 2), (3, 3), (2, 3), (6, 3)])
def test_welch_power_is_what_simulated_trials_show(n_1, n_2):
    rng = np.random.default_rng(20261125)
    difference = welch_multiplier(n_1, n_2) * math.sqrt(1 / n_1 + 1 / n_2)
    draws = 1500
    found = 0
    for row in rng.normal(size=(draws, n_1 + n_2)).tolist():
        interval = welch(row[:n_1], [value + difference for value in row[n_1:]], alpha=0.05)
        found += interval.low > 0 or interval.high < 0
    assert found / draws == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / draws))


@pytest.mark.parametrize("n", [2, 3, 4, 6])
def test_welch_needs_more_than_the_pooled_t_and_less_so_with_more_tanks(n):
    excess = [welch_multiplier(count, count) / t_multiplier(2 * count - 2) for count in (n, n + 1)]
    assert excess[0] > excess[1] > 1


def test_the_order_of_the_arms_does_not_matter():
    assert welch_multiplier(2, 3) == pytest.approx(welch_multiplier(3, 2), rel=1e-9)


@pytest.mark.parametrize("alpha", [0.05, 0.035, 0.005])
def test_a_stricter_look_needs_a_larger_difference(alpha):
    assert t_multiplier(4, alpha=alpha) < t_multiplier(4, alpha=alpha / 2)
    assert t_power(t_multiplier(4, alpha=alpha), 4, alpha=alpha) == pytest.approx(0.8, abs=1e-9)
    assert welch_power(welch_multiplier(3, 3, alpha=alpha), 3, 3, alpha=alpha) == pytest.approx(0.8, abs=1e-9)


@pytest.mark.parametrize("df", [2.0, 7.5])
def test_a_larger_critical_value_needs_a_larger_difference(df):
    usual = quantile(0.025, df)
    assert critical_multiplier(usual, df) == pytest.approx(t_multiplier(df), rel=1e-9)
    assert critical_multiplier(1.2 * usual, df) > critical_multiplier(usual, df)


def test_more_units_per_arm_invert_the_difference():
    assert t_power(0.7 * math.sqrt(units_per_arm(0.7) / 2), 2 * units_per_arm(0.7) - 2) == pytest.approx(0.8, abs=1e-9)
    assert units_per_arm(500.0) == 1.5


def test_pairs_show_a_difference_as_often_as_promised():
    rng = np.random.default_rng(20261126)
    pairs = rng.normal(pairs_difference(1.0, 4), 1.0, size=(4000, 4))
    t = pairs.mean(axis=1) / (pairs.std(axis=1, ddof=1) / 2.0)
    assert (np.abs(t) > quantile(0.025, 3)).mean() == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / 4000))


@pytest.mark.parametrize("rounds", [4, 5, 6])
def test_rounds_show_a_difference_as_often_as_the_fitted_intercept_does(rounds):
    rng = np.random.default_rng(20261127)
    sign = np.array([(-1.0) ** r for r in range(rounds)])
    design = np.column_stack([np.ones(rounds), sign])
    seen = rng.normal(rounds_difference(1.0, rounds), 1.0, size=(4000, rounds)) + 0.8 * sign
    coefficients, residuals, *_ = np.linalg.lstsq(design, seen.T, rcond=None)
    error = np.sqrt(residuals / (rounds - 2) * np.linalg.inv(design.T @ design)[0, 0])
    found = np.abs(coefficients[0] / error) > quantile(0.025, rounds - 2)
    assert found.mean() == pytest.approx(0.8, abs=3 * math.sqrt(0.16 / 4000))


def test_twice_the_spread_needs_twice_the_difference():
    for found in (lambda sd: arms_difference(sd, 3, 3), lambda sd: pairs_difference(sd, 3), lambda sd: rounds_difference(sd, 4)):
        assert found(0.6) == pytest.approx(2 * found(0.3), rel=1e-12)


@pytest.mark.parametrize(("call", "message"), [
    (lambda: welch_power(1.0, 1, 3), "The arms have 1 and 3 units; an interval needs at least 2 in each"),
    (lambda: welch_multiplier(3, 1), "The arms have 3 and 1 units"),
    (lambda: pairs_difference(1.0, 1), "There are 1 pairs; an interval needs at least 2"),
    (lambda: rounds_difference(1.0, 3), "There are 3 rounds; an interval needs at least 4"),
])
def test_too_few_units_are_refused(call, message):
    with pytest.raises(NotEnoughDataError, match=message):
        call()


@pytest.mark.parametrize(("call", "message"), [
    (lambda: t_power(1.0, 4, alpha=0.0), "alpha is 0.0; accepted: above 0, below 1"),
    (lambda: t_power(1.0, 0.5), "df is 0.5; accepted: at least 1"),
    (lambda: t_multiplier(4, power=0.04), "power is 0.04; accepted: above alpha"),
    (lambda: t_multiplier(4, power=1.0), "power is 1.0"),
    (lambda: units_per_arm(0.0), "difference_sd is 0.0; accepted: a number above 0"),
    (lambda: units_per_arm(math.nan), "difference_sd is nan"),
    (lambda: arms_difference(math.nan, 3, 3), "sd is nan; accepted: a number above 0"),
    (lambda: critical_multiplier(-1.0, 4), "critical is -1.0; accepted: a number above 0"),
    (lambda: critical_multiplier(2.0, 0.5), "df is 0.5; accepted: at least 1"),
])
def test_numbers_outside_their_range_are_refused(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()
