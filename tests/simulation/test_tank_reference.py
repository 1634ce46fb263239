"""The tank model without plants and algae against the reference run of nitrification, and its own integrator against a public one."""

from dataclasses import replace

import numpy as np
import pytest

from checking import agrees
from fairtank.science.nitrification import nitrification_alkalinity_dkh
from fairtank.simulation.ecology.pools import MEQ_PER_DKH, columns_of
from fairtank.simulation.ecology.running import chebyshev_step, run
from fairtank.simulation.tank import (
    STATES,
    Dose,
    Light,
    Plants,
    TankSetup,
    Trim,
    Water,
    WaterChange,
    Wipe,
    drawn_parameters,
    tank_course,
    usual_parameters,
)

BARE = TankSetup(plants=(), has_algae=False, light=(Light(0.0),), water=Water(0.0, 0.0), held_oxygen_mg_l=8.0, release_mg_l_d=1.0,
                 fading_per_d=0.05)
AMMONIA, NITRITE, NITRATE, KH = (STATES.index(name) for name in ("total_ammonia", "nitrite", "nitrate", "alkalinity"))


CASES = {(20, "bare"): 0, (25, "bare"): 1, (28, "bare"): 2, (25, "seeded"): 3}


@pytest.fixture(scope="module")
def hourly():
    """Hours [d], and the states on them of the four cases, run side by side."""
    hours = np.arange(24 * 18) / 24
    columns = columns_of([replace(BARE, temp_c=temp_c, start=start) for temp_c, start in CASES], usual_parameters())
    return hours, run(columns, hours, 18.0, tolerance=1e-5).samples


@pytest.mark.as_it_was("read on the hours of an LSODA run of the same equations, rtol 1e-9; rates from memory, 2026-11-26")
@pytest.mark.parametrize(("temp_c", "start", "ammonia_day", "ammonia", "nitrite_day", "nitrite", "done"), [
    (20, "bare", "9.25", "6.403", "13.46", "8.734", "16.5"),
    (25, "bare", "5.83", "4.304", "8.79", "6.463", "11.3"),
    (28, "bare", "4.50", "3.401", "7.04", "5.350", "9.1"),
    (25, "seeded", "3.71", "2.514", "5.75", "2.763", "7.0"),
])
def test_without_plants_and_algae_it_is_the_reference_run(hourly, temp_c, start, ammonia_day, ammonia, nitrite_day, nitrite, done):
    hours, states = hourly[0], hourly[1][:, :, CASES[temp_c, start]]
    for row, day, height in ((AMMONIA, ammonia_day, ammonia), (NITRITE, nitrite_day, nitrite)):
        assert agrees(states[:, row].max(), height)
        assert agrees(hours[states[:, row].argmax()], day)
    last_over = np.flatnonzero(states[:, [AMMONIA, NITRITE]].max(axis=1) >= 0.25)[-1]
    assert agrees(hours[last_over + 1], done)


@pytest.mark.as_it_was("an LSODA run of the same equations, rtol 1e-9; rates from memory, 2026-11-26")
def test_a_closed_tank_turns_all_its_ammonia_into_nitrate():
    no_loss = usual_parameters()
    no_loss.values["denitrifying"][:] = 0.0
    closed = replace(BARE, temp_c=25, start="seeded", release_mg_l_d=0.0, water=Water(0.0, 0.0, ammonium_mg_l=3.0))
    hours = np.arange(24 * 10) / 24
    states = tank_course(closed, no_loss, days=10, times_d=hours, tolerance=1e-5).states[0]
    assert agrees(states[:, NITRITE].max(), "1.687")
    assert agrees(hours[states[:, NITRITE].argmax()], "4.42")
    assert agrees(hours[np.flatnonzero(states[:, [AMMONIA, NITRITE]].max(axis=1) >= 0.25)[-1] + 1], "5.7")
    assert agrees(states[-1, NITRATE], "3.000")
    used_dkh = (states[0, KH] - states[-1, KH]) / MEQ_PER_DKH
    assert used_dkh == pytest.approx(nitrification_alkalinity_dkh(3.0), rel=1e-4)


