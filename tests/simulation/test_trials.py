"""Invented whole trials: chance does what it is told to, a seed always gives the same trial, a change moves nothing but its own effect."""

from dataclasses import replace

import numpy as np
import pytest

from fairtank.errors import InputError, OutOfRangeError
from fairtank.inference.foresight.spread_parts import NEW_TANKS as NEW_PARTS
from fairtank.inference.foresight.spread_parts import mean_weighing, swap_weighing, unit_sd
from fairtank.simulation.trials import (
    NEW_TANKS,
    NO_EFFECT,
    SETTLED_TANKS,
    Effect,
    World,
    all_receiving,
    course_of,
    simulated_cover,
    with_spread,
)
from fairtank.simulation.trials.plans import (
    drawn_start_plan,
    ladder_plan,
    pairs_plan,
    rounds_plan,
    run_in_plan,
    several_arms_plan,
    side_by_side_plan,
    swap_plan,
    two_changes_plan,
)
from fairtank.simulation.trials.tanks import differences, philox, wandering

# Nothing that chance could do: like tanks are identical, days stand still, every photo is there and right.
STILL = World(onset_d=0.0, onset_sd_d=0.0, level_sd=0.0, lasting_rate_sd=0.0, period_rate_sd=0.0, day_sd=0.0, room_sd=0.0, photo_sd=0.0,
              reset_sd=0.0, missed_share=0.0, gap_share=0.0, ceiling_share=1.0)
COMPLETE = replace(NEW_TANKS, missed_share=0.0, gap_share=0.0)


def logit(cover):
    return np.log(cover / (100 - cover))


def test_the_same_seed_gives_the_same_trials_and_another_seed_others():
    course = course_of(side_by_side_plan(2, 2))
    first, again, other = (simulated_cover(course, NEW_TANKS, NO_EFFECT, reps=3, seed=seed) for seed in (5, 5, 6))
    assert np.array_equal(first, again, equal_nan=True)
    assert not np.array_equal(first, other, equal_nan=True)


def test_a_quiet_tank_climbs_the_logistic_curve():
    # Closed form: the logit starts at a and gains r a day; with a = -2, r = 0.1 cover is 13.01 % after one day and 50 % after 20.
    world = replace(STILL, start_logit=-2.0, rate_logit_d=0.1)
    cover = simulated_cover(course_of(side_by_side_plan(1, 1)), world, NO_EFFECT, reps=1, seed=1)[0, 0]
    assert [f"{cover[day]:.2f}" for day in (0, 19)] == ["13.01", "50.00"]


@pytest.mark.parametrize("effect", [Effect(-0.03), Effect(level_logit=0.8, fade_d=0.0)])
def test_the_change_moves_only_the_tanks_that_receive_it_and_only_from_its_first_day_on(effect):
    course = course_of(run_in_plan(2, 2))
    plain, moved = (simulated_cover(course, COMPLETE, one, reps=4, seed=2) for one in (NO_EFFECT, effect))
    assert np.array_equal(plain[:, :2], moved[:, :2])
    assert np.array_equal(plain[:, :, :14], moved[:, :, :14])
    assert (plain[:, 2:, 20:] != moved[:, 2:, 20:]).all()


def test_an_effect_on_the_rate_adds_up_day_by_day():
    plain, moved = (simulated_cover(course_of(side_by_side_plan(1, 1)), STILL, effect, reps=1, seed=3)[0, 1]
                    for effect in (NO_EFFECT, Effect(-0.02)))
    assert logit(moved) - logit(plain) == pytest.approx(-0.02 * np.arange(1, 43))


def test_an_effect_on_the_level_has_come_to_two_thirds_after_its_fading_time():
    plain, moved = (simulated_cover(course_of(side_by_side_plan(1, 1)), STILL, effect, reps=1, seed=3)[0, 1]
                    for effect in (NO_EFFECT, Effect(level_logit=1.0, fade_d=3.0)))
    assert (logit(moved) - logit(plain))[[2, 41]] == pytest.approx([1 - np.exp(-1), 1.0], abs=1e-5)


