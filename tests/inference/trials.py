"""Small trials for the tests of this room: a plan, and series made from plain numbers."""

import csv
from datetime import date, datetime
from pathlib import Path

from fairtank.trial import Arm, Event, Looks, MeasureChoice, Plan, Series, Unit

PUBLISHED = Path(__file__).resolve().parent.parent / "published"
ARMS = (Arm("R", "reference", "plain"), Arm("C", "changed", "dimmed"))


def table(name):
    """Rows of a published table, without its source line."""
    with (PUBLISHED / name).open(encoding="utf-8") as lines:
        next(lines)
        return list(csv.DictReader(lines))


def measure(scale="logit", *, key="cover", role="primary", summary="mean", margin=None, window=None, unit="%"):
    """A measure with title, unit and scale of its own, so that nothing has to be looked up."""
    return MeasureChoice(key, role, summary, scale, margin, window, title="Cover by eye", unit_of_measure=unit)


def plan_of(n_reference=3, n_changed=3, *, kind="side_by_side", days=42, choice=None, units=None, **more):
    """A plan with units R1, R2 ... and C1, C2 ..., drawn by lot unless said otherwise."""
    sizes = {"R": n_reference, "C": n_changed}
    units = units or tuple(Unit(f"{arm}{number + 1}", arm) for arm, size in sizes.items() for number in range(size))
    measures = more.pop("measures", (choice or measure(),))
    return Plan("A trial", date(2026, 3, 1), days, kind, ARMS, units, measures, **{"drawn": True, **more})


def level(unit, value, *, days=range(43), key="cover", **more):
    """A series with the same value on every day."""
    days = tuple(days)
    return Series(unit, key, days, (float(value),) * len(days), **more)


def levels(reference, changed, **more):
    """One constant series per unit, from one value per unit of each arm."""
    arms = {"R": reference, "C": changed}
    return tuple(level(f"{arm}{number + 1}", value, **more) for arm, values in arms.items() for number, value in enumerate(values))


def event(units, first, last, effect, kind="slip", note=""):
    """An event from day first to day last."""
    return Event(tuple(units), datetime(2026, 3, 1), None, first, last, kind, note, effect)


def looks(days, budget):
    """Planned looks."""
    return Looks(tuple(days), tuple(budget))
