"""The doses of a ladder: each arm has one of its own."""

import math
from collections.abc import Sequence

from fairtank.errors import DesignError
from fairtank.inference.designs.allotment import check_units_have_arms
from fairtank.trial import Plan

FEWEST_DOSES = 3


def top_dose(plan: Plan, doses: Sequence[float]) -> float:
    """The dose to which the step is told: the highest; the lowest where the reference has the highest itself."""
    own = plan.arm_with("reference").dose
    return max(doses) if max(doses) != own else min(doses)


def told_dose(plan: Plan, usable: Sequence[float]) -> tuple[float, bool]:
    """The dose to which the step can be told, and whether it is the plan's own top: of a top without a usable unit nothing is known."""
    planned = top_dose(plan, [dose_of(plan, arm.key) for arm in plan.arms])
    return (planned, True) if planned in usable else (top_dose(plan, usable), False)


def dose_of(plan: Plan, arm: str) -> float:
    """The dose of an arm; refuses one that has none."""
    dose = plan.arm(arm).dose
    if dose is None or not math.isfinite(dose) or dose < 0:
        said = "no dose" if dose is None else f"the dose {dose}"
        raise DesignError(f"The arm {arm} has {said}; in a ladder each arm needs its dose, a number of 0 or more.")
    return float(dose)


def check_ladder(plan: Plan) -> None:
    """Refuse a ladder whose arms have no doses of their own, or fewer than three different ones.

    Raises
    ------
    DesignError
        With what a ladder needs.
    """
    if [arm.role for arm in plan.arms].count("reference") != 1:
        raise DesignError("A ladder needs exactly one arm with the role reference: the dose from which the step is told.")
    doses: dict[float, str] = {}
    for arm in plan.arms:
        dose = dose_of(plan, arm.key)
        if dose in doses:
            raise DesignError(f"The arms {doses[dose]} and {arm.key} both have the dose {dose:g}; in a ladder each arm has a dose of its "
                              "own. Put their units into one arm.")
        doses[dose] = arm.key
    if len(doses) < FEWEST_DOSES:
        raise DesignError(f"The ladder has {len(doses)} different doses; a trend needs at least {FEWEST_DOSES}. With two doses plan the "
                          "trial side by side.")
    check_units_have_arms(plan)
