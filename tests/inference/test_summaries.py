"""Stage 1: what becomes of a unit's series, gap by gap and event by event."""

import math

import pytest

from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.inference.series.scales import Scale
from fairtank.inference.series.summaries import recorded_of, scale_of, unit_summary
from fairtank.trial import Series
from inference.trials import event, level, measure, plan_of

DAYS_42 = tuple(range(43))


def summary_of(series, *, scale="logit", treated=(0, 42), run_in=None, events=(), keep_gaps=False):
    """The summary of unit R1 of a two-unit trial."""
    plan = plan_of(1, 1, days=60)
    question = settle_question(plan, measure(scale), treated=treated, run_in=run_in, sources=())
    recorded = recorded_of(question, Record(tuple(series), tuple(events)))
    return unit_summary(question, recorded, scale_of(question, recorded), plan.units[0], keep_gaps=keep_gaps)


def test_a_constant_cover_is_its_logit():
    summary = summary_of([level("R1", 25)])
    assert summary.z == pytest.approx(math.log(1 / 3), rel=1e-11)
    assert (summary.days, summary.spoilt, summary.treated_mean, summary.clipped_days) == (43, None, summary.z, 0)


def test_the_median_is_taken_before_the_scale_and_the_clipping():
    """Two photos at 0 and 10 % are one day at 5 %, not the middle of two logits."""
    days = tuple(day for day in DAYS_42 for _ in range(2))
    summary = summary_of([Series("R1", "cover", days, (0.0, 10.0) * 43)])
    assert summary.z == pytest.approx(math.log(5 / 95), rel=1e-11)
    assert summary.clipped_days == 0


def test_a_rising_logit_gives_the_mean_of_its_ends_with_unevenly_spaced_photos():
    days = (0, 1, 2, 3, 9, 14, 20, 27, 33, 40, 42)
    values = tuple(Scale("logit").back(-3 + 0.05 * day) for day in days)
    assert summary_of([Series("R1", "cover", days, values)]).z == pytest.approx(-3 + 0.05 * 21, rel=1e-10)


def test_days_outside_the_window_are_never_used():
    inside = level("R1", 10, days=range(10, 21))
    outside = Series("R1", "cover", (*range(10), *inside.days, *range(21, 40)), (99.0,) * 10 + inside.values + (99.0,) * 19)
    assert summary_of([outside], treated=(10, 20)) == summary_of([inside], treated=(10, 20))


def test_the_order_in_which_days_come_does_not_matter():
    values = tuple(10.0 + day for day in DAYS_42)
    assert summary_of([Series("R1", "cover", DAYS_42[::-1], values[::-1])]) == summary_of([Series("R1", "cover", DAYS_42, values)])


def test_shifting_a_logit_series_shifts_z_by_as_much():
    def shifted(step):
        scale = Scale("logit")
        return Series("R1", "cover", DAYS_42, tuple(scale.back(-1 + 0.02 * day + step) for day in DAYS_42))

    assert summary_of([shifted(0.7)]).z - summary_of([shifted(0.0)]).z == pytest.approx(0.7, rel=1e-10)


def test_the_change_is_the_treated_mean_less_the_run_in_mean_and_skips_the_step_between():
    scale = Scale("logit")
    series = Series("R1", "cover", tuple(range(57)), tuple(scale.back(-2.0 if day < 14 else -0.5) for day in range(57)))
    summary = summary_of([series], treated=(14, 56), run_in=(0, 13))
    assert summary.z == pytest.approx(1.5, rel=1e-10)
    assert summary.treated_mean == pytest.approx(-0.5, rel=1e-10)
    assert summary.days == 43


@pytest.mark.parametrize(("days", "reason"), [
    ((*range(20), *range(28, 43)), "R1 has no value between day 19 and day 28, a gap of 9 days; more than 7 spoil it."),
    (range(34), "R1 has no value between day 33 and day 42, a gap of 9 days; more than 7 spoil it."),
    (range(8, 43), "R1 has no value between day 0 and day 8, a gap of 8 days; more than 7 spoil it."),
    ((), "R1 has no value from day 0 to day 42."),
])
def test_a_spoilt_unit_says_why(days, reason):
    summary = summary_of([level("R1", 10, days=days)])
    assert (summary.z, summary.treated_mean, summary.spoilt) == (None, None, reason)


