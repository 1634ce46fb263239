"""Intervals with the help of earlier like tanks: which rule at which size, the limits of trust, and how often they are wrong."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import every
from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.finding import BASES
from fairtank.inference.earlier.library import BRAKES, WITHDRAWN_BELOW, interval_with_library
from fairtank.inference.earlier.like_tanks import SpreadKind, library_of, pooled_variance
from fairtank.inference.earlier.mixture import difference_mixture, spread_grid
from fairtank.inference.intervals.welch import welch
from fairtank.trial import SpreadEntry

KIND = SpreadKind("algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L")
VARIANCES = [0.21, 0.35, 0.12, 0.60, 0.28, 0.19, 0.33, 0.44]


def library(variances=VARIANCES, df=2.0, **other):
    kind = replace(KIND, **other)
    words = kind.measure, kind.scale, kind.summary, kind.window_class, kind.tank_class
    return library_of([SpreadEntry(*words, variance, df, f"trial {place:02}") for place, variance in enumerate(variances)], kind)


def found(reference, changed, **choices):
    return interval_with_library(reference, changed, **{"alpha": 0.05, "scale": "logit", "library": library(), **choices})


SIZES = [([0.1], [1.0]), ([0.1], [1.0, 1.4]), ([0.1, 0.5], [1.0]), ([0.1, 0.5], [1.0, 1.4]), ([0.1, 0.5, 0.2], [1.0, 1.4]),
         ([0.1, 0.5], [1.0, 1.4, 1.1, 1.3])]


@pytest.mark.parametrize(("reference", "changed"), SIZES)
def test_the_smaller_arm_decides_the_rule_and_the_brake(reference, changed):
    smaller, both = min(len(reference), len(changed)), len(reference) + len(changed)
    result = found(reference, changed)
    variance, df = pooled_variance([reference, changed])
    own = (variance, df) if both > 2 else None
    factor = 1 / len(reference) + 1 / len(changed)
    mixture = difference_mixture(spread_grid(VARIANCES, [2.0] * 8), factor=factor, brake={1: 1.5, 2: 1.25}[smaller], own=own)
    assert result.basis == ("own and earlier tanks" if both > 2 else "earlier tanks only")
    assert result.interval.high - result.interval.estimate == pytest.approx(mixture.half_width(0.05), rel=1e-10)
    assert result.interval.df is None
    assert (result.groups, result.total_df, result.own_df, result.brake) == (8, 16.0, both - 2, BRAKES[smaller])
    assert result.withdrawn == result.unused == ""
    assert (result.own is None) == (smaller == 1)


def test_three_tanks_per_arm_speak_for_themselves():
    reference, changed = [0.1, 0.5, 0.3], [1.0, 1.4, 1.1]
    result = found(reference, changed)
    assert result.interval == result.own == welch(reference, changed, alpha=0.05, scale="logit")
    assert result.basis == "own tanks"
    assert (result.brake, result.twice, result.unused) == (None, None, "")


def test_three_tanks_per_arm_may_borrow_when_the_method_says_so():
    reference, changed = [0.1, 0.5, 0.3], [1.0, 1.4, 1.1]
    result = found(reference, changed, borrow_at_three=True)
    assert (result.basis, result.brake, result.own) == ("own and earlier tanks", 1.15, welch(reference, changed, alpha=0.05, scale="logit"))
    four = found([*reference, 0.4], [*changed, 1.2], borrow_at_three=True)
    assert four.basis == "own tanks"


@pytest.mark.parametrize("earlier", [None, library(VARIANCES[:4], 4.0), library(VARIANCES[:5], 1.0), library([])],
                         ids=["not allowed", "4 trials", "5 degrees", "no trials"])
def test_without_a_qualified_library_two_tanks_are_welch_and_one_is_alone(earlier):
    two = found([0.1, 0.5], [1.0, 1.4], library=earlier)
    assert two.interval == welch([0.1, 0.5], [1.0, 1.4], alpha=0.05, scale="logit")
    assert two.basis == "own tanks"
    for changed in ([1.0], [1.0, 1.4], [1.0, 1.4, 1.2]):
        one = found([0.1], changed, library=earlier)
        assert (one.basis, one.interval.low, one.interval.high, one.interval.p_value) == ("none", None, None, None)
        assert one.interval.estimate == pytest.approx(np.mean(changed) - 0.1)
        assert not one.interval.arms_constant
    assert (two.unused == "") == (earlier is None)


def test_what_a_library_lacks_is_said():
    assert found([0.1], [1.0], library=library(VARIANCES[:5], 1.0)).unused == (
        "Earlier tanks cannot help yet: 5 earlier trials of this kind with 5 degrees of freedom; "
        "needed are 5 trials and 8 degrees of freedom.")


def test_earlier_tanks_are_set_aside_when_the_own_scatter_is_among_the_largest_fifth():
    reference, changed = [0.0, 2.0], [1.0, 3.2]
    result = found(reference, changed)
    assert result.conflict < WITHDRAWN_BELOW
    assert result.interval == welch(reference, changed, alpha=0.05, scale="logit")
    assert (result.basis, result.brake, result.twice, result.typical_spread) == ("own tanks", None, None, None)
    assert f"(as much or more in {100 * result.conflict:.0f} % of such trials), so the earlier tanks were set aside." in result.withdrawn


def test_with_one_tank_in_an_arm_nothing_is_left_when_earlier_tanks_are_set_aside():
    result = found([0.0], [1.0, 4.0])
    assert (result.basis, result.interval.low) == ("none", None)
    assert "nothing is left to judge the spread by" in result.withdrawn


def test_the_guard_asks_the_library_without_the_own_variance():
    """The last variance that is let through is the one whose exceedance, averaged with the earlier trials' weights, is 20 %."""
    grid = spread_grid(VARIANCES, [2.0] * 8)
    low, high = 0.1, 10.0
    for _ in range(60):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if grid.exceedance(middle, 2.0) > 0.20 else (low, middle)
    for variance, basis in ((low * 0.999, "own and earlier tanks"), (high * 1.001, "own tanks")):
        apart = math.sqrt(2 * variance)
        assert found([0.0, apart], [1.0, 1.0 + apart]).basis == basis


