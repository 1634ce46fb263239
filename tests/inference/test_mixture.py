"""The mixture of t's against scipy's distributions, against a second way to build it, and at its limits."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from checking import agrees, every
from fairtank.inference.earlier.mixture import (
    ALIKENESS,
    NODES,
    Mixture,
    difference_mixture,
    f_log_densities,
    f_upper_tails,
    incomplete_beta,
    spread_grid,
    t_upper_tails,
    t_upper_tails_by_sum,
)
from fairtank.inference.intervals.student import quantile, upper_tail

VARIANCES, DFS = [0.21, 0.35, 0.12, 0.60, 0.28, 0.19, 0.33, 0.44], [2.0, 2.0, 4.0, 2.0, 1.0, 10.0, 2.0, 3.0]


def second_way(variances, dfs, *, factor, brake, own=None):
    """Weights, scales and degrees of freedom written down directly with scipy's F density, in natural order."""
    from scipy.stats import f

    centre = np.average(np.log(variances), weights=dfs)
    typical = np.exp(centre + np.linspace(-7, 7, 121))[np.newaxis, :]
    nu_0 = np.array([2, 3, 4, 6, 8, 12, 20, 40, 100.0])[:, np.newaxis]

    def weights(seen):
        log_weight = sum(f.logpdf(one / typical, df, nu_0) - np.log(typical) for one, df in seen)
        raw = np.exp(log_weight - log_weight.max())
        return raw / raw.sum()

    seen = list(zip(variances, dfs, strict=True))
    before = weights(seen)
    s_2, nu = own or (0.0, 0.0)
    after = weights([*seen, own]) if own else before
    scale = brake * np.sqrt(factor * (nu_0 * typical + nu * s_2) / (nu_0 + nu))
    exceeded = float((before * f.sf(s_2 / typical, nu, nu_0)).sum()) if own else None
    return after, scale, np.broadcast_to(nu_0 + nu, scale.shape), exceeded


@pytest.mark.published(entry="incomplete_beta", source="scipy_library", where="scipy.special.betainc")
@pytest.mark.parametrize("x", [1e-9, 1e-3, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99])
def test_the_incomplete_beta_function_equals_scipy_to_twelve_digits(x):
    from scipy.special import betainc

    a = np.array([*ALIKENESS, 5.0, 57.0]) / 2
    for b in (0.5, 1.0, 1.5, 2.0, 5.0, 20.0):
        expected = betainc(a, b, x)
        assert incomplete_beta(a, b, np.full_like(a, x), np.full_like(a, 1 - x)) == pytest.approx(expected, rel=1e-12, abs=1e-290)


@pytest.mark.published(entry="f_log_densities", source="scipy_library", where="scipy.stats.f.logpdf and .sf, scipy.special.stdtr")
def test_the_distributions_equal_scipy_to_twelve_digits():
    from scipy.special import stdtr
    from scipy.stats import f

    nu = np.array(ALIKENESS)
    for ratio in (1e-6, 0.02, 0.7, 1.0, 3.0, 40.0, 1e6):
        for df in (1.0, 2.0, 3.0, 7.0, 30.0):
            log_density = f_log_densities(np.array([math.log(ratio)]), df, nu[:, np.newaxis])
            assert log_density[:, 0] == pytest.approx(f.logpdf(ratio, df, nu), rel=1e-11, abs=1e-11)
            assert f_upper_tails(np.full_like(nu, ratio), df, nu) == pytest.approx(f.sf(ratio, df, nu), rel=1e-11)
    for t in (0.0, 0.3, 2.0, 12.0):
        assert t_upper_tails(np.full_like(nu, t), nu) == pytest.approx(stdtr(nu, -t), rel=1e-12)


@pytest.mark.published(entry="t_upper_tails_by_sum", source="scipy_library", where="scipy.special.stdtr")
@pytest.mark.parametrize("dfs", [(1, 3, 5, 11, 199), (2, 4, 8, 42, 102), (3,), (2,)])
def test_the_finite_sums_of_whole_degrees_of_freedom_equal_scipy_to_fourteen_decimals(dfs):
    from scipy.special import stdtr

    df, t = (part.ravel() for part in np.meshgrid(np.array(dfs, float), np.linspace(0, 15, 400), indexing="ij"))
    assert t_upper_tails_by_sum(t, df) == pytest.approx(stdtr(df, -t), rel=0, abs=3e-15)


@pytest.mark.parametrize("distance", [0.0, 0.4, 1.0, 2.5, 4.0, 60.0])
def test_the_short_way_to_a_tail_gives_the_same_twelve_digits(distance):
    mixture = difference_mixture(spread_grid(VARIANCES, DFS), factor=1.0, brake=1.25, own=(0.4, 2.0))
    longer = float(mixture.weights @ t_upper_tails(distance / mixture.scales, mixture.dfs))
    assert mixture.upper_tail(distance) == pytest.approx(longer, rel=2e-13)


