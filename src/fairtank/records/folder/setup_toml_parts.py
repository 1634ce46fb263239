"""The tables of setup.toml as nouns, each by itself; what several of them can only show together is checked in `setup_toml_checks`.

Where something was at fault the noun holds None in its place: it is then looked at further, and never handed on.
"""

import re
from typing import Any

from fairtank.build import (
    DEVICE_KINDS,
    MATERIAL_KINDS,
    PACK_UNITS,
    RIMS,
    STOCKS,
    ZONES,
    Device,
    Dose,
    Layer,
    Light,
    Material,
    Piece,
    Planting,
    SourceWater,
    Tank,
    WaterPlan,
)
from fairtank.errors import InputError
from fairtank.records.folder import setup_toml_section as given
from fairtank.records.folder.cells import name_checked, number_text
from fairtank.records.folder.paths import CONTROL
from fairtank.records.folder.problems import Refusal
from fairtank.records.folder.setup_toml_section import SetupSection
from fairtank.records.folder.toml_section import toml_shown
from fairtank.units import convert, quantity_from_text, units_like

MOST_DIVIDERS = 20
NARROWEST_MM = 10.0
Known = tuple[tuple[str, ...] | None, tuple[str, ...] | None]
_SIZES = "length_cm, width_cm and height_cm, the outer sizes, measured with a tape"
PIECE_WORDS = ("piece", "pieces", "pot", "pots", "cup", "cups", "bunch", "bunches", "stem", "stems", "plug", "plugs")
MOST_IN_A_PACK = 1e6
_PACK = f'a number with one of {", ".join(PACK_UNITS)}, such as "9 L", "2.5 kg" or "1 piece"'


# tanks ---------------------------------------------------------------------------------------------------------------


def tanks_from(section: SetupSection) -> tuple[Tank, ...]:
    """One [[tank]] as a tank for each of its keys."""
    if section.only(("key", "keys"), 'key = "T1", or keys = ["T1", "T2"] for tanks that are alike') == "key":
        keys: tuple[Any, ...] = (section.name("key"),)
    else:
        keys = _names(section)
    for key in ("volume_l", "volume_gal"):
        if section.has(key):
            section.fault(key, "a volume alone does not say where layers and water line lie", _SIZES)
            section.text(key)
    glass = section.quantity("glass_mm", given.GLASS)
    bottom = section.quantity("bottom_glass_mm", given.GLASS, None)
    dividers = section.whole("dividers", 0, MOST_DIVIDERS, 0)
    tank = Tank(
        key="", length_mm=section.quantity("length_cm", given.LENGTH), width_mm=section.quantity("width_cm", given.LENGTH),
        height_mm=section.quantity("height_cm", given.HEIGHT), glass_mm=glass, water_mm=_water_mm(section, glass, bottom),
        bottom_glass_mm=bottom, rim=section.choice("rim", RIMS, "open"), dividers=dividers,
        divider_glass_mm=section.quantity("divider_glass_mm", given.GLASS, 0.0), title=section.text("title"),
    )
    _check_glass(section, tank)
    return tuple(Tank(**{**tank.__dict__, "key": key}) for key in keys)


def _names(section: SetupSection) -> tuple[Any, ...]:
    """The keys of like tanks; each is checked as the key of a unit is, for it may become one."""
    keys = section.keys("keys") if section.has("keys") else ()
    if keys == () and section.has("keys"):
        section.fault("keys", "the list is empty", 'keys = ["T1", "T2"]')
    try:
        for key in keys or ():
            name_checked(key)
    except Refusal as refusal:
        section.fault("keys", refusal.read, refusal.accepted)
    return keys or (None,)


def _water_mm(section: SetupSection, glass: float | None, bottom: float | None) -> Any:
    """The water line above the inner bottom [mm]."""
    way = section.only(("water_line_cm", "water_line_from_outside_cm"),
                       "water_line_cm above the inner bottom, or water_line_from_outside_cm above the lower edge of the glass")
    if not way:
        return None
    line = section.quantity(way, given.WATER_LINE)
    thickness = bottom if bottom is not None else glass
    if line is None or way == "water_line_cm":
        return line
    return None if thickness is None else round(line - thickness, 9)


