"""Which days count, when a gap spoils them, and the time-weighted mean over them."""

import math
from collections.abc import Sequence
from itertools import pairwise

from fairtank.errors import DesignError
from fairtank.trial import MeasureChoice, Plan

Window = tuple[int, int]

LONGEST_GAP_D = 7
FEWEST_DAYS_FOR_A_MEAN = 5
FEWEST_DAYS_FOR_A_RUN_IN = 10


def check_window(choice: MeasureChoice, plan: Plan, window: Window) -> None:
    """Refuse a window that is empty or reaches outside the trial."""
    first, last = window
    if not 0 <= first <= last <= plan.days:
        raise DesignError(f"The window of {choice.key} is day {first} to day {last}; accepted: a first day not after the last, both from "
                          f"day 0 to day {plan.days}. Correct the window in the plan.")


def split_window(plan: Plan, choice: MeasureChoice) -> tuple[Window | None, Window]:
    """The run-in's days and the treated days of a trial with a run-in.

    The run-in is day 0 to the day before the change starts. A window in the plan narrows what counts: its part before the
    change narrows the run-in, its part from the change on is the treated window. The step over the start of the change belongs to neither.

    Parameters
    ----------
    plan : Plan
        A plan with a run-in.
    choice : MeasureChoice
        Its window may be None (all days).

    Returns
    -------
    tuple of (Window or None, Window)
        The run-in window (None when the plan has no run-in days) and the treated window, both inclusive. [days]

    Raises
    ------
    DesignError
        If the window reaches outside the trial or holds no treated day.

    References
    ----------
    matthews1990 (keys from sources.py).

    Examples
    --------
    >>> from datetime import date
    >>> plan = Plan("t", date(2026, 3, 1), 56, "run_in", (), (), (), run_in_days=14)
    >>> split_window(plan, MeasureChoice("plant_cover"))
    ((0, 13), (14, 56))
    """
    first, last = choice.window or (0, plan.days)
    check_window(choice, plan, (first, last))
    start = plan.run_in_days
    if last < start:
        raise DesignError(f"The window of {choice.key} ends on day {last}, before the change starts on day {start}. "
                          "Let the window reach beyond the run-in.")
    run_in = (first if first < start else 0, start - 1) if start > 0 else None
    return run_in, (max(first, start), last)


def split_periods(plan: Plan, choice: MeasureChoice) -> tuple[Window, Window]:
    """The two periods of a swap: before the swap, and from the end of the wash-out on; the wash-out belongs to neither.

    Parameters
    ----------
    plan : Plan
        A swap, with its swap_day and washout_days.
    choice : MeasureChoice
        Its window narrows the first period's start and the second period's end; None means all days.

    Returns
    -------
    tuple of (Window, Window)
        Both inclusive. [days]

    Raises
    ------
    DesignError
        If the window reaches outside the trial or leaves a period without a day.

    References
    ----------
    senn2002 (keys from sources.py).

    Examples
    --------
    >>> from datetime import date
    >>> plan = Plan("t", date(2026, 3, 1), 42, "swap", (), (), (), swap_day=21, washout_days=3)
    >>> split_periods(plan, MeasureChoice("plant_cover"))
    ((0, 20), (24, 42))
    """
    first, last = choice.window or (0, plan.days)
    check_window(choice, plan, (first, last))
    before, after = plan.swap_day - 1, plan.swap_day + plan.washout_days
    if plan.swap_day < 1 or first > before or after > last:
        raise DesignError(f"The window of {choice.key} is day {first} to day {last}, with the swap on day {plan.swap_day} and "
                          f"{plan.washout_days} days of wash-out; each of the two periods needs at least one day inside the window.")
    return (first, before), (after, last)


