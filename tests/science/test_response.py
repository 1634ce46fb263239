"""Compensation and saturation light: each curve solved for zero, checked by putting the answer back in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import light, response


@pytest.mark.published(entry="compensation", source="arithmetic", where="saturation at 10 / 0.1; Monod with half lost: the same")
def test_the_hand_worked_plant_saturates_at_100_and_pays_for_half_its_maximum_there_too():
    found = response.compensation("monod", 10, 0.1, 5)
    assert agrees(found.saturation_umol, "100.0")
    assert agrees(found.compensation_umol, "100.0")


@given(model=st.sampled_from(["jassby_platt", "monod", "smith"]), maximum=st.floats(0.1, 100), slope=st.floats(0.01, 1),
       share=st.floats(0, 0.95))
def test_at_the_compensation_light_gain_and_loss_balance(model, maximum, slope, share):
    found = response.compensation(model, maximum, slope, share * maximum)
    if found.compensation_umol <= 5000:
        rate = light.photosynthesis(model, found.compensation_umol, maximum, slope, share * maximum)
        assert rate == pytest.approx(0, abs=1e-9 * maximum)
    assert found.compensation_umol >= share * found.saturation_umol * (1 - 1e-9) - 1e-300, "no curve is steeper than its slope"


def test_without_loss_the_compensation_light_is_darkness_and_arrays_give_arrays():
    assert response.compensation("smith", 10, 0.1, 0).compensation_umol == 0
    found = response.compensation("jassby_platt", 10, 0.1, [0, 1, 2])
    assert found.compensation_umol.shape == found.saturation_umol.shape == (3,)


@pytest.mark.parametrize(("call", "error", "sentence"), [
    (lambda: response.compensation("monod", 10, 0.1, 10), OutOfRangeError, r"respiration is 10\.0; accepted: less than maximum\. No light"),
    (lambda: response.compensation("monod", 10, 0, 1), OutOfRangeError, r"slope is 0\.0; accepted: 1e-09 to 1e\+06"),
    (lambda: response.compensation("other", 10, 1, 1), InputError, r"model is 'other'; accepted: jassby_platt, monod, smith"),
])
def test_a_plant_that_no_light_can_feed_is_refused(call, error, sentence):
    with pytest.raises(error, match=sentence):
        call()
