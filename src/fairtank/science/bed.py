"""Beds of sand, gravel and soil: layers by weight or depth, slopes, compartments, and the table of material densities.

The table is a start only. Weigh what is in the bag: its kilograms by its litres is the bulk density of this batch.
"""

from dataclasses import dataclass

from numpy.typing import ArrayLike

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, ReadingError, calculator
from fairtank.science.ranges import Floats, plain, within
from fairtank.science.vessel import WATER_KG_L, gross_volume_l

# What a ruler, a scale or a bag's print is off by, at most: common practice, no source.
_TAPE = ReadingError(2, instrument="tape measure")
_CALLIPER = ReadingError(0.2, instrument="calliper, or the nominal thickness")
_RULER = ReadingError(5, instrument="ruler held to the pane")
_SCALE = ReadingError(1, instrument="kitchen scale")
_BAG = ReadingError(0.05, relative=True, instrument="kilograms and litres printed on the bag")

_FRONT = Input("front_mm", "depth at the front pane", "mm", 0, 1000, error=_RULER)
_BACK = Input("back_mm", "depth at the back pane", "mm", 0, 1000, error=_RULER)
_DEPTH = Input("depth_mm", "mean depth of the layer", "mm", 0, 1000, error=_RULER)
_BULK = Input("bulk_density_kg_l", "dry bulk density: bag kilograms by bag litres", "kg/L", 0.05, 5, error=_BAG)
_PARTICLE = Input("particle_density_kg_l", "density of the grains with their closed pores", "kg/L", 0.5, 8)
_FLOOR_LENGTH = Input("floor_length_mm", "inner floor length", "mm", 10, 5000, error=_TAPE)
_FLOOR_WIDTH = Input("floor_width_mm", "inner floor depth from front to back", "mm", 10, 5000, error=_TAPE)
_LENGTH = Input("length_mm", "outer length", "mm", 50, 5000, error=_TAPE)
_WIDTH = Input("width_mm", "outer depth from front to back", "mm", 50, 5000, error=_TAPE)
_WATER = Input("water_mm", "water line above the inner bottom", "mm", 0, 2000, error=_TAPE)
_GLASS = Input("glass_mm", "glass thickness", "mm", 0, 30, error=_CALLIPER)
_DIVIDERS = Input("dividers", "dividers across the length", "", 0, 50)
_DIVIDER_GLASS = Input("divider_glass_mm", "thickness of a divider", "mm", 0, 30, error=_CALLIPER)
_BAG_KG = Input("bag_kg", "dry mass of the bag's content", "kg", 0.01, 2000)
_BAG_L = Input("bag_l", "litres of the bag's content, loose", "L", 0.01, 2000)
_IN_AIR = Input("mass_in_air_g", "mass, weighed dry", "g", 1, 100000, error=_SCALE)
_IN_WATER = Input("mass_in_water_g", "mass, weighed hanging under water", "g", 0, 100000, error=_SCALE)


@dataclass(frozen=True)
class BedMaterial:
    """One material of a bed.

    bulk_density_kg_l: dry and loose, with bulk_low and bulk_high as its usual range [kg/L]. particle_density_kg_l: of the grains with
    their closed pores [kg/L]. mark: `read` where the bulk density was read in a source, `from memory` where it is a literature
    value recalled. sources: keys of the bibliography. note: where the particle density comes from, and what to watch.
    """

    key: str
    title: str
    bulk_density_kg_l: float
    bulk_low: float
    bulk_high: float
    particle_density_kg_l: float
    mark: str
    sources: tuple[str, ...] = ("bed_densities",)
    note: str = ""


@dataclass(frozen=True)
class HardscapeMaterial:
    """One kind of rock or wood: density of the piece itself with its closed pores, and its usual range [kg/L]; marks as for beds."""

    key: str
    title: str
    density_kg_l: float
    low: float
    high: float
    mark: str
    sources: tuple[str, ...] = ("bed_densities",)
    note: str = ""


