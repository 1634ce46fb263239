"""The build sheet: from a setup to what each unit receives, to the gram and half millilitre, and the facts of the finished tanks."""

from dataclasses import dataclass

from fairtank.build import Setup
from fairtank.errors import DesignError
from fairtank.planning.building.beds import Bed, bed_of
from fairtank.planning.building.blending import Recipe, recipe_of, water_lines, water_of
from fairtank.planning.building.boxes import Body, body_of, glass_line, likeness_of
from fairtank.planning.building.doses import Doses, doses_of, totals_of, unlike_doses
from fairtank.planning.building.equipment import displaced_by_devices_l, equipment_lines, light_of
from fairtank.planning.building.hardscape import Hardscape, hardscape_of
from fairtank.planning.building.lighting import Lighting, lighting_of
from fairtank.planning.building.lines import in_order, marked, told_apart
from fairtank.planning.building.notices import caution_keys, notices
from fairtank.planning.building.number_checks import check_numbers
from fairtank.planning.building.planting import plant_lines
from fairtank.planning.building.problems import Problems
from fairtank.planning.building.setup_checks import check_setup
from fairtank.planning.building.tanks import tank_facts
from fairtank.planning.sheet import BuildSheet, SheetLine, UnitFacts
from fairtank.trial import BuildLine


@dataclass(frozen=True)
class _Unit:
    """One unit while the sheet is made."""

    unit: str
    body: Body
    bed: Bed
    hardscape: Hardscape
    lighting: Lighting
    recipe: Recipe | None
    net_l: float
    doses: Doses
    lines: tuple[SheetLine, ...]


def build_sheet(setup: Setup) -> BuildSheet:
    """What goes into each unit, to the gram and half millilitre, and what the finished tanks hold, weigh and need.

    Units get equal amounts unless a line of the setup is for some of them only. Net water is the gross volume less grains, rock, wood and
    equipment under water; plants are not taken off. Doses and salts are reckoned on it.

    Parameters
    ----------
    setup : Setup
        The whole build; lengths in mm, masses in kg, doses in mg or mL.

    Returns
    -------
    BuildSheet
        Lines by unit in the order of the plan and of building, facts by unit and by tank, courses of the doses, cautions.

    Raises
    ------
    DesignError
        If something is missing or cannot be reached; its message names everything that was found, one sentence per row.

    References
    ----------
    arithmetic, common_practice, and the sources of the calculators used (keys from sources.py).
    """
    problems = Problems()
    check_numbers(setup, problems)
    problems.refuse_if_any()
    check_setup(setup, problems)
    problems.refuse_if_any()
    built = [found for unit in setup.units if (found := _unit(setup, unit, problems)) is not None]
    problems.refuse_if_any()
    net_l, bed_kg = {one.unit: one.net_l for one in built}, {one.unit: one.bed.mass_kg for one in built}
    hardscape_kg = {one.unit: one.hardscape.mass_kg for one in built}
    tanks = []
    for tank in setup.tanks:
        with problems.noted(f"Tank {tank.key}"):
            tanks.append(tank_facts(setup, tank, net_l, bed_kg, hardscape_kg))
    problems.refuse_if_any()
    likeness = {unit: likeness_of(setup.tank_of(unit)) for unit in setup.units}
    courses = tuple(course for one in built for course in one.doses.courses)
    totals = tuple(total for one in built for total in totals_of(setup, one.unit, one.doses.courses, one.recipe))
    lines = marked(told_apart(setup, {one.unit: one.lines for one in built}), likeness, unlike_doses(setup, net_l))
    return BuildSheet(lines, tuple(_facts(setup, one) for one in built), tuple(tanks), courses, notices(setup, tanks, net_l),
                      caution_keys(setup), totals)


def _unit(setup: Setup, unit: str, problems: Problems) -> _Unit | None:
    """Everything about one unit, or None after a refusal that leaves nothing to work with."""
    tank, plan = setup.tank_of(unit), water_of(setup, unit)
    with problems.noted(f"Tank {tank.key}"):
        body = body_of(tank)
        bed, hardscape = bed_of(setup, unit, body, problems), hardscape_of(setup, unit, problems)
        net_l = body.gross_l - bed.grains_l - hardscape.displaced_l - displaced_by_devices_l(setup, unit)
        if net_l - bed.pore_l <= 0:
            raise DesignError(f"bed, rock, wood and equipment take up all of its {body.gross_l:.1f} L. Is a mass given in g instead of kg?")
        recipe, lighting = None, Lighting()
        water: tuple[SheetLine, ...] = ()
        with problems.noted("The light plan"):
            lighting = lighting_of(setup, unit, light_of(setup, unit))
        with problems.noted("The water plan"):
            recipe = recipe_of(setup, plan) if plan is not None else None
            water = water_lines(setup, unit, net_l, plan, recipe)
        doses = doses_of(setup, unit, net_l, plan, problems)
        lines = (glass_line(unit, tank, body), *bed.lines, *hardscape.lines, *equipment_lines(setup, unit, net_l), *lighting.lines, *water,
                 *plant_lines(setup, unit, body, problems), *doses.lines)
        return _Unit(unit, body, bed, hardscape, lighting, recipe, net_l, doses, in_order(lines))
    return None


def _facts(setup: Setup, one: _Unit) -> UnitFacts:
    body, recipe = one.body, one.recipe
    return UnitFacts(one.unit, setup.tank_of(one.unit).key, body.tank_share, body.inner_length_mm, body.inner_width_mm, body.water_mm,
                     body.gross_l, one.net_l, one.net_l - one.bed.pore_l, one.bed.pore_l, one.bed.layers,
                     kh_dkh=recipe.kh_dkh if recipe else None, gh_dgh=recipe.gh_dgh if recipe else None,
                     daily_light_mol_m2=one.lighting.daily_mol_m2)


def build_lines(sheet: BuildSheet) -> tuple[BuildLine, ...]:
    """The sheet as rows of build.csv, ready for what was weighed to be written beside what was planned.

    The material of a row is the line's title, which is what a report shows and is told apart from every other line of the unit.

    Parameters
    ----------
    sheet : BuildSheet
        The whole sheet.

    Returns
    -------
    tuple of BuildLine
        One row per line, in the order of the sheet; weighed is None.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return tuple(BuildLine(line.unit, line.title, line.part, line.planned, None, line.unit_of_measure, line.batch, line.note)
                 for line in sheet.lines)
