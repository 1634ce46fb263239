"""Stage 2 of two changes at once: four ways of treating tanks, and what each change does averaged over the other."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairtank.errors import NotEnoughDataError
from fairtank.finding import UnitSummary
from fairtank.inference.contrast import Contrast, Terms, Units, z_of
from fairtank.inference.designs.four_ways import CELLS, Cell, cell_of, names_of
from fairtank.inference.intervals.multiple import many_to_one_critical, many_to_one_tail
from fairtank.inference.intervals.student import quantile, upper_tail
from fairtank.inference.intervals.welch import Interval, is_constant, mean, variance
from fairtank.inference.rounding import settled
from fairtank.inference.series.tanks import sharing_of
from fairtank.trial import Plan

QUESTIONS = 2  # one for each change; both share one promise
FEWEST_PER_WAY = 2
FEWEST_BLOCKS = 3
FEWEST_FOR_LEAVING_OUT = 5  # in each way, or blocks: with fewer, leaving one out changes nearly every true finding
# Where the four ways have uneven numbers of tanks and the fewest scatter most, the approximation errs in up to 8 of 100. With at most as
# many degrees of freedom as four ways of the smallest number have, and this much more width, it erred in at most 4 of 100 in every layout
# that was simulated (2 to 6 tanks in each way, one, two or three of them scattering twice as much).
UNEVEN_WIDENING = 1.1

@dataclass(frozen=True)
class Effect:
    """One contrast of a factorial trial: estimate (the mean with, minus the mean without), its standard error, t and two-sided p."""

    name: str
    estimate: float
    error: float
    df: float
    t: float
    p_value: float


def factorial_contrasts(
    values: Sequence[float], signs: dict[str, Sequence[int]], blocks: Sequence[str] = (),
) -> tuple[Effect, ...]:
    """The main effects and the two-way interactions of a factorial trial by least squares, with one scatter for all (as in books).

    The judging does not use it: see `main_effect`. With the contrasts orthogonal to each other and to the blocks, t squared is the F of
    the analysis of variance.

    Parameters
    ----------
    values : sequence of float, shape (n,)
        One per unit.
    signs : dict of str to sequence of int, shape (n,)
        For each change +1 where the unit has it and -1 where it has not.
    blocks : sequence of str, shape (n,), optional
        The block in which each unit stands; block differences are taken out.

    Returns
    -------
    tuple of Effect
        The changes in their order, then `a:b` for each pair. An interaction is half the difference between what one change does with the
        other and without it.

    Raises
    ------
    NotEnoughDataError
        If the contrasts cannot be told apart, or no degree of freedom is left.

    References
    ----------
    yates1937, arithmetic (keys from sources.py).

    Examples
    --------
    >>> found = factorial_contrasts([1, 3, 2, 4, 2, 4, 3, 7], {"a": [-1, 1] * 4, "b": [-1, -1, 1, 1] * 2})
    >>> [(one.name, one.estimate) for one in found]
    [('a', 2.5), ('b', 1.5), ('a:b', 0.5)]
    """
    names = list(signs)
    columns = {name: np.array(signs[name], float) for name in names}
    columns.update({f"{first}:{second}": columns[first] * columns[second]
                    for place, first in enumerate(names) for second in names[place + 1:]})
    groups = sorted(set(blocks)) or [""]
    own = list(blocks) or [""] * len(values)
    design = np.column_stack([*(np.array([one == group for one in own], float) for group in groups), *columns.values()])
    df = len(values) - design.shape[1]
    if df < 1 or np.linalg.matrix_rank(design) < design.shape[1]:
        raise NotEnoughDataError(f"{len(values)} units are too few, or too unevenly placed, for {len(columns)} contrasts.")
    inverse = np.linalg.inv(design.T @ design)
    fitted = inverse @ design.T @ np.array(values, float)
    rest = np.array(values, float) - design @ fitted
    scatter = float(rest @ rest) / df
    found = []
    for place, name in enumerate(columns, len(groups)):
        estimate, error = 2.0 * float(fitted[place]), 2.0 * math.sqrt(scatter * float(inverse[place, place]))
        t = estimate / error if error else math.copysign(math.inf, estimate)
        found.append(settled(Effect(name, estimate, error, float(df), t, 2 * upper_tail(abs(t), df))))
    return tuple(found)


@dataclass(frozen=True)
class Ways:
    """The four ways' numbers, in the order of CELLS, and whether one of them shows no scatter: then no interval can be given."""

    values: tuple[tuple[float, ...], ...]
    is_constant: bool

    def contrast(self, weights: Sequence[float]) -> float:
        """A weighted sum of the four means."""
        return math.fsum(weight * mean(own) for weight, own in zip(weights, self.values, strict=True))

    def error(self, weights: Sequence[float]) -> tuple[float, float]:
        """Its standard error, each way with its own scatter, and the degrees of freedom."""
        parts = [weight**2 * variance(own) / len(own) for weight, own in zip(weights, self.values, strict=True)]
        whole = math.fsum(parts)
        df = 1.0 / math.fsum((part / whole) ** 2 / (len(own) - 1) for part, own in zip(parts, self.values, strict=True))
        smallest = min(len(own) for own in self.values)
        return math.sqrt(whole), min(df, 4.0 * (smallest - 1)) if self.is_uneven else df

    @property
    def is_uneven(self) -> bool:
        """Whether the ways differ in their number of units."""
        return len({len(own) for own in self.values}) > 1


