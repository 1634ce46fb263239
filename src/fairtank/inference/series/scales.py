"""The scale on which a measure is compared: logit for cover, log for positive amounts, or the values as they are."""

import math
from dataclasses import dataclass

from fairtank.errors import InputError, OutOfRangeError
from fairtank.trial import SCALES

# Cover outside these is clipped before the logit: a count of points cannot tell 0.1 % from none.
LOWEST_COVER_PCT, HIGHEST_COVER_PCT = 0.2, 99.8
# Below this, half an amount may be no float any more.
SMALLEST_AMOUNT = 1e-300


@dataclass(frozen=True)
class Scale:
    """A scale by name, with the floor [natural unit] below which a value is clipped before its logarithm is taken.

    all_zero: no amount above 0 was seen, so that the floor stands for nothing.
    """

    name: str
    floor: float = 0.0
    all_zero: bool = False

    def __post_init__(self) -> None:
        if self.name not in SCALES:
            raise InputError("scale", self.name, ", ".join(SCALES))

    def forward(self, value: float) -> float:
        """The value on the scale; a value beyond the clipping limits counts as the limit."""
        if self.name == "logit":
            cover = min(max(value, LOWEST_COVER_PCT), HIGHEST_COVER_PCT)
            return math.log(cover / (100.0 - cover))
        if self.name == "log":
            return math.log(max(value, self.floor))
        return value

    def back(self, z: float) -> float:
        """The natural value behind a number on the scale: the inverse of `forward` inside the clipping limits.

        Far out, where a float would overflow, it stays at the end of the scale (0 %, or an amount near 1e304).
        """
        if self.name == "logit":
            return 100.0 / (1.0 + math.exp(-z)) if z > -700 else 0.0
        if self.name == "log":
            return math.exp(min(z, 700.0))
        return z

    def is_clipped(self, value: float) -> bool:
        """Whether the value lies beyond the clipping limits."""
        if self.name == "logit":
            return not LOWEST_COVER_PCT <= value <= HIGHEST_COVER_PCT
        return self.name == "log" and value < self.floor

    def zeros_told(self, unit: str) -> str:
        """What became of zeros on the log scale, as a sentence.

        >>> Scale("log", 0.5).zeros_told("cm2")
        'Values of 0 have no place on the log scale and were taken as 0.5 cm2, half the smallest amount seen.'
        """
        if self.all_zero:
            return "All values are 0: the log scale has no place for them, and nothing can be compared."
        floor = f"{self.floor:.3g} {unit}".rstrip()
        return f"Values of 0 have no place on the log scale and were taken as {floor}, half the smallest amount seen."


def scale_for(name: str, values: tuple[float, ...], measure: str) -> Scale:
    """The scale of that name for these values.

    A logarithm has no place for zero (no algae yet, no plant left). Zeros are therefore clipped to half the smallest
    amount that was seen anywhere in the trial, the same for all units, so that the choice does not depend on the unit of measure.

    Parameters
    ----------
    name : str
        `logit`, `log` or `identity`.
    values : tuple of float
        All values of the measure in the days that count, of all units. [natural unit; % on the logit scale]
    measure : str
        The measure's key, for the message.

    Returns
    -------
    Scale

    Raises
    ------
    InputError
        If the scale is unknown.
    OutOfRangeError
        If a value lies outside 0 to 100 % (logit) or below 0 (log).

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> scale_for("log", (0.0, 4.0, 9.0), "algae_area").floor
    2.0
    """
    if name == "logit":
        for value in values:
            if not 0.0 <= value <= 100.0:
                raise OutOfRangeError(measure, value, "0 to 100 % on the logit scale", "Does the plan name the right scale?")
    if name == "log":
        for value in values:
            if value < 0.0:
                raise OutOfRangeError(measure, value, "0 or more on the log scale", "What can fall below 0 needs the identity scale.")
        smallest = min((value for value in values if value > 0.0), default=None)
        if smallest is None:
            return Scale("log", 1.0, all_zero=bool(values))
        return Scale("log", max(smallest / 2.0, SMALLEST_AMOUNT))
    return Scale(name)