def test_a_unit_without_a_series_is_spoilt():
    assert summary_of([]).spoilt == "R1 has no value from day 0 to day 42."


def test_keeping_gaps_draws_the_straight_line_across():
    days = (*range(11), *range(31, 43))
    summary = summary_of([Series("R1", "cover", days, tuple(10.0 + day for day in days))], scale="identity", keep_gaps=True)
    assert summary.z == pytest.approx(10 + 21)


@pytest.mark.parametrize(("days", "reason"), [
    ((0, 1, 2, 3, 4, 5, 6, 12, 13), "R1 has values on 9 days from day 0 to day 13; at least 10 are needed (run-in)."),
    (range(6), "R1 has no value between day 5 and day 13, a gap of 8 days; more than 7 spoil it (run-in)."),
])
def test_a_run_in_needs_ten_days_and_no_gap(days, reason):
    assert summary_of([level("R1", 10, days=(*days, *range(14, 43)))], treated=(14, 42), run_in=(0, 13)).spoilt == reason


def test_a_run_in_with_ten_days_is_enough():
    assert summary_of([level("R1", 10, days=(*range(14), *range(14, 43)))], treated=(14, 42), run_in=(4, 13)).spoilt is None


def test_excluded_days_are_dropped_and_then_the_gap_rule_applies():
    series = [Series("R1", "cover", DAYS_42, tuple(90.0 if 10 <= day <= 15 else 10.0 for day in DAYS_42))]
    dropped = summary_of(series, events=[event(["R1"], 10, 15, "exclude_window")])
    assert dropped.z == pytest.approx(math.log(1 / 9), rel=1e-11)
    assert dropped.days == 37
    spoilt = summary_of(series, events=[event(["R1"], 10, 16, "exclude_window")])
    assert spoilt.spoilt == "R1 has no value between day 9 and day 17, a gap of 8 days; more than 7 spoil it."


def test_an_event_can_take_the_whole_unit_out():
    summary = summary_of([level("R1", 10)], events=[event(["R1"], 12, 12, "exclude_unit", "overdose", "ten times the dose")])
    assert summary.spoilt == "R1 was taken out by an event on day 12: overdose (ten times the dose)."


def test_clipped_days_are_counted_in_the_treated_window():
    series = Series("R1", "cover", DAYS_42, (0.0,) * 10 + (50.0,) * 33)
    assert summary_of([series]).clipped_days == 10
    assert summary_of([series], scale="identity").clipped_days == 0


def end_point(unit, value, *, day=42, ready_made=True):
    return Series(unit, "cover", (day,), (value,), ready_made=ready_made)


def test_one_ready_made_reading_day_stands_for_the_whole_window():
    summary = summary_of([end_point("R1", 4.2), end_point("C1", 5.0)], scale="identity")
    assert (summary.z, summary.days, summary.spoilt) == (4.2, 1, None)


def test_a_lost_plant_does_not_forbid_the_end_point_and_is_spoilt_itself():
    assert summary_of([end_point("C1", 5.0)], scale="identity").spoilt == "R1 has no value on day 42."


@pytest.mark.parametrize("series", [
    [end_point("R1", 4.2, ready_made=False), end_point("C1", 5.0)],  # from a photo
    [end_point("R1", 4.2), end_point("C1", 5.0, day=41)],  # two reading days
])
def test_anything_else_keeps_the_gap_rule(series):
    assert "a gap of 42 days" in summary_of(series, scale="identity").spoilt


def test_an_event_can_take_the_end_point_out():
    series = [end_point("R1", 4.2), end_point("C1", 5.0)]
    assert summary_of(series, scale="identity", events=[event(["R1"], 42, 42, "exclude_window")]).spoilt == "R1 has no value on day 42."


def test_a_change_cannot_be_read_from_one_day():
    series = [end_point("R1", 4.2), end_point("C1", 5.0)]
    assert "a gap of" in summary_of(series, scale="identity", treated=(14, 42), run_in=(0, 13)).spoilt
