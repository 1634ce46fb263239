"""Stage 2 of pairs: one difference for each pair, and the pairs are the sample."""

import math
from collections.abc import Sequence
from functools import partial

import numpy as np

from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.inference.contrast import Contrast, Terms, Units, in_units, level_of
from fairtank.inference.designs.matching import Match, matched
from fairtank.inference.intervals.shuffle import DRAWS, FEWEST_SHOWN, MOST_COUNTED, drawn_share, seeded_by
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import Interval, is_constant, mean, variance
from fairtank.inference.rounding import rounded, settled
from fairtank.trial import Plan

FEWEST_PAIRS = 3


def one_sample(differences: Sequence[float], *, alpha: float, scale: str = "identity") -> Interval:
    """The mean of differences with the one-sample t-interval.

    Parameters
    ----------
    differences : sequence of float, shape (n,), n >= 2
        One per pair, changed minus reference. [summary scale]
    alpha : float
        1 minus the level of the interval, above 0 and below 1.
    scale : str
        `logit`, `log` or `identity`; says when the differences count as constant.

    Returns
    -------
    Interval
        Without limits when the differences do not scatter at all.

    Raises
    ------
    NotEnoughDataError
        If there are fewer than two differences.

    References
    ----------
    student1908 (keys from sources.py).

    Examples
    --------
    >>> interval = one_sample([1.0, 2.0, 3.0], alpha=0.05)
    >>> interval.estimate, interval.df, round(interval.low, 3), round(interval.high, 3)
    (2.0, 2.0, -0.484, 4.484)
    """
    count = len(differences)
    if count < 2:
        raise NotEnoughDataError(f"The number of pairs is {count}; an interval needs at least 2.")
    centre = mean(differences)
    if is_constant(differences, scale):
        return settled(Interval(centre, arms_constant=True))
    error = math.sqrt(variance(differences) / count)
    half = quantile(alpha / 2, count - 1) * error
    return settled(Interval(centre, centre - half, centre + half, float(count - 1), 2 * upper_tail(abs(centre) / error, count - 1)))


def pairs_shuffle_p(differences: Sequence[float]) -> float:
    """The share of all 2^n ways to turn pairs round that move the mean difference at least as far from 0, in either direction.

    Inside each pair the lot could have given the change to the other unit; that turns the sign of the pair's difference. Where the ways
    are too many to count, some are drawn: see `shuffle_p`.

    Parameters
    ----------
    differences : sequence of float, shape (n,), n >= 1
        One per pair. [summary scale]

    Returns
    -------
    float
        A chance, at least 2 / 2^n where any difference is not 0.

    References
    ----------
    fisher1935, edgington2007 (keys from sources.py).

    Examples
    --------
    >>> pairs_shuffle_p([1.0, 2.0, 3.0])
    0.25
    """
    # Numbers that differ in their tenth digit only are ties: what a finding stores is rounded.
    bar = abs(math.fsum(differences)) - 1e-9 * max(abs(difference) for difference in differences)
    if 2**len(differences) > MOST_COUNTED:
        signs = np.where(seeded_by(differences).random((DRAWS, len(differences))) < 0.5, -1.0, 1.0)
        return drawn_share(np.abs((signs * np.array(differences)).sum(axis=1)) >= bar)
    sums = [0.0]
    for difference in differences:
        sums = [total + difference for total in sums] + [total - difference for total in sums]
    return rounded(sum(abs(total) >= bar for total in sums) / len(sums))


def check_pairs(plan: Plan) -> None:
    """Refuse a plan whose units do not stand in pairs of one reference and one changed unit, or whose pairs share their tanks."""
    members: dict[str, list[str]] = {}
    for unit in plan.units:
        if not unit.pair:
            raise DesignError(f"Unit {unit.key} has no pair. Say which two units stand together: give both the same `pair`.")
        members.setdefault(unit.pair, []).append(plan.arm(unit.arm).role)
    for pair, roles in members.items():
        if sorted(roles) != ["changed", "reference"]:
            raise DesignError(f"Pair {pair} holds {roles.count('reference')} reference and {roles.count('changed')} changed units; a pair "
                              "is one of each. Correct the units in the plan.")
    if not plan.shared_water:
        return
    held: dict[str, set[str]] = {}
    for unit in plan.units:
        held.setdefault(unit.in_tank, set()).add(unit.pair)
    crowded = next((tank for tank, pairs in held.items() if len(pairs) > 1), None)
    if crowded is not None:
        raise DesignError(f"The compartments of a tank share water, and {crowded} holds units of {len(held[crowded])} pairs: what happens "
                          "to the tank reaches all of them, so that they are no pairs of their own. Pair whole tanks, or have one pair in "
                          "each tank.")


def whole_pairs(plan: Plan, units: Units) -> tuple[list[Match], tuple[tuple[str, str], ...]]:
    """The pairs with both units usable (name, reference, changed), and the units left without a partner, each with its sentence."""
    whole, left = matched(plan, units, {unit.key: unit.pair for unit in plan.units})
    partner = {unit.key: other.key for unit in plan.units for other in plan.units if unit.pair == other.pair and unit.key != other.key}
    return whole, tuple((unit, f"{unit} is left without its partner: {partner[unit]} has no number.") for unit in left)


def paired(plan: Plan, units: Units, terms: Terms) -> Contrast:
    """The mean over the pairs of changed minus reference, with the one-sample t-interval on the number of pairs minus 1.

    A pair of which one unit has no number is left out as a whole. Fewer than 3 pairs are alone.

    Parameters
    ----------
    plan : Plan
        Its units name their pair.
    units : tuple of UnitSummary
        The usable units.
    terms : Terms
        Level and scale.

    Returns
    -------
    Contrast

    References
    ----------
    student1908, fisher1935 (keys from sources.py).
    """
    whole, set_aside = whole_pairs(plan, units)
    reference, changed = tuple(first for _, first, _ in whole), tuple(second for _, _, second in whole)
    count = len(whole)
    if count == 0:
        return Contrast((), (), set_aside=set_aside)
    differences = [second.z - first.z for _, first, second in whole if first.z is not None and second.z is not None]
    is_alone = count < FEWEST_PAIRS
    if is_alone:
        interval = Interval(mean(differences))
    else:
        interval = in_units(one_sample([value * terms.span for value in differences], alpha=terms.alpha, scale=terms.scale), terms.span)
    arrangements = 2**count
    return Contrast(
        reference, changed, interval, is_alone, level_of(reference), arrangements, 2 / arrangements,
        partial(pairs_shuffle_p, differences) if arrangements >= FEWEST_SHOWN else None,
        spread=abs(interval.estimate) / (1.96 * math.sqrt(1 / count)) if is_alone else None,
        set_aside=set_aside, leaves=tuple((f"pair {pair}", first.unit) for pair, first, _ in whole),
    )
