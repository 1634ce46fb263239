"""The way back from the scale."""

import pytest

from checking import agrees, every
from fairtank.publish.scales import natural_value, scale_value


@every("scale", ["logit", "log", "identity"])
@every("value", [0.3, 8.3, 50.0, 99.0])
def test_there_and_back_gives_the_same_value(scale, value):
    assert natural_value(scale_value(value, scale), scale) == pytest.approx(value, rel=1e-12)


def test_even_odds_are_half_cover_and_equal_steps_lie_evenly_about_it():
    assert agrees(natural_value(0.0, "logit"), "50")
    assert natural_value(1.3, "logit") + natural_value(-1.3, "logit") == pytest.approx(100.0)


def test_values_far_out_stay_finite():
    assert natural_value(-1e6, "logit") >= 0.0
    assert scale_value(0.0, "log") > -100