def ways_of(cells: dict[Cell, Sequence[float]], scale: str) -> Ways:
    """The four ways; two units in each at least."""
    values = tuple(tuple(cells[cell]) for cell in CELLS)
    if min(len(own) for own in values) < FEWEST_PER_WAY:
        counts = ", ".join(str(len(own)) for own in values)
        raise NotEnoughDataError(f"The four ways have {counts} usable units; an interval needs at least {FEWEST_PER_WAY} in each.")
    return Ways(values, any(is_constant(own, scale) for own in values))


def weights_of(place: int) -> tuple[float, ...]:
    """The weights of a main effect on the four means: with the change minus without it, averaged over the other.

    >>> weights_of(0)
    (-0.5, 0.5, -0.5, 0.5)
    """
    return tuple(0.5 if cell[place] else -0.5 for cell in CELLS)


INTERACTION = (1.0, -1.0, -1.0, 1.0)


def effect_interval(ways: Ways, place: int, *, alpha: float) -> Interval:
    """What one change does, averaged over the other, as one of two questions under one promise.

    Parameters
    ----------
    ways : Ways
        The four ways' numbers. [summary scale]
    place : int
        0 for the first change, 1 for the second.
    alpha : float
        1 minus the level of both intervals together, above 0 and below 1.

    Returns
    -------
    Interval
        Its p_value is adjusted for the two questions: at or below alpha exactly when the interval leaves out 0.

    References
    ----------
    yates1937, satterthwaite1946, sidak1967 (keys from sources.py).

    Examples
    --------
    >>> cells = {(False, False): [1, 2], (True, False): [3, 4], (False, True): [1, 2], (True, True): [3, 4]}
    >>> effect_interval(ways_of(cells, "identity"), 0, alpha=0.05).estimate
    2.0
    """
    weights = weights_of(place)
    estimate = ways.contrast(weights)
    if ways.is_constant:
        return settled(Interval(estimate, arms_constant=True))
    error, df = ways.error(weights)
    error *= UNEVEN_WIDENING if ways.is_uneven else 1.0
    alike = (0.0,) * QUESTIONS
    half = many_to_one_critical(alpha, df, alike) * error
    return settled(Interval(estimate, estimate - half, estimate + half, df, many_to_one_tail(abs(estimate) / error, df, alike)))


def interaction_of(ways: Ways, *, alpha: float) -> Interval:
    """How much more the one change does with the other than without it; taken alone, since it was not what was asked.

    Parameters
    ----------
    ways : Ways
        The four ways' numbers. [summary scale]
    alpha : float
        1 minus the level of the interval.

    Returns
    -------
    Interval

    References
    ----------
    yates1937, satterthwaite1946 (keys from sources.py).
    """
    estimate = ways.contrast(INTERACTION)
    if ways.is_constant:
        return settled(Interval(estimate, arms_constant=True))
    error, df = ways.error(INTERACTION)
    error *= UNEVEN_WIDENING if ways.is_uneven else 1.0
    half = quantile(alpha / 2, df) * error
    return settled(Interval(estimate, estimate - half, estimate + half, df, 2 * upper_tail(abs(estimate) / error, df)))


