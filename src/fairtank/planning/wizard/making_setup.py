"""The setup that the answers make: glass, bed, plants, lamp and water of tanks that are alike, but for what the change moves."""

import re

from fairtank.build import ALL_UNITS, Device, Dose, Layer, Material, Planting, Scope, Setup, SourceWater, Tank, WaterPlan
from fairtank.planning.wizard.making import CHANGED, LONGEST_ARM_NAME, REFERENCE
from fairtank.planning.wizard.step import Told
from fairtank.planning.wizard.steps_setup import UNDER, plants_from
from fairtank.science.bed import MATERIALS
from fairtank.trial import Plan

WATER_BELOW_TOP_MM = 30.0
SOIL_SHARE = 0.4
USUAL_TEMP_C, USUAL_ROOM_C = 24.0, 20.0
FERTILISER = "fertiliser"
_ARMS = ((REFERENCE, ""), (CHANGED, "_changed"))
_ZONES = (("carpet", "foreground"), ("floating", "floating"), ("moss", "on_wood"))


def setup_of(told: Told, plan: Plan) -> Setup | None:
    """What is to be built, from the short form; None where it was skipped.

    Parameters
    ----------
    told : Told
        The answers.
    plan : Plan
        For the units and their arms.

    Returns
    -------
    Setup or None
        Lengths in mm.

    References
    ----------
    bed_densities, sand_densities, soil_densities for the beds; common_practice for temperatures (keys from sources.py).
    """
    size = told.numbers("size")
    if not told.says("setup") or len(size) != 4:
        return None
    beds = _beds(told, told.text("bed"))
    changed_beds = _beds(told, told.text("changed_bed")) if told.text("changed_bed") else beds
    plants = plants_from(told.text("plants"))
    keys = _plant_keys(plants)
    return Setup(
        tanks=tuple(_tank(told, unit.tank) for unit in plan.units), places=tuple((unit.key, unit.tank) for unit in plan.units),
        arms=tuple((unit.key, unit.first_arm or unit.arm) for unit in plan.units), weeks=plan.days / 7,
        materials=(*(_bed_material(key) for key in dict.fromkeys(key for key, _ in (*beds, *changed_beds))),
                   *(Material(key, "plant", name) for key, (name, _) in zip(keys, plants, strict=True)),
                   Material("tap_water", "other", "tap water"),
                   *((Material(FERTILISER, "liquid", "fertiliser"),) if told.numbers("doses") else ())),
        layers=_layers(beds, changed_beds),
        plantings=tuple(Planting(key, _zone(name), count=count) for key, (name, count) in zip(keys, plants, strict=True)),
        devices=(*_lamps(told), *_filters(told), *_changes(told)), water=_water(told), doses=_doses(told),
    )


def is_alike(setup: Setup) -> bool:
    """Whether nothing in a setup is for one arm alone, so that the change is not in it."""
    scopes = [one.scope for part in (setup.layers, setup.devices, setup.water, setup.doses) for one in part]
    return not any(scope.arms for scope in scopes)


def _tank(told: Told, key: str) -> Tank:
    *sides, glass_mm = told.numbers("size")
    length_mm, width_mm, height_mm = (10.0 * side for side in sides)
    return Tank(key, length_mm, width_mm, height_mm, glass_mm, max(height_mm - glass_mm - WATER_BELOW_TOP_MM, height_mm / 2))


def _layers(beds: tuple[tuple[str, float], ...], changed: tuple[tuple[str, float], ...]) -> tuple[Layer, ...]:
    """The layers for all, or those of each arm where the bed is the change."""
    if beds == changed:
        return tuple(Layer(key, depth_mm=depth_mm) for key, depth_mm in beds)
    return tuple(Layer(key, depth_mm=depth_mm, scope=Scope(arms=(arm,)))
                 for arm, own in ((REFERENCE, beds), (CHANGED, changed)) for key, depth_mm in own)


