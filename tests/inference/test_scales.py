"""Scales there and back, and what lies beyond their ends."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.errors import InputError, OutOfRangeError
from fairtank.inference.series.scales import HIGHEST_COVER_PCT, LOWEST_COVER_PCT, Scale, scale_for


@given(st.floats(LOWEST_COVER_PCT, HIGHEST_COVER_PCT))
def test_logit_leads_there_and_back(cover_pct):
    scale = Scale("logit")
    assert scale.back(scale.forward(cover_pct)) == pytest.approx(cover_pct, rel=1e-12)


@given(st.floats(1e-6, 1e6))
def test_log_leads_there_and_back(amount):
    assert Scale("log").back(Scale("log").forward(amount)) == pytest.approx(amount, rel=1e-12)


def test_half_cover_is_zero_on_the_logit_scale():
    assert Scale("logit").forward(50.0) == 0.0
    assert Scale("logit").forward(75.0) == pytest.approx(math.log(3))


def test_cover_is_clipped_at_both_ends_before_the_logit():
    scale = Scale("logit")
    assert scale.forward(0.0) == scale.forward(0.2) == pytest.approx(math.log(0.2 / 99.8))
    assert scale.forward(100.0) == scale.forward(99.8)
    assert [scale.is_clipped(value) for value in (0.0, 0.1, 0.2, 50.0, 99.8, 99.9)] == [True, True, False, False, False, True]


def test_values_as_they_are_stay_as_they_are():
    scale = Scale("identity")
    assert scale.forward(-3.5) == scale.back(-3.5) == -3.5
    assert not scale.is_clipped(-1e9)


def test_far_out_numbers_come_back_as_the_end_of_the_scale():
    assert Scale("logit").back(-1e4) == 0.0
    assert Scale("logit").back(1e4) == 100.0
    assert Scale("log").back(1e4) < math.inf


def test_zero_on_the_log_scale_counts_as_half_the_smallest_amount():
    scale = scale_for("log", (0.0, 8.0, 2.0), "algae_area")
    assert scale.forward(0.0) == pytest.approx(math.log(1.0))
    assert scale.is_clipped(0.0)
    assert not scale.is_clipped(2.0)


@pytest.mark.parametrize("values", [(), (0.0,), (0.0, 0.0)])
def test_a_log_scale_without_any_amount_is_flat(values):
    scale = scale_for("log", values, "algae_area")
    assert scale.forward(0.0) == 0.0


@pytest.mark.parametrize(("name", "value", "message"), [
    ("logit", -0.5, "algae_cover is -0.5; accepted: 0 to 100 % on the logit scale"),
    ("logit", 140.0, "algae_cover is 140.0; accepted: 0 to 100 %"),
    ("log", -1.0, "algae_cover is -1.0; accepted: 0 or more on the log scale"),
])
def test_a_value_that_the_scale_has_no_place_for_is_refused(name, value, message):
    with pytest.raises(OutOfRangeError, match=message):
        scale_for(name, (10.0, value), "algae_cover")


def test_an_unknown_scale_is_refused():
    with pytest.raises(InputError, match="scale is probit; accepted: logit, log, identity"):
        scale_for("probit", (), "algae_cover")
