"""Water tests as series: one unit for a whole measure, limits carried along."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from tests.inference.trials import plan_of

from fairtank.records.readings import in_unit, is_convertible, reading_series, unit_of
from fairtank.trial import MeasureChoice, Reading, TrialFolder

NITRATE = MeasureChoice("nitrate", "primary", unit_of_measure="mg/L NO3")


def reading(unit, day, value, *, quantity="nitrate", unit_of_measure="mg/L NO3", below=False, hour=18):
    return Reading(unit, datetime(2026, 3, 1, hour) + timedelta(days=day), day, quantity, value, unit_of_measure, "drops", below)


def series(*readings, choice=NITRATE):
    return reading_series(TrialFolder(Path("trial"), plan_of(2, 1, choice=choice), "sha256:0", readings=readings), choice)


def test_tests_become_one_series_per_tank_with_their_limits_and_count_as_ready_made():
    first, second = series(reading("C1", 4, 2.0, below=True), reading("R1", 8, 6.0), reading("R1", 1, 5.0),
                           reading("R1", 1, 9.0, quantity="kh"))
    assert (first.unit, first.days, first.values, first.below) == ("R1", (1, 8), (5.0, 6.0), (False, False))
    assert (second.unit, second.values, second.below, second.ready_made, second.scored) == ("C1", (2.0,), (True,), True, False)


def test_several_tests_of_a_day_stay_several_in_the_order_of_their_hours():
    (one,) = series(reading("R1", 2, 7.0, hour=20), reading("R1", 2, 5.0, hour=9))
    assert (one.days, one.values) == ((2, 2), (5.0, 7.0))


def test_nitrogen_is_told_as_nitrate_by_the_molar_masses():
    (one,) = series(reading("R1", 1, 1.0, unit_of_measure="mg/L N"), reading("R1", 2, 2.0, unit_of_measure="mg/L N", below=True))
    assert one.values == pytest.approx((62.0049 / 14.0067, 2 * 62.0049 / 14.0067))
    assert one.below == (False, True)


def test_a_unit_in_words_of_ones_own_is_taken_as_it_is_where_all_have_it():
    assert in_unit(5.0, "drops", "drops") == 5.0
    assert is_convertible("ug/L", "mg/L")
    assert not is_convertible("drops", "mg/L")
    assert not is_convertible("mg/L NO3", "mg/L")


def test_the_unit_is_the_plan_s_else_that_of_fairtank_s_own_measure():
    asked = (("nitrate", "mg/L"), ("canopy_height", ""), ("ph", ""))
    assert [unit_of(MeasureChoice(key, unit_of_measure=unit)) for key, unit in asked] == ["mg/L", "cm", ""]
