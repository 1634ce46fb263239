"""The nitrification model against a public integrator, its reference run, mass balance and what keepers see."""

from dataclasses import replace
from time import perf_counter

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import cycling, nitrogen

USUAL = np.array([0])


def tank(temp_c, *, start="bare", release=1.0, ammonia=0.0, change=0.0, sets=USUAL):
    """The sets of a tank with 8 mg/L oxygen, release fading by 0.05 a day; column 0 holds the usual values."""
    return nitrogen.cycle_sets(cycling.STARTS[start], temp_c, 7.0, release, 0.05, ammonia, 8.0, change).of(sets)


def reference(temp_c, days, *, start=1e-3, release=1.0, ammonia=0.0):
    """The same equations written out from their definition and solved by scipy's LSODA: ammonia, nitrite, nitrate on those days."""
    from scipy.integrate import solve_ivp

    kelvin = temp_c + 273.15
    faster = [np.exp(energy * (kelvin - 293.15) / (8.314 * kelvin * 293.15)) for energy in (68e3, 44e3)]

    def slope(day, state):
        s, n, _, a, b = state
        mu_1 = 0.77 * faster[0] * s / (0.7 + s) * 8 / (0.3 + 8)
        mu_2 = 1.08 * faster[1] * n / (0.5 + n) * 8 / (1.1 + 8)
        first, second = mu_1 * a / 0.147, mu_2 * b / 0.042
        return [release * np.exp(-0.05 * day) - first, first - second, second, (mu_1 - 0.05) * a, (mu_2 - 0.05) * b]

    solved = solve_ivp(slope, (0, days[-1]), [ammonia, 0, 0, start, start / 2], method="LSODA", t_eval=days, rtol=1e-9, atol=1e-12)
    return solved.y[:3].T


@pytest.mark.published(entry="cycle_forecast", source="vannecke2015", where="energies 68 and 44 kJ/mol, worked out by hand from 20 °C")
@pytest.mark.parametrize(("temp_c", "ammonia", "nitrite"), [(20, "1.0000", "1.0000"), (25, "1.5966", "1.3536"), (28, "2.0984", "1.6154")])
def test_rates_grow_with_warmth_as_the_energies_say(temp_c, ammonia, nitrite):
    assert agrees(cycling.temperature_factor(temp_c, cycling.ENERGY_AMMONIA_J_MOL), ammonia)
    assert agrees(cycling.temperature_factor(temp_c, cycling.ENERGY_NITRITE_J_MOL), nitrite)


@pytest.mark.as_it_was("read on the hours of an LSODA run of the same equations, rtol 1e-9; rates from memory, 2026-11-25")
@pytest.mark.parametrize(("temp_c", "start", "ammonia_day", "ammonia", "nitrite_day", "nitrite", "done"), [
    (20, "bare", "9.25", "6.403", "13.46", "8.734", "16.5"),
    (25, "bare", "5.83", "4.304", "8.79", "6.463", "11.3"),
    (28, "bare", "4.50", "3.401", "7.04", "5.350", "9.1"),
    (25, "seeded", "3.71", "2.514", "5.75", "2.763", "7.0"),
])
def test_the_course_equals_the_reference_run(temp_c, start, ammonia_day, ammonia, nitrite_day, nitrite, done):
    hours = np.arange(0, 24 * 30 + 1) / 24
    course = cycling.at(cycling.integrated(tank(temp_c, start=start), 30.0, 1e-5), hours)[:, :, 0]
    for row, day, height in ((0, ammonia_day, ammonia), (1, nitrite_day, nitrite)):
        assert agrees(course[:, row].max(), height)
        assert agrees(hours[course[:, row].argmax()], day)
    last_over = np.flatnonzero(course[:, :2].max(axis=1) >= 0.25)[-1]
    assert agrees(hours[last_over + 1], done)
    # Between the hours the peak lies a little later and higher; the forecast finds it there.
    forecast = nitrogen.cycle_forecast(temp_c, start=start)
    assert forecast.ammonia_peak_mg_l == pytest.approx(float(ammonia), abs=0.001)
    assert forecast.nitrite_peak_mg_l == pytest.approx(float(nitrite), abs=0.0015)
    assert forecast.ammonia_peak_day == pytest.approx(float(ammonia_day), abs=0.02)
    assert forecast.nitrite_peak_day == pytest.approx(float(nitrite_day), abs=0.021)
    assert forecast.done_day == pytest.approx(float(done), abs=0.05)


