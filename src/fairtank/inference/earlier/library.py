"""Stage 2 with help from earlier like tanks: one or two tanks per arm cannot show how far tanks treated alike end up apart.

`contrast.two_arms` asks: `result.interval` takes the place of Welch's, `result.basis` is the finding's basis. An interval without limits
is `alone` when an arm has fewer than two units and `arms_constant` is not set, else `open` with the tag `at the limit of the scale`.
Whether earlier tanks may be used is fixed in the plan; the choice never hangs on a result. `twice` is a line beside the interval and
decides nothing. Pairs and rounds do not come here: they use no library.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.inference.earlier.like_tanks import Library, pooled_variance
from fairtank.inference.earlier.mixture import difference_mixture, spread_grid
from fairtank.inference.intervals.welch import Interval, is_constant, mean, welch
from fairtank.inference.rounding import settled

# How much wider a borrowed interval is made, by the units in the smaller arm: the less of its own a trial has, the less it can notice that
# its tanks are not like the earlier ones. From simulation; see benchmarks/bench_library.py. That of 3 (`borrow_at_three`) is measured there
# and not offered: three tanks per arm speak for themselves, and no plan can ask for it.
BRAKES = {1: 1.5, 2: 1.25, 3: 1.15}
# The own variance lies in the upper fifth of what earlier trials let expect: then they are no longer trusted.
WITHDRAWN_BELOW = 0.20


@dataclass(frozen=True)
class Spread:
    """The interval of a difference, and where the spread in it came from.

    interval: its df is None when earlier tanks helped: the interval is no single t. basis: one of BASES. own: Welch's interval from the
    own tanks alone, None with fewer than two in an arm. twice: the interval if like tanks differed twice as much as the earlier ones did;
    None without their help. conflict: the chance that like tanks scatter as much as the own ones or more, None where it was not asked.
    withdrawn: why earlier tanks were set aside after a look at the own scatter, empty if they were not. unused: why they were not asked
    at all, empty if they were or need not be. groups, total_df: earlier trials that qualified and their degrees of freedom, used or not.
    brake: what the width was multiplied with, None without help. typical_spread: standard deviation of like tanks that the earlier trials
    show, None without help. own_df: degrees of freedom of the own pooled variance. left_out: entries that do not count, each with its
    trial and reason.
    """

    interval: Interval
    basis: str
    own: Interval | None = None
    twice: Interval | None = None
    conflict: float | None = None
    withdrawn: str = ""
    unused: str = ""
    groups: int = 0
    total_df: float = 0.0
    brake: float | None = None
    typical_spread: float | None = None
    own_df: float = 0.0
    left_out: tuple[tuple[str, str], ...] = ()


def _halved(interval: Interval) -> Interval:
    """Half the difference and its limits; degrees of freedom and p stay."""
    low, high = (None if limit is None else limit / 2 for limit in (interval.low, interval.high))
    return replace(interval, estimate=interval.estimate / 2, low=low, high=high)


def _check(reference: Sequence[float], changed: Sequence[float], alpha: float) -> None:
    if not 0 < alpha < 1:
        raise OutOfRangeError("alpha", alpha, "above 0, below 1")
    if min(len(reference), len(changed)) == 0:
        raise NotEnoughDataError(f"The arms have {len(reference)} and {len(changed)} usable units; a difference needs 1 in each.")
    for value in (*reference, *changed):
        if not math.isfinite(value):
            raise InputError("a unit's number", value, "a finite number", "Leave a unit out when it has none.")


def _from_own_tanks(reference: Sequence[float], changed: Sequence[float], alpha: float, scale: str, halved: bool) -> Spread:
    """What the own tanks say alone: Welch's interval, or the bare difference with fewer than two in an arm."""
    _, df = pooled_variance([reference, changed])
    if min(len(reference), len(changed)) < 2:
        bare = Interval(mean(changed) - mean(reference))
        return Spread(settled(_halved(bare) if halved else bare), "none", own_df=df)
    own = welch(reference, changed, alpha=alpha, scale=scale)
    own = settled(_halved(own)) if halved else own
    return Spread(own, "none" if own.low is None else "own tanks", own, own_df=df)


def _set_aside(conflict: float, alone: bool) -> str:
    share = f"{100 * conflict:.0f}" if conflict >= 0.01 else "less than 1"
    told = (f"The tanks of this trial scatter more than earlier like tanks let expect (as much or more in {share} % of such trials), so "
            "the earlier tanks were set aside")
    return f"{told} and nothing is left to judge the spread by." if alone else f"{told}."


