"""What a reader of a sheet must know: sentences about this very build, and which standing cautions belong on it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from fairtank.build import Setup, Tank
from fairtank.planning.building.blending import water_of
from fairtank.planning.building.boxes import likeness_of, pane_cautions, units_in
from fairtank.planning.building.doses import FINEST, LIKE_SHARE, unlike_doses
from fairtank.planning.building.equipment import devices_of, light_of
from fairtank.planning.sheet import TankFacts
from fairtank.science.bed import HARDSCAPE_MATERIALS, MATERIALS


def notices(setup: Setup, tanks: Sequence[TankFacts], net_l: Mapping[str, float]) -> tuple[str, ...]:
    """Sentences about this build, each once: glass, empty compartments, doses, waters, lamps and densities that were assumed."""
    said = [*_about_glass(setup, tanks), *_about_idle_compartments(setup), *_about_doses(setup, net_l), *_about_water(setup),
            *_about_lamps(setup), *_about_heaters(setup, tanks), *_about_densities(setup)]
    return tuple(dict.fromkeys(said))


def caution_keys(setup: Setup) -> tuple[str, ...]:
    """Which standing cautions belong on the sheet; those on glass and weight always do."""
    has_co2 = any(device.kind == "co2" for device in setup.devices)
    has_salts = any(plan.gh_salts or plan.kh_salt for plan in setup.water) or any(dose.mass_mg is not None for dose in setup.doses)
    belongs = {
        "glass": True, "weight": True, "mains": any(device.power_w > 0 for device in setup.devices),
        "co2_cylinder": has_co2, "co2_animals": has_co2,
        "electrolysis": any(device.current_ma for device in setup.devices), "dry_salts": has_salts,
        "cyanoacrylate": any(planting.zone == "on_wood" for planting in setup.plantings), "plants_animals": bool(setup.plantings),
    }
    return tuple(key for key, does in belongs.items() if does)


def _about_glass(setup: Setup, tanks: Sequence[TankFacts]) -> Iterable[str]:
    """Like tanks are told together."""
    alike: dict[Tank, list[str]] = defaultdict(list)
    for tank in setup.tanks:
        alike[likeness_of(tank)].append(tank.key)
    panes = {facts.tank: facts.panes for facts in tanks}
    for tank, keys in alike.items():
        yield from pane_cautions(_label(keys), tank, panes[keys[0]])


def _label(keys: Sequence[str]) -> str:
    return f"Tank {keys[0]}" if len(keys) == 1 else f"Tanks {', '.join(keys)}"


def _about_idle_compartments(setup: Setup) -> Iterable[str]:
    for tank in setup.tanks:
        idle = tank.compartments - len(units_in(setup, tank))
        if idle:
            yield (f"Tank {tank.key}: {idle} of {tank.compartments} compartments hold no unit; they count as full of water in its weight, "
                   "and nothing is planned for them.")


def _about_doses(setup: Setup, net_l: Mapping[str, float]) -> Iterable[str]:
    unlike = unlike_doses(setup, net_l)
    for place, dose in enumerate(setup.doses):
        material = setup.material(dose.material)
        if material.kind == "liquid" and not material.label_mg_ml:
            yield (f"What {material.label} adds is not known, so nothing is said of what it builds up to: give what its label says one mL "
                   "holds.")
        litres = [net_l[unit] for unit in setup.units if setup.holds(dose.scope, unit)]
        if litres and not dose.per_litre and max(litres) > (1 + LIKE_SHARE) * min(litres):
            yield (f"{material.label} is dosed alike into {min(litres):.1f} to {max(litres):.1f} L, so its concentration differs between "
                   "units: give the dose per litre to make it equal.")
        if place in unlike:
            least, most, measure = unlike[place]
            yield (f"{material.label} is meant alike for each litre, but rounded to {FINEST[measure]} a dose comes to {least:.3g} to "
                   f"{most:.3g} {measure}/L, so its concentration differs between units: give it diluted, or less often in larger doses.")


def _about_water(setup: Setup) -> Iterable[str]:
    without = [unit for unit in setup.units if water_of(setup, unit) is None]
    if without:
        yield (f"No water was planned for {', '.join(without)}: heat is reckoned for water of 24 °C in a room of 18 °C, and doses as if no "
               "water were ever changed.")


def _about_lamps(setup: Setup) -> Iterable[str]:
    for unit in setup.units:
        light = light_of(setup, unit)
        for device in devices_of(setup, unit) if light is not None else ():
            if device.kind == "lamp" and light is not None and device.hours_per_day not in (24, light.hours_per_day):
                yield (f"{device.label} runs {device.hours_per_day:g} h a day by its own line and {light.hours_per_day:g} h by the light "
                       "plan; the light plan counts.")


def _about_heaters(setup: Setup, tanks: Sequence[TankFacts]) -> Iterable[str]:
    """Heaters that are weaker than the usual range, like tanks told together; a tank without one is taken to need none."""
    weak: dict[tuple[float, float, float, float], list[str]] = defaultdict(list)
    for facts in tanks:
        heaters = [device for unit in facts.units for device in devices_of(setup, unit) if device.kind == "heater"]
        power_w = sum(device.power_w / device.shared_by for device in heaters)
        if 0 < power_w < facts.heater_low_w - 0.5:
            weak[power_w, facts.heat_loss_w, facts.heater_low_w, facts.heater_high_w].append(facts.tank)
    for (power_w, loss_w, low_w, high_w), keys in weak.items():
        yield (f"{_label(keys)}: heaters of {power_w:.0f} W for a loss of about {loss_w:.0f} W at the coldest room; {low_w:.0f} to "
               f"{high_w:.0f} W are usual (common practice, no source). A weak heater lets cold nights through.")


def _about_densities(setup: Setup) -> Iterable[str]:
    for layer in setup.layers:
        material = setup.material(layer.material)
        known = MATERIALS.get(material.key)
        if known is not None and known.mark == "from memory" and material.bulk_density_kg_l is None:
            yield (f"{material.label}: its {known.bulk_density_kg_l:g} kg/L is a literature value, from memory ({known.bulk_low:g} to "
                   f"{known.bulk_high:g} are found). Divide the bag's kilograms by the bag's litres and plan again.")
    for piece in (*setup.rocks, *setup.woods):
        stone, row = HARDSCAPE_MATERIALS.get(piece.material), setup.material(piece.material)
        if stone is not None and stone.mark == "from memory" and row.particle_density_kg_l is None:
            yield (f"{row.label}: its {stone.density_kg_l:g} kg/L is a literature value, from memory ({stone.low:g} to {stone.high:g} are "
                   "found). Weigh a piece in air and under water, and plan again.")