@pytest.mark.parametrize(("temp_c", "start", "release", "ammonia"), [
    (20, "bare", 1.0, 0.0), (25, "seeded", 0.0, 3.0), (28, "bare", 4.0, 1.0),
])
def test_the_own_integrator_agrees_with_a_public_one(temp_c, start, release, ammonia):
    days = np.linspace(0, 60, 241)
    second = reference(temp_c, days, start=cycling.STARTS[start].usual, release=release, ammonia=ammonia)
    for tolerance, allowed in ((1e-5, 3e-4), (1e-3, 2e-2)):
        own = cycling.at(cycling.integrated(tank(temp_c, start=start, release=release, ammonia=ammonia), 60.0, tolerance), days)[:, :, 0]
        assert own == pytest.approx(second, abs=allowed)


def test_the_own_integrator_is_of_third_order():
    """A thousandth of the tolerance, about ten times as many steps, and a far smaller error."""
    days = np.linspace(0, 30, 121)
    second = reference(25, days)
    error, steps = [], []
    for tolerance in (1e-2, 1e-5):
        track = cycling.integrated(tank(25), 30.0, tolerance)
        error.append(np.abs(cycling.at(track, days)[:, :, 0] - second).max())
        steps.append(len(track.time))
    assert error[1] < error[0] / 200
    assert 5 < steps[1] / steps[0] < 20


@pytest.mark.as_it_was("closed run: 3 mg/L N at the start, nothing given off; rates from memory, 2026-11-25")
def test_a_closed_tank_turns_all_its_ammonia_into_nitrate():
    track = cycling.integrated(tank(25, start="seeded", release=0.0, ammonia=3.0), 60.0, 1e-4)
    end = cycling.at(track, np.array([60.0]))[0, :, 0]
    assert agrees(end[2], "3.000")
    assert agrees(end.sum(), "3.000000")
    day, height = cycling.peaks(track, 1)
    assert agrees(height[0], "1.687")
    assert agrees(day[0], "4.42")
    assert cycling.done_days(track)[0] == pytest.approx(5.7, abs=0.06), "5.65; 5.7 on a grid of hours"


def test_nitrogen_is_neither_made_nor_lost_in_any_set():
    sets = tank(25, release=2.0, ammonia=1.0, sets=np.arange(101))
    days = np.array([0.0, 3, 10, 30, 90])
    there = cycling.at(cycling.integrated(sets, 90.0), days).sum(axis=1)
    given_off = 1.0 + 2.0 * (1 - np.exp(-0.05 * days)) / 0.05
    assert there == pytest.approx(np.repeat(given_off[:, None], 101, axis=1), rel=3e-4)


def test_water_changes_take_their_share_of_all_three():
    """With 30 % a day, nitrogen in all follows dT/dt = release - T ln(1/0.7), which has a closed form."""
    days = np.array([2.0, 8, 25])
    there = cycling.at(cycling.integrated(tank(25, change=0.3), 25.0, 1e-4), days).sum(axis=1)[:, 0]
    rate = -np.log(0.7)
    assert there == pytest.approx((np.exp(-0.05 * days) - np.exp(-rate * days)) / (rate - 0.05), rel=1e-4)


def test_peaks_and_the_last_day_are_those_of_a_fine_grid():
    sets = tank(24, sets=np.arange(0, 101, 7))
    track = cycling.integrated(sets, 60.0)
    grid = np.arange(0, 60, 0.01)
    course = cycling.at(track, grid)
    for row in (0, 1):
        day, height = cycling.peaks(track, row)
        assert height == pytest.approx(course[:, row].max(axis=0), abs=2e-5)
        assert day == pytest.approx(grid[course[:, row].argmax(axis=0)], abs=0.011)
    over = course[:, :2].max(axis=1) >= cycling.READY_MG_L
    assert cycling.done_days(track) == pytest.approx(np.array([grid[np.flatnonzero(column)[-1]] for column in over.T]), abs=0.011)


@pytest.mark.published(entry="cycle_forecast", source="fao_glossary_cycling", where="it usually takes between one and six weeks")
def test_the_band_of_a_bare_tank_lies_within_one_to_six_weeks():
    bands = [nitrogen.cycle_forecast(temp_c) for temp_c in (20, 22, 24, 26)]
    for band in bands:
        assert band.done_low_day >= 7
        assert band.done_high_day <= 1.03 * 42
    assert bands[0].done_high_day > 5 * 7
    assert bands[-1].done_low_day < 2 * 7


def test_the_band_holds_the_usual_figure_and_nine_in_ten_of_the_sets():
    told = nitrogen.cycle_forecast(25)
    for name in ("ammonia_peak_day", "ammonia_peak_mg_l", "nitrite_peak_day", "nitrite_peak_mg_l", "done_day", "start_mg_l"):
        what, _, tail = name.rpartition("_") if name.endswith("day") else (name.removesuffix("_mg_l"), "", "mg_l")
        low, usual, high = (getattr(told, part) for part in (f"{what}_low_{tail}", name, f"{what}_high_{tail}"))
        assert low <= usual <= high
        assert high > 1.2 * low, "a forecast is never one figure"
    done = cycling.done_days(cycling.integrated(tank(25, sets=np.arange(101)), cycling.HORIZON_D))[1:]
    assert 0.88 <= ((done >= told.done_low_day) & (done <= told.done_high_day)).mean() <= 0.92