def test_a_swap_halves_the_difference_and_quarters_the_factor():
    whole, half = found([0.1, 0.5], [1.0, 1.4]), found([0.1, 0.5], [1.0, 1.4], halved=True)
    assert half.interval.estimate == pytest.approx(whole.interval.estimate / 2)
    assert (half.interval.low, half.interval.high) == pytest.approx((whole.interval.low / 2, whole.interval.high / 2), rel=1e-10)
    assert half.interval.p_value == pytest.approx(whole.interval.p_value, rel=1e-10)
    assert (half.own.low, half.own.high, half.own.p_value) == pytest.approx((whole.own.low / 2, whole.own.high / 2, whole.own.p_value))
    mixture = difference_mixture(spread_grid(VARIANCES, [2.0] * 8), factor=1 / 4, brake=1.25, own=(0.08, 2.0))
    assert half.interval.high - half.interval.estimate == pytest.approx(mixture.half_width(0.05), rel=1e-10)
    assert found([0.1], [1.0], library=None, halved=True).interval.estimate == pytest.approx(0.45)


def test_an_arm_without_scatter_gives_no_interval():
    for reference, changed in (([0.1, 0.1], [1.0, 1.4]), ([0.1], [1.0, 1.0])):
        result = found(reference, changed)
        assert (result.interval.low, result.interval.arms_constant, result.basis) == (None, True, "none")


def test_like_tanks_twice_as_different_are_shown_beside():
    result = found([0.1], [1.0])
    half, twice = result.interval.high - 0.9, result.twice.high - 0.9
    assert twice == pytest.approx(2 * half, rel=1e-10)
    two = found([0.1, 0.5], [1.0, 1.4])
    assert two.interval.high < two.twice.high < two.interval.estimate + 2 * (two.interval.high - two.interval.estimate)


@settings(max_examples=12, deadline=None)
@given(st.floats(-3, 3).map(lambda value: round(value, 3)), st.sampled_from([0.3, 0.05, 0.01]), st.sampled_from(SIZES))
def test_the_interval_leaves_out_zero_exactly_when_p_is_below_alpha(shift, alpha, arms):
    reference, changed = arms[0], [value + shift for value in arms[1]]
    interval = found(reference, changed, alpha=alpha).interval
    assert (interval.p_value < alpha) == (interval.low > 0 or interval.high < 0)
    assert 0 < interval.p_value <= 1


@settings(max_examples=6, deadline=None)
@given(st.sampled_from(SIZES), st.randoms(use_true_random=False))
def test_neither_the_order_of_units_nor_of_trials_matters(arms, random):
    earlier = library()
    shuffled = library_of(random.sample(earlier.groups, len(earlier.groups)), KIND)
    reference, changed = (random.sample(arm, len(arm)) for arm in arms)
    assert found(reference, changed, library=shuffled) == found(*arms)


@pytest.mark.parametrize("arms", SIZES)
def test_naming_the_arms_the_other_way_round_turns_the_interval_over(arms):
    there, back = found(*arms).interval, found(*reversed(arms)).interval
    assert (back.estimate, back.low, back.high) == pytest.approx((-there.estimate, -there.high, -there.low), rel=1e-9)
    assert back.p_value == pytest.approx(there.p_value, rel=1e-9)


@every("arms", SIZES)
@every("times", [0.01, 30.0])
def test_another_unit_changes_nothing_but_the_unit(arms, times):
    here = found(*arms, scale="identity", library=library(scale="identity"))
    there = found(*([times * value for value in arm] for arm in arms), scale="identity",
                  library=library([variance * times**2 for variance in VARIANCES], scale="identity"))
    assert (there.interval.low, there.interval.high) == pytest.approx((times * here.interval.low, times * here.interval.high), rel=1e-9)
    assert there.interval.p_value == pytest.approx(here.interval.p_value, rel=1e-9)
    assert there.basis == here.basis


