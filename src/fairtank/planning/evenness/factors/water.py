"""Factors of the water and of the air beside it: warmth, gases, hardness, and what is dissolved."""

from fairtank.build import Setup
from fairtank.planning.building.blending import water_of
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.told import PLANNED, Told
from fairtank.planning.evenness.wording import alike
from fairtank.registry import Tolerance, factor
from fairtank.trial import BuildLine


@factor(key="room_temperature", title="Air beside the tank", unit="°C", tolerance=Tolerance(1.0), sources=("common_practice",),
        algae=1, plants=1,
        moves="Warmer air warms an unheated tank and lets more water evaporate.",
        remedy="measure at every tank; move tanks away from radiators, doors and windows, or deal the places out evenly")
def room_temperature(known: Known) -> tuple[Told, ...]:
    """Temperature of the air beside the tank."""
    return (*known.readings("room_temperature", "°C"), *known.written("room_temperature"))


@factor(key="temperature", title="Water temperature", unit="°C", tolerance=Tolerance(0.5), sources=("common_practice",), algae=2, plants=3,
        moves="Warmer water speeds up plants, algae and bacteria, by some 5 to 10 % for each degree.",
        remedy="set all heaters by one thermometer, and log every tank")
def temperature(known: Known) -> tuple[Told, ...]:
    """Temperature of the water."""
    return (*known.readings("temperature", "°C"), *known.of_setup(_temperature), *known.written("temperature"))


def _temperature(setup: Setup, unit: str) -> float | None:
    plan = water_of(setup, unit)
    return None if plan is None else plan.temp_c


@factor(key="co2", title="Dissolved CO2", unit="mg/L", tolerance=Tolerance(2.0, 0.15), sources=("common_practice",), algae=2, plants=3,
        moves="CO2 is what limits most submersed plants: a few mg/L more and they grow visibly faster, and leave less to algae.",
        remedy="feed all tanks from one bottle with counted bubbles, and measure each")
def co2(known: Known) -> tuple[Told, ...]:
    """Dissolved carbon dioxide."""
    return (*known.readings("co2", "mg/L"), *known.written("co2"))


@factor(key="oxygen", title="Dissolved oxygen", unit="mg/L", tolerance=Tolerance(0.5), sources=("common_practice",), algae=1, plants=1,
        moves="Oxygen is what the bacteria of filter and bed breathe; it is also what growing plants leave behind.",
        remedy="set surface movement alike, and measure at one hour of the day")
def oxygen(known: Known) -> tuple[Told, ...]:
    """Dissolved oxygen."""
    return (*known.readings("oxygen", "mg/L"), *known.written("oxygen"))


@factor(key="source_water", title="Water that goes in", unit="word", sources=("common_practice",), algae=2, plants=2,
        moves="Another water brings other hardness, nitrate and phosphate with every change.",
        remedy="mix one batch for all tanks before every change")
def source_water(known: Known) -> tuple[Told, ...]:
    """Which water goes in."""
    return (*known.of_build("water", _waters, PLANNED), *known.of_setup(_sources), *known.written("source_water"))


def _waters(lines: list[BuildLine]) -> str:
    return " and ".join(sorted({line.material for line in lines}, key=alike))


def _sources(setup: Setup, unit: str) -> str:
    plan = water_of(setup, unit)
    if plan is None:
        return ""
    keys = (plan.tap.key, *(() if plan.pure is None else (plan.pure.key,)))
    named = {material.key: material.label for material in setup.materials}
    return " and ".join(named.get(key, key) for key in keys)


@factor(key="kh", title="KH", unit="dKH", tolerance=Tolerance(0.5), sources=("common_practice",), algae=1, plants=1,
        moves="KH sets, with CO2, the pH, and how well plants can use the carbon in the water.",
        remedy="mix one batch of water for all tanks, and test every tank with one kit")
def kh(known: Known) -> tuple[Told, ...]:
    """Carbonate hardness."""
    return (*known.readings("kh", "dKH"), *known.of_sheet(lambda facts: facts.kh_dkh), *known.written("kh"))


@factor(key="gh", title="GH", unit="dGH", tolerance=Tolerance(1.0), sources=("common_practice",), algae=1, plants=1,
        moves="GH is calcium and magnesium, which some plants run short of in soft water.",
        remedy="mix one batch of water for all tanks, and test every tank with one kit")
def gh(known: Known) -> tuple[Told, ...]:
    """General hardness."""
    return (*known.readings("gh", "dGH"), *known.of_sheet(lambda facts: facts.gh_dgh), *known.written("gh"))


@factor(key="conductivity", title="Conductivity", unit="µS/cm", tolerance=Tolerance(15.0, 0.08), sources=("common_practice",),
        algae=1, plants=1,
        moves="Conductivity is the sum of all salts: where it drifts apart, doses or water changes did.",
        remedy="find what differs in doses, top-up and changes; measure all tanks with one meter")
def conductivity(known: Known) -> tuple[Told, ...]:
    """Electrical conductivity."""
    return (*known.readings("conductivity", "µS/cm"), *known.written("conductivity"))


@factor(key="ph", title="pH", unit="", tolerance=Tolerance(0.2), sources=("common_practice",), algae=1, plants=1,
        moves="The pH tells how much CO2 there is at one KH, and how much of the ammonia is harmful.",
        remedy="even out KH and CO2 first, and measure all tanks at one hour of the day")
def ph(known: Known) -> tuple[Told, ...]:
    """How acid the water is."""
    return (*known.readings("ph", ""), *known.written("ph"))


@factor(key="nitrate", title="Nitrate", unit="mg/L", tolerance=Tolerance(2.0, 0.2), sources=("common_practice",), algae=2, plants=2,
        moves="Nitrate feeds plants and algae; too little of it stops plants first.",
        remedy="dose by the litre of net water, and test all tanks before the first day")
def nitrate(known: Known) -> tuple[Told, ...]:
    """Nitrate in the water, as the ion."""
    return (*known.readings("nitrate", "mg/L"), *known.written("nitrate"))


@factor(key="phosphate", title="Phosphate", unit="mg/L", tolerance=Tolerance(0.1, 0.25), sources=("common_practice",), algae=3, plants=2,
        moves="Phosphate feeds plants and algae; after a poor start it often decides which of them takes the lead.",
        remedy="dose by the litre of net water, and test all tanks before the first day")
def phosphate(known: Known) -> tuple[Told, ...]:
    """Phosphate in the water, as the ion."""
    return (*known.readings("phosphate", "mg/L"), *known.written("phosphate"))


@factor(key="evaporation", title="Top-up water", unit="L a week", tolerance=Tolerance(0.2, 0.2), sources=("common_practice",),
        algae=1, plants=1,
        moves="Where more evaporates, salts grow stronger and the water is cooler and better aired.",
        remedy="cover all tanks alike, and top up with pure water")
def evaporation(known: Known) -> tuple[Told, ...]:
    """Water that is topped up."""
    sums: dict[str, float] = {}
    for care in known.care_of("top_up"):
        unit = care.unit_of_measure.casefold()
        if care.amount is not None and unit in ("", "l", "ml", "litres", "liters"):
            sums[care.unit] = sums.get(care.unit, 0.0) + care.amount * (0.001 if unit == "ml" else 1.0) / known.weeks
    where = next((care.where for care in known.care_of("top_up")), "")
    untold = {care.unit for care in known.care_of("top_up")} - set(sums)  # topped up, and nobody wrote how much
    told = tuple(one for one in known.each_unit(sums, where) if one.unit not in untold)
    return (*told, *known.readings("evaporation", "L a week"), *known.written("evaporation"))
