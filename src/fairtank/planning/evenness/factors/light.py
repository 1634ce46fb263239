"""Factors of light: lamps, their hours, and what reaches the bed."""

from fairtank.build import Device, Setup
from fairtank.planning.building.equipment import hours_of, light_of
from fairtank.planning.evenness.conversion import CLOCK_UNIT
from fairtank.planning.evenness.known import SETUP, Known
from fairtank.planning.evenness.told import PLANNED, Told
from fairtank.registry import Tolerance, factor


@factor(key="room_light", title="Room light", unit="lux", tolerance=Tolerance(20.0, 0.25), sources=("common_practice",), algae=3, plants=2,
        moves="Light of the room adds to the lamps, and for more hours than they burn; algae use weak light well.",
        remedy="measure at every tank with the lamps off, and shade the brighter ones")
def room_light(known: Known) -> tuple[Told, ...]:
    """Light at the tank with the lamps off."""
    return (*known.readings("room_light", "lux"), *known.written("room_light"))


@factor(key="lamp_model", title="Lamp", unit="word", sources=("common_practice",), algae=3, plants=3,
        moves="Lamps of another make differ in strength, colour and spread of the light, on which everything grows.",
        remedy="use one model on all tanks, or deal the models out evenly to the arms")
def lamp_model(known: Known) -> tuple[Told, ...]:
    """Which lamp hangs over the tank."""
    return (*known.of_setup(lambda setup, unit: devices_words(setup, unit, "lamp")), *known.written("lamp_model"))


def devices_words(setup: Setup, unit: str, *kinds: str) -> str:
    """The devices of a kind that a unit has, in words; empty where it has none of them."""
    return " and ".join(device.label for device in held(setup, unit, *kinds))


def held(setup: Setup, unit: str, *kinds: str) -> list[Device]:
    """The devices of these kinds that a unit has."""
    return [device for device in setup.devices if device.kind in kinds and setup.holds(device.scope, unit)]


@factor(key="lamp_age", title="Age of the lamp", unit="months", tolerance=Tolerance(3.0, 0.1), sources=("common_practice",),
        algae=2, plants=2,
        moves="Lamps fade with use: an old one gives less light than a new one of the same model.",
        remedy="set every lamp by a light meter at the bed, or change all lamps at once")
def lamp_age(known: Known) -> tuple[Told, ...]:
    """How long the lamp has been in use."""
    return (*known.readings("lamp_age", "months"), *known.written("lamp_age"))


@factor(key="lamp_height", title="Lamp above the water", unit="cm", tolerance=Tolerance(1.0, 0.05), sources=("common_practice",),
        algae=2, plants=2,
        moves="A lamp that hangs lower gives more light to a smaller patch.",
        remedy="hang all lamps at one height, measured from the water line")
def lamp_height(known: Known) -> tuple[Told, ...]:
    """Height of the lamp above the water."""
    return (*known.readings("lamp_height", "cm"), *known.written("lamp_height"))


@factor(key="photoperiod", title="Hours of light a day", unit="h", tolerance=Tolerance(0.25), sources=("common_practice",),
        algae=3, plants=3,
        moves="An hour more of light a day is more growth for plants and algae alike.",
        remedy="put all lamps on one timer")
def photoperiod(known: Known) -> tuple[Told, ...]:
    """Hours of light a day."""
    hours: dict[str, list[float]] = {}
    for care in known.care_of("light"):
        if care.amount is not None and care.unit_of_measure.casefold() in ("h", "hours", "hour") and care.where != "events.csv":
            hours.setdefault(care.unit, []).append(care.amount)
    from_chores = tuple(Told(unit, sum(own) / len(own), "chores.csv", dated=True) for unit, own in hours.items())
    return (*known.readings("photoperiod", "h"), *from_chores, *known.of_setup(_hours), *known.written("photoperiod"))


def _hours(setup: Setup, unit: str) -> float | None:
    light = light_of(setup, unit)
    if light is not None:
        return light.hours_per_day
    return max((hours_of(setup, unit, device) for device in held(setup, unit, "lamp")), default=None)


@factor(key="light_on", title="Light goes on", unit=CLOCK_UNIT, tolerance=Tolerance(0.5), sources=("common_practice",), algae=1, plants=1,
        moves="Where the room is light for part of the day, lamps that start earlier make the whole day longer.",
        remedy="put all lamps on one timer")
def light_on(known: Known) -> tuple[Told, ...]:
    """Clock time at which the light goes on."""
    return known.written("light_on")


@factor(key="light_at_bed", title="Light at the bed", unit="µmol m⁻² s⁻¹", tolerance=Tolerance(2.0, 0.1), sources=("common_practice",),
        algae=3, plants=3,
        moves="Light is what plants and algae grow on: a tenth more of it can be a tenth more growth.",
        remedy="measure at the bed of every tank at one place, and dim or raise the brighter lamps")
def light_at_bed(known: Known) -> tuple[Told, ...]:
    """Light that reaches the bed; lux is told as lux."""
    setup, planned = known.setup, []
    for unit in setup.units if setup is not None else ():
        light = light_of(setup, unit) if setup is not None else None
        if light is not None:
            part = "lux" if light.unit_of_measure == "lux" and not light.source else ""
            planned.append(Told(unit, light.target_umol, SETUP, PLANNED, part, unit_of_measure=part))
    return (*known.readings("light_at_bed", "µmol m⁻² s⁻¹"), *planned, *known.written("light_at_bed"))
