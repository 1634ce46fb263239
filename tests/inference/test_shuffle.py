"""The shuffle test: its floors, ties, symmetry, what is drawn where all is too much to count, and scipy as a second opinion."""

from statistics import fmean

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import agrees
from fairtank.inference.intervals.shuffle import DRAWS, FEWEST_ASKED, MOST_COUNTED, arrangements, is_shown, shuffle_p, smallest_p


@pytest.mark.published(entry="side_by_side", source="arithmetic", where="2 / binomial(2n, n) for n units per arm")
@pytest.mark.parametrize(("units", "printed"), [(4, "0.0286"), (5, "0.0079"), (6, "0.0022")])
def test_the_smallest_p_is_the_share_of_two_arrangements(units, printed):
    apart = shuffle_p([float(value) for value in range(units)], [100.0 + value for value in range(units)])
    assert agrees(apart, printed)
    assert apart == pytest.approx(smallest_p(units, units), rel=1e-11)


def test_arrangements_are_counted():
    assert [arrangements(units, units) for units in (1, 2, 3, 4, 5, 6)] == [2, 6, 20, 70, 252, 924]


def test_it_is_shown_from_forty_arrangements_and_asked_from_250():
    assert [is_shown(*sizes) for sizes in ((3, 3), (3, 4), (3, 5), (4, 4), (10, 10), (10, 11))] == [False, False, True, True, True, True]
    assert arrangements(4, 4) < FEWEST_ASKED <= arrangements(5, 5)
    assert arrangements(10, 10) <= MOST_COUNTED < arrangements(11, 10)


@settings(max_examples=25, deadline=None)  # the first example pays for importing scipy.stats
@given(st.integers(0, 2**32 - 1), st.integers(2, 6))
def test_equal_arms_agree_with_scipy(seed, units):
    from scipy.stats import permutation_test

    rng = np.random.default_rng(seed)
    reference, changed = rng.normal(size=units), rng.normal(0.5, 1, size=units)
    other = permutation_test((reference, changed), lambda a, b: abs(a.mean() - b.mean()), alternative="greater", n_resamples=np.inf,
                             permutation_type="independent")
    assert shuffle_p(reference.tolist(), changed.tolist()) == pytest.approx(other.pvalue, rel=1e-9)


VALUES = st.lists(st.integers(0, 4).map(float), min_size=2, max_size=5)


@given(VALUES, VALUES)
def test_it_equals_the_count_by_hand_with_ties_and_uneven_arms(reference, changed):
    from itertools import combinations

    pooled = [*reference, *changed]
    observed = abs(sum(changed) / len(changed) - sum(reference) / len(reference))
    counted = []
    for chosen in combinations(range(len(pooled)), len(reference)):
        one = [pooled[index] for index in chosen]
        rest = [pooled[index] for index in range(len(pooled)) if index not in chosen]
        counted.append(abs(sum(rest) / len(rest) - sum(one) / len(one)) >= observed - 1e-9)
    assert shuffle_p(reference, changed) == pytest.approx(sum(counted) / len(counted), rel=1e-11)


@given(VALUES, VALUES)
def test_swapping_the_arms_changes_nothing(reference, changed):
    assert shuffle_p(reference, changed) == shuffle_p(changed, reference)


@given(VALUES, VALUES, st.floats(-100, 100), st.floats(0.01, 100))
def test_shifting_and_stretching_the_scale_changes_nothing(reference, changed, shift, factor):
    moved = [[shift + factor * value for value in arm] for arm in (reference, changed)]
    assert shuffle_p(*moved) == shuffle_p(reference, changed)


def test_units_that_are_all_alike_give_one():
    assert shuffle_p([0.3] * 5, [0.3] * 5) == 1.0


def test_twelve_units_give_a_whole_number_of_their_924_arrangements():
    values = np.random.default_rng(5).normal(size=12).tolist()
    share = 924 * shuffle_p(values[:6], values[6:])
    assert share == pytest.approx(round(share), abs=1e-9)
    assert 2 <= round(share) <= 924


def test_beyond_what_can_be_counted_the_lot_is_drawn_again_and_agrees_with_the_count(monkeypatch):
    rng = np.random.default_rng(3)
    reference, changed = rng.normal(size=8).tolist(), rng.normal(1.1, 1, size=7).tolist()
    counted = shuffle_p(reference, changed)
    assert 0.005 < counted < 0.2
    monkeypatch.setattr("fairtank.inference.intervals.shuffle.MOST_COUNTED", 100)
    drawn = shuffle_p(reference, changed)
    assert drawn != counted
    assert drawn == pytest.approx(counted, abs=4 * (counted * (1 - counted) / DRAWS) ** 0.5)
    assert drawn == shuffle_p(reference, changed)


def test_twelve_against_twelve_far_apart_reach_the_smallest_drawn_p_and_never_zero():
    apart = shuffle_p([float(value) for value in range(12)], [100.0 + value for value in range(12)])
    assert arrangements(12, 12) > MOST_COUNTED
    assert apart == 1 / (DRAWS + 1)
    assert shuffle_p([1.0] * 12, [1.0] * 12) == 1.0


def test_under_no_effect_a_drawn_p_of_a_fifth_or_less_comes_a_fifth_of_the_time():
    rng = np.random.default_rng(11)
    low = [shuffle_p(*rng.exponential(size=(2, 12)).tolist()) <= 0.2 for _ in range(200)]
    assert fmean(low) == pytest.approx(0.2, abs=0.09)