BUSY = TankSetup(
    co2_target_mg_l=20.0, plants=(Plants("stem", 0.2), Plants("floating", 0.1), Plants("carpet", 0.2)),
    light=(Light(50.0, ((9.0, 13.0), (15.0, 19.0))),),
    events=(WaterChange(0, 0.5), Dose(0, nitrate_mg_l=5.0, phosphate_mg_l=0.5, ammonium_mg_l=0.2, hour=12.5), Trim(1, 0.4, "stem"),
            Wipe(1, 0.8), WaterChange(1, 0.3, 11.0)),
)


def test_the_fast_integrator_agrees_with_a_public_one_over_busy_days():
    """Nitrogen within 0.01 mg/L, plants within 0.1 %, film within 1 %, gases of the day within 0.3 mg/L."""
    columns, times = columns_of([BUSY], drawn_parameters(20, 7).of(np.array([11]))), np.array([0.5, 1.2, 1.47])
    fast, public = run(columns, times, 1.48), run(columns, times, 1.48, is_reference=True)
    off = np.abs(fast.samples - public.samples)[:, :, 0]
    assert off[:, [AMMONIA, NITRITE, NITRATE]].max() < 0.01
    plants, film = slice(16, 19), STATES.index("film")
    assert (off[:, plants] / public.samples[:, plants, 0]).max() < 1e-3
    assert (off[:, film] / public.samples[:, film, 0]).max() < 1e-2
    assert max(np.abs(fast.low - public.low).max(), np.abs(fast.high - public.high).max()) < 0.3


def test_results_do_not_hang_on_how_the_time_is_cut():
    """Extra moments at which the course is looked at cut its steps anew; at a fine tolerance nothing moves."""
    daily = tank_course(BUSY, days=1, times_d=np.arange(0, 1.9, 0.5), tolerance=1e-4).states[0]
    cut = tank_course(BUSY, days=1, times_d=np.arange(0, 1.9, 0.1), tolerance=1e-4).states[0][::5]
    assert np.abs(cut - daily)[:, :4].max() < 1e-3
    assert cut[:, 16:23] == pytest.approx(daily[:, 16:23], rel=1e-4, abs=1e-12)


def test_the_error_falls_with_the_tolerance():
    fine = tank_course(BUSY, days=1, times_d=np.array([0.0, 1.4]), tolerance=1e-5).states[0, -1, :4]
    errors = [np.abs(tank_course(BUSY, days=1, times_d=np.array([0.0, 1.4]), tolerance=tolerance).states[0, -1, :4] - fine).max()
              for tolerance in (2e-2, 3e-4)]
    assert errors[1] < errors[0] / 4


def test_a_chebyshev_step_is_of_second_order_and_stable_far_beyond_explicit_ones():
    def fading(rate):
        return lambda state: (-rate * state, lambda: rate)

    one = np.ones((1, 1))
    errors = [abs(float(chebyshev_step(fading(1.0), one, -one, step, 5)[0, 0]) - np.exp(-step)) for step in (0.1, 0.05)]
    assert errors[0] / errors[1] == pytest.approx(8, rel=0.1)  # third order in one step
    for stages in (2, 5, 20):
        rate = 0.65 * (stages**2 - 1)
        assert abs(float(chebyshev_step(fading(rate), one, -rate * one, 1.0, stages)[0, 0])) < 1


def test_a_chebyshev_step_keeps_what_the_equations_keep():
    def swapped(state):
        flow = np.array([[-3.0], [2.0], [1.0]]) * state[:1] ** 2
        return flow, lambda: 6.0

    state = np.array([[2.0], [0.5], [0.0]])
    assert float(chebyshev_step(swapped, state, swapped(state)[0], 0.3, 7).sum()) == pytest.approx(2.5, rel=1e-14)
