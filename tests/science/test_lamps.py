"""Lamp settings: the fitted curve against other programs' least squares, and what setting and light must do to each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees, every
from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.science import lamps

# An invented lamp that is dim at low settings.
SETTINGS, READINGS = [0.2, 0.4, 0.6, 0.8, 1.0], [14, 40, 71, 108, 150]


@pytest.mark.published(entry="lamp_setting", source="arithmetic", where="numpy.polyfit and scipy.stats.linregress on the logarithms")
def test_the_curve_equals_the_least_squares_of_other_programs():
    from scipy.stats import linregress

    found = lamps.lamp_setting(80, SETTINGS, READINGS)
    other = linregress(np.log(SETTINGS), np.log(READINGS))
    assert found.power == pytest.approx(other.slope, rel=1e-12)
    assert found.slope == pytest.approx(np.exp(other.intercept), rel=1e-12)
    assert np.polyfit(np.log(SETTINGS), np.log(READINGS), 1) == pytest.approx([found.power, np.log(found.slope)], rel=1e-9)
    worst = np.abs(np.array(READINGS) / (found.slope * np.array(SETTINGS) ** found.power) - 1).max()
    assert found.largest_residual == pytest.approx(worst)


@pytest.mark.published(entry="lamp_setting", source="arithmetic", where="a square-law lamp of 100 µmol by hand: 25 µmol at half, 64 at 0.8")
@pytest.mark.parametrize(("target", "printed"), [(25, "0.5000"), (64, "0.8000"), (100, "1.0000")])
def test_a_square_law_lamp_is_set_as_worked_by_hand(target, printed):
    found = lamps.lamp_setting(target, [0.3, 0.6, 0.9], [9, 36, 81])
    assert agrees(found.setting_fraction, printed)
    assert agrees(found.power, "2.000")
    assert agrees(found.slope, "100.00")
    assert found.largest_residual == pytest.approx(0, abs=1e-12)


@pytest.mark.published(entry="light_at_setting", source="arithmetic", where="the same lamp by hand: 100 x 0.7 squared")
def test_a_square_law_lamp_gives_what_was_worked_by_hand():
    assert agrees(lamps.light_at_setting(0.7, [0.3, 0.6, 0.9], [9, 36, 81]), "49.000")


@pytest.mark.published(entry="lamp_setting", source="common_practice", where="a lamp dimmed by pulses is proportional within a few percent")
def test_one_reading_at_full_output_is_taken_as_proportional():
    found = lamps.lamp_setting(60, [1.0], [120])
    assert agrees(found.setting_fraction, "0.500")
    assert (found.power, found.slope, found.largest_residual, found.is_extrapolated) == (1.0, 120.0, 0.0, True)
    assert lamps.light_at_setting(0.25, 1.0, 120) == 30.0
    assert lamps.lamp_setting(120, 1, 120).is_extrapolated is False


@given(full=st.floats(20, 500), power=st.floats(0.5, 3), share=st.floats(0.05, 1))
def test_setting_and_light_undo_each_other(full, power, share):
    settings = np.array([0.2, 0.5, 0.9])
    readings = full * settings**power
    light = lamps.light_at_setting(share, settings, readings)
    if light >= 0.01:
        assert lamps.lamp_setting(light, settings, readings).setting_fraction == pytest.approx(share, rel=1e-9)


def test_a_sensor_that_reads_high_gives_the_same_setting_for_a_target_in_its_own_readings():
    high = [1.08 * reading for reading in READINGS]
    assert lamps.lamp_setting(80 * 1.08, SETTINGS, high).setting_fraction == pytest.approx(
        lamps.lamp_setting(80, SETTINGS, READINGS).setting_fraction, rel=1e-12)


def test_a_setting_nobody_read_is_flagged():
    found = lamps.lamp_setting([5, 14.5, 80], SETTINGS, READINGS)
    assert found.is_extrapolated.tolist() == [True, False, False]
    assert found.setting_fraction.shape == (3,)
    above = lamps.lamp_setting(90, [0.3, 0.6, 0.9], [9, 36, 81])
    assert above.setting_fraction > 0.9
    assert above.is_extrapolated is True


def test_what_the_lamp_was_seen_to_give_is_never_refused():
    """The curve runs below the reading at full output; the target between the two is full output."""
    readings = [30, 60, 110]
    found = lamps.lamp_setting(110, [0.25, 0.5, 1.0], readings)
    assert found.setting_fraction <= 1
    bent = lamps.lamp_setting(119, [0.25, 0.5, 0.9, 1.0], [30, 60, 100, 120])
    assert bent.slope < 119
    assert bent.setting_fraction == 1.0


@every(("call", "error", "sentence"), [
    (lambda: lamps.lamp_setting(151, SETTINGS, READINGS), OutOfRangeError, r"target_umol is 151\.0 .* about 150 µmol.* Lower the lamp"),
    (lambda: lamps.lamp_setting(130, 1, 120), OutOfRangeError, r"about 120 µmol"),
    (lambda: lamps.lamp_setting(110, [0.3, 0.6, 0.9], [9, 36, 81]), OutOfRangeError, r"about 100 µmol"),
    (lambda: lamps.lamp_setting(50, [50, 100], [60, 120]), OutOfRangeError, r"settings is 50\.0; accepted: 0\.001 to 1\. .* half is 0\.5"),
    (lambda: lamps.lamp_setting(50, [0, 0.5, 1], [1, 60, 120]), OutOfRangeError, r"settings is 0\.0; .* switched off"),
    (lambda: lamps.lamp_setting(50, [0.2, 0.5, 1], [0, 60, 120]), OutOfRangeError, r"readings is 0\.0 µmol"),
    (lambda: lamps.lamp_setting(50, [0.5, 1], [60, 120]), NotEnoughDataError, r"3 different settings or more, or once at full output"),
    (lambda: lamps.lamp_setting(50, [0.5, 0.5, 1], [60, 61, 120]), NotEnoughDataError, r"3 different settings or more"),
    (lambda: lamps.lamp_setting(50, 0.5, 60), NotEnoughDataError, r"once at full output, setting 1"),
    (lambda: lamps.lamp_setting(50, [0.2, 0.5, 1], [120, 60, 20]), InputError, r"readings is lower at higher settings; .* same order"),
    (lambda: lamps.lamp_setting(50, [0.2, 0.5, 1], [20, 60]), InputError, r"readings is of another length than settings"),
    (lambda: lamps.light_at_setting(1.2, SETTINGS, READINGS), OutOfRangeError, r"setting_fraction is 1\.2; accepted: 0\.001 to 1"),
    (lambda: lamps.light_at_setting(0.5, [], []), NotEnoughDataError, r"3 different settings"),
])
def test_too_much_light_or_too_few_readings_are_refused(call, error, sentence):
    with pytest.raises(error, match=sentence):
        call()
