"""What a build sheet says: one line per thing that goes into a unit, and the facts of the finished tank, as frozen dataclasses."""

from dataclasses import dataclass

from fairtank.science.glass import Panel

# The parts of a sheet, in the order in which a keeper builds.
PARTS = ("glass", "bed", "hardscape", "equipment", "light", "water", "plants", "doses")


@dataclass(frozen=True)
class SheetLine:
    """One thing to weigh, pour, count or set in one unit.

    part: one of PARTS. material: its key in the catalogue, else what it is. title: what readers call it; no other line of the unit has
    the same. planned: rounded to what can be weighed and poured (1 g; 0.01 g of a salt for the water; 1 mg or 0.5 mL of a dose; 0.01 L;
    whole pieces). tolerance: how far the weighed amount may be off, in the same unit. note: how deep, how long, which setting. differs:
    the line is not the same in all units, or a dose per litre comes to unlike amounts for each litre once rounded. batch: as printed on
    the bag. times: how often over the trial this amount is given; 1 for what is built in.
    """

    unit: str
    part: str
    material: str
    title: str
    planned: float
    unit_of_measure: str
    tolerance: float
    note: str = ""
    differs: bool = False
    batch: str = ""
    times: int = 1


@dataclass(frozen=True)
class PaneCheck:
    """The screening of one pane or divider: which one, its size between the edges that hold it, and the bending result.

    width_mm: of the front, the back and the sides the outer size, of a divider the space between front and back. height_mm: from the
    inner bottom to the top edge. panel: None for a pane too long for the screening. thrust_n: of a divider, the push of the water on one
    side of it; None for a pane.
    """

    pane: str
    width_mm: float
    height_mm: float
    thickness_mm: float
    support: str
    panel: Panel | None
    thrust_n: float | None = None


@dataclass(frozen=True)
class LayerFacts:
    """One layer as built: title, mass [kg], mean depth and, on a slope, depth at the front and at the back [mm], from the bottom up."""

    title: str
    mass_kg: float
    depth_mm: float
    front_mm: float
    back_mm: float


@dataclass(frozen=True)
class UnitFacts:
    """One unit as built.

    inner_length_mm, inner_width_mm, water_mm: the water body. gross_l: to the water line. net_l: less grains, stones, wood and equipment.
    free_l: net less pore water. pore_l: water in the bed. tank_share: 1, or the compartment's part of its tank's water. layers: from the
    bottom up. kh_dkh, gh_dgh: hardness of the water as made; None where no water was planned. daily_light_mol_m2: light at the bed per
    day; None where no light was planned.
    """

    unit: str
    tank: str
    tank_share: float
    inner_length_mm: float
    inner_width_mm: float
    water_mm: float
    gross_l: float
    net_l: float
    free_l: float
    pore_l: float
    layers: tuple[LayerFacts, ...]
    kh_dkh: float | None = None
    gh_dgh: float | None = None
    daily_light_mol_m2: float | None = None


@dataclass(frozen=True)
class TankFacts:
    """One glass box as built: weight on the stand [kg], pressure on it [kN/m²], panes, heater, heat loss, electricity [kWh per week].

    heat_loss_w: at the coldest room, through the walls and, without a cover, from the open surface to still air of 50 % humidity (an
    estimate within some 15 % for the walls, worse for the surface). heater_low_w, heater_high_w: the range of
    heaters that hold the temperature then. device_heat_w: what the plugged devices bring in, over a whole day; it is not taken off the
    heater, because lamps are dark at night. energy_kwh_week: of all devices; a heater that runs all day counts with what the loss leaves
    it to do.
    """

    tank: str
    units: tuple[str, ...]
    weight_kg: float
    pressure_kn_m2: float
    panes: tuple[PaneCheck, ...]
    heat_loss_w: float
    heater_low_w: float
    heater_high_w: float
    energy_kwh_week: float
    device_heat_w: float = 0.0


@dataclass(frozen=True)
class DoseCourse:
    """What repeated doses of one ion build up to in one unit [mg/L], with no uptake by plants: the bound that no tank exceeds.

    Doses are given at even steps from the first day on, changes at even steps from the end of the first, and a change that meets a dose
    comes before it. ion: or N and P, the nitrogen and phosphorus in the ions of a salt, for tests that count so. gain_mg_l: of one dose.
    weekly_mg_l: value at the end of each week, before the change that falls there; the last one at the end of the trial. bound_mg_l: what
    it never exceeds; without water changes the sum of all doses of the trial.
    """

    unit: str
    material: str
    ion: str
    gain_mg_l: float
    weekly_mg_l: tuple[float, ...]
    bound_mg_l: float


@dataclass(frozen=True)
class IonTotal:
    """One ion in one unit, all doses together on top of what is known of the water as made [mg/L], with no uptake by plants.

    water_mg_l: in the water as made; 0 where nobody said. weekly_mg_l and bound_mg_l as in DoseCourse. Nitrogen and phosphorus of ions
    that are told already are left out.
    """

    unit: str
    ion: str
    water_mg_l: float
    weekly_mg_l: tuple[float, ...]
    bound_mg_l: float


@dataclass(frozen=True)
class BuildSheet:
    """The whole sheet: lines by unit, facts by unit and by tank, dose courses, and what a reader must know.

    cautions: sentences about this very build. caution_keys: keys of science.cautions whose texts belong on the sheet. totals: one entry
    per unit and ion that is dosed.
    """

    lines: tuple[SheetLine, ...]
    units: tuple[UnitFacts, ...]
    tanks: tuple[TankFacts, ...]
    courses: tuple[DoseCourse, ...]
    cautions: tuple[str, ...]
    caution_keys: tuple[str, ...]
    totals: tuple[IonTotal, ...] = ()

    def lines_of(self, unit: str) -> tuple[SheetLine, ...]:
        """The lines of one unit, in the order of building."""
        return tuple(line for line in self.lines if line.unit == unit)

    def facts_of(self, unit: str) -> UnitFacts:
        """The facts of one unit."""
        return next(facts for facts in self.units if facts.unit == unit)
