"""The transfer velocity carried over and measured: definitions, curves of known rate, and a second fitting routine."""

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.science import gases, transfer

HOURS = np.array([0.0, 0.5, 1, 1.5, 2, 3, 4, 6, 8, 10])


def faded(rate_per_h, start_mg_l, balance_mg_l, uptake_mg_l_h=0.0, hours=HOURS):
    """The curve itself: solution of dC/dt = rate (balance - C) - uptake."""
    rest = balance_mg_l - uptake_mg_l_h / rate_per_h
    return rest + (start_mg_l - rest) * np.exp(-rate_per_h * hours)


@pytest.mark.published(entry="transfer_from_k600_cm_h", source="wanninkhof1992", where="Schmidt numbers 530.5 and 599.4 at 20 °C, by hand")
@pytest.mark.parametrize(("gas", "surface", "printed"), [
    ("oxygen", "wavy", "2.127"), ("oxygen", "still", "2.171"), ("carbon_dioxide", "wavy", "2.001"), ("carbon_dioxide", "still", "2.001"),
])
def test_velocity_from_k600_equals_the_hand_worked_one(gas, surface, printed):
    assert agrees(transfer.transfer_from_k600_cm_h(2, 20, gas, surface), printed)


def test_velocity_is_k600_where_the_schmidt_number_is_600_and_rises_with_warmth():
    temps = np.linspace(0, 30, 3001)
    nearest = temps[np.abs(gases.schmidt_oxygen(temps) - 600).argmin()]
    for surface in transfer.SCHMIDT_POWER:
        assert transfer.transfer_from_k600_cm_h(3.0, nearest, "oxygen", surface) == pytest.approx(3.0, rel=2e-4)
        assert (np.diff(transfer.transfer_from_k600_cm_h(3.0, temps, "carbon_dioxide", surface)) > 0).all()


@pytest.mark.published(entry="transfer_from_readings", source="arithmetic", where="curve of known rate: 2 cm/h, 60 L, 0.18 m², 16.7 h")
@pytest.mark.parametrize(("start_mg_l", "uptake_mg_h"), [(12.0, 0.0), (3.0, 0.0), (12.0, 20.0), (30.0, -15.0)])
def test_readings_without_scatter_give_back_the_velocity(start_mg_l, uptake_mg_h):
    rate = 1 / gases.time_constant_h(60, 2, 0.18)
    read = faded(rate, start_mg_l, 8.263, uptake_mg_h / 60)
    result = transfer.transfer_from_readings(HOURS, read, 8.263, 60, 0.18, uptake_mg_h)
    assert agrees(result.transfer_cm_h, "2.000")
    assert agrees(result.time_constant_h, "16.7")
    assert result.low_cm_h == pytest.approx(2, rel=1e-4)
    assert result.high_cm_h == pytest.approx(2, rel=1e-4)


def test_the_fit_and_its_interval_agree_with_a_second_routine():
    """scipy.optimize.curve_fit and Student's t; the profile interval is not symmetric, so a few percent of its width are allowed."""
    from scipy.optimize import curve_fit
    from scipy.stats import t

    read = faded(0.2, 13.0, 8.263) + np.random.default_rng(8).normal(0, 0.1, HOURS.size)
    result = transfer.transfer_from_readings(HOURS, read, 8.263, 60, 0.18)
    best, covariance = curve_fit(lambda hours, rate, start: faded(rate, start, 8.263, hours=hours), HOURS, read, p0=(0.1, 12))
    velocity, se = best[0] * 60 / 1.8, np.sqrt(covariance[0, 0]) * 60 / 1.8
    assert result.transfer_cm_h == pytest.approx(velocity, rel=1e-5)
    half = t.ppf(0.975, HOURS.size - 2) * se
    assert result.low_cm_h == pytest.approx(velocity - half, abs=0.06 * half)
    assert result.high_cm_h == pytest.approx(velocity + half, abs=0.06 * half)


