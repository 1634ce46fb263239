"""One value per unit and day, and the days that events take out."""

import pytest

from fairtank.errors import InputError
from fairtank.inference.series.days import daily_medians, excluding_event, median, series_of, without_excluded_days
from fairtank.trial import Series
from inference.trials import event, level, plan_of


@pytest.mark.parametrize(("values", "middle"), [([3.0], 3.0), ([1.0, 9.0, 2.0], 2.0), ([4.0, 1.0, 2.0, 100.0], 3.0)])
def test_the_median_is_the_middle_value(values, middle):
    assert median(values) == middle


def test_several_photos_of_a_day_become_their_median_and_days_come_in_order():
    series = {"R1": Series("R1", "cover", (5, 2, 5, 5), (10.0, 1.0, 90.0, 20.0))}
    assert list(daily_medians(series)["R1"].items()) == [(2, 1.0), (5, 20.0)]


def test_only_the_series_of_the_measure_are_taken():
    plan = plan_of(1, 1)
    found = series_of(plan, "cover", [level("R1", 5), level("R1", 9, key="height")])
    assert {unit: one.measure for unit, one in found.items()} == {"R1": "cover"}


@pytest.mark.parametrize(("series", "message"), [
    ([level("T9", 5)], "the unit of a series of cover is T9; accepted: R1, C1. Is it missing from the plan?"),
    ([level("R1", 5), level("R1", 6)], "the number of series of cover for R1 is 2 or more; accepted: 1. Values of two origins"),
    ([Series("R1", "cover", (1, 2), (3.0,))], "the series of cover for R1 is 2 days and 1 values; accepted: as many values as days"),
    ([Series("R1", "cover", (1,), (float("nan"),))], "cover of R1 on day 1 is nan; accepted: a finite number. Leave a missing value out."),
    ([Series("R1", "cover", (4,), (float("inf"),))], "cover of R1 on day 4 is inf"),
])
def test_a_series_that_cannot_be_used_is_refused(series, message):
    with pytest.raises(InputError, match=message):
        series_of(plan_of(1, 1), "cover", series)


DAILY = dict.fromkeys(range(10), 1.0)


def test_a_window_event_takes_its_days_out_with_both_ends():
    assert sorted(without_excluded_days("R1", DAILY, [event(["R1"], 3, 5, "exclude_window")])) == [0, 1, 2, 6, 7, 8, 9]


def test_an_event_of_other_units_or_without_effect_takes_nothing_out():
    events = [event(["C1"], 3, 5, "exclude_window"), event(["R1"], 3, 5, "keep"), event(["R1"], 3, 5, "exclude_unit")]
    assert without_excluded_days("R1", DAILY, events) == DAILY


def test_an_event_without_units_concerns_all_of_them():
    assert sorted(without_excluded_days("R1", DAILY, [event([], 0, 7, "exclude_window")])) == [8, 9]
    assert excluding_event("R1", [event([], 0, 0, "exclude_unit")]) is not None
    assert excluding_event("R1", [event(["C1"], 0, 0, "exclude_unit")]) is None
