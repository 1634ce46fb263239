"""Factors of the bed, of stones and of wood."""

from fairtank.build import Piece, Setup
from fairtank.errors import InputError
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.told import MEASURED, PLANNED, Told
from fairtank.registry import Tolerance, factor
from fairtank.trial import BuildLine
from fairtank.units import convert, unit_from_text


@factor(key="substrate_kind", title="Kind of bed", unit="word", sources=("common_practice",), algae=3, plants=3,
        moves="A rich soil feeds roots and leaches into the water; plain sand does neither.",
        remedy="build all beds of the same layers in the same order")
def substrate_kind(known: Known) -> tuple[Told, ...]:
    """What lies as bed, from the bottom up."""
    return (*known.of_build("substrate", _materials, PLANNED), *known.of_setup(_layers), *known.written("substrate_kind"))


def _materials(lines: list[BuildLine]) -> str:
    return ", then ".join(dict.fromkeys(line.material for line in lines))


def _layers(setup: Setup, unit: str) -> str:
    return ", then ".join(setup.material(layer.material).label for layer in setup.layers if setup.holds(layer.scope, unit))


@factor(key="substrate_batch", title="Batch of the bed", unit="word", sources=("common_practice",), algae=2, plants=2,
        moves="Bags of one soil differ: an older or moister batch holds and leaches other amounts of ammonia and phosphate.",
        remedy="mix all bags in one tub before filling, or share every batch among all tanks")
def substrate_batch(known: Known) -> tuple[Told, ...]:
    """Batch that is printed on the bag."""
    return (*known.of_build("substrate", batches), *known.of_setup(_layer_batches), *known.written("substrate_batch"))


def batches(lines: list[BuildLine]) -> str:
    """The batches of some rows of build.csv, in words; empty where none is told."""
    named = {line.material: line.batch for line in lines if line.batch}
    if len(set(named.values())) == 1:
        return next(iter(named.values()))
    return ", ".join(f"{material} {batch}" for material, batch in named.items())


def _layer_batches(setup: Setup, unit: str) -> str:
    materials = [setup.material(layer.material) for layer in setup.layers if setup.holds(layer.scope, unit)]
    named = {material.label: material.batch for material in materials if material.batch}
    return next(iter(named.values())) if len(set(named.values())) == 1 else ", ".join(f"{label} {batch}" for label, batch in named.items())


@factor(key="substrate_mass", title="Mass of the bed", unit="kg", tolerance=Tolerance(0.05, 0.05), sources=("common_practice",),
        algae=2, plants=2,
        moves="More soil is more food for roots and more to leach into the water.",
        remedy="weigh every bed on one scale, and write down what went in")
def substrate_mass(known: Known) -> tuple[Told, ...]:
    """Mass of the bed."""
    return (*_masses(known, "substrate"), *known.of_sheet(lambda facts: sum(layer.mass_kg for layer in facts.layers) or None),
            *known.written("substrate_mass"))


def _masses(known: Known, part: str) -> tuple[Told, ...]:
    """Kilograms of some rows of build.csv: weighed where all of them were, else planned."""
    weighed = known.of_build(part, lambda lines: mass_kg(lines, is_weighed=True), MEASURED)
    return (*weighed, *known.of_build(part, lambda lines: mass_kg(lines, is_weighed=False), PLANNED))


def mass_kg(lines: list[BuildLine], *, is_weighed: bool) -> float | None:
    """Kilograms that were weighed, or planned; None where a row has no such number, or is not told in a unit of mass."""
    total = 0.0
    for line in lines:
        amount = line.weighed if is_weighed else line.planned
        if amount is None:
            return None
        try:
            total += convert(amount, unit_from_text(line.unit_of_measure or "kg"), "kg")
        except InputError:
            return None
    return total


@factor(key="substrate_depth", title="Depth of the bed", unit="cm", tolerance=Tolerance(0.5, 0.05), sources=("common_practice",),
        algae=1, plants=2,
        moves="A deeper bed gives roots more room, lacks oxygen further down, and lifts the plants towards the lamp.",
        remedy="level all beds to one mark on the glass")
def substrate_depth(known: Known) -> tuple[Told, ...]:
    """Mean depth of the bed."""
    return (*known.readings("substrate_depth", "cm"),
            *known.of_sheet(lambda facts: sum(layer.depth_mm for layer in facts.layers) / 10 if facts.layers else None),
            *known.written("substrate_depth"))


@factor(key="substrate_wetting", title="Wetting of the bed", unit="word", sources=("common_practice",), algae=2, plants=1,
        moves="A washed bed has lost its dust and part of what it would leach; air left in a dry one keeps roots from growing.",
        remedy="wash or soak all beds alike, at the same time")
def substrate_wetting(known: Known) -> tuple[Told, ...]:
    """How the bed was wetted or washed."""
    return known.written("substrate_wetting")


@factor(key="hardscape_kind", title="Kind of stone and wood", unit="word", sources=("common_practice",), algae=1, plants=1,
        moves="Some stone raises the hardness; wood stains the water and can lower pH; both give algae a place.",
        remedy="share pieces of one kind and source among all tanks")
def hardscape_kind(known: Known) -> tuple[Told, ...]:
    """Which stone and wood stands in the tank."""
    return (*known.of_build("hardscape", lambda lines: " and ".join(sorted({line.material for line in lines})), PLANNED),
            *known.of_setup(_pieces), *known.written("hardscape_kind"))


def _own(setup: Setup, unit: str) -> list[Piece]:
    return [piece for piece in (*setup.rocks, *setup.woods) if setup.holds(piece.scope, unit)]


def _pieces(setup: Setup, unit: str) -> str | None:
    if not setup.rocks and not setup.woods:
        return None
    return " and ".join(sorted({setup.material(piece.material).label for piece in _own(setup, unit)})) or "none"


@factor(key="hardscape_mass", title="Mass of stone and wood", unit="kg", tolerance=Tolerance(0.1, 0.1), sources=("common_practice",),
        algae=1, plants=1,
        moves="More stone and wood is less water, more shade and more surface for algae.",
        remedy="weigh the pieces and share them out to equal sums")
def hardscape_mass(known: Known) -> tuple[Told, ...]:
    """Mass of stone and wood."""
    return (*_masses(known, "hardscape"), *known.of_setup(lambda setup, unit: sum(piece.mass_kg for piece in _own(setup, unit))
                                                          if setup.rocks or setup.woods else None), *known.written("hardscape_mass"))
