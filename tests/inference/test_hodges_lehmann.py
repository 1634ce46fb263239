"""The typical shift: its count against scipy, its interval against the test turned round, and its limits."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank.errors import NotEnoughDataError, OutOfRangeError
from fairtank.inference.intervals.hodges_lehmann import hodges_lehmann, ways_by_count


@pytest.mark.parametrize("sizes", [(1, 1), (2, 3), (4, 4), (5, 10), (7, 6)])
def test_the_ways_are_all_arrangements_and_mirror_each_other(sizes):
    ways = ways_by_count(*sizes)
    assert sum(ways) == math.comb(sum(sizes), sizes[0])
    assert ways == ways[::-1] == ways_by_count(*sizes[::-1])


@settings(max_examples=25, deadline=None)  # the first example pays for importing scipy.stats
@given(st.integers(0, 2**32 - 1), st.integers(4, 8), st.integers(4, 8))
def test_count_and_chance_are_those_of_scipy(seed, n_1, n_2):
    from scipy.stats import mannwhitneyu

    rng = np.random.default_rng(seed)
    reference, changed = rng.normal(size=n_1), rng.normal(0.7, 2, size=n_2)
    other = mannwhitneyu(changed, reference, alternative="greater", method="exact")
    found = hodges_lehmann(reference.tolist(), changed.tolist())
    assert (found.above, found.p_above) == pytest.approx((other.statistic, other.pvalue), rel=1e-9)
    assert found.estimate == pytest.approx(np.median(changed[:, None] - reference[None, :]), rel=1e-9)


@pytest.mark.parametrize(("sizes", "alpha"), [((4, 4), 0.05), ((5, 10), 0.05), ((6, 6), 0.005), ((4, 7), 0.2), ((8, 5), 0.035)])
def test_the_interval_holds_just_the_shifts_that_the_test_does_not_refuse(sizes, alpha):
    from scipy.stats import mannwhitneyu

    rng = np.random.default_rng(20261126)
    reference, changed = rng.normal(size=sizes[0]), rng.normal(1, 1, size=sizes[1])
    found = hodges_lehmann(reference.tolist(), changed.tolist(), alpha=alpha)

    def p(shift):
        return mannwhitneyu(changed - shift, reference, method="exact").pvalue

    step = 1e-6
    assert found.low < found.estimate < found.high
    for end, outwards in ((found.low, -step), (found.high, step)):
        assert p(end + outwards) <= alpha < p(end - outwards)


def test_the_interval_holds_as_often_as_it_says():
    rng = np.random.default_rng(20261127)
    draws = rng.normal(size=(800, 10)).tolist()
    found = [hodges_lehmann(row[:5], row[5:], alpha=0.05) for row in draws]
    held = sum(one.low <= 0 <= one.high for one in found) / 800
    assert held == pytest.approx(found[0].level, abs=3 * math.sqrt(0.05 * 0.95 / 800))
    assert found[0].level >= 0.95


def test_equal_values_count_half():
    found = hodges_lehmann([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, 4.0])
    assert (found.estimate, found.above) == (0.0, 8.0)


def test_a_level_that_so_few_units_cannot_reach_gives_no_interval():
    found = hodges_lehmann([1.0, 2.0, 3.0, 4.0], [11.0, 12.0, 13.0, 14.0], alpha=0.005)
    assert (found.estimate, found.low, found.high, found.level) == (10.0, None, None, None)


@pytest.mark.parametrize(("sizes", "alpha", "error", "message"), [
    ((3, 9), 0.05, NotEnoughDataError, "The arms have 3 and 9 usable units; this interval needs at least 4 in each"),
    ((4, 0), 0.05, NotEnoughDataError, "The arms have 4 and 0 usable units"),
    ((4, 4), 0.0, OutOfRangeError, "alpha is 0.0; accepted: above 0, below 1"),
    ((4, 4), math.nan, OutOfRangeError, "alpha is nan"),
])
def test_what_cannot_be_said_is_refused(sizes, alpha, error, message):
    with pytest.raises(error, match=message):
        hodges_lehmann([float(value) for value in range(sizes[0])], [float(value) for value in range(sizes[1])], alpha=alpha)
