"""The summary threshold: between which two days a unit reached a value, and stage 2 that only compares who was later."""

import math
from functools import partial

from fairtank.finding import UnitSummary
from fairtank.inference.contrast import Contrast, Terms, Units, by_role
from fairtank.inference.rounding import rounded
from fairtank.trial import Plan

FEWEST_PER_ARM = 4
Reached = tuple[float, float]  # after the first of these days, on the second or before


def reached_days(values: dict[int, float], threshold: float) -> tuple[int | None, int | None]:
    """The last day below the threshold before it was reached, and the first day at or above it; a later fall is not looked at.

    >>> reached_days({0: 1.0, 4: 2.0, 9: 6.0}, 5.0), reached_days({0: 1.0, 4: 2.0}, 5.0), reached_days({0: 7.0}, 5.0)
    ((4, 9), (4, None), (None, 0))
    """
    below = None
    for day, value in values.items():
        if value >= threshold:
            return below, day
        below = day
    return below, None


def _ends(unit: UnitSummary) -> Reached:
    below, at = unit.reached or (None, None)
    return (-math.inf if below is None else below), (math.inf if at is None else at)


def later_than(one: Reached, other: Reached) -> int:
    """1 when the first was surely later, -1 when it was surely earlier, 0 when the days looked at cannot tell.

    >>> later_than((12, 14), (8, 12)), later_than((12, 14), (8, 13)), later_than((3, 5), (40, math.inf))
    (1, 0, -1)
    """
    return int(one[0] >= other[1]) - int(other[0] >= one[1])


def pair_scores(reached: list[Reached]) -> list[int]:
    """For each unit, how many of all the others were surely earlier less how many were surely later.

    The scores add up to 0; those of one arm add up to W, the arm's wins less its losses against the other arm.

    >>> pair_scores([(1, 2), (3, 4), (5, math.inf)])
    [-2, 0, 2]
    """
    return [sum(later_than(one, other) for other in reached) for one in reached]


def scores_shuffle_p(scores: list[int], size: int) -> float:
    """The share of all ways to choose that many units whose scores add up to at least as much as the last ones', in either direction.

    The scores are whole numbers, so that all ways can be counted sum by sum, however many there are.

    >>> round(scores_shuffle_p([-4, -4, -4, -4, 4, 4, 4, 4], 4), 4)
    0.0286
    """
    ways: list[dict[int, int]] = [{0: 1}, *({} for _ in range(size))]
    for score in scores:
        for taken in range(size, 0, -1):
            for total, count in ways[taken - 1].items():
                ways[taken][total + score] = ways[taken].get(total + score, 0) + count
    seen = abs(sum(scores[len(scores) - size:]))
    return rounded(sum(count for total, count in ways[size].items() if abs(total) >= seen) / math.comb(len(scores), size))


def who_was_later(plan: Plan, units: Units, terms: Terms) -> Contrast:
    """Every changed unit against every reference unit: which of the two was surely later to reach the threshold?

    Nobody looked between two photos, so both ends of the gap are kept, and a unit that never reached it is later than its last photo.
    There is no estimate and no interval; the shuffle of the pair scores alone decides, from 4 units per arm on.

    Parameters
    ----------
    plan : Plan
        Says which arm is the reference.
    units : tuple of UnitSummary
        The usable units, with `reached`.
    terms : Terms
        Not needed here but for its place in the form.

    Returns
    -------
    Contrast
        Facts: pairs_later, pairs_earlier, pairs_untold (changed against reference), score (later less earlier).

    References
    ----------
    gehan1965, fisher1935 (keys from sources.py).
    """
    reference, changed = by_role(plan, units)
    n_1, n_2 = len(reference), len(changed)
    if min(n_1, n_2) == 0:
        return Contrast(reference, changed)
    told = [later_than(_ends(one), _ends(other)) for one in changed for other in reference]
    facts = (("pairs_later", float(told.count(1))), ("pairs_earlier", float(told.count(-1))), ("pairs_untold", float(told.count(0))),
             ("score", float(sum(told))))
    scores = pair_scores([_ends(unit) for unit in (*reference, *changed)])
    arrangements = math.comb(n_1 + n_2, n_1)
    enough = min(n_1, n_2) >= FEWEST_PER_ARM
    return Contrast(
        reference, changed, arrangements=arrangements, smallest_p=(2 if n_1 == n_2 else 1) / arrangements,
        shuffle=partial(scores_shuffle_p, scores, n_2) if enough else None, decides=True,
        leaves=tuple((unit.unit, unit.unit) for unit in (*reference, *changed)), facts=facts,
    )
