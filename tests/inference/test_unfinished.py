"""A trial that is still running has no finding yet; one that went wrong is spoilt."""

import pytest

from fairtank.inference import compare, judge
from fairtank.publish.sentences import sentence
from inference.trials import event, levels, measure, plan_of

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


def test_no_value_at_all_is_a_spoilt_trial():
    assert compare(plan_of(), measure(), ()).spoilt_reason.startswith("no usable unit")


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