@pytest.mark.published(entry="difference_mixture", source="scipy_library", where="stats.f.logpdf, special.stdtr, optimize.brentq")
@every(("factor", "brake", "own"), [
    (2.0, 1.5, None), (1.0, 1.25, (0.4, 2.0)), (1.5, 1.5, (0.05, 1.0)), (0.25, 1.25, (0.9, 3.0)),
])
@every("alpha", [0.5, 0.05, 0.005])
def test_the_limits_equal_those_of_a_second_way(factor, brake, own, alpha):
    """The same model written down once more with scipy's functions; the limit by another root finder."""
    from scipy.optimize import brentq
    from scipy.special import stdtr

    weights, scale, df, exceeded = second_way(VARIANCES, DFS, factor=factor, brake=brake, own=own)
    half = brentq(lambda at: float((weights * stdtr(df, -at / scale)).sum()) - alpha / 2, 1e-6, 1e3, xtol=1e-13)
    grid = spread_grid(VARIANCES, DFS)
    assert difference_mixture(grid, factor=factor, brake=brake, own=own).half_width(alpha) == pytest.approx(half, rel=1e-11)
    if own:
        assert grid.exceedance(*own) == pytest.approx(exceeded, rel=1e-11)


def test_one_component_is_students_t():
    for df, scale in ((2.0, 1.0), (9.0, 0.3), (104.0, 50.0)):
        mixture = Mixture(np.ones(1), np.array([scale]), np.array([df]))
        for alpha in (0.9, 0.05, 0.005, 1e-6):
            assert mixture.half_width(alpha) == pytest.approx(scale * quantile(alpha / 2, df), rel=1e-12)
        assert mixture.upper_tail(2.3) == pytest.approx(upper_tail(2.3 / scale, df), rel=1e-12)


def test_the_density_is_the_slope_of_the_tail():
    mixture = difference_mixture(spread_grid(VARIANCES, DFS), factor=1.0, brake=1.25, own=(0.4, 2.0))
    for at in (0.1, 1.0, 4.0):
        slope = (mixture.upper_tail(at - 1e-5) - mixture.upper_tail(at + 1e-5)) / 2e-5
        assert mixture.density(at) == pytest.approx(slope, rel=1e-6)


def test_the_weights_add_up_to_one_and_the_grid_does_not_cut_them_off():
    grid = spread_grid(VARIANCES, DFS)
    assert grid.weights.shape == (len(ALIKENESS), NODES)
    assert grid.weights.sum() == pytest.approx(1.0, abs=1e-12)
    assert grid.weights[:, [0, -1]].sum() < 1e-5


def test_a_finer_grid_moves_the_limits_by_less_than_a_thousandth(monkeypatch):
    coarse = difference_mixture(spread_grid(VARIANCES, DFS), factor=2.0, brake=1.5).half_width(0.05)
    monkeypatch.setattr("fairtank.inference.earlier.mixture.NODES", 1201)
    assert difference_mixture(spread_grid(VARIANCES, DFS), factor=2.0, brake=1.5).half_width(0.05) == pytest.approx(coarse, rel=1e-3)


def test_many_like_trials_lead_to_the_moderated_t():
    """With the centre 0.5 and the alikeness 8 known, the variance is (8 x 0.5 + 2 s²)/10 on 10 degrees of freedom."""
    chance = np.random.default_rng(20261125)
    sigma_2 = 0.5 * 8 / chance.chisquare(8, 3000)
    grid = spread_grid((sigma_2 * chance.chisquare(4, 3000) / 4).tolist(), [4.0] * 3000)
    found = difference_mixture(grid, factor=1.0, brake=1.0, own=(0.9, 2.0)).half_width(0.05)
    assert found == pytest.approx(quantile(0.025, 10) * math.sqrt((8 * 0.5 + 2 * 0.9) / 10), rel=0.02)
    assert grid.typical_variance == pytest.approx(0.5, rel=0.05)


def test_many_own_tanks_outweigh_the_library_and_give_the_pooled_t():
    grid = spread_grid(VARIANCES, DFS)
    found = difference_mixture(grid, factor=0.01, brake=1.0, own=(0.9, 5000.0)).half_width(0.05)
    assert found == pytest.approx(quantile(0.025, 5000) * math.sqrt(0.01 * 0.9), rel=0.01)