_QUARTZ = "Particle density 2.65 of mineral grains was read (2.55 to 2.70)."
_SHARE = "Particle density from bulk density and pore share, both from memory."
_BED_MATERIALS = (
    BedMaterial("beach_sand", "dry, loose beach sand", 1.6, 1.5, 1.8, 2.65, "read", ("sand_densities",), _QUARTZ),
    BedMaterial("silica_sand", "silica sand", 1.54, 1.54, 1.54, 2.65, "read", ("sand_densities",), _QUARTZ),
    BedMaterial("loamy_sand", "loamy sand", 1.5, 1.5, 1.5, 2.65, "read", ("soil_densities",), _QUARTZ),
    BedMaterial("mineral_soil", "tilled mineral soil", 1.3, 1.1, 1.5, 2.65, "read", ("soil_densities",), _QUARTZ),
    BedMaterial("peat", "decomposed peat", 0.55, 0.55, 0.55, 1.57, "read", ("soil_densities",),
                "Particle density from the bulk density and the pore share of 65 %, both read."),
    BedMaterial("pumice", "pumice, loose and dry", 0.375, 0.26, 0.49, 1.31, "read", ("pumice_sheet",),
                "Particle density from what was read of the grain: 25 % glass of 2.56 kg/L and 24 % closed pores, which never fill."),
    BedMaterial("fine_gravel", "fine gravel, 2 to 5 mm", 1.6, 1.5, 1.7, 2.65, "from memory", note=_QUARTZ),
    BedMaterial("lava_grit", "lava grit (scoria)", 0.9, 0.7, 1.1, 2.4, "from memory",
                note=_SHARE + " Closed pores never fill: weigh a piece in air and under water."),
    BedMaterial("calcined_clay", "calcined clay granules", 0.65, 0.55, 0.75, 2.4, "from memory", note=_SHARE),
    BedMaterial("aquatic_soil", "baked-clay aquatic soil", 0.80, 0.65, 0.95, 2.5, "from memory",
                note="Particle density 2.5 to 2.6 from memory. Brands differ: take the bag's kilograms by its litres."),
    BedMaterial("pond_soil", "potting or pond soil, dry", 0.4, 0.2, 0.6, 2.3, "from memory", note=_SHARE),
)
MATERIALS = {material.key: material for material in _BED_MATERIALS}

_HARDSCAPE_MATERIALS = (
    HardscapeMaterial("limestone", "limestone", 2.7, 2.6, 2.8, "from memory"),
    HardscapeMaterial("granite", "granite", 2.7, 2.6, 2.8, "from memory"),
    HardscapeMaterial("slate", "slate", 2.7, 2.6, 2.8, "from memory"),
    HardscapeMaterial("lava_rock", "lava rock", 1.85, 1.5, 2.2, "from memory",
                      note="Closed pores never fill: weigh a piece in air and under water."),
    HardscapeMaterial("petrified_wood", "petrified wood", 2.4, 2.2, 2.6, "from memory"),
    HardscapeMaterial("wood", "water-logged wood", 1.1, 1.05, 1.25, "from memory", note="Dry wood has 0.4 to 0.9 kg/L and floats."),
)
HARDSCAPE_MATERIALS = {material.key: material for material in _HARDSCAPE_MATERIALS}
HARDSCAPE = {material.key: material.density_kg_l for material in _HARDSCAPE_MATERIALS}


@calculator(title="Mean depth of a slope", unit="mm", sources=("arithmetic",), inputs=(_FRONT, _BACK))
def slope_mean_depth_mm(front_mm: ArrayLike, back_mm: ArrayLike) -> Floats:
    """Mean depth of a bed that rises evenly from the front pane to the back pane.

    Parameters
    ----------
    front_mm : float or array of shape (n,)
        Depth at the front pane. [mm], 0 to 1000.
    back_mm : float or array of shape (n,)
        Depth at the back pane. [mm], 0 to 1000.

    Returns
    -------
    float or array of shape (n,)
        Mean depth. [mm]

    Raises
    ------
    OutOfRangeError
        If a depth lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> slope_mean_depth_mm(30, 70)
    50.0
    """
    return plain((within(_FRONT, front_mm) + within(_BACK, back_mm)) / 2)


@calculator(title="Volume of a layer", unit="L", sources=("arithmetic",), inputs=(_DEPTH, _FLOOR_LENGTH, _FLOOR_WIDTH))
def layer_volume_l(depth_mm: ArrayLike, floor_length_mm: ArrayLike, floor_width_mm: ArrayLike) -> Floats:
    """Litres of sand, gravel or soil that a layer of this mean depth takes, as the bag counts litres.

    Parameters
    ----------
    depth_mm : float or array of shape (n,)
        Mean depth of the layer. [mm], 0 to 1000.
    floor_length_mm : float or array of shape (n,)
        Inner floor length. [mm], 10 to 5000.
    floor_width_mm : float or array of shape (n,)
        Inner floor depth from front to back. [mm], 10 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Volume with the pores between the grains. [L]

    Raises
    ------
    OutOfRangeError
        If a size lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(layer_volume_l(50, 588, 288), 3)
    8.467
    """
    return plain(within(_DEPTH, depth_mm) * within(_FLOOR_LENGTH, floor_length_mm) * within(_FLOOR_WIDTH, floor_width_mm) / 1e6)


