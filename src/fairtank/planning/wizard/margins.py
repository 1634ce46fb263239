"""The smallest difference that matters, from the unit that a keeper sees to the scale on which the trial is judged."""

import math
from dataclasses import dataclass

from fairtank.errors import InputError, OutOfRangeError

# Cover outside these is clipped by the judging; a margin may not reach there.
LOWEST_COVER_PCT, HIGHEST_COVER_PCT = 0.2, 99.8


@dataclass(frozen=True)
class Margin:
    """A smallest difference that matters.

    margin: on the scale of judging. up, down: where a tank would stand that lies that much above or below the level [natural unit].
    """

    margin: float
    up: float
    down: float


def margin_of(scale: str, level: float, difference: float, expect: str) -> Margin:
    """A difference in the natural unit as a step on the scale of judging, seen from the level of the reference.

    On the scale of cover and on that of amounts a step up and a step down of the same natural size are not the same step. The side that
    is expected counts; where either is, the smaller step, so that neither side is asked to be larger than was said.

    Parameters
    ----------
    scale : str
        `logit` (cover, %), `log` (amounts) or `identity`.
    level : float
        Where the reference tanks are thought to stand. [natural unit]
    difference : float
        The smallest difference that matters, above 0. [natural unit; percentage points for cover]
    expect : str
        `less`, `more` or `either`.

    Returns
    -------
    Margin

    Raises
    ------
    OutOfRangeError
        If the difference is not above 0, or leads out of the scale on the side that counts.
    InputError
        If the scale is none of the three.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> found = margin_of("logit", 10.0, 5.0, "less")
    >>> round(found.margin, 3), round(found.up, 2), round(found.down, 2)
    (0.747, 19.0, 5.0)
    """
    if scale not in ("logit", "log", "identity"):
        raise InputError("scale", scale, "logit, log or identity")
    if not 0 < difference < math.inf:
        raise OutOfRangeError("the smallest difference that matters", difference, "a number above 0")
    lowest, highest = {"logit": (LOWEST_COVER_PCT, HIGHEST_COVER_PCT), "log": (1e-12, math.inf)}.get(scale, (-math.inf, math.inf))
    steps = []
    for side, end in (("more", level + difference), ("less", level - difference)):
        if expect in (side, "either") and lowest <= end <= highest:
            steps.append(abs(_forward(scale, end) - _forward(scale, level)))
    if not steps or not lowest <= level <= highest:
        room = max(highest - level, 0) if expect == "more" else level - lowest if expect == "less" else max(highest - level, level - lowest)
        raise OutOfRangeError("the smallest difference that matters", difference, f"at most {room:.3g} from a level of {level:g}")
    step = min(steps)
    return Margin(step, _back(scale, _forward(scale, level) + step), _back(scale, _forward(scale, level) - step))


def _forward(scale: str, value: float) -> float:
    if scale == "logit":
        return math.log(value / (100.0 - value))
    return math.log(value) if scale == "log" else value


def _back(scale: str, z: float) -> float:
    if scale == "logit":
        return 100.0 / (1.0 + math.exp(-z))
    return math.exp(z) if scale == "log" else z
