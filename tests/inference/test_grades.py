"""Which interval earns which grade, at the edges of the margin too."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.finding import UnitSummary
from fairtank.inference.grades import TAGS, claim_of, gate_is_asked, in_order, is_clipped_arm, is_often_clipped, is_uneven
from fairtank.inference.intervals.welch import Interval


def interval(low, high):
    return Interval((low + high) / 2, low, high, 4.0, 0.5)


@pytest.mark.parametrize(("low", "high", "with_margin", "without"), [
    (0.5, 0.9, "matters", "differs"),  # the limit on the margin counts as beyond it
    (-0.9, -0.5, "matters", "differs"),
    (0.49, 0.9, "differs", "differs"),
    (-0.9, -0.49, "differs", "differs"),
    (-0.49, 0.49, "alike", "open"),
    (0.1, 0.49, "alike", "differs"),  # both alike and differs: alike is asked first
    (-0.5, 0.3, "open", "open"),  # alike needs both limits strictly inside
    (-0.3, 0.5, "open", "open"),
    (0.0, 0.9, "open", "open"),  # a limit on 0 does not leave it out
    (-2.0, 2.0, "open", "open"),
])
def test_the_grade_follows_from_the_interval_alone(low, high, with_margin, without):
    assert claim_of(interval(low, high), 0.5) == with_margin
    assert claim_of(interval(low, high), None) == without


def test_without_an_interval_the_grade_is_open():
    assert claim_of(Interval(3.0, arms_constant=True), 0.5) == "open"


@given(st.floats(-3, 3), st.floats(0, 3), st.floats(0.01, 3))
def test_turning_the_interval_over_keeps_the_grade(low, width, margin):
    assert claim_of(interval(low, low + width), margin) == claim_of(interval(-low - width, -low), margin)


@given(st.floats(-3, 3), st.floats(0, 3), st.floats(0.01, 3), st.floats(0, 1))
def test_a_wider_interval_never_earns_a_claim_that_the_narrower_one_did_not(low, width, margin, more):
    rank = {"open": 0, "differs": 1, "matters": 2}
    narrow, wide = claim_of(interval(low, low + width), margin), claim_of(interval(low - more, low + width + more), margin)
    if narrow in rank and wide in rank:
        assert rank[wide] <= rank[narrow]


@pytest.mark.parametrize(("sizes", "alpha", "asked"), [
    ((4, 4), 0.05, False), ((5, 5), 0.05, True), ((5, 5), 0.005, False), ((6, 6), 0.005, True), ((3, 12), 0.05, True),
    ((11, 11), 0.05, True), ((12, 12), 0.001, True),
])
def test_the_shuffle_is_asked_where_it_can_answer(sizes, alpha, asked):
    assert gate_is_asked(*sizes, alpha) == asked


def unit(days, clipped):
    return UnitSummary("T", "R", 0.0, days, None, 0.0, clipped)


def test_an_arm_is_clipped_when_every_unit_is_for_four_fifths_of_its_days():
    assert is_clipped_arm([unit(10, 8), unit(20, 16)])
    assert not is_clipped_arm([unit(10, 8), unit(20, 15)])


def test_a_fifth_of_all_unit_days_may_be_clipped():
    assert not is_often_clipped([unit(10, 4), unit(10, 0)])
    assert is_often_clipped([unit(10, 5), unit(10, 0)])


def test_arms_are_uneven_from_a_difference_of_two():
    assert [is_uneven(3, n) for n in (1, 2, 3, 4, 5)] == [True, False, False, False, True]


def test_tags_come_in_one_order():
    assert in_order(set(TAGS)) == TAGS
