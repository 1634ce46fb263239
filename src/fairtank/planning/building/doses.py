"""Fertiliser of one unit: what is given each time, what that adds, and what it builds up to between water changes."""

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from fairtank.build import Dose, Material, Setup, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.building.blending import Recipe
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.building.problems import Problems
from fairtank.planning.building.rounding import to_step, weighable
from fairtank.planning.sheet import DoseCourse, IonTotal, SheetLine
from fairtank.science.changes import steady_mg_l
from fairtank.science.dosing import salt_gain_mg_l
from fairtank.science.salts import salt

# Below this a pocket scale of 10 mg is off by a tenth: common practice, no source.
LEAST_DRY_MG = 100.0
SMALL_DOSE_SHARE = 0.1
FINEST = {"mg": "1 mg", "mL": "0.5 mL"}
# Concentrations, and the water behind like doses, that differ by more than this are told: common practice, no source.
LIKE_SHARE = 0.02


@dataclass(frozen=True)
class Doses:
    """The doses of one unit: lines, and one course per material and ion."""

    lines: tuple[SheetLine, ...] = ()
    courses: tuple[DoseCourse, ...] = ()


def doses_in_trial(setup: Setup, dose: Dose) -> int:
    """How often a dose is given, the first on the first day."""
    return math.ceil(dose.doses_per_week * setup.weeks - 1e-9)


def doses_of(setup: Setup, unit: str, net_l: float, plan: WaterPlan | None, problems: Problems) -> Doses:
    """All doses of one unit; one that cannot be measured out is noted among the problems and left out."""
    built = Doses()
    for dose in setup.doses:
        if setup.holds(dose.scope, unit):
            with problems.noted():
                line, gains = _given(setup.material(dose.material), dose, setup, unit, net_l)
                courses = tuple(_course(setup, unit, dose, ion, gain, plan) for ion, gain in gains.items())
                built = Doses((*built.lines, line), (*built.courses, *courses))
    return built


def _given(material: Material, dose: Dose, setup: Setup, unit: str, net_l: float) -> tuple[SheetLine, dict[str, float]]:
    """The line of a dose, and what the rounded dose adds to the unit's water by ion [mg/L]."""
    amount, measure = _amount(dose, net_l)
    line = sheet_line(unit, "doses", material.key, f"{material.label}, each dose", amount, measure, batch=material.batch,
                      times=doses_in_trial(setup, dose))
    if line.planned == 0:
        raise DesignError(f"{material.label}: a dose of {amount:.2g} {measure} rounds to nothing at steps of {FINEST[measure]}: give it "
                          "less often in larger doses, or dilute it.")
    if measure == "mg":
        gains = salt_gain_mg_l(material.formula, line.planned / 1000, net_l)
    else:
        gains = {ion: mg_ml * line.planned / net_l for ion, mg_ml in material.label_mg_ml}
    gains = {ion: float(gain) for ion, gain in gains.items()}
    return _with_note(line, dose, amount, {ion: gain for ion, gain in gains.items() if is_told_once(material, ion)}), gains


def _amount(dose: Dose, net_l: float) -> tuple[float, str]:
    """What is given each time before it is rounded, in mg of a dry salt or mL of a liquid."""
    litres = net_l if dose.per_litre else 1.0
    return (dose.mass_mg * litres, "mg") if dose.mass_mg is not None else ((dose.volume_ml or 0.0) * litres, "mL")


def unlike_doses(setup: Setup, net_l: Mapping[str, float]) -> dict[int, tuple[float, float, str]]:
    """Doses meant per litre that are not alike once rounded, by their place in the setup: least and most for each litre, mg or mL.

    In a small tank the step of a syringe or scale is a larger part of the dose than in a large one.
    """
    found = {}
    for place, dose in enumerate(setup.doses):
        given = [(_amount(dose, net_l[unit]), net_l[unit]) for unit in setup.units if dose.per_litre and setup.holds(dose.scope, unit)]
        rounded = [weighable(amount, measure) / litres for (amount, measure), litres in given]
        if rounded and max(rounded) > (1 + LIKE_SHARE) * min(rounded):
            found[place] = (min(rounded), max(rounded), given[0][0][1])
    return found


def is_told_once(material: Material, ion: str) -> bool:
    """Whether it is not the nitrogen or phosphorus of an ion that is told already; urea has no ion and counts by its nitrogen."""
    ions = [name for name, _ in salt(material.formula).ions] if material.kind == "salt" else []
    return not ions or ion in ions


