"""What is known of the spread of like tanks after some trials, and what it says about a difference: a weighted mixture of t distributions.

Every trial's like tanks have a variance of their own. These variances scatter round a typical one: they follow a scaled inverse
chi-square distribution with a centre s0² and nu0 degrees of freedom, so that an observed variance over s0² follows the F distribution.
Neither s0² nor nu0 is known; every pair of a grid is weighed by how well it explains the variances seen, and all of them are averaged.
A single best value in their place would make intervals too narrow while few trials are known.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from fairtank.inference.intervals.student import quantile

Array = NDArray[np.float64]
Places = NDArray[np.intp]

NODES = 121
REACH = 7.0  # of the grid, on the natural log of the variance, to either side of its centre
# How alike the trials' variances are: from hardly at all (2) to nearly the same (100); all equally likely beforehand.
ALIKENESS = (2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 20.0, 40.0, 100.0)

_PRECISION = 1e-15
_FRACTION_STEPS = 500
_STEPS_BETWEEN_LOOKS = 3
_NEWTON_STEPS = 200
_FARTHEST = 1e150  # its square is still a float
_FARTHEST_LOG = 40.0  # no t of a mixture has its limit farther from its scale than this power of e
_LAST_STEP = 1e-7  # what is then still missing is its square, in a curve that is nearly straight
_LONGEST_SUM = 200  # degrees of freedom
_SUM_IS_SURE = 1e-2  # a sum that is right to the 15th decimal has its first twelve digits right
_LEAST_WEIGHT = 1e-18  # a share of the largest; lighter nodes do not reach the twelfth digit of a finding


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _beta_fraction(a: Array, b: Array, x: Array) -> Array:
    """The continued fraction of the incomplete beta function, by the modified Lentz method; for x below (a+1)/(a+b+2).

    Most elements settle long before the slowest: every few steps those that have are taken out.
    """
    found, shape = np.empty(x.size), x.shape
    a, b, x = a.ravel(), b.ravel(), x.ravel()
    left, c = np.flatnonzero(np.ones(x.size)), np.ones_like(x)
    d = 1.0 / (1.0 - (a + b) * x / (a + 1.0))
    fraction = d.copy()
    for step in range(1, _FRACTION_STEPS):
        even = step * (b - step) * x / ((a + 2 * step - 1.0) * (a + 2 * step))
        odd = -(a + step) * (a + b + step) * x / ((a + 2 * step) * (a + 2 * step + 1.0))
        for term in (even, odd):
            d = 1.0 / (1.0 + term * d)
            c = 1.0 + term / c
            fraction *= c * d
        if step % _STEPS_BETWEEN_LOOKS == 0 or step == _FRACTION_STEPS - 1:
            going = np.abs(c * d - 1.0) >= _PRECISION
            found[left] = fraction
            if not going.any():
                break
            left, fraction = left[going], fraction[going]
            a, b, x, c, d = a[going], b[going], x[going], c[going], d[going]
    return found.reshape(shape)


def _log_betas(a: Array, b: float) -> Array:
    """ln B(a, b) for an array in which few different values stand many times."""
    kinds, places = np.unique(a, return_inverse=True)
    return np.array([_log_beta(one, b) for one in kinds.tolist()])[places].reshape(a.shape)


def incomplete_beta(a: Array, b: float, x: Array, y: Array) -> Array:
    """The regularised incomplete beta function at x, element by element; y is 1 - x, handed over so that it keeps its digits near 0."""
    turned = x >= (a + 1.0) / (a + b + 2.0)
    near, far = np.where(turned, y, x), np.where(turned, x, y)
    p, q = np.where(turned, b, a), np.where(turned, a, b)
    with np.errstate(divide="ignore"):  # at 0 the value is 0
        front = np.exp(p * np.log(near) + q * np.log(far) - _log_betas(a, b))
    part = front * _beta_fraction(p, q, near) / p
    return np.where(turned, 1.0 - part, part)


def t_upper_tails(t: Array, df: Array) -> Array:
    """The chance that Student's t exceeds each value, for values of 0 or more."""
    whole = df + t * t
    return 0.5 * incomplete_beta(df / 2.0, 0.5, df / whole, t * t / whole)


def t_upper_tails_by_sum(t: Array, df: Array) -> Array:
    """The same for whole degrees of freedom, all even or all odd and rising, by the finite sums that they have: right to the 15th decimal.

    With cos² = df/(df + t²) the chance to lie within t is, for an even df, sin (1 + 1/2 cos² (1 + 3/4 cos² (1 + ...))), and for an odd one
    2/pi (angle + sin cos (1 + 2/3 cos² (1 + 4/5 cos² ...))), each up to the factor (df-3)/(df-2).
    """
    whole = df + t * t
    square, sine = df / whole, t / np.sqrt(whole)
    inner = np.ones_like(t)
    steps = range(int(df[-1]) - 2, 1, -2)
    for step, first in zip(steps, np.searchsorted(df, np.array(steps) + 2).tolist(), strict=True):
        part = inner[first:]  # those whose sum is that long
        part *= square[first:]
        part *= (step - 1) / step
        part += 1.0
    if df[0] % 2 == 0:
        return np.asarray(0.5 - 0.5 * sine * inner)
    return np.asarray(0.5 - (np.arcsin(sine) + np.where(df > 1.0, sine * np.sqrt(square) * inner, 0.0)) / math.pi)