def test_a_swap_turns_the_arms_round_after_a_reset():
    course = course_of(swap_plan(1, 1))
    first, second = simulated_cover(course, STILL, Effect(0.05), reps=1, seed=1)[0]
    assert first[:21] == pytest.approx(second[21:])
    assert second[:21] == pytest.approx(first[21:])


def test_what_is_carried_over_a_reset_is_the_share_that_was_said():
    course = course_of(swap_plan(1, 1))
    late = [logit(simulated_cover(course, replace(STILL, carry_share=share), Effect(level_logit=1.0), reps=1, seed=1)[0, 1])[21]
            for share in (0.0, 0.5)]
    assert late[1] - late[0] == pytest.approx(0.5 * np.exp(-1 / 3), abs=1e-3)


def test_days_wander_with_the_correlation_and_the_size_that_were_said():
    path = wandering(philox(1, "test"), (4000, 20), 0.8, 0.25)
    assert path.std() == pytest.approx(0.25, rel=0.02)
    assert np.corrcoef(path[:, :-1].ravel(), path[:, 1:].ravel())[0, 1] == pytest.approx(0.8, abs=0.01)


@pytest.mark.parametrize(("kind", "skewness"), [("normal", 0.0), ("heavy", 0.0), ("skewed", 2.0)])
def test_differences_between_tanks_have_mean_zero_and_spread_one(kind, skewness):
    # An exponential distribution has skewness 2 (arithmetic); t on 4 degrees of freedom has no finite fourth moment, hence the wide limits.
    drawn = differences(philox(2, kind), (400_000,), kind)
    assert drawn.mean() == pytest.approx(0.0, abs=0.01)
    assert drawn.std() == pytest.approx(1.0, abs=0.02)
    assert np.median(drawn) == pytest.approx(np.log(2) - 1 if skewness else 0.0, abs=0.01)


def test_photos_go_missing_as_often_as_was_said_and_gaps_are_shared():
    course = course_of(side_by_side_plan(2, 2))
    single = simulated_cover(course, replace(NEW_TANKS, gap_share=0.0), NO_EFFECT, reps=500, seed=4)
    assert np.isnan(single).mean() == pytest.approx(0.08, abs=0.005)
    shared = np.isnan(simulated_cover(course, replace(NEW_TANKS, missed_share=0.0), NO_EFFECT, reps=500, seed=4))
    assert (shared == shared[:, :1]).all()
    assert shared.any(axis=(1, 2)).mean() == pytest.approx(0.3, abs=0.06)
    assert set(shared[:, 0].sum(axis=1).tolist()) == {0, 5}


def test_a_shy_camera_misses_tanks_that_look_worse():
    course = course_of(side_by_side_plan(3, 3))
    cover = simulated_cover(course, COMPLETE, NO_EFFECT, reps=400, seed=5)
    missed = np.isnan(simulated_cover(course, replace(COMPLETE, shy_share=0.5), NO_EFFECT, reps=400, seed=5))
    seen = logit(cover)
    worse = seen - seen.mean(axis=1, keepdims=True)
    assert worse[missed].min() > 0.5
    assert missed[worse > 0.5].mean() == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize(("plan", "summary", "expected"), [
    (side_by_side_plan(4, 4), lambda z: np.trapezoid(z, axis=-1) / 41, unit_sd(NEW_PARTS, mean_weighing(0, 41))),
    (swap_plan(4, 4), lambda z: (np.trapezoid(z[..., :21], axis=-1) - np.trapezoid(z[..., 21:], axis=-1)) / 40,
     unit_sd(NEW_PARTS, swap_weighing(0, 21, 41, 0))),
])  # fmt: skip
def test_like_tanks_drift_apart_as_far_as_the_planner_works_out(plan, summary, expected):
    # The planner adds the parts up exactly for straight growth; the simulator also bends at the ceiling, and growth sets in late.
    z = summary(logit(simulated_cover(course_of(plan), replace(COMPLETE, spread_df=np.inf), NO_EFFECT, reps=1500, seed=6)))
    assert np.sqrt(z.var(axis=1, ddof=1).mean()) == pytest.approx(expected, rel=0.12)


