"""Stage 2 in general: what a design makes of the units' numbers. Each design hands over one function of this form."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from fairtank.finding import EarlierTanks, UnitSummary
from fairtank.inference.earlier.library import Spread, interval_with_library
from fairtank.inference.earlier.like_tanks import Library
from fairtank.inference.intervals import shuffle
from fairtank.inference.intervals.welch import Interval, mean, tipping_spread, welch
from fairtank.trial import Plan

Units = tuple[UnitSummary, ...]

# With more units in each arm their own scatter speaks for itself.
MOST_BORROWING = 2


@dataclass(frozen=True)
class Contrast:
    """What the usable units of one trial say about the change.

    reference, changed: the units that were compared, by role (in a swap: by the arm they had first). interval: None when nothing can be
    compared. is_alone: too few units, pairs or rounds for an interval. level: the reference's level on the scale, None where it has none.
    arrangements: in how many ways the lot could have fallen, 0 where there is no shuffle test. smallest_p: the smallest p those allow.
    shuffle: counts the arrangements; None where they are too few to say something or too many to count. decides: the shuffle test alone
    decides, because there is no interval. spread: the tipping spread of a comparison that is alone. set_aside: usable units that had to
    be left out, with the reason. leaves: what can be left out in turn: its name, and the unit that takes it out. basis: where the spread in
    the interval came from. earlier: what earlier tanks did, None where they were not asked. cautions, facts: see Finding. margin_holds:
    whether the plan's margin was fixed for what is compared here; where not, the interval is held against 0 alone.
    """

    reference: Units
    changed: Units
    interval: Interval | None = None
    is_alone: bool = False
    level: float | None = None
    arrangements: int = 0
    smallest_p: float = 1.0
    shuffle: Callable[[], float] | None = None
    decides: bool = False
    spread: float | None = None
    set_aside: tuple[tuple[str, str], ...] = ()
    leaves: tuple[tuple[str, str], ...] = ()
    basis: str = "own tanks"
    earlier: EarlierTanks | None = None
    cautions: tuple[str, ...] = ()
    facts: tuple[tuple[str, float], ...] = ()
    margin_holds: bool = True


@dataclass(frozen=True)
class Terms:
    """How a comparison is read.

    alpha: 1 minus the level of the interval. scale: `logit`, `log` or `identity`. span: the days over which a slope builds up, so that
    its scatter can be held against the smallest one that counts as scatter; 1 for every other summary. library: earlier trials that may
    speak for the tanks where an arm has two units or fewer; None where they may not.
    """

    alpha: float
    scale: str
    span: float = 1.0
    library: Library | None = None


Contrasting = Callable[[Plan, Units, Terms], Contrast]


def z_of(units: Sequence[UnitSummary]) -> tuple[float, ...]:
    """The numbers of the usable units."""
    return tuple(unit.z for unit in units if unit.z is not None)


def level_of(units: Sequence[UnitSummary]) -> float | None:
    """The mean of the units' levels; None where none has one."""
    levels = [unit.treated_mean for unit in units if unit.treated_mean is not None]
    return mean(levels) if levels else None


def by_role(plan: Plan, units: Units) -> tuple[Units, Units]:
    """The units of the reference arm and those of the changed arm."""
    reference = tuple(unit for unit in units if plan.arm(unit.arm).role == "reference")
    return reference, tuple(unit for unit in units if plan.arm(unit.arm).role == "changed")


def in_units(interval: Interval, size: float) -> Interval:
    """The same interval with estimate and limits divided by a number; degrees of freedom and p stay."""
    low, high = (None if limit is None else limit / size for limit in (interval.low, interval.high))
    return Interval(interval.estimate / size, low, high, interval.df, interval.p_value, interval.arms_constant)


def difference_of_arms(reference: Units, changed: Units, terms: Terms) -> Interval:
    """Changed minus reference: Welch's interval, or the bare difference with one unit in an arm."""
    if min(len(reference), len(changed)) < 2:
        return Interval(mean(z_of(changed)) - mean(z_of(reference)))
    spread_out = [tuple(z * terms.span for z in z_of(units)) for units in (reference, changed)]
    return in_units(welch(spread_out[0], spread_out[1], alpha=terms.alpha, scale=terms.scale), terms.span)


def _told(spread: Spread, library: Library) -> EarlierTanks:
    """What earlier tanks did, as a finding carries it."""
    own, twice = spread.own, spread.twice
    return EarlierTanks(
        groups=spread.groups, total_df=spread.total_df, brake=spread.brake, typical_spread=spread.typical_spread,
        own_low=own.low if own else None, own_high=own.high if own else None,
        twice_low=twice.low if twice else None, twice_high=twice.high if twice else None,
        unused=spread.unused, withdrawn=spread.withdrawn, left_out=spread.left_out, cautions=library.cautions if spread.brake else (),
    )


def _compared(reference: Units, changed: Units, terms: Terms, halved: bool) -> tuple[Interval, str, EarlierTanks | None]:
    """The interval, its basis, and what earlier tanks did: they are asked with two units or fewer in an arm."""
    if terms.library is None or min(len(reference), len(changed)) > MOST_BORROWING:
        own = difference_of_arms(reference, changed, terms)
        return (in_units(own, 2.0) if halved else own), "own tanks", None
    spread = interval_with_library(z_of(reference), z_of(changed), alpha=terms.alpha, library=terms.library, halved=halved,
                                   scale=terms.scale if terms.span == 1 else "identity")
    return spread.interval, spread.basis, _told(spread, terms.library)


def two_arms(plan: Plan, units: Units, terms: Terms, *, halved: bool = False) -> Contrast:
    """Two groups of units, one for each arm: the difference of their means with its interval.

    The interval is Welch's; with two units or fewer in an arm, and earlier trials that may speak for them, it is that of `library`.

    Parameters
    ----------
    plan : Plan
        Says which arm is the reference.
    units : tuple of UnitSummary
        The usable units.
    terms : Terms
        Level, scale and earlier trials.
    halved : bool
        Whether the effect is half the difference (a swap).

    Returns
    -------
    Contrast

    References
    ----------
    welch1947, fisher1935, smyth2004 (keys from sources.py).
    """
    reference, changed = by_role(plan, units)
    n_1, n_2 = len(reference), len(changed)
    if min(n_1, n_2) == 0:
        return Contrast(reference, changed)
    interval, basis, earlier = _compared(reference, changed, terms, halved)
    is_alone = min(n_1, n_2) < 2 and interval.low is None and not interval.arms_constant
    whole = interval.estimate * (2.0 if halved else 1.0)
    return Contrast(
        reference, changed, interval, is_alone, level_of(reference), shuffle.arrangements(n_1, n_2), shuffle.smallest_p(n_1, n_2),
        partial(shuffle.shuffle_p, z_of(reference), z_of(changed)) if shuffle.is_shown(n_1, n_2) else None,
        spread=tipping_spread(whole, n_1, n_2) if is_alone else None, basis=basis, earlier=earlier,
        leaves=tuple((unit.unit, unit.unit) for unit in (*reference, *changed)),
        cautions=() if earlier is None else tuple(text for text in (earlier.unused, earlier.withdrawn, *earlier.cautions) if text),
    )
