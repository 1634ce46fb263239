"""Each way of writing a factor down: the same fact as a cell, as readings, as weighed amounts, as chores, as events, as setup."""

from dataclasses import replace

import numpy as np

from fairtank.build import Device, Layer, Light, Material, Piece, Planting, Scope, Setup, SourceWater, Tank, WaterPlan
from fairtank.trial import BuildLine
from planted.factors import BATCH, CHORES, EVENTS, PLACE, READ, SETUP, STATED, WEIGHED, Planted
from planted.facts import Facts, Value, chore, event, read, stated, weighed
from planted.layouts import DAYS

_SUNDAYS, _WEDNESDAYS = range(0, DAYS, 7), range(3, DAYS, 7)  # day 0 is a Sunday; as many of either
_LINES = {"water_volume": ("water", "water"), "substrate_mass": ("clay", "substrate"), "hardscape_mass": ("slate", "hardscape"),
          "plant_portions": ("stem plant", "plant")}
_KINDS = {"substrate_kind": ("substrate", "kg", 6.0), "substrate_batch": ("substrate", "kg", 6.0),
          "hardscape_kind": ("hardscape", "kg", 2.1),
          "source_water": ("water", "L", 34.0), "plant_kinds": ("plant", "pieces", 20.0), "plant_stock": ("plant", "pieces", 20.0)}
_PLAIN = {"substrate_batch": "baked clay", "plant_stock": "stem plant"}


def write(facts: Facts, one: Planted, form: str, odd: set[str], chance: np.random.Generator, *, size: float = 1.0,
          recorded: set[str] | None = None) -> None:
    """Write a factor down for the tanks: something else for the odd ones, what is usual for the others.

    size: how far the other value lies from the usual one, as a share of the whole step. recorded: tanks for which it is written at all.
    """
    keys = [key for key in facts.units if recorded is None or key in recorded]
    values = {key: _value(one, key in odd, size, chance) for key in keys}
    if form == STATED:
        stated(facts, one.key, values, one.unit)
    elif form == READ:
        days = ((0,), _SUNDAYS, range(DAYS + 1), (0, 14, 28, 42))[chance.integers(0, 4)]
        read(facts, one.quantity, values, one.unit, days, one.error, one.step, chance)
    elif form == WEIGHED:
        material, kind = _LINES[one.key]
        weighed(facts, material, kind, float(one.usual), values, one.unit, {})
    elif form == BATCH:
        _batch(facts, one, values)
    elif form == CHORES:
        _chores(facts, one, values, chance)
    elif form == EVENTS:
        _events(facts, one, values)
    elif form == PLACE:
        _place(facts, values)
    elif form == SETUP:
        _set_up(facts, one, odd, size)


def _value(one: Planted, is_odd: bool, size: float, chance: np.random.Generator) -> Value:
    if isinstance(one.usual, str) or isinstance(one.other, str):
        return one.other if is_odd else one.usual
    value = one.usual + (size * (one.other - one.usual) if is_odd else 0.0) + chance.normal(0, 1) * one.scatter
    return round(value, 2)


def _batch(facts: Facts, one: Planted, values: dict[str, Value]) -> None:
    """A material or its batch, in the build sheet."""
    kind, unit, amount = _KINDS[one.key]
    for key, value in values.items():
        material, batch = (_PLAIN[one.key], str(value)) if one.key in _PLAIN else (str(value), "")
        facts.build.append(BuildLine(key, material, kind, amount, amount, unit, batch))


def _chores(facts: Facts, one: Planted, values: dict[str, Value], chance: np.random.Generator) -> None:
    for key, value in values.items():
        if one.key == "doses":
            for day in (day for day in range(DAYS) if day % 7 in (1, 4)):
                chore(facts, key, "dose", day, quantity=one.quantity, amount=round(float(value) / 2 * (1 + chance.normal(0, 0.01)), 3),
                      unit_of_measure=one.unit)
        elif one.key == "water_change":
            for day in _SUNDAYS:
                chore(facts, key, "water_change", day, amount=round(float(value) + chance.normal(0, 0.1), 2), unit_of_measure="L")
        elif one.key == "water_change_day":
            for day in _SUNDAYS if value == "Sunday" else _WEDNESDAYS:
                chore(facts, key, "water_change", day, amount=10.0, unit_of_measure="L")
        elif one.key == "hands":
            for day in _SUNDAYS:
                chore(facts, key, "test", day, by=str(value))
        elif one.key == "cleaning":
            for day in (day for day in range(DAYS) if day % 7 in range(round(float(value)))):
                chore(facts, key, "clean", day)
        elif one.key == "care_minutes":
            for day in _SUNDAYS:
                chore(facts, key, "other", day, minutes=round(max(float(value) + chance.normal(0, 1.0), 1.0), 1))