def has_whole_blocks(plan: Plan) -> bool:
    """Whether the plan stands in three blocks or more, each of them with every way once: then what sets blocks apart is taken out.

    Compartments that are averaged first belong to their tank and to no block of their own.
    """
    if sharing_of(plan).averaged:
        return False
    blocks: dict[str, list[str]] = {}
    for unit in plan.units:
        blocks.setdefault(unit.block, []).append(unit.arm)
    every = sorted(arm.key for arm in plan.arms)
    return "" not in blocks and len(blocks) >= FEWEST_BLOCKS and all(sorted(arms) == every for arms in blocks.values())


def main_effect(plan: Plan, units: Units, terms: Terms, *, place: int) -> Contrast:
    """One of the two changes: the mean with it minus the mean without it, the four ways weighing alike.

    Parameters
    ----------
    plan : Plan
        Four arms; `changes` says what each received.
    units : tuple of UnitSummary
        The usable units.
    terms : Terms
        Level and scale.
    place : int
        0 for the first change, 1 for the second.

    Returns
    -------
    Contrast
        reference and changed are the units without and with the change. Facts: interaction, interaction_low, interaction_high (how much
        more the change does with the other than without it), the four means, and for the working mean, spread and standard error. Where a
        way has no usable unit nothing is compared; with one unit in a way the comparison is alone.

    References
    ----------
    yates1937, satterthwaite1946, sidak1967 (keys from sources.py).
    """
    names = names_of(plan)
    cells = {cell: tuple(unit for unit in units if cell_of(names, plan.arm(unit.arm).changes) == cell) for cell in CELLS}
    if not all(cells.values()):
        return Contrast((), ())
    without, having = (tuple(unit for cell, own in cells.items() for unit in own if cell[place] is there) for there in (False, True))
    levels = [[unit.treated_mean for unit in cells[cell] if unit.treated_mean is not None] for cell in CELLS if not cell[place]]
    level = mean([mean(own) for own in levels]) if all(levels) else None
    leaves = tuple((unit.unit, unit.unit) for unit in units) if min(len(own) for own in cells.values()) >= FEWEST_FOR_LEAVING_OUT else ()
    found = Contrast(without, having, level=level, leaves=leaves)
    if has_whole_blocks(plan):
        return _in_blocks(found, plan, units, terms, place)
    if min(len(own) for own in cells.values()) < FEWEST_PER_WAY:
        estimate = math.fsum(weight * mean(z_of(cells[cell])) for weight, cell in zip(weights_of(place), CELLS, strict=True))
        factor = math.fsum(1 / len(own) for own in cells.values()) / 4.0
        return _with(found, Interval(estimate), is_alone=True, spread=abs(estimate) / (1.96 * math.sqrt(factor)))
    ways = ways_of({cell: [z * terms.span for z in z_of(own)] for cell, own in cells.items()}, terms.scale)
    interval = _over(effect_interval(ways, place, alpha=terms.alpha), terms.span)
    interaction = _over(interaction_of(ways, alpha=terms.alpha), terms.span)
    error = 0.0 if ways.is_constant else ways.error(weights_of(place))[0] / terms.span
    spread = math.sqrt(mean([variance(own) for own in ways.values])) / terms.span
    means = [mean(z_of(cells[cell])) for cell in CELLS]
    return _with(found, interval, facts=_facts(interval, interaction, means, spread, error, place))


def _over(interval: Interval, span: float) -> Interval:
    low, high = (None if limit is None else limit / span for limit in (interval.low, interval.high))
    return Interval(interval.estimate / span, low, high, interval.df, interval.p_value, interval.arms_constant)


def _with(found: Contrast, interval: Interval, *, is_alone: bool = False, spread: float | None = None,
          facts: tuple[tuple[str, float], ...] = (), cautions: tuple[str, ...] = (),
          set_aside: tuple[tuple[str, str], ...] = ()) -> Contrast:
    return Contrast(found.reference, found.changed, interval, is_alone, found.level, spread=spread, leaves=found.leaves, facts=facts,
                    cautions=cautions, set_aside=set_aside)