@lru_cache(maxsize=256)
def _log_limit(alpha: float, df: float) -> float:
    """The natural log of what t exceeds to either side with the chance alpha."""
    return math.log(quantile(alpha / 2.0, df))


def f_upper_tails(ratio: Array, df_1: float, df_2: Array) -> Array:
    """The chance that an F ratio with df_1 and df_2 degrees of freedom exceeds each value."""
    whole = df_2 + df_1 * ratio
    if df_1 == 2.0:
        return np.asarray((df_2 / whole) ** (df_2 / 2.0))
    return incomplete_beta(df_2 / 2.0, df_1 / 2.0, df_2 / whole, df_1 * ratio / whole)


def f_log_densities(log_ratio: Array, df_1: float, df_2: Array) -> Array:
    """The natural log of the F density at exp(log_ratio); df_2 has the shape (m, 1), log_ratio (m, n) or (n,)."""
    front = np.array([[0.5 * df_1 * math.log(df_1 / one) - _log_beta(0.5 * df_1, 0.5 * one)] for one in df_2.ravel().tolist()])
    return front + (0.5 * df_1 - 1.0) * log_ratio - 0.5 * (df_1 + df_2) * np.log1p(df_1 * np.exp(log_ratio) / df_2)


@dataclass(frozen=True, eq=False)
class SpreadGrid:
    """The grid of typical variances and of their alikeness, with the weight of each pair.

    log_variance: shape (NODES,), ln s0². [summary scale, squared] nu: shape (len(ALIKENESS), 1). log_weight: shape (len(ALIKENESS), NODES),
    up to a constant.
    """

    log_variance: Array
    nu: Array
    log_weight: Array

    @property
    def weights(self) -> Array:
        """The weight of each pair; they add up to 1."""
        raw = np.exp(self.log_weight - self.log_weight.max())
        return np.asarray(raw / raw.sum())

    @property
    def typical_variance(self) -> float:
        """The weighted geometric mean of s0². [summary scale, squared]"""
        return math.exp(float((self.weights * self.log_variance).sum()))

    def having_seen(self, variance: float, df: float) -> "SpreadGrid":
        """The grid after one more trial's variance; its nodes stay where they are."""
        seen = f_log_densities(math.log(variance) - self.log_variance, df, self.nu) - self.log_variance
        return SpreadGrid(self.log_variance, self.nu, self.log_weight + seen)

    def stretched(self, times: float) -> "SpreadGrid":
        """The grid if like tanks differed this many times as much as those that were seen."""
        return SpreadGrid(self.log_variance + 2.0 * math.log(times), self.nu, self.log_weight)

    def exceedance(self, variance: float, df: float) -> float:
        """The chance that a further trial of like tanks shows this variance or a larger one."""
        ratio = np.broadcast_to(variance / np.exp(self.log_variance), self.log_weight.shape)
        return float((self.weights * f_upper_tails(ratio, df, np.broadcast_to(self.nu, ratio.shape))).sum())


def spread_grid(variances: Sequence[float], dfs: Sequence[float]) -> SpreadGrid:
    """What variances of like tanks, one per trial, say about the variance of the next trial's.

    The natural log of the typical variance is flat beforehand over 7 to either side of the mean log variance, weighted by degrees of
    freedom; the alikeness takes each of its values with equal chance. The density of a variance is that of the F ratio over s0²: without
    the divisor, once for each trial, small s0² would be favoured.

    Parameters
    ----------
    variances : sequence of float, shape (n,), n >= 1
        Above 0; one per trial. [summary scale, squared]
    dfs : sequence of float, shape (n,)
        Their degrees of freedom, above 0.

    Returns
    -------
    SpreadGrid
        Does not depend on the order of the trials.

    References
    ----------
    smyth2004 (keys from sources.py).

    Examples
    --------
    >>> grid = spread_grid([0.2, 0.25, 0.3, 0.25, 0.25], [4, 4, 4, 4, 4])
    >>> round(grid.typical_variance, 2), round(grid.exceedance(0.25, 2), 2)
    (0.26, 0.41)
    """
    # Sorted, so that the sums do not depend on the order in the last digit either.
    return _grid_of(tuple(sorted(zip(variances, dfs, strict=True))))


@lru_cache(maxsize=32)  # one trial asks the same earlier tanks again for every alternative
def _grid_of(pairs: tuple[tuple[float, float], ...]) -> SpreadGrid:
    centre = math.fsum(df * math.log(variance) for variance, df in pairs) / math.fsum(df for _, df in pairs)
    nodes = centre + np.linspace(-REACH, REACH, NODES)
    nu = np.array(ALIKENESS)[:, np.newaxis]
    grid = SpreadGrid(nodes, nu, np.zeros((len(ALIKENESS), NODES)))
    for variance, df in pairs:
        grid = grid.having_seen(variance, df)
    return grid


