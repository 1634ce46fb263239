"""Steps of scale and syringe, halves upwards, and tolerances."""

import pytest

from fairtank.planning.building.rounding import FINENESS, HARDSCAPE_SHARE, to_step, tolerance, weighable


@pytest.mark.parametrize(("value", "step", "rounded"), [
    (10.5, 1, 11.0), (11.5, 1, 12.0), (0.25, 0.5, 0.5), (0.2499, 0.5, 0.0), (6.3504, 0.001, 6.35), (0.1 + 0.2, 0.1, 0.3),
    (2.675, 0.01, 2.68), (1234.5, 1, 1235.0),
])
def test_halves_go_up(value, step, rounded):
    assert to_step(value, step) == rounded


@pytest.mark.parametrize("unit_of_measure", FINENESS)
def test_what_can_be_weighed_stays_and_rounding_moves_half_a_step_at_most(unit_of_measure):
    step = FINENESS[unit_of_measure].step
    for count in range(0, 2000, 37):
        value = count * step / 3
        rounded = weighable(value, unit_of_measure)
        assert abs(rounded - value) <= step / 2 + 1e-9
        assert weighable(rounded, unit_of_measure) == rounded


def test_a_tolerance_is_a_share_but_never_finer_than_the_scale():
    assert tolerance(5.4, "kg") == 0.054
    assert tolerance(0.03, "kg") == 0.001
    assert tolerance(2.1, "kg", HARDSCAPE_SHARE) == 0.105
    assert tolerance(8, "piece") == 0
    assert tolerance(0.5, "mL") == 0.25