def _check_glass(section: SetupSection, tank: Tank) -> None:
    """Walls, dividers and water line fit into the outer sizes."""
    thickness = tank.bottom_glass_mm if tank.bottom_glass_mm is not None else tank.glass_mm
    if None not in (tank.height_mm, tank.water_mm, thickness):
        inner = tank.height_mm - thickness
        key = "water_line_cm" if section.has("water_line_cm") else "water_line_from_outside_cm"
        if tank.water_mm <= 0:
            section.fault(key, "the water line lies inside the bottom pane", "a line above the bottom")
        elif tank.water_mm > inner:
            section.fault(key, f"the water line lies {_cm(tank.water_mm - inner)} above the rim",
                          f"at most {_cm(inner)} above the inner bottom")
    if None in (tank.length_mm, tank.width_mm, tank.glass_mm, tank.dividers, tank.divider_glass_mm):
        return
    if tank.width_mm - 2 * tank.glass_mm < NARROWEST_MM:
        section.fault("width_cm", "no room is left between the panes", "the outer size from front to back")
    if tank.dividers and not tank.divider_glass_mm:
        section.fault("divider_glass_mm", "the key is missing", given.GLASS.accepted)
    elif (tank.length_mm - 2 * tank.glass_mm - tank.dividers * tank.divider_glass_mm) / (tank.dividers + 1) < NARROWEST_MM:
        section.fault("dividers" if tank.dividers else "length_cm", "no room is left between the panes",
                      "the outer length, and dividers that leave room between them")


def _cm(length_mm: float) -> str:
    return f"{number_text(round(length_mm / 10, 2))} cm"


# the catalogue -------------------------------------------------------------------------------------------------------


def material_from(section: SetupSection) -> Material:
    """One [[material]]."""
    pack = _amount(section, "pack")
    owned = _amount(section, "owned", pack[1] if pack else "")
    return Material(
        key=section.key("key"), kind=section.choice("kind", MATERIAL_KINDS), title=section.text("title"),
        bulk_density_kg_l=_bulk_density(section),
        particle_density_kg_l=section.quantity("particle_density_kg_l", given.PARTICLE_DENSITY, None),
        formula=section.text("formula"), label_mg_ml=section.amounts("label_mg_ml", given.LABEL) or (),
        pack_size=pack[0] if pack else None, pack_unit=pack[1] if pack else owned[1] if owned else "",
        price=section.quantity("price", given.PRICE, None), owned=owned[0] if owned else 0.0, batch=section.text("batch"),
        pieces_per_pack=section.quantity("pieces_per_pack", given.PIECES, None),
        waste_fraction=section.quantity("waste_fraction", given.WASTE, None),
    )


def _bulk_density(section: SetupSection) -> Any:
    """Dry bulk density as given, or bag kilograms by bag litres."""
    if not (section.has("bag_mass_kg") or section.has("bag_volume_l")):
        return section.quantity("bulk_density_kg_l", given.BULK_DENSITY, None)
    if section.has("bulk_density_kg_l"):
        section.fault("bulk_density_kg_l", "bag_mass_kg or bag_volume_l stands there too", "the density, or mass and litres of a bag")
        section.quantity("bulk_density_kg_l", given.BULK_DENSITY, None)
    mass, volume = section.quantity("bag_mass_kg", given.MASS), section.quantity("bag_volume_l", given.BAG)
    if mass is None or volume is None:
        return None
    density = mass / volume
    if not given.BULK_DENSITY.low <= density <= given.BULK_DENSITY.high:
        section.fault("bag_volume_l", f"{number_text(mass)} kg in {number_text(volume)} L would be {density:.3g} kg/L",
                      "kilograms and litres of the same bag, dry")
    return density


def _amount(section: SetupSection, key: str, unit: str = "") -> tuple[float, str] | None:
    """A text such as "9 L" as an amount and one of PACK_UNITS, in the unit named where there is one; None where nothing is said."""
    def check(value: Any) -> tuple[float, str]:
        if type(value) in (int, float) and unit:
            value = f"{value!r} {unit}"
        if not isinstance(value, str) or len(value) > given.LONGEST_AMOUNT or CONTROL.search(value):
            raise Refusal(f"{toml_shown(value)} does not say in which unit", _PACK)
        number, own = _pieces(value) or _measure(value, unit)
        if unit and own != unit:
            raise Refusal(f"{toml_shown(value)} is not given in {unit}, as the pack is", f"an amount in {unit}")
        if not 0 <= number <= MOST_IN_A_PACK or (key == "pack" and number == 0):
            raise Refusal(f"{toml_shown(value)} is out of range", _PACK)
        return number, own
    return section.checked(key, check, _PACK)


