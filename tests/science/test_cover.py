"""Shares and areas from counted points, against printed tables and what any honest interval must do."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees, every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import cover

# Checked points, rows map class and columns true class; mapped areas in ha, from pixels of 0.09 ha.
FOREST = ([[66, 0, 5, 4], [0, 55, 8, 12], [1, 0, 153, 11], [2, 1, 9, 313]],
          [0.09 * pixels for pixels in (200000, 150000, 3200000, 6450000)])


@pytest.mark.as_it_was("digits of newcombe1998single, table I, method 3, recalled and not read, 2026-11-25")
@pytest.mark.parametrize(("k", "n", "low", "high"), [
    (81, 263, "0.2553", "0.3662"), (15, 148, "0.0624", "0.1605"), (0, 20, "0.0000", "0.1611"), (1, 29, "0.0061", "0.1718"),
])
def test_wilson_equals_the_recalled_table(k, n, low, high):
    interval = cover.wilson(k, n)
    assert agrees(interval.low, low)
    assert agrees(interval.high, high)


@pytest.mark.published(entry="wilson", source="scipy_library", where="stats.binomtest(k, n).proportion_ci(method='wilson')")
@pytest.mark.parametrize(("k", "n", "low", "high"), [(12, 50, ".1430", ".3741"), (0, 50, "0.0000", ".0713"), (5, 100, ".0215", ".1118")])
def test_wilson_equals_another_program(k, n, low, high):
    from scipy.stats import binomtest

    interval = cover.wilson(k, n)
    assert agrees(interval.low, low)
    assert agrees(interval.high, high)
    other = binomtest(k, n).proportion_ci(method="wilson")
    assert interval == pytest.approx((other.low, other.high), abs=1e-12)


@given(n=st.integers(1, 5000), share=st.floats(0, 1))
def test_wilson_contains_the_share_stays_in_bounds_and_is_symmetric(n, share):
    k = round(share * n)
    low, high = cover.wilson(k, n)
    assert 0 <= low <= k / n + 1e-12
    assert k / n - 1e-12 <= high <= 1
    mirrored = cover.wilson(n - k, n)
    assert mirrored.low == pytest.approx(1 - high, abs=1e-12)
    assert mirrored.high == pytest.approx(1 - low, abs=1e-12)


def test_wilson_narrows_with_points_and_widens_with_the_level():
    widths = [cover.wilson(n // 4, n).high - cover.wilson(n // 4, n).low for n in (20, 80, 320)]
    assert widths == sorted(widths, reverse=True)
    assert cover.wilson(5, 20, 0.99).low < cover.wilson(5, 20, 0.95).low


def test_wilson_takes_arrays():
    interval = cover.wilson([0, 12, 50], 50)
    assert interval.low.shape == (3,)
    assert interval.low[0] == 0.0
    assert interval.high[2] == 1.0


@pytest.mark.published(entry="point_intercept_se", source="arithmetic", where="sqrt(p (1 - p) / n) by hand: 12 of 50, 5 of 100")
@pytest.mark.parametrize(("k", "n", "printed"), [(12, 50, ".06040"), (5, 100, ".02179"), (0, 50, "0")])
def test_the_standard_error_of_a_share_equals_the_hand_worked_one(k, n, printed):
    assert agrees(cover.point_intercept_se(k, n), printed)


def test_the_standard_error_is_the_spread_of_repeated_counts_and_wilson_is_wider_where_it_is_0():
    rng = np.random.default_rng(13)
    assert cover.point_intercept_se(60, 200) == pytest.approx(rng.binomial(200, 0.3, 20000).std() / 200, rel=0.02)
    assert cover.point_intercept_se([0, 50], 50).tolist() == [0.0, 0.0]
    assert cover.wilson(0, 50).high > 0.05


@pytest.mark.published(entry="stratified", source="arithmetic", where="three strata by hand: sums of W p and of W^2 p (1 - p) / (n - 1)")
def test_stratified_equals_the_hand_worked_strata():
    result = cover.stratified([0.5, 0.3, 0.2], [0.2, 0.4, 0.7], [50, 30, 20])
    assert agrees(result.share, ".360")
    assert agrees(result.se, ".04476")


def test_the_squared_error_of_strata_is_on_average_the_variance_of_the_share():
    """Over all counts that two strata can give, each by its probability: the formula is recalled, this is what it has to do."""
    from scipy.stats import binom

    weights, truth, points = np.array([0.6, 0.4]), np.array([0.3, 0.8]), np.array([7, 5])
    mean, second, squared = 0.0, 0.0, 0.0
    for first in range(points[0] + 1):
        for other in range(points[1] + 1):
            chance = binom.pmf(first, points[0], truth[0]) * binom.pmf(other, points[1], truth[1])
            told = cover.stratified(weights, np.array([first, other]) / points, points)
            mean, second, squared = mean + chance * told.share, second + chance * told.share**2, squared + chance * told.se**2
    assert mean == pytest.approx(weights @ truth, rel=1e-12)
    assert squared == pytest.approx(second - mean**2, rel=1e-9)


def test_one_stratum_is_a_plain_share():
    result = cover.stratified([1.0], [0.25], [101])
    assert result.share == 0.25
    assert result.se == pytest.approx((0.25 * 0.75 / 100) ** 0.5)


@pytest.mark.published(entry="area_from_matrix", source="olofsson2014", where="section 5, deforestation example; areas ±1.96 SE in ha")
def test_areas_equal_the_printed_example():
    result = cover.area_from_matrix(*FOREST)
    for area, printed in zip(result.area, ("21157.8", "11686.2", "285769.9", "581386.2"), strict=True):
        assert agrees(area, printed)
    for se, printed in zip(result.se, ("6157.6", "3755.8", "15509.8", "16281.7"), strict=True):
        assert agrees(1.96 * se, printed)
    assert agrees(result.area[0], "21158")
    assert agrees(1.96 * result.se[0], "6158")


@pytest.mark.published(entry="area_from_matrix", source="olofsson2014", where="section 5, user's, producer's and overall accuracy")
def test_accuracies_equal_the_printed_example():
    result = cover.area_from_matrix(*FOREST)
    for value, printed in zip(result.users, (".880", ".733", ".927", ".963"), strict=True):
        assert agrees(value, printed)
    for value, printed in zip(result.producers, (".749", ".847", ".935", ".962"), strict=True):
        assert agrees(value, printed)
    assert agrees(result.overall, ".947")
    assert agrees(result.overall_se, ".00943")


def test_areas_are_conserved_and_a_perfect_map_is_left_alone():
    assert cover.area_from_matrix(*FOREST).area.sum() == pytest.approx(sum(FOREST[1]))
    perfect = cover.area_from_matrix([[50, 0], [0, 50]], [10.0, 30.0])
    assert perfect.area.tolist() == [10.0, 30.0]
    assert perfect.overall == 1.0


def test_a_class_that_is_nowhere_has_no_producers_accuracy():
    assert np.isnan(cover.area_from_matrix([[0, 10], [0, 10]], [1.0, 9.0]).producers[0])


@pytest.mark.as_it_was("digits of newcombe1998, table II, method 10, recalled and not read, 2026-11-25")
def test_audited_cover_equals_the_recalled_difference_of_shares():
    """With half the area in each part and the second part counted the other way round, the cover is half of 1 + difference."""
    result = cover.audited_cover(0.5, 56, 70, 80 - 48, 80)
    assert agrees(2 * result.share - 1, "0.2000")
    assert agrees(2 * result.low - 1, "0.0524")
    assert agrees(2 * result.high - 1, "0.3339")


@pytest.mark.published(entry="audited_cover", source="statsmodels_library", where="proportion.confint_proportions_2indep(method='newcomb')")
@pytest.mark.parametrize(("hits", "low", "high"), [((56, 70, 48, 80), ".0524", ".3339"), ((9, 10, 3, 10), ".1705", ".8090")])
def test_audited_cover_equals_the_difference_of_shares_by_another_program(hits, low, high):
    """As above, with half the area in each part."""
    from statsmodels.stats.proportion import confint_proportions_2indep

    one, of_one, other, of_other = hits
    result = cover.audited_cover(0.5, one, of_one, of_other - other, of_other)
    difference = [2 * end - 1 for end in (result.low, result.high)]
    assert difference == pytest.approx(confint_proportions_2indep(one, of_one, other, of_other, method="newcomb"), abs=1e-12)
    assert [agrees(end, printed) for end, printed in zip(difference, (low, high), strict=True)] == [True, True]


def test_a_perfect_audit_keeps_the_map_and_still_has_a_width():
    result = cover.audited_cover(0.25, 25, 25, 0, 75)
    assert result.share == 0.25
    assert result.low < 0.25 < result.high


def test_a_map_of_one_part_is_a_plain_share():
    result = cover.audited_cover(0.0, 0, 0, 12, 50)
    assert (result.low, result.high) == pytest.approx(tuple(cover.wilson(12, 50)))


@given(q=st.floats(0, 1), a=st.integers(0, 40), b=st.integers(0, 60))
def test_audited_cover_contains_its_share_and_mirrors(q, a, b):
    result, mirrored = cover.audited_cover(q, a, 40, b, 60), cover.audited_cover(q, 40 - a, 40, 60 - b, 60)
    assert 0 <= result.low <= result.share + 1e-12
    assert result.share - 1e-12 <= result.high <= 1
    assert mirrored.low == pytest.approx(1 - result.high, abs=1e-9)


def test_the_audited_interval_holds_what_it_promises():
    """300 simulated audits of a map that is wrong in a known way: at least 94 in 100 intervals hold the truth."""
    rng = np.random.default_rng(11)
    map_share, right_in, missed_out, points = 0.25, 0.95, 0.03, 100
    truth = map_share * right_in + (1 - map_share) * missed_out
    held = 0
    for _ in range(300):
        n_in = int(rng.binomial(points, map_share))
        audit = cover.audited_cover(map_share, rng.binomial(n_in, right_in), n_in,
                                    rng.binomial(points - n_in, missed_out), points - n_in)
        held += audit.low <= truth <= audit.high
    assert held / 300 >= 0.94


@pytest.mark.published(entry="daubenmire_mean_pct", source="daubenmire1959", where="class limits and middles")
@pytest.mark.parametrize(("classes", "printed"), [
    ([1], "2.5"), ([2], "15"), ([3], "37.5"), ([4], "62.5"), ([5], "85"), ([6], "97.5"), ([1, 2, 2, 4], "23.75"),
])
def test_class_middles_equal_the_printed_ones(classes, printed):
    assert agrees(cover.daubenmire_mean_pct(classes), printed)


@every(("call", "sentence"), [
    (lambda: cover.wilson(51, 50), r"k is 51\.0; accepted: 0 to n"),
    (lambda: cover.wilson(-1, 50), r"k is -1\.0; accepted: 0 to 1e\+09"),
    (lambda: cover.wilson(0, 0), r"n is 0\.0; accepted: 1 to 1e\+09"),
    (lambda: cover.wilson(1, 2, level=1.0), r"level is 1\.0; accepted: 0\.5 to 0\.9999"),
    (lambda: cover.point_intercept_se(51, 50), r"k is 51\.0; accepted: 0 to n"),
    (lambda: cover.stratified([0.5, 0.4], [0.1, 0.1], [9, 9]), r"weights is 0\.9 in sum; accepted: numbers that sum to 1"),
    (lambda: cover.stratified([0.5, 0.5], [0.1, 1.1], [9, 9]), r"shares is 1\.1; accepted: 0 to 1"),
    (lambda: cover.stratified([1.0], [0.1], [1]), r"counts is 1\.0; accepted: 2 to 1e\+09"),
    (lambda: cover.area_from_matrix([[1, 0], [5, 5]], [1, 1]), r"matrix is 1\.0 points in a row; accepted: 2 points or more"),
    (lambda: cover.area_from_matrix([[5, 0], [5, 5]], [0, 0]), r"areas is 0 in sum"),
    (lambda: cover.audited_cover(1.2, 1, 2, 1, 2), r"map_share is 1\.2; accepted: 0 to 1"),
    (lambda: cover.audited_cover(0.5, 3, 2, 1, 2), r"hits_in is 3\.0; accepted: 0 to the number of points"),
    (lambda: cover.audited_cover(0.5, 0, 0, 1, 2), r"n_in is 0\.0; accepted: 1 or more"),
    (lambda: cover.daubenmire_mean_pct([1, 7]), r"classes is 7\.0; accepted: 1 to 6"),
    (lambda: cover.daubenmire_mean_pct([1.5]), r"classes is 1\.5; accepted: a whole number"),
    (lambda: cover.daubenmire_mean_pct([]), r"classes is an empty list; accepted: one class or more"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


@pytest.mark.parametrize(("call", "name"), [
    (lambda: cover.wilson(1, 2, level=[0.9, 0.95]), "level"), (lambda: cover.audited_cover([0.1, 0.2], 1, 2, 1, 2), "map_share"),
    (lambda: cover.audited_cover(0.5, [1, 2], 2, 1, 2), "hits_in"), (lambda: cover.audited_cover(0.5, 1, 2, 1, [2, 3]), "n_out"),
    (lambda: cover.audited_cover(0.5, 1, 2, 1, 2, level=[0.9]), "level"),
])
def test_several_numbers_are_refused_where_one_is_meant(call, name):
    with pytest.raises(InputError, match=f"^{name} is several numbers; accepted: one number"):
        call()


@pytest.mark.parametrize("call", [
    lambda: cover.stratified([1.0], [0.1, 0.2], [9]),
    lambda: cover.area_from_matrix([[5, 0, 1], [5, 5, 1]], [1, 1]),
])
def test_lists_that_do_not_match_are_refused(call):
    with pytest.raises(InputError, match="accepted"):
        call()
