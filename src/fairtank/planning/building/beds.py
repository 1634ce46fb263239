"""The bed of one unit: its layers from the bottom up, to the gram, with their depth and the water in their pores."""

from dataclasses import dataclass

from fairtank.build import Layer, Material, Setup
from fairtank.errors import DesignError
from fairtank.planning.building.boxes import Body
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.building.problems import Problems
from fairtank.planning.building.rounding import weighable
from fairtank.planning.sheet import LayerFacts, SheetLine
from fairtank.science.bed import MATERIALS, layer_mass_kg, slope_mean_depth_mm
from fairtank.science.vessel import displaced_l, layer_depth_mm, pore_water_l

# Earths with bits of wood in them, by their key in the table of materials.
SIFTED = ("pond_soil", "peat")


@dataclass(frozen=True)
class Bed:
    """The bed of one unit: its lines, its layers, dry mass [kg], volume of the grains [L], pore water [L]."""

    lines: tuple[SheetLine, ...] = ()
    layers: tuple[LayerFacts, ...] = ()
    mass_kg: float = 0.0
    grains_l: float = 0.0
    pore_l: float = 0.0


def densities(material: Material) -> tuple[float, float]:
    """Dry bulk density and density of the grains [kg/L]: the keeper's own, else those of the table of materials under the same key.

    Raises
    ------
    DesignError
        If neither knows one of them.
    """
    known = MATERIALS.get(material.key)
    bulk = material.bulk_density_kg_l or (known.bulk_density_kg_l if known else None)
    grains = material.particle_density_kg_l or (known.particle_density_kg_l if known else None)
    if bulk is None:
        raise DesignError(f"The density of {material.label} is not known: give bulk_density_kg_l, the bag's kilograms divided by the bag's "
                          f"litres, or name the material by one of {', '.join(MATERIALS)}.")
    if grains is None:
        raise DesignError(f"The density of the grains of {material.label} is not known: give particle_density_kg_l (mineral grains without "
                          "closed pores have about 2.65 kg/L; weigh some in air and under water).")
    if bulk >= grains:
        raise DesignError(f"{material.label}: a bed of {bulk:g} kg/L cannot be made of grains of {grains:g} kg/L. Were bulk_density_kg_l "
                          "and particle_density_kg_l exchanged?")
    return bulk, grains


def bed_of(setup: Setup, unit: str, body: Body, problems: Problems) -> Bed:
    """The bed of one unit; a layer that cannot be built is noted among the problems and left out."""
    layers = [layer for layer in setup.layers if setup.holds(layer.scope, unit)]
    bed = Bed()
    for number, layer in enumerate(layers):
        with problems.noted():
            above = setup.material(layers[number + 1].material) if number + 1 < len(layers) else None
            bed = _with_layer(bed, setup, unit, body, layer, above)
    top_mm = max(sum(layer.front_mm for layer in bed.layers), sum(layer.back_mm for layer in bed.layers))
    if top_mm >= body.water_mm:
        problems.add(f"The bed is {top_mm:.0f} mm deep and the water line {body.water_mm:g} mm: the bed would reach out of the water. Is a "
                     "mass given in g instead of kg?")
    return bed


def _with_layer(bed: Bed, setup: Setup, unit: str, body: Body, layer: Layer, above: Material | None) -> Bed:
    material = setup.material(layer.material)
    bulk, grains = densities(material)
    mass_kg, depth_mm, front_mm, back_mm = _measure(layer, bulk, body)
    if mass_kg == 0:
        raise DesignError(f"A layer of {material.label} of less than a gram cannot be weighed: leave it out or give more.")
    facts = LayerFacts(material.label, mass_kg, depth_mm, front_mm, back_mm)
    note = f"{depth_mm:.0f} mm deep" if front_mm == back_mm else f"{front_mm:.0f} mm deep at the front, {back_mm:.0f} mm at the back"
    if above is not None and above.key != material.key:
        note += f", under {above.label}"
        if material.key in SIFTED:
            note += "; sift it first, bits of wood float up through the cap (common practice, no source)"
    line = sheet_line(unit, "bed", material.key, material.label, mass_kg, "kg", note=note, batch=material.batch)
    return Bed((*bed.lines, line), (*bed.layers, facts), bed.mass_kg + mass_kg, bed.grains_l + float(displaced_l(mass_kg, grains)),
               bed.pore_l + float(pore_water_l(mass_kg, bulk, grains)))


def _measure(layer: Layer, bulk_kg_l: float, body: Body) -> tuple[float, float, float, float]:
    """Mass to the gram, mean depth, depth at the front and at the back. A given depth stays as it was given: a gram is less than 0.1 mm."""
    if layer.mass_kg is not None:
        mass_kg = weighable(layer.mass_kg, "kg")
        depth_mm = float(layer_depth_mm(mass_kg, bulk_kg_l, body.inner_length_mm, body.inner_width_mm))
        return mass_kg, depth_mm, depth_mm, depth_mm
    if layer.depth_mm is not None:
        front_mm = back_mm = depth_mm = layer.depth_mm
    else:
        front_mm, back_mm = layer.front_mm or 0.0, layer.back_mm or 0.0
        depth_mm = float(slope_mean_depth_mm(front_mm, back_mm))
    mass_kg = float(layer_mass_kg(depth_mm, bulk_kg_l, body.inner_length_mm, body.inner_width_mm))
    return weighable(mass_kg, "kg"), depth_mm, front_mm, back_mm
