"""Student's t distribution against scipy's, and against two printed quantiles."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees, every
from fairtank.errors import OutOfRangeError
from fairtank.inference.intervals.student import quantile, upper_tail

DEGREES = (1.0, 1.7, 2.0, 3.1, 4.0, 7.5, 10.0, 17.7765, 30.0, 58.0, 200.0, 1000.0)


@every("df", DEGREES)
def test_the_tail_equals_scipy_to_eleven_digits(df):
    from scipy.special import stdtr

    for t in (0.0, 0.1, 0.9, 1.86081, 2.5, 4.3, 12.7, 60.0, 1e4):
        assert upper_tail(t, df) == pytest.approx(float(stdtr(df, -t)), rel=1e-11)
        assert upper_tail(-t, df) == pytest.approx(float(stdtr(df, t)), rel=1e-11)


@every("df", DEGREES)
def test_the_quantile_equals_scipy_to_eleven_digits(df):
    from scipy.special import stdtrit

    for upper in (0.5, 0.49, 0.25, 0.05, 0.025, 0.0175, 0.005, 0.0025, 1e-6):
        assert quantile(upper, df) == pytest.approx(-float(stdtrit(df, upper)), rel=1e-11, abs=1e-12)


def test_one_degree_of_freedom_is_the_cauchy_distribution():
    assert upper_tail(1.0, 1) == pytest.approx(0.25, rel=1e-14)
    # scipy 1.17 returns 0.5 here; close to 0 its tail is flat.
    assert upper_tail(1e-9, 1) == pytest.approx(0.5 - 1e-9 / math.pi, rel=1e-14)
    assert quantile(0.025, 1) == pytest.approx(math.tan(math.pi * 0.475), rel=1e-12)


@given(st.floats(1e-9, 0.5), st.floats(1.0, 500.0))
def test_the_quantile_undoes_the_tail(upper, df):
    assert upper_tail(quantile(upper, df), df) == pytest.approx(upper, rel=1e-9)


@given(st.floats(-50, 50), st.floats(1.0, 500.0))
def test_both_tails_add_up_to_one(t, df):
    assert upper_tail(t, df) + upper_tail(-t, df) == pytest.approx(1.0, abs=1e-14)


def test_a_very_large_value_has_hardly_any_tail():
    assert 0 < upper_tail(1e12, 2) < 1e-20
    assert 0 < upper_tail(1e300, 1) < 1e-140
    assert agrees(upper_tail(0.0, 5), "0.5")


@pytest.mark.parametrize(("upper", "df", "message"), [
    (0.0, 3, "upper is 0.0; accepted: above 0, at most 0.5"), (0.6, 3, "upper is 0.6"), (0.025, 0.5, "df is 0.5; accepted: at least 1"),
])
def test_a_quantile_outside_its_range_is_refused(upper, df, message):
    with pytest.raises(OutOfRangeError, match=message):
        quantile(upper, df)


def test_a_tail_without_degrees_of_freedom_is_refused():
    with pytest.raises(OutOfRangeError, match="df is 0; accepted: a number above 0"):
        upper_tail(1.0, 0)
