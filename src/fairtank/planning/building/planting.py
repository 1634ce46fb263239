"""Plants of one unit in whole plugs and stems, as many in each unit."""

from fairtank.build import Material, Planting, Setup
from fairtank.errors import DesignError
from fairtank.planning.building.boxes import Body
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.building.problems import Problems
from fairtank.planning.building.rounding import to_step
from fairtank.planning.sheet import SheetLine

ZONE_WORDS = {"foreground": "foreground", "midground": "middle", "background": "background", "on_wood": "on wood or stone",
              "floating": "floating"}
# The part of the floor that a zone takes where the setup does not say: three equal strips, and the whole surface for floating plants.
# A rule of fairtank, so that equal units get equal numbers; it is no advice on design.
USUAL_FLOOR_SHARE = {"foreground": 1 / 3, "midground": 1 / 3, "background": 1 / 3, "floating": 1.0}
FLOOR_ZONES = ("foreground", "midground", "background")
# Habits of the trade, no source.
STOCK_WORDS = {
    "in_vitro": "from a cup: soft, free of algae and snails, slow to adapt; rinse the gel off",
    "potted": "from pots: leaves grown in air melt and come again",
    "bunched": "bunched: trim the stem ends",
    "own": "from own tanks: may carry algae and snails",
}


def plant_lines(setup: Setup, unit: str, body: Body, problems: Problems) -> tuple[SheetLine, ...]:
    """One line per planting; one that cannot be planted is noted among the problems and left out."""
    lines, floor_cm2 = [], 0.0
    for planting in setup.plantings:
        if setup.holds(planting.scope, unit):
            with problems.noted():
                lines.append(_line(setup.material(planting.material), planting, unit, body))
            if planting.zone in FLOOR_ZONES and planting.count is None:
                floor_cm2 += area_cm2(planting, body)
    if floor_cm2 > body.floor_cm2 * (1 + 1e-9):
        problems.add(f"The plantings take {floor_cm2:.0f} cm² of a floor of {body.floor_cm2:.0f} cm²: make areas smaller, or give counts.")
    return tuple(lines)


def area_cm2(planting: Planting, body: Body) -> float:
    """The area a planting takes: as given, else as a share of the inner floor, else the usual strip of its zone."""
    if planting.area_cm2 is not None:
        return planting.area_cm2
    share = USUAL_FLOOR_SHARE[planting.zone] if planting.area_fraction is None else planting.area_fraction
    return share * body.floor_cm2


def _line(material: Material, planting: Planting, unit: str, body: Body) -> SheetLine:
    words = []
    if planting.count is not None:
        count = planting.count
    else:
        # Halves go up: a plug more is easier to find room for than one less.
        count = int(to_step((planting.per_100_cm2 or 0.0) * area_cm2(planting, body) / 100, 1))
        words.append(f"{planting.per_100_cm2:g} to 100 cm² on {area_cm2(planting, body):.0f} cm²")
    if count < 1:
        raise DesignError(f"{material.label}: the planting comes to less than half a plug per unit; give a larger area or a count.")
    if material.pieces_per_pack and material.pieces_per_pack != 1:
        words.append(f"{count / material.pieces_per_pack:.1f} packs of {material.pieces_per_pack:g}")
    words.append(f"{STOCK_WORDS[planting.stock]} (common practice, no source)")
    title = f"{material.label}, {ZONE_WORDS[planting.zone]}"
    return sheet_line(unit, "plants", material.key, title, count, "piece", note="; ".join(words), batch=material.batch)