def test_drawn_values_stay_in_their_ranges_and_spread_over_them():
    numbers = cycling.drawn(cycling.KINETICS, 200, 1)
    for name, span in cycling.KINETICS.items():
        assert numbers[name][0] == span.usual
        assert span.low <= numbers[name].min() < span.low + 0.2 * (span.usual - span.low)
        assert span.usual + 0.5 * (span.high - span.usual) < numbers[name].max() <= span.high
    assert np.abs(np.corrcoef(np.log([numbers[name] for name in numbers])) - np.eye(len(numbers))).max() < 0.25


def test_warmth_bacteria_and_water_changes_do_what_keepers_know():
    usual = nitrogen.cycle_forecast(24)
    warmer, seeded = nitrogen.cycle_forecast(28), nitrogen.cycle_forecast(24, start="seeded")
    changed, stale = nitrogen.cycle_forecast(24, daily_change_fraction=0.3), nitrogen.cycle_forecast(24, oxygen_mg_l=3)
    assert max(warmer.done_day, seeded.done_day) < usual.done_day < stale.done_day
    assert seeded.ammonia_peak_mg_l < usual.ammonia_peak_mg_l
    assert changed.ammonia_peak_mg_l < 0.6 * usual.ammonia_peak_mg_l
    assert seeded.done_high_day < usual.done_high_day


def test_a_tank_without_a_peak_is_done_at_once_and_one_that_cannot_end_says_so():
    faint = nitrogen.cycle_forecast(25, release_mg_l_d=0.005)
    assert faint.done_low_day == faint.done_day == faint.done_high_day == 0
    endless = tank(15, sets=USUAL)
    starved = replace(endless, growth_ammonia=np.array([0.02]), turnover_ammonia=np.array([0.1]))
    assert cycling.done_days(cycling.integrated(starved, cycling.HORIZON_D))[0] == cycling.HORIZON_D


def test_the_forecast_is_the_same_every_time_and_quick():
    first = nitrogen.cycle_forecast(25)
    begun = perf_counter()
    assert nitrogen.cycle_forecast(25) == first
    assert perf_counter() - begun < 0.5, "0.05 s on a quiet machine"


def test_the_course_for_a_chart_passes_through_the_forecast():
    days = np.arange(0, 41.0)
    sets = tank(25, sets=np.arange(101))
    course = cycling.course(sets, days)
    told = nitrogen.cycle_forecast(25)
    assert course.ammonia.max() == pytest.approx(told.ammonia_peak_mg_l, rel=0.01)
    assert course.nitrite.max() == pytest.approx(told.nitrite_peak_mg_l, rel=0.05)
    assert abs(int(course.nitrite.argmax()) - told.nitrite_peak_day) < 0.6
    for what in ("ammonia", "nitrite", "nitrate"):
        assert (getattr(course, f"{what}_low") <= getattr(course, what)).all()
        assert (getattr(course, what) <= getattr(course, f"{what}_high")).all()
    assert (np.diff(course.nitrate) >= -1e-6).all()


@pytest.mark.parametrize(("changed", "kind", "sentence"), [
    ({"ph": 6.2}, OutOfRangeError, r"ph is 6\.2; accepted: 6\.5 to 8\.5\. .* no honest forecast"),
    ({"temp_c": 40}, OutOfRangeError, r"temp_c is 40\.0 °C; accepted: 15 to 32 °C"),
    ({"temp_c": [24, 26]}, InputError, r"temp_c is several numbers; accepted: one number"),
    ({"start": "full"}, InputError, r"start is 'full'; accepted: bare, seeded"),
    ({"release_mg_l_d": 0}, InputError, r"release_mg_l_d is 0 and so is start_ammonia_mg_l; .* nothing to forecast"),
    ({"daily_change_fraction": 1.0}, OutOfRangeError, r"daily_change_fraction is 1\.0; accepted: 0 to 0\.9"),
    ({"oxygen_mg_l": 0.5}, OutOfRangeError, r"oxygen_mg_l is 0\.5 mg/L; accepted: 2 to 15 mg/L"),
])
def test_a_tank_the_model_does_not_know_is_refused(changed, kind, sentence):
    with pytest.raises(kind, match=sentence):
        nitrogen.cycle_forecast(**{"temp_c": 25.0, **changed})