def _pieces(text: str) -> tuple[float, str] | None:
    """`6 pieces`, `1 pot`: a count; None where it is no count."""
    found = re.fullmatch(r"\s*([0-9]+(?:\.[0-9]+)?)\s*([a-z]+)\s*", text)
    return (float(found[1]), "piece") if found and found[2] in PIECE_WORDS else None


def _measure(text: str, unit: str) -> tuple[float, str]:
    """`9 L`, `5 lb`: an amount in the unit named, else in its own where packs are told in it, else in kg or L."""
    try:
        number, own = quantity_from_text(text)
    except InputError as error:
        raise Refusal(f"{toml_shown(text)} cannot be read", f"{_PACK}{f' ({error.hint})' if error.hint else ''}") from None
    for wanted in (unit,) if unit else (own, "kg", "L"):
        if wanted in PACK_UNITS and own and wanted in units_like(own):
            return round(convert(number, own, wanted), 9), wanted
    if not own or not unit:
        raise Refusal(f"{toml_shown(text)} does not say in which unit", _PACK)
    return number, own


# what goes in --------------------------------------------------------------------------------------------------------


def layer_from(section: SetupSection, known: Known) -> Layer:
    """One [[layer]]: by mass, by one depth, or by its depths at the front and at the back."""
    accepted = "mass_kg per unit, or depth_cm, or front_cm with back_cm"
    way = section.only(("mass_kg", "depth_cm", "front_cm"), accepted)
    if way != "front_cm" and section.has("back_cm"):
        section.fault("back_cm", "there is no front_cm beside it" if not way else f"{way} stands there too", accepted)
        section.quantity("back_cm", given.SLOPE_DEPTH, None)
    front = section.quantity("front_cm", given.SLOPE_DEPTH) if way == "front_cm" else None
    back = section.quantity("back_cm", given.SLOPE_DEPTH) if way == "front_cm" else None
    if front == 0 and back == 0:
        section.fault("back_cm", "the layer has no depth at all", "a depth above 0 at the front or at the back")
    return Layer(
        material=section.key("material"),
        mass_kg=section.quantity("mass_kg", given.MASS) if way == "mass_kg" else None,
        depth_mm=section.quantity("depth_cm", given.DEPTH) if way == "depth_cm" else None,
        front_mm=front, back_mm=back, scope=section.scope(*known),
    )


def piece_from(section: SetupSection, known: Known) -> Piece:
    """One [[rock]] or [[wood]]."""
    return Piece(section.key("material"), section.quantity("mass_kg", given.MASS), section.whole("count", 1, 1000, 1),
                 section.scope(*known))


def planting_from(section: SetupSection, known: Known) -> Planting:
    """One [[plant]]: so many per unit, or so many on an area."""
    way = section.only(("count", "per_100_cm2"), "count per unit, or per_100_cm2 with area_cm2 or area_fraction")
    area = ""
    if way == "per_100_cm2":
        area = section.only(("area_cm2", "area_fraction"), "area_cm2, or area_fraction as the share of the inner floor", needed=False)
    else:
        for key in ("area_cm2", "area_fraction"):
            if section.has(key):
                section.fault(key, "there is no per_100_cm2 beside it", "an area only with per_100_cm2")
                section.text(key)
    return Planting(
        material=section.key("material"), zone=section.choice("zone", ZONES), stock=section.choice("stock", STOCKS, "potted"),
        count=section.whole("count", 1, 10_000) if way == "count" else None,
        per_100_cm2=section.quantity("per_100_cm2", given.PLANTS_PER_AREA) if way == "per_100_cm2" else None,
        area_cm2=section.quantity("area_cm2", given.AREA) if area == "area_cm2" else None,
        area_fraction=section.quantity("area_fraction", given.SHARE) if area == "area_fraction" else None,
        scope=section.scope(*known),
    )


