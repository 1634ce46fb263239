"""What nitrification takes, against printed numbers; and the forecast from own readings, against simulated tanks of known truth."""

from dataclasses import replace

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.science import cycling, nitrification, nitrogen
from fairtank.units import convert


@pytest.mark.published(entry="nitrification_oxygen_mg_l", source="nitrification_demand", where="4.57 of oxygen by 1 of ammonia nitrogen")
def test_nitrification_takes_the_printed_oxygen():
    assert agrees(nitrification.nitrification_oxygen_mg_l(1.0), "4.57")
    assert agrees(nitrification.nitrification_oxygen_mg_l(1.0) * 3 / 4, "3.43"), "three of four atoms go into nitrite"
    assert agrees(nitrification.nitrification_oxygen_mg_l(1.0) / 4, "1.14")


@pytest.mark.published(entry="nitrification_alkalinity_dkh", source="arithmetic", where="2 mol acid by mol nitrogen, 0.400 dKH by mg/L")
def test_nitrification_takes_the_hand_worked_hardness():
    used = nitrification.nitrification_alkalinity_dkh(1.0)
    assert agrees(used, "0.400")
    # 7.14 mg/L CaCO3 is the usual round figure (100/14); with exact molar masses it is 7.146.
    assert convert(used, "dKH", "mg/L CaCO3") == pytest.approx(100 / 14, rel=1e-3)
    assert agrees(nitrification.nitrification_alkalinity_dkh(10.0), "4.00")


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: nitrification.nitrification_oxygen_mg_l(float("nan")), r"nitrified_mg_l is nan mg/L N; accepted: 0 to 1000 mg/L N"),
    (lambda: nitrification.nitrification_alkalinity_dkh(-1), r"nitrified_mg_l is -1\.0 mg/L N; accepted: 0 to 1000 mg/L N"),
])
def test_a_number_outside_its_range_is_refused_by_name_value_and_range(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()


def usual_tank():
    """A bare tank of 25 °C with the usual values, in one column."""
    return nitrogen.cycle_sets(cycling.STARTS["bare"], 25.0, 7.0, 1.0, 0.05, 0.0, 8.0, 0.0).of(np.array([0]))


def test_readings_without_error_give_back_the_start_and_the_day():
    days = np.arange(1, 11.0)
    truth = replace(usual_tank(), ammonia_bacteria=np.array([3e-4]), nitrite_bacteria=np.array([1.5e-4]))
    track = cycling.integrated(truth, cycling.HORIZON_D, 1e-4)
    read = cycling.at(track, days)[:, :2, 0]
    told = nitrification.start_from_readings(days, read[:, 0], read[:, 1], 25.0)
    assert told.start_mg_l == pytest.approx(3e-4, rel=0.1)
    assert told.start_low_mg_l < 3e-4 < told.start_high_mg_l
    assert told.done_day == pytest.approx(cycling.done_days(track)[0], abs=0.3)


@pytest.mark.as_it_was("simulated tanks with readings 25 % off; no outside number can exist, 2026-11-25")
def test_the_band_of_start_from_readings_is_narrower_and_holds_the_truth():
    """Six tanks drawn apart from the sets of the fit, read every second day for 18 days; nine in ten are promised."""
    rng = np.random.default_rng(5)
    numbers = cycling.drawn({**cycling.KINETICS, "start": cycling.STARTS["bare"]}, 6, 78)
    sets = cycling.sets_at(numbers, 25.0, 8.0, release_mg_l_d=1.0, fading_per_d=0.05, dilution_per_d=0.0, ammonia_mg_l=0.0,
                           start_mg_l=numbers["start"])
    track, days = cycling.integrated(sets, cycling.HORIZON_D), np.arange(2, 18.5, 2)
    truth, read = cycling.done_days(track), cycling.at(track, days)[:, :2]
    read = np.round(read * np.exp(0.25 * rng.standard_normal(read.shape)), 1)
    before = nitrogen.cycle_forecast(25)
    told = [nitrification.start_from_readings(days, read[:, 0, j], read[:, 1, j], 25.0) for j in range(1, 7)]
    held = [band.done_low_day <= day <= band.done_high_day for band, day in zip(told, truth[1:], strict=True)]
    assert sum(held) >= 5
    assert np.mean([band.done_high_day - band.done_low_day for band in told]) < 0.7 * (before.done_high_day - before.done_low_day)


def test_the_fit_takes_few_steps(monkeypatch):
    """Its time is that of its steps, one after the other; how many tanks go side by side hardly counts. 700 were a fifth of a second."""
    steps, integrated = [], cycling.integrated

    def counted(*given):
        track = integrated(*given)
        steps.append(len(track.time))
        return track

    monkeypatch.setattr(cycling, "integrated", counted)
    monkeypatch.setattr(nitrification, "integrated", counted)
    nitrification.start_from_readings([2, 4, 6, 8], [1.9, 3.4, 4.2, 1.6], [0.0, 0.2, 1.3, 5.5], 25.0)
    assert sum(steps) < 400
    assert "because it is a fit" in " ".join(nitrification.start_from_readings.__doc__.split())


def test_the_fit_of_the_usual_values_finds_its_way_to_late_readings():
    """Nitrite that stays high for days, of a tank with few nitrite oxidisers: the fitted course follows within the spread of a test kit."""
    days = np.arange(2, 18.5, 2)
    read = np.array([[2.1, 2.6, 4.2, 0, 0, 0, 0, 0, 0], [0, 0.1, 1.1, 7.9, 8.0, 6.2, 2.7, 0, 0]])
    sets = nitrogen.cycle_sets(cycling.STARTS["bare"], 25.0, 7.0, 1.0, 0.05, 0.0, 8.0, 0.0).of(np.arange(81))
    fitted = nitrification.fitted(sets, days, read).of(np.array([0]))
    course = cycling.at(cycling.integrated(fitted, 20.0, 1e-4), days)[:, :2, 0].T
    off = np.log((course + 0.1) / (read + 0.1)) / 0.35
    assert np.sqrt((off**2).mean()) < 2
    assert 13 < cycling.done_days(cycling.integrated(fitted, 60.0))[0] < 17


def test_the_order_in_which_readings_are_typed_changes_nothing():
    days, total, nitrite = np.array([2, 4, 6, 8.0]), np.array([1.9, 3.4, 4.2, 1.6]), np.array([0.0, 0.2, 1.3, 5.5])
    mixed = np.array([3, 0, 2, 1])
    told = nitrification.start_from_readings(days, total, nitrite, 25.0)
    assert nitrification.start_from_readings(days[mixed], total[mixed], nitrite[mixed], 25.0) == told


READ = {"days": [2, 4, 6], "total_mg_l": [1.9, 3.4, 4.2], "nitrite_mg_l": [0.0, 0.2, 1.3], "temp_c": 25.0}


@pytest.mark.parametrize(("changed", "kind", "sentence"), [
    ({"days": [2, 4, 4]}, NotEnoughDataError, r"readings on 2 different days; a fit needs three or more"),
    ({"total_mg_l": [0.1, 0.2, 0.1], "nitrite_mg_l": [0, 0, 0]}, NotEnoughDataError, r"No reading reaches 0\.25 mg/L N yet.*Read on"),
    ({"nitrite_mg_l": [0.0, 0.2]}, InputError, r"nitrite_mg_l is 2 readings for 3 days; accepted: one reading for each day"),
    ({"total_mg_l": [1.9, 3.4, 400]}, OutOfRangeError, r"total_mg_l is 400\.0 mg/L N; accepted: 0 to 100 mg/L N"),
    ({"days": [2, 4, 6, 8, 10, 12], "total_mg_l": [0, 9, 0, 9, 0, 9], "nitrite_mg_l": [9, 0, 9, 0, 9, 0]}, NotEnoughDataError,
     r"cannot follow these readings.*counted as nitrogen"),
    ({"ph": 6.0}, OutOfRangeError, r"ph is 6\.0; accepted: 6\.5 to 8\.5\. Below 6\.5 nitrifying bacteria slow down"),
])
def test_readings_that_carry_no_forecast_are_refused(changed, kind, sentence):
    with pytest.raises(kind, match=sentence):
        nitrification.start_from_readings(**{**READ, **changed})
