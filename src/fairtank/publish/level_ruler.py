"""The level ruler: a tank cut from front to back, to scale, with its bed, its water line, centimetres on one side and litres on the other.

Drawn in millimetres of paper. Litres are marked where only water stands: from the top of the bed to the water line.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

from fairtank.build import Tank
from fairtank.planning.sheet import UnitFacts
from fairtank.publish.charts import FONT, INK, QUIET_INK, fitted, spread_out, tidy_svg
from fairtank.publish.numbers import number, shown, trimmed
from fairtank.units import convert

GLASS, GLASS_EDGE, WATER = "#dbe5e6", "#8f9ea2", "#e4eff3"
# Earths, from the bottom up; neighbours differ in lightness and in grain, so that no reader depends on the hue.
EARTHS = (("#a08d76", "#6f5f4c"), ("#cfc0a8", "#a3927a"), ("#b3aca0", "#857e72"), ("#e0d7c6", "#b8ab93"), ("#8f857b", "#655c53"))
SCALES = (2, 2.5, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16, 18, 20, 25, 30, 40, 50)
_TEXT, _SMALL = 2.75, 2.4
_AXIS_MM, _LABELS_MM, _TOP_MM, _FOOT_MM = 10.5, 52.0, 5.5, 8.0
_ROW_MM = 3.7


@dataclass(frozen=True)
class Picture:
    """A drawing: SVG, what it shows in words, its width and height on paper [mm]."""

    svg: str
    description: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class _Paper:
    """Where the section stands on the paper: its scale, its left edge and the paper's y of the inner bottom [mm]."""

    tank: Tank
    scale: float
    left: float
    bottom: float

    def x(self, from_front_mm: float) -> float:
        """Place of a point so far behind the outer face of the front pane."""
        return self.left + from_front_mm / self.scale

    def y(self, above_bottom_mm: float) -> float:
        """Place of a level above the inner bottom."""
        return self.bottom - above_bottom_mm / self.scale

    @property
    def front(self) -> float:
        """The inner face of the front pane."""
        return self.x(self.tank.glass_mm)

    @property
    def back(self) -> float:
        """The inner face of the back pane."""
        return self.x(self.tank.width_mm - self.tank.glass_mm)


def litres_at(facts: UnitFacts, level_mm: float) -> float:
    """Water in the unit when it stands at a level above bed, stones and wood: each millimetre is one slice of the inner floor.

    Parameters
    ----------
    facts : UnitFacts
        The unit as built.
    level_mm : float
        Level above the inner bottom. [mm]

    Returns
    -------
    float
        Water, that in the pores of the bed included. [L]
    """
    return facts.net_l - (facts.water_mm - level_mm) * facts.inner_length_mm * facts.inner_width_mm / 1e6


def level_at(facts: UnitFacts, litres: float) -> float:
    """The level above the inner bottom [mm] at which so many litres are in the unit; the inverse of `litres_at`."""
    return facts.water_mm - (facts.net_l - litres) * 1e6 / (facts.inner_length_mm * facts.inner_width_mm)


def bed_top_mm(facts: UnitFacts) -> float:
    """The highest point of the bed above the inner bottom [mm]."""
    return max(sum(layer.front_mm for layer in facts.layers), sum(layer.back_mm for layer in facts.layers)) if facts.layers else 0.0


