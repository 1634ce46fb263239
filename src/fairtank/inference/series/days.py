"""A unit's values, one per day, and the days that events take out."""

import math
from collections.abc import Sequence

from fairtank.errors import InputError
from fairtank.inference.series.replicates import check_replicates
from fairtank.trial import Event, Plan, Series

LARGEST = 1e12  # no measure of an aquarium comes near
Daily = dict[str, dict[int, float]]  # unit -> day -> median value [natural unit]


def median(values: Sequence[float]) -> float:
    """The middle value; the mean of the two in the middle when their number is even."""
    ordered = sorted(values)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2.0


def series_of(plan: Plan, measure: str, series: Sequence[Series]) -> dict[str, Series]:
    """The series of one measure by unit, after a look at whether they can be used at all.

    Parameters
    ----------
    plan : Plan
        Names the units.
    measure : str
        The measure's key.
    series : sequence of Series
        Of all measures; others than this one are passed over.

    Returns
    -------
    dict of str to Series
        A unit without a series is missing from it.

    Raises
    ------
    InputError
        If a unit is not in the plan, has two series of the measure, days and values differ in number, or a value is not a finite number or
        absurdly large.
    DesignError
        If days of one tank are offered as units: see `check_replicates`.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    units = [unit.key for unit in plan.units]
    found: dict[str, Series] = {}
    for one in series:
        if one.measure != measure:
            continue
        if one.unit not in units:
            raise InputError(f"the unit of a series of {measure}", one.unit, ", ".join(units), "Is it missing from the plan?")
        if one.unit in found:
            raise InputError(f"the number of series of {measure} for {one.unit}", "2 or more", "1",
                             "Values of two origins are not mixed; keep one of them.")
        if len(one.days) != len(one.values):
            raise InputError(f"the series of {measure} for {one.unit}", f"{len(one.days)} days and {len(one.values)} values",
                             "as many values as days")
        for day, value in zip(one.days, one.values, strict=True):
            if not math.isfinite(value):
                raise InputError(f"{measure} of {one.unit} on day {day}", value, "a finite number", "Leave a missing value out.")
            if abs(value) > LARGEST:
                raise InputError(f"{measure} of {one.unit} on day {day}", value, f"a number below {LARGEST:g}",
                                 "Correct it if it was mistyped.")
        found[one.unit] = one
    check_replicates(plan, found)
    return found


def daily_medians(series: dict[str, Series]) -> Daily:
    """Each unit's values reduced to one per day, the median of that day's photos, in rising order of day."""
    daily: Daily = {}
    for unit, one in series.items():
        by_day: dict[int, list[float]] = {}
        for day, value in zip(one.days, one.values, strict=True):
            by_day.setdefault(day, []).append(value)
        daily[unit] = {day: median(by_day[day]) for day in sorted(by_day)}
    return daily


def _concerns(event: Event, unit: str) -> bool:
    return not event.units or unit in event.units


def excluding_event(unit: str, events: Sequence[Event]) -> Event | None:
    """The first event that takes the whole unit out of the analysis, if there is one."""
    return next((event for event in events if event.effect == "exclude_unit" and _concerns(event, unit)), None)


def without_excluded_days(unit: str, daily: dict[int, float], events: Sequence[Event]) -> dict[int, float]:
    """The unit's values without the days that events with the effect `exclude_window` take out."""
    spans = [(event.day_from, event.day_until) for event in events if event.effect == "exclude_window" and _concerns(event, unit)]
    return {day: value for day, value in daily.items() if not any(first <= day <= last for first, last in spans)}
