"""The glass: the water body of each unit, the panes and dividers, the weight on the stand."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.build import Setup, Tank
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.sheet import PaneCheck, SheetLine
from fairtank.science.bed import bay_length_mm
from fairtank.science.glass import USUAL_LEAST_SAFETY, Panel, divider_thrust, panel
from fairtank.science.plates import HIGHEST_RATIO, LOWEST_RATIO
from fairtank.science.vessel import GLASS_KG_L, gross_volume_l, weight_on_stand_kg


@dataclass(frozen=True)
class Body:
    """The water body of one unit: inner length and width, water line [mm], gross volume [L], its part of its tank's water."""

    inner_length_mm: float
    inner_width_mm: float
    water_mm: float
    gross_l: float
    tank_share: float

    @property
    def floor_cm2(self) -> float:
        """The inner floor [cm²]."""
        return self.inner_length_mm * self.inner_width_mm / 100


def body_of(tank: Tank) -> Body:
    """The water body of a unit in this tank: the whole inside, or one of its equal compartments."""
    length_mm = float(bay_length_mm(tank.length_mm, tank.glass_mm, tank.dividers, tank.divider_glass_mm))
    gross_l = float(gross_volume_l(length_mm, tank.inner_width_mm, tank.water_mm, 0.0))
    return Body(length_mm, tank.inner_width_mm, tank.water_mm, gross_l, 1 / tank.compartments)


def likeness_of(tank: Tank) -> Tank:
    """The tank without its names: units whose tanks are equal in this are comparable to the gram."""
    return replace(tank, key="", title="")


def glass_line(unit: str, tank: Tank, body: Body) -> SheetLine:
    """The line that says which glass a unit stands in and where its water line is."""
    rim = "braced rim" if tank.rim == "braced" else "open rim"
    box = f"{tank.length_mm:g} x {tank.width_mm:g} x {tank.height_mm:g} mm outside, {tank.glass_mm:g} mm glass, {rim}"
    fill = f"water line {tank.water_mm:g} mm above the inner bottom"
    if tank.dividers == 0:
        return sheet_line(unit, "glass", tank.key, "glass box", 1, "piece", note=f"{box}; {fill}")
    part = f"one of {tank.compartments}, {body.inner_length_mm:.1f} mm long, in a box of {box}"
    return sheet_line(unit, "glass", tank.key, "compartment", 1, "piece", note=f"{part}; {fill}")


def panes_of(tank: Tank) -> tuple[PaneCheck, ...]:
    """Front and back, the sides, and each divider, as bending plates under the water line.

    Front, back and sides count with their outer size, because the seams lie between the outer and the inner one: a little too wide is
    the safe side. Dividers give them no help, because they may stand loose. A divider spans from front to back, is as high as the
    inside, and has water on one side only: the worst that can happen while filling. The top edge of a divider is always free.
    """
    support = "braced" if tank.rim == "braced" else "free_top"
    found = [PaneCheck(name, width_mm, tank.inner_height_mm, tank.glass_mm, support, _bent(tank, width_mm, tank.glass_mm, support))
             for name, width_mm in (("front and back", tank.length_mm), ("sides", tank.width_mm))]
    if tank.dividers:
        bent = _bent(tank, tank.inner_width_mm, tank.divider_glass_mm, "free_top")
        thrust_n = float(divider_thrust(tank.inner_width_mm, tank.water_mm).force_n)
        found += [PaneCheck(f"divider {number + 1}", tank.inner_width_mm, tank.inner_height_mm, tank.divider_glass_mm, "free_top", bent,
                            thrust_n) for number in range(tank.dividers)]
    return tuple(found)


def _bent(tank: Tank, width_mm: float, thickness_mm: float, support: str) -> Panel | None:
    """The bending of one pane; a very narrow one counts as half as wide as high, which is the safe side; a very long one is not known."""
    height_mm = tank.inner_height_mm
    if width_mm > HIGHEST_RATIO * height_mm:
        return None
    return panel(max(width_mm, LOWEST_RATIO * height_mm), height_mm, tank.water_mm, thickness_mm, support)


def pane_cautions(label: str, tank: Tank, panes: Sequence[PaneCheck]) -> tuple[str, ...]:
    """What must be said about the glass of a tank: weak panes, the bottom, dividers."""
    said = []
    for pane in panes:
        if pane.panel is None:
            said.append(f"{label}, {pane.pane}: more than {HIGHEST_RATIO:g} times as long as high, which the screening does not cover. So "
                        "long a pane needs braces and a glazier's own calculation.")
        elif pane.panel.safety_factor < USUAL_LEAST_SAFETY:
            said.append(f"{label}, {pane.pane}: {pane.thickness_mm:g} mm glass is stressed to {pane.panel.stress_mpa:.1f} MPa, safety "
                        f"factor {pane.panel.safety_factor:.1f}; {USUAL_LEAST_SAFETY:g} is the usual least of the trade (from memory). Ask "
                        "a glazier before filling.")
    said.append(f"{label}, bottom: {tank.bottom_mm:g} mm, not computed, because it must lie on a flat stand over its whole area; put a "
                "soft mat under it unless its maker forbids one.")
    if tank.dividers:
        thrust_n = max(pane.thrust_n or 0.0 for pane in panes)
        said.append(f"{label}, dividers: with water on one side only, the seam of a divider carries {thrust_n:.0f} N. Fill and empty all "
                    "compartments together.")
    return tuple(said)


def weight_kg(tank: Tank, *, net_water_l: float, bed_kg: float, hardscape_kg: float, equipment_kg: float) -> float:
    """What the stand carries under one tank, dividers and a thicker bottom pane included."""
    walls_from_mm = tank.height_mm - tank.bottom_mm + tank.glass_mm
    box_kg = float(weight_on_stand_kg(tank.length_mm, tank.width_mm, walls_from_mm, tank.glass_mm, net_water_l=net_water_l, bed_kg=bed_kg,
                                      hardscape_kg=hardscape_kg, equipment_kg=equipment_kg))
    thicker_mm3 = tank.length_mm * tank.width_mm * (tank.bottom_mm - tank.glass_mm)
    dividers_mm3 = tank.dividers * tank.inner_width_mm * tank.inner_height_mm * tank.divider_glass_mm
    return box_kg + GLASS_KG_L * (thicker_mm3 + dividers_mm3) / 1e6


def units_in(setup: Setup, tank: Tank) -> tuple[str, ...]:
    """The units that stand in a tank, in the order of the plan."""
    return tuple(unit for unit, key in setup.places if key == tank.key)