def level_ruler(tank: Tank, facts: UnitFacts, *, key: str, change_fraction: float = 0.0,
                room_mm: tuple[float, float] = (56.0, 64.0), with_us: bool = False) -> Picture:
    """A unit in section, to scale.

    Parameters
    ----------
    tank : Tank
        The glass.
    facts : UnitFacts
        The unit as built.
    key : str
        Letters, digits and hyphens; unique on the page.
    change_fraction : float
        Share of the water that a usual change takes; marked when above 0.
    room_mm : pair of float
        Most width and height of the section itself on paper. [mm]
    with_us : bool
        Whether inches and US gallons stand beside centimetres and litres.

    Returns
    -------
    Picture
        The drawing with its description.
    """
    scale = next((one for one in SCALES if tank.width_mm / one <= room_mm[0] and tank.height_mm / one <= room_mm[1]),
                 math.ceil(max(tank.width_mm / room_mm[0], tank.height_mm / room_mm[1])))
    paper = _Paper(tank, scale, _AXIS_MM, _TOP_MM + (tank.height_mm - tank.bottom_mm) / scale)
    width = _AXIS_MM + tank.width_mm / scale + _LABELS_MM
    height = _TOP_MM + tank.height_mm / scale + _FOOT_MM
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "width": f"{width:.2f}mm", "height": f"{height:.2f}mm",
                                       "viewBox": f"0 0 {width:.2f} {height:.2f}", "font-family": FONT, "font-size": f"{_TEXT}"})
    _draw_water(root, paper, facts)
    _draw_bed(root, paper, facts)
    _draw_glass(root, paper)
    _draw_centimetres(root, paper)
    taken = _draw_levels(root, paper, facts, change_fraction, with_us)
    _draw_litres(root, paper, facts, taken, with_us)
    _draw_layer_names(root, paper, facts)
    _draw_foot(root, paper, height)
    words = description(tank, facts, change_fraction, with_us=with_us)
    return Picture(tidy_svg(ElementTree.tostring(root, encoding="unicode"), key=key, description=words), words, width, height)


def description(tank: Tank, facts: UnitFacts, change_fraction: float = 0.0, *, with_us: bool = False) -> str:
    """The level ruler in words."""
    layers = "; ".join(f"{shown(layer.title)} {_depth_words(layer.front_mm, layer.back_mm)}" for layer in facts.layers)
    text = (f"Section of {shown(facts.unit)} from front to back: water line {_cm(facts.water_mm, with_us)} above the inner "
            f"bottom, {_litres(facts.net_l, with_us)} of water. Bed from the bottom up: {layers or 'none'}.")
    level = _change_level(facts, change_fraction)
    return text + (f" A change of {_percent(change_fraction)} lowers the water to {_cm(level, with_us)}." if level is not None else "")


# parts of the drawing ------------------------------------------------------------------------------------------------


def _draw_water(root: ElementTree.Element, paper: _Paper, facts: UnitFacts) -> None:
    top = paper.y(facts.water_mm)
    _box(root, paper.front, top, paper.back, paper.bottom, WATER)


def _draw_bed(root: ElementTree.Element, paper: _Paper, facts: UnitFacts) -> None:
    """Layers as slopes from front to back, each with a grain of its own; what would stand above the rim is cut off."""
    defs = ElementTree.SubElement(root, "defs")
    front = back = 0.0
    rim = paper.y(paper.tank.inner_height_mm)
    for number_, layer in enumerate(facts.layers):
        ground, grain = EARTHS[number_ % len(EARTHS)]
        _grain(defs, f"grain{number_}", grain, number_)
        corners = [(paper.front, paper.y(front)), (paper.back, paper.y(back)), (paper.back, paper.y(back + layer.back_mm)),
                   (paper.front, paper.y(front + layer.front_mm))]
        points = " ".join(f"{x:.3f},{max(y, rim):.3f}" for x, y in corners)
        ElementTree.SubElement(root, "polygon", {"points": points, "fill": ground, "stroke": "#ffffff", "stroke-width": "0.18",
                                                 "stroke-linejoin": "round"})
        ElementTree.SubElement(root, "polygon", {"points": points, "fill": f"url(#grain{number_})"})
        front, back = front + layer.front_mm, back + layer.back_mm


def _grain(defs: ElementTree.Element, name: str, grain: str, number_: int) -> None:
    """A pattern of grains on nothing: seams between its tiles cannot show. Finer from layer to layer, then from the start again."""
    size = (2.6, 1.5, 2.0, 1.2, 2.3)[number_ % 5]
    pattern = ElementTree.SubElement(defs, "pattern", {"id": name, "width": f"{size}", "height": f"{size}",
                                                       "patternUnits": "userSpaceOnUse"})
    for x, y, radius in ((0.25, 0.3, 0.14), (0.75, 0.15, 0.09), (0.6, 0.7, 0.13), (0.15, 0.8, 0.08)):
        ElementTree.SubElement(pattern, "circle", {"cx": f"{x * size:.2f}", "cy": f"{y * size:.2f}", "r": f"{radius * size:.3f}",
                                                   "fill": grain})


