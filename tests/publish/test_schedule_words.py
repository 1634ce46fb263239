"""A schedule in words and on paper."""

from dataclasses import replace
from datetime import time, timedelta

import pytest
from tests.planning.setups import midday
from tests.planning.test_schedule_tasks import AWAY, CHORES, PHOTOS, PLAN, WATER, done, photo

from fairtank.build import Device
from fairtank.chore import Chore, Slip
from fairtank.planning.schedule.days import day_list, states_of
from fairtank.planning.schedule.tasks import doings_from, planned_tasks, schedule_of
from fairtank.publish.schedule_pages import DaysContent, _heads, days_pdf
from fairtank.publish.schedule_words import (
    ahead_words,
    amount_words,
    caution_keys,
    chore_words,
    day_words,
    light_words,
    missed_words,
    overdue_words,
    slip_words,
    today_words,
    touched_words,
)
from fairtank.science.cautions import CAUTIONS
from fairtank.trial import TrialFolder


def listed(day, doings=None, slips=()):
    doings = doings or doings_from()
    return day_list(planned_tasks(PLAN, CHORES, slips, doings), doings, day, ahead_days=2)


def test_the_days_list_names_time_tanks_and_minutes():
    assert today_words(listed(7), PLAN) == ["  By the plan: the change starts", "  18:00 Water change (T1 and T3)", "  18:20 Photos",
                                            "In all about 39 minutes."]


def test_what_is_done_in_part_names_the_tanks_that_are_left():
    doings = doings_from(chores_done=[done("water", "T1", 7), *(done("photos", unit, 7) for unit in ("T1", "T2", "T3"))])
    assert today_words(listed(7, doings), PLAN)[1:] == ["  18:00 Water change: left in T3", "  18:20 Photos: done", "In all about 15 "
     "minutes."]


def test_a_day_without_chores_says_so():
    plan_only = day_list(planned_tasks(PLAN, ()), doings_from(), 3)
    assert today_words(plan_only, PLAN) == ["Nothing is to be done today."]


def test_overdue_and_missed_are_told_apart():
    doings = doings_from(photos=[photo(unit, day) for unit in ("T1", "T2", "T3") for day in (0, 1, 2, 5)])
    found = listed(9, doings)
    assert overdue_words(found, PLAN) == ["Overdue:", "  18:00 Tests, due on day 6", "  18:00 Water change (T1 and T3), due on day 7"]
    assert missed_words(found) == ["Not done, or not written down, when it was due: Water change on day 0; Photos on days 3, 4 and 6 to "
     "8. Do not "
                                   "make up for it in one tank alone."]
    assert (overdue_words(listed(0), PLAN), missed_words(listed(0))) == ([], [])


def test_the_next_days_stand_on_a_line_each():
    assert ahead_words(listed(12), PLAN) == ["The next days:", "  day 13, Sat 03-14: 18:00 Tests; 18:20 Photos",
                                             "  day 14, Sun 03-15: planned look; 18:00 Water change (T1 and T3); 18:20 Photos"]


def test_what_moved_says_from_which_day():
    assert today_words(listed(15, slips=(AWAY,)), PLAN)[0] == "  18:00 Tests [moved from day 13]"


def test_a_slip_is_told_with_what_fell_out_of_it():
    slips = (AWAY, Slip(41, 1, "late"))
    schedule = schedule_of(PLAN, CHORES, slips)
    assert slip_words(slips, schedule)[:2] == [
        "Slip on day 10 by 2 days: away.",
        "Left out, because it would come after the last day: Photos (2 times), Tests (once) and Water change (once)."]
    assert slip_words(slips, schedule, only=2)[0] == "Slip on day 41 by 1 day: late."


def test_a_slip_on_days_of_the_plan_asks_for_an_amendment_only_where_the_plan_is_sealed():
    touched = schedule_of(PLAN, CHORES, (AWAY,)).touched
    stay, free = touched_words(touched, 1, is_sealed=False)
    assert stay == ("The days that are judged stay as the plan has them: day 14 (planned look), day 42 (planned look) and day 42 (last "
     "day that "
                    "counts).")
    assert "amended" not in free
    assert "the plan must be amended" in touched_words(touched, 1, is_sealed=True)[1]
    assert touched_words(touched, 2, is_sealed=True) == []


@pytest.mark.parametrize(("day", "told"), [(5, "Day 5 of 42, Friday 2026-03-06"), (-1, "Saturday 2026-02-28: 1 day before the trial "
 "starts"),
                                           (44, "Tuesday 2026-04-14: 2 days after the last day that counts, day 42")])
def test_the_head_of_a_day_says_where_it_lies(day, told):
    assert day_words(day, PLAN.start + timedelta(days=day), PLAN) == told


@pytest.mark.parametrize(("chore", "told"), [
    (WATER, "on Sunday at 18:00"), (Chore("x", "x", "trim", "FREQ=DAILY;COUNT=1", from_day=9, at=time(7, 5)), "once, on day 9, at 07:05"),
    (Chore("x", "x", "trim", "FREQ=MONTHLY;BYDAY=1FR", from_day=9, until_day=20), "by the rule FREQ=MONTHLY;BYDAY=1FR from day 9 until "
     "day 20 at 18:00"),
])
def test_a_rhythm_is_told_in_words(chore, told):
    assert chore_words(chore) == told


def test_amounts_are_told_for_each_tank():
    dose = Chore("d", "d", "dose", "FREQ=DAILY", amount=2.5, unit_of_measure="mL")
    assert amount_words(dose) == "2.5\xa0mL in each tank"


def test_cautions_follow_what_is_done_and_what_is_built():
    assert caution_keys((PHOTOS,), None) == ()
    assert caution_keys((WATER,), None) == ("mains", "weight")
    setup = replace(midday(), devices=(Device("gas", "co2"),))
    salt = Chore("d", "d", "dose", "FREQ=DAILY", quantity="potassium_nitrate")
    assert caution_keys((salt,), setup) == ("dry_salts", "co2_cylinder", "co2_animals")
    assert set(caution_keys((WATER, Chore("t", "t", "trim", "FREQ=DAILY")), setup)) <= CAUTIONS.keys()


def test_light_is_told_in_one_sentence():
    assert light_words(midday())[0].startswith("Light: 8 h a day, ")
    assert light_words(None) == []


def test_the_pages_are_the_same_bytes_each_time_and_hold_many_tanks(tmp_path):
    doings = doings_from(chores_done=[done("water", "T1", 7)])
    schedule = schedule_of(PLAN, CHORES, (AWAY,), doings)
    content = DaysContent(TrialFolder(tmp_path, PLAN, "sha256:x", slips=(AWAY,)), states_of(schedule.tasks, doings), schedule)
    first = days_pdf(content)
    assert first.startswith(b"%PDF")
    assert first == days_pdf(content)


@pytest.mark.parametrize(("names", "heads", "legend"), [
    (["T1", "T2"], ["T1", "T2"], ""),
    (["left tank", "T2"], ["1", "2"], "The columns: 1 left tank; 2 T2."),
    ([f"T{number}" for number in range(12)], [f"T{number}" for number in range(12)], ""),
    ([f"T{number}" for number in range(17)], ["17 tanks"], ""),
])
def test_columns_of_boxes_are_headed_by_what_fits(names, heads, legend):
    assert _heads(names) == (heads, legend)
