"""What the change is, and what it brings besides: which factors differ on purpose, and which only because of it."""

from dataclasses import dataclass

from fairtank.build import ALL_UNITS, Device, Scope, Setup
from fairtank.planning.effects.side_effect import IONS, SideEffect
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.spoken import spoken_of
from fairtank.planning.side_effects import side_effects

# Which factor a device of each kind is itself. Of other devices what they bring is worked out.
_DEVICE_FACTORS = {"lamp": ("lamp_model",), "filter": ("filter_model",), "heater": ("heater_model",), "cover": ("cover",),
                   "co2": ("co2",)}
# What a change of one factor brings along in others, where nothing else is said. Common practice, no source.
BRINGS: dict[str, tuple[str, ...]] = {
    "lamp_model": ("light_at_bed", "power_in_water"),
    "lamp_height": ("light_at_bed",), "lamp_age": ("light_at_bed",), "photoperiod": ("light_on",),
    "cover": ("evaporation", "temperature", "light_at_bed", "oxygen"), "filter_model": ("flow", "filter_age", "oxygen", "power_in_water"),
    "heater_model": ("temperature", "power_in_water"), "flow": ("oxygen", "filter_model", "power_in_water"), "co2": ("ph",),
    "source_water": ("kh", "gh", "conductivity", "ph", "nitrate", "phosphate"), "kh": ("ph", "conductivity", "source_water"),
    "gh": ("conductivity", "source_water"), "carbon": ("phosphate",),
    "doses": ("nitrate", "phosphate", "conductivity", "kh", "gh"), "temperature": ("evaporation", "oxygen", "heater_model"),
    "water_change": ("nitrate", "phosphate", "conductivity", "care_minutes", "water_change_day"),
    "substrate_kind": ("substrate_mass", "substrate_depth", "substrate_batch", "substrate_wetting", "water_volume", "kh", "gh", "ph",
                       "conductivity", "nitrate", "phosphate"),
    "substrate_mass": ("substrate_depth", "water_volume"), "substrate_depth": ("substrate_mass", "water_volume"),
    "hardscape_kind": ("hardscape_mass", "water_volume", "kh", "gh", "ph"), "hardscape_mass": ("water_volume",),
    "plant_kinds": ("plant_portions", "plant_mass", "plant_stock"), "plant_stock": ("plant_portions", "plant_mass"),
    "plant_portions": ("plant_mass",), "plant_mass": ("plant_portions",), "cleaning": ("care_minutes",),
    "water_level": ("water_volume",), "tank_length": ("water_volume",), "tank_width": ("water_volume",),
    "fauna": ("nitrate", "phosphate"), "inoculum": ("filter_age",),
}
# Factors of the build, by what a side effect is called.
_EFFECT_FACTORS = {"temperature": "temperature", "volume": "water_volume", "flow": "flow", "light": "light_at_bed",
                   "bed height": "substrate_depth", "evaporation": "evaporation", "oxygen": "oxygen", "general hardness": "gh",
                   "carbonate hardness": "kh", "conductivity": "conductivity", "nitrate": "nitrate", "phosphate": "phosphate"}
@dataclass(frozen=True)
class Change:
    """What differs on purpose.

    declared: factors that trial.toml names. marked: factors that setup.toml gives to one arm only, with what gives them. spoken: factors
    that the words of the plan speak of. brought: factors that come along, with what brings them. effects: what was worked out of the setup.
    has_device: setup.toml marks a device as the change.
    """

    declared: tuple[str, ...]
    marked: dict[str, str]
    spoken: tuple[str, ...]
    brought: dict[str, str]
    effects: tuple[SideEffect, ...]
    has_device: bool = False

    def expected(self, factor: str) -> tuple[SideEffect, ...]:
        """The side effects that fall on a factor."""
        return tuple(effect for effect in self.effects if _EFFECT_FACTORS.get(effect.factor) == factor)

    def partner(self, ion: str) -> tuple[SideEffect, ...]:
        """What a salt or liquid that is the change brings of an ion beside the one that it is given for."""
        return tuple(effect for effect in self.effects
                     if ion and effect.factor == IONS.get(ion, ion) and effect.cause in self.marked.values())


def change_of(known: Known) -> Change:
    """What the change of a trial is, and what it brings.

    Parameters
    ----------
    known : Known
        All that is known of the trial.

    Returns
    -------
    Change

    References
    ----------
    common_practice (keys from sources.py).
    """
    plan, setup = known.plan, known.setup
    declared = plan.change_factors
    marked = _marked(setup) if setup is not None else {}
    names = (name for arm in plan.arms for name in (arm.name, *arm.changes))
    spoken = spoken_of((plan.change, plan.reference, *names))
    effects: tuple[SideEffect, ...] = ()
    if setup is not None and known.sheet is not None and (plan.kind != "rounds"):
        effects = side_effects(setup, known.sheet)
    brought: dict[str, str] = {}
    for key in (*declared, *marked):
        for other in BRINGS.get(key, ()):
            brought.setdefault(other, marked.get(key) or key)
    for effect in effects:
        factor = _EFFECT_FACTORS.get(effect.factor)
        if factor is not None and _is_of_the_change(setup, effect, marked):
            brought[factor] = effect.cause
    for device in setup.devices if setup is not None else ():
        if device.is_change and device.power_w * device.in_water_fraction > 0:
            brought.setdefault("power_in_water", device.label)
    own = {*declared, *marked}
    return Change(declared, marked, spoken, {key: cause for key, cause in brought.items() if key not in own}, effects,
                  has_device=setup is not None and any(device.is_change for device in setup.devices))


def _is_of_the_change(setup: Setup | None, effect: SideEffect, marked: dict[str, str]) -> bool:
    """Whether the line that a side effect comes from is part of the change: a device marked so, or what one arm alone is given."""
    devices = [] if setup is None else [device for device in setup.devices if device.label == effect.cause]
    if devices:
        return any(device.is_change for device in devices)
    return effect.cause in marked.values() or effect.cause.startswith("light of ")


def _marked(setup: Setup) -> dict[str, str]:
    """Factors that setup.toml gives to one arm only: devices that are the change, layers, doses and lights."""
    found: dict[str, str] = {}
    for device in setup.devices:
        if device.is_change:
            found.update(dict.fromkeys(_device_factors(device), device.label))
    for layer in setup.layers:
        if _is_of_arms(setup, layer.scope):
            label = setup.material(layer.material).label
            same = {other.material for other in setup.layers if other is not layer and other.scope != layer.scope}
            key = "substrate_mass" if layer.mass_kg is not None else "substrate_depth"
            found.setdefault(key if layer.material in same else "substrate_kind", label)
    for dose in setup.doses:
        if _is_of_arms(setup, dose.scope):
            found.setdefault("doses", setup.material(dose.material).label)
    for light in setup.light:
        if _is_of_arms(setup, light.scope):
            others = [other for other in setup.light if other is not light]
            if any(other.hours_per_day != light.hours_per_day for other in others):
                found.setdefault("photoperiod", f"{light.hours_per_day:g} h of light")
            if not others or any(other.target_umol != light.target_umol for other in others):
                found.setdefault("light_at_bed", f"light of {light.target_umol:g} µmol m⁻² s⁻¹")
    return found


def _device_factors(device: Device) -> tuple[str, ...]:
    return _DEVICE_FACTORS.get(device.kind, ())


def _is_of_arms(setup: Setup, scope: Scope) -> bool:
    """Whether a line holds for the units of some arms by the arms' names, and not for all units."""
    return scope != ALL_UNITS and bool(scope.arms) and not all(setup.holds(scope, unit) for unit in setup.units)
