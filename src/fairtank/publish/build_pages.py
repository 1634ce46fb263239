"""The build sheets: one page of A4 for each unit with its level ruler, its lines and room for what was weighed, then what to know.

A page says which unit it is and where it stands, and nothing of its arm.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from fairtank import __version__
from fairtank.build import Setup
from fairtank.planning.effects.side_effect import SideEffect
from fairtank.planning.sheet import BuildSheet, SheetLine, TankFacts, UnitFacts
from fairtank.publish.level_ruler import Picture, level_ruler, tank_plan
from fairtank.publish.numbers import figures, number, shown, trimmed
from fairtank.publish.pdf import template_pdf
from fairtank.publish.side_effect_words import side_effect_text
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.science.glass import USUAL_LEAST_SAFETY

SHEETS_TEMPLATE = "build.typ"
PART_WORDS = {"glass": "glass", "bed": "bed", "hardscape": "stone, wood", "equipment": "equipment", "light": "light", "water": "water",
              "plants": "plants", "doses": "doses"}
COLUMNS = ("", "What", "Planned", "", "Within", "Weighed", "Batch", "Done")
SIGNED = ("Weighed by", "Date", "Seen by")
EFFECTS_TITLE = "What the change brings besides itself"
# Rooms for the level ruler, from the largest down: the template takes the first with which the page holds.
RULER_HEIGHTS_MM = (64.0, 54.0, 46.0, 38.0)
PRACTICE, PRACTICE_MARK = "(common practice, no source)", "*"
_DECIMALS = {"kg": 3, "g": 2, "mg": 0, "L": 2, "mL": 1, "piece": 0, "%": 0, "h": 2}
LONGEST_BRIEF = 34
BRIEF_REMARK = "So that everything stands on one page, notes are cut short here; in full they stand in build.csv."
TOTALS_TITLE = "What the doses build up to"
TOTALS_TEXT = ("Each week's end, in mg/L, with no uptake by plants: no tank exceeds this. What the water as made is known to bring is "
               "counted in; what nobody tested is not.")
TOTALS_HEAD = ("Tanks", "Ion", "Water as made", "After week 1", "At the end", "Never above")


@dataclass(frozen=True)
class Place:
    """Where a unit stands, as the plan says: position words, and the units of its tank from left to right, itself included."""

    words: str = ""
    neighbours: tuple[str, ...] = ()


@dataclass(frozen=True)
class BuildContent:
    """Everything that the build sheets show. title: of the trial, else of the folder. places: by unit; may be left out."""

    title: str
    setup: Setup
    sheet: BuildSheet
    effects: tuple[SideEffect, ...]
    places: dict[str, Place] = field(default_factory=dict, hash=False)


def sheets_pdf(content: BuildContent) -> bytes:
    """The build sheets as PDF/UA-1.

    Parameters
    ----------
    content : BuildContent
        The sheet, the setup that it was made from, and what the change brings besides itself.

    Returns
    -------
    bytes
        A tagged PDF; the same content gives the same bytes.

    References
    ----------
    iso14289 (keys from sources.py).
    """
    pictures: dict[str, str] = {}
    units = [_page(content, facts, place, pictures) for place, facts in enumerate(content.sheet.units)]
    title = f"Build sheets: {shown(content.title)}"
    data = {
        "title": title, "short_title": title if len(title) <= 90 else title[:89] + "…", "columns": list(COLUMNS), "signed": list(SIGNED),
        "units": units, "effects": _effects(content.effects), "totals": _totals(content.sheet),
        "notices": [shown(text) for text in content.sheet.cautions],
        "cautions": [{"title": CAUTIONS[key].title, "text": CAUTIONS[key].text} for key in content.sheet.caution_keys],
        "last_word": LAST_WORD, "brief_remark": BRIEF_REMARK, "foot": [f"Made with fairtank {__version__}."],
    }
    return template_pdf(SHEETS_TEMPLATE, data, pictures)


# one unit ------------------------------------------------------------------------------------------------------------


def _page(content: BuildContent, facts: UnitFacts, place: int, pictures: dict[str, str]) -> dict[str, Any]:
    """All that one page says; its drawings are added to the pictures."""
    setup, sheet = content.setup, content.sheet
    tank, own = setup.tank_of(facts.unit), next(box for box in sheet.tanks if facts.unit in box.units and box.tank == facts.tank)
    where = content.places.get(facts.unit, Place())
    change = next((plan.change_fraction for plan in setup.water if setup.holds(plan.scope, facts.unit)), 0.0)
    rulers = [_laid(level_ruler(tank, facts, key=f"ruler{place}-{size}", change_fraction=change, room_mm=(56.0, height_mm)),
                    f"ruler{place}-{size}.svg", pictures) for size, height_mm in enumerate(RULER_HEIGHTS_MM)]
    plan = None
    if tank.compartments > 1:
        neighbours = where.neighbours or own.units
        names = (*neighbours, *("" for _ in range(tank.compartments - len(neighbours))))
        plan = _laid(tank_plan(tank, names, facts.unit, key=f"plan{place}"), f"plan{place}.svg", pictures)
    rows = [_row(line) for line in sheet.lines_of(facts.unit)]
    return {"unit": shown(facts.unit), "where": _where(facts, tank.title, where), "pictures": rulers, "plan": plan,
            "facts_head": ["Water in the tank", _with_unit(facts.net_l, 1, "L")], "facts": _facts(facts, own), "warning": _warning(own),
            "rows": rows, "remarks": _remarks(sheet, rows)}


def _laid(picture: Picture, file: str, pictures: dict[str, str]) -> dict[str, Any]:
    pictures[file] = picture.svg
    return {"file": file, "description": picture.description, "width_mm": picture.width_mm}


def _where(facts: UnitFacts, title: str, where: Place) -> str:
    tank = "" if facts.tank == facts.unit and not title else f"tank {shown(title or facts.tank)}"
    return ", ".join(part for part in (tank, shown(where.words)) if part)


def _facts(facts: UnitFacts, tank: TankFacts) -> list[list[str]]:
    """Key facts as pairs of a name and a number with its unit."""
    whole = "the whole tank" if len(tank.units) > 1 else "the tank"
    name, safety = weakest_glass(tank)
    pairs = [
        ("of it moving freely", _with_unit(facts.free_l, 1, "L")),
        ("of it in the bed's pores", _with_unit(facts.pore_l, 1, "L")),
        ("empty box, to the water line", _with_unit(facts.gross_l, 1, "L")),
        ("KH and GH as made", f"{number(facts.kh_dkh, 1)} and {number(facts.gh_dgh, 1)}"
         if facts.kh_dkh is not None and facts.gh_dgh is not None else ""),
        ("light at the bed, a day", "" if facts.daily_light_mol_m2 is None else f"{number(facts.daily_light_mol_m2, 2)} mol/m²"),
        (f"{whole} on its stand", _with_unit(tank.weight_kg, 0 if tank.weight_kg >= 10 else 1, "kg")),
        ("pressure on the stand", f"{number(tank.pressure_kn_m2, 1)} kN/m²"),
        (f"weakest glass: {name}", "not screened" if safety is None else f"safety {number(safety, 1)}"),
        (f"heater for {whole}", f"{number(tank.heater_low_w, 0)} to {_with_unit(tank.heater_high_w, 0, 'W')}"),
    ]
    return [[name, value] for name, value in pairs if value]


def weakest_glass(tank: TankFacts) -> tuple[str, float | None]:
    """The pane or divider with the least safety factor; one that is too long for the screening comes before all others, as None."""
    unscreened = next((pane.pane for pane in tank.panes if pane.panel is None), None)
    if unscreened is not None:
        return unscreened, None
    safety, name = min((float(pane.panel.safety_factor), pane.pane) for pane in tank.panes if pane.panel is not None)
    return name, safety


def _warning(tank: TankFacts) -> str:
    name, safety = weakest_glass(tank)
    if safety is None:
        return f"The glass could not be screened ({name}). Ask a glazier before any water goes in."
    if safety >= USUAL_LEAST_SAFETY:
        return ""
    return (f"Safety of the glass {number(safety, 1)}: below {USUAL_LEAST_SAFETY:g}, the least that is usual. Ask a glazier before any "
            "water goes in.")


def _row(line: SheetLine) -> dict[str, Any]:
    decimals = _DECIMALS.get(line.unit_of_measure, 0)
    unit = line.unit_of_measure
    if unit == "piece" and line.planned != 1:
        unit = "pieces"
    note = shown(line.note).replace(f" {PRACTICE}", PRACTICE_MARK).replace(PRACTICE, PRACTICE_MARK)
    times = f"{line.times} times; " if line.times > 1 else ""
    off = "exact" if line.tolerance == 0 else f"± {_off(line.tolerance, decimals)}"
    return {"part": PART_WORDS.get(line.part, line.part), "what": shown(line.title), "note": times + note, "brief": _brief(times + note),
            "differs": line.differs,
            "planned": _planned(line, decimals), "unit": unit, "tolerance": off, "batch": shown(line.batch)}


def _brief(note: str) -> str:
    """The first words of a note, as many whole parts of it as fit; the mark of what has no source stays."""
    parts = note.split("; ")
    kept = parts[0]
    for part in parts[1:]:
        if len(kept) + len(part) > LONGEST_BRIEF:
            break
        kept = f"{kept}; {part}"
    return kept if len(kept) <= 2 * LONGEST_BRIEF else kept[: 2 * LONGEST_BRIEF - 1].rstrip() + "…"


def _planned(line: SheetLine, decimals: int) -> str:
    """The amount with all decimals of its scale, so that columns line up; hours without empty ones."""
    text = number(line.planned, decimals)
    return trimmed(text) if line.unit_of_measure == "h" else text


def _off(tolerance: float, decimals: int) -> str:
    """A tolerance with as many decimals as the amount, or more where it would be rounded away."""
    return number(tolerance, decimals) if round(tolerance, decimals) else trimmed(number(tolerance, decimals + 2))


def _remarks(sheet: BuildSheet, rows: Sequence[dict[str, Any]]) -> list[str]:
    """What the marks of a page mean, and which cautions to read before the work begins."""
    said = []
    if any(row["differs"] for row in rows):
        said.append("(differs): not the same in all tanks.")
    if any(PRACTICE_MARK in row["note"] for row in rows):
        said.append(f"{PRACTICE_MARK} common practice, no source.")
    titles = ", ".join(CAUTIONS[key].title.lower() for key in sheet.caution_keys)
    if titles:
        said.append(f"Read on the last pages before you begin: {titles}. The glass was screened only: that is no structural calculation.")
    return said


# what to know --------------------------------------------------------------------------------------------------------


def _effects(effects: Sequence[SideEffect]) -> dict[str, Any]:
    intro = ("These come along with what differs between the tanks. What cannot be made equal belongs in the report." if effects else
             "No line differs between the tanks, or what differs brings nothing along that fairtank knows of.")
    return {"title": EFFECTS_TITLE, "intro": intro, "items": list(side_effect_text(tuple(effects)))}


def _totals(sheet: BuildSheet) -> dict[str, Any]:
    """What each ion builds up to; units with the same numbers stand together."""
    held: dict[tuple[str, ...], list[str]] = {}
    for total in sheet.totals:
        weeks = total.weekly_mg_l or (total.bound_mg_l,)
        numbers = (weeks[0], weeks[-1], total.bound_mg_l)
        told = ("none known" if total.water_mg_l == 0 else figures(total.water_mg_l), *(figures(value) for value in numbers))
        held.setdefault((shown(total.ion), *told), []).append(shown(total.unit))
    rows = [["all" if len(units) == len(sheet.units) else ", ".join(units), *row] for row, units in held.items()]
    return {"title": TOTALS_TITLE, "text": TOTALS_TEXT, "head": list(TOTALS_HEAD), "rows": rows}


def _with_unit(value: float, decimals: int, unit: str) -> str:
    return f"{number(value, decimals)} {unit}"
