"""The nouns of a build: what goes into the tanks before and while a trial runs, as frozen dataclasses that every room shares.

Lengths are in mm, masses of beds and stones in kg, doses in mg or mL, as the names say. A line that names no unit and no arm holds
for all units alike; that is how equal tanks are written down.
"""

from dataclasses import dataclass

RIMS = ("open", "braced")
MATERIAL_KINDS = ("layer", "rock", "wood", "plant", "salt", "liquid", "equipment", "other")
PACK_UNITS = ("kg", "L", "g", "mL", "piece")
ZONES = ("foreground", "midground", "background", "on_wood", "floating")
STOCKS = ("in_vitro", "potted", "bunched", "own")
DEVICE_KINDS = ("filter", "heater", "lamp", "pump", "co2", "cover", "other")


@dataclass(frozen=True)
class Scope:
    """Which units a line holds for: those named, or those of the arms named; both empty means all units."""

    units: tuple[str, ...] = ()
    arms: tuple[str, ...] = ()


ALL_UNITS = Scope()


@dataclass(frozen=True)
class Tank:
    """A glass box. Sizes are outer sizes; water_mm is the water line above the inner bottom.

    dividers cut the length into dividers + 1 compartments of equal length. bottom_glass_mm None: as thick as the walls.
    rim is `open` (no brace at the top edge) or `braced` (the top edge is held by a frame or braces).
    """

    key: str
    length_mm: float
    width_mm: float
    height_mm: float
    glass_mm: float
    water_mm: float
    bottom_glass_mm: float | None = None
    rim: str = "open"
    dividers: int = 0
    divider_glass_mm: float = 0.0
    title: str = ""

    @property
    def compartments(self) -> int:
        """Into how many equal parts the dividers cut the tank."""
        return self.dividers + 1

    @property
    def bottom_mm(self) -> float:
        """Thickness of the bottom pane [mm]."""
        return self.glass_mm if self.bottom_glass_mm is None else self.bottom_glass_mm

    @property
    def inner_width_mm(self) -> float:
        """From the front pane to the back pane [mm]."""
        return self.width_mm - 2 * self.glass_mm

    @property
    def inner_height_mm(self) -> float:
        """From the inner bottom to the top edge [mm]."""
        return self.height_mm - self.bottom_mm


@dataclass(frozen=True)
class Material:
    """A row of the keeper's own catalogue: what it is, how dense, how it is sold, what lies in the cupboard.

    kind is one of MATERIAL_KINDS. bulk_density_kg_l: dry, loose, bag kilograms by bag litres. particle_density_kg_l: of the grains or of
    the piece itself, with its closed pores. formula: of a salt, with its water (`MgSO4.7H2O`). label_mg_ml: of a bought liquid, what
    its label says one mL holds, by ion. pack_size and pack_unit: how it is sold; price is for one pack. owned: what is there
    already, in pack_unit (of plants in plugs or stems). batch: printed on the bag. pieces_per_pack: plugs or stems that one pot, cup or
    bunch gives.
    waste_fraction: what is lost at building, as a share of what is needed. None means the keeper did not say.
    """

    key: str
    kind: str
    title: str = ""
    bulk_density_kg_l: float | None = None
    particle_density_kg_l: float | None = None
    formula: str = ""
    label_mg_ml: tuple[tuple[str, float], ...] = ()
    pack_size: float | None = None
    pack_unit: str = ""
    price: float | None = None
    owned: float = 0.0
    batch: str = ""
    pieces_per_pack: float | None = None
    waste_fraction: float | None = None

    @property
    def label(self) -> str:
        """What readers call it: its title, else its key."""
        return self.title or self.key


@dataclass(frozen=True)
class Layer:
    """One layer of the bed, from the bottom up in the order of the list.

    Exactly one of mass_kg (per unit), depth_mm, or front_mm with back_mm (a slope) is given.
    """

    material: str
    mass_kg: float | None = None
    depth_mm: float | None = None
    front_mm: float | None = None
    back_mm: float | None = None
    scope: Scope = ALL_UNITS


@dataclass(frozen=True)
class Piece:
    """Rock or wood that each unit receives: mass in all [kg] and in how many pieces."""

    material: str
    mass_kg: float
    count: int = 1
    scope: Scope = ALL_UNITS


@dataclass(frozen=True)
class Planting:
    """One plant in one zone of each unit.

    Either count (plugs or stems per unit) is given, or per_100_cm2 with area_cm2 or with area_fraction (of the inner floor); without an
    area a zone of the floor counts as a third of it, and floating plants take the whole surface. stock says how the plants were grown:
    one of STOCKS.
    """

    material: str
    zone: str
    stock: str = "potted"
    count: int | None = None
    per_100_cm2: float | None = None
    area_cm2: float | None = None
    area_fraction: float | None = None
    scope: Scope = ALL_UNITS


