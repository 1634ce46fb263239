"""To what a keeper can weigh, pour and count, and how far off it may be.

Steps and tolerances are common practice, no source: a kitchen scale shows 1 g, a pocket scale 0.01 g, a syringe half a millilitre, a
timer a quarter of an hour. A mass may be 1 % off, stones and wood 5 %, because pieces come as they are; counts must be right.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal


@dataclass(frozen=True)
class Fineness:
    """How fine a unit is weighed: step, and the tolerance as a share of the amount that is never less than least."""

    step: float
    share: float
    least: float


FINENESS = {
    "kg": Fineness(0.001, 0.01, 0.001),
    "g": Fineness(0.01, 0.01, 0.01),
    "mg": Fineness(1.0, 0.01, 10.0),
    "L": Fineness(0.01, 0.01, 0.05),
    "mL": Fineness(0.5, 0.01, 0.25),
    "piece": Fineness(1.0, 0.0, 0.0),
    "%": Fineness(1.0, 0.0, 1.0),
    "h": Fineness(0.05, 0.0, 0.25),
    "µmol m⁻² s⁻¹": Fineness(1.0, 0.1, 1.0),
}
# Pieces cannot be cut to the gram.
HARDSCAPE_SHARE = 0.05


def to_step(value: float, step: float) -> float:
    """The value rounded to a whole number of steps; a half goes up.

    >>> to_step(12.25, 0.5), to_step(6.3504, 0.001), to_step(10.5, 1)
    (12.5, 6.35, 11.0)
    """
    # Nine decimals first: 0.1 + 0.2 must round like 0.3.
    steps = (Decimal(repr(round(float(value), 9))) / Decimal(repr(step))).quantize(Decimal(1), ROUND_HALF_UP)
    return float(steps * Decimal(repr(step)))


def weighable(value: float, unit_of_measure: str) -> float:
    """The amount rounded to the step of its unit.

    >>> weighable(0.74, "mL"), weighable(33.126, "L")
    (0.5, 33.13)
    """
    return to_step(value, FINENESS[unit_of_measure].step)


def tolerance(planned: float, unit_of_measure: str, share: float | None = None) -> float:
    """How far a planned amount may be off, to the same step as the amount itself or the least tolerance of its unit.

    >>> tolerance(6.35, "kg"), tolerance(0.02, "kg"), tolerance(12, "piece")
    (0.064, 0.001, 0.0)
    """
    fineness = FINENESS[unit_of_measure]
    wished = (fineness.share if share is None else share) * planned
    return fineness.least if wished <= fineness.least else to_step(wished, fineness.step)
