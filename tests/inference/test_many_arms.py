"""Several arms: the tests of books by their published numbers, and the rule that the judging uses."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import agrees
from fairtank.errors import NotEnoughDataError
from fairtank.inference.designs.many_arms import EVEN_WIDENING, UNEVEN_WIDENING, WIDENING_OF_TWO, held_together
from fairtank.inference.intervals.classical import dunnett, tukey
from fairtank.inference.intervals.welch import welch
from inference.trials import table


def plants():
    rows = table("dobson1983_plantgrowth.csv")
    return [[float(row["weight_g"]) for row in rows if row["group"] == group] for group in ("ctrl", "trt1", "trt2")]


def insects():
    rows = table("beall1942_insectsprays.csv")
    return [[math.sqrt(float(row["insects"])) for row in rows if row["spray"] == spray] for spray in "ABCDEF"]


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="stats.dunnett, on R's PlantGrowth")
def test_the_plants_against_their_control_are_scipys():
    from scipy.stats import dunnett as scipys

    control, *others = plants()
    found = dunnett([control, *others], alpha=0.05)
    other = scipys(*others, control=control, random_state=np.random.default_rng(5))
    limits = other.confidence_interval(0.95)
    for place, one in enumerate(found):
        assert one.interval.p_value == pytest.approx(other.pvalue[place], abs=1e-3)
        assert one.interval.low == pytest.approx(limits.low[place], abs=2e-3)
        assert one.interval.high == pytest.approx(limits.high[place], abs=2e-3)


@pytest.mark.published(entry="side_by_side", source="scipy_library", where="stats.tukey_hsd, on R's PlantGrowth and InsectSprays")
@pytest.mark.parametrize("arms", [plants, insects])
def test_all_pairs_of_plants_and_of_sprays_are_scipys(arms):
    from scipy.stats import tukey_hsd

    values = arms()
    other = tukey_hsd(*values)
    limits = other.confidence_interval(0.95)
    found = tukey(values, alpha=0.05)
    assert len(found) == len(values) * (len(values) - 1) // 2
    for one in found:
        assert one.interval.estimate == pytest.approx(other.statistic[one.second, one.first], rel=1e-9)
        assert one.interval.p_value == pytest.approx(other.pvalue[one.second, one.first], abs=1e-7)
        assert one.interval.low == pytest.approx(limits.low[one.second, one.first], abs=1e-6)
        assert one.interval.high == pytest.approx(limits.high[one.second, one.first], abs=1e-6)


@pytest.mark.as_it_was("what R prints for TukeyHSD(aov(weight ~ group, PlantGrowth)), recalled", "2026-11-26")
def test_the_plants_give_what_is_recalled_of_the_printed_test():
    found = {(one.first, one.second): one.interval for one in tukey(plants(), alpha=0.05)}
    printed = {(0, 1): ("-0.371", "-1.0622161", "0.3202161", "0.3908711"), (0, 2): ("0.494", "-0.1972161", "1.1852161", "0.1979960"),
               (1, 2): ("0.865", "0.1737839", "1.5562161", "0.0120064")}
    for pair, (estimate, low, high, p) in printed.items():
        interval = found[pair]
        assert agrees(interval.estimate, estimate)
        assert agrees(interval.low, low)
        assert agrees(interval.high, high)
        assert agrees(interval.p_value, p)


QUIETLY = settings(deadline=None, max_examples=40)
VALUES = st.lists(st.integers(-500, 500).map(lambda value: value / 10), min_size=2, max_size=6, unique=True)


@QUIETLY
@given(VALUES, VALUES)
def test_one_comparison_alone_is_welchs_a_little_wider(reference, changed):
    ours = held_together(reference, changed, 1, alpha=0.05, scale="identity")
    plain = welch(reference, changed, alpha=0.05)
    assert ours.estimate == plain.estimate
    n_1, n_2 = len(reference), len(changed)
    widening = WIDENING_OF_TWO if min(n_1, n_2) == 2 else UNEVEN_WIDENING if n_1 != n_2 else EVEN_WIDENING
    if n_1 == n_2:
        assert ours.df == plain.df
        assert ours.high - ours.estimate == pytest.approx(widening * (plain.high - plain.estimate), rel=1e-9)
    else:
        assert ours.df <= min(plain.df, 2 * (min(n_1, n_2) - 1)) + 1e-9
        assert ours.high - ours.estimate >= 0.999 * widening * (plain.high - plain.estimate)


@QUIETLY
@given(VALUES, VALUES, st.integers(1, 6))
def test_the_adjusted_p_and_the_interval_never_disagree(reference, changed, comparisons):
    interval = held_together(reference, changed, comparisons, alpha=0.05, scale="identity")
    leaves_out_none = not interval.low <= 0 <= interval.high
    if abs(interval.p_value - 0.05) > 1e-9:
        assert leaves_out_none == (interval.p_value <= 0.05)


@QUIETLY
@given(VALUES, VALUES)
def test_more_comparisons_make_each_interval_wider(reference, changed):
    widths = [held_together(reference, changed, count, alpha=0.05, scale="identity").high for count in (1, 2, 3, 6)]
    assert widths == sorted(widths)


def test_arms_without_scatter_give_no_interval():
    assert held_together([1.0, 1.0, 1.0], [1.0, 2.0, 3.0], 2, alpha=0.05, scale="identity").arms_constant
    for one in (*dunnett([[1.0, 1.0], [2.0, 2.0]], alpha=0.05), *tukey([[1.0, 1.0], [2.0, 2.0], [2.0, 2.0]], alpha=0.05)):
        assert one.interval.arms_constant
        assert one.interval.low is None


def test_one_unit_in_an_arm_is_refused_by_the_rule_and_taken_by_a_common_spread():
    with pytest.raises(NotEnoughDataError, match="The arms have 1 and 3 usable units; an interval needs at least 2 in each"):
        held_together([1.0], [1.0, 2.0, 3.0], 2, alpha=0.05, scale="identity")
    assert dunnett([[1.0], [1.0, 2.0, 3.0], [4.0, 5.0]], alpha=0.05)[0].interval.df == 3
    with pytest.raises(NotEnoughDataError, match="A spread common to all arms needs a unit in each arm and two in at least one of them"):
        dunnett([[1.0], [2.0], [3.0]], alpha=0.05)