@dataclass(frozen=True, eq=False)
class Mixture:
    """A weighted mixture of t distributions round 0: how far an estimate may be off. Flat arrays of one shape.

    weights: add up to 1. scales: of each t. [summary scale] dfs: its degrees of freedom.
    """

    weights: Array
    scales: Array
    dfs: Array

    def upper_tail(self, distance: float) -> float:
        """The chance of an error above a distance of 0 or more."""
        t = np.minimum(distance / self.scales, _FARTHEST)
        if self._parities is not None:
            quick = math.fsum(float(self.weights[own] @ t_upper_tails_by_sum(t[own], self.dfs[own])) for own in self._parities)
            if quick > _SUM_IS_SURE:
                return quick
        return float(self.weights @ t_upper_tails(t, self.dfs))

    @cached_property
    def _parities(self) -> list[Places] | None:
        """The places of even and of odd degrees of freedom, each in rising order; None where they are not whole, or many."""
        if (self.dfs != np.floor(self.dfs)).any() or self.dfs.max() > _LONGEST_SUM:
            return None
        order = np.argsort(self.dfs, kind="stable")
        found = [order[self.dfs[order] % 2 == odd] for odd in (0, 1)]
        return [own for own in found if own.size]

    @cached_property
    def _log_betas(self) -> Array:
        return _log_betas(0.5 * self.dfs, 0.5)

    def density(self, distance: float) -> float:
        """The density of the error at a distance."""
        front = -0.5 * np.log(self.dfs) - self._log_betas
        t = np.minimum(distance / self.scales, _FARTHEST)
        return float(self.weights @ (np.exp(front - 0.5 * (self.dfs + 1.0) * np.log1p(t * t / self.dfs)) / self.scales))

    def half_width(self, alpha: float) -> float:
        """The distance that the error exceeds, to either side together, with the chance alpha (above 0, below 1).

        Newton's method on the logarithms of chance and distance, in which the tails of t are nearly straight. The root is kept between
        the nearest distances known to lie on either side of it; a step beyond them goes halfway between them instead.
        """
        target = math.log(alpha / 2.0)
        low, high = math.log(self.scales.min()) - _FARTHEST_LOG, math.log(self.scales.max()) + _FARTHEST_LOG
        limits = [float(self.weights[self.dfs == df].sum()) * _log_limit(alpha, df) for df in np.unique(self.dfs).tolist()]
        at = float(self.weights @ np.log(self.scales)) + math.fsum(limits)
        for _ in range(_NEWTON_STEPS):
            distance = math.exp(at)
            tail = self.upper_tail(distance)
            following = math.inf
            if tail > 0.0:
                miss = math.log(tail) - target
                low, high = (at, high) if miss > 0 else (low, at)
                following = at + miss * tail / (distance * self.density(distance))
            else:  # so far out that the chance is no longer a float
                high = at
            if abs(following - at) <= _LAST_STEP * max(1.0, abs(at)):
                return math.exp(following)
            at = following if low < following < high else 0.5 * (low + high)
        return math.exp(at)


def difference_mixture(grid: SpreadGrid, *, factor: float, brake: float, own: tuple[float, float] | None = None) -> Mixture:
    """How far the difference of two arms may be off, given what is known of like tanks.

    For a node the variance is (nu0 s0² + nu s²)/(nu0 + nu) on nu0 + nu degrees of freedom, s² and nu being the trial's own variance and
    its degrees of freedom; the own variance also enters the weights, as one more trial.

    Parameters
    ----------
    grid : SpreadGrid
        From the earlier trials alone.
    factor : float
        The variance of the estimate over that of one unit: 1/n1 + 1/n2, a quarter of it for a halved difference.
    brake : float
        Multiplies the scale of every t.
    own : (float, float) or None
        The trial's own pooled variance [summary scale, squared] and its degrees of freedom; None with one unit per arm.

    Returns
    -------
    Mixture

    References
    ----------
    smyth2004 (keys from sources.py).

    Examples
    --------
    >>> grid = spread_grid([0.2, 0.25, 0.3, 0.25, 0.25], [4, 4, 4, 4, 4])
    >>> alone, helped = difference_mixture(grid, factor=2.0, brake=1.5), difference_mixture(grid, factor=1.0, brake=1.25, own=(0.25, 2))
    >>> round(alone.half_width(0.05), 2), round(helped.half_width(0.05), 2)
    (2.48, 1.39)
    """
    variance, df = own if own is not None else (0.0, 0.0)
    weights = (grid.having_seen(variance, df) if own is not None else grid).weights
    typical = np.broadcast_to(np.exp(grid.log_variance), weights.shape)
    dfs = np.broadcast_to(grid.nu + df, weights.shape)
    scales = brake * np.sqrt(factor * (grid.nu * typical + df * variance) / dfs)
    heavy = weights > _LEAST_WEIGHT * weights.max()
    return Mixture(weights[heavy] / weights[heavy].sum(), scales[heavy], dfs[heavy])
