"""The fields of a tank, a material and every line of a setup: what stands in them, and what was typed as a table of setup.toml.

A field that was left as it was shown keeps what is stored to the last digit. What cannot be read goes on as the text it is, so that the
checks of setup.toml say what is wrong with it.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from fairtank.build import DEVICE_KINDS, RIMS, STOCKS, ZONES
from fairtank.errors import InputError
from fairtank.units import quantity_from_text
from fairtank.web.amounts import amount_typed, as_typed, own_unit

Table = dict[str, Any]


@dataclass(frozen=True)
class Field:
    """One field. name: its key in the table, `tap.gh_dgh` inside another. unit: in which the key counts.

    kind: `number`, `percent` (a share in the table), `whole`, `text`, `choice`, `flag`, `pack` (a number with its unit, as one text),
    `ions` (amounts by name), `readings` (of a lamp, one a line), `material`, `scope` (units or arms to tick). of: the kinds of
    material that can stand there.
    """

    name: str
    label: Any
    unit: str = ""
    kind: str = "number"
    hint: Any = ""
    options: tuple[str, ...] = ()
    of: tuple[str, ...] = ()
    usual: str = ""


_SCOPE = (Field("units", _("Only in these tanks (none ticked: in all)"), kind="scope"),
          Field("arms", _("Only in these arms"), kind="scope"))
TANK = (
    Field("key", _("Short name"), kind="text", hint=_("As the plan calls it, such as T1.")),
    Field("title", _("What you call it (may stay empty)"), kind="text"),
    Field("length_cm", _("Outer length"), "cm"), Field("width_cm", _("Outer width, front to back"), "cm"),
    Field("height_cm", _("Outer height"), "cm"), Field("glass_mm", _("Thickness of the walls"), "mm"),
    Field("bottom_glass_mm", _("Thickness of the bottom, if it is another"), "mm"),
    Field("water_line_cm", _("Water line, above the inner bottom"), "cm"),
    Field("rim", _("Top edge"), kind="choice", options=RIMS),
    Field("dividers", _("Dividers glued in (each makes one compartment more)"), kind="whole", usual="0"),
    Field("divider_glass_mm", _("Thickness of the dividers, if there are any"), "mm"),
)
_OWN = {
    "layer": (Field("bulk_density_kg_l", _("Dry bulk density: kilograms of the bag by its litres"), "kg/L"),
              Field("particle_density_kg_l", _("Density of its grains"), "kg/L",
                    hint=_("Mineral grains have about 2.65 kg/L, fired clay less: weigh some in air and under water."))),
    "rock": (Field("particle_density_kg_l", _("Density of the stone"), "kg/L"),),
    "wood": (Field("particle_density_kg_l", _("Density of the wood, soaked"), "kg/L"),),
    "plant": (Field("pieces_per_pack", _("Stems or plugs that one pot or bunch gives")),),
    "salt": (Field("formula", _("Formula with its water"), kind="text", hint=_("Such as MgSO4.7H2O.")),),
    "liquid": (Field("label_mg_ml", _("What its label says one mL holds, in mg"), kind="ions", hint=_("Such as: K = 10, Fe = 0.3")),),
}  # fmt: skip
_NAMED = (Field("title", _("What it is called on the bag or by you"), kind="text"),
          Field("key", _("Short name"), kind="text", hint=_("One word, such as baked_clay; lines of a setup name it so.")))
_SOLD = (Field("pack", _("One pack holds"), kind="pack", hint=_("With its unit, such as 9 L, 2.5 kg, 1 piece.")),
         Field("price", _("Price of one pack, in your own money")),
         Field("owned", _("What you have already"), kind="pack", hint=_("With its unit, as the pack.")),
         Field("batch", _("Batch, as printed on the pack"), kind="text"),
         Field("waste_fraction", _("Lost at building"), "%", kind="percent", hint=_("Of what is needed; empty: as for all.")))


def material_fields(kind: str) -> tuple[Field, ...]:
    """The fields of a material: only those that its kind needs."""
    return (*_NAMED, *_OWN.get(kind, ()), *_SOLD)


def _of(*kinds: str) -> Field:
    return Field("material", _("What"), kind="material", of=kinds)


_WATER = tuple(Field(f"{part}.{name}", label, unit) for part in ("tap", "pure") for name, label, unit in (
    ("gh_dgh", _("General hardness"), "dGH"), ("kh_dkh", _("Carbonate hardness"), "dKH"),
    ("conductivity_us_cm", _("Conductivity"), "uS/cm")))
_PIECES = (Field("mass_kg", _("Mass in each tank"), "kg"), Field("count", _("In how many pieces"), kind="whole", usual="1"))
LINES: dict[str, tuple[Field, ...]] = {
    "setup": (Field("weeks", _("How many weeks it runs (empty: as the plan says)")),
              Field("waste_fraction", _("Lost at building"), "%", kind="percent")),
    "money": (Field("currency", _("Your word for money"), kind="text", hint=_("Such as crowns.")),
              Field("electricity_per_kwh", _("Price of one kWh"))),
    "tank": TANK,
    "layer": (_of("layer"), Field("mass_kg", _("Mass in each tank"), "kg", hint=_("Either this, or a depth.")),
              Field("depth_cm", _("Or depth"), "cm"), Field("front_cm", _("Or a slope: depth at the front"), "cm"),
              Field("back_cm", _("and at the back"), "cm"), *_SCOPE),
    "rock": (_of("rock"), *_PIECES, *_SCOPE),
    "wood": (_of("wood"), *_PIECES, *_SCOPE),
    "plant": (_of("plant"), Field("zone", _("Where"), kind="choice", options=ZONES),
              Field("stock", _("How it was grown"), kind="choice", options=STOCKS, usual="potted"),
              Field("count", _("Stems or plugs in each tank"), kind="whole", hint=_("Either this, or so many on an area.")),
              Field("per_100_cm2", _("Or on each 100 cm²")), Field("area_cm2", _("on an area of"), "cm2"),
              Field("area_fraction", _("or on this share of the floor"), "%", kind="percent"), *_SCOPE),
    "device": (Field("title", _("What it is"), kind="text"), Field("key", _("Short name"), kind="text"),
               Field("kind", _("Sort"), kind="choice", options=DEVICE_KINDS), Field("power_w", _("Power at the plug"), "W"),
               Field("hours_per_day", _("Hours a day"), "h", usual="24"), Field("mass_kg", _("Mass"), "kg"),
               Field("displaced_l", _("Volume under water"), "L"),
               Field("in_water_fraction", _("Share of its power that warms the water"), "%", kind="percent"),
               Field("flow_l_h", _("Flow that its maker tells"), "L/h"),
               Field("shade_fraction", _("Share of the light that it keeps off"), "%", kind="percent"),
               Field("current_ma", _("Current, of a device that passes one through the water"), "mA"),
               Field("price", _("Price")), Field("owned", _("How many you have")),
               Field("shared_by", _("How many tanks share one"), kind="whole", usual="1"),
               Field("is_change", _("It belongs to the change, not to the equal setup"), kind="flag"), *_SCOPE),
    "light": (Field("target_umol", _("Light wanted at the bed"), "umol/m2/s"), Field("hours_per_day", _("Hours a day"), "h"),
              Field("measured", _("Measured at the bed: setting of the lamp in %, and the light, a reading on each line"), kind="readings",
                    hint=_("Such as: 60 = 50. In lux: 60 = 3500 lux.")),
              Field("source", _("Kind of light, if measured in lux"), kind="text", hint=_("Such as LED-B3 or sunlight.")), *_SCOPE),
    "water": (Field("temp_c", _("Temperature of the water"), "degC"), Field("room_temp_c", _("The room at its coldest"), "degC"),
              Field("change_fraction", _("Share of the water that a change takes"), "%", kind="percent"),
              Field("changes_per_week", _("Changes a week")), *_WATER,
              Field("target_gh_dgh", _("General hardness wanted (empty: as it comes)"), "dGH"),
              Field("target_kh_dkh", _("Carbonate hardness wanted (empty: as it comes)"), "dKH"), *_SCOPE),
    "dose": (_of("salt", "liquid"), Field("mass_mg", _("Of a salt: mass of one dose"), "mg"),
             Field("volume_ml", _("Of a liquid: volume of one dose"), "mL"),
             Field("doses_per_week", _("Doses a week"), usual="1"),
             Field("per_litre", _("The amount is meant for each litre of water"), kind="flag"), *_SCOPE),
}  # fmt: skip


def shown(field: Field, table: Table) -> str:
    """What stands in a field."""
    value = _found(field, table)
    if value is None or isinstance(value, bool):
        return ""
    if field.kind == "percent" and not isinstance(value, str):
        return f"{value * 100:.10g}"
    if field.kind == "pack":
        return _pack_shown(str(value))
    if field.kind == "ions" and isinstance(value, dict):
        return ", ".join(f"{name} = {one}" for name, one in value.items())
    if field.kind == "readings" and isinstance(value, list):
        return "\n".join(_reading_shown(one) for one in value)
    return as_typed(value, field.unit) if field.kind == "number" and isinstance(value, (int, float)) else str(value)


def _found(field: Field, table: Any) -> Any:
    for step in field.name.split("."):
        table = table.get(step) if isinstance(table, dict) else None
    return table


def _reading_shown(one: Mapping[str, Any]) -> str:
    light = f"{one['light_lux']} lux" if "light_lux" in one else str(one.get("light_umol", ""))
    setting = one.get("setting_fraction")
    return f"{f'{setting * 100:.10g}' if isinstance(setting, (int, float)) else setting} = {light}"


def _pack_shown(text: str) -> str:
    """`9 L` in the keeper's own unit."""
    found = re.fullmatch(r"([0-9.]+) (kg|L|g|mL)", text)
    return f"{as_typed(float(found[1]), found[2])} {own_unit(found[2])}" if found else text


