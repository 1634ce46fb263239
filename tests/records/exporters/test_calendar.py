"""The calendar: parsed back by two readers it holds exactly the planned tasks, and it keeps its identifiers when the plan changes."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache

import pytest

from checking import every
from fairtank.build import Device, Setup, Tank
from fairtank.chore import Chore, Slip
from fairtank.planning.schedule.rules import recurrence_of
from fairtank.planning.schedule.tasks import schedule_of
from fairtank.records.exporters.calendar import calendar_bytes, trial_scope, uid_of
from fairtank.trial import Arm, Looks, MeasureChoice, Plan, Unit

PLAN = Plan(title="Half the feeding, twice", start=date(2026, 3, 4), days=60, kind="run_in", run_in_days=7,
            arms=(Arm("R", "reference"), Arm("C", "changed")), units=(Unit("T1", "R"), Unit("T2", "C"), Unit("T3", "R")),
            measures=(MeasureChoice("algae_cover", "primary"),), looks=Looks((14, 60), (0.01, 0.04)))
WORDS = ("every day", "every 3 days", "weekly", "on Sunday and Wednesday", "every 2 weeks on Monday", "once on day 10", "every month",
         "every 5 days, 4 times", "FREQ=MONTHLY;BYDAY=1FR,-1SU", "FREQ=MONTHLY;BYMONTHDAY=1,15,-1", "FREQ=DAILY;BYDAY=MO,TH;UNTIL=20260401",
         "FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,SU;WKST=SU", "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2", "FREQ=YEARLY;BYMONTH=3,4;BYDAY=SA")


def chore(words, number=0, **more):
    found, first = recurrence_of(words), more.pop("from_day", 0)
    return Chore(f"c{number}", f"Chore {number}; with, marks", "dose", found.rule, from_day=found.day or first, at=time(18, number),
                 minutes=7, **more)


CHORES = tuple(chore(words, number, units=("T2",) if number % 2 else ()) for number, words in enumerate(WORDS))
SLIPS = (Slip(20, 2, "away"), Slip(40, 3, "again"))


@cache
def calendar(slips=()):
    """The calendar of all chores after some slips."""
    return calendar_bytes(PLAN, schedule_of(PLAN, CHORES, slips))


def wanted(schedule):
    """Start of each task with its title; the plan's days by their date."""
    return Counter((task.date if task.is_plan_day else task.due_at, task.chore.title) for task in schedule.tasks)


def title_of(summary):
    return str(summary).removesuffix(" (T2)")


def by_icalendar(content):
    """Starts and titles that icalendar reads and dateutil expands."""
    from dateutil.rrule import rrulestr
    from icalendar import Calendar

    found = Counter()
    for event in Calendar.from_ical(content).walk("VEVENT"):
        if event.get("status") == "CANCELLED":
            continue
        start = event["dtstart"].dt
        starts = [start] if "rrule" not in event else rrulestr(event["rrule"].to_ical().decode(), dtstart=start)
        found.update((moment, title_of(event["summary"])) for moment in starts)
    return found


def by_vobject(content):
    """Starts and titles that vobject reads and expands."""
    import vobject

    found = Counter()
    for event in vobject.readOne(content.decode()).vevent_list:
        if getattr(event, "status", None) and event.status.value == "CANCELLED":
            continue
        start, rules = event.dtstart.value, event.getrruleset()
        starts = list(rules) if rules is not None else [start]
        found.update((moment, title_of(event.summary.value)) for moment in starts)
    return found


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
@pytest.mark.parametrize("slips", [(), SLIPS[:1], SLIPS], ids=["as planned", "one slip", "two slips"])
@pytest.mark.parametrize("read", [by_icalendar, by_vobject])
def test_two_readers_find_exactly_the_planned_tasks(read, slips):
    assert read(calendar(slips)) == wanted(schedule_of(PLAN, CHORES, slips))


@every("words", WORDS)
@every("from_day", [1, 12])
def test_a_recurring_event_begins_on_the_first_day_on_which_its_rule_falls(words, from_day):
    schedule = schedule_of(PLAN, (chore(words, from_day=from_day),))
    assert by_icalendar(calendar_bytes(PLAN, schedule)) == wanted(schedule)


def events(content):
    from icalendar import Calendar

    return {str(event["uid"]): event for event in Calendar.from_ical(content).walk("VEVENT")}


def test_every_event_has_an_identifier_of_its_own():
    from icalendar import Calendar

    for slips in ((), SLIPS):
        uids = [str(event["uid"]) for event in Calendar.from_ical(calendar(slips)).walk("VEVENT")]
        assert len(uids) == len(set(uids))