def _facts(interval: Interval, interaction: Interval, means: Sequence[float], spread: float, error: float, place: int,
           ) -> tuple[tuple[str, float], ...]:
    """The interaction, the four means and the working, by name."""
    weights = weights_of(place)
    facts = [("interaction", interaction.estimate), ("mean_neither", means[0]), ("mean_first", means[1]), ("mean_second", means[2]),
             ("mean_both", means[3]),
             ("mean_reference", mean([own for own, weight in zip(means, weights, strict=True) if weight < 0])),
             ("mean_changed", mean([own for own, weight in zip(means, weights, strict=True) if weight > 0])),
             ("spread_reference", spread), ("spread_changed", spread)]
    if interaction.low is not None and interaction.high is not None and interaction.p_value is not None:
        facts += [("interaction_low", interaction.low), ("interaction_high", interaction.high), ("interaction_p", interaction.p_value)]
    if interval.low is not None and interval.high is not None and error > 0:
        facts += [("standard_error", error), ("multiplier", (interval.high - interval.low) / 2.0 / error)]
    return tuple(facts)


def _in_blocks(found: Contrast, plan: Plan, units: Units, terms: Terms, place: int) -> Contrast:
    """Whole blocks: each gives one number, what sets blocks apart drops out, and the blocks are the sample."""
    names, homes = names_of(plan), {unit.key: unit.block for unit in plan.units}
    blocks: dict[str, dict[Cell, UnitSummary]] = {}
    for unit in units:
        blocks.setdefault(homes[unit.unit], {})[cell_of(names, plan.arm(unit.arm).changes)] = unit
    whole = [own for own in blocks.values() if len(own) == len(CELLS)]
    aside = tuple((unit.unit, f"{unit.unit} is left out: its block has no number for every way.")
                  for own in blocks.values() if len(own) < len(CELLS) for unit in own.values())
    if not whole:
        return Contrast((), (), set_aside=aside)
    without, having = (tuple(unit for own in whole for cell, unit in own.items() if cell[place] is there) for there in (False, True))
    leaves = tuple((f"block {name}", next(iter(own.values())).unit) for name, own in blocks.items() if len(own) == len(CELLS))
    kept = Contrast(without, having, level=found.level, leaves=leaves if len(whole) >= FEWEST_FOR_LEAVING_OUT else ())
    fours = [z_of(tuple(own[cell] for cell in CELLS)) for own in whole]
    numbers = [[math.fsum(weight * z for weight, z in zip(weights, four, strict=True)) * terms.span for four in fours]
               for weights in (weights_of(place), INTERACTION)]
    cautions = ("Each block of four tanks gives one number; what sets the blocks apart drops out.",)
    if len(whole) < FEWEST_BLOCKS:
        estimate = mean(numbers[0]) / terms.span
        return _with(kept, Interval(estimate), is_alone=True, spread=abs(estimate) / (1.96 * math.sqrt(1.0 / len(whole))),
                     cautions=cautions, set_aside=aside)
    interval = _over(_of_blocks(numbers[0], terms, QUESTIONS), terms.span)
    interaction = _over(_of_blocks(numbers[1], terms, 1), terms.span)
    means = [mean([four[number] for four in fours]) for number in range(len(CELLS))]
    spread = math.sqrt(variance(numbers[0])) / terms.span
    facts = _facts(interval, interaction, means, spread, spread / math.sqrt(len(whole)), place)
    return _with(kept, interval, facts=(*facts, ("blocks", float(len(whole)))), cautions=cautions, set_aside=aside)


def _of_blocks(numbers: Sequence[float], terms: Terms, questions: int) -> Interval:
    """The mean over the blocks with its t-interval, held together with the other question."""
    centre = mean(numbers)
    if is_constant(numbers, terms.scale):
        return settled(Interval(centre, arms_constant=True))
    error, df, alike = math.sqrt(variance(numbers) / len(numbers)), float(len(numbers) - 1), (0.0,) * questions
    half = many_to_one_critical(terms.alpha, df, alike) * error
    return settled(Interval(centre, centre - half, centre + half, df, many_to_one_tail(abs(centre) / error, df, alike)))
