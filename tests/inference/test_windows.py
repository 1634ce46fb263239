"""The trapezoid by hand, the gap rule at its edges, and how a run-in splits the window."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.errors import DesignError
from fairtank.inference.series.windows import check_window, longest_gap, split_window, time_weighted_mean, trouble
from inference.trials import measure, plan_of


@pytest.mark.parametrize(("points", "window", "by_hand"), [
    ([(0, 1.0), (4, 3.0)], (0, 4), 2.0),
    # 0..2 held at 1: area 2; 2..4 from 1 to 5: area 6; 4..10 held at 5: area 30. 38 / 10
    ([(2, 1.0), (4, 5.0)], (0, 10), 3.8),
    # three photos close together do not outweigh one far off: 0..1: .5, 1..2: 1, 2..10: from 1 to 5: 24. 25.5 / 10
    ([(0, 0.0), (1, 1.0), (2, 1.0), (10, 5.0)], (0, 10), 2.55),
    ([(5, 7.0)], (0, 10), 7.0),
    ([(3, 7.0)], (3, 3), 7.0),
])
def test_the_time_weighted_mean_equals_the_area_by_hand(points, window, by_hand):
    assert time_weighted_mean(points, window) == pytest.approx(by_hand, rel=1e-14)


POINTS = st.lists(st.tuples(st.integers(0, 60), st.floats(-5, 5)), min_size=1, max_size=40, unique_by=lambda point: point[0])


@given(POINTS, st.floats(-9, 9))
def test_a_shift_of_all_values_shifts_the_mean_by_as_much(points, shift):
    points = sorted(points)
    moved = [(day, value + shift) for day, value in points]
    assert time_weighted_mean(moved, (0, 60)) == pytest.approx(time_weighted_mean(points, (0, 60)) + shift, abs=1e-11)


@given(POINTS)
def test_the_mean_lies_between_the_smallest_and_the_largest_value(points):
    mean = time_weighted_mean(sorted(points), (0, 60))
    values = [value for _, value in points]
    assert min(values) - 1e-12 <= mean <= max(values) + 1e-12


def test_a_day_on_the_line_between_its_neighbours_changes_nothing():
    two, three = [(0, 0.0), (10, 10.0)], [(0, 0.0), (4, 4.0), (10, 10.0)]
    assert time_weighted_mean(three, (0, 10)) == pytest.approx(time_weighted_mean(two, (0, 10)))


FIVE = [0, 7, 14, 21, 28]


def test_a_gap_of_seven_days_is_allowed_and_one_of_eight_spoils():
    assert trouble(FIVE, (0, 28), fewest=5) is None
    assert trouble([0, 7, 14, 21, 29], (0, 29), fewest=5) == "has no value between day 21 and day 29, a gap of 8 days; more than 7 spoil it"


@pytest.mark.parametrize(("window", "is_spoilt"), [((0, 20), False), ((0, 21), True), ((-7, 13), False), ((-8, 13), True)])
def test_the_edges_of_the_window_count_as_gaps(window, is_spoilt):
    assert bool(trouble(list(range(14)), window, fewest=5)) == is_spoilt


def test_keeping_gaps_leaves_the_number_of_days_as_the_only_rule():
    assert trouble([0, 1, 2, 3, 40], (0, 40), fewest=5, keep_gaps=True) is None
    assert "at least 5 are needed" in trouble([0, 1, 40], (0, 40), fewest=5, keep_gaps=True)


def test_too_few_days_are_told_in_a_sentence():
    assert trouble([1, 3, 5, 9], (0, 10), fewest=5) == "has values on 4 days from day 0 to day 10; at least 5 are needed"
    assert trouble([3], (0, 6), fewest=5) == "has values on 1 day from day 0 to day 6; at least 5 are needed"
    assert trouble([], (0, 10), fewest=5) == "has no value from day 0 to day 10"
    assert trouble([], (7, 7), fewest=5) == "has no value on day 7"


def test_a_window_shorter_than_five_days_needs_all_of_them():
    assert trouble([4, 5, 6], (4, 6), fewest=5) is None
    assert trouble([4, 6], (4, 6), fewest=5) == "has values on 2 days from day 4 to day 6; at least 3 are needed"


def test_the_longest_gap_is_named_by_its_ends():
    assert longest_gap([3, 4, 12], (0, 14)) == (4, 12)
    assert longest_gap([9], (0, 14)) == (0, 9)


@pytest.mark.parametrize(("window", "split"), [
    (None, ((0, 13), (14, 56))), ((1, 56), ((1, 13), (14, 56))), ((20, 40), ((0, 13), (20, 40))), ((14, 14), ((0, 13), (14, 14))),
])
def test_the_run_in_ends_on_the_day_before_the_change(window, split):
    assert split_window(plan_of(kind="run_in", days=56, run_in_days=14), measure(window=window)) == split


def test_without_run_in_days_there_is_no_run_in_window():
    assert split_window(plan_of(kind="run_in", days=56), measure()) == (None, (0, 56))


def test_a_window_that_ends_within_the_run_in_is_refused():
    with pytest.raises(DesignError, match="The window of cover ends on day 10, before the change starts on day 14"):
        split_window(plan_of(kind="run_in", run_in_days=14), measure(window=(0, 10)))


@pytest.mark.parametrize("window", [(5, 4), (-1, 20), (0, 43)])
def test_a_window_outside_the_trial_is_refused(window):
    with pytest.raises(DesignError, match=f"The window of cover is day {window[0]} to day {window[1]}; accepted: .* from day 0 to day 42"):
        check_window(measure(), plan_of(days=42), window)