def _draw_glass(root: ElementTree.Element, paper: _Paper) -> None:
    tank = paper.tank
    rim, foot = paper.y(tank.inner_height_mm), paper.y(-tank.bottom_mm)
    for left, right, top in ((paper.left, paper.front, rim), (paper.back, paper.x(tank.width_mm), rim),
                             (paper.left, paper.x(tank.width_mm), paper.bottom)):
        _box(root, left, top, right, foot, GLASS, GLASS_EDGE)
    if tank.rim == "braced":
        brace = min(0.12 * tank.width_mm, 30.0) / paper.scale
        for left, right in ((paper.front, paper.front + brace), (paper.back - brace, paper.back)):
            _box(root, left, rim, right, rim + tank.glass_mm / paper.scale, GLASS, GLASS_EDGE)


def _draw_centimetres(root: ElementTree.Element, paper: _Paper) -> None:
    """The ruler on the left, from the inner bottom to the rim."""
    per_cm = 10 / paper.scale
    step = next(one for one in (1, 2, 5, 10) if one * per_cm >= 1.2)
    named = next(one for one in (5, 10, 20, 50, 100) if one * per_cm >= 5)
    _line(root, paper.left - 1.2, paper.y(0), paper.left - 1.2, paper.y(paper.tank.inner_height_mm), QUIET_INK, 0.18)
    for centimetres in range(0, int(paper.tank.inner_height_mm / 10) + 1, step):
        y, is_named = paper.y(10 * centimetres), centimetres % named == 0
        _line(root, paper.left - (3.2 if is_named else 2.2), y, paper.left - 1.2, y, QUIET_INK, 0.18)
        if is_named:
            _words(root, paper.left - 4.0, y + 0.95, str(centimetres), size=_SMALL, anchor="end", fill=QUIET_INK)
    _words(root, paper.left - 1.2, _TOP_MM - 2.3, "cm", size=_SMALL, anchor="end", fill=QUIET_INK)


def _draw_levels(root: ElementTree.Element, paper: _Paper, facts: UnitFacts, change_fraction: float, with_us: bool) -> list[float]:
    """Water line and the line of a usual change, with their words; returns the paper's y of all words, which the litre marks leave free."""
    y, label = paper.y(facts.water_mm), paper.x(paper.tank.width_mm) + 2.0
    _line(root, paper.front, y, paper.back, y, INK, 0.35)
    middle = (paper.front + paper.back) / 2
    ElementTree.SubElement(root, "path", {"d": f"M {middle - 1.3:.3f} {y - 2.1:.3f} h 2.6 L {middle:.3f} {y - 0.15:.3f} z", "fill": INK})
    _line(root, paper.x(paper.tank.width_mm) + 0.6, y, label, y, INK, 0.3)
    _words(root, label + 0.8, y + 0.2, f"water line {_cm(facts.water_mm, with_us)}", weight="bold")
    _words(root, label + 0.8, y + 3.5, f"{_litres(facts.net_l, with_us)} of water")
    taken = [y, y + 3.3]
    level = _change_level(facts, change_fraction)
    if level is not None:
        at = paper.y(level)
        _line(root, paper.front, at, paper.back, at, INK, 0.25, dash="1.2 0.9")
        _line(root, paper.x(paper.tank.width_mm) + 0.6, at, label, at, INK, 0.25)
        at = max(at, y + 7.0)
        _words(root, label + 0.8, at + 0.9, f"{_percent(change_fraction)} change: to {_cm(level, with_us)}")
        taken.append(at)
    return taken