def device_from(section: SetupSection, known: Known) -> Device:
    """One [[device]]."""
    return Device(
        key=section.key("key"), kind=section.choice("kind", DEVICE_KINDS), title=section.text("title"),
        power_w=section.quantity("power_w", given.POWER, 0.0), hours_per_day=section.quantity("hours_per_day", given.HOURS, 24.0),
        mass_kg=section.quantity("mass_kg", given.DEVICE_MASS, 0.0), displaced_l=section.quantity("displaced_l", given.DISPLACED, 0.0),
        in_water_fraction=section.quantity("in_water_fraction", given.SHARE, 0.0),
        flow_l_h=section.quantity("flow_l_h", given.FLOW, None), shade_fraction=section.quantity("shade_fraction", given.SHARE, 0.0),
        current_ma=section.quantity("current_ma", given.CURRENT, None), price=section.quantity("price", given.PRICE, None),
        owned=section.quantity("owned", given.PIECES_OWNED, 0.0), is_change=section.flag("is_change", False),
        scope=section.scope(*known), shared_by=section.whole("shared_by", 1, 100, 1),
    )


def light_from(section: SetupSection, known: Known) -> Light:
    """[light]: how bright, how long, and what was measured at which setting."""
    measured: list[tuple[Any, Any]] = []
    units: set[str] = set()
    for part in section.parts("measured"):
        way = part.only(("light_umol", "light_lux"), "light_umol, or light_lux")
        light = part.quantity(way, given.LIGHT if way == "light_umol" else given.LUX) if way else None
        measured.append((part.quantity("setting_fraction", given.SHARE), light))
        units.add(way)
    if len(units - {""}) > 1:
        section.fault("measured", "some readings are in µmol and some in lux", "all readings with the same meter")
    source, is_lux = section.text("source"), "light_lux" in units
    if is_lux and not source:
        section.fault("source", "the key is missing", "the kind of light, such as \"LED-B3\" or \"sunlight\", as the readings are in lux")
    return Light(section.quantity("target_umol", given.LIGHT), section.quantity("hours_per_day", given.HOURS), tuple(measured),
                 "lux" if is_lux else "umol", source, section.scope(*known))


def water_from(section: SetupSection, known: Known) -> WaterPlan:
    """[water]: which waters, how hard, how warm, how much is changed."""
    tap, pure = section.part("tap"), section.part("pure")
    if tap is None and not section.has("tap"):
        section.fault("tap", "the table is missing", "one table headed [water.tap] with gh_dgh and kh_dkh")
    return WaterPlan(
        tap=_source_water(tap, "tap"),  # type: ignore[arg-type]
        pure=_source_water(pure, "pure"),
        target_gh_dgh=section.quantity("target_gh_dgh", given.GENERAL_HARDNESS, None),
        target_kh_dkh=section.quantity("target_kh_dkh", given.CARBONATE_HARDNESS, None),
        gh_salts=section.amounts("gh_salts", given.PARTS) or (), kh_salt=section.text("kh_salt"),
        temp_c=section.quantity("temp_c", given.TEMPERATURE, WaterPlan.temp_c),
        room_temp_c=section.quantity("room_temp_c", given.ROOM_TEMPERATURE, WaterPlan.room_temp_c),
        change_fraction=section.quantity("change_fraction", given.SHARE, 0.0),
        changes_per_week=section.quantity("changes_per_week", given.CHANGES_A_WEEK, 1.0),
        scope=section.scope(*known),
    )


def _source_water(section: SetupSection | None, name: str) -> SourceWater | None:
    if section is None:
        return None
    return SourceWater(section.key("key", name), section.quantity("gh_dgh", given.GENERAL_HARDNESS),
                       section.quantity("kh_dkh", given.CARBONATE_HARDNESS),
                       section.quantity("conductivity_us_cm", given.CONDUCTIVITY, None),
                       section.amounts("ions_mg_l", given.IONS) or ())


def dose_from(section: SetupSection, known: Known) -> Dose:
    """One [[dose]]."""
    way = section.only(("mass_mg", "volume_ml"), "mass_mg of a salt, or volume_ml of a liquid, per dose")
    return Dose(
        material=section.key("material"),
        mass_mg=section.quantity("mass_mg", given.DOSE_MASS) if way == "mass_mg" else None,
        volume_ml=section.quantity("volume_ml", given.DOSE_VOLUME) if way == "volume_ml" else None,
        doses_per_week=section.quantity("doses_per_week", given.TIMES_A_WEEK, 1.0), per_litre=section.flag("per_litre", False),
        scope=section.scope(*known),
    )

