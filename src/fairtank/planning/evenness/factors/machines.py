"""Factors of filters, heaters and other devices."""

from fairtank.build import Setup
from fairtank.planning.building.equipment import hours_of
from fairtank.planning.evenness.factors.light import devices_words, held
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.told import Told
from fairtank.registry import Tolerance, factor


@factor(key="filter_model", title="Filter", unit="word", sources=("common_practice",), algae=2, plants=1,
        moves="Another filter holds other amounts of media and moves the water in another way.",
        remedy="use one model with the same media, or deal the models out evenly to the arms")
def filter_model(known: Known) -> tuple[Told, ...]:
    """Which filter the tank has."""
    return (*known.of_setup(lambda setup, unit: devices_words(setup, unit, "filter")), *known.written("filter_model"))


@factor(key="filter_age", title="Age of the filter media", unit="weeks", tolerance=Tolerance(2.0, 0.1), sources=("common_practice",),
        algae=3, plants=1,
        moves="Media that have run for weeks carry the bacteria that take up ammonia; new ones leave it to the algae.",
        remedy="start all filters with new media, or share out one lot of old media")
def filter_age(known: Known) -> tuple[Told, ...]:
    """How many weeks the media have run."""
    return (*known.readings("filter_age", "weeks"), *known.written("filter_age"))


@factor(key="flow", title="Flow", unit="L/h", tolerance=Tolerance(10.0, 0.15), sources=("common_practice",), algae=2, plants=2,
        moves="Flow brings food to leaves and sweeps algae off them; a blocked filter does neither.",
        remedy="measure the flow at every outlet and set the taps alike; clean all filters on one day")
def flow(known: Known) -> tuple[Told, ...]:
    """Flow that was measured, else told by the maker."""
    return (*known.readings("flow", "L/h"), *known.of_setup(_flow), *known.written("flow"))


def _flow(setup: Setup, unit: str) -> float | None:
    flows = [device.flow_l_h / device.shared_by for device in held(setup, unit, "filter", "pump") if device.flow_l_h]
    return sum(flows) if flows else None


@factor(key="heater_model", title="Heater", unit="word", sources=("common_practice",), algae=1, plants=1,
        moves="Heaters of another make or power hold another temperature, and swing more or less around it.",
        remedy="use one model, set by one thermometer")
def heater_model(known: Known) -> tuple[Told, ...]:
    """Which heater the tank has."""
    return (*known.of_setup(lambda setup, unit: devices_words(setup, unit, "heater") or ("none" if setup.devices else "")),
            *known.written("heater_model"))


@factor(key="power_in_water", title="Heat of devices in the water", unit="W", tolerance=Tolerance(1.0, 0.1), sources=("common_practice",),
        algae=1, plants=1,
        moves="What is plugged in under water warms it beyond what the heater is set to.",
        remedy="give every tank a device of the same power, and log the temperatures")
def power_in_water(known: Known) -> tuple[Told, ...]:
    """Heat that devices bring into the water over a day; heaters are left out, since their thermostat decides."""
    return (*known.of_setup(_heat), *known.readings("power_in_water", "W"), *known.written("power_in_water"))


def _heat(setup: Setup, unit: str) -> float | None:
    if not setup.devices:
        return None
    return sum(device.power_w * device.in_water_fraction / device.shared_by * hours_of(setup, unit, device) / 24
               for device in setup.devices if device.kind != "heater" and setup.holds(device.scope, unit))


@factor(key="carbon", title="Carbon or other binding media", unit="word", sources=("common_practice",), algae=2, plants=1,
        moves="Carbon and resins bind stain, phosphate or trace elements that plants and algae would use.",
        remedy="use it in all filters or in none, and change it on one day")
def carbon(known: Known) -> tuple[Told, ...]:
    """Filter carbon or other media that bind."""
    return known.written("carbon")