def table_typed(fields: tuple[Field, ...], sent: Any, before: Table) -> Table:
    """The table that a form describes; keys of `before` that have no field stay.

    sent: the form, as Django's QueryDict.
    """
    table = {key: (dict(value) if isinstance(value, dict) else value) for key, value in before.items()}
    for field in fields:
        outer, _dot, inner = field.name.partition(".")
        value = _typed(field, sent, before)
        place = table.setdefault(outer, {}) if inner else table
        if value in (None, "", [], {}):
            place.pop(inner or outer, None)
        else:
            place[inner or outer] = value
    return {key: value for key, value in table.items() if value != {}}


def _typed(field: Field, sent: Any, before: Table) -> Any:
    if field.kind == "scope":
        return sent.getlist(field.name)
    if field.kind == "flag":
        return True if sent.get(field.name) else None
    text = sent.get(field.name, "").replace("\r\n", "\n").strip()
    if text == shown(field, before):
        return _found(field, before)
    if not text or field.kind in ("text", "choice", "material"):
        return text
    try:
        return _READ.get(field.kind, _number)(field, text)
    except (InputError, ValueError):
        return text


def _number(field: Field, text: str) -> float | int | None:
    value = amount_typed(text, field.unit)
    return int(value) if value is not None and math.isfinite(value) and value == int(value) else value