def _beds(told: Told, key: str) -> tuple[tuple[str, float], ...]:
    """Layers from the bottom up, with their depth [mm]."""
    depth_mm = 10.0 * told.number("bed_cm", 5.0)
    if key == UNDER:
        return ("pond_soil", SOIL_SHARE * depth_mm), ("silica_sand", (1 - SOIL_SHARE) * depth_mm)
    return ((key, depth_mm),) if key in MATERIALS else ()


def _bed_material(key: str) -> Material:
    bed = MATERIALS[key]
    return Material(key, "layer", bed.title, bulk_density_kg_l=bed.bulk_density_kg_l, particle_density_kg_l=bed.particle_density_kg_l)


def _plant_keys(plants: tuple[tuple[str, int], ...]) -> tuple[str, ...]:
    """A key for each plant, in small letters; one that would stand twice, or be nothing, is numbered."""
    keys = list[str]()
    for number, (name, _) in enumerate(plants, start=1):
        key = re.sub(r"[^a-z0-9]+", "_", name.casefold())[:40].strip("_")
        taken = {*keys, *MATERIALS, "tap_water", FERTILISER}
        keys.append(key if key and key not in taken else f"plant_{number}")
    return tuple(keys)


def _zone(name: str) -> str:
    return next((zone for word, zone in _ZONES if word in name.casefold()), "background")


def _lamps(told: Told) -> tuple[Device, ...]:
    """One lamp for all; where hours of light are the change, the same lamp with other hours in the changed tanks."""
    lamp = told.numbers("lamp")
    if len(lamp) not in (2, 3):
        return ()
    watts, hours, changed = lamp if len(lamp) == 3 else (*lamp, lamp[1])
    if changed == hours:
        return (Device("lamp", "lamp", "lamp", power_w=watts, hours_per_day=hours),)
    return (Device("lamp", "lamp", "lamp", power_w=watts, hours_per_day=hours, scope=Scope(arms=(REFERENCE,))),
            Device("lamp_changed", "lamp", "lamp", power_w=watts, hours_per_day=changed, scope=Scope(arms=(CHANGED,))))


def _filters(told: Told) -> tuple[Device, ...]:
    """The same filter in all tanks, at the flow that each arm has; nothing where flow is not the change."""
    return tuple(Device(f"filter{end}", "filter", "filter", flow_l_h=flow, scope=Scope(arms=(arm,)))
                 for (arm, end), flow in zip(_ARMS, told.numbers("flow"), strict=False))


def _changes(told: Told) -> tuple[Device, ...]:
    """The device that is the change itself, where it is one."""
    title = told.text("change")[:LONGEST_ARM_NAME].strip()
    return (Device("change", "other", title, is_change=True, scope=Scope(arms=(CHANGED,))),) if told.says("device") else ()


def _doses(told: Told) -> tuple[Dose, ...]:
    """What each arm is fed; an arm without has no dose."""
    *volumes_ml, a_week = told.numbers("doses") or (0.0,)
    return tuple(Dose(FERTILISER, volume_ml=volume_ml, doses_per_week=a_week, scope=Scope(arms=(arm,)))
                 for (arm, _), volume_ml in zip(_ARMS, volumes_ml, strict=False) if volume_ml > 0)


def _water(told: Told) -> tuple[WaterPlan, ...]:
    hardness = told.numbers("water")
    if len(hardness) not in (3, 4):
        return ()
    kh_dkh, gh_dgh, *shares_pct = hardness
    source = SourceWater("tap_water", gh_dgh=gh_dgh, kh_dkh=kh_dkh)
    scopes = (ALL_UNITS,) if len(set(shares_pct)) == 1 else (Scope(arms=(REFERENCE,)), Scope(arms=(CHANGED,)))
    return tuple(WaterPlan(source, temp_c=USUAL_TEMP_C, room_temp_c=USUAL_ROOM_C, change_fraction=share / 100, scope=scope)
                 for scope, share in zip(scopes, shares_pct, strict=False))
