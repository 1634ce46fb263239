"""The demo trials as data: allocated by lot, complete, dated, and marked as invented."""

from datetime import timedelta
from itertools import pairwise

import pytest

from fairtank.errors import InputError
from fairtank.simulation import scenario, scenario_names
from fairtank.simulation.demo import arms_by_lot
from fairtank.trial import DESIGN_KINDS, EFFECTS, SCALES, SUMMARIES, ZONE_KINDS

TRIALS = [scenario(name) for name in scenario_names()]


@pytest.fixture(params=TRIALS, ids=lambda trial: trial.name)
def trial(request):
    return request.param


def test_every_demo_trial_says_that_it_is_invented(trial):
    assert "invented" in trial.plan.title
    assert "Invented" in trial.plan.rationale


def test_every_demo_trial_uses_the_words_of_the_house(trial):
    plan = trial.plan
    assert plan.kind in DESIGN_KINDS
    assert all(choice.summary in SUMMARIES and choice.scale in SCALES for choice in plan.measures)
    assert [choice.role for choice in plan.measures].count("primary") == 1
    assert all(event.effect in EFFECTS for event in trial.events)
    assert all(zone.kind in ZONE_KINDS for zone in trial.zones)


def test_every_tank_is_photographed_without_a_gap_above_seven_days(trial):
    for unit in trial.plan.units:
        days = [photo.day for photo in trial.photos if photo.unit == unit.key]
        assert days[0] == 0
        assert days[-1] == trial.plan.days
        assert max(b - a for a, b in pairwise(days)) <= 7


def test_photos_have_one_path_each_and_lie_on_the_day_of_their_date(trial):
    assert len({photo.path for photo in trial.photos}) == len(trial.photos)
    assert all(photo.taken_at.date() == trial.plan.start + timedelta(days=photo.day) for photo in trial.photos)


def test_every_day_of_the_run_in_is_photographed():
    midday = scenario("midday")
    run_in = {(photo.unit, photo.day) for photo in midday.photos if photo.day < midday.plan.run_in_days}
    assert run_in == {(unit.key, day) for unit in midday.plan.units for day in range(10)}


def test_each_shelf_holds_one_tank_of_each_arm():
    blocks = {}
    for unit in scenario("midday").plan.units:
        blocks.setdefault(unit.block, set()).add(unit.arm)
    assert list(blocks.values()) == [{"R", "C"}] * 3


def test_the_lot_is_repeatable_and_fair():
    assert arms_by_lot(7, 3) == arms_by_lot(7, 3)
    first = [arms_by_lot(seed, 3)[0] for seed in range(400)]
    assert 160 < first.count("R") < 240


def test_strokes_are_asked_for_on_photos_that_exist_in_all_tanks_and_late(trial):
    assert set(trial.label_photos) <= set(trial.photos)
    assert {photo.unit for photo in trial.label_photos} == {unit.key for unit in trial.plan.units}
    assert max(photo.day for photo in trial.label_photos) == trial.plan.days


def test_zones_lie_inside_the_frame(trial):
    assert all(0 <= x <= 45 and 0 <= y <= 36 for zone in trial.zones for x, y in zone.polygon)


def test_an_unknown_demo_trial_is_refused():
    with pytest.raises(InputError, match="name is pond; accepted: midday, cover_glass"):
        scenario("pond")
