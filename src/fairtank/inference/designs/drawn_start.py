"""Drawn start: two tanks, and the lot says which of them gets the change and on which day of a window it starts.

The same days are looked at under every draw that could have come; the share of draws that look at least as striking as the real one is
an exact p-value, however the tanks wander from day to day. It speaks of these two tanks alone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fairtank.errors import DesignError, InputError, NotEnoughDataError
from fairtank.inference.rounding import settled
from fairtank.trial import EXPECTED

STATISTICS = ("level", "slope")
# Days with a value needed on either side of every start that could have been drawn.
FEWEST_DAYS = {"level": 5, "slope": 8}
# With fewer possible starts the smallest p that both directions together can reach is 1/20 or more.
FEWEST_STARTS_BOTH_WAYS = 21
_TIE = 1e-9
THESE_TANKS = ("This says that the change moved these two tanks. Whether it would move others is not known from two tanks: "
               "that needs more of them.")
# The same where nothing was found: nothing then says that the change moved them.
ONLY_THESE_TANKS = ("This speaks of these two tanks only. What the change does to others is not known from two tanks: that needs more of "
                    "them.")
AT_ONCE = "This interval holds only if the change worked at once and stayed; where an effect builds up or fades, it misses too often."


@dataclass(frozen=True)
class DrawnStart:
    """What the test says.

    statistic is `level` or `slope`; estimate is that of the treated tank minus the other, after the start minus before it [scale, or scale
    per day]. direction is `less`, `more` or `either`. assignments counts the draws that could have come, smallest_p is the smallest p they
    can reach. at_once_low, at_once_high are the ends of the interval for a change that worked at once [scale], None where that end is
    open or the statistic is not `level`: an extra, never the interval of a finding. days_before, days_after count days with values in both
    tanks. grade is `differs` or `open`. p_both_ways is p had both directions been looked at; it decides nothing where one was planned.
    """

    statistic: str
    direction: str
    estimate: float
    p_value: float
    assignments: int
    smallest_p: float
    level: float
    at_once_low: float | None
    at_once_high: float | None
    days_before: int
    days_after: int
    grade: str
    p_both_ways: float = 1.0


def smallest_p(starts: int, direction: str) -> float:
    """The smallest p that so many possible starts can reach.

    >>> round(smallest_p(14, "less"), 3), round(smallest_p(21, "either"), 3)
    (0.036, 0.048)
    """
    return (1.0 if direction == "either" else 0.5) / starts


def start_weights(days: Sequence[int], starts: Sequence[int], statistic: str) -> np.ndarray:
    """For each possible start the weights that turn daily differences into the statistic.

    Parameters
    ----------
    days : sequence of int, shape (n,)
        Days with a value in both tanks, rising. [d]
    starts : sequence of int, shape (w,)
        First days of the change that could have been drawn. [d]
    statistic : str
        `level`: mean from the start on minus mean before. `slope`: least-squares slope from the start on minus slope before.

    Returns
    -------
    array of shape (w, n)

    Raises
    ------
    InputError
        If the statistic is not known.
    NotEnoughDataError
        If a start leaves too few days on one side.

    References
    ----------
    edgington2007 (keys from sources.py).

    Examples
    --------
    >>> weights = start_weights(range(10), [5], "level")
    >>> [round(float(one), 12) for one in weights[0]]
    [-0.2, -0.2, -0.2, -0.2, -0.2, 0.2, 0.2, 0.2, 0.2, 0.2]
    """
    if statistic not in STATISTICS:
        raise InputError("statistic", statistic, " or ".join(STATISTICS))
    day = np.array(days, dtype=float)
    fewest, rows = FEWEST_DAYS[statistic], []
    for start in starts:
        after = day >= start
        if min(after.sum(), (~after).sum()) < fewest:
            raise NotEnoughDataError(f"A start on day {start} leaves {int((~after).sum())} days with values in both tanks before it and "
                                     f"{int(after.sum())} from it on; at least {fewest} are needed on either side of every start that "
                                     "could have been drawn.")
        rows.append(_side(day, after, statistic) - _side(day, ~after, statistic))
    return np.array(rows)


def _side(day: np.ndarray, used: np.ndarray, statistic: str) -> np.ndarray:
    """Weights of the mean or of the slope over the days that are used."""
    if statistic == "level":
        return np.where(used, 1.0 / used.sum(), 0.0)
    centred = np.where(used, day - day[used].mean(), 0.0)
    weights: np.ndarray = centred / float(centred @ centred)
    return weights


def _p_of(by_start: np.ndarray, at: int, direction: str) -> float:
    """The share of all draws whose statistic is at least the real one; by_start are those of the tank that was treated.

    Had the lot named the other tank, the statistic would have the other sign.
    """
    all_draws = np.concatenate([by_start, -by_start])
    if direction == "less":
        all_draws = -all_draws
    elif direction == "either":
        all_draws = np.abs(all_draws)
    real = all_draws[at]
    return float((all_draws >= real - _TIE * max(np.abs(by_start).max(), 1e-300)).mean())


def _check(days: Sequence[int], treated: Sequence[float], reference: Sequence[float], window: tuple[int, int], drawn_day: int,
           direction: str) -> None:
    if direction not in EXPECTED:
        raise InputError("direction", direction, ", ".join(EXPECTED))
    if not len(days) == len(treated) == len(reference):
        raise InputError("days", f"{len(days)} long", f"as many as values; there are {len(treated)} and {len(reference)}")
    if any(later <= earlier for earlier, later in pairwise(days)):
        raise InputError("days", "not in rising order", "each day once, in rising order")
    for value in (*treated, *reference):
        if not math.isfinite(value):
            raise InputError("a value", value, "a number", "Leave out days on which one of the tanks has no value.")
    check_draw(window, drawn_day, direction)


def check_draw(window: tuple[int, int], drawn_day: int, direction: str) -> None:
    """Refuse a day that the lot could not have named, and a window too short for its direction.

    Parameters
    ----------
    window : (int, int)
        First and last day on which the change could have started. [d]
    drawn_day : int
        The day that was drawn. [d]
    direction : str
        `less`, `more` or `either`.

    Raises
    ------
    DesignError
        With what to change, and when it still can be changed.

    References
    ----------
    edgington2007 (keys from sources.py).
    """
    if not window[0] <= drawn_day <= window[1]:
        raise DesignError(f"The start was drawn for day {drawn_day}, outside the window from day {window[0]} to day {window[1]}. "
                          "Only a day that the lot could have named can be judged.")
    starts = window[1] - window[0] + 1
    if direction == "either" and starts < FEWEST_STARTS_BOTH_WAYS:
        raise DesignError(f"The window holds {starts} possible starts; looking both ways needs at least {FEWEST_STARTS_BOTH_WAYS}. "
                          "Before the start, make the window longer or say in the plan whether more or less is expected; afterwards "
                          "neither can be changed.")


def drawn_start(
    days: Sequence[int], treated: Sequence[float], reference: Sequence[float], *, start_window: tuple[int, int], drawn_day: int,
    direction: str, statistic: str = "level", alpha: float = 0.05,
) -> DrawnStart:
    """The exact test of a drawn start.

    Statistic and direction are fixed before the start; choosing them afterwards breaks the test.

    Parameters
    ----------
    days : sequence of int, shape (n,)
        Days with a value in both tanks, each once, rising. [d]
    treated, reference : sequence of float, shape (n,)
        Values of the tank that the lot named and of the other. [summary scale]
    start_window : (int, int)
        First and last day on which the change could have started. [d]
    drawn_day : int
        The day that was drawn: the first day with the change. [d]
    direction : str
        `less` or `more` (one-sided) or `either` (two-sided, from 21 possible starts on).
    statistic : str
        `level`, for an effect that is there at once, or `slope`, for one that builds up.
    alpha : float
        Share of false alarms allowed, above 0 and below 1.

    Returns
    -------
    DrawnStart

    Raises
    ------
    InputError
        If the values, the direction or the statistic cannot be used.
    DesignError
        If the day was not in the window, or the window is too short to look both ways.
    NotEnoughDataError
        If a possible start leaves too few days on one side.

    References
    ----------
    edgington2007 (keys from sources.py).

    Examples
    --------
    >>> treated = [0.0] * 14 + [2.0] * 14
    >>> found = drawn_start(range(28), treated, [0.0] * 28, start_window=(7, 20), drawn_day=14, direction="more")
    >>> found.estimate, round(found.p_value, 3), found.grade
    (2.0, 0.036, 'differs')
    """
    if not 0 < alpha < 1:
        raise InputError("alpha", alpha, "above 0, below 1")
    _check(days, treated, reference, start_window, drawn_day, direction)
    starts = range(start_window[0], start_window[1] + 1)
    weights = start_weights(days, starts, statistic)
    at = drawn_day - start_window[0]
    difference = np.array(treated, dtype=float) - np.array(reference, dtype=float)
    by_start = weights @ difference
    p_value = _p_of(by_start, at, direction)
    after = np.array(days) >= drawn_day
    low, high = _at_once(by_start, weights @ after, at, direction, alpha) if statistic == "level" else (None, None)
    return settled(DrawnStart(
        statistic, direction, float(by_start[at]), p_value, 2 * len(starts), smallest_p(len(starts), direction), 1 - alpha, low, high,
        int((~after).sum()), int(after.sum()), "differs" if p_value <= alpha else "open",
        _p_of(by_start, at, "either")))


def _at_once(by_start: np.ndarray, step: np.ndarray, at: int, direction: str, alpha: float) -> tuple[float | None, float | None]:
    """The smallest and largest lasting step that the test would not refuse; None where it refuses none on that side.

    Taking a step of size e from the treated days changes each statistic by e times what a step of 1 gives it. Which draws are at least as
    striking can change only where two such lines cross; between the crossings p stands still, so that looking once in each piece is
    enough.
    """
    gains = np.concatenate([step, -step])
    values = np.concatenate([by_start, -by_start])
    crossings = []
    for value, gain in zip(values, gains, strict=True):
        if abs(gain - gains[at]) > 1e-12:
            crossings.append((value - values[at]) / (gain - gains[at]))
    ends = np.unique(np.array(crossings))
    width = max(float(ends[-1] - ends[0]), 1.0)
    inside = [(float(ends[0]) - width, -math.inf, float(ends[0])), (float(ends[-1]) + width, float(ends[-1]), math.inf),
              *((float(a + b) / 2.0, float(a), float(b)) for a, b in pairwise(ends))]
    kept = [(low, high) for middle, low, high in inside if _p_of(by_start - middle * step, at, direction) > alpha]
    # At a crossing itself two draws tie, and p is at least that of either side.
    kept += [(float(end), float(end)) for end in ends if _p_of(by_start - end * step, at, direction) > alpha]
    low, high = min(low for low, _ in kept), max(high for _, high in kept)
    return (low if math.isfinite(low) else None), (high if math.isfinite(high) else None)
