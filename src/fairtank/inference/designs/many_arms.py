"""More than two arms: each changed arm against the reference, or all pairs if that was planned, all comparisons under one promise.

Each comparison has its own two arms' scatter, because an arm that scatters twice as much makes a scatter common to all arms promise too
much (measured: 8 to 17 false claims in 100 in place of 5). Several comparisons then share one critical value, that of the largest of as
many independent ones, which no way of hanging together can exceed.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache, partial
from itertools import combinations

from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.finding import Finding, RankedArm, UnitSummary
from fairtank.inference.contrast import Contrast, Terms, Units, by_role, in_units, level_of, z_of
from fairtank.inference.designs.allotment import check_allotment
from fairtank.inference.findings import finding_of
from fairtank.inference.grades import is_clipped_arm
from fairtank.inference.intervals.multiple import many_to_one_critical, many_to_one_tail
from fairtank.inference.intervals.welch import Interval, degrees_of_freedom, is_constant, mean, tipping_spread, variance
from fairtank.inference.outcome import Way, unit_summaries
from fairtank.inference.question import Question
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.series.summaries import recorded_of
from fairtank.inference.unfinished import is_early
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("matthews1990", "welch1947", "satterthwaite1946", "student1908", "dunnett1980", "sidak1967")
SIDE = "other"  # the role of an arm that one comparison passes over
# Far out in the tail, where several comparisons have their critical value, Welch's approximation is a little too hopeful: most with two
# units in an arm, and more where the smaller arm scatters more. The intervals reach so much farther; with them false claims stayed at or
# below 5 in 100 in every layout that was simulated (3, 4 and 6 arms of 2 to 6 units, one or all of them scattering twice as much).
EVEN_WIDENING, UNEVEN_WIDENING, WIDENING_OF_TWO = 1.05, 1.15, 1.3

Settling = Callable[[Plan], Question]


def widening_of(n_1: int, n_2: int) -> float:
    """How much farther the interval of two arms of these sizes reaches."""
    return WIDENING_OF_TWO if min(n_1, n_2) == 2 else UNEVEN_WIDENING if n_1 != n_2 else EVEN_WIDENING


def held_together(reference: Sequence[float], changed: Sequence[float], comparisons: int, *, alpha: float, scale: str) -> Interval:
    """The difference of two of several arms, changed minus reference, as one of several comparisons under one promise.

    Own scatter of the two arms and Welch's degrees of freedom; with uneven arms at most as many as two arms of the smaller size have.
    The multiplier is the studentized maximum modulus, 5 per cent farther out, with uneven arms 15, with two units in an arm 30.

    Parameters
    ----------
    reference, changed : sequence of float, shape (n,), n >= 2
        One z per unit. [summary scale]
    comparisons : int
        How many comparisons share the promise.
    alpha : float
        1 minus the level of all intervals together.
    scale : str
        `logit`, `log` or `identity`; says when an arm counts as constant.

    Returns
    -------
    Interval
        Its p_value is adjusted: it lies at or below alpha exactly when the interval leaves out 0.

    Raises
    ------
    NotEnoughDataError
        If an arm has fewer than two units.

    References
    ----------
    dunnett1980, sidak1967, welch1947, satterthwaite1946 (keys from sources.py).

    Examples
    --------
    >>> interval = held_together([1.0, 2.0, 3.0], [2.0, 3.0, 4.0], 2, alpha=0.05, scale="identity")
    >>> interval.estimate, interval.df, interval.low < -1.267
    (1.0, 4.0, True)
    """
    n_1, n_2 = len(reference), len(changed)
    if min(n_1, n_2) < 2:
        raise NotEnoughDataError(f"The arms have {n_1} and {n_2} usable units; an interval needs at least 2 in each.")
    return _held_together(tuple(reference), tuple(changed), comparisons, alpha, scale)


@lru_cache(maxsize=1024)  # the ranking asks for the same pairs as the comparisons, and alternatives that change nothing ask again
def _held_together(reference: tuple[float, ...], changed: tuple[float, ...], comparisons: int, alpha: float, scale: str) -> Interval:
    n_1, n_2 = len(reference), len(changed)
    difference = mean(changed) - mean(reference)
    if is_constant(reference, scale) or is_constant(changed, scale):
        return settled(Interval(difference, arms_constant=True))
    share_1, share_2 = variance(reference) / n_1, variance(changed) / n_2
    df = degrees_of_freedom(share_1, n_1, share_2, n_2)
    if n_1 != n_2:
        df = min(df, 2.0 * (min(n_1, n_2) - 1))
    error, alike = widening_of(n_1, n_2) * math.sqrt(share_1 + share_2), (0.0,) * comparisons
    half = many_to_one_critical(alpha, df, alike) * error
    return settled(Interval(difference, difference - half, difference + half, df, many_to_one_tail(abs(difference) / error, df, alike)))


def versus(plan: Plan, units: Units, terms: Terms, *, comparisons: int) -> Contrast:
    """One comparison among several: the arm with the role changed against the one with the role reference.

    Parameters
    ----------
    plan : Plan
        Two of its arms have the roles reference and changed; the others are passed over.
    units : tuple of UnitSummary
        The usable units of all arms.
    terms : Terms
        Level and scale.
    comparisons : int
        How many comparisons share the promise.

    Returns
    -------
    Contrast
        Without a shuffle test: with several comparisons it would have to shuffle all arms at once.

    References
    ----------
    dunnett1980, welch1947 (keys from sources.py).
    """
    reference, changed = by_role(plan, units)
    n_1, n_2 = len(reference), len(changed)
    if min(n_1, n_2) == 0:
        return Contrast(reference, changed)
    level, leaves = level_of(reference), tuple((unit.unit, unit.unit) for unit in (*reference, *changed))
    if min(n_1, n_2) < 2:
        difference = mean(z_of(changed)) - mean(z_of(reference))
        return Contrast(reference, changed, Interval(difference), is_alone=True, level=level, leaves=leaves,
                        spread=tipping_spread(difference, n_1, n_2))
    values = [[z * terms.span for z in z_of(arm)] for arm in (reference, changed)]
    interval = in_units(held_together(values[0], values[1], comparisons, alpha=terms.alpha, scale=terms.scale), terms.span)
    return Contrast(reference, changed, interval, level=level, leaves=leaves, facts=_working(interval, values, terms, comparisons))


def _working(interval: Interval, values: Sequence[Sequence[float]], terms: Terms, comparisons: int) -> tuple[tuple[str, float], ...]:
    """The standard error and what it was multiplied with."""
    if interval.low is None or interval.high is None:
        return ()
    error = math.sqrt(math.fsum(variance(arm) / len(arm) for arm in values)) / terms.span
    return (("standard_error", error), ("multiplier", (interval.high - interval.low) / 2.0 / error))


def pairs_of(plan: Plan) -> tuple[tuple[str, str], ...]:
    """The comparisons that were planned: keys of the two arms of each, the reference's first.

    With `compare = "all"` the changed arms are held against each other too, in the plan's order.
    """
    reference = plan.arm_with("reference").key
    changed = [arm.key for arm in plan.arms if arm.role != "reference"]
    first = tuple((reference, key) for key in changed)
    return (*first, *combinations(changed, 2)) if plan.compare == "all" else first


def check_several(plan: Plan, choice: MeasureChoice) -> None:
    """Refuse what several arms cannot carry.

    Raises
    ------
    DesignError
        If the roles or the allotment do not fit, or the summary is a threshold.
    """
    if [arm.role for arm in plan.arms].count("reference") != 1:
        raise DesignError("Several arms need exactly one with the role reference, against which the others are held.")
    if choice.summary == "threshold":
        raise DesignError(f"The summary of {choice.key} is threshold; with more than two arms this version judges mean, change and slope.")
    check_allotment(plan)


def for_two(plan: Plan, first: str, second: str) -> Plan:
    """The plan as one comparison sees it: two arms with the roles reference and changed, and their units alone."""
    arms = (replace(plan.arm(first), role="reference"), replace(plan.arm(second), role="changed"))
    return replace(plan, arms=arms, units=tuple(unit for unit in plan.units if unit.arm in (first, second)))


def among_all(plan: Plan, first: str, second: str) -> Plan:
    """The whole plan with two arms in the roles reference and changed; the others are passed over."""
    roles = {first: "reference", second: "changed"}
    return replace(plan, arms=tuple(replace(arm, role=roles.get(arm.key, SIDE)) for arm in plan.arms))


def ranking_of(plan: Plan, units: Sequence[UnitSummary], *, alpha: float, scale: str, span: float = 1.0) -> tuple[RankedArm, ...]:
    """The arms from the highest mean to the lowest, each with the places that the intervals of all pairs leave open.

    All pairs share one promise: in 1 - alpha of trials every range holds the arm's true place.

    Parameters
    ----------
    plan : Plan
        Its arms.
    units : sequence of UnitSummary
        Stage 1 of all units.
    alpha : float
        1 minus the level.
    scale : str
        `logit`, `log` or `identity`.
    span : float
        See `Terms`.

    Returns
    -------
    tuple of RankedArm
        Empty where fewer than three arms have a usable unit.

    References
    ----------
    dunnett1980 (keys from sources.py).
    """
    arms = {arm.key: tuple(unit for unit in units if unit.arm == arm.key and unit.z is not None) for arm in plan.arms}
    held = {key: own for key, own in arms.items() if own}
    if len(held) < 3:
        return ()
    means = {key: mean(z_of(own)) for key, own in held.items()}
    above = dict.fromkeys(held, 0)  # how many arms are surely higher, and surely lower
    below = dict(above)
    count = len(plan.arms) * (len(plan.arms) - 1) // 2
    for first, second in combinations(held, 2):
        higher = _surely_higher(held[first], held[second], count, Terms(alpha, scale, span))
        if higher:
            upper, lower = (second, first) if higher > 0 else (first, second)
            below[upper] += 1
            above[lower] += 1
    order = sorted(held, key=lambda key: (-means[key], list(held).index(key)))
    return tuple(settled(RankedArm(key, plan.arm(key).label, means[key], place, 1 + above[key], len(held) - below[key]))
                 for place, key in enumerate(order, 1))


def _surely_higher(first: Units, second: Units, comparisons: int, terms: Terms) -> int:
    """1 where the second arm is surely higher, -1 where the first is, 0 where the interval cannot tell."""
    if min(len(first), len(second)) < 2 or is_clipped_arm(first) or is_clipped_arm(second):
        return 0
    values = [[z * terms.span for z in z_of(arm)] for arm in (first, second)]
    interval = held_together(values[0], values[1], comparisons, alpha=terms.alpha, scale=terms.scale)
    if interval.low is None or interval.high is None:
        return 0
    return int(interval.low > 0) - int(interval.high < 0)


def several_arms(plan: Plan, choice: MeasureChoice, record: Record, settle: Settling) -> tuple[Finding, ...]:
    """The findings of one measure in a trial of more than two arms, one per planned comparison, all of them under one promise.

    Parameters
    ----------
    plan : Plan
        More than two arms, one of them the reference; `compare` says which pairs were planned.
    choice : MeasureChoice
        What the plan says about the measure.
    record : Record
        What was recorded of the whole trial. [natural units]
    settle : function
        Makes the question of one comparison from the plan as that comparison sees it (see `for_two`).

    Returns
    -------
    tuple of Finding
        units holds the two arms that are compared; ranking, the same in each, all arms.

    Raises
    ------
    DesignError
        See `check_several`.

    References
    ----------
    dunnett1980, welch1947 (keys from sources.py).
    """
    check_several(plan, choice)
    pairs = pairs_of(plan)
    contrast = partial(versus, comparisons=len(pairs))
    questions = [replace(settle(for_two(plan, *pair)), plan=among_all(plan, *pair), contrast=contrast) for pair in pairs]
    asked = replace(questions[0], plan=plan)
    recorded = recorded_of(asked, record)
    units = unit_summaries(asked, recorded, Way())
    # Before the reading day nothing of what the values say is told.
    ranking = () if is_early(asked, recorded) else ranking_of(plan, units, alpha=asked.alpha, scale=asked.scale, span=asked.span)
    found = []
    for pair, question in zip(pairs, questions, strict=True):
        finding = finding_of(question, record, recorded)
        own = tuple(unit for unit in finding.units if unit.arm in pair)
        found.append(settled(replace(finding, units=own, comparisons=len(pairs), ranking=ranking)))
    return tuple(found)