def test_the_less_alike_the_earlier_trials_the_more_the_interval_follows_the_own_scatter():
    """The width's growth over own variances 20 times apart: nearly none beside a known spread, the pooled t's square root of 20 at most."""
    growths = []
    some, wild, wilder = [0.25, 0.5, 0.5, 1, 1, 2, 2, 4], [0.05, 0.1, 0.3, 0.6, 1.6, 3, 10, 20], [1e-3, 1e-2, 0.1, 0.5, 2, 10, 100, 1e3]
    for library in ([1.0] * 8, some, wild, wilder):
        grid = spread_grid(library, [4.0] * 8)
        little, much = (difference_mixture(grid, factor=1.0, brake=1.0, own=(own, 2.0)).half_width(0.05) for own in (0.2, 4.0))
        growths.append(much / little)
    assert growths == sorted(growths)
    assert growths[0] < 1.4
    assert 3.0 < growths[-1] < math.sqrt(20)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.floats(0.01, 10), min_size=1, max_size=6), st.randoms(use_true_random=False))
def test_the_order_of_the_trials_does_not_matter(variances, random):
    shuffled = random.sample(variances, len(variances))
    there, back = spread_grid(variances, [2.0] * len(variances)), spread_grid(shuffled, [2.0] * len(variances))
    assert np.array_equal(there.log_weight, back.log_weight)


@settings(max_examples=10, deadline=None)
@given(st.floats(1e-3, 1e3))
def test_another_unit_scales_the_limits_and_leaves_the_chances(times):
    here, there = spread_grid(VARIANCES, DFS), spread_grid([variance * times**2 for variance in VARIANCES], DFS)
    half, scaled = (difference_mixture(grid, factor=1.0, brake=1.25, own=(own, 2.0)).half_width(0.05)
                    for grid, own in ((here, 0.4), (there, 0.4 * times**2)))
    assert scaled == pytest.approx(times * half, rel=1e-9)
    assert there.exceedance(0.4 * times**2, 2.0) == pytest.approx(here.exceedance(0.4, 2.0), rel=1e-9)


def test_fewer_trials_of_the_same_spread_give_a_wider_interval():
    halves = [difference_mixture(spread_grid([0.3] * n, [2.0] * n), factor=2.0, brake=1.5).half_width(0.05) for n in (2, 3, 5, 8, 20, 60)]
    assert halves == sorted(halves, reverse=True)
    assert halves[-1] > 1.5 * 1.96 * math.sqrt(2.0 * 0.3)  # never as narrow as if the spread were known


def test_like_tanks_twice_as_different_make_an_interval_without_own_scatter_twice_as_wide():
    grid = spread_grid(VARIANCES, DFS)
    once, twice = (difference_mixture(one, factor=2.0, brake=1.5).half_width(0.05) for one in (grid, grid.stretched(2.0)))
    assert twice == pytest.approx(2 * once, rel=1e-12)
    again = spread_grid([4 * variance for variance in VARIANCES], DFS)
    assert difference_mixture(again, factor=2.0, brake=1.5).half_width(0.05) == pytest.approx(twice, rel=1e-10)


@pytest.mark.as_it_was("half-widths in SDs of the library, from a simulation of the same rule by another implementation, 2026-11-25")
def test_typical_half_widths_are_those_of_the_first_simulation():
    """Sampled anew: the mean over libraries of 8 trials with 2 degrees of freedom each, so agreement is asked within 8 %."""
    chance = np.random.default_rng(4)
    widths = {"1v1": [], "2v2": []}
    for _ in range(40):
        library = 8 / chance.chisquare(8, 8) * chance.chisquare(2, 8) / 2
        grid = spread_grid(library.tolist(), [2.0] * 8)
        widths["1v1"].append(difference_mixture(grid, factor=2.0, brake=1.5).half_width(0.05))
        own = float(8 / chance.chisquare(8) * chance.chisquare(2) / 2)
        widths["2v2"].append(difference_mixture(grid, factor=1.0, brake=1.25, own=(own, 2.0)).half_width(0.05))
    assert np.mean(widths["1v1"]) == pytest.approx(5.4, rel=0.08)
    assert np.mean(widths["2v2"]) == pytest.approx(2.9, rel=0.08)


def test_limits_far_out_are_still_found():
    mixture = difference_mixture(spread_grid(VARIANCES, DFS), factor=1.0, brake=1.0, own=(0.4, 400.0))
    for alpha in (1 - 1e-9, 0.999, 1e-12, 1e-40):
        assert 2 * mixture.upper_tail(mixture.half_width(alpha)) == pytest.approx(alpha, rel=1e-7)


def test_the_single_exact_case_of_the_f_distribution():
    """With 2 and 2 degrees of freedom the chance to exceed x is 1/(1+x): arithmetic."""
    assert agrees(f_upper_tails(np.array([3.0]), 2.0, np.array([2.0]))[0], "0.25")
