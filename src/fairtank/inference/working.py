"""The numbers between the units and the interval, by name: means, scatter, standard error, multiplier. A reader can redo the sum."""

import math

from fairtank.inference.contrast import Contrast, Units, z_of
from fairtank.inference.designs.rounds import place_of
from fairtank.inference.intervals.welch import mean, variance
from fairtank.trial import Plan

Facts = tuple[tuple[str, float], ...]
OWN = "own tanks"
TWO_GROUPS = ("side_by_side", "run_in", "swap")


def working(plan: Plan, contrast: Contrast) -> Facts:
    """What stands between the units' numbers and the interval.

    Parameters
    ----------
    plan : Plan
        Its kind says what was compared.
    contrast : Contrast
        The comparison, with its interval.

    Returns
    -------
    tuple of (str, float)
        mean_reference, mean_changed, spread_reference, spread_changed: mean and standard deviation of each arm's numbers (in a swap: of
        each order's); in pairs and rounds difference_1, difference_2 ... and spread_of_pairs or spread_of_rounds, for rounds also how many
        had the change in the first tank (rounds_first) and in the second (rounds_second). half_width: how far the interval reaches to
        either side; where it comes from the trial's own units also standard_error and multiplier, whose product it is. [summary scale;
        multiplier: a number]

    References
    ----------
    arithmetic, student1908 (keys from sources.py).

    Examples
    --------
    See `tests/inference/test_working.py`.
    """
    interval = contrast.interval
    if interval is None or not contrast.reference or not contrast.changed:
        return ()
    facts: Facts = ()
    if plan.kind in ("pairs", "rounds"):
        facts = _differences(plan, contrast)
    elif plan.kind in TWO_GROUPS:
        facts = (*_arm("reference", contrast.reference), *_arm("changed", contrast.changed))
    if interval.low is None or interval.high is None:
        return facts
    half = (interval.high - interval.low) / 2.0
    error = _standard_error(plan, contrast, dict(facts)) if contrast.basis == OWN and interval.df is not None else None
    if not error:
        return (*facts, ("half_width", half))
    return (*facts, ("standard_error", error), ("multiplier", half / error), ("half_width", half))


def _standard_error(plan: Plan, contrast: Contrast, facts: dict[str, float]) -> float | None:
    """That of the estimate, from the scatter; None where the scatter is not known."""
    if "spread_of_pairs" in facts:
        return facts["spread_of_pairs"] / math.sqrt(len(contrast.changed))
    if "spread_of_rounds" in facts:
        return facts["spread_of_rounds"] * math.sqrt(1.0 / facts["rounds_first"] + 1.0 / facts["rounds_second"]) / 2.0
    if not {"spread_reference", "spread_changed"} <= facts.keys():
        return None
    squares = (facts["spread_reference"] ** 2 / len(contrast.reference), facts["spread_changed"] ** 2 / len(contrast.changed))
    return math.sqrt(math.fsum(squares)) / (2.0 if plan.kind == "swap" else 1.0)


def _arm(role: str, units: Units) -> Facts:
    values = z_of(units)
    spread = ((f"spread_{role}", math.sqrt(variance(values))),) if len(values) > 1 else ()
    return (f"mean_{role}", mean(values)), *spread


def _differences(plan: Plan, contrast: Contrast) -> Facts:
    differences = [after - before for before, after in zip(z_of(contrast.reference), z_of(contrast.changed), strict=True)]
    facts = tuple((f"difference_{place}", difference) for place, difference in enumerate(differences, 1))
    if plan.kind == "pairs":
        return (*facts, ("spread_of_pairs", math.sqrt(variance(differences)))) if len(differences) > 1 else facts
    places = {unit.key: place_of(unit) for unit in plan.units}
    first = next(iter(places.values()))
    ways = [[value for value, unit in zip(differences, contrast.changed, strict=True) if (places[unit.unit] == first) == is_first]
            for is_first in (True, False)]
    facts += (("rounds_first", float(len(ways[0]))), ("rounds_second", float(len(ways[1]))))
    df = len(differences) - 2
    if df < 1 or not all(ways):
        return facts
    rest = math.fsum((value - mean(values)) ** 2 for values in ways for value in values) / df
    return *facts, ("spread_of_rounds", math.sqrt(rest))
