"""Factors of what is dosed and of the water that is changed."""

import re
from collections import Counter, defaultdict
from datetime import timedelta

from fairtank.build import Setup
from fairtank.planning.building.blending import water_of
from fairtank.planning.building.doses import is_told_once
from fairtank.planning.evenness.known import SETUP, Care, Known
from fairtank.planning.evenness.told import MEASURED, PLANNED, Told
from fairtank.registry import Tolerance, factor

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*(?:%|percent|per cent)")
_SAME_HOURS = 2.0  # the clock times of one chore in two tanks may lie so far apart: common practice, no source


@factor(key="doses", title="Doses", unit="mg/L a week", tolerance=Tolerance(0.0, 0.05), sources=("common_practice",), algae=3, plants=3,
        moves="What is dosed is what plants and algae grow from, nutrient by nutrient.",
        remedy="dose all tanks from one bottle with one syringe, by the litre of net water, on the same days")
def doses(known: Known) -> tuple[Told, ...]:
    """Sum of each nutrient that is added in a week."""
    return (*_given(known), *_planned(known), *known.written("doses"))


def _given(known: Known) -> tuple[Told, ...]:
    """Doses that were given, by what was dosed; of those told without an amount, how many a week."""
    given = known.care_of("dose")
    sums: dict[tuple[str, str], dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for care in given:
        name = " ".join((care.quantity or "").split()) or "dose"
        if care.amount is None:
            sums[name, "a week"][care.unit] += 1 / known.weeks
        else:
            sums[name, f"{care.unit_of_measure} a week".strip()][care.unit] += care.amount / known.weeks
    told = [one for (name, unit), own in sums.items() for one in known.each_unit(own, given[0].where, name, unit)]
    return tuple(told)


def _planned(known: Known) -> tuple[Told, ...]:
    """Doses of setup.toml by ion, from the build sheet's gains, or by the amount where there is no sheet."""
    setup, told = known.setup, []
    if setup is None:
        return ()
    totals: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    units: dict[str, str] = {}
    for unit in setup.units:
        for ion, amount, unit_of_measure in _weekly(known, setup, unit):
            totals[ion][unit] += amount
            units[ion] = unit_of_measure
    for ion, own in totals.items():
        told += [Told(unit, own.get(unit, 0.0), SETUP, PLANNED, ion, unit_of_measure=units[ion]) for unit in setup.units]
    return tuple(told)


def _weekly(known: Known, setup: Setup, unit: str) -> list[tuple[str, float, str]]:
    """Ion, how much of it a week, and its unit, for each dose of one unit."""
    held: dict[str, list[float]] = defaultdict(list)
    found = []
    for dose in setup.doses:
        if setup.holds(dose.scope, unit):
            held[dose.material].append(dose.doses_per_week)
            if known.sheet is None:
                amount, measure = (dose.mass_mg, "mg a week") if dose.mass_mg is not None else (dose.volume_ml or 0.0, "mL a week")
                found.append((setup.material(dose.material).label, (amount or 0.0) * dose.doses_per_week, measure))
    for key, times in held.items() if known.sheet is not None else ():
        courses = [course for course in known.sheet.courses if (course.unit, course.material) == (unit, key)] if known.sheet else []
        each = max(len(courses) // len(times), 1)
        for index, course in enumerate(courses):
            if is_told_once(setup.material(key), course.ion):
                found.append((course.ion, course.gain_mg_l * times[min(index // each, len(times) - 1)], "mg/L a week"))
    return found


@factor(key="water_change", title="Share of water changed", unit="% a week", tolerance=Tolerance(3.0, 0.1), sources=("common_practice",),
        algae=3, plants=2,
        moves="Water changes carry off what feeds algae, and bring new minerals and CO2.",
        remedy="change the same share in all tanks, to a mark on the glass")
def water_change(known: Known) -> tuple[Told, ...]:
    """Share of the water that is changed in a week."""
    done = known.care_of("water_change")
    shares: dict[str, float] = defaultdict(float)
    counts: dict[str, float] = defaultdict(float)
    for care in done:
        pct = _share_pct(known, care)
        counts[care.unit] += 1 / known.weeks
        if pct is not None:
            shares[care.unit] += pct / known.weeks
    where, litres = done[0].where if done else "", [_litres(care) for care in done]
    if done and all(_share_pct(known, care) is not None for care in done):
        measured = known.each_unit(shares, where)
    elif done and None not in litres:
        sums: dict[str, float] = defaultdict(float)
        for care, own in zip(done, litres, strict=True):
            sums[care.unit] += (own or 0.0) / known.weeks
        measured = known.each_unit(sums, where, "litres", "L a week")
    else:
        measured = known.each_unit(counts, where, "changes", "a week")
    return (*measured, *known.of_setup(_planned_pct), *known.written("water_change"))


def _share_pct(known: Known, care: Care) -> float | None:
    """How much of a unit's water one change took [%]; None where that cannot be told."""
    unit, amount = care.unit_of_measure.casefold(), care.amount
    if amount is None:
        found = _PERCENT.search(care.note)
        return float(found[1]) if found else None
    if unit in ("%", "percent"):
        return amount
    if unit == "":
        return 100 * amount if amount <= 1 else amount
    litres, net_l = _litres(care), known.net_l(care.unit)
    return 100 * litres / net_l if net_l and litres is not None else None


def _litres(care: Care) -> float | None:
    """Litres of one change; None where it is not told in litres."""
    unit = care.unit_of_measure.casefold()
    if care.amount is None or unit not in ("l", "ml", "litres", "liters", "litre"):
        return None
    return care.amount * (0.001 if unit == "ml" else 1.0)


def _planned_pct(setup: Setup, unit: str) -> float | None:
    plan = water_of(setup, unit)
    return None if plan is None or not plan.change_fraction else 100 * plan.change_fraction * plan.changes_per_week


@factor(key="water_change_day", title="Day of the water change", unit="word", tolerance=Tolerance(_SAME_HOURS),
        sources=("common_practice",),
        algae=1, plants=1,
        moves="Photos and tests of one day then show one tank fresh from a change and another a week after it.",
        remedy="change the water of all tanks on one day, after the photos")
def water_change_day(known: Known) -> tuple[Told, ...]:
    """Weekday and clock time of the water change."""
    days: dict[str, Counter[str]] = defaultdict(Counter)
    hours: dict[str, list[float]] = defaultdict(list)
    where = ""
    for care in known.care_of("water_change"):
        where = care.where
        days[care.unit][WEEKDAYS[(known.plan.start + timedelta(days=care.day)).weekday()]] += 1
        if care.hour:
            hours[care.unit].append(care.hour)
    told = [Told(unit, min(own, key=lambda day: (-own[day], WEEKDAYS.index(day))), where, MEASURED, dated=True)
            for unit, own in days.items()]
    told += [Told(unit, sum(own) / len(own), where, MEASURED, "clock", True, "h (clock)") for unit, own in hours.items()]
    return (*told, *known.written("water_change_day"))
