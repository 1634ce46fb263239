"""Doses and water changes week after week, against hand-worked runs and the balance of matter."""

import numpy as np
import pytest

from checking import agrees
from fairtank.errors import OutOfRangeError
from fairtank.science.changes import after_changes_mg_l, after_doses_mg_l, exchanged_fraction, steady_after_dose_mg_l, steady_mg_l


@pytest.mark.published(entry="after_changes_mg_l", source="arithmetic", where="dose 5, then a share of the water changed; by hand")
@pytest.mark.parametrize(("change_fraction", "printed"), [
    (0.25, ("3.75", "6.562", "8.672", "10.254")), (0.30, ("3.5", "5.95", "7.665")), (0.50, ("2.5", "3.75", "4.375")),
])
def test_the_first_weeks_equal_the_hand_worked_ones(change_fraction, printed):
    after = after_changes_mg_l(5, change_fraction, len(printed))
    assert after.shape == (len(printed),)
    assert all(agrees(value, digits) for value, digits in zip(after, printed, strict=True))


@pytest.mark.published(entry="steady_mg_l", source="arithmetic", where="dose 5: after and before a change in the end; worked by hand")
@pytest.mark.parametrize(("change_fraction", "after", "before"), [(0.25, "15", "20"), (0.30, "11.667", "16.667"), (0.50, "5", "10")])
def test_the_steady_state_equals_the_hand_worked_one(change_fraction, after, before):
    steady = steady_mg_l(5, change_fraction)
    assert agrees(steady.after, after)
    assert agrees(steady.before, before)


@pytest.mark.published(entry="after_doses_mg_l", source="arithmetic", where="dose after the change: in the end dose by share")
def test_a_dose_after_the_change_ends_at_dose_by_share():
    assert agrees(after_doses_mg_l(5, 0.5, 60)[-1], "10.000")
    assert after_doses_mg_l(5, 0.5, 2).tolist() == [5, 7.5]


@pytest.mark.published(entry="steady_after_dose_mg_l", source="arithmetic", where="peak d/x + new water where the dose follows the change")
def test_the_peak_after_a_dose_is_dose_by_share_on_top_of_the_new_water():
    steady = steady_after_dose_mg_l(5, 0.25, new_water_mg_l=3)
    assert agrees(steady.after_dose, "23")
    assert agrees(steady.before_change, "23")
    assert agrees(steady.after_change, "18")


@pytest.mark.published(entry="exchanged_fraction", source="arithmetic", where="two changes of 25 % exchange 43.75 %")
def test_changes_in_a_row_exchange_less_than_their_sum():
    assert agrees(100 * exchanged_fraction([0.25, 0.25]), "43.75")
    assert exchanged_fraction([0.5]) == 0.5
    assert exchanged_fraction([]) == 0
    assert exchanged_fraction([0.3, 1.0, 0.2]) == 1


def test_the_distance_to_the_steady_state_shrinks_by_the_same_share_each_time():
    steady = steady_mg_l(6, 0.4, uptake_mg_l=2, new_water_mg_l=1.5)
    after = after_changes_mg_l(6, 0.4, 12, start_mg_l=30, uptake_mg_l=2, new_water_mg_l=1.5)
    distance = np.abs(after - steady.after)
    assert distance == pytest.approx((30 - steady.after) * 0.6 ** np.arange(1, 13), rel=1e-9)


def test_twelve_weeks_keep_the_balance_of_matter():
    """What went in is what is there, what was carried out and what plants took up; no week is beyond dose by share."""
    rng = np.random.default_rng(5)
    for _ in range(40):
        dose, change, start, uptake, new = rng.uniform([0, 0.05, 0, 0, 0], [20, 0.9, 60, 25, 30])
        after = after_changes_mg_l(dose, change, 12, start, uptake, new)
        level, taken, carried_out, brought = start, 0.0, 0.0, 0.0
        for week in range(12):
            eaten = min(uptake, level + dose)
            before = level + dose - eaten
            taken, carried_out, brought = taken + eaten, carried_out + change * before, brought + change * new
            level = (1 - change) * before + change * new
            assert after[week] == pytest.approx(level, abs=1e-9)
            assert before <= max(start, 0) + dose / change + new + 1e-9
        assert start + 12 * dose + brought == pytest.approx(after[-1] + taken + carried_out, abs=1e-8)
        assert (after >= 0).all()


