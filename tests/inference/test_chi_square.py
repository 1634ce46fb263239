"""The chi-square distribution, held against another library."""

import pytest
from scipy import stats

from checking import every
from fairtank.inference.intervals.chi_square import chance_above, over_df


@every("df", [1.0, 2.0, 3.5, 9.0, 40.0])
@every("value", [0.0, 0.3, 3.84, 12.0, 60.0, 3000.0])
def test_how_often_a_value_is_exceeded_is_that_of_another_library(value, df):
    assert chance_above(value, df) == pytest.approx(stats.chi2.sf(value, df), abs=1e-10)


@pytest.mark.parametrize("df", [2.0, 4.0, 11.5])
@pytest.mark.parametrize("upper", [0.1, 0.5, 0.9])
def test_what_is_exceeded_so_often_is_that_of_another_library(upper, df):
    assert over_df(df, upper) == pytest.approx(stats.chi2.isf(upper, df) / df, rel=1e-9)


def test_the_two_are_each_other_s_inverse():
    assert chance_above(7.0 * over_df(7.0, 0.2), 7.0) == pytest.approx(0.2, abs=1e-9)
