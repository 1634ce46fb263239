"""Critical values of several comparisons: held against scipy, against recalled tables, and against what must hold of them."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import agrees, every
from fairtank.errors import OutOfRangeError
from fairtank.inference.intervals.multiple import (
    all_pairs_critical,
    all_pairs_tail,
    loadings_of,
    many_to_one_critical,
    many_to_one_tail,
    normal_below,
)
from fairtank.inference.intervals.student import quantile, upper_tail

EVEN = math.sqrt(0.5)


def from_multivariate_t(t, df, loadings):
    """The same chance by scipy's multivariate t, for two comparisons."""
    from scipy.stats import multivariate_t

    first, second = loadings
    shape = [[1.0, first * second], [first * second, 1.0]]
    inside = multivariate_t(shape=shape, df=df, allow_singular=False)
    return 1.0 - inside.cdf([t, t], lower_limit=[-t, -t], random_state=7, maxpts=200_000)


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="stats.studentized_range")
@every("df", [2, 5.5, 12, 60])
@every("arms", [3, 4, 8])
def test_all_pairs_have_scipys_studentized_range(df, arms):
    from scipy.stats import studentized_range

    critical = all_pairs_critical(0.05, float(df), arms)
    assert critical * math.sqrt(2.0) == pytest.approx(studentized_range.ppf(0.95, arms, df), rel=1e-7)
    assert all_pairs_tail(1.3, float(df), arms) == pytest.approx(studentized_range.sf(1.3 * math.sqrt(2.0), arms, df), abs=1e-9)


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="stats.multivariate_t")
@pytest.mark.parametrize("df", [2, 6, 20])
@pytest.mark.parametrize("loadings", [(EVEN, EVEN), (0.0, 0.0), (0.3, 0.9)])
def test_comparisons_with_one_reference_have_scipys_multivariate_t(df, loadings):
    t = many_to_one_critical(0.05, float(df), loadings)
    assert from_multivariate_t(t, df, loadings) == pytest.approx(0.05, abs=3e-4)


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="special.ndtr")
def test_the_normal_distribution_is_scipys():
    from scipy.special import ndtr

    x = np.linspace(-8.0, 8.0, 4001)
    assert np.abs(normal_below(x) - ndtr(x)).max() < 2e-15


@pytest.mark.as_it_was("two-sided 5 % values of Dunnett's table, recalled", "2026-11-26")
@pytest.mark.parametrize(("df", "count", "printed"), [
    (5, 2, "3.03"), (5, 3, "3.29"), (6, 2, "2.86"), (10, 2, "2.57"), (10, 3, "2.76"), (20, 2, "2.38"), (20, 3, "2.54"), (60, 2, "2.27"),
    (60, 3, "2.41"),
])
def test_dunnetts_table_as_recalled(df, count, printed):
    assert agrees(many_to_one_critical(0.05, float(df), (EVEN,) * count), printed)


@pytest.mark.as_it_was("5 % values of the studentized range, recalled", "2026-11-26")
@pytest.mark.parametrize(("df", "arms", "printed"), [(6, 3, "4.34"), (10, 3, "3.88"), (10, 4, "4.33"), (20, 3, "3.58"), (60, 3, "3.40")])
def test_the_table_of_the_studentized_range_as_recalled(df, arms, printed):
    assert agrees(all_pairs_critical(0.05, float(df), arms) * math.sqrt(2.0), printed)


QUIETLY = settings(deadline=None, max_examples=30)  # each new df has a grid of its own
DF = st.floats(1.0, 200.0)
T = st.floats(0.0, 8.0)


@QUIETLY
@given(T, DF)
def test_one_comparison_is_students_t(t, df):
    alone = 2 * upper_tail(t, df)
    assert many_to_one_tail(t, df, (0.4,)) == pytest.approx(alone, rel=1e-12)
    assert all_pairs_tail(t, df, 2) == pytest.approx(alone, rel=1e-12)


@QUIETLY
@given(T, DF, st.lists(st.floats(0.0, 0.95), min_size=2, max_size=4))
def test_what_hangs_together_errs_less_often_than_what_does_not(t, df, loadings):
    together = many_to_one_tail(t, df, tuple(loadings))
    apart = many_to_one_tail(t, df, (0.0,) * len(loadings))
    alone = 2 * upper_tail(t, df)
    assert min(alone, 1.0) - 1e-10 <= together <= apart + 1e-10
    assert apart <= min(1.0, len(loadings) * alone) + 1e-10


@QUIETLY
@given(st.floats(0.001, 0.5), DF, st.integers(2, 6))
def test_a_critical_value_is_exceeded_with_its_chance(alpha, df, count):
    alike = (0.5,) * count
    assert many_to_one_tail(many_to_one_critical(alpha, df, alike), df, alike) == pytest.approx(alpha, rel=1e-9)
    assert all_pairs_tail(all_pairs_critical(alpha, df, count), df, count) == pytest.approx(alpha, rel=1e-9)


@QUIETLY
@given(DF, st.integers(2, 5))
def test_a_larger_t_is_rarer(df, count):
    steps = [many_to_one_tail(t, df, (EVEN,) * count) for t in (0.0, 0.5, 1.5, 3.0, 20.0, 1e6, 1e300)]
    assert steps[0] == pytest.approx(1.0, abs=1e-12)
    assert all(after <= before for before, after in pairwise(steps))


def test_a_reference_with_few_units_makes_all_comparisons_hang_together():
    loadings = loadings_of(1, (99999, 99999))
    assert many_to_one_critical(0.05, 10.0, loadings) == pytest.approx(quantile(0.025, 10.0), rel=0.02)


@pytest.mark.parametrize(("call", "message"), [
    (lambda: many_to_one_tail(-1.0, 5.0, (0.5, 0.5)), "t is -1.0; accepted: 0 or more."),
    (lambda: many_to_one_tail(math.nan, 5.0, (0.5, 0.5)), "t is nan; accepted: 0 or more."),
    (lambda: many_to_one_tail(1.0, 0.5, (0.5, 0.5)), "df is 0.5; accepted: at least 1."),
    (lambda: many_to_one_tail(1.0, 5.0, (0.5, 1.0)), "loading is 1.0; accepted: 0 to below 1."),
    (lambda: all_pairs_tail(1.0, 5.0, 1), "arms is 1; accepted: 2 or more."),
    (lambda: many_to_one_critical(0.0, 5.0, (0.5, 0.5)), "alpha is 0.0; accepted: above 0 and below 1."),
])
def test_what_cannot_be_asked_is_refused(call, message):
    with pytest.raises(OutOfRangeError) as refused:
        call()
    assert message in str(refused.value)