def _events(facts: Facts, one: Planted, values: dict[str, Value]) -> None:
    if one.key == "fauna":
        odd = [key for key, value in values.items() if value != "none"]
        if odd:
            event(facts, "fauna", 10, odd, "six shrimps")
        return
    for key, value in values.items():
        event(facts, "planted" if one.key == "planted_on" else "filled", round(float(value)), (key,))


def _place(facts: Facts, values: dict[str, Value]) -> None:
    units = [replace(unit, position=str(values[unit.key])) if unit.key in values else unit for unit in facts.plan.units]
    facts.plan = replace(facts.plan, units=tuple(units))


def usual_setup(facts: Facts) -> Setup:
    """A whole build in which all tanks are alike."""
    places = tuple((unit.key, unit.tank) for unit in facts.plan.units)
    tanks = tuple(Tank(key, 450.0, 280.0, 360.0, 6.0, 315.0) for key in dict.fromkeys(tank for _, tank in places))
    materials = (
        Material("clay", "layer", "baked clay", bulk_density_kg_l=0.95, particle_density_kg_l=1.9),
        Material("slate", "rock", "slate", particle_density_kg_l=2.7),
        Material("stem", "plant", "green stem plant", pieces_per_pack=6.0),
        Material("nitrate", "salt", "potassium nitrate", formula="KNO3"),
        Material("epsom", "salt", "magnesium sulphate", formula="MgSO4.7H2O"),
    )
    return Setup(
        tanks=tanks, places=places, arms=tuple((unit.key, unit.arm) for unit in facts.plan.units), weeks=DAYS / 7, materials=materials,
        layers=(Layer("clay", mass_kg=6.0),), rocks=(Piece("slate", 2.1, 4),),
        plantings=(Planting("stem", "background", "potted", count=20),),
        devices=(Device("lamp", "lamp", "lamp 18 W", power_w=18.0, hours_per_day=8.0),
                 Device("heater", "heater", "heater 50 W", power_w=50.0, in_water_fraction=1.0, displaced_l=0.1),
                 Device("filter", "filter", "inside filter", power_w=4.0, in_water_fraction=1.0, flow_l_h=260.0, displaced_l=0.2)),
        light=(Light(45.0, 8.0, measured=((1.0, 80.0),)),),
        water=(WaterPlan(SourceWater("tap", 7.0, 4.0, 310.0), temp_c=24.0, room_temp_c=19.0, change_fraction=0.3),),
    )


def _set_up(facts: Facts, one: Planted, odd: set[str], size: float) -> None:
    """The odd tanks built otherwise in setup.toml; nothing of it is said to belong to the change."""
    setup = facts.setup or usual_setup(facts)
    tanks = {unit.tank for unit in facts.plan.units if unit.key in odd}
    those, others = Scope(units=tuple(sorted(odd))), Scope(units=tuple(key for key in facts.units if key not in odd))
    step = size * (float(one.other) - float(one.usual)) if not isinstance(one.usual, str) else 0.0  # type: ignore[arg-type]
    if one.key in ("tank_length", "tank_width", "water_level"):
        name = {"tank_length": "length_mm", "tank_width": "width_mm", "water_level": "water_mm"}[one.key]
        facts.setup = replace(setup, tanks=tuple(replace(tank, **{name: getattr(tank, name) + 10 * step}) if tank.key in tanks else tank
                                                 for tank in setup.tanks))
        return
    outer = Device("filter_b", "filter", "outer filter", power_w=4.0, in_water_fraction=1.0, flow_l_h=260.0, displaced_l=0.2)
    new = {"lamp_model": Device("lamp_b", "lamp", "lamp 24 W", power_w=24.0, hours_per_day=8.0),
           "heater_model": Device("heater_b", "heater", "heater 100 W", power_w=100.0, in_water_fraction=1.0, displaced_l=0.1),
           "filter_model": outer,
           "cover": Device("glass", "cover", "cover glass", mass_kg=0.9, shade_fraction=0.08)}[one.key]
    kept = tuple(replace(device, scope=others) if device.kind == new.kind else device for device in setup.devices)
    facts.setup = replace(setup, devices=(*kept, replace(new, scope=those)))
