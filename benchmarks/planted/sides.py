"""Changes that bring more than what they are there for, written down in setup.toml as what they are: the change."""

from collections.abc import Callable
from dataclasses import replace

from fairtank.build import Device, Dose, Layer, Material, Scope, Setup
from planted.facts import Facts
from planted.forms import usual_setup

Side = tuple[Callable[[Setup, Scope], Setup], tuple[str, ...]]


def _device(device: Device) -> Callable[[Setup, Scope], Setup]:
    return lambda setup, scope: replace(setup, devices=(*setup.devices, replace(device, is_change=True, scope=scope)))


def _dose(material: str, mass_mg: float, per_week: float = 3.0) -> Callable[[Setup, Scope], Setup]:
    return lambda setup, scope: replace(setup, doses=(Dose(material, mass_mg=mass_mg, doses_per_week=per_week, scope=scope),))


def _layer(setup: Setup, scope: Scope) -> Setup:
    extra = Material("pumice_bed", "layer", "pumice", bulk_density_kg_l=0.5, particle_density_kg_l=1.2)
    return replace(setup, materials=(*setup.materials, extra), layers=(Layer("pumice_bed", depth_mm=25.0, scope=scope), *setup.layers))


# What the change is, and the factors of which at least one must be told as its side effect.
SIDES: dict[str, Side] = {
    "a pump warms the water": (_device(Device("pump", "pump", "stream pump", power_w=18.0, in_water_fraction=1.0, displaced_l=0.2)),
                               ("temperature", "power_in_water")),
    "a pump moves the water": (_device(Device("pump", "pump", "stream pump", power_w=3.0, in_water_fraction=1.0, flow_l_h=600.0)),
                               ("flow",)),
    "a magnet block takes room": (_device(Device("block", "other", "magnet block", displaced_l=3.0)), ("water_volume",)),
    "a cover glass shades": (_device(Device("glass", "cover", "cover glass", shade_fraction=0.25)), ("light_at_bed",)),
    "a cover glass keeps water in": (_device(Device("glass", "cover", "cover glass", shade_fraction=0.02)), ("evaporation", "cover")),
    "a light under water warms": (_device(Device("tube", "other", "glow tube", power_w=12.0, in_water_fraction=1.0)),
                                  ("temperature", "power_in_water")),
    "saltpetre brings potassium": (_dose("nitrate", 60.0), ("doses",)),
    "epsom salt hardens": (_dose("epsom", 500.0), ("gh", "conductivity")),
    "a layer takes water's room": (_layer, ("water_volume", "substrate_depth")),
}


def side(facts: Facts, name: str) -> tuple[str, ...]:
    """Give the changed arms that change; the factors of which one must be told as a side effect."""
    bring, factors = SIDES[name]
    changed = Scope(arms=tuple(arm.key for arm in facts.plan.arms if arm.role == "changed"))
    facts.setup = bring(facts.setup or usual_setup(facts), changed)
    return factors