@dataclass(frozen=True)
class Device:
    """Something with a plug or a lid: filter, heater, lamp, pump, CO2, cover, or the device that is the change itself.

    power_w: at the plug, at the setting it will run at. hours_per_day: a lamp follows the light plan where there is one, and a heater at
    24 h its thermostat. displaced_l: its volume under water. in_water_fraction: the share of its power that ends as heat in the water (1:
    all of it). flow_l_h: what its maker says it moves. shade_fraction: share of the light that it keeps from the tank. is_change: it
    belongs to the change and not to the equal setup. shared_by: how many units share one device (a filter for three compartments).
    """

    key: str
    kind: str
    title: str = ""
    power_w: float = 0.0
    hours_per_day: float = 24.0
    mass_kg: float = 0.0
    displaced_l: float = 0.0
    in_water_fraction: float = 0.0
    flow_l_h: float | None = None
    shade_fraction: float = 0.0
    current_ma: float | None = None
    price: float | None = None
    owned: float = 0.0
    is_change: bool = False
    scope: Scope = ALL_UNITS
    shared_by: int = 1

    @property
    def label(self) -> str:
        """What readers call it: its title, else its key."""
        return self.title or self.key


@dataclass(frozen=True)
class Light:
    """How the lamps are to be set: light wanted at the bed [µmol m⁻² s⁻¹], hours a day, and what was measured at which setting.

    measured holds (setting as a share of full, light at the bed) pairs; one pair at full output is taken as proportional, three or more
    are fitted. unit_of_measure is `umol` or `lux`; lux needs source, the kind of light.
    """

    target_umol: float
    hours_per_day: float
    measured: tuple[tuple[float, float], ...] = ()
    unit_of_measure: str = "umol"
    source: str = ""
    scope: Scope = ALL_UNITS


@dataclass(frozen=True)
class SourceWater:
    """A water that goes in: degrees of general and carbonate hardness, conductivity, and ions in mg/L where they are known."""

    key: str
    gh_dgh: float
    kh_dkh: float
    conductivity_us_cm: float | None = None
    ions_mg_l: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class WaterPlan:
    """Which water, which hardness, how warm, and how much is changed how often.

    tap and pure are blended to reach target_kh_dkh (target_gh_dgh where both have the same KH); salts then raise the general hardness to
    target_gh_dgh, shared among gh_salts by the part of the hardness each gives. kh_salt raises KH where the blend stays below the target.
    pure None: no second water.
    """

    tap: SourceWater
    pure: SourceWater | None = None
    target_gh_dgh: float | None = None
    target_kh_dkh: float | None = None
    gh_salts: tuple[tuple[str, float], ...] = ()
    kh_salt: str = ""
    temp_c: float = 24.0
    room_temp_c: float = 18.0
    change_fraction: float = 0.0
    changes_per_week: float = 1.0
    scope: Scope = ALL_UNITS


@dataclass(frozen=True)
class Dose:
    """A fertiliser given again and again: a dry salt (mass_mg) or a liquid (volume_ml) of the catalogue, per dose and unit.

    per_litre: mass_mg or volume_ml is meant per litre of net water, so that units of unlike size get equal concentrations.
    """

    material: str
    mass_mg: float | None = None
    volume_ml: float | None = None
    doses_per_week: float = 1.0
    per_litre: bool = False
    scope: Scope = ALL_UNITS


@dataclass(frozen=True)
class Money:
    """How costs are told: the keeper's own currency word and the price of electricity; None where it was not said."""

    currency: str = ""
    electricity_per_kwh: float | None = None


@dataclass(frozen=True)
class Setup:
    """Everything that goes into the glass, and the glass.

    places maps each unit to its tank's key, in the order of the plan; with compartments, several units share a tank. weeks: how long the
    trial runs, for doses, water changes and electricity. waste_fraction: for materials that say nothing of their own. arms maps each
    unit to the arm it was allotted, as in the plan; needed only where a line holds for an arm.
    """

    tanks: tuple[Tank, ...]
    places: tuple[tuple[str, str], ...]
    weeks: float
    materials: tuple[Material, ...] = ()
    layers: tuple[Layer, ...] = ()
    rocks: tuple[Piece, ...] = ()
    woods: tuple[Piece, ...] = ()
    plantings: tuple[Planting, ...] = ()
    devices: tuple[Device, ...] = ()
    light: tuple[Light, ...] = ()
    water: tuple[WaterPlan, ...] = ()
    doses: tuple[Dose, ...] = ()
    money: Money = Money()
    waste_fraction: float = 0.1
    arms: tuple[tuple[str, str], ...] = ()

    @property
    def units(self) -> tuple[str, ...]:
        """The units, in the order of the plan."""
        return tuple(unit for unit, _ in self.places)

    def holds(self, scope: Scope, unit: str) -> bool:
        """Whether a line with this scope holds for a unit: it names the unit or its arm, or names nothing at all."""
        return scope == ALL_UNITS or unit in scope.units or dict(self.arms).get(unit) in scope.arms

    def tank_of(self, unit: str) -> Tank:
        """The tank a unit stands in."""
        key = dict(self.places)[unit]
        return next(tank for tank in self.tanks if tank.key == key)

    def material(self, key: str) -> Material:
        """The catalogue's row of that key."""
        return next(material for material in self.materials if material.key == key)
