"""What is to be done on which day, what a slip moves, what was done, and what a day asks for."""

from dataclasses import replace
from datetime import date, datetime, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank.chore import Chore, ChoreDone, Slip
from fairtank.planning.schedule.days import day_list, states_of
from fairtank.planning.schedule.doing import doings_of
from fairtank.planning.schedule.plan_days import change_day, plan_chores
from fairtank.planning.schedule.tasks import doings_from, minutes_by_day, planned_tasks, schedule_of
from fairtank.trial import Arm, Event, Looks, MeasureChoice, Photo, Plan, Reading, Unit

PLAN = Plan(title="Half the feeding", start=date(2026, 3, 1), days=42, kind="run_in", run_in_days=7,
            arms=(Arm("R", "reference"), Arm("C", "changed")), units=(Unit("T1", "R"), Unit("T2", "C"), Unit("T3", "R")),
            measures=(MeasureChoice("algae_cover", "primary"),), looks=Looks((14, 42), (0.01, 0.04)))
PHOTOS = Chore("photos", "Photos", "photo", "FREQ=DAILY", at=time(18, 20), minutes=9)
TESTS = Chore("tests", "Tests", "test", "FREQ=WEEKLY", from_day=6, minutes=18, quantity="nitrate")
WATER = Chore("water", "Water change", "water_change", "FREQ=WEEKLY;BYDAY=SU", minutes=30, units=("T1", "T3"))
CHORES = (PHOTOS, TESTS, WATER)
AWAY = Slip(10, 2, "away")


def done(chore, unit, day, due=None, kind="other"):
    return ChoreDone(unit, chore, kind, due, datetime(2026, 3, 1 + day, 19), day)


def photo(unit, day):
    return Photo(f"{unit}-{day}.jpg", unit, datetime(2026, 3, 1 + day, 18, 30), day)


def reading(unit, day, quantity):
    return Reading(unit, datetime(2026, 3, 1 + day, 18, 30), day, quantity, 5.0, "mg/L")


def days(tasks, key):
    return tuple(task.day for task in tasks if task.chore.key == key)


def test_each_chore_falls_on_its_days_in_its_units():
    tasks = planned_tasks(PLAN, CHORES)
    assert days(tasks, "photos") == tuple(range(43))
    assert days(tasks, "tests") == (6, 13, 20, 27, 34, 41)
    assert days(tasks, "water") == (0, 7, 14, 21, 28, 35, 42)
    water = next(task for task in tasks if task.chore.key == "water" and task.day == 14)
    assert (water.units, water.date, water.at) == (("T1", "T3"), date(2026, 3, 15), time(18, 0))


def test_first_and_last_day_of_a_chore_are_kept():
    short = replace(PHOTOS, from_day=3, until_day=5)
    assert days(planned_tasks(PLAN, (short,)), "photos") == (3, 4, 5)
    assert days(planned_tasks(PLAN, (replace(PHOTOS, from_day=-2, until_day=99),)), "photos") == tuple(range(-2, 43))


def test_tasks_stand_in_the_order_of_the_clock_with_the_plan_first():
    tasks = planned_tasks(PLAN, CHORES)
    assert [task.chore.key for task in tasks if task.day == 7] == ["plan:change", "water", "photos"]
    assert tasks == tuple(sorted(tasks, key=lambda task: (task.day, task.at)))


