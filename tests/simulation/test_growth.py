"""The growth model: pure, monotone where it says so, and blind to the arm until the change starts."""

from itertools import pairwise

import numpy as np
import pytest

from fairtank.simulation.growth import GrowthParameters, day_noise, tank_state


def test_the_same_tank_and_day_always_give_the_same_state():
    assert tank_state(GrowthParameters(), 3, "T1", 21) == tank_state(GrowthParameters(), 3, "T1", 21)


def test_two_tanks_set_up_alike_do_not_grow_quite_alike():
    assert tank_state(GrowthParameters(), 3, "T1", 21) != tank_state(GrowthParameters(), 3, "T2", 21)


@pytest.mark.parametrize("unit", ["T1", "T2", "T3"])
def test_plants_and_carpet_never_shrink(unit):
    states = [tank_state(GrowthParameters(), 5, unit, day) for day in range(60)]
    assert all(b.plant_fraction > a.plant_fraction for a, b in pairwise(states))
    assert all(b.carpet_fraction > a.carpet_fraction for a, b in pairwise(states))


def test_all_states_stay_within_their_range():
    states = [tank_state(GrowthParameters(), seed, "T1", day) for seed in range(20) for day in (0, 30, 400)]
    assert all(0 < s.plant_fraction <= 1 and 0 < s.carpet_fraction <= 1 and 0 < s.algae_pct < 100 for s in states)


def test_the_change_does_nothing_before_its_first_day():
    plain, changed = (tank_state(GrowthParameters(), 5, "T1", 10, changed_since=since) for since in (None, 10))
    assert plain == changed


def test_the_change_slows_algae_by_its_rate_on_the_logit_scale():
    parameters = GrowthParameters()
    plain, changed = (tank_state(parameters, 5, "T1", 24, changed_since=since).algae_pct for since in (None, 10))
    apart = np.log(changed / (100 - changed)) - np.log(plain / (100 - plain))
    assert apart == pytest.approx(14 * parameters.algae_effect_logit_d)


def test_plants_follow_the_logistic_curve():
    # Closed form K / (1 + (K/N0 - 1) exp(-r t)) with K 80, N0 2, r 0.25 is 10.286, 36.736, 66.409 on days 7, 14, 21 (arithmetic).
    parameters = GrowthParameters(plant_start_fraction=2 / 80, plant_rate_d=0.25, plant_tank_sd=0.0)
    found = [80 * tank_state(parameters, 1, "T1", day).plant_fraction for day in (7, 14, 21)]
    assert [f"{value:.3f}" for value in found] == ["10.286", "36.736", "66.409"]


def test_day_noise_has_standard_deviation_one_and_remembers_yesterday():
    noise = np.array([[day_noise(11, f"T{unit}", day, 0.6) for day in range(12)] for unit in range(300)])
    assert noise.std() == pytest.approx(1.0, abs=0.06)
    assert np.corrcoef(noise[:, :-1].ravel(), noise[:, 1:].ravel())[0, 1] == pytest.approx(0.6, abs=0.05)
