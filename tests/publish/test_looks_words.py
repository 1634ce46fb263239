"""Planned looks in words: a trial that goes on, one that ended early, and what the looks before said."""

from datetime import date

import pytest

from fairtank.inference import judge
from fairtank.publish.looks_words import LOOKS_HEAD, earlier_looks_words, look_words, looks_method, looks_rows
from fairtank.publish.phrases import plain_text
from fairtank.trial import Plan
from inference.trials import event, levels, looks, measure, plan_of

PLAN = plan_of(looks=looks((14, 28, 42), (0.005, 0.010, 0.035)))


def judged(*, last=42, events=(), day=None, plan=PLAN):
    return judge(plan, levels((10, 12, 11), (24, 25, 27), days=range(last + 1)), events, day=day)[0]


def test_a_trial_that_goes_on_says_so_and_what_the_looks_to_come_may_spend():
    assert plain_text(look_words(judged(last=30))) == (
        "The trial goes on: this is planned look 2 of 3, on day 28. The look still to come, on day 42, may spend 3.5 % of the 5 %.")
    assert plain_text(look_words(judged(last=20))) == (
        "The trial goes on: this is planned look 1 of 3, on day 14. The 2 looks still to come, the next on day 28, may spend 4.5 % of the "
        "5 %.")


def test_a_trial_that_was_stopped_says_which_look_it_is():
    found = judged(events=[event([], 30, 30, "keep", "stop")])
    assert look_words(found) == "The trial ended on day 30; this is planned look 2 of 3, on day 28."


def test_a_finding_at_its_end_a_spoilt_one_and_one_without_looks_say_nothing_of_looks():
    assert look_words(judged()) == look_words(judged(last=5)) == look_words(judged(plan=plan_of())) == ""
    assert look_words(judged(events=[event([], 5, 5, "keep", "stop")])) == ""


def test_the_looks_before_are_told_in_a_sentence_and_in_rows():
    found = judged()
    assert plain_text(earlier_looks_words(found)) == ("Planned looks before this one: day 14: differs (99.5 % interval); day 28: differs "
                                                      "(99 % interval).")
    rows = [tuple(plain_text(cell) for cell in row) for row in looks_rows(found)]
    assert [(row[0], row[2], row[4]) for row in rows] == [("day 14", "99.5 %", "differs"), ("day 28", "99 %", "differs")]
    assert all(row[1].endswith("against 11 %") and " to " in row[1] and row[3] == "below 0.001" for row in rows)
    assert len(LOOKS_HEAD) == len(rows[0])
    assert (earlier_looks_words(judged(plan=plan_of())), looks_rows(judged(plan=plan_of()))) == ("", ())


def test_a_look_without_an_interval_says_none():
    plan = plan_of(1, 1, looks=looks((14, 42), (0.01, 0.04)), choice=measure())
    row = looks_rows(judge(plan, levels((10,), (24,)))[0])[0]
    assert (row[3], row[4]) == ("none", "alone")
    assert "no interval" in row[1]


@pytest.mark.parametrize(("plan", "told"), [
    (PLAN, "3 looks at the primary measure were planned (day 14: 0.5 %, day 28: 1 %, day 42: 3.5 %). Looking early costs: every planned "
           "look spends a share of the 5 % of false alarms, and all shares together stay within it. On any other day no interval is told, "
           "however often somebody looks."),
    (plan_of(looks=looks((42,), (0.05,))), ""),
    (Plan("t", date(2026, 3, 1), 42, "side_by_side", (), (), ()), ""),
])
def test_the_methods_tell_the_budget(plan, told):
    assert plain_text(looks_method(plan)) == told
