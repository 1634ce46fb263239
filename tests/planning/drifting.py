"""Invented diaries for the tests of the drift watch."""

from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np

from fairtank.chore import ChoreDone
from fairtank.trial import Arm, MeasureChoice, Plan, Reading, TrialFolder, Unit

START, DAYS = date(2026, 3, 1), 42


def plan_of(tanks: int = 3, **more) -> Plan:
    """Two arms of so many tanks each, the tanks in turn."""
    units = tuple(Unit(f"T{number + 1}", "RC"[number % 2]) for number in range(2 * tanks))
    arms = (Arm("R", "reference", "8 h block"), Arm("C", "changed", "dark break"))
    return Plan("Invented", START, DAYS, more.pop("kind", "side_by_side"), arms, more.pop("units", units),
                (MeasureChoice("algae_cover", "primary"),), **more)


def at(day: int) -> datetime:
    return datetime(START.year, START.month, START.day, 18) + timedelta(days=day)


def levels(plan: Plan, quantity: str, level: float, sd: float, *, seed: int, days=range(DAYS + 1), moved=None, step: float = 0.1,
           unit: str = "") -> list[Reading]:
    """Readings that scatter around one course; moved(unit, day) is added."""
    chance = np.random.default_rng(seed)
    course = level + 2 * sd * np.sin(np.arange(DAYS + 30) / 8)
    found = []
    for one in plan.units:
        offset = chance.normal(0, sd)
        for day in days:
            value = course[day] + offset + chance.normal(0, sd) + (moved(one, day) if moved else 0.0)
            found.append(Reading(one.key, at(day), day, quantity, round(round(value / step) * step, 6), unit))
    return found


def doses(plan: Plan, amount: float, *, seed: int, moved=None) -> list[ChoreDone]:
    """Two doses a week in every tank; moved(unit, day) is a factor."""
    chance = np.random.default_rng(seed)
    return [ChoreDone(one.key, "feed", "dose", day, at(day), day, 2.0, "nitrate",
                      float(amount * chance.normal(1, 0.01) * (moved(one, day) if moved else 1.0)), "mg/L")
            for one in plan.units for day in range(DAYS + 1) if day % 7 in (1, 4)]


def folder_of(plan: Plan, readings=(), chores=(), **more) -> TrialFolder:
    return TrialFolder(Path("."), plan, "", readings=tuple(readings), chores_done=tuple(chores), **more)
