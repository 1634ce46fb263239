"""A setup as the text of setup.toml, in the order in which people read it; where units stand is said by trial.toml."""

import re
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import tomli_w

from fairtank.build import Device, Dose, Layer, Light, Material, Piece, Planting, Scope, Setup, SourceWater, Tank, WaterPlan
from fairtank.records.folder import setup_toml_section as given
from fairtank.records.folder.plan_writer import filled, section_text, short
from fairtank.records.folder.setup_toml import SETUP_HEADS
from fairtank.records.folder.setup_toml_section import Quantity

Table = dict[str, Any]


def text_from_setup(setup: Setup, unknown: dict[str, str] | None = None, *, usual_weeks: float | None = None) -> str:
    """setup.toml for a setup; keys left at nothing are left out.

    Tanks that follow each other and differ in nothing but their key are written as one table. Which unit stands in which tank and has
    which arm is no part of this file.

    Parameters
    ----------
    setup : Setup
        What is to be built.
    unknown : dict, optional
        Keys that fairtank does not use, by place, as `TrialFolder.unknown_cells["setup.toml"][0]` holds them.
    usual_weeks : float, optional
        What a reader takes from the plan where the file does not say how long the trial runs; then it is left out.
    """
    kept = unknown or {}
    groups = _alike(setup.tanks, {place.split("]] ", 1)[1].split(", ")[0] for place in kept if place.startswith("[[tank]] ")})
    document: Table = {
        "setup": filled({"weeks": None if setup.weeks == usual_weeks else short(setup.weeks),
                         "waste_fraction": short(setup.waste_fraction)}),
        "money": filled({"currency": setup.money.currency, "electricity_per_kwh": short(setup.money.electricity_per_kwh)}),
        "tank": [_tank(group) for group in groups],
        "material": [_material(material) for material in setup.materials],
        "layer": [_layer(layer) for layer in setup.layers],
        "rock": [_piece(piece) for piece in setup.rocks],
        "wood": [_piece(piece) for piece in setup.woods],
        "plant": [_planting(planting) for planting in setup.plantings],
        "device": [_device(device) for device in setup.devices],
        "light": [_light(light) for light in setup.light],
        "water": [_water(water) for water in setup.water],
        "dose": [_dose(dose) for dose in setup.doses],
    }
    for name in ("light", "water"):  # the usual case: one for all
        if len(document[name]) == 1:
            document[name] = document[name][0]
    _add_unknown(document, kept, groups)
    loose = {name: value for name, value in document.items() if name not in SETUP_HEADS}
    sections = [tomli_w.dumps(loose)] if loose else []
    for name in SETUP_HEADS:
        value = document.get(name)
        if isinstance(value, list):
            sections += [section_text(f"[[{name}]]", table) for table in value]
        elif value:
            sections.append(section_text(f"[{name}]", value))
    return "\n".join(sections)


def _alike(tanks: Sequence[Tank], apart: set[str]) -> list[list[Tank]]:
    """Tanks that follow each other and differ in nothing but their key; one that has keys of its own begins anew."""
    groups: list[list[Tank]] = []
    for tank in tanks:
        if groups and tank.key not in apart and replace(groups[-1][0], key="") == replace(tank, key=""):
            groups[-1].append(tank)
        else:
            groups.append([tank])
    return groups


def _tank(group: Sequence[Tank]) -> Table:
    tank = group[0]
    keys = {"key": tank.key} if len(group) == 1 else {"keys": [one.key for one in group]}
    return filled({
        **keys, "title": tank.title, "length_cm": _out(tank.length_mm, given.LENGTH), "width_cm": _out(tank.width_mm, given.LENGTH),
        "height_cm": _out(tank.height_mm, given.HEIGHT), "glass_mm": short(tank.glass_mm),
        "bottom_glass_mm": short(tank.bottom_glass_mm), "water_line_cm": _out(tank.water_mm, given.WATER_LINE), "rim": tank.rim,
        "dividers": tank.dividers or None, "divider_glass_mm": short(tank.divider_glass_mm or None),
    })


def _material(material: Material) -> Table:
    unit = material.pack_unit
    return filled({
        "key": material.key, "kind": material.kind, "title": material.title,
        "bulk_density_kg_l": short(material.bulk_density_kg_l), "particle_density_kg_l": short(material.particle_density_kg_l),
        "formula": material.formula, "label_mg_ml": _amounts(material.label_mg_ml),
        "pack": None if material.pack_size is None else f"{short(material.pack_size)} {unit}",
        "price": short(material.price),
        "owned": f"{short(material.owned)} {unit}" if material.owned or (unit and material.pack_size is None) else None,
        "batch": material.batch, "pieces_per_pack": short(material.pieces_per_pack), "waste_fraction": short(material.waste_fraction),
    })


def _layer(layer: Layer) -> Table:
    return filled({"material": layer.material, "mass_kg": short(layer.mass_kg), "depth_cm": _out(layer.depth_mm, given.DEPTH),
                   "front_cm": _out(layer.front_mm, given.SLOPE_DEPTH), "back_cm": _out(layer.back_mm, given.SLOPE_DEPTH),
                   **_scope(layer.scope)})