def _change_level(facts: UnitFacts, change_fraction: float) -> float | None:
    """Where the water stands after a usual change; None where there is none, or where it would fall into the bed."""
    level = level_at(facts, (1 - change_fraction) * facts.net_l)
    return level if change_fraction > 0 and level > bed_top_mm(facts) else None


def _draw_litres(root: ElementTree.Element, paper: _Paper, facts: UnitFacts, taken: Sequence[float], with_us: bool) -> None:
    """Litres on the right, from the bed to the water line."""
    per_litre = 1e6 / (facts.inner_length_mm * facts.inner_width_mm) / paper.scale
    step = next((one for one in (0.5, 1, 2, 5, 10, 20, 50, 100, 200) if one * per_litre >= 4.2), 500)
    low = litres_at(facts, bed_top_mm(facts))
    left = paper.x(paper.tank.width_mm) + 0.6
    _line(root, left, paper.y(bed_top_mm(facts)), left, paper.y(facts.water_mm), QUIET_INK, 0.18)
    for count in range(math.ceil(max(low, 0) / step), math.floor(facts.net_l / step + 1e-9) + 1):
        y = paper.y(level_at(facts, count * step))
        _line(root, left, y, left + 1.4, y, QUIET_INK, 0.18)
        if all(abs(y - other) > 3.5 for other in taken):
            gallons = f" ({_gallons(count * step)})" if with_us else ""
            _words(root, left + 2.2, y + 0.95, f"{trimmed(number(count * step, 1))} L{gallons}", size=_SMALL, fill=QUIET_INK)


def _draw_layer_names(root: ElementTree.Element, paper: _Paper, facts: UnitFacts) -> None:
    """Each layer's name and depth beside its back end, moved apart where layers are thin."""
    if not facts.layers:
        return
    middles, back = [], 0.0
    for layer in facts.layers:
        middles.append(paper.y(back + layer.back_mm / 2))
        back += layer.back_mm
    places = spread_out(middles, _ROW_MM, 0.0, paper.y(-paper.tank.bottom_mm) + _FOOT_MM - 1.0)
    edge, label = paper.x(paper.tank.width_mm), paper.x(paper.tank.width_mm) + 5.0
    for layer, middle, place in zip(facts.layers, middles, places, strict=True):
        leader = f"M {paper.back - 1.0:.3f} {middle:.3f} H {edge + 1.4:.3f} L {label - 0.7:.3f} {place:.3f}"
        ElementTree.SubElement(root, "path", {"d": leader, "fill": "none", "stroke": INK, "stroke-width": "0.18"})
        ElementTree.SubElement(root, "circle", {"cx": f"{paper.back - 1.0:.3f}", "cy": f"{middle:.3f}", "r": "0.35", "fill": INK})
        depth = _depth_words(layer.front_mm, layer.back_mm)
        name = fitted(layer.title, _LABELS_MM - 6.5 - 0.5 * _SMALL * (len(depth) + 1), _SMALL)
        _words(root, label, place + 0.9, f"{name} {depth}", size=_SMALL)


def _draw_foot(root: ElementTree.Element, paper: _Paper, height: float) -> None:
    foot = paper.y(-paper.tank.bottom_mm) + 3.6
    _words(root, paper.left, foot, "front", size=_SMALL, fill=QUIET_INK)
    _words(root, paper.x(paper.tank.width_mm), foot, "back", size=_SMALL, anchor="end", fill=QUIET_INK)
    words = f"to scale, 1 : {paper.scale:g}; litres hold above bed, stones and wood"
    _words(root, paper.left, height - 1.0, words, size=_SMALL, fill=QUIET_INK)


# a divided tank from above -------------------------------------------------------------------------------------------