def _percent(_field: Field, text: str) -> float:
    number, unit = quantity_from_text(text.replace(",", ".", 1))
    if unit not in ("", "%"):
        raise InputError("the share", text, "a number of %")
    return round(number / 100, 9)


def _pack(_field: Field, text: str) -> str:
    """The same text; a pack in the keeper's own unit is told in the unit in which packs are counted by the reader of setup.toml."""
    return re.sub(r"(?<!US )(?<!imp )\bgal(lons?)?\b", "US gal", text.replace(",", ".", 1))


def _ions(_field: Field, text: str) -> dict[str, Any]:
    pairs = [part.replace(":", "=").partition("=") for part in re.split(r"[\n;]|,(?!\d)", text) if part.strip()]
    return {name.strip(): _plain(one.strip()) for name, _, one in pairs}


def _plain(text: str) -> Any:
    try:
        return float(text.replace(",", ".", 1))
    except ValueError:
        return text


def _readings(_field: Field, text: str) -> list[Table]:
    rows = []
    for line in filter(str.strip, text.splitlines()):
        setting, _, light = (part.strip() for part in line.replace(":", "=").partition("="))
        is_lux = light.casefold().endswith(("lux", "lx"))
        number = _plain(re.sub(r"\s*(lux|lx|µmol.*|umol.*)$", "", light, flags=re.IGNORECASE))
        share = _plain(setting.removesuffix("%").strip())
        rows.append({"setting_fraction": round(share / 100, 9) if isinstance(share, float) else share,
                     "light_lux" if is_lux else "light_umol": number})
    return rows