def test_the_interval_holds_the_truth_about_as_often_as_it_says():
    rng = np.random.default_rng(41)
    held = 0
    for _ in range(300):
        rate, start = rng.uniform(0.1, 0.6), rng.uniform(11, 15)
        read = faded(rate, start, 8.263) + rng.normal(0, 0.1, HOURS.size)
        result = transfer.transfer_from_readings(HOURS, read, 8.263, 60, 0.18)
        held += result.low_cm_h <= rate * 60 / 1.8 <= result.high_cm_h
    assert 0.92 <= held / 300 <= 0.98


def test_breathing_that_is_left_out_makes_the_velocity_wrong():
    read = faded(0.1, 12.0, 8.263, uptake_mg_l_h=0.2)
    told = transfer.transfer_from_readings(HOURS, read, 8.263, 60, 0.18, 0.2 * 60).transfer_cm_h
    assert told == pytest.approx(0.1 * 60 / 1.8, rel=1e-6)
    assert transfer.transfer_from_readings(HOURS, read, 8.263, 60, 0.18).transfer_cm_h > 1.2 * told


def test_the_order_of_readings_does_not_matter_and_more_scatter_widens_the_interval():
    noise = np.random.default_rng(2).normal(0, 1, HOURS.size)
    calm, rough = (transfer.transfer_from_readings(HOURS, faded(0.3, 13, 8.263) + size * noise, 8.263, 60, 0.18) for size in (0.03, 0.2))
    assert rough.high_cm_h - rough.low_cm_h > 3 * (calm.high_cm_h - calm.low_cm_h)
    back = transfer.transfer_from_readings(HOURS[::-1], (faded(0.3, 13, 8.263) + 0.03 * noise)[::-1], 8.263, 60, 0.18)
    assert back.transfer_cm_h == pytest.approx(calm.transfer_cm_h, rel=1e-9)


@pytest.mark.parametrize(("read", "sentence"), [
    ([9.0, 9.2, 8.9, 9.1], r"do not show how fast the gas leaves"),
    ([8.263, 8.263, 8.263, 8.263], r"do not show how fast the gas leaves"),
    ([9.0, 9.6, 10.3, 11.1], r"do not show how fast the gas leaves: .* over at least one time constant"),
])
def test_readings_that_show_no_rate_are_refused(read, sentence):
    with pytest.raises(NotEnoughDataError, match=sentence):
        transfer.transfer_from_readings([0, 1, 2, 3], read, 8.263, 60, 0.18)


def test_wrong_readings_and_words_are_refused_by_what_they_are():
    with pytest.raises(NotEnoughDataError, match=r"readings at 3 different hours; a rate needs four or more"):
        transfer.transfer_from_readings([0, 1, 1, 2], [12, 11, 11, 10], 8.26, 60, 0.18)
    with pytest.raises(InputError, match=r"gas_mg_l is 3 readings for 4 hours; accepted: one reading for each hour"):
        transfer.transfer_from_readings([0, 1, 2, 3], [12, 11, 10], 8.26, 60, 0.18)
    with pytest.raises(InputError, match=r"balance_mg_l is several numbers; accepted: one number"):
        transfer.transfer_from_readings([0, 1, 2, 3], [12, 11, 10, 9], [8, 8], 60, 0.18)
    with pytest.raises(OutOfRangeError, match=r"balance_mg_l is 99\.0 mg/L; accepted: 0 to 40 mg/L"):
        transfer.transfer_from_readings([0, 1, 2, 3], [12, 11, 10, 9], 99, 60, 0.18)
    with pytest.raises(InputError, match=r"gas is 'nitrogen'; accepted: oxygen, carbon_dioxide"):
        transfer.transfer_from_k600_cm_h(2, 20, "nitrogen", "wavy")
    with pytest.raises(InputError, match=r"surface is 'rough'; accepted: still, wavy"):
        transfer.transfer_from_k600_cm_h(2, 20, "oxygen", "rough")
    with pytest.raises(OutOfRangeError, match=r"k600_cm_h is 0\.0 cm/h; accepted: 0\.05 to 200 cm/h"):
        transfer.transfer_from_k600_cm_h(0, 20, "oxygen", "wavy")
