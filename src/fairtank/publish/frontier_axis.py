"""The upright axis of the picture of alternatives: even on the scale by which the trial is judged, labelled in the natural unit."""

import math

from fairtank.inference.foresight.showing import Showing
from fairtank.publish.charts import value_ticks
from fairtank.publish.numbers import plain_number

_ROUND = (1.0, 2.0, 5.0)
_COVERS = (*(digit * 10.0**power for power in (-3, -2, -1, 0) for digit in _ROUND), 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0,
           95.0, 98.0, 99.0, 99.5, 99.8, 99.9, 99.99)
_STEPS = 5
_EVENLY_BELOW = 2.5  # times as much from end to end: up to there evenly spaced levels are the rounder ones
_CLOSEST = 0.085  # of the axis: labels nearer than this to each other would touch


def height_of(level: float, showing: Showing) -> float:
    """How far a level lies from the reference on the summary scale; without a reference level, its own size."""
    if showing.reference is None:
        return abs(level)
    return abs(_forward(level, showing.scale) - _forward(showing.reference, showing.scale))


def _forward(level: float, scale: str) -> float:
    if scale == "logit":
        return math.log(level / (100.0 - level))
    return math.log(level) if scale == "log" else level


def level_at(height: float, showing: Showing) -> float:
    """The level that lies so far from the reference, on the side that is expected (upwards where either is)."""
    if showing.reference is None:
        return height
    z = _forward(showing.reference, showing.scale) + (-height if showing.expect == "less" else height)
    if showing.scale == "logit":
        return 100.0 / (1.0 + math.exp(-z))
    return math.exp(min(z, 700.0)) if showing.scale == "log" else z


def level_ticks(showing: Showing, top: float) -> list[tuple[float, str]]:
    """Heights that get a line, each with its level in words; the reference at the bottom, where there is one.

    Parameters
    ----------
    showing : Showing
        Its scale, reference and expected side.
    top : float
        Upper end of the axis, above 0. [summary scale]

    Returns
    -------
    list of (float, str)
        From the bottom upwards, far enough apart for their labels.

    References
    ----------
    common_practice (keys from sources.py).
    """
    end = level_at(top, showing)
    levels = _levels(showing, min(end, showing.reference or 0.0), max(end, showing.reference or 0.0))
    ticks = [(0.0, plain_number(showing.reference or 0.0))]
    for height, level in sorted((height_of(level, showing), level) for level in levels):
        if height - ticks[-1][0] >= _CLOSEST * top and height <= top:
            ticks.append((height, plain_number(level)))
    return ticks


def _levels(showing: Showing, low: float, high: float) -> list[float]:
    """Round levels between two; on a logit or log scale over a wide range those of the one, two and five series."""
    if showing.scale == "identity" or high <= _EVENLY_BELOW * low:
        return value_ticks(low, high, _STEPS)
    if showing.scale == "logit":
        return [level for level in _COVERS if low <= level <= high]
    powers = range(math.floor(math.log10(max(low, 1e-9))), math.ceil(math.log10(min(high, 1e9))) + 1)
    return [digit * 10.0**power for power in powers for digit in _ROUND if low <= digit * 10.0**power <= high]