def round_window(plan: Plan, choice: MeasureChoice) -> Window:
    """The days of a round that count: the plan's window, else all days of the round after its wash-out.

    Raises
    ------
    DesignError
        If the window reaches outside the round, or the rounds do not fit into the trial's days.

    Examples
    --------
    >>> from datetime import date
    >>> plan = Plan("t", date(2026, 3, 1), 83, "rounds", (), (), (), round_days=21, washout_days=3)
    >>> round_window(plan, MeasureChoice("plant_cover"))
    (3, 20)
    """
    count = len({unit.round for unit in plan.units})
    if plan.round_days and plan.round_days * count > plan.days + 1:
        raise DesignError(f"{count} rounds of {plan.round_days} days need {plan.round_days * count} days, and the trial has {plan.days + 1}"
                          ". Correct round_days or days in the plan.")
    end = plan.round_days - 1 if plan.round_days else plan.days
    first, last = choice.window or (plan.washout_days, end)
    if not 0 <= first <= last <= end:
        raise DesignError(f"The window of {choice.key} is day {first} to day {last} of each round; accepted: a first day not after the "
                          f"last, both from day 0 to day {end}. Correct the window in the plan.")
    return first, last


def days_later(plan: Plan, unit: str) -> int:
    """How many days later than day 0 the unit's own round begins, where rounds follow one another; else 0.

    Rounds follow in the order in which the plan names them.
    """
    if plan.kind != "rounds" or not plan.round_days:
        return 0
    order = list(dict.fromkeys(one.round for one in plan.units))
    return plan.round_days * next((order.index(one.round) for one in plan.units if one.key == unit), 0)


def longest_gap(days: Sequence[int], window: Window) -> tuple[int, int]:
    """The longest stretch without a value, as the two days at its ends; the window's own edges count as ends.

    days are the days with a value inside the window, in rising order, at least one.

    >>> longest_gap([3, 4, 12], (0, 14))
    (4, 12)
    """
    stops = [window[0], *days, window[1]]
    return max(pairwise(stops), key=lambda ends: ends[1] - ends[0])


def trouble(days: Sequence[int], window: Window, *, fewest: int, keep_gaps: bool = False) -> str | None:
    """Why these days cannot stand for the window, as the end of a sentence about the unit; None when they can.

    Parameters
    ----------
    days : sequence of int
        Days with a value inside the window, in rising order.
    window : (int, int)
        First and last day that count, inclusive. [days]
    fewest : int
        How many days with a value are needed; a window with fewer days than that needs all of its days.
    keep_gaps : bool
        Leave out the gap rule (for the alternative fixed beforehand).

    Returns
    -------
    str or None

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> trouble([0, 2, 4, 6, 14], (0, 14), fewest=5)
    'has no value between day 6 and day 14, a gap of 8 days; more than 7 spoil it'
    """
    first, last = window
    span = f"from day {first} to day {last}" if first < last else f"on day {first}"
    if not days:
        return f"has no value {span}"
    start, end = longest_gap(days, window)
    if not keep_gaps and end - start > LONGEST_GAP_D:
        return f"has no value between day {start} and day {end}, a gap of {end - start} days; more than {LONGEST_GAP_D} spoil it"
    needed = min(fewest, last - first + 1)
    if len(days) < needed:
        counted = "1 day" if len(days) == 1 else f"{len(days)} days"
        return f"has values on {counted} {span}; at least {needed} are needed"
    return None


def time_weighted_mean(points: Sequence[tuple[int, float]], window: Window) -> float:
    """The mean over time of the straight-line path through the points.

    The first and the last value are held to the window's edges; the area under the path is divided by the window's length. Uneven
    spacing of photo days therefore does not tilt the mean.

    Parameters
    ----------
    points : sequence of (day, value)
        In rising order of day, at least one, all inside the window. [days, any scale]
    window : (int, int)
        First and last day that count, inclusive. [days]

    Returns
    -------
    float
        On the scale of the values.

    References
    ----------
    matthews1990 (keys from sources.py).

    Examples
    --------
    >>> time_weighted_mean([(1, 2.0), (3, 4.0)], (0, 4))
    3.0
    """
    first, last = window
    if first == last:
        return points[0][1]
    path = [(first, points[0][1]), *points, (last, points[-1][1])]
    # fsum: rounded once, so that the same days give the same digit on every version of Python.
    area = math.fsum((day - before) * (value + earlier) / 2.0 for (before, earlier), (day, value) in pairwise(path))
    return area / (last - first)
