"""What two single readings can tell: the spread of their difference worked out, drawn, and held against the claim checks."""

import numpy as np
import pytest

from checking import agrees
from fairtank.planning.claiming.claim import MEASURABLE, NOT_MEASURABLE, SEEN_FROM, Meter
from fairtank.planning.claims import light_claim, nutrient_claim, oxygen_claim


@pytest.mark.published(entry="oxygen_claim", source="arithmetic", where="1.96 times the square root of 2")
def test_two_readings_differ_by_more_than_2_8_spreads_once_in_twenty():
    assert agrees(1.96 * 2**0.5, str(SEEN_FROM))
    drawn = np.random.default_rng(11).normal(size=(2, 400_000))
    assert np.mean(np.abs(drawn[0] - drawn[1]) > SEEN_FROM) == pytest.approx(0.048, abs=0.002)


def test_a_fixed_error_is_seen_from_2_8_spreads_at_any_level():
    assert Meter(0.0, 0.2, 0.0).smallest_seen == pytest.approx(0.56)
    assert Meter(80.0, 0.2, 0.0).smallest_seen == pytest.approx(0.56)


METERS = pytest.mark.parametrize(("level", "own", "relative"), [
    (8.0, 1.5, 0.2), (4.3, 0.0, 0.26), (50.0, 0.0, 0.25), (50.0, 0.0, 0.1), (0.0, 0.05, 0.25), (6.0, 0.3, 0.45), (80.0, 0.2, 0.0),
])


@METERS
def test_the_smallest_change_seen_is_two_standard_deviations_of_the_difference(level, own, relative):
    """2.8 / √2 = 1.98; the variance of a difference is the sum of both."""
    seen = Meter(level, own, relative).smallest_seen
    lower, upper = (own**2 + (relative * reading) ** 2 for reading in (level, level + seen))
    assert seen == pytest.approx(SEEN_FROM / 2**0.5 * (lower + upper) ** 0.5)
    assert Meter(level, own, relative).error_with(seen) == pytest.approx(seen / SEEN_FROM)


@METERS
def test_two_drawn_readings_of_the_smallest_change_seen_change_places_once_in_42(level, own, relative):
    """Each reading drawn with the spread of its own level: below 1.98 standard deviations of a bell curve lies 2.4 % of it."""
    draw = np.random.default_rng(23)
    count, seen = 400_000, Meter(level, own, relative).smallest_seen
    without, with_it = (reading + own * draw.normal(size=count) + relative * reading * draw.normal(size=count)
                        for reading in (level, level + seen))
    assert np.mean(with_it < without) == pytest.approx(0.0239, abs=0.001)


def test_a_relative_error_can_be_so_large_that_no_change_is_seen():
    """Far up both the rise and its error grow with the reading: from √2 / 2.8 = 0.505 on the error grows faster."""
    assert Meter(10.0, 0.0, 2**0.5 / SEEN_FROM + 1e-9).smallest_seen is None
    assert Meter(10.0, 0.0, 2**0.5 / SEEN_FROM - 1e-3).smallest_seen > 1000
    assert light_claim(1000, 50, 0.6).smallest_seen is None
    assert light_claim(1000, 50, 0.6).verdict == NOT_MEASURABLE


@pytest.mark.published(entry="nutrient_claim", source="arithmetic", where="1.5 mg/L and 20 %: L² = 3.92 (4.5 + 0.2 L²), L = 9.04, by hand")
def test_doubled_nitrate_can_be_told_from_the_hand_worked_level_on():
    doubled = [nutrient_claim("nitrate", 60, level, times=2, plants="none") for level in (8, 9.03, 9.05)]
    assert [claim.verdict for claim in doubled] == [NOT_MEASURABLE, NOT_MEASURABLE, MEASURABLE]


def test_the_error_told_is_that_of_both_readings():
    claim = nutrient_claim("nitrate", 60, 10, times=2)
    assert claim.meter_error == pytest.approx(((1.5**2 + 2.0**2 + 1.5**2 + 4.0**2) / 2) ** 0.5)
    assert oxygen_claim(50, 20, 0.07, "rippled").meter_error == 0.2, "a fixed error stays what was given"
