"""What is written down of an invented trial: rows of its tables by unit, put there factor by factor in one of several forms."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np

from fairtank.build import Setup
from fairtank.chore import ChoreDone
from fairtank.factor import FactorValue
from fairtank.trial import BuildLine, Event, Plan, Reading
from planted.layouts import START

Value = float | str


@dataclass
class Facts:
    """A trial in the making. truth: class expected of each planted factor, one or several that are right."""

    plan: Plan
    setup: Setup | None = None
    factors: list[FactorValue] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)
    build: list[BuildLine] = field(default_factory=list)
    chores: list[ChoreDone] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)

    @property
    def units(self) -> tuple[str, ...]:
        """Keys of the tanks, in order."""
        return tuple(unit.key for unit in self.plan.units)


def at(day: int, hour: float = 18.0) -> datetime:
    """That day of the trial at that hour."""
    return datetime(START.year, START.month, START.day) + timedelta(days=day, hours=hour)


def event(facts: Facts, kind: str, day: int, units: Iterable[str], note: str = "") -> None:
    """An event of some tanks."""
    facts.events.append(Event(tuple(units), at(day), None, day, day, kind, note))


def chore(facts: Facts, unit: str, kind: str, day: int, *, hour: float = 18.0, minutes: float | None = None, quantity: str = "",
          amount: float | None = None, unit_of_measure: str = "", by: str = "") -> None:
    """A chore that was done in one tank."""
    facts.chores.append(ChoreDone(unit, "", kind, None, at(day, hour), day, minutes, quantity, amount, unit_of_measure, by))


def stated(facts: Facts, factor: str, values: dict[str, Value], unit: str) -> None:
    """A factor in factors.csv; one row for all where all are alike in words."""
    if len(values) == len(facts.units) and len(set(values.values())) == 1 and isinstance(next(iter(values.values())), str):
        facts.factors.append(FactorValue("", factor, next(iter(values.values()))))
        return
    facts.factors += [FactorValue(key, factor, value, unit if not isinstance(value, str) else "") for key, value in values.items()]


def read(facts: Facts, quantity: str, values: dict[str, Value], unit: str, days: Iterable[int], error: float, step: float,
         chance: np.random.Generator) -> None:
    """A level in readings.csv: all tanks follow the same slow course; each reading is off by its own error and rounded to the step."""
    for day in days:
        common = error * np.sin(day / 8)
        for key, value in values.items():
            seen = float(value) + common + chance.uniform(-error, error)
            facts.readings.append(Reading(key, at(day), day, quantity, round(max(round(seen / step) * step, 0.0), 6), unit))


def weighed(facts: Facts, material: str, kind: str, planned: float, values: dict[str, Value], unit: str, batches: dict[str, str]) -> None:
    """A line of the build sheet, weighed in."""
    facts.build += [BuildLine(key, material, kind, planned, round(float(value), 3), unit, batches.get(key, ""))
                    for key, value in values.items()]