def test_trials_differ_in_how_far_their_tanks_lie_apart():
    course, world = course_of(side_by_side_plan(6, 6)), replace(STILL, level_sd=0.5)
    spread = [logit(simulated_cover(course, replace(world, spread_df=df), NO_EFFECT, reps=400, seed=7))[:, :, 0].std(axis=1, ddof=1).std()
              for df in (np.inf, 8.0)]
    assert spread[1] > 1.3 * spread[0]


def test_tanks_with_the_change_can_differ_more():
    world = replace(STILL, level_sd=0.5, changed_times=2.0, start_logit=0.0, spread_df=np.inf)
    z = logit(simulated_cover(course_of(side_by_side_plan(5, 5)), world, NO_EFFECT, reps=800, seed=8))
    of_arms = [z[:, units, 0].var(axis=1, ddof=1).mean() for units in (slice(0, 5), slice(5, 10))]
    assert of_arms[1] / of_arms[0] == pytest.approx(4.0, rel=0.1)


def test_the_two_of_a_pair_have_their_place_in_common():
    z = logit(simulated_cover(course_of(pairs_plan(3)), replace(STILL, place_sd=0.6), NO_EFFECT, reps=2, seed=9))[:, :, 0]
    assert np.array_equal(z[:, 0::2], z[:, 1::2])
    assert np.unique(z).size == 6


def test_in_rounds_the_same_tank_comes_back():
    course = course_of(rounds_plan(4))
    z = logit(simulated_cover(course, replace(STILL, level_sd=0.5, again_sd=0.0), NO_EFFECT, reps=1, seed=10))[0, :, 0]
    assert np.unique(z.round(9)).size == 2
    assert course.later.tolist() == [0, 0, 28, 28, 56, 56, 84, 84]
    assert course.received[0, :, 0].tolist() == [0, 1, 1, 0, 0, 1, 1, 0]


def test_a_course_tells_who_receives_how_much():
    assert course_of(drawn_start_plan((10, 23), 12, 0)).received[0].sum(axis=1).tolist() == [44, 0]
    assert course_of(ladder_plan([0, 5, 10], 2)).received[0, :, 3].tolist() == [0, 0, 5, 5, 10, 10]
    both = course_of(two_changes_plan(1))
    assert both.changes == ("first", "second")
    assert both.received[:, :, 0].T.tolist() == [[0, 0], [1, 0], [0, 1], [1, 1]]
    several = course_of(several_arms_plan([1, 1, 1]))
    assert several.received[:, :, 0].T.tolist() == [[0, 0], [1, 0], [0, 1]]


def test_the_same_tanks_with_and_without_tell_the_true_effect():
    course = course_of(run_in_plan(1, 1))
    with_it, without = (logit(simulated_cover(all_receiving(course, {"C": amount}), COMPLETE, Effect(-0.03), reps=200, seed=11))
                        for amount in (1.0, 0.0))
    assert np.array_equal(with_it[..., :14], without[..., :14])
    assert (with_it - without)[..., 20].mean() == pytest.approx(-0.03 * 7, abs=0.01)


def test_every_effect_belongs_to_a_change():
    course = course_of(two_changes_plan(1))
    with pytest.raises(InputError, match="effects is 3; accepted: 2, one for each of first, second"):
        simulated_cover(course, NEW_TANKS, (NO_EFFECT,) * 3, reps=1, seed=1)


def test_a_world_that_cannot_be_is_refused():
    with pytest.raises(InputError, match="shape is round; accepted: normal, heavy, skewed"):
        World(shape="round")
    with pytest.raises(OutOfRangeError, match=r"missed_share is 1\.2; accepted: 0 to 1"):
        World(missed_share=1.2)
    with pytest.raises(OutOfRangeError, match="spread_times is 0; accepted: above 0"):
        World(spread_times=0)
    with pytest.raises(OutOfRangeError, match="day_sd is -1; accepted: 0 or more"):
        World(day_sd=-1)
    with pytest.raises(OutOfRangeError, match="phi is 1; accepted: from 0 to below 1"):
        World(phi=1)
    with pytest.raises(InputError, match="spread is huge; accepted: low, mid, high"):
        with_spread(SETTLED_TANKS, "huge")
