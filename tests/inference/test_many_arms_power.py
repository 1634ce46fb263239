"""What several arms, ladders and two changes show: held against the very intervals by which such trials are judged."""

import math

import numpy as np
import pytest

from fairtank.errors import NotEnoughDataError
from fairtank.inference.designs.ladder import fit_line, slope_interval
from fairtank.inference.designs.many_arms import held_together
from fairtank.inference.designs.two_changes import CELLS, effect_interval, ways_of
from fairtank.inference.foresight.many_arms_power import ladder_difference, several_arms_difference, two_changes_difference
from fairtank.inference.foresight.smallest import arms_difference

TRIALS = 150
CLOSE = 3 * math.sqrt(0.16 / TRIALS)


def share_found(intervals):
    return np.mean([interval.low > 0 or interval.high < 0 for interval in intervals])


@pytest.mark.parametrize(("sizes", "all_pairs", "comparisons", "pair"), [
    ((3, 3, 3), False, 2, (3, 3)), ((4, 3, 5), False, 2, (4, 3)), ((3, 3, 3), True, 3, (3, 3)), ((4, 2, 4), False, 2, (4, 2)),
])
def test_several_arms_show_a_difference_as_often_as_their_own_interval_does(sizes, all_pairs, comparisons, pair):
    size, rng = several_arms_difference(sizes, all_pairs=all_pairs), np.random.default_rng(41)
    draws = [(rng.normal(0.0, 1.0, pair[0]).tolist(), rng.normal(size, 1.0, pair[1]).tolist()) for _ in range(TRIALS)]
    assert share_found(held_together(*arms, comparisons, alpha=0.05, scale="logit") for arms in draws) == pytest.approx(0.8, abs=CLOSE)


@pytest.mark.parametrize(("sizes", "doses"), [((2, 2, 2, 2), (0.0, 5.0, 10.0, 20.0)), ((3, 1, 2), (4.0, 1.0, 2.0)),
                                              ((1,) * 6, (0.0, 1.0, 2.0, 3.0, 4.0, 5.0))])
def test_a_ladder_shows_a_step_as_often_as_its_own_line_does(sizes, doses):
    each = np.repeat(doses, sizes)
    step = max((dose - doses[0] for dose in doses), key=abs)
    size, rng = ladder_difference(sizes, doses), np.random.default_rng(42)
    lines = [fit_line(each.tolist(), rng.normal(size * (each - doses[0]) / step, 1.0).tolist(), scale="logit") for _ in range(TRIALS)]
    assert share_found(slope_interval(line, step, alpha=0.05) for line in lines) == pytest.approx(0.8, abs=CLOSE)


@pytest.mark.parametrize("sizes", [(2, 2, 2, 2), (3, 2, 4, 3)])
def test_two_changes_show_an_effect_as_often_as_their_own_interval_does(sizes):
    size, rng = two_changes_difference(sizes), np.random.default_rng(43)
    trials = [ways_of({cell: rng.normal(size * cell[0] + 0.5 * cell[1], 1.0, count).tolist()
                       for cell, count in zip(CELLS, sizes, strict=True)}, "logit") for _ in range(TRIALS)]
    assert share_found(effect_interval(ways, 0, alpha=0.05) for ways in trials) == pytest.approx(0.8, abs=CLOSE)


def test_more_tanks_find_less_and_more_comparisons_more():
    assert several_arms_difference((5, 5, 5)) < several_arms_difference((4, 4, 4)) < several_arms_difference((4, 4, 4, 4))
    assert several_arms_difference((4, 4, 4)) > arms_difference(1.0, 4, 4)
    assert ladder_difference((3, 3, 3), (0.0, 1.0, 2.0)) < ladder_difference((2, 2, 2), (0.0, 1.0, 2.0))
    assert two_changes_difference((4,) * 4) < two_changes_difference((3,) * 4) < two_changes_difference((3,) * 4, blocks=3)


def test_a_ladder_does_not_ask_for_the_unit_of_its_doses():
    milligrams, grams = (ladder_difference((2, 2, 2), (0.0, 2.0 * unit, 5.0 * unit)) for unit in (1000.0, 1.0))
    assert milligrams == pytest.approx(grams, rel=1e-9)


def test_one_change_in_a_crossed_trial_is_found_as_well_as_with_all_tanks_in_two_arms_or_nearly_so():
    assert 1.0 < two_changes_difference((3,) * 4) / arms_difference(1.0, 6, 6) < 1.4


@pytest.mark.parametrize(("call", "message"), [
    (lambda: several_arms_difference((3, 1, 3)), "The arms have 3, 1, 3 units; an interval needs at least 2 in each"),
    (lambda: two_changes_difference((1, 1, 1, 1)), "The arms have 1, 1, 1, 1 units"),
    (lambda: ladder_difference((1, 1, 1), (0.0, 1.0, 2.0)), "The ladder has 3 units; an interval needs at least 5, and one on each dose"),
])
def test_too_few_units_are_refused(call, message):
    with pytest.raises(NotEnoughDataError, match=message):
        call()