def interval_with_library(
    reference: Sequence[float], changed: Sequence[float], *, alpha: float, library: Library | None, scale: str = "identity",
    halved: bool = False, borrow_at_three: bool = False,
) -> Spread:
    """The difference of two arms, changed minus reference, its spread learnt from the own tanks, earlier like tanks, or both.

    Three or more units in each arm speak for themselves (Welch). With two in the smaller arm the own pooled variance joins those of the
    earlier trials, and the interval is made 1.25 times as wide; with one the earlier trials stand nearly or wholly alone, and it is made
    1.5 times as wide. Earlier tanks are set aside when the own scatter is among the largest fifth of what they let expect. With one unit
    in each arm that cannot be noticed: the interval then holds only if these tanks vary like the earlier ones, at most half as much again.

    Parameters
    ----------
    reference, changed : sequence of float, shape (n,), n >= 1
        One z per unit; for a swap one period difference per unit, by order. [summary scale]
    alpha : float
        1 minus the level of the interval, above 0 and below 1. Both sides share it, at every brake.
    library : Library or None
        Earlier trials of this kind; None when the plan does not allow them.
    scale : str
        `logit`, `log` or `identity`; says when an arm counts as constant.
    halved : bool
        Whether the effect is half the difference (a swap); the library's entries are variances of the whole one.
    borrow_at_three : bool
        Whether earlier tanks may also help with three units in the smaller arm, at 1.15 times the width: for the benchmark alone.

    Returns
    -------
    Spread
        Its p_value is two-sided and lies at or below alpha exactly when the interval leaves out 0.

    Raises
    ------
    NotEnoughDataError
        If an arm has no unit.
    OutOfRangeError
        If alpha lies outside its range.
    InputError
        If a unit's number is not finite.

    References
    ----------
    smyth2004, welch1947 (keys from sources.py).

    Examples
    --------
    >>> from fairtank.inference.earlier.like_tanks import SpreadKind, library_of
    >>> from fairtank.trial import SpreadEntry
    >>> words = "algae_cover", "logit", "mean", "35 to 49 days", "tank of 45 to under 80 L"
    >>> entries = [SpreadEntry(*words, variance, 4.0, f"trial {number}") for number, variance in enumerate([0.2, 0.25, 0.3, 0.25, 0.25])]
    >>> found = interval_with_library([0.1, 0.8], [1.9, 2.4], alpha=0.05, library=library_of(entries, SpreadKind(*words)), scale="logit")
    >>> found.basis, round(found.interval.low, 2), round(found.interval.high, 2), round(found.own.low, 2), round(found.own.high, 2)
    ('own and earlier tanks', 0.35, 3.05, -0.35, 3.75)
    """
    _check(reference, changed, alpha)
    alone = _from_own_tanks(reference, changed, alpha, scale, halved)
    smaller = min(len(reference), len(changed))
    if library is not None:
        left_out = tuple((out.entry.trial, out.reason) for out in library.left_out)
        alone = replace(alone, groups=len(library.groups), total_df=library.total_df, left_out=left_out)
    if smaller > (3 if borrow_at_three else 2) or library is None:
        return alone
    if any(len(arm) > 1 and is_constant(arm, scale) for arm in (reference, changed)):
        return replace(alone, interval=replace(alone.interval, arms_constant=True), basis="none")
    if not library.is_qualified:
        return replace(alone, unused=library.shortfall)
    return _borrowed(alone, reference, changed, library, alpha=alpha, halved=halved, brake=BRAKES[smaller])


def _borrowed(
    alone: Spread, reference: Sequence[float], changed: Sequence[float], library: Library, *, alpha: float, halved: bool, brake: float
) -> Spread:
    """The same with the help of earlier tanks, unless the own scatter speaks against them.

    That the interval leaves out 0 and that p lies below alpha are the same thing, since both come from the mixture's tail.
    """
    variance, df = pooled_variance([reference, changed])
    own = (variance, df) if df else None
    grid = spread_grid([entry.variance for entry in library.groups], [entry.df for entry in library.groups])
    conflict = grid.exceedance(variance, df) if own else None
    if conflict is not None and conflict < WITHDRAWN_BELOW:
        return settled(replace(alone, conflict=conflict, withdrawn=_set_aside(conflict, alone.basis == "none")))
    factor = (1 / len(reference) + 1 / len(changed)) / (4 if halved else 1)
    estimate = alone.interval.estimate
    mixture = difference_mixture(grid, factor=factor, brake=brake, own=own)
    half = mixture.half_width(alpha)
    # Without an own variance all that is known of the spread grows alike, and the interval with it.
    wide = difference_mixture(grid.stretched(2.0), factor=factor, brake=brake, own=own).half_width(alpha) if own else 2.0 * half
    interval = Interval(estimate, estimate - half, estimate + half, None, min(1.0, 2.0 * mixture.upper_tail(abs(estimate))))
    twice = Interval(estimate, estimate - wide, estimate + wide)
    spread = math.sqrt(grid.typical_variance)
    basis = "own and earlier tanks" if own else "earlier tanks only"
    return settled(replace(alone, interval=interval, basis=basis, twice=twice, conflict=conflict, brake=brake, typical_spread=spread))
