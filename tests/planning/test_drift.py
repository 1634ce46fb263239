"""The drift watch: what moves all tanks moves nothing here, what one arm or one tank does alone is found, and alarms stay rare."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from tests.planning.drifting import DAYS, at, doses, folder_of, levels, plan_of

from fairtank.build import Dose, Scope, Setup
from fairtank.planning.drift.control import Contrast, course_of
from fairtank.planning.drift.diary import records_of
from fairtank.planning.drift.scatter import Scatter, correlation, scatter_of, scatter_of_two
from fairtank.planning.drift.watched import BY_KEY, WATCHED, natural_scatter
from fairtank.planning.drift.watching import FALSE_ALARM_SHARE, watch
from fairtank.registry import entries
from fairtank.trial import Event, MeasureChoice, Photo


def factor(folder, key, part=""):
    return next(one for one in watch(folder).factors if (one.key, one.part) == (key, part))


def in_arm(arm, since, size):
    return lambda unit, day: size if unit.arm == arm and day >= since else 0.0


def test_every_watched_factor_is_declared_among_the_factors():
    declared = {entry.key for entry in entries("factor")}
    assert {one.key for one in WATCHED} <= declared


def test_the_error_of_a_drop_test_is_that_of_the_calculators():
    fast, slow = natural_scatter(BY_KEY["kh"], 4.0)
    assert fast == pytest.approx(0.5 / 3**0.5)
    assert slow == 0.2


def test_an_arm_that_warms_up_is_found_with_its_day_and_its_size():
    plan = plan_of()
    found = factor(folder_of(plan, levels(plan, "temperature", 24.0, 0.15, seed=1, moved=in_arm("C", 21, 1.0))), "temperature")
    departure = found.departures[0]
    assert (found.state, departure.kind, departure.arm, departure.against) == ("arms", "arms", "C", "R")
    assert 19 <= departure.since_day <= 23
    assert 21 <= departure.noticed_day <= 28
    assert departure.low < 1.0 < departure.high


def test_what_moves_all_tanks_alike_moves_nothing():
    plan = plan_of()
    readings = levels(plan, "temperature", 24.0, 0.15, seed=2)
    warm = [replace(one, value=one.value + 0.2 * one.day) for one in readings]
    still, moving = (factor(folder_of(plan, rows), "temperature").charts for rows in (readings, warm))
    assert moving[0].smooth == pytest.approx(still[0].smooth, abs=1e-9)
    assert moving[0].limits == pytest.approx(still[0].limits, abs=1e-9)


def test_a_level_that_was_another_from_the_first_day_is_no_drift():
    plan = plan_of()
    readings = levels(plan, "kh", 4.0, 0.2, seed=3, days=range(0, 43, 7), moved=in_arm("C", 0, 2.0), step=0.5)
    assert factor(folder_of(plan, readings), "kh").state == "steady"


def test_a_failing_heater_is_told_as_one_tank_and_not_as_its_arm():
    plan = plan_of()
    readings = levels(plan, "temp_c", 24.0, 0.15, seed=4, moved=lambda unit, day: -3.0 if unit.key == "T2" and day >= 20 else 0.0)
    found = factor(folder_of(plan, readings), "temperature")
    assert (found.state, [one.unit for one in found.departures]) == ("tank", ["T2"])
    assert found.departures[0].high < 0


def test_of_two_tanks_that_part_the_one_further_from_the_other_arm_is_named():
    plan = plan_of(2)
    for key, other in (("T2", "T4"), ("T4", "T2")):
        readings = levels(plan, "temperature", 24.0, 0.1, seed=5, moved=lambda unit, day, key=key: -3.0 * (unit.key == key and day >= 20))
        departure = factor(folder_of(plan, readings), "temperature").departures[0]
        assert (departure.kind, departure.unit, departure.other) == ("tank", key, other)
        assert departure.size < 0


def test_a_departure_that_came_back_is_told_as_over():
    plan = plan_of()
    readings = levels(plan, "temperature", 24.0, 0.1, seed=6, moved=lambda unit, day: 2.0 * (unit.arm == "C" and 18 <= day <= 24))
    departure = factor(folder_of(plan, readings), "temperature").departures[0]
    assert departure.is_over
    assert 18 <= departure.since_day <= 20


def test_a_tenth_less_dosed_is_found_and_told_as_a_share():
    plan = plan_of()
    given = doses(plan, 1.0, seed=7, moved=lambda unit, day: 0.9 if unit.arm == "C" and day >= 14 else 1.0)
    departure = factor(folder_of(plan, chores=given), "doses", "nitrate").departures[0]
    assert departure.kind == "arms"
    assert departure.share == pytest.approx(-0.1, abs=0.02)


def test_one_tank_in_an_arm_finds_three_degrees_and_says_that_it_stands_alone():
    plan = plan_of(1)
    found = watch(folder_of(plan, levels(plan, "temperature", 24.0, 0.15, seed=8, moved=in_arm("C", 20, 3.0))))
    assert found.has_single_arm
    assert found.factors[0].state == "arms"


def test_inside_pairs_what_differs_from_pair_to_pair_drops_out():
    plan = plan_of(3)
    plan = replace(plan, kind="pairs", units=tuple(replace(unit, pair=f"P{place // 2}") for place, unit in enumerate(plan.units)))
    readings = levels(plan, "temperature", 24.0, 0.1, seed=9)
    shifted = [replace(one, value=one.value + (2.0 if one.unit in ("T1", "T2") and one.day >= 20 else 0.0)) for one in readings]
    one, other = (next(chart for chart in factor(folder_of(plan, rows), "temperature").charts if chart.kind == "arms")
                  for rows in (readings, shifted))
    assert other.smooth == pytest.approx(one.smooth, abs=1e-9)


def test_tanks_read_on_unlike_days_are_compared_week_by_week():
    plan = plan_of()
    readings = [replace(one, day=one.day + 3 * (one.unit in ("T2", "T4", "T6")))
                for one in levels(plan, "gh", 7.0, 0.2, seed=10, days=range(0, 39, 7))]
    record = records_of(folder_of(plan, readings))[0]
    assert record.days == (3, 10, 17, 24, 31, 38)
    assert factor(folder_of(plan, readings), "gh").state == "steady"


def test_what_the_change_is_meant_to_move_is_not_watched():
    plan = replace(plan_of(), change_factors=("temperature",))
    readings = levels(plan, "temperature", 24.0, 0.15, seed=11, moved=in_arm("C", 0, 3.0))
    assert factor(folder_of(plan, readings), "temperature").state == "change"


def test_what_the_plan_judges_is_neither_watched_nor_called_missing():
    plan = replace(plan_of(), measures=(MeasureChoice("Temperature", "primary"),))
    readings = levels(plan, "temperature", 24.0, 0.15, seed=1, moved=in_arm("C", 21, 1.0))
    found = watch(folder_of(plan, readings))
    assert (found.factors, "temperature" in found.absent) == ((), False)


def test_doses_set_up_for_one_arm_are_the_change_itself():
    plan = plan_of()
    setup = Setup((), (), 6.0, doses=(Dose("feed", volume_ml=2.0, scope=Scope(arms=("C",))),))
    given = doses(plan, 1.0, seed=12, moved=lambda unit, day: 2.0 if unit.arm == "C" else 1.0)
    assert factor(folder_of(plan, chores=given, setup=setup), "doses", "nitrate").state == "change"


def test_too_few_readings_are_said_to_be_too_few():
    plan = plan_of()
    assert factor(folder_of(plan, levels(plan, "ph", 7.0, 0.05, seed=13, days=(0, 7))), "ph").state == "few"
    one_arm = [one for one in levels(plan, "ph", 7.0, 0.05, seed=13) if plan.arm_of(one.unit).role == "reference"]
    found = factor(folder_of(plan, one_arm), "ph")
    assert (found.state, found.why_few, found.unrecorded) == ("few", "nothing is written down for an arm", ("T2", "T4", "T6"))


def test_an_empty_diary_tells_nothing_and_names_what_is_absent():
    found = watch(folder_of(plan_of()))
    assert (found.factors, found.last_day, found.charts) == ((), -1, 0)
    assert len(found.absent) == len(WATCHED)


def test_a_week_that_is_not_over_does_not_count():
    plan = plan_of()
    given = [one for one in doses(plan, 1.0, seed=14) if one.day <= 25]
    record = records_of(folder_of(plan, chores=given))[0]
    assert record.days == (6, 13, 20)


def test_a_forgotten_dose_counts_as_none():
    plan = plan_of()
    given = [one for one in doses(plan, 1.0, seed=14) if not (one.unit == "T1" and 14 <= one.day < 21)]
    record = records_of(folder_of(plan, chores=given))[0]
    assert record.values["T1"][2] == 0.0


def test_photos_and_minutes_and_wipes_are_counted_by_week():
    plan = plan_of(1)
    photos = tuple(Photo(f"{unit.key}{day}.jpg", unit.key, at(day), day) for unit in plan.units for day in range(21))
    events = (Event((), at(3), None, 3, 3, "clean"), Event(("T1",), at(10), None, 10, 10, "trim"))
    found = {one.watched.key: one for one in records_of(folder_of(plan, chores=doses(plan, 1.0, seed=1), photos=photos, events=events))}
    assert found["photos_per_week"].values["T1"][:3] == (7.0, 7.0, 7.0)
    assert found["care_minutes"].values["T2"][0] == 4.0
    assert found["cleaning"].values == {"T1": (1.0, 1.0), "T2": (1.0, 0.0)}


def test_readings_in_another_unit_are_turned_into_the_factors_own():
    plan = plan_of(1)
    readings = [replace(one, value=one.value * 1.8 + 32, unit_of_measure="degF") for one in levels(plan, "temp", 24.0, 0.1, seed=2)]
    record = records_of(folder_of(plan, readings))[0]
    assert record.unit == "°C"
    assert record.values["T1"][0] == pytest.approx(24.0, abs=0.6)


def test_days_before_and_after_the_trial_are_left_out():
    plan = plan_of(1)
    readings = [replace(one, day=one.day + 30, taken_at=one.taken_at + timedelta(days=30)) for one in levels(plan, "ph", 7.0, 0.1, seed=2)]
    assert max(records_of(folder_of(plan, readings))[0].days) == DAYS


def contrast_of(days, until=-1):
    weights = np.vstack([np.ones(len(days)), -np.ones(len(days))])
    return Contrast(weights, tuple(days), np.zeros_like(weights), until)


def test_the_weighted_mean_has_the_closed_forms_of_equal_steps():
    """Roberts' moving average with weight w: mean of a constant d after i steps is d (1 - (1-w)^i), and its variance for readings without
    memory is w/(2-w) (1 - (1-w)^(2i)) times that of a reading."""
    days, weight = tuple(range(6, 42, 7)), 1 - np.exp(-1)
    values = np.vstack([np.ones(6), np.zeros(6)])
    course = course_of(contrast_of(days), values, Scatter(1.0, 1e9, 0.0), alarm_share=0.05, until_day=41)
    steps = np.arange(1, 7)
    assert course.smooth == pytest.approx(1 - (1 - weight) ** steps)
    assert course.ses**2 == pytest.approx(2 * weight / (2 - weight) * (1 - (1 - weight) ** (2 * steps)))


def test_the_chances_of_all_days_add_up_to_the_charts_share():
    from scipy.special import stdtr

    days = (2, 3, 9, 20, 41)
    course = course_of(contrast_of(days), np.zeros((2, 5)), Scatter(1.0, 12.0, 0.5), alarm_share=0.01, until_day=41)
    assert 2 * stdtr(12.0, -course.limits / course.ses).sum() == pytest.approx(0.01)


def test_scatter_of_like_tanks_is_found_again_without_and_with_a_part_that_lasts():
    chance, days = np.random.default_rng(20), tuple(range(0, 42, 2))
    present = np.ones((40, len(days)))
    for share in (0.0, 0.8):
        root = np.linalg.cholesky(correlation(days, share) + 1e-12 * np.eye(len(days)))
        values = 3.0 * chance.normal(0, 1, present.shape) @ root.T
        found = scatter_of(values, present, days, np.zeros_like(present), [tuple(range(20)), tuple(range(20, 40))], (0.1, 0.1))
        assert found.sd == pytest.approx(3.0, rel=0.12)
        assert abs(found.slow_share - share) <= 0.21


def test_scatter_is_never_below_that_of_the_reading_itself():
    days, present = (0, 7, 14, 21, 28), np.ones((4, 5))
    found = scatter_of(np.zeros((4, 5)), present, days, np.zeros((4, 5)), [(0, 1), (2, 3)], (0.3, 0.4))
    assert found.sd == pytest.approx(0.5)
    assert scatter_of_two(np.zeros(5), days, (0.3, 0.4)).sd == pytest.approx(0.5)


def test_where_no_arm_has_two_tanks_there_is_no_scatter_among_like_tanks():
    assert scatter_of(np.zeros((2, 3)), np.ones((2, 3)), (0, 7, 14), np.zeros((2, 3)), [(0,), (1,)], (0.1, 0.1)) is None


def test_a_jump_between_two_tanks_hardly_widens_their_own_limits():
    chance, days = np.random.default_rng(21), range(42)
    calm = chance.normal(0, 0.5, 42)
    jumped = calm + np.where(np.arange(42) >= 20, 5.0, 0.0)
    assert scatter_of_two(jumped, days, (0.1, 0.1)).sd <= 1.25 * scatter_of_two(calm, days, (0.1, 0.1)).sd


def test_trials_without_drift_are_rarely_called_out():
    """Forty trials; were the share 5 %, six or more alarms would come about once in fifty times. The benchmark has thousands."""
    alarms = 0
    for seed in range(40):
        plan = plan_of(2)
        readings = [*levels(plan, "temperature", 24.0, 0.15, seed=seed, days=range(0, 43, 3)),
                    *levels(plan, "kh", 4.0, 0.3, seed=100 + seed, days=range(0, 43, 7), step=0.5)]
        alarms += any(one.departures for one in watch(folder_of(plan, readings)).factors)
    assert alarms <= 5
    assert FALSE_ALARM_SHARE == 0.05
