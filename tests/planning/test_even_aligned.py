"""The rules behind the evenness check: how often the lot alone would trip them, and the tables they rest on."""

import numpy as np
import pytest

from checking import every
from fairtank.planning.evenness.aligned import _T_99, _T_DEGREES, numbers_along, words_along
from fairtank.planning.evenness.arrangements import MOST, arrangements
from fairtank.planning.evenness.layout import layout_of
from planning.even_trials import plan


@every(("degrees", "t"), list(zip(_T_DEGREES, _T_99, strict=True)))
def test_the_table_of_t_is_that_of_the_distribution(degrees, t):
    from scipy.special import stdtrit

    assert round(float(stdtrit(degrees, 0.995)), 3) == t


@pytest.mark.parametrize(("arms", "blocks", "ways"), [("RRRCCC", "111111", 20), ("RCRCRC", "112233", 8), ("RRCC", "1111", 6)])
def test_every_way_to_deal_the_arms_is_counted_once(arms, blocks, ways):
    dealt = arrangements(tuple("RC".index(arm) for arm in arms), tuple(int(block) for block in blocks))
    assert len(dealt) == len({tuple(row) for row in dealt.tolist()}) == ways
    assert dealt[0].tolist() == ["RC".index(arm) for arm in arms]


def test_too_many_ways_are_sampled_and_the_one_that_was_dealt_is_the_first():
    groups = (0, 1) * 10
    dealt = arrangements(groups, (0,) * 20)
    assert dealt.shape == (MOST, 20)
    assert tuple(dealt[0]) == groups
    assert (dealt.sum(axis=1) == 10).all()


def trips(arms: str, scatter: float, shift: float, times: int = 300) -> float:
    """How often numbers trip the rule: tanks scatter by so many tolerances, the changed arm lies so many higher."""
    layout = layout_of(plan(arms))
    generator = np.random.default_rng(20261126)
    count = 0
    for _ in range(times):
        values = {cell.units[0]: float(generator.normal(shift * (cell.arm == "C"), scatter)) for cell in layout.cells}
        count += numbers_along(values, layout, layout.contrasts[0], 1.0).is_aligned
    return count / times


@pytest.mark.parametrize("arms", ["RRCC", "RRRCCC", "RRRRRRCCCCCC"])
def test_numbers_of_like_tanks_seldom_trip_the_rule(arms):
    assert trips(arms, 1 / 3, 0.0) <= 0.01
    # tanks that scatter by a whole tolerance: two in each arm say little about their own scatter
    assert trips(arms, 1.0, 0.0) <= (0.09 if arms == "RRCC" else 0.03)


@pytest.mark.parametrize("arms", ["RRCC", "RRRCCC", "RRRRRRCCCCCC"])
def test_numbers_three_tolerances_apart_trip_the_rule(arms):
    assert trips(arms, 0.2, 3.0) >= 0.98


def test_words_dealt_at_random_trip_the_rule_no_more_often_than_the_lot_must():
    layout = layout_of(plan("RRRRRRCCCCCC"))
    generator = np.random.default_rng(7)
    units = [cell.units[0] for cell in layout.cells]
    tripped = 0
    for _ in range(300):
        words = generator.permutation(["a"] * 6 + ["b"] * 6)
        tripped += words_along(dict(zip(units, map(str, words), strict=True)), layout, layout.contrasts[0]).is_aligned
    assert tripped / 300 <= 0.01