def test_without_uptake_the_peak_never_passes_dose_by_share():
    for change in (0.1, 0.3, 0.5, 1.0):
        before = after_changes_mg_l(7, change, 400)[:-1] + 7
        assert before.max() <= 7 / change * (1 + 1e-12)
        assert after_doses_mg_l(7, change, 400).max() <= 7 / change * (1 + 1e-12)


def test_long_runs_end_at_the_steady_state_wherever_they_begin():
    rng = np.random.default_rng(6)
    dose, uptake, new = rng.uniform(0, 20, 50), rng.uniform(0, 25, 50), rng.uniform(0, 30, 50)
    change, start = rng.uniform(0.05, 1, 50), rng.uniform(0, 500, 50)
    steady = steady_mg_l(dose, change, uptake, new)
    assert after_changes_mg_l(dose, change, 800, start, uptake, new)[-1] == pytest.approx(steady.after, abs=1e-6)
    peaks = steady_after_dose_mg_l(dose, change, uptake, new)
    assert after_doses_mg_l(dose, change, 800, start, uptake, new)[-1] == pytest.approx(peaks.after_dose, abs=1e-6)
    assert peaks.before_change == pytest.approx(np.maximum(peaks.after_dose - uptake, 0), abs=1e-9)


def test_plants_take_up_no_more_than_there_is():
    assert after_changes_mg_l(5, 0.5, 3, start_mg_l=4, uptake_mg_l=20).tolist() == [0, 0, 0]
    assert after_changes_mg_l(5, 0.5, 2, uptake_mg_l=20, new_water_mg_l=8).tolist() == [4, 4]
    steady = steady_mg_l(5, 0.5, uptake_mg_l=20, new_water_mg_l=8)
    assert (steady.after, steady.before) == (4, 0)


def test_no_change_adds_up_and_a_whole_change_leaves_the_new_water():
    assert after_changes_mg_l(5, 0, 4).tolist() == [5, 10, 15, 20]
    assert after_changes_mg_l(5, 1, 2, start_mg_l=80, new_water_mg_l=3).tolist() == [3, 3]


def test_arrays_stand_behind_the_periods():
    many = after_changes_mg_l([5, 10], [[0.25], [0.5]], 3)
    assert many.shape == (3, 2, 2)
    assert many[:, 1, 0].tolist() == [2.5, 3.75, 4.375]
    assert after_doses_mg_l(5, [0.25, 0.5], 2, start_mg_l=1).shape == (2, 2)
    assert isinstance(steady_mg_l(5, 0.5).after, float)
    assert steady_after_dose_mg_l([5, 6], 0.5).after_dose.shape == (2,)


@pytest.mark.parametrize(("call", "sentence"), [
    (lambda: after_changes_mg_l(-5, 0.5, 3), r"dose_mg_l is -5\.0 mg/L; accepted: 0 to 10000 mg/L"),
    (lambda: after_changes_mg_l(5, 50, 3), r"change_fraction is 50\.0; accepted: 0 to 1"),
    (lambda: after_changes_mg_l(5, 0.5, 2.5), r"periods is 2\.5; accepted: a whole number from 1 to 1000"),
    (lambda: after_changes_mg_l(5, 0.5, 0), r"periods is 0\.0; accepted: 1 to 1000"),
    (lambda: after_doses_mg_l(5, 0.5, [1, 2]), r"periods is several numbers; accepted: a whole number from 1 to 1000"),
    (lambda: steady_mg_l(5, 0), r"change_fraction is 0\.0; accepted: 0\.01 to 1"),
    (lambda: steady_after_dose_mg_l(5, 0.5, uptake_mg_l=-1), r"uptake_mg_l is -1\.0 mg/L"),
    (lambda: exchanged_fraction([0.25, 25]), r"change_fraction is 25\.0; accepted: 0 to 1"),
])
def test_a_number_outside_its_range_is_refused(call, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        call()
