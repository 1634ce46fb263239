"""The summary slope: how fast a unit's value rises, as the least-squares line through its days."""

import math
from collections.abc import Sequence

from fairtank.inference.series.scales import Scale
from fairtank.inference.series.windows import Window, trouble

FEWEST_DAYS_FOR_A_SLOPE = 8
MOST_CLIPPED_IN_A_SLOPE = 0.10  # of a unit's days; beyond, the line ends before the first clipped day


def least_squares_slope(points: Sequence[tuple[int, float]]) -> float:
    """The slope of the ordinary least-squares line of value on day, every day with the same weight.

    Parameters
    ----------
    points : sequence of (day, value)
        At least two different days. [days, any scale]

    Returns
    -------
    float
        Per day.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> least_squares_slope([(0, 1.0), (1, 3.0), (2, 5.0)])
    2.0
    """
    count = len(points)
    middle, centre = math.fsum(day for day, _ in points) / count, math.fsum(value for _, value in points) / count
    return math.fsum((day - middle) * (value - centre) for day, value in points) / math.fsum((day - middle) ** 2 for day, _ in points)


def used_days(values: dict[int, float], window: Window, scale: Scale) -> tuple[dict[int, float], Window]:
    """The days that the line is laid through, and the window they stand for.

    A line through days at the limit of the scale is too flat: where more than 10 % of the days are clipped, only the days before the first
    clipped one are used.
    """
    clipped = [day for day, value in values.items() if scale.is_clipped(value)]
    if len(clipped) <= MOST_CLIPPED_IN_A_SLOPE * len(values):
        return values, window
    kept = {day: value for day, value in values.items() if day < clipped[0]}
    return kept, (window[0], max(kept, default=window[0]))


def slope_or_trouble(values: dict[int, float], window: Window, scale: Scale, *, keep_gaps: bool) -> float | str:
    """The slope per day on the scale, or why these days cannot carry one, as the end of a sentence about the unit.

    Parameters
    ----------
    values : dict of int to float
        Daily medians inside the window, in rising order of day. [natural unit]
    window : (int, int)
        First and last day that count, inclusive. [days]
    scale : Scale
        The scale on which the line is laid.
    keep_gaps : bool
        Leave out the gap rule.

    Returns
    -------
    float or str

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> slope_or_trouble({day: 2.0 * day for day in range(10)}, (0, 9), Scale("identity"), keep_gaps=False)
    2.0
    """
    kept, span = used_days(values, window, scale)
    if values and len(kept) < FEWEST_DAYS_FOR_A_SLOPE:
        counted = "1 day" if len(kept) == 1 else f"{len(kept)} days"
        where = " before the first one at the limit of the scale" if len(kept) < len(values) else ""
        return f"has values on {counted}{where}; a slope needs at least {FEWEST_DAYS_FOR_A_SLOPE}"
    reason = trouble(list(kept), span, fewest=FEWEST_DAYS_FOR_A_SLOPE, keep_gaps=keep_gaps)
    return reason or least_squares_slope([(day, scale.forward(value)) for day, value in kept.items()])