@calculator(title="Mass of a layer", unit="kg", sources=("arithmetic",), inputs=(_DEPTH, _BULK, _FLOOR_LENGTH, _FLOOR_WIDTH),
            cautions=("weight",))
def layer_mass_kg(depth_mm: ArrayLike, bulk_density_kg_l: ArrayLike, floor_length_mm: ArrayLike, floor_width_mm: ArrayLike) -> Floats:
    """Dry mass of sand, gravel or soil for a layer of this mean depth; the inverse of `vessel.layer_depth_mm`.

    Parameters
    ----------
    depth_mm : float or array of shape (n,)
        Mean depth of the layer. [mm], 0 to 1000.
    bulk_density_kg_l : float or array of shape (n,)
        Dry bulk density: the bag's kilograms by the bag's litres. [kg/L], 0.05 to 5.
    floor_length_mm : float or array of shape (n,)
        Inner floor length. [mm], 10 to 5000.
    floor_width_mm : float or array of shape (n,)
        Inner floor depth from front to back. [mm], 10 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Dry mass. [kg]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(layer_mass_kg(50, 0.75, 588, 288), 3)
    6.35
    """
    return plain(layer_volume_l(depth_mm, floor_length_mm, floor_width_mm) * within(_BULK, bulk_density_kg_l))


@calculator(title="Bulk density from the bag", unit="kg/L", sources=("arithmetic",), inputs=(_BAG_KG, _BAG_L))
def bulk_density_kg_l(bag_kg: ArrayLike, bag_l: ArrayLike) -> Floats:
    """Dry bulk density of the batch in hand: the bag's kilograms by the bag's litres.

    A bag sold as "9 L" holds nine litres of loose grains, not nine kilograms. If only the litres are printed, weigh the bag; if only
    the kilograms, fill a one-litre jug loosely and weigh it.

    Parameters
    ----------
    bag_kg : float or array of shape (n,)
        Dry mass of the bag's content. [kg], 0.01 to 2000.
    bag_l : float or array of shape (n,)
        Litres of the bag's content, loose. [L], 0.01 to 2000.

    Returns
    -------
    float or array of shape (n,)
        Dry bulk density. [kg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the two do not make a bed (0.05 to 5 kg/L).

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(bulk_density_kg_l(7.2, 9), 2)
    0.8
    """
    density = within(_BAG_KG, bag_kg) / within(_BAG_L, bag_l)
    within(_BULK, density, "Was the mass given in g, or were mass and litres exchanged?")
    return plain(density)


@calculator(title="Pore share of a bed", unit="", sources=("porosity_lesson",), inputs=(_BULK, _PARTICLE))
def porosity_fraction(bulk_density_kg_l: ArrayLike, particle_density_kg_l: ArrayLike) -> Floats:
    """Share of a bed's volume that is pores, which water fills.

    (1) pore share = 1 - bulk density / particle density. Closed pores (pumice, lava, some baked clays) never fill: give the density
    of the grain with its closed pores, as `density_from_weighing_kg_l` tells it.

    Parameters
    ----------
    bulk_density_kg_l : float or array of shape (n,)
        Dry bulk density: the bag's kilograms by the bag's litres. [kg/L], 0.05 to 5.
    particle_density_kg_l : float or array of shape (n,)
        Density of the grains with their closed pores, not below the bulk density. [kg/L], 0.5 to 8.

    Returns
    -------
    float or array of shape (n,)
        Pore share, from 0 to 1. [-]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or grains would be lighter than the bed they make.

    References
    ----------
    porosity_lesson (keys from sources.py).

    Examples
    --------
    >>> round(porosity_fraction(1.5, 2.65), 4)
    0.434
    """
    bulk, grains = within(_BULK, bulk_density_kg_l), within(_PARTICLE, particle_density_kg_l)
    if (grains < bulk).any():
        raise OutOfRangeError("particle_density_kg_l", f"{float(grains.min())!r} kg/L", "the bulk density or more",
                              "Were the two densities exchanged?")
    return plain(1 - bulk / grains)