@pytest.mark.parametrize(("changes", "told"), [
    ({}, {"plan:start": 0, "plan:change": 7, "plan:look:14": 14, "plan:look:42": 42, "plan:last": 42}),
    ({"kind": "side_by_side", "run_in_days": 0, "looks": Looks()}, {"plan:change": 0, "plan:last": 42}),
    ({"kind": "swap", "run_in_days": 0, "swap_day": 20, "washout_days": 5, "looks": Looks()},
     {"plan:start": 0, "plan:swap": 20, "plan:counts": 25, "plan:last": 42}),
    ({"kind": "drawn_start", "run_in_days": 0, "start_window": (10, 23), "looks": Looks()},
     {"plan:start": 0, "plan:draw": 10, "plan:last": 42}),
    ({"kind": "drawn_start", "run_in_days": 0, "start_window": (10, 23), "drawn_day": 15, "looks": Looks()},
     {"plan:start": 0, "plan:change": 15, "plan:last": 42}),
    ({"kind": "rounds", "run_in_days": 0, "round_days": 21, "looks": Looks(),
      "units": (Unit("T1", "R", round="one"), Unit("T2", "C", round="two"))},
     {"plan:change": 0, "plan:round:two": 21, "plan:last": 42}),
    ({"kind": "pairs", "run_in_days": 0, "days": 0, "looks": Looks()}, {"plan:change": 0}),
])
def test_the_days_of_the_plan_are_tasks_of_each_design(changes, told):
    plan = replace(PLAN, **changes)
    assert {chore.key: chore.from_day for chore in plan_chores(plan)} == told
    assert {task.chore.key: task.day for task in planned_tasks(plan, ()) if task.is_plan_day} == told


def test_the_day_of_the_change_is_unknown_until_it_is_drawn():
    plan = replace(PLAN, kind="drawn_start", run_in_days=0, start_window=(10, 23))
    assert (change_day(plan), change_day(replace(plan, drawn_day=15)), change_day(PLAN)) == (None, 15, 7)


def test_a_slip_moves_what_was_not_done_and_nothing_before_it():
    schedule = schedule_of(PLAN, CHORES, (AWAY,))
    assert days(schedule.tasks, "photos") == (*range(10), *range(12, 43))
    assert days(schedule.tasks, "tests") == (6, 15, 22, 29, 36)
    assert [(task.chore.key, task.planned_day, task.day) for task in schedule.left_out] == [
        ("photos", 41, 43), ("photos", 42, 44), ("tests", 41, 43), ("water", 42, 44)]
    moved = next(task for task in schedule.tasks if task.chore.key == "tests" and task.day == 15)
    assert (moved.planned_day, moved.date, moved.slipped_by) == (13, date(2026, 3, 16), (1,))


def test_the_days_of_the_plan_never_move_and_the_slip_says_which_it_touches():
    before, after = schedule_of(PLAN, CHORES), schedule_of(PLAN, CHORES, (AWAY, Slip(20, 3, "again")))
    assert [task for task in before.tasks if task.is_plan_day] == [task for task in after.tasks if task.is_plan_day]
    assert [(one.slip, one.day) for one in after.touched] == [(1, 14), (1, 42), (1, 42), (2, 42), (2, 42)]


def test_what_was_done_stays_where_it_was_when_the_rest_slips():
    doings = doings_from(chores_done=(done("water", "T1", 8, due=14), done("tests", "T2", 13, due=13)),
                         photos=tuple(photo(unit, 10) for unit in ("T1", "T2", "T3")))
    schedule = schedule_of(PLAN, CHORES, (AWAY,), doings)
    assert days(schedule.tasks, "photos")[9:12] == (9, 10, 13), "the photos of day 10 were taken; those of day 11 move to day 13"
    assert days(schedule.tasks, "water")[:4] == (0, 7, 14, 23), "the water change of day 14 was done ahead"
    assert days(schedule.tasks, "tests")[:2] == (6, 15), "a doing after the free days belongs to what moved there"


def test_two_slips_add_up():
    tasks = schedule_of(PLAN, (TESTS,), (AWAY, Slip(16, 1, "late"))).tasks
    assert days(tasks, "tests") == (6, 15, 23, 30, 37)
    assert [task.slipped_by for task in tasks if task.chore.key == "tests"] == [(), (1,), (1, 2), (1, 2), (1, 2)]


SLIPS = st.lists(st.builds(Slip, st.integers(0, 42), st.integers(1, 9), st.just("x")), max_size=3)
DONE = st.lists(st.tuples(st.sampled_from(("photos", "tests", "water")), st.sampled_from(("T1", "T2", "T3")), st.integers(0, 42),
                          st.none() | st.integers(0, 42)), max_size=6)