@pytest.mark.parametrize("arms", SIZES)
def test_adding_the_same_to_all_units_changes_nothing(arms):
    here, there = found(*arms).interval, found(*([value + 2.5 for value in arm] for arm in arms)).interval
    assert (there.low, there.high, there.p_value) == pytest.approx((here.low, here.high, here.p_value), rel=1e-9)


@pytest.mark.parametrize("arms", SIZES[:4])
def test_a_smaller_alpha_or_fewer_trials_make_the_interval_wider(arms):
    widths = [result.interval.high - result.interval.low for result in (found(*arms, alpha=alpha) for alpha in (0.2, 0.05, 0.01, 0.005))]
    assert widths == sorted(widths)
    trials = [found(*arms, library=library([0.3] * number)).interval for number in (5, 8, 20, 50)]
    widths = [interval.high - interval.low for interval in trials]
    assert widths == sorted(widths, reverse=True)


def test_every_basis_is_a_word_of_the_finding():
    results = [found(*arms) for arms in SIZES] + [found([0.1], [1.0], library=None), found([0.0, 2.0], [1.0, 3.2])]
    assert {result.basis for result in results} == set(BASES)


def test_left_out_entries_are_handed_on_with_their_reasons():
    earlier = library_of([*library().groups, replace(library().groups[0], measure="plant_cover", trial="old")], KIND)
    assert found([0.1], [1.0], library=earlier).left_out == (("old", "another measure (plant_cover, not algae_cover)"),)


def test_a_unit_without_a_number_an_empty_arm_and_a_wrong_level_are_refused():
    with pytest.raises(InputError, match="a unit's number is nan; accepted: a finite number"):
        found([0.1, math.nan], [1.0, 1.2])
    with pytest.raises(NotEnoughDataError, match="The arms have 0 and 2 usable units; a difference needs 1 in each"):
        found([], [1.0, 1.2])
    with pytest.raises(OutOfRangeError, match="alpha is 1; accepted: above 0, below 1"):
        found([0.1], [1.0], alpha=1)


def trials_like(seed, reps, n_1, n_2, times):
    """Trials without effect: variances of 8 earlier trials with 2 degrees of freedom, and z of both arms, `times` as scattered.

    Like tanks' variance differs from trial to trial: scaled inverse chi-square on 8 degrees of freedom.
    """
    chance = np.random.default_rng(seed)
    earlier = 8 / chance.chisquare(8, (reps, 8)) * chance.chisquare(2, (reps, 8)) / 2
    sigma = times * np.sqrt(8 / chance.chisquare(8, (reps, 1)))
    arms = (sigma * chance.normal(size=(reps, n)) for n in (n_1, n_2))
    return zip(earlier.tolist(), *(arm.tolist() for arm in arms), strict=True)


def claim(earlier, reference, changed):
    """Whether the rule claims a difference, from its parts: the p of the mixture, or Welch's where the earlier tanks are set aside."""
    grid, (variance, df) = spread_grid(earlier, [2.0] * len(earlier)), pooled_variance([reference, changed])
    own = (variance, df) if df else None
    if own and grid.exceedance(*own) < WITHDRAWN_BELOW:
        return welch(reference, changed, alpha=0.05).p_value < 0.05
    mixture = difference_mixture(grid, factor=1 / len(reference) + 1 / len(changed), brake=BRAKES[len(reference)], own=own)
    return 2 * mixture.upper_tail(abs(np.mean(changed) - np.mean(reference))) < 0.05


@pytest.mark.as_it_was("false claims in 4000 draws of the same rule by another implementation, other seeds, 2026-11-25")
@pytest.mark.parametrize(("size", "times", "told_pct"), [(1, 1.0, 0.8), (1, 1.5, 4.7), (2, 1.0, 2.0), (2, 1.5, 4.3)])
def test_false_claims_are_as_rare_as_in_the_first_simulation(size, times, told_pct):
    """Also an honest method: no more than 5 % but for chance, even when these tanks differ half as much again."""
    reps = 200
    draws = list(trials_like(100 * size + int(10 * times), reps, size, size, times))
    claims = [claim(*draw) for draw in draws]
    told, rate = told_pct / 100, sum(claims) / reps
    assert abs(rate - told) <= 2.58 * math.sqrt(told * (1 - told) * (1 / reps + 1 / 4000))
    assert rate <= 0.05 + 2.58 * math.sqrt(0.05 * 0.95 / reps)
    for place in range(0, reps, 50):
        earlier, reference, changed = draws[place]
        interval = found(reference, changed, library=library(earlier), scale="identity").interval
        assert claims[place] == (interval.low > 0 or interval.high < 0)