def _with_note(line: SheetLine, dose: Dose, amount: float, gains: dict[str, float]) -> SheetLine:
    words = [f"{dose.doses_per_week:g} a week"]
    if gains:
        words.append("each adds " + ", ".join(f"{ion} {gain:.3g}" for ion, gain in gains.items()) + " mg/L")
    else:
        words.append("what it adds is not known: give what its label says one mL holds")
    if abs(line.planned - amount) > 0.1 * amount:
        words.append(f"rounded from {amount:.2g} {line.unit_of_measure}")
    if dose.mass_mg is not None and line.planned < LEAST_DRY_MG:
        words.append("too little for a pocket scale: weigh a hundred doses, dissolve them, and give a hundredth")
        line = replace(line, tolerance=max(1.0, to_step(SMALL_DOSE_SHARE * line.planned, 1)))
    return replace(line, note="; ".join(words))


def _course(setup: Setup, unit: str, dose: Dose, ion: str, gain_mg_l: float, plan: WaterPlan | None) -> DoseCourse:
    share, per_week = (plan.change_fraction, plan.changes_per_week) if plan is not None else (0.0, 0.0)
    weekly = tuple(gain_mg_l * left for left in doses_left(dose.doses_per_week, per_week, share, setup.weeks))
    if share * per_week == 0:
        return DoseCourse(unit, dose.material, ion, gain_mg_l, weekly, gain_mg_l * doses_in_trial(setup, dose))
    # Between two changes there are at most so many doses; between two doses at least so many changes.
    doses_between = math.ceil(dose.doses_per_week / per_week - 1e-9)
    changes_between = max(1, math.floor(per_week / dose.doses_per_week + 1e-9))
    bound = steady_mg_l(doses_between * gain_mg_l, 1 - (1 - share) ** changes_between).before
    return DoseCourse(unit, dose.material, ion, gain_mg_l, weekly, float(bound))


def doses_left(doses_per_week: float, changes_per_week: float, change_fraction: float, weeks: float) -> tuple[float, ...]:
    """How many doses' worth is in the water at the end of each week, before the change that falls there.

    A last week that is only begun ends with the trial: nothing is given or changed after it. Doses are given from the first day on at
    even steps, changes at the end of theirs; a change that meets a dose comes before it. This is the recursion of repeated doses and
    changes, walked dose by dose and change by change, so that the two need not keep step.

    >>> doses_left(1, 1, 0.5, 4)
    (1.0, 1.5, 1.75, 1.875)
    >>> doses_left(2, 1, 0.5, 1.25)
    (2.0, 2.0)
    """
    near, left, weekly = 1e-9, 0.0, []
    dose, change = 0, 1

    def is_due(week: float) -> bool:
        return changes_per_week > 0 and change / changes_per_week <= week

    for begun in range(1, max(1, math.ceil(weeks - near)) + 1):
        week = min(begun, weeks)
        while dose / doses_per_week < week - near:
            while is_due(dose / doses_per_week + near):
                left, change = left * (1 - change_fraction), change + 1
            left, dose = left + 1, dose + 1
        while is_due(week - near):
            left, change = left * (1 - change_fraction), change + 1
        weekly.append(left)
    return tuple(weekly)


def totals_of(setup: Setup, unit: str, courses: tuple[DoseCourse, ...], recipe: Recipe | None) -> tuple[IonTotal, ...]:
    """For each ion that is dosed: all doses together, on top of what the water as made is known to bring.

    The water that is changed in is the same as the first fill, so what it brings stays as it is.
    """
    brought = dict(recipe.ions_mg_l) if recipe is not None else {}
    by_ion: dict[str, list[DoseCourse]] = defaultdict(list)
    for course in courses:
        if is_told_once(setup.material(course.material), course.ion):
            by_ion[course.ion].append(course)
    totals = []
    for ion, parts in by_ion.items():
        water_mg_l = brought.get(ion, 0.0)
        weekly = tuple(water_mg_l + sum(values) for values in zip(*(part.weekly_mg_l for part in parts), strict=True))
        totals.append(IonTotal(unit, ion, water_mg_l, weekly, water_mg_l + sum(part.bound_mg_l for part in parts)))
    return tuple(totals)
