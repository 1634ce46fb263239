"""Numbers as people read them."""

import math

import pytest

from fairtank.publish import numbers


@pytest.mark.as_it_was("gum2008, 7.2.6, recalled and not read: 10.05762 ohm with an uncertainty of 27 milliohm is 10.058 ohm, 2026-11-25")
def test_an_estimate_is_rounded_to_be_consistent_with_its_uncertainty():
    assert numbers.number(10.05762, numbers.decimals_for(0.027)) == "10.058"


@pytest.mark.parametrize(("value", "low", "high", "text"), [
    (8.3, 5.2, 12.9, "8.3 (5.2 to 12.9)"), (4.59, 1.53, 12.92, "4.6 (1.5 to 12.9)"), (49.3, 40.4, 58.2, "49 (40 to 58)"),
    (0.937, 0.852, 1.031, "0.94 (0.85 to 1.03)"), (12345.0, 11000.0, 14000.0, "12\u00a0300 (11\u00a0000 to 14\u00a0000)"),
    (0.4, 0.02, 99.0, "0.40 (0.02 to 99)"),
])
def test_an_interval_sets_the_decimals_of_all_three_numbers(value, low, high, text):
    decimals = numbers.decimals_of(value, low, high)
    shown = f"{numbers.end(value, decimals)} ({numbers.interval(low, high, decimals)})"
    assert shown == text


def test_minus_is_a_true_minus_and_zero_has_none():
    assert numbers.number(-3.25, 1) == "−3.2"
    assert numbers.number(-0.001, 2) == "0.00"


def test_an_end_without_limit_is_said_in_words():
    assert numbers.end(math.inf, 2) == "over 1\u00a0000\u00a0000"
    assert numbers.end(1e-9, 2) == "under 0.001"


def test_a_number_and_its_unit_stay_on_one_line():
    assert numbers.with_unit("8.3", "%") == "8.3\u00a0%"
    assert numbers.with_unit("8.3", "") == "8.3"
    assert numbers.unit_words("uS/cm") == "μS/cm"


def test_control_and_turning_signs_are_made_visible_and_nothing_else_is_changed():
    assert numbers.shown("a\x00b\u202ec\ud800d") == "a\ufffdb\ufffdc\ufffdd"
    assert numbers.shown("<script>שלום 🐟 #panic") == "<script>שלום 🐟 #panic"
