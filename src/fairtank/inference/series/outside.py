"""Values that were recorded outside the trial's days: kept in the record, not used, and told."""

from fairtank.inference.series.days import Daily
from fairtank.trial import Plan


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def days_outside(plan: Plan, daily: Daily) -> tuple[str, ...]:
    """A sentence on values before day 0 and one on values after the last day, where there are any.

    Parameters
    ----------
    plan : Plan
        Says which day is the last.
    daily : dict
        Values by unit and day.

    Returns
    -------
    tuple of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    days = {day for values in daily.values() for day in values}
    early, late = sum(day < 0 for day in days), sum(day > plan.days for day in days)
    told = []
    if early:
        told.append(f"Values from before day 0 ({_days(early)}) were not used: the trial begins on day 0.")
    if late:
        told.append(f"Values from after the last day ({_days(late)}) were not used: the trial ends on day {plan.days}.")
    return tuple(told)
