"""How large an effect a drawn start would probably find: by seeded simulation, because no formula is exact."""

import math
import zlib
from functools import cache

import numpy as np

from fairtank.errors import DesignError
from fairtank.inference.designs.drawn_start import start_weights
from fairtank.inference.foresight.layouts import Layout
from fairtank.inference.foresight.spread_parts import SpreadParts

TRIALS = 2000
_BISECTIONS = 30
_LARGEST = 400.0  # in day-noise SDs: what is not found at this size is not found at all
_TIE = 1e-9


def two_tank_differences(parts: SpreadParts, days: int, trials: int, rng: np.random.Generator) -> np.ndarray:
    """Daily differences of two like tanks, without an effect.

    Their lasting difference of level is left out: the statistics of a drawn start do not see it.

    Parameters
    ----------
    parts : SpreadParts
        What like tanks differ by.
    days, trials : int
        How many.
    rng : numpy.random.Generator
        Seeded by the caller.

    Returns
    -------
    array of shape (trials, days)
        [summary scale]

    References
    ----------
    arithmetic (keys from sources.py).
    """
    shocks = rng.standard_normal((trials, days))
    wander = np.empty_like(shocks)
    wander[:, 0] = shocks[:, 0]
    fresh = math.sqrt(1.0 - parts.phi**2)
    for day in range(1, days):
        wander[:, day] = parts.phi * wander[:, day - 1] + fresh * shocks[:, day]
    drift = math.hypot(parts.lasting_drift_sd, parts.period_drift_sd) * rng.standard_normal((trials, 1)) * np.arange(days)
    one_tank = parts.day_sd * wander + drift + parts.photo_sd * rng.standard_normal((trials, days))
    return math.sqrt(2.0) * one_tank


@cache
def drawn_start_difference(layout: Layout, parts: SpreadParts, *, expect: str, full_after_d: float, power: float = 0.8,
                           alpha: float = 0.05, trials: int = TRIALS) -> float | None:
    """The smallest effect that the exact test of a drawn start finds with a given power, None where it finds none.

    Parameters
    ----------
    layout : Layout
        With a start window; `builds_up` chooses the slope statistic and an effect that grows day by day.
    parts : SpreadParts
        What like tanks differ by.
    expect : str
        `less` or `more`: one-sided; `either`: two-sided.
    full_after_d : float
        After how many days an effect that builds up counts as 1. [d]
    power, alpha : float
        See `fairtank.inference.foresight.power`.
    trials : int
        Simulated trials; the generator is seeded from what is simulated, so that the answer is always the same.

    Returns
    -------
    float or None
        [summary scale]; with 2000 trials its power is known to about one percentage point.

    Raises
    ------
    DesignError
        If the layout has no start window.
    NotEnoughDataError
        If a possible start leaves too few days on one side.

    References
    ----------
    edgington2007 (keys from sources.py).
    """
    if layout.start_window is None:
        raise DesignError("A drawn start needs the window of days from which its start is drawn. Set start_window in the plan.")
    first, last = layout.start_window
    days = range(layout.first_day, layout.last_day + 1)
    starts = range(first, last + 1)
    weights = start_weights(days, starts, "slope" if layout.builds_up else "level")
    seed = zlib.crc32(repr((days, layout.start_window, layout.builds_up, parts, expect, trials)).encode())
    rng = np.random.Generator(np.random.Philox(seed))
    quiet = two_tank_differences(parts, len(days), trials, rng) @ weights.T
    drawn = rng.integers(0, len(starts), trials)
    since = np.array(days)[None, :] - np.array(starts)[:, None]
    # Half a day on: the change starts between two photos, and a whole day either way would tie two neighbouring starts exactly.
    shape = np.where(since >= 0, (since + 0.5) / full_after_d if layout.builds_up else 1.0, 0.0)
    gain = (shape @ weights.T)[drawn]
    unit = parts.day_sd + parts.photo_sd

    def found(effect: float) -> float:
        return float((_p_values(quiet + effect * gain, drawn, both=expect == "either") <= alpha).mean())

    low, high = 0.0, unit
    while found(high) < power:
        low, high = high, 2.0 * high
        if high > _LARGEST * unit:
            return None
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if found(middle) < power else (low, middle)
    return high


def _p_values(by_start: np.ndarray, drawn: np.ndarray, *, both: bool) -> np.ndarray:
    """The exact p of many trials at once; shape (trials, starts) in. An effect that is expected to be less is the mirror of one of more."""
    real = by_start[np.arange(len(drawn)), drawn][:, None]
    bar = (np.abs(real) if both else real) - _TIE * np.abs(by_start).max(axis=1, keepdims=True)
    count = 2 * by_start.shape[1]
    as_striking = 2 * (np.abs(by_start) >= bar) if both else (by_start >= bar).astype(int) + (-by_start >= bar)
    p_values: np.ndarray = as_striking.sum(axis=1) / count
    return p_values