def test_the_same_chore_keeps_its_identifier_and_its_number_goes_up_when_it_slips():
    first, second, third = (events(calendar(slips)) for slips in ((), SLIPS[:1], SLIPS))
    assert first.keys() <= second.keys() <= third.keys(), "what stood in the calendar is moved or taken back, never left behind"
    daily = uid_of(PLAN, CHORES[0])
    assert [int(one[daily]["sequence"]) for one in (first, second, third)] == [0, 1, 2]
    assert [one[daily]["rrule"]["count"] for one in (first, second, third)] == [[61], [20], [20]]
    moved = uid_of(PLAN, CHORES[0], 45)
    assert [one[moved]["dtstart"].dt - datetime.combine(PLAN.start, time(18)) for one in (second, third)] == [
        timedelta(days=47), timedelta(days=50)]
    for later, earlier in ((second, first), (third, second)):
        for uid in earlier:
            is_same = later[uid]["dtstart"].dt == earlier[uid]["dtstart"].dt and later[uid].get("rrule") == earlier[uid].get("rrule")
            assert is_same or int(later[uid]["sequence"]) > int(earlier[uid]["sequence"])


def test_what_fell_out_after_it_had_moved_is_taken_back_and_a_chore_wholly_moved_gives_up_its_recurring_event():
    late = replace(chore("every 10 days"), from_day=30)
    third = events(calendar_bytes(PLAN, schedule_of(PLAN, (late,), (Slip(5, 9, "late"), Slip(50, 9, "later")))))
    gone = {uid for uid, event in third.items() if event.get("status") == "CANCELLED"}
    assert gone == {uid_of(PLAN, late), uid_of(PLAN, late, 50)}
    assert str(third[uid_of(PLAN, late)]["dtstart"].dt) == "2026-04-03 18:00:00"


def test_the_days_of_the_plan_are_whole_days_without_an_alarm():
    found = list(events(calendar_bytes(PLAN, schedule_of(PLAN, CHORES), alarm_min=15)).values())
    plan_days = [event for event in found if str(event["categories"].cats[0]) == "plan"]
    assert [event["dtstart"].dt for event in plan_days] == [PLAN.start + timedelta(days=day) for day in (0, 7, 14, 60, 60)]
    assert not any(event.walk("VALARM") for event in plan_days)
    alarms = [alarm for event in found for alarm in event.walk("VALARM")]
    assert len(alarms) == len(CHORES)
    assert {alarm["trigger"].dt for alarm in alarms} == {timedelta(minutes=-15)}


def test_the_same_schedule_gives_the_same_bytes_and_the_stamp_comes_from_outside():
    schedule = schedule_of(PLAN, CHORES, SLIPS)
    assert calendar_bytes(PLAN, schedule) == calendar(SLIPS)
    assert b"DTSTAMP:20260304T000000Z" in calendar(SLIPS)
    stamped = calendar_bytes(PLAN, schedule, stamp=datetime(2026, 2, 1, 12, 30, tzinfo=UTC))
    assert stamped.count(b"DTSTAMP:20260201T123000Z") == stamped.count(b"BEGIN:VEVENT")


def test_times_float_with_the_keepers_clock_and_lines_are_folded_with_carriage_returns():
    long = replace(CHORES[0], title="Ä" * 90, note="ß" * 300)
    content = calendar_bytes(PLAN, schedule_of(PLAN, (long,), SLIPS))
    lines = content.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    assert b"TZID" not in content
    assert b"DTSTART:20260304T180000\r\n" in content
    content.decode("utf-8")


def test_a_new_title_changes_no_identifier_and_other_tanks_do():
    assert trial_scope(replace(PLAN, title="Another name")) == trial_scope(PLAN)
    assert trial_scope(replace(PLAN, units=PLAN.units[:2])) != trial_scope(PLAN)


def test_a_chore_that_touches_water_carries_its_cautions():
    setup = Setup((Tank("A", 450, 280, 360, 5, 315),), (("T1", "A"),), 4.0, devices=(Device("gas", "co2"),))
    kinds = {kind: Chore(kind, kind, kind, "FREQ=WEEKLY", at=time(9)) for kind in ("water_change", "trim", "photo", "light")}
    found = events(calendar_bytes(PLAN, schedule_of(PLAN, tuple(kinds.values())), setup=setup))
    said = {kind: str(found[uid_of(PLAN, one)]["description"]) for kind, one in kinds.items()}
    assert all("unplug before a hand goes into the water" in said[kind] for kind in ("water_change", "trim", "light"))
    assert "unplug" not in said["photo"]
    assert "One litre weighs one kilogram" in said["water_change"]


def test_where_rounds_follow_one_another_the_recurring_event_names_no_tank_of_one_round():
    units = (Unit("T1", "R", round="one"), Unit("T2", "C", round="one"), Unit("T3", "R", round="two"), Unit("T4", "C", round="two"))
    plan = replace(PLAN, kind="rounds", run_in_days=0, round_days=30, looks=Looks(), units=units)
    schedule = schedule_of(plan, CHORES[:1], SLIPS[1:])
    content = calendar_bytes(plan, schedule)
    found = events(content)
    assert str(found[uid_of(plan, CHORES[0])]["summary"]) == CHORES[0].title
    assert "Tanks: those of the round that runs." in str(found[uid_of(plan, CHORES[0])]["description"])
    assert str(found[uid_of(plan, CHORES[0], 45)]["summary"]) == f"{CHORES[0].title} (T3 and T4)"
