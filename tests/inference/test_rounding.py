"""Twelve significant digits everywhere in a finding."""

import pytest

from fairtank.finding import Natural, UnitSummary
from fairtank.inference.rounding import rounded, settled


@pytest.mark.parametrize(("value", "stored"), [
    (1 / 3, 0.333333333333), (0.1 + 0.2, 0.3), (-2e-20 / 3, -6.66666666667e-21), (123456789012345.0, 123456789012000.0),
])
def test_a_number_keeps_twelve_digits(value, stored):
    assert rounded(value) == stored


def test_minus_zero_is_zero():
    assert str(rounded(-0.0)) == "0.0"


def test_rounding_twice_changes_nothing():
    assert rounded(rounded(2 / 7)) == rounded(2 / 7)


def test_a_record_is_rounded_as_deep_as_it_goes_and_all_else_is_left_alone():
    record = UnitSummary("T1", "R", 1 / 3, 39, None, 2 / 3, 0)
    assert settled(record) == UnitSummary("T1", "R", 0.333333333333, 39, None, 0.666666666667, 0)
    assert settled(Natural(1 / 3, 1.0, None, None, "%")).low is None
