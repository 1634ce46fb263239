"""Trials of more than two arms for the tests of this room: a plan, and series made from one value per unit."""

from datetime import date

from fairtank.inference.judging import comparisons
from fairtank.inference.record import Record
from fairtank.trial import Arm, Plan, Unit
from inference.trials import level, measure

PLAIN = measure("identity", unit="g")
THREE = (Arm("R", "reference", "plain"), Arm("A", "changed", "dim"), Arm("B", "changed", "bright"))
STEPS = (Arm("R", "reference", dose=0.0), Arm("A", "changed", dose=10.0), Arm("B", "changed", dose=20.0), Arm("C", "changed", dose=30.0))
FOUR = (Arm("N", "reference"), Arm("L", "changed", changes=("light",)), Arm("C", "changed", changes=("co2",)),
        Arm("LC", "changed", changes=("light", "co2")))


def trial(kind, arms, values, *, choice=PLAIN, gone=(), days=42, in_blocks=False, **more):
    """A plan and one constant series per unit: values holds one list per arm; gone names units without a series."""
    units, series = [], []
    for arm, own in zip(arms, values, strict=True):
        for number, value in enumerate(own, start=1):
            key = f"{arm.key}{number}"
            units.append(Unit(key, arm.key, block=str(number) if in_blocks else ""))
            if key not in gone:
                series.append(level(key, value, days=range(days + 1)))
    plan = Plan("A trial", date(2026, 3, 1), days, kind, arms, tuple(units), (choice,), **{"drawn": True, **more})
    return plan, tuple(series)


def judged(kind, arms, values, *, choice=PLAIN, events=(), **more):
    """The findings of that trial's one measure."""
    plan, series = trial(kind, arms, values, choice=choice, **more)
    return comparisons(plan, choice, Record(series, tuple(events)))
