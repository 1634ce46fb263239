"""What a trial still waits for, in a sentence: a day that lies ahead, a look to come, or values that nobody brought in."""

from datetime import timedelta

from fairtank.inference import judge
from fairtank.publish.not_read import why_not_read
from fairtank.publish.phrases import plain_text
from inference.trials import event, levels, looks, plan_of

PLAN = plan_of()
END = PLAN.start + timedelta(days=PLAN.days)


def why(plan=PLAN, *, last, events=(), today=None, judged_on=None):
    findings = judge(plan, levels((10, 12, 11), (24, 25, 27), days=range(last + 1)), events, today=judged_on)
    return plain_text(why_not_read(findings, plan, today))


def test_a_trial_that_runs_waits_for_its_reading_day():
    told = why(last=19, judged_on=20, today=PLAN.start + timedelta(days=20))
    assert told == f"No finding yet: the trial is not over; values reach day 19 of {PLAN.days}. It is read on day {PLAN.days}, {END}."


def test_a_trial_past_its_end_whose_values_stop_early_promises_no_day_but_says_what_is_missing():
    told = why(last=19, judged_on=PLAN.days + 30, today=END + timedelta(days=30))
    assert told == (f"No finding yet: the trial is not over; values reach day 19 of {PLAN.days}. By the plan its last day is past: bring "
                    "in the values up to then, or record an event of the kind “stop”, for all tanks, on the day on which it was ended.")
    assert "It is read on" not in told


def test_a_trial_past_its_end_of_which_nothing_was_recorded_says_so():
    told = plain_text(why_not_read(judge(PLAN, (), today=PLAN.days + 30), PLAN, END + timedelta(days=30)))
    assert told.startswith("No finding yet: the trial is not over; no value has been recorded. By the plan its last day is past")


def test_what_is_asked_for_helps():
    stopped = why(last=19, events=[event([], 19, 19, "keep", "stop")], judged_on=PLAN.days + 30, today=END + timedelta(days=30))
    assert "not over" not in stopped, "an event of the kind stop ends the waiting"
    assert why(last=PLAN.days, judged_on=PLAN.days + 30, today=END + timedelta(days=30)) == ""


def test_a_trial_at_a_planned_look_waits_for_the_last_one():
    plan = plan_of(looks=looks((14, 28, 42), (0.005, 0.010, 0.035)))
    assert why(plan, last=30) == f"It is read for the last time on day 42, {plan.start + timedelta(days=42)}."
