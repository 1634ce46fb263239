"""The ensemble: seeded, paired over arms, alike however it is cut into parts; and what keepers see in new tanks."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from checking import every
from fairtank.errors import InputError, OutOfRangeError
from fairtank.simulation import tank
from fairtank.simulation.ecology.rates import ASSUMED, RATES, RECALLED, like_tanks
from fairtank.simulation.tank import (
    MEASURES,
    STATES,
    Dose,
    Light,
    Plants,
    TankSetup,
    WaterChange,
    drawn_parameters,
    joined,
    like_tank_spread,
    parts_of,
    safe_days,
    soil_start_changes,
    tank_course,
    tank_ensemble,
    usual_parameters,
    weekly_changes,
)
from fairtank.sources import SOURCES

PLANTED = TankSetup(events=soil_start_changes(60), plants=(Plants("stem", 0.2, "bunched"), Plants("carpet", 0.2, "in_vitro")),
                    co2_target_mg_l=20.0, surface="ripple")


@pytest.fixture(scope="module")
def weeks():
    """Sixty days of a planted tank, a bare one and one with nothing but a carpet over rich soil, two dozen draws."""
    carpet = replace(PLANTED, plants=(Plants("carpet", 0.2, "in_vitro"),))
    return tank_ensemble({"planted": PLANTED, "bare": replace(PLANTED, plants=()), "carpet": carpet}, members=24, days=60, seed=3)


def test_every_rate_has_a_band_in_order_and_says_where_it_is_from():
    for name, rate in RATES.items():
        assert 0 < rate.low <= rate.usual <= rate.high, name
        assert rate.meaning, name
        assert rate.source in (ASSUMED, RECALLED) or SOURCES[rate.source].from_memory, name


def test_the_methods_page_tells_every_band_as_it_is():
    page = (Path(__file__).resolve().parents[2] / "docs" / "methods" / "forecast.md").read_text(encoding="utf-8")
    assert [name for name, rate in RATES.items() if f"| `{name}` | {rate.low:.4g} | {rate.usual:.4g} | {rate.high:.4g} |" not in page] == []


def test_draws_stay_in_their_bands_and_are_the_same_for_the_same_seed():
    one, again, other = drawn_parameters(40, 5), drawn_parameters(40, 5), drawn_parameters(40, 6)
    for name, rate in RATES.items():
        assert rate.low <= one.values[name].min() <= one.values[name].max() <= rate.high
        assert (one.values[name] == again.values[name]).all()
    assert (one.values["fading"] != other.values["fading"]).any()


@pytest.mark.parametrize("name", ["fading", "film_growth", "start_bare"])
def test_the_draws_of_a_rate_lie_as_a_triangle_on_the_log_scale(name):
    rate = RATES[name]
    low, top, high = np.log([rate.low, rate.usual, rate.high])
    drawn = np.sort(np.log(drawn_parameters(400, 1).values[name]))
    rising, falling = (drawn - low) ** 2 / ((high - low) * (top - low)), 1 - (high - drawn) ** 2 / ((high - low) * (high - top))
    below = np.where(drawn < top, rising, falling)
    assert np.abs(below - (np.arange(400) + 0.5) / 400).max() <= 0.5 / 400 + 1e-9  # one draw in each four-hundredth


def test_members_of_a_group_are_drawn_together():
    values = drawn_parameters(30, 2).values
    assert (np.argsort(values["release_rich"]) == np.argsort(values["release_inert"])).all()
    assert (np.argsort(values["growth_stem"]) == np.argsort(values["growth_moss"])).all()


def test_parts_run_apart_and_put_together_are_the_whole(monkeypatch):
    monkeypatch.setattr(tank, "PART_MEMBERS", 2)
    setups = {"A": PLANTED, "B": replace(PLANTED, light=(Light(45.0, ((10.0, 13.0), (15.0, 20.0))),))}
    told = []
    whole = tank_ensemble(setups, members=5, days=2, progress=told.append)
    parts = [tank_ensemble(setups, members=5, days=2, part=part) for part in (2, 0, 1)]
    assert parts_of(5) == 3
    again = joined(parts)
    assert (again.members == np.arange(5)).all()
    for arm in setups:
        assert (again.courses[arm].states == whole.courses[arm].states).all()
        assert (again.courses[arm].safe_day == whole.courses[arm].safe_day)[~np.isnan(whole.courses[arm].safe_day)].all()
    assert told == sorted(told)
    assert told[-1] == pytest.approx(1.0)


def test_arms_alike_go_alike_and_a_change_shows_from_its_day_on():
    changed = replace(PLANTED, light=(Light(45.0), Light(45.0, ((10.0, 13.0), (15.0, 18.0)), from_day=2)))
    later = replace(PLANTED, co2_from_day=3)
    courses = tank_ensemble({"A": PLANTED, "B": PLANTED, "C": changed, "D": later}, members=4, days=4).courses
    assert (courses["A"].states == courses["B"].states).all()
    plants = [courses[arm].states[:, :, STATES.index("plant_stem")] for arm in "AC"]
    assert plants[0][:, :3] == pytest.approx(plants[1][:, :3], rel=1e-9)
    assert (plants[1][:, 4] < plants[0][:, 4]).all()
    gas = courses["D"].measures["co2"]
    assert (gas[:, :3] < 3).all()
    assert (gas[:, 3:] > 10).all()


def test_a_course_has_every_measure_for_every_member_and_day(weeks):
    course = weeks.courses["planted"]
    assert course.states.shape == (24, 61, len(STATES))
    assert set(course.measures) == set(MEASURES)
    for key, values in course.measures.items():
        assert values.shape == (24, 61), key
        assert np.isfinite(values).all(), key
        if MEASURES[key][0] == "%":
            assert 0 <= values.min() <= values.max() <= 100, key
    assert (course.measures["oxygen_low"] <= course.measures["oxygen_high"]).all()
    assert course.quantiles("nitrite").shape == (3, 61)
    assert course.balance.max() < 1e-6
    assert course.of(np.array([3])).measures["nitrite"].shape == (1, 61)


@pytest.mark.as_it_was("one to six weeks are what people see; the bands were chosen so that the model does the same, 2026-11-26")
def test_a_planted_tank_over_fresh_rich_soil_is_mostly_safe_for_animals_after_one_to_six_weeks(weeks):
    early, late = np.nanquantile(weeks.courses["planted"].safe_day, [0.1, 0.9])
    assert 5 <= early < late <= 42


def test_plants_shorten_the_wait_and_keep_algae_down(weeks):
    planted, bare = weeks.courses["planted"], weeks.courses["bare"]
    waits = [np.nan_to_num(course.safe_day, nan=61.0) for course in (planted, bare)]
    assert np.mean(waits[0]) < np.mean(waits[1])
    assert np.median(planted.measures["algae_cover"][:, 42]) < np.median(bare.measures["algae_cover"][:, 42])
    assert (planted.measures["total_ammonia"][:, 5] < bare.measures["total_ammonia"][:, 5]).all()


@pytest.mark.as_it_was("common practice, no source: film algae bloom in weeks 2 to 5 over rich soil, 2026-11-26")
def test_film_algae_bloom_in_the_first_weeks_and_then_fade(weeks):
    middle = weeks.courses["planted"].quantiles("algae_cover", (0.5,))[0]
    assert 10 <= middle.argmax() <= 35
    assert middle[60] < 0.7 * middle.max()


@pytest.mark.as_it_was("common practice, no source: a carpet closes in six to ten weeks, 2026-11-26")
def test_a_carpet_closes_in_six_to_ten_weeks_as_a_rule(weeks):
    cover = weeks.courses["carpet"].quantiles("carpet_cover", (0.5,))[0]
    assert cover[28] < 85  # not in four weeks
    assert 35 <= int(np.argmax(cover >= 85)) <= 60


def test_like_tanks_share_all_but_what_differs_between_tanks():
    alike = like_tanks(drawn_parameters(3, 1), 4, 1)
    assert alike.members == 12
    assert np.ptp(alike.values["fading"].reshape(3, 4), axis=1) == pytest.approx(np.zeros(3))
    assert (np.ptp(alike.values["film_seeding"].reshape(3, 4), axis=1) > 0).all()


def test_the_spread_of_like_tanks_is_seeded_and_on_the_scale_of_the_measure():
    spreads = [like_tank_spread(PLANTED, first_day=2, last_day=4, draws=4, tanks=4, seed=seed) for seed in (1, 1, 2)]
    assert spreads[0] == spreads[1] != spreads[2]
    assert spreads[0].scale == "logit"
    assert 0 < spreads[0].low <= spreads[0].sd <= spreads[0].high < 2
    height = like_tank_spread(PLANTED, measure="canopy_height", first_day=2, last_day=4, draws=4, tanks=4)
    assert height.scale == "identity"
    assert height.sd < 1  # cm


@pytest.mark.parametrize(("ammonia", "nitrite", "day"), [
    ([0.0, 0.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0, 0.0], 1.0),
    ([1.0, 0.3, 0.2, 0.1, 0.0], [0.0, 0.0, 0.3, 0.1, 0.1], 4.0),
    ([1.0, 0.1, 0.1, 0.25, 0.0], [0.0, 0.0, 0.0, 0.0, 0.0], np.nan),  # one reading alone is not two
    ([1.0, 1.0, 1.0, 1.0, 1.0], [0.0, 0.0, 0.0, 0.0, 0.0], np.nan),
])
def test_fauna_waits_for_two_readings_of_zero_that_stay(ammonia, nitrite, day):
    assert safe_days(np.arange(5), np.array([ammonia]), np.array([nitrite]))[0] == pytest.approx(day, nan_ok=True)


def test_the_usual_changes_over_fresh_soil_end_with_the_look_ahead():
    changes = soil_start_changes(40)
    assert [change.day for change in changes][-3:] == [24, 28, 35.0]
    assert [change.day for change in weekly_changes(30, 0.3)] == [7.0, 14.0, 21.0, 28.0]


@every(("make", "told"), [
    (lambda: TankSetup(temp_c=77.0), "temp_c is 77.0 °C; accepted: 15 to 32 °C"),
    (lambda: TankSetup(soil="mud"), "soil is 'mud'; accepted: rich, lean, inert"),
    (lambda: Plants("tree", 0.1), "form is 'tree'; accepted: floating, stem"),
    (lambda: Plants("stem", 1.5), "cover is 1.5; accepted: 0 to 1"),
    (lambda: WaterChange(3, 30), "share is 30.0; accepted: 0 to 1"),
    (lambda: Dose(2, nitrate_mg_l=-1.0), "nitrate_mg_l is -1.0 mg/L"),
    (lambda: Light(40.0, ((20.0, 4.0),)), "Split a light that burns past midnight into two"),
    (lambda: TankSetup(light=(Light(40.0, from_day=3),)), "at least one light, the first from day 0"),
    (lambda: TankSetup(plants=(Plants("stem", 0.1), Plants("stem", 0.2))), "each form once"),
    (lambda: weekly_changes(30, 0.3, per_week=0), "per_week is 0; accepted: more than 0 water changes a week"),
    (lambda: tank_course(TankSetup(), days=0), "days is 0.0 d; accepted: 1 to 365 d"),
    (lambda: tank_course(TankSetup(), method="slow"), "method is 'slow'; accepted: fast, reference"),
    (lambda: tank_course(TankSetup(), drawn_parameters(2), method="reference"), "one column with the method reference"),
    (lambda: tank_course(TankSetup(), days=2, times_d=np.array([1.0, 0.5])), "rising moments from 0 to below 3 d"),
    (lambda: tank_ensemble({}), "at least one arm"),
    (lambda: tank_ensemble({"A": TankSetup()}, members=4, part=1), "part is 1; accepted: 0 to 0"),
    (lambda: tank_ensemble({"A": TankSetup()}, members=1), "members is 1.0; accepted: 2 to 5000"),
    (lambda: like_tank_spread(TankSetup(), measure="beauty"), "measure is 'beauty'; accepted: plant_cover"),
    (lambda: like_tank_spread(TankSetup(), first_day=9, last_day=3), "days in rising order"),
])
def test_wrong_input_is_refused_in_words(make, told):
    with pytest.raises((InputError, OutOfRangeError)) as caught:
        make()
    assert told in str(caught.value)


def test_the_usual_values_are_one_member():
    assert usual_parameters().members == 1
