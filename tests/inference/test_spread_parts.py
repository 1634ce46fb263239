"""Spread in parts: against an independent simulator's table, against simulated days, and in its limits."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fairtank.errors import OutOfRangeError
from fairtank.inference.foresight.spread_parts import (
    NEW_TANKS,
    SETTLED_TANKS,
    SpreadParts,
    effect_share,
    mean_weighing,
    scaled_to,
    slope_weighing,
    swap_weighing,
    times,
    unit_sd,
)
from fairtank.inference.series.windows import time_weighted_mean

WORLDS = {"new": NEW_TANKS, "settled": SETTLED_TANKS}


def weighing_of(days, run_in, is_swap):
    if is_swap:
        return swap_weighing(0, days // 2, days - 1, 0)
    return mean_weighing(run_in, days - 1, (0, run_in - 1) if run_in else None)


@pytest.mark.as_it_was("SD between like tanks, measured in an independent simulator whose growth starts some days late; 2026-11-25")
@pytest.mark.parametrize(("world", "days", "run_in", "is_swap", "measured"), [
    ("new", 21, 0, False, 0.537), ("new", 42, 0, False, 0.558), ("new", 60, 0, False, 0.586), ("new", 42, 14, False, 0.300),
    ("new", 56, 14, False, 0.364), ("new", 56, 28, False, 0.343), ("new", 42, 0, True, 0.115), ("new", 60, 0, True, 0.117),
    ("settled", 21, 0, False, 0.507), ("settled", 42, 0, False, 0.505), ("settled", 60, 0, False, 0.511),
    ("settled", 42, 14, False, 0.216), ("settled", 56, 14, False, 0.220), ("settled", 56, 28, False, 0.200),
    ("settled", 42, 0, True, 0.109), ("settled", 60, 0, True, 0.106),
])
def test_the_formula_comes_near_what_simulated_trials_showed(world, days, run_in, is_swap, measured):
    """Within 12 %: that simulator leaves out photos, saturates near full cover and starts growth late, which the formula does not."""
    assert unit_sd(WORLDS[world], weighing_of(days, run_in, is_swap)) == pytest.approx(measured, rel=0.12)


def days_of(parts, days, change_at, rng, tanks=6000):
    """Daily values of like tanks, drawn one part after the other; the period's own rate starts anew on a day."""
    day = np.arange(days)
    wander = np.empty((tanks, days))
    wander[:, 0] = rng.standard_normal(tanks)
    for one in day[1:]:
        wander[:, one] = parts.phi * wander[:, one - 1] + math.sqrt(1 - parts.phi**2) * rng.standard_normal(tanks)
    own = rng.standard_normal((tanks, 4, 1))
    first = parts.period_drift_sd * own[:, 2] * np.minimum(day, change_at)
    second = parts.period_drift_sd * own[:, 3] * np.maximum(day - change_at, 0)
    return (parts.level_sd * own[:, 0] + parts.lasting_drift_sd * own[:, 1] * day + first + second + parts.day_sd * wander
            + parts.photo_sd * rng.standard_normal((tanks, days)))


@pytest.mark.parametrize("parts", WORLDS.values(), ids=WORLDS)
def test_simulated_days_scatter_as_the_formula_says(parts):
    values = days_of(parts, 57, 14, np.random.default_rng(7))
    run_in = mean_weighing(14, 56, (0, 13))
    z = values[:, list(run_in.days)] @ np.array(run_in.weights)
    assert z.std() == pytest.approx(unit_sd(parts, run_in), rel=0.03)


def test_the_weights_of_a_mean_are_those_of_the_judged_mean():
    values = np.random.default_rng(3).normal(size=29)
    weighing = mean_weighing(14, 42)
    judged = time_weighted_mean(list(zip(range(14, 43), values.tolist(), strict=True)), (14, 42))
    assert float(np.array(weighing.weights) @ values) == pytest.approx(judged)


def test_the_weights_of_a_slope_are_those_of_a_fitted_line():
    values = np.random.default_rng(4).normal(size=15)
    assert float(np.array(slope_weighing(0, 14).weights) @ values) == pytest.approx(np.polyfit(range(15), values, 1)[0])


def test_a_lasting_difference_of_level_does_not_reach_a_change_a_swap_or_a_slope():
    level = SpreadParts(1.0, 0, 0, 0, 0, 0)
    assert unit_sd(level, mean_weighing(0, 42)) == pytest.approx(1.0)
    for weighing in (mean_weighing(14, 42, (0, 13)), swap_weighing(0, 21, 42, 3), slope_weighing(0, 42)):
        assert unit_sd(level, weighing) == pytest.approx(0.0, abs=1e-12)


def test_more_days_shrink_day_noise_and_nothing_else():
    noise, level = replace(NEW_TANKS, level_sd=0, lasting_drift_sd=0, period_drift_sd=0), SpreadParts(0.5, 0, 0, 0, 0, 0)
    assert unit_sd(noise, mean_weighing(0, 60)) < unit_sd(noise, mean_weighing(0, 30))
    assert unit_sd(level, mean_weighing(0, 60)) == pytest.approx(unit_sd(level, mean_weighing(0, 30)))


def test_over_many_days_the_noise_of_a_mean_is_the_long_run_formula():
    noise, days = SpreadParts(0, 0, 0, 0.25, 0.8, 0), 2000
    assert unit_sd(noise, mean_weighing(0, days)) ** 2 == pytest.approx(0.25**2 * 1.8 / (0.2 * days), rel=0.01)


@pytest.mark.parametrize("weighing", [mean_weighing(0, 42), mean_weighing(14, 56, (0, 13)), swap_weighing(0, 21, 42, 3)])
def test_an_effect_that_is_there_at_once_arrives_whole(weighing):
    assert effect_share(weighing, "at once") == pytest.approx(1.0)


def test_an_effect_that_builds_up_arrives_as_its_rate_in_a_slope():
    assert effect_share(slope_weighing(0, 42), "builds up", 42.0) == pytest.approx(1 / 42)


def test_parts_are_scaled_together():
    weighing = mean_weighing(0, 42)
    assert unit_sd(scaled_to(NEW_TANKS, weighing, 0.2), weighing) == pytest.approx(0.2)
    assert unit_sd(times(NEW_TANKS, 3.0), weighing) == pytest.approx(3 * unit_sd(NEW_TANKS, weighing))


@pytest.mark.parametrize(("call", "message"), [
    (lambda: replace(NEW_TANKS, level_sd=-0.1), "level_sd is -0.1; accepted: 0 or more"),
    (lambda: replace(NEW_TANKS, phi=1.0), "phi is 1.0; accepted: from 0 to below 1"),
    (lambda: slope_weighing(3, 3), "last is 3; accepted: a day after day 3"),
    (lambda: effect_share(mean_weighing(0, 4), "later"), "shape is later; accepted: `at once` or `builds up`"),
    (lambda: scaled_to(NEW_TANKS, mean_weighing(0, 4), 0.0), "sd is 0.0; accepted: a number above 0"),
])
def test_what_cannot_be_is_refused(call, message):
    with pytest.raises(OutOfRangeError, match=message):
        call()
