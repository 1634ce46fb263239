"""Which arm a unit stood under on a day."""

from fairtank.trial import Plan


def arm_on(plan: Plan, unit: str, day: int) -> str | None:
    """The arm under which a unit stood on a day that counts; None on other days.

    In a swap it changes with the period and the wash-out counts for none; a run-in, and the days before a drawn start, have no arm yet.
    """
    own = next(one for one in plan.units if one.key == unit)
    if not 0 <= day <= plan.days:
        return None
    if plan.kind == "run_in" and day < plan.run_in_days:
        return None
    if plan.kind == "drawn_start" and day < (plan.drawn_day or 0):
        return None
    if plan.kind == "swap":
        first = own.first_arm or own.arm
        if day < plan.swap_day:
            return first
        return None if day < plan.swap_day + plan.washout_days else next((arm.key for arm in plan.arms if arm.key != first), first)
    return own.arm


def arm_held(plan: Plan, unit: str, day: int) -> str:
    """The arm that a unit is given on a day, whether the day counts or not: in a swap the other one from the day of the swap on."""
    own = next(one for one in plan.units if one.key == unit)
    if plan.kind != "swap":
        return own.arm
    first = own.first_arm or own.arm
    return first if day < plan.swap_day else next((arm.key for arm in plan.arms if arm.key != first), first)