_READ: dict[str, Any] = {"number": _number, "whole": lambda _field, text: int(text), "percent": _percent, "pack": _pack, "ions": _ions,
                         "readings": _readings}


@dataclass(frozen=True)
class Asked:
    """A field as the page shows it. text: what stands in it; chosen: of ticks; options: (value, words); wrong: the refusal."""

    field: Field
    text: str
    unit: str
    options: tuple[tuple[str, str], ...] = ()
    chosen: tuple[str, ...] = ()
    wrong: str = ""

    @property
    def is_ticked(self) -> bool:
        """Of a flag."""
        return bool(self.chosen)


def asked_of(fields: tuple[Field, ...], table: Table, *, sent: Any = None, refused: Mapping[str, str] | None = None,
             options: Mapping[str, tuple[tuple[str, str], ...]] | None = None) -> list[Asked]:
    """The fields of a page: with what was typed where a form was refused, else with what is stored, else with what is usual."""
    told, known, found = dict(refused or {}), dict(options or {}), []
    for field in fields:
        wrong = " ".join(said for key, said in told.items() if _is_at(key, field.name))
        text = sent.get(field.name, "") if sent is not None else shown(field, table) or field.usual
        value = _found(field, table)
        ticked = sent.getlist(field.name) if sent is not None else [str(one) for one in value] if isinstance(value, list) else \
            ["yes"] if value is True else []
        choices = known.get(field.name, tuple((one, WORDS.get(one, one)) for one in field.options))
        if field.kind == "scope" and not choices:
            continue
        found.append(Asked(field, text, own_unit(field.unit) if field.unit else "", choices, tuple(ticked), wrong))
    return found


def unplaced(fields: tuple[Field, ...], refused: Mapping[str, str]) -> str:
    """What was refused at no field of the page."""
    names = [field.name for field in fields]
    return " ".join(said if not key else f"{key}: {said}" for key, said in refused.items()
                    if not any(_is_at(key, name) for name in names))


def _is_at(key: str, name: str) -> bool:
    """Whether what is said at a key of the table is said at this field: at its own, or at one inside it."""
    return key == name or key.startswith((f"{name}.", f"{name} "))


WORDS: dict[str, Any] = {
    "open": _("open: no brace"), "braced": _("braced: a frame or braces hold it"),
    "layer": _("bed: soil, sand, gravel"), "rock": _("stone"), "wood": _("wood"), "plant": _("plants"), "salt": _("salts, weighed dry"),
    "liquid": _("bought liquids"), "equipment": _("equipment"), "other": _("something else"),
    "foreground": _("foreground"), "midground": _("middle"), "background": _("background"), "on_wood": _("on wood"),
    "floating": _("floating"),
    "in_vitro": _("in a cup, from the laboratory"), "potted": _("potted"), "bunched": _("bunched stems"), "own": _("from your own tanks"),
    "filter": _("filter"), "heater": _("heater"), "lamp": _("lamp"), "pump": _("pump"), "co2": _("carbon dioxide"), "cover": _("cover"),
}  # fmt: skip
