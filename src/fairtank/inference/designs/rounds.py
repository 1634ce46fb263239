"""Stage 2 of rounds: the same two tanks compared again and again, the change going to and fro between them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.errors import DesignError
from fairtank.inference.contrast import Contrast, Terms, Units, in_units, level_of
from fairtank.inference.designs.matching import Match, matched
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import SMALLEST_RELATIVE_VARIANCE, SMALLEST_VARIANCE, Interval, mean
from fairtank.inference.rounding import settled
from fairtank.trial import Plan, Unit

FEWEST_ROUNDS = 4


@dataclass(frozen=True)
class Fit:
    """What the rounds' differences give: the change's effect, and how far the first tank lies above the second, lastingly."""

    interval: Interval
    tank_difference: float


def fit_rounds(differences: Sequence[float], signs: Sequence[int], *, alpha: float, scale: str = "identity") -> Fit:
    """The change's effect and the lasting difference of the two tanks, by least squares: D = effect + c (lasting difference).

    c is +1 in rounds in which the first tank carried the change and -1 in the others, so that whatever sets the tanks apart for good does
    not count as an effect.

    Parameters
    ----------
    differences : sequence of float, shape (n,), n >= 3
        One per round, changed minus reference. [summary scale]
    signs : sequence of int, shape (n,)
        c of each round, +1 or -1; both must occur.
    alpha : float
        1 minus the level of the interval, above 0 and below 1.
    scale : str
        `logit`, `log` or `identity`; says when the differences count as constant.

    Returns
    -------
    Fit
        Its interval has n - 2 degrees of freedom, and no limits when the differences do not scatter at all.

    References
    ----------
    arithmetic, student1908 (keys from sources.py).

    Examples
    --------
    >>> fit = fit_rounds([2.0, 0.0, 3.0, 1.0], [1, -1, 1, -1], alpha=0.05)
    >>> fit.interval.estimate, fit.tank_difference, fit.interval.df, round(fit.interval.low, 3)
    (1.5, 1.0, 2.0, -0.021)
    """
    ways = [[value for value, own in zip(differences, signs, strict=True) if own == sign] for sign in (1, -1)]
    first, second = (mean(values) for values in ways)
    effect, tank_difference = (first + second) / 2.0, (first - second) / 2.0
    df = len(differences) - 2
    rest = math.fsum((value - centre) ** 2 for values, centre in zip(ways, (first, second), strict=True) for value in values) / df
    largest = max(value * value for value in differences)
    is_constant = rest <= SMALLEST_RELATIVE_VARIANCE * largest if scale == "identity" else rest < SMALLEST_VARIANCE
    if is_constant:
        return Fit(settled(Interval(effect, arms_constant=True)), tank_difference)
    error = math.sqrt(rest * (1 / len(ways[0]) + 1 / len(ways[1])) / 4.0)
    half = quantile(alpha / 2, df) * error
    interval = Interval(effect, effect - half, effect + half, float(df), 2 * upper_tail(abs(effect) / error, df))
    return Fit(settled(interval), tank_difference)


def place_of(unit: Unit) -> str:
    """Where a unit of one round stands: its tank, and the compartment of it where it has one; empty when neither is named."""
    return ", ".join(word for word in (unit.tank, unit.compartment) if word)


def check_rounds(plan: Plan) -> None:
    """Refuse rounds that do not set the same two tanks against each other, or in which the change never moved."""
    members: dict[str, list[Unit]] = {}
    for unit in plan.units:
        if not unit.round:
            raise DesignError(f"Unit {unit.key} has no round. Say which round it belongs to: give it `round`.")
        if not place_of(unit):
            raise DesignError(f"Unit {unit.key} names no tank. In rounds the same two tanks come back: give every unit its `tank`, so that "
                              "a lasting difference between them is not taken for an effect.")
        members.setdefault(unit.round, []).append(unit)
    places = list(dict.fromkeys(place_of(unit) for unit in plan.units))
    if len(places) != 2:
        raise DesignError(f"The rounds use {len(places)} tanks ({', '.join(places)}); this version judges rounds of the same two tanks. "
                          "Use pairs where each comparison has tanks of its own.")
    for key, units in members.items():
        roles = sorted(plan.arm(unit.arm).role for unit in units)
        if roles != ["changed", "reference"] or place_of(units[0]) == place_of(units[1]):
            raise DesignError(f"Round {key} holds {roles.count('reference')} reference and {roles.count('changed')} changed units; a round "
                              "is one of each, in the two tanks. Correct the units in the plan.")
    if len(members) > 1 and len({place_of(unit) for unit in plan.units if plan.arm(unit.arm).role == "changed"}) == 1:
        raise DesignError("The same tank carries the change in every round, so that a lasting difference between the tanks cannot be told "
                          "from an effect. Let the change go to and fro between the tanks.")


def _whole_rounds(plan: Plan, units: Units) -> tuple[list[Match], tuple[tuple[str, str], ...]]:
    """The rounds with both units usable (name, reference, changed), and the units left alone in their round, each with its sentence."""
    names = {unit.key: unit.round for unit in plan.units}
    whole, left = matched(plan, units, names)
    return whole, tuple((unit, f"{unit} is left alone in round {names[unit]}: the other tank has no number.") for unit in left)


def _leaning(signs: list[int], first: str, second: str) -> tuple[str, ...]:
    """A caution where one tank carried the change clearly more often than the other."""
    ups = signs.count(1)
    if abs(2 * ups - len(signs)) > 1:
        return (f"{first} carried the change in {ups} of the rounds and {second} in {len(signs) - ups}: the result leans on the rarer way "
                "round. Let the change alternate.",)
    return ()


def _lone(found: Contrast, differences: list[float], signs: list[int], places: tuple[str, str]) -> Contrast:
    """Too few rounds for an interval: the effect as it was seen, the tanks' lasting difference taken out where the change moved."""
    ways = [[value for value, own in zip(differences, signs, strict=True) if own == sign] for sign in (1, -1)]
    if all(ways):
        estimate, factor = (mean(ways[0]) + mean(ways[1])) / 2.0, (1 / len(ways[0]) + 1 / len(ways[1])) / 4.0
        cautions: tuple[str, ...] = ()
    else:
        estimate, factor = mean(differences), 1 / len(differences)
        always = places[0] if ways[0] else places[1]
        cautions = (f"In every round that could be used {always} carried the change: a lasting difference between the tanks is still in "
                    "the number.",)
    return replace(found, interval=Interval(estimate), is_alone=True, spread=abs(estimate) / (1.96 * math.sqrt(factor)), cautions=cautions)


