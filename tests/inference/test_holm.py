"""Holm's adjustment against the rule told step by step, and at its edges; other software stands among the worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fairtank.errors import OutOfRangeError
from fairtank.inference.intervals.holm import holm


def is_refused_step_by_step(p_values, index, alpha):
    """The rule as it is told: the smallest p is held against alpha / n, the next against alpha / (n - 1), until one stays."""
    order = sorted(range(len(p_values)), key=lambda one: p_values[one])
    for rank, one in enumerate(order):
        if p_values[one] > alpha / (len(p_values) - rank):
            return False
        if one == index:
            return True
    raise AssertionError("the index is not in the list")


@given(st.lists(st.floats(0, 1), min_size=1, max_size=8, unique=True), st.floats(0.001, 0.5))
def test_an_adjusted_value_is_below_alpha_exactly_when_the_steps_reach_the_measure(p_values, alpha):
    for index, adjusted in enumerate(holm(p_values)):
        if abs(adjusted - alpha) > 1e-12:
            assert (adjusted < alpha) == is_refused_step_by_step(p_values, index, alpha)


def test_a_measure_that_could_not_be_judged_still_counts():
    assert holm([0.02, None]) == (0.04, 1.0)


def test_one_measure_is_its_own_family_and_none_is_none():
    assert holm([0.03]) == (0.03,)
    assert holm([]) == ()


def test_a_p_value_above_one_is_refused():
    with pytest.raises(OutOfRangeError, match=r"p is 1\.2; accepted: 0 to 1"):
        holm([0.3, 1.2])
