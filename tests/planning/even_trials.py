"""Invented trials for the evenness check: a plan and what is known of its tanks, made in memory."""

from datetime import date, datetime
from pathlib import Path

from fairtank.chore import ChoreDone
from fairtank.factor import FactorValue
from fairtank.planning.evenness.check import evenness
from fairtank.planning.evenness.known import Known
from fairtank.trial import Arm, Event, MeasureChoice, Plan, Reading, TrialFolder, Unit

START = date(2026, 3, 1)
TWO_ARMS = (Arm("R", "reference", "as usual"), Arm("C", "changed", "changed"))


def plan(dealt: str = "RRRCCC", *, declared: tuple[str, ...] = (), **given) -> Plan:
    """One unit for each letter, T1 upwards; fields of the units are given by name as a list."""
    of_units = {name: given.pop(name, [""] * len(dealt)) for name in ("position", "block", "pair", "round", "tank", "first_arm")}
    units = tuple(Unit(f"T{index + 1}", arm, **{name: values[index] for name, values in of_units.items()})
                  for index, arm in enumerate(dealt))
    fields = {"title": "invented", "start": START, "days": 42, "kind": "side_by_side", "arms": TWO_ARMS, "units": units,
              "measures": (MeasureChoice("algae_cover", "primary"),), "drawn": True, "change_factors": declared}
    return Plan(**{**fields, **given})


def told(factor: str, values: list, unit_of_measure: str = "") -> tuple[FactorValue, ...]:
    """A factor of T1, T2 and so on; None leaves a unit out."""
    return tuple(FactorValue(f"T{index + 1}", factor, value, unit_of_measure) for index, value in enumerate(values) if value is not None)


def readings(quantity: str, values: list, unit: str = "", day: int = 3) -> tuple[Reading, ...]:
    """One reading of T1, T2 and so on, on a day of March 2026."""
    return tuple(Reading(f"T{index + 1}", datetime(2026, 3, day + 1, 18), day, quantity, value, unit)
                 for index, value in enumerate(values) if value is not None)


def event(kind: str, day: int, *units: str, note: str = "", hour: int = 10) -> Event:
    """An event of March 2026."""
    return Event(units, datetime(2026, 3, day + 1, hour), None, day, day, kind, note, "keep")


def chore(unit: str, kind: str, day: int, **given) -> ChoreDone:
    """A chore done in March 2026."""
    return ChoreDone(unit, given.pop("chore", ""), kind, None, datetime(2026, 3, day + 1, given.pop("hour", 18)), day, **given)


def checked(trial: Plan, **records):
    """The whole check of a trial with these records."""
    sheet = records.pop("sheet", None)
    return evenness(Known(TrialFolder(Path("nowhere"), trial, "sha256:0", **records), sheet))


def check_of(key: str, trial: Plan, **records):
    """What was found of one factor."""
    return next(check for check in checked(trial, **records).checks if check.key == key)


def verdict(key: str, trial: Plan, **records) -> str:
    """The verdict on one factor."""
    return check_of(key, trial, **records).verdict