@settings(max_examples=40, deadline=None)
@given(SLIPS, DONE)
def test_no_task_is_lost_or_doubled_whatever_slips(slips, rows):
    doings = doings_of([ChoreDone(unit, chore, "other", due, datetime(2026, 3, 1), day) for chore, unit, day, due in rows], (), ())
    first, after = schedule_of(PLAN, CHORES), schedule_of(PLAN, CHORES, slips, doings)
    identity = sorted((task.chore.key, task.planned_day) for task in (*after.tasks, *after.left_out))
    assert identity == sorted((task.chore.key, task.planned_day) for task in first.tasks)
    assert all(task.day == task.planned_day + sum(slips[number - 1].by_days for number in task.slipped_by) for task in after.tasks)
    assert all(0 <= task.day <= PLAN.days for task in after.tasks)
    assert all(task.day > PLAN.days for task in after.left_out)


def test_photos_of_every_unit_make_a_photo_chore_done_and_readings_a_test():
    doings = doings_from(photos=(photo("T1", 3), photo("T2", 3), photo("T3", 3), photo("T1", 4)),
                         readings=(reading("T1", 7, "NO3"), reading("T2", 6, "pH"), reading("T3", 5, "NO3")))
    states = {(state.task.chore.key, state.task.day): state for state in states_of(planned_tasks(PLAN, CHORES), doings)}
    assert states["photos", 3].is_done
    assert (states["photos", 4].done, states["photos", 4].left) == (("T1",), ("T2", "T3"))
    assert states["tests", 6].done == ("T1",), "read a day late counts, before its day or of another quantity does not"


def test_an_event_called_like_a_chore_makes_it_done():
    at = datetime(2026, 3, 8, 19)
    everywhere = doings_from(events=(Event((), at, None, 7, 7, "Water change"),))
    one = doings_from(events=(Event(("T3",), at, None, 7, 7, "water-change"), Event((), at, None, 7, 7, "lamp timer")))
    tasks = planned_tasks(PLAN, CHORES)
    found = [next(state for state in states_of(tasks, doings) if (state.task.chore.key, state.task.day) == ("water", 7))
             for doings in (everywhere, one)]
    assert [state.done for state in found] == [("T1", "T3"), ("T3",)]


def test_a_day_tells_what_is_due_overdue_missed_and_ahead():
    doings = doings_from(chores_done=[done("water", "T1", 7)], photos=[photo(unit, 8) for unit in ("T1", "T2", "T3")])
    found = day_list(planned_tasks(PLAN, CHORES), doings, 9, ahead_days=2)
    assert [state.task.chore.key for state in found.today] == ["photos"]
    assert [(state.task.chore.key, state.task.day, state.left) for state in found.overdue] == [
        ("tests", 6, ("T1", "T2", "T3")), ("water", 7, ("T3",))]
    assert {(state.task.chore.key, state.task.day) for state in found.missed} == {
        ("water", 0), *(("photos", day) for day in range(8))}
    assert [state.task.day for state in found.ahead] == [10, 11]
    assert found.minutes == 9


def test_minutes_are_told_by_day_and_halve_where_half_is_left():
    tasks = planned_tasks(PLAN, CHORES)
    assert minutes_by_day(tasks)[0] == 39
    assert sum(minutes_by_day(tasks).values()) == 43 * 9 + 6 * 18 + 7 * 30
    half = day_list(tasks, doings_from(chores_done=[done("water", "T1", 14)]), 14)
    assert half.minutes == 9 + 15


def test_where_rounds_follow_one_another_only_the_tanks_of_the_round_that_runs_have_chores():
    units = (Unit("T1", "R", round="one"), Unit("T2", "C", round="one"), Unit("T3", "R", round="two"), Unit("T4", "C", round="two"))
    plan = replace(PLAN, kind="rounds", run_in_days=0, round_days=21, looks=Looks(), units=units)
    tasks = planned_tasks(plan, (PHOTOS, replace(WATER, units=("T3",))))
    photos = {task.day: task.units for task in tasks if task.chore.key == "photos"}
    assert (photos[20], photos[21], photos[42]) == (("T1", "T2"), ("T3", "T4"), ("T3", "T4"))
    assert days(tasks, "water") == (21, 28, 35, 42)