@calculator(title="Length of a compartment", unit="mm", sources=("arithmetic",), inputs=(_LENGTH, _GLASS, _DIVIDERS, _DIVIDER_GLASS))
def bay_length_mm(length_mm: ArrayLike, glass_mm: ArrayLike, dividers: ArrayLike, divider_glass_mm: ArrayLike) -> Floats:
    """Inner length of each of the equal compartments that dividers cut a tank into.

    n dividers make n + 1 compartments; compartments of one tank that share their water are one unit of a trial, not several.

    Parameters
    ----------
    length_mm : float or array of shape (n,)
        Outer length. [mm], 50 to 5000.
    glass_mm : float or array of shape (n,)
        Glass thickness of the end panes. [mm], 0 to 30.
    dividers : float or array of shape (n,)
        Dividers across the length, a whole number. [-], 0 to 50.
    divider_glass_mm : float or array of shape (n,)
        Thickness of a divider. [mm], 0 to 30.

    Returns
    -------
    float or array of shape (n,)
        Inner length of each compartment. [mm]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, the dividers are no whole number, or the panes leave no space between them.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> bay_length_mm(600, 6, 1, 6)
    291.0
    """
    length, glass = within(_LENGTH, length_mm), within(_GLASS, glass_mm)
    walls, divider_glass = within(_DIVIDERS, dividers), within(_DIVIDER_GLASS, divider_glass_mm)
    if (walls != walls.round()).any():
        raise OutOfRangeError("dividers", f"{float(walls[walls != walls.round()].flat[0])!r}", "a whole number from 0 to 50")
    if (2 * glass >= length).any():
        raise OutOfRangeError("glass_mm", f"{float(glass.max())!r} mm", "less than half of the length")
    space = length - 2 * glass - walls * divider_glass
    if (space <= 0).any():
        raise OutOfRangeError("dividers", f"{float(walls.max())!r} of {float(divider_glass.max())!r} mm",
                              "panes that leave space between them")
    return plain(space / (walls + 1))


@calculator(title="Water volume of a compartment", unit="L", sources=("arithmetic",),
            inputs=(_LENGTH, _WIDTH, _WATER, _GLASS, _DIVIDERS, _DIVIDER_GLASS))
def bay_volume_l(length_mm: ArrayLike, width_mm: ArrayLike, water_mm: ArrayLike, glass_mm: ArrayLike, dividers: ArrayLike,
                 divider_glass_mm: ArrayLike) -> Floats:
    """Gross litres of each of the equal compartments that dividers cut a tank into.

    Parameters
    ----------
    length_mm : float or array of shape (n,)
        Outer length. [mm], 50 to 5000.
    width_mm : float or array of shape (n,)
        Outer depth from front to back. [mm], 50 to 5000.
    water_mm : float or array of shape (n,)
        Water line above the inner bottom. [mm], 0 to 2000.
    glass_mm : float or array of shape (n,)
        Glass thickness. [mm], 0 to 30.
    dividers : float or array of shape (n,)
        Dividers across the length, a whole number. [-], 0 to 50.
    divider_glass_mm : float or array of shape (n,)
        Thickness of a divider. [mm], 0 to 30.

    Returns
    -------
    float or array of shape (n,)
        Gross volume of each compartment. [L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the panes leave no space between them.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(bay_volume_l(600, 300, 330, 6, 1, 6), 3)
    27.657
    """
    length, glass = within(_LENGTH, length_mm), within(_GLASS, glass_mm)
    share = bay_length_mm(length, glass, dividers, divider_glass_mm) / (length - 2 * glass)
    return plain(share * gross_volume_l(length, width_mm, water_mm, glass))


@calculator(title="Density from weighing in air and in water", unit="kg/L", sources=("arithmetic", "iapws95"), inputs=(_IN_AIR, _IN_WATER))
def density_from_weighing_kg_l(mass_in_air_g: ArrayLike, mass_in_water_g: ArrayLike) -> Floats:
    """Density of a stone or of a handful of grains, from its mass in air and its mass hanging under water (Archimedes).

    (1) density = m_air / (m_air - m_water) x density of water. Weigh it dry first, then soak it until no bubble rises, then weigh it
    on a thread under water without touching the vessel. What comes out is the density with its closed pores, the one that tells how
    much water it displaces. Wood that floats cannot be weighed so.

    Parameters
    ----------
    mass_in_air_g : float or array of shape (n,)
        Mass, weighed dry. [g], 1 to 100000.
    mass_in_water_g : float or array of shape (n,)
        Mass, weighed hanging under water. [g], 0 to 100000.

    Returns
    -------
    float or array of shape (n,)
        Density with closed pores, open pores filled. [kg/L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the piece is not lighter under water.

    References
    ----------
    arithmetic; iapws95 for the density of water at 25 °C (keys from sources.py).

    Examples
    --------
    >>> round(density_from_weighing_kg_l(1000, 630.7), 2)
    2.7
    """
    air, water = within(_IN_AIR, mass_in_air_g), within(_IN_WATER, mass_in_water_g)
    if (water >= air).any():
        raise OutOfRangeError("mass_in_water_g", f"{float(water.max())!r} g", "less than the mass in air", "Were the two exchanged?")
    return plain(WATER_KG_L * air / (air - water))