def _piece(piece: Piece) -> Table:
    return {"material": piece.material, "mass_kg": short(piece.mass_kg), "count": piece.count, **_scope(piece.scope)}


def _planting(planting: Planting) -> Table:
    return filled({"material": planting.material, "zone": planting.zone, "stock": planting.stock, "count": planting.count,
                   "per_100_cm2": short(planting.per_100_cm2), "area_cm2": short(planting.area_cm2),
                   "area_fraction": short(planting.area_fraction), **_scope(planting.scope)})


def _device(device: Device) -> Table:
    numbers = {name: short(getattr(device, name) or None) for name in
               ("mass_kg", "displaced_l", "in_water_fraction", "shade_fraction", "owned")}
    return filled({
        "key": device.key, "kind": device.kind, "title": device.title, "power_w": short(device.power_w),
        "hours_per_day": short(device.hours_per_day), **numbers, "flow_l_h": short(device.flow_l_h),
        "current_ma": short(device.current_ma), "price": short(device.price), "is_change": device.is_change or None,
        "shared_by": None if device.shared_by == 1 else device.shared_by, **_scope(device.scope),
    })


def _light(light: Light) -> Table:
    key = "light_lux" if light.unit_of_measure == "lux" else "light_umol"
    return filled({"target_umol": short(light.target_umol), "hours_per_day": short(light.hours_per_day),
                   "measured": [{"setting_fraction": short(setting), key: short(value)} for setting, value in light.measured] or None,
                   "source": light.source, **_scope(light.scope)})


def _water(water: WaterPlan) -> Table:
    return filled({
        "temp_c": short(water.temp_c), "room_temp_c": short(water.room_temp_c), "target_gh_dgh": short(water.target_gh_dgh),
        "target_kh_dkh": short(water.target_kh_dkh), "gh_salts": _amounts(water.gh_salts), "kh_salt": water.kh_salt,
        "change_fraction": short(water.change_fraction), "changes_per_week": short(water.changes_per_week), **_scope(water.scope),
        "tap": _source(water.tap), "pure": _source(water.pure),
    })


def _source(source: SourceWater | None) -> Table | None:
    if source is None:
        return None
    return filled({"key": source.key, "gh_dgh": short(source.gh_dgh), "kh_dkh": short(source.kh_dkh),
                   "conductivity_us_cm": short(source.conductivity_us_cm), "ions_mg_l": _amounts(source.ions_mg_l)})


def _dose(dose: Dose) -> Table:
    return filled({"material": dose.material, "mass_mg": short(dose.mass_mg), "volume_ml": short(dose.volume_ml),
                   "doses_per_week": short(dose.doses_per_week), "per_litre": dose.per_litre or None, **_scope(dose.scope)})


def _scope(scope: Scope) -> Table:
    """The units and arms that a line names; nothing where it holds for all."""
    return {key: list(names) for key, names in (("units", scope.units), ("arms", scope.arms)) if names}


def _amounts(amounts: Sequence[tuple[str, float]]) -> Table | None:
    return {name: short(amount) for name, amount in amounts} or None


def _out(value: float | None, kind: Quantity) -> float | int | None:
    """A quantity from inside in the unit that its key names."""
    return None if value is None else short(kind.outside(value))


def _add_unknown(document: Table, kept: dict[str, str], groups: Sequence[Sequence[Tank]]) -> None:
    """Put keys that fairtank does not use back where they stood; a place that is gone is left out."""
    for place, text in kept.items():
        target = _target(document, place, groups)
        if target is not None:
            target.update(tomllib.loads(text))


def _target(document: Table, place: str, groups: Sequence[Sequence[Tank]]) -> Any:
    """The table at a place such as `[money] odd`, `[water.tap] odd`, `[[tank]] T1, odd` or `[[water]] 2, tap, odd`."""
    entry = re.match(r"\[\[(\w+)\]\] ([^,]+), ", place)
    section = re.match(r"\[(\w+)(?:\.(\w+)\](?: (\d+) )?|\])", place)
    if entry:
        found: Any = document.get(entry[1], [])
        found = found if isinstance(found, list) else [found]
        names = [group[0].key for group in groups] if entry[1] == "tank" else [str(number) for number in range(1, len(found) + 1)]
        if entry[2] not in names or len(names) != len(found):
            return None
        inner = place[entry.end():].split(", ")[:-1]
        return _inside(found[names.index(entry[2])], inner)
    if section:
        return _inside(document.setdefault(section[1], {}), [f"{section[2]} {section[3] or ''}".strip()] if section[2] else [])
    return document


def _inside(table: Any, inner: Sequence[str]) -> Any:
    """A table inside a table, or one of a list of them: `tap`, `measured 2`."""
    for step in inner:
        name, _, number = step.partition(" ")
        table = table.get(name) if isinstance(table, dict) else None
        if isinstance(table, list):
            table = table[int(number) - 1] if number.isdigit() and int(number) <= len(table) else None
    return table if isinstance(table, dict) else None
