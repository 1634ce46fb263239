"""What a fertiliser of one arm brings besides what it is given for: the partner ions of its salt, hardness and alkalinity."""

from collections.abc import Iterator, Sequence

from fairtank.build import Material, Setup
from fairtank.planning.effects.side_effect import IONS, SideEffect, is_apart
from fairtank.planning.sheet import BuildSheet, DoseCourse
from fairtank.science.dosing import salt_gain_mg_l, salt_mass_g
from fairtank.science.formulas import molar_mass_g_mol
from fairtank.science.salts import salt

# What a salt is given for: the first of these that it holds. Its other ions come along. Common practice, no source.
MEANT_FIRST = ("NO3", "PO4", "NH4", "N", "Fe", "K", "Mg", "Ca", "HCO3", "Na")
# Another salt that brings the same ion without the nutrient; sulfate and chloride, which come with it, are the lesser evil. Common
# practice, no source.
WITHOUT_THE_NUTRIENT = {"K": "K2SO4", "Mg": "MgSO4.7H2O", "Ca": "CaCl2.2H2O", "Na": "NaCl"}
# A drop test shows half a degree; a fifth of it is no matter. Common practice, no source.
LEAST_DEGREES = 0.1
# Molar conductivity of ions in thin water at 25 °C [µS/cm for each mmol/L]; phosphate as the ion with two hydrogens
# that it mostly is below pH 7. Literature values, from memory; salts together reach a few percent less.
CONDUCTIVITY_US_CM_MMOL = {
    "K": 73.5, "Na": 50.1, "NH4": 73.5, "Ca": 119.0, "Mg": 106.1, "NO3": 71.4, "Cl": 76.3, "SO4": 160.0, "HCO3": 44.5, "PO4": 36.0,
}
IONS_TOGETHER = 0.85


def dose_effects(setup: Setup, sheet: BuildSheet, unit: str) -> Iterator[SideEffect]:
    """Of each dose that not all units get: its partner ions and the hardness it brings, from one dose to what it builds up to."""
    courses = [course for course in sheet.courses if course.unit == unit]
    lines = [line for line in sheet.lines_of(unit) if line.part == "doses"]
    held = [dose for dose in setup.doses if setup.holds(dose.scope, unit)]
    for dose, line in zip(held, lines, strict=True):
        material = setup.material(dose.material)
        given = gains_of(material)
        own, courses = courses[:len(given)], courses[len(given):]
        if is_apart(setup, dose.scope) and own:
            yield from _partners(sheet, unit, material, _without_elements(material, own))
            if material.formula:
                yield from _hardness(sheet, unit, material, line.planned, own[0])
                yield from _conductivity(unit, material, _without_elements(material, own))


def gains_of(material: Material) -> tuple[str, ...]:
    """What a dose of it adds, in the order of the sheet's courses: ions, and with a salt its nitrogen and phosphorus as elements."""
    return tuple(salt_gain_mg_l(material.formula, 1.0, 1.0)) if material.formula else tuple(ion for ion, _ in material.label_mg_ml)


def meant_ion(ions: Sequence[str]) -> str:
    """What a salt or liquid with these ions is given for.

    >>> meant_ion(("K", "NO3")), meant_ion(("K", "SO4"))
    ('NO3', 'K')
    """
    return next((ion for ion in MEANT_FIRST if ion in ions), ions[0])


def _without_elements(material: Material, courses: Sequence[DoseCourse]) -> list[DoseCourse]:
    """The courses without those of elements that are the same atoms as one of the ions."""
    ions = [ion for ion, _ in salt(material.formula).ions] if material.formula else []
    return [course for course in courses if not ions or course.ion in ions]


def _partners(sheet: BuildSheet, unit: str, material: Material, courses: Sequence[DoseCourse]) -> Iterator[SideEffect]:
    ions = [course.ion for course in courses]
    meant = meant_ion(ions) if material.formula else ions[0]
    for course in courses:
        if course.ion != meant:
            other = WITHOUT_THE_NUTRIENT.get(course.ion, "")
            mass_mg = 1000 * float(salt_mass_g(other, course.ion, course.gain_mg_l, sheet.facts_of(unit).net_l)) if other else None
            low, amount, high = _course_range(course)
            yield SideEffect(unit, IONS.get(course.ion, course.ion), amount, low, high, "mg/L", material.label,
                             "from one dose to what repeated doses never exceed, with no uptake; at the end of the trial",
                             "same_ion" if other else "say", other, mass_mg, "mg" if other else "")


def _hardness(sheet: BuildSheet, unit: str, material: Material, dose_mg: float, course: DoseCourse) -> Iterator[SideEffect]:
    dissolved = salt(material.formula)
    grams_l = dose_mg / 1000 / sheet.facts_of(unit).net_l
    parts = [part / course.gain_mg_l for part in _course_range(course)]
    for factor, unit_of_measure, degrees in (("general hardness", "dGH", dissolved.dgh_per_g_l * grams_l),
                                             ("carbonate hardness", "dKH", dissolved.dkh_per_g_l * grams_l)):
        if degrees * parts[2] >= LEAST_DEGREES:
            low, amount, high = (part * degrees for part in parts)
            yield SideEffect(unit, factor, amount, low, high, unit_of_measure, material.label,
                             "dose / net water × degrees for each g/L; from one dose to what repeated doses never exceed", "same_hardness")


def _conductivity(unit: str, material: Material, courses: Sequence[DoseCourse]) -> Iterator[SideEffect]:
    """What the ions of a salt add to the conductivity; nothing for a salt with an ion whose conductivity is not known here."""
    if all(course.ion in CONDUCTIVITY_US_CM_MMOL for course in courses):
        low, amount, high = (sum(CONDUCTIVITY_US_CM_MMOL[course.ion] * part / molar_mass_g_mol(course.ion)
                                 for course, part in zip(courses, parts, strict=True))
                             for parts in zip(*map(_course_range, courses), strict=True))
        yield SideEffect(unit, "conductivity", amount, IONS_TOGETHER * low, high, "µS/cm", material.label,
                         "sum of ions × their molar conductivity; from one dose to what repeated doses never exceed", "compare_rise")


def _course_range(course: DoseCourse) -> tuple[float, float, float]:
    """One dose (or what is left of it), the value at the end of the trial, and the bound [mg/L], in order."""
    last = course.weekly_mg_l[-1]
    return min(course.gain_mg_l, last), last, course.bound_mg_l
