"""A trial that is still running has no finding yet; one that went wrong is spoilt."""

from dataclasses import replace

import pytest

from fairtank.inference import compare, judge
from fairtank.inference.earlier.borrowing import entries_of
from fairtank.publish.sentences import sentence
from inference.trials import event, levels, looks, measure, plan_of

REFERENCE, CHANGED = [10, 12, 11], [14, 15, 17]


def reason(*, days=range(12), events=(), reference=REFERENCE, changed=CHANGED, choice=None, **more):
    """Why the trial has no finding; its 42 days were photographed on these only."""
    choice = choice or measure()
    plan = plan_of(len(reference), len(changed), choice=choice, **more)
    found = compare(plan, choice, levels(reference, changed, days=days), events)
    return found.spoilt_reason if found.grade == "spoilt" else found.grade


def test_a_running_trial_says_how_far_its_values_reach():
    assert reason() == "The trial is not over: values reach day 11 of 42."
    found = compare(plan_of(), measure(), levels(REFERENCE, CHANGED, days=range(12)))
    assert found.grade == "spoilt"
    assert sentence(found) == "No finding yet: the trial is not over; values reach day 11 of 42."


def test_a_secondary_measure_of_a_running_trial_waits_too():
    measures = (measure(key="first"), measure(key="second", role="secondary"))
    series = [one for key in ("first", "second") for one in levels(REFERENCE, CHANGED, key=key, days=range(12))]
    found = judge(plan_of(measures=measures), series)
    assert [one.spoilt_reason for one in found] == ["The trial is not over: values reach day 11 of 42."] * 2


@pytest.mark.parametrize(("last", "told"), [(34, "The trial is not over: values reach day 34 of 42."), (35, "differs")])
def test_a_week_before_the_end_the_trial_counts_as_over(last, told):
    assert reason(days=range(last + 1), changed=[30, 31, 32]) == told


def test_the_first_days_of_a_trial_are_no_gap():
    assert reason(days=[0]) == "The trial is not over: values reach day 0 of 42."
    assert reason(days=[0, 3, 6]) == "The trial is not over: values reach day 6 of 42."


@pytest.mark.parametrize(("today", "waits"), [(3, True), (7, True), (8, False), (None, True)])
def test_an_arm_without_a_value_waits_while_its_first_one_can_still_count(today, waits):
    series = [one for one in levels(REFERENCE, CHANGED, days=range(4)) if one.unit.startswith("R")]
    found = judge(plan_of(), series, today=today)[0]
    assert found.spoilt_reason.startswith("The trial is not over" if waits else "no usable unit in plain and dimmed")


def test_the_end_of_a_window_is_the_end_that_counts():
    assert reason(choice=measure(window=(5, 30))) == "The trial is not over: values reach day 11 of 30."


def test_a_gap_in_every_unit_of_an_arm_is_a_spoilt_trial_all_the_same():
    days = [0, 1, 2, 11, 12]
    assert reason(days=days).startswith("no usable unit in plain and dimmed: R1 has no value between day 12 and day 42")


def test_one_unit_that_waits_in_each_arm_is_enough():
    out = [event(["C1", "C2"], 4, 4, "exclude_unit", "leak")]
    assert reason(events=out) == "The trial is not over: values reach day 11 of 42."
    lost = [*out, event(["C3"], 4, 4, "exclude_unit", "leak")]
    assert reason(events=lost).startswith("no usable unit in plain and dimmed")


def test_photographed_days_that_were_taken_out_do_not_make_a_trial_run_on():
    assert reason(days=range(43), events=[event([], 12, 42, "exclude_window")]).startswith("no usable unit in plain and dimmed")


def test_without_any_value_the_trial_has_not_begun_and_is_not_called_spoilt():
    found = compare(plan_of(), measure(), ())
    assert found.spoilt_reason == "The trial is not over: no value has been recorded."
    assert sentence(found).startswith("No finding yet: ")
    header_only = [replace(one, days=(), values=()) for one in levels(REFERENCE, CHANGED)]
    assert compare(plan_of(), measure(), header_only).spoilt_reason == found.spoilt_reason


