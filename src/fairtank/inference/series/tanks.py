"""Compartments that share water: the tank is the unit, its compartments are averaged first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import DesignError
from fairtank.finding import UnitSummary
from fairtank.inference.rounding import settled
from fairtank.trial import Plan, Unit


def _holder(plan: Plan, unit: Unit) -> str:
    """What holds the unit's water: its tank; in rounds the tank of that round, because the same tank comes back."""
    return f"{unit.in_tank}, round {unit.round}" if plan.kind == "rounds" else unit.in_tank


def unit_word(plan: Plan) -> str:
    """What a unit is called in sentences: `compartment` where parts of tanks are compared as units of their own, else `tank`."""
    has_compartments = any(unit.compartment for unit in plan.units)
    return "compartment" if has_compartments and not sharing_of(plan).averaged else "tank"


@dataclass(frozen=True)
class Sharing:
    """How a plan's units share water.

    averaged: the compartments of each tank become one number, because they all received the same arm.
    within: every tank holds compartments of both arms, so the compartments are compared inside their own water.
    """

    averaged: bool = False
    within: bool = False


def sharing_of(plan: Plan) -> Sharing:
    """Whether compartments are averaged per tank, compared within tanks, or neither.

    Compartments of one tank with one arm say the same thing several times; counted as units of their own they would make
    a difference between two tanks look like an effect. Where each tank holds both arms the tank cannot be the unit.

    Parameters
    ----------
    plan : Plan
        Its `shared_water` says whether compartments of one tank share water.

    Returns
    -------
    Sharing

    Raises
    ------
    DesignError
        If some tanks hold both arms and others only one.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    arms: dict[str, set[str]] = {}
    for unit in plan.units:
        arms.setdefault(_holder(plan, unit), set()).add(unit.arm)
    if not plan.shared_water or len(arms) == len(plan.units):
        return Sharing()
    mixed = [tank for tank, keys in arms.items() if len(keys) > 1]
    if not mixed:
        return Sharing(averaged=True)
    if len(mixed) == len(arms):
        return Sharing(within=True)
    hold = "holds" if len(mixed) == 1 else "hold"
    raise DesignError(f"The compartments of one tank share water, and {', '.join(mixed)} {hold} both arms while another "
                      "tank holds only one. This version judges either whole tanks or tanks that each hold both arms.")


def has_uncounted_compartments(plan: Plan) -> bool:
    """Whether a tank whose units all have one arm counts several times, because the plan says that they do not share its water."""
    arms: dict[str, list[str]] = {}
    for unit in plan.units:
        arms.setdefault(_holder(plan, unit), []).append(unit.arm)
    return not plan.shared_water and any(len(keys) > 1 and len(set(keys)) == 1 for keys in arms.values())


def _tank_summary(tank: str, compartments: Sequence[UnitSummary]) -> UnitSummary:
    usable = [one for one in compartments if one.z is not None]
    arm = compartments[0].arm
    if not usable:
        reasons = " ".join(one.spoilt for one in compartments if one.spoilt)
        return UnitSummary(tank, arm, None, max(one.days for one in compartments), spoilt=reasons)
    mean_z = math.fsum(one.z for one in usable if one.z is not None) / len(usable)
    treated = math.fsum(one.treated_mean for one in usable if one.treated_mean is not None) / len(usable)
    # The least photographed compartment says how well the tank was seen, the most clipped one how near it came to the limit.
    days, clipped = min(one.days for one in usable), max(one.clipped_days for one in usable)
    return settled(UnitSummary(tank, arm, mean_z, days, None, treated, min(clipped, days)))


def averaged_by_tank(plan: Plan, summaries: Sequence[UnitSummary]) -> tuple[UnitSummary, ...]:
    """One summary per tank: the plain mean over its usable compartments, in the order in which the plan names the tanks.

    A tank is spoilt only when all of its compartments are. days is that of the least photographed usable compartment.

    Parameters
    ----------
    plan : Plan
        Says which unit stands in which tank; all units of a tank have one arm.
    summaries : sequence of UnitSummary
        One per unit.

    Returns
    -------
    tuple of UnitSummary
        `unit` then names the tank.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    tanks = {unit.key: unit.in_tank for unit in plan.units}
    grouped: dict[str, list[UnitSummary]] = {}
    for summary in summaries:
        grouped.setdefault(tanks[summary.unit], []).append(summary)
    return tuple(_tank_summary(tank, group) for tank, group in grouped.items())