def in_rounds(plan: Plan, units: Units, terms: Terms) -> Contrast:
    """The effect of the change over rounds of the same two tanks, their lasting difference taken out, on rounds - 2 degrees of freedom.

    A round of which one unit has no number is left out. Fewer than 4 rounds, or rounds in which one tank always carried the change, are
    alone. There is no shuffle test: the change alternates and is not drawn.

    Parameters
    ----------
    plan : Plan
        Its units name their round and their tank.
    units : tuple of UnitSummary
        The usable units.
    terms : Terms
        Level and scale.

    Returns
    -------
    Contrast
        The fact `tank_difference` is how far the first tank of the plan lies above the second.

    References
    ----------
    arithmetic, student1908 (keys from sources.py).
    """
    whole, set_aside = _whole_rounds(plan, units)
    reference, changed = tuple(first for _, first, _ in whole), tuple(second for _, _, second in whole)
    if not whole:
        return Contrast((), (), set_aside=set_aside)
    places = {unit.key: place_of(unit) for unit in plan.units}
    first, second = dict.fromkeys(places.values())
    differences = [after.z - before.z for _, before, after in whole if before.z is not None and after.z is not None]
    signs = [1 if places[after.unit] == first else -1 for _, _, after in whole]
    found = Contrast(reference, changed, level=level_of(reference), set_aside=set_aside,
                     leaves=tuple((f"round {key}", before.unit) for key, before, _ in whole))
    ups = signs.count(1)
    if len(whole) < FEWEST_ROUNDS or ups in (0, len(signs)):
        return _lone(found, differences, signs, (first, second))
    fit = fit_rounds([value * terms.span for value in differences], signs, alpha=terms.alpha, scale=terms.scale)
    return replace(found, interval=in_units(fit.interval, terms.span), facts=(("tank_difference", fit.tank_difference / terms.span),),
                   cautions=_leaning(signs, first, second))
