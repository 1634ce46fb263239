"""The proposed schedule: photos, tests, light, water changes and doses as often as setup.toml says."""

from dataclasses import replace

import pytest
from tests.planning.setups import midday
from tests.planning.test_schedule_tasks import PLAN
from tests.planning.test_schedule_tasks import days as days_of

from fairtank.build import Dose, Light, Material, Scope, SourceWater, WaterPlan
from fairtank.planning.schedule.proposing import default_chores, light_settings
from fairtank.planning.schedule.tasks import planned_tasks
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.schedule_toml import schedule_from_text
from fairtank.records.folder.schedule_toml_writer import text_from_schedule
from fairtank.trial import Unit

SIX = replace(PLAN, units=tuple(Unit(f"T{number}", arm) for number, arm in enumerate("RCRCCR", start=1)))
FEED = Material("feed", "liquid", "invented feed")
TAP = SourceWater("tap", 7, 4)
FOUR_WEEKS = replace(SIX, days=27, looks=type(SIX.looks)())


def setup_of(**changes):
    """The invented setup without light, water and doses but those given."""
    return replace(replace(midday(), materials=(FEED,), doses=(), water=(), light=()), **changes)


def test_without_a_setup_photos_and_tests_are_proposed_and_a_trim_where_there_is_time():
    assert [(chore.key, chore.kind) for chore in default_chores(PLAN)] == [("photos", "photo"), ("tests", "test"), ("trim", "trim")]
    assert [chore.key for chore in default_chores(replace(PLAN, days=10))] == ["photos", "tests"]


@pytest.mark.parametrize("times", range(1, 8))
def test_whole_numbers_a_week_are_kept_exactly_in_each_week(times):
    setup = setup_of(doses=(Dose("feed", volume_ml=2, doses_per_week=times),),
                     water=(WaterPlan(TAP, change_fraction=0.3, changes_per_week=times),))
    tasks = planned_tasks(FOUR_WEEKS, default_chores(FOUR_WEEKS, setup))
    for key in ("dose_feed", "water_change"):
        assert [sum(day // 7 == week for day in days_of(tasks, key)) for week in range(4)] == [times] * 4


def test_one_water_change_a_week_stands_at_the_end_of_the_week_after_tests_and_photos():
    chores = default_chores(SIX, setup_of(water=(WaterPlan(TAP, change_fraction=0.3),)))
    tasks = [task for task in planned_tasks(SIX, chores) if task.day == 6]
    assert [task.chore.key for task in tasks] == ["photos", "tests", "water_change"]
    assert tasks[2].chore.amount == 0.3


@pytest.mark.parametrize(("times", "days"), [(0.5, (14, 28, 42)), (3.5, tuple(range(2, 43, 2))), (0.25, (28,))])
def test_other_rhythms_go_by_days(times, days):
    chores = default_chores(SIX, setup_of(water=(WaterPlan(TAP, change_fraction=0.3, changes_per_week=times),)))
    water = next(chore for chore in chores if chore.key == "water_change")
    assert days_of(planned_tasks(SIX, (water,)), "water_change") == days
    assert "nearest" not in water.note


def test_a_rhythm_that_no_days_give_says_so():
    doses = Dose("feed", volume_ml=2, doses_per_week=2.6), Dose("feed", mass_mg=5, doses_per_week=10)
    chores = default_chores(SIX, setup_of(doses=doses))
    notes = [chore.note for chore in chores if chore.kind == "dose"]
    assert notes == ["setup.toml says 2.6 times a week: this is the nearest even rhythm of days.",
                     "setup.toml says 10 times a week: this is the nearest even rhythm of days."]


def test_two_doses_a_day_are_two_chores_and_one_per_litre_names_no_amount():
    setup = setup_of(doses=(Dose("feed", volume_ml=1, doses_per_week=14), Dose("feed", mass_mg=4, per_litre=True)))
    doses = {chore.key: chore for chore in default_chores(SIX, setup) if chore.kind == "dose"}
    assert doses.keys() == {"dose_feed", "dose_feed_2", "dose_feed_3"}
    assert doses["dose_feed"].at != doses["dose_feed_2"].at
    assert (doses["dose_feed"].rule, doses["dose_feed"].amount, doses["dose_feed"].unit_of_measure) == ("FREQ=DAILY", 1, "mL")
    assert doses["dose_feed_3"].amount is None
    assert doses["dose_feed_3"].title == "Dose invented feed, 4 mg for each litre of water in each tank"


def test_a_line_for_some_units_becomes_a_chore_of_these_and_no_arm_is_named():
    setup = setup_of(light=(Light(45, 8, scope=Scope(arms=("R",))), Light(40, 6, scope=Scope(arms=("C",)))),
                     doses=(Dose("feed", volume_ml=1, scope=Scope(units=("T2", "T4"))), Dose("feed", volume_ml=1, doses_per_week=0)))
    chores = {chore.key: chore for chore in default_chores(SIX, setup)}
    assert (chores["light"].units, chores["light_2"].units) == (("T1", "T3", "T6"), ("T2", "T4", "T5"))
    assert chores["dose_feed"].units == ("T2", "T4")
    assert "dose_feed_2" not in chores
    assert [(one.units, one.hours_per_day) for one in light_settings(setup)] == [(("T1", "T3", "T6"), 8), (("T2", "T4", "T5"), 6)]


@pytest.mark.parametrize("setup", [None, midday(), setup_of(materials=(replace(FEED, key="a/b..c\\" + "x" * 70, title=""),),
                                                            doses=(Dose("a/b..c\\" + "x" * 70, volume_ml=1),))],
                         ids=["none", "midday", "odd names"])
def test_every_proposal_can_be_read_as_it_was_written(setup):
    chores, problems = default_chores(SIX, setup), Problems()
    draft = Draft(plan=SIX, units=tuple(unit.key for unit in SIX.units), start=SIX.start, days=SIX.days)
    doubts = Problems()
    read = schedule_from_text(text_from_schedule(chores), draft, problems, doubts)
    assert (problems.sentences(), doubts.sentences(), read.chores) == ((), (), chores)


def test_short_trials_are_proposed_tests_too():
    short = replace(SIX, days=3, run_in_days=1, looks=type(SIX.looks)())
    assert days_of(planned_tasks(short, default_chores(short)), "tests") == (3,)
