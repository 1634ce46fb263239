"""Whether every unit has an arm of the plan, and every arm a unit."""

from fairtank.errors import DesignError
from fairtank.trial import Plan


def check_units_have_arms(plan: Plan) -> None:
    """Refuse a plan with a unit that has no arm yet, or one that is not in the plan.

    Raises
    ------
    DesignError
        With the arms that there are.
    """
    keys = [arm.key for arm in plan.arms]
    for unit in plan.units:
        if unit.arm not in keys:
            given = f"the arm {unit.arm}, which is not in the plan" if unit.arm else "no arm yet"
            raise DesignError(f"Unit {unit.key} has {given}. Draw the lot, or give it one of {', '.join(keys)}.")


def check_allotment(plan: Plan) -> None:
    """Refuse that, and a plan with an arm that no unit was allotted to.

    Raises
    ------
    DesignError
        With the unit or the arm.
    """
    check_units_have_arms(plan)
    for arm in plan.arms:
        if not any(unit.arm == arm.key for unit in plan.units):
            raise DesignError(f"No unit is allotted to the arm {arm.key}. Draw the lot, or allot at least one unit to it.")