def test_a_measure_without_a_value_in_a_trial_with_others_is_spoilt_at_the_end():
    measures = (measure(key="first"), measure(key="second", role="secondary"))
    first, second = judge(plan_of(measures=measures), levels(REFERENCE, CHANGED, key="first"))
    assert (first.grade != "spoilt", second.spoilt_reason.startswith("no usable unit in plain and dimmed")) == (True, True)
    early = judge(plan_of(measures=measures), levels(REFERENCE, CHANGED, key="first"), today=42)[1]
    assert early.spoilt_reason == "The trial is not over: this measure has no value yet. It is read on day 42, 2026-04-12."


@pytest.mark.parametrize("last", [5, 13, 20])
def test_a_trial_within_or_after_its_run_in_is_running(last):
    told = reason(days=range(last + 1), kind="run_in", run_in_days=14, choice=measure(summary="change"))
    assert told == f"The trial is not over: values reach day {last} of 42."


def test_a_run_in_that_cannot_be_used_any_more_spoils_a_running_trial():
    days = [0, 1, 2, 11, 12, 13, 14, 15]
    assert "(run-in)" not in reason(days=days, kind="run_in", run_in_days=14, choice=measure(summary="change"))
    assert reason(days=days, kind="run_in", run_in_days=14, choice=measure(summary="change")).startswith("no usable unit")


def test_a_running_trial_tells_nothing_of_what_other_ways_would_give():
    running = compare(plan_of(), measure(), levels(REFERENCE, CHANGED, days=range(12)))
    assert running.spoilt_reason.startswith("The trial is not over")
    assert running.alternatives == ()


APART = [30, 31, 32]


def read_on(today, *, last=35, **more):
    """The finding of a trial of 42 days whose values reach that day, read on the day `today`."""
    return judge(plan_of(**more), levels(REFERENCE, APART, days=range(last + 1)), today=today)[0]


@pytest.mark.parametrize("today", [35, 36, 41, 42])
def test_up_to_the_reading_day_a_trial_without_its_last_value_is_not_read(today):
    found = read_on(today)
    assert found.spoilt_reason == "The trial is not over: values reach day 35 of 42. It is read on day 42, 2026-04-12."
    assert (found.estimate, found.low, found.p_value, found.shuffle_p, found.natural) == (None,) * 5
    assert (found.n_reference, found.alternatives, [unit.z for unit in found.units]) == (0, (), [None] * 6)
    assert entries_of(plan_of(), [found], tank_litres=50) == ()


@pytest.mark.parametrize(("today", "last"), [(43, 35), (42, 42), (40, 42), (400, 42)])
def test_with_a_value_on_the_last_day_or_after_it_the_trial_is_read(today, last):
    found = read_on(today, last=last)
    assert (found.grade, found.cautions) == ("differs", ())
    assert len(entries_of(plan_of(), [found], tank_litres=50)) == 1


def test_after_the_last_day_the_gap_rule_decides_as_before():
    assert read_on(43, last=34).spoilt_reason == "The trial is not over: values reach day 34 of 42."


def test_where_nobody_knows_the_day_the_finding_says_where_its_values_end_and_adds_no_entry():
    found = read_on(None)
    assert (found.grade, found.cautions) == ("differs", ("Values end on day 35 of 42.",))
    assert entries_of(plan_of(), [found], tank_litres=50) == ()
    assert read_on(None, last=42).cautions == ()


def test_a_trial_that_went_wrong_is_spoilt_before_its_end_too():
    out = [event(["C1", "C2", "C3"], 4, 4, "exclude_unit", "leak")]
    found = judge(plan_of(), levels(REFERENCE, APART, days=range(36)), out, today=36)[0]
    assert found.spoilt_reason.startswith("no usable unit in dimmed")


def test_read_day_after_day_a_trial_finds_nothing_before_its_end():
    grades = [read_on(today, last=today - 1).grade for today in range(35, 43)]
    assert grades == ["spoilt"] * 8


def test_the_last_planned_look_waits_for_its_day_and_the_one_before_stands():
    planned = {"looks": looks([28, 42], [0.01, 0.04])}
    found = read_on(40, **planned)
    assert dict(found.facts)["looks_left"] == 1
    assert found.window == (0, 28)
    assert read_on(43, **planned).window == (0, 42)
    asked = judge(plan_of(**planned), levels(REFERENCE, APART, days=range(28)), day=28, today=28)[0]
    assert asked.spoilt_reason == "The trial is not over: values reach day 27, the look is on day 28"
    later = judge(plan_of(**planned), levels(REFERENCE, APART, days=range(28)), day=28, today=29)[0]
    assert later.grade == "differs"