def tank_plan(tank: Tank, units: Sequence[str], unit: str, *, key: str, width_mm: float = 52.0) -> Picture:
    """A divided tank seen from above, with the unit's own compartment dark.

    Parameters
    ----------
    tank : Tank
        The glass.
    units : sequence of str
        The units in their compartments, from left to right; an empty text for a compartment without one.
    unit : str
        The unit that the page is about.
    key : str
        Letters, digits and hyphens; unique on the page.
    width_mm : float
        Width on paper. [mm]

    Returns
    -------
    Picture
        The drawing with its description.
    """
    scale = tank.length_mm / width_mm
    depth = min(tank.width_mm / scale, 26.0)
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "width": f"{width_mm}mm", "height": f"{depth + 4.5:.2f}mm",
                                       "viewBox": f"0 0 {width_mm} {depth + 4.5:.2f}", "font-family": FONT, "font-size": f"{_TEXT}"})
    _box(root, 0.1, 0.1, width_mm - 0.1, depth, GLASS, GLASS_EDGE)
    wall, divider = tank.glass_mm / scale, tank.divider_glass_mm / scale
    bay = (width_mm - 2 * wall - tank.dividers * divider) / tank.compartments
    for place, name in enumerate(units):
        left = wall + place * (bay + divider)
        _box(root, left, wall, left + bay, depth - wall, "#4d5860" if name == unit else "#ffffff", GLASS_EDGE)
        _words(root, left + bay / 2, depth / 2 + 1.0, fitted(name, bay - 2, _TEXT), anchor="middle",
               weight="bold" if name == unit else "normal", fill="#ffffff" if name == unit else QUIET_INK)
    _words(root, width_mm / 2, depth + 3.4, "front", size=_SMALL, anchor="middle", fill=QUIET_INK)
    named = ", ".join(shown(name) or "none" for name in units)
    words = f"Tank {shown(tank.key)} from above, its compartments from left to right: {named}; this page is about {shown(unit)}."
    svg = tidy_svg(ElementTree.tostring(root, encoding="unicode"), key=key, description=words)
    return Picture(svg, words, width_mm, depth + 4.5)


# strokes and words ---------------------------------------------------------------------------------------------------


def _box(root: ElementTree.Element, left: float, top: float, right: float, bottom: float, fill: str, edge: str = "") -> None:
    given = {"x": f"{left:.3f}", "y": f"{top:.3f}", "width": f"{max(right - left, 0):.3f}", "height": f"{max(bottom - top, 0):.3f}",
             "fill": fill}
    ElementTree.SubElement(root, "rect", {**given, **({"stroke": edge, "stroke-width": "0.15"} if edge else {})})


def _line(root: ElementTree.Element, x1: float, y1: float, x2: float, y2: float, colour: str, width: float, dash: str = "") -> None:
    given = {"x1": f"{x1:.3f}", "y1": f"{y1:.3f}", "x2": f"{x2:.3f}", "y2": f"{y2:.3f}", "stroke": colour, "stroke-width": f"{width}"}
    ElementTree.SubElement(root, "line", {**given, **({"stroke-dasharray": dash} if dash else {})})


def _words(root: ElementTree.Element, x: float, y: float, text: str, *, size: float = _TEXT, anchor: str = "start", weight: str = "normal",
           fill: str = INK) -> None:
    element = ElementTree.SubElement(root, "text", {"x": f"{x:.3f}", "y": f"{y:.3f}", "font-size": f"{size}", "text-anchor": anchor,
                                                    "font-weight": weight, "fill": fill})
    element.text = text


def _cm(length_mm: float, with_us: bool = False) -> str:
    inches = f" ({number(convert(length_mm, 'mm', 'in'), 1)} in)" if with_us else ""
    return f"{number(length_mm / 10, 1)} cm{inches}"


def _litres(volume_l: float, with_us: bool = False) -> str:
    return f"{number(volume_l, 1 if volume_l >= 2 else 2)} L{f' ({_gallons(volume_l)})' if with_us else ''}"


def _gallons(volume_l: float) -> str:
    return f"{number(convert(volume_l, 'L', 'US gal'), 1)} US gal"


def _percent(fraction: float) -> str:
    return f"{trimmed(number(100 * fraction, 1))} %"


def _depth_words(front_mm: float, back_mm: float) -> str:
    if round(front_mm, 1) == round(back_mm, 1):
        return _cm(front_mm)
    return f"{number(front_mm / 10, 1)} to {_cm(back_mm)}"
