"""A glass box with water in it: litres, bed depth, displaced water and the weight on the stand.

Lengths are outer sizes in mm unless the name says otherwise; the water line is counted from the inner bottom. Pore
water of the bed counts as water, because what is dosed into the tank reaches it.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import OutOfRangeError
from fairtank.registry import Input, ReadingError, calculator
from fairtank.science.ranges import Floats, plain, within

Numbers = NDArray[np.float64]

# Soda-lime float glass, 2500 kg/m³: recalled from EN 572-1, not read.
GLASS_KG_L = 2.5
# Water at 25 °C; from 15 to 30 °C it changes by 0.35 % (`water_density_kg_l`).
WATER_KG_L = 0.99705
GRAVITY_M_S2 = 9.80665

# What a tape, a calliper or a bag's print is off by, at most: common practice, no source.
_TAPE = ReadingError(2, instrument="tape measure")
_CALLIPER = ReadingError(0.2, instrument="calliper, or the nominal thickness")
_BAG = ReadingError(0.05, relative=True, instrument="kilograms and litres printed on the bag")

_LENGTH = Input("length_mm", "outer length", "mm", 50, 5000, error=_TAPE)
_WIDTH = Input("width_mm", "outer depth from front to back", "mm", 50, 5000, error=_TAPE)
_HEIGHT = Input("height_mm", "outer height", "mm", 50, 2000, error=_TAPE)
_WATER = Input("water_mm", "water line above the inner bottom", "mm", 0, 2000, error=_TAPE)
_GLASS = Input("glass_mm", "glass thickness", "mm", 0, 30, error=_CALLIPER)
_FLOOR_LENGTH = Input("floor_length_mm", "inner floor length", "mm", 10, 5000, error=_TAPE)
_FLOOR_WIDTH = Input("floor_width_mm", "inner floor depth from front to back", "mm", 10, 5000, error=_TAPE)
_MASS = Input("mass_kg", "dry mass", "kg", 0, 5000)
_BULK = Input("bulk_density_kg_l", "dry bulk density: bag kilograms by bag litres", "kg/L", 0.05, 5, error=_BAG)
_PARTICLE = Input("particle_density_kg_l", "density of the grains themselves", "kg/L", 0.5, 8)
_DENSITY = Input("density_kg_l", "density", "kg/L", 0.1, 10)
_NET_WATER = Input("net_water_l", "water in the tank", "L", 0, 50000)
_LOAD = Input("load_kg", "all that the stand carries", "kg", 0, 100000)
_TEMP = Input("temp_c", "water temperature", "°C", 0, 40, error=ReadingError(0.5, instrument="aquarium thermometer"))

# tanaka2001: density of pure water at one atmosphere, 0 to 40 °C; the constants are from memory and held against iapws95.
_TANAKA = (-3.983035, 301.797, 522528.9, 69.34881, 0.99997495)


def _mass_input(name: str, label: str) -> Input:
    return Input(name, label, "kg", 0, 5000, default=0.0)


_BED = _mass_input("bed_kg", "dry mass of the bed")
_ROCK = _mass_input("rock_kg", "mass of rock")
_WOOD = _mass_input("wood_kg", "mass of wood, water-logged")
_HARDSCAPE = _mass_input("hardscape_kg", "mass of rock and wood")
_EQUIPMENT = _mass_input("equipment_kg", "mass of lamp, filter and the rest")
# Literature values recalled, not read; the keeper's own weighing beats them.
_BED_GRAINS = Input("bed_particle_density_kg_l", "density of the bed's grains", "kg/L", 0.5, 8, default=2.5)
_ROCK_DENSITY = Input("rock_density_kg_l", "density of the rock", "kg/L", 0.5, 8, default=2.7)
_WOOD_DENSITY = Input("wood_density_kg_l", "density of the water-logged wood", "kg/L", 0.5, 2, default=1.1)
_EQUIPMENT_L = Input("equipment_l", "volume of equipment under water", "L", 0, 500, default=0.0)


@calculator(title="Gross water volume", unit="L", sources=("arithmetic",), inputs=(_LENGTH, _WIDTH, _WATER, _GLASS))
def gross_volume_l(length_mm: ArrayLike, width_mm: ArrayLike, water_mm: ArrayLike, glass_mm: ArrayLike) -> Floats:
    """Litres between the panes, from the inner bottom to the water line.

    Bed, rock and wood are still counted as water; `net_volume_l` takes them away. Glass thickness 0 gives the outer
    box. A water line measured from the outside has the bottom pane in it: take that away first.

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

    Returns
    -------
    float or array of shape (n,)
        Gross volume. [L]

    Raises
    ------
    OutOfRangeError
        If a size lies outside its range, or the panes leave no space between them.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(gross_volume_l(600, 300, 330, 6), 3)
    55.884
    """
    length, width = within(_LENGTH, length_mm), within(_WIDTH, width_mm)
    water, glass = within(_WATER, water_mm), within(_GLASS, glass_mm)
    inner_length, inner_width = length - 2 * glass, width - 2 * glass
    if (inner_length <= 0).any() or (inner_width <= 0).any():
        raise OutOfRangeError("glass_mm", f"{float(glass.max())!r} mm", "less than half of the length and of the depth")
    return plain(inner_length * inner_width * water / 1e6)


@calculator(title="Depth of a layer", unit="mm", sources=("arithmetic",), inputs=(_MASS, _BULK, _FLOOR_LENGTH, _FLOOR_WIDTH))
def layer_depth_mm(mass_kg: ArrayLike, bulk_density_kg_l: ArrayLike, floor_length_mm: ArrayLike, floor_width_mm: ArrayLike) -> Floats:
    """Mean depth of a layer of sand, gravel or soil spread over the inner floor.

    A sloped bed has this depth on average: half of front plus back. The bulk density is that of the dry, loose
    material; settling under water makes the layer a little thinner.

    Parameters
    ----------
    mass_kg : float or array of shape (n,)
        Dry mass of the layer. [kg], 0 to 5000.
    bulk_density_kg_l : float or array of shape (n,)
        Dry bulk density: the bag's kilograms by the bag's litres. [kg/L], 0.05 to 5.
    floor_length_mm : float or array of shape (n,)
        Inner floor length. [mm], 10 to 5000.
    floor_width_mm : float or array of shape (n,)
        Inner floor depth from front to back. [mm], 10 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Layer depth. [mm]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(layer_depth_mm(9, 0.80, 588, 288), 2)
    66.43
    """
    bed_l = within(_MASS, mass_kg) / within(_BULK, bulk_density_kg_l)
    return plain(bed_l * 1e6 / (within(_FLOOR_LENGTH, floor_length_mm) * within(_FLOOR_WIDTH, floor_width_mm)))


@calculator(title="Pore water of a bed", unit="L", sources=("porosity_lesson",), inputs=(_MASS, _BULK, _PARTICLE))
def pore_water_l(mass_kg: ArrayLike, bulk_density_kg_l: ArrayLike, particle_density_kg_l: ArrayLike) -> Floats:
    """Water that fills the pores of a bed: the litres it takes up less the litres of its grains.

    Closed pores (pumice, lava, some baked clays) never fill: give the density of the grain with its closed pores.

    Parameters
    ----------
    mass_kg : float or array of shape (n,)
        Dry mass of the bed. [kg], 0 to 5000.
    bulk_density_kg_l : float or array of shape (n,)
        Dry bulk density: the bag's kilograms by the bag's litres. [kg/L], 0.05 to 5.
    particle_density_kg_l : float or array of shape (n,)
        Density of the grains themselves, not below the bulk density. [kg/L], 0.5 to 8.

    Returns
    -------
    float or array of shape (n,)
        Pore water. [L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or grains would be lighter than the bed they make.

    References
    ----------
    porosity_lesson: pore share = 1 - bulk density / particle density (keys from sources.py).

    Examples
    --------
    >>> round(pore_water_l(6.35, 0.75, 2.5), 3)
    5.927
    """
    mass, bulk = within(_MASS, mass_kg), within(_BULK, bulk_density_kg_l)
    grains = within(_PARTICLE, particle_density_kg_l)
    if (grains < bulk).any():
        raise OutOfRangeError("particle_density_kg_l", f"{float(grains.min())!r} kg/L", "the bulk density or more",
                              "Were the two densities exchanged?")
    return plain(mass / bulk - mass / grains)


@calculator(title="Displaced water", unit="L", sources=("arithmetic",), inputs=(_MASS, _DENSITY))
def displaced_l(mass_kg: ArrayLike, density_kg_l: ArrayLike) -> Floats:
    """Water that a sunken piece of rock, wood or grain pushes aside.

    A piece that floats displaces its own weight only; this is the volume of a piece held under water.

    Parameters
    ----------
    mass_kg : float or array of shape (n,)
        Mass of the piece. [kg], 0 to 5000.
    density_kg_l : float or array of shape (n,)
        Density of the piece with its closed pores. [kg/L], 0.1 to 10.

    Returns
    -------
    float or array of shape (n,)
        Displaced water. [L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(displaced_l(4, 2.7), 3)
    1.481
    """
    return plain(within(_MASS, mass_kg) / within(_DENSITY, density_kg_l))


@calculator(title="Net water volume", unit="L", sources=("arithmetic",),
            inputs=(_LENGTH, _WIDTH, _WATER, _GLASS, _BED, _BED_GRAINS, _ROCK, _ROCK_DENSITY, _WOOD, _WOOD_DENSITY, _EQUIPMENT_L))
def net_volume_l(length_mm: ArrayLike, width_mm: ArrayLike, water_mm: ArrayLike, glass_mm: ArrayLike, *, bed_kg: ArrayLike = 0.0,
                 bed_particle_density_kg_l: ArrayLike = 2.5, rock_kg: ArrayLike = 0.0, rock_density_kg_l: ArrayLike = 2.7,
                 wood_kg: ArrayLike = 0.0, wood_density_kg_l: ArrayLike = 1.1, equipment_l: ArrayLike = 0.0) -> Floats:
    """Litres of water in the built tank: the gross volume less grains, rock, wood and equipment.

    This is the volume to dose by; the water in the pores of the bed is in it. The three densities that have a default
    are literature values recalled, not read: weigh a piece in air and under water for a better one.

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
    bed_kg : float or array of shape (n,)
        Dry mass of the bed. [kg], 0 to 5000.
    bed_particle_density_kg_l : float or array of shape (n,)
        Density of the bed's grains. [kg/L], 0.5 to 8.
    rock_kg : float or array of shape (n,)
        Mass of rock. [kg], 0 to 5000.
    rock_density_kg_l : float or array of shape (n,)
        Density of the rock. [kg/L], 0.5 to 8.
    wood_kg : float or array of shape (n,)
        Mass of wood, water-logged. [kg], 0 to 5000.
    wood_density_kg_l : float or array of shape (n,)
        Density of the water-logged wood. [kg/L], 0.5 to 2.
    equipment_l : float or array of shape (n,)
        Volume of equipment under water. [L], 0 to 500.

    Returns
    -------
    float or array of shape (n,)
        Net volume. [L]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the things in the tank take up more than there is.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(net_volume_l(600, 300, 330, 6, bed_kg=6.35, bed_particle_density_kg_l=2.5, rock_kg=4, rock_density_kg_l=2.7), 3)
    51.862
    """
    bed, rock, wood = within(_BED, bed_kg), within(_ROCK, rock_kg), within(_WOOD, wood_kg)
    densities = (within(_BED_GRAINS, bed_particle_density_kg_l), within(_ROCK_DENSITY, rock_density_kg_l),
                 within(_WOOD_DENSITY, wood_density_kg_l), np.ones(()))
    parts = (bed, rock, wood, within(_EQUIPMENT_L, equipment_l))
    gross_l = np.asarray(gross_volume_l(length_mm, width_mm, water_mm, glass_mm))
    net_l = gross_l - sum(part / density for part, density in zip(parts, densities, strict=True))
    if (net_l < 0).any():
        raise _overfull(gross_l, net_l, parts, densities)
    return plain(net_l)


def _overfull(gross_l: Numbers, net_l: Numbers, parts: tuple[Numbers, ...], densities: tuple[Numbers, ...]) -> OutOfRangeError:
    """The refusal of what takes up more than there is, by the name of the largest of bed, rock, wood and equipment."""
    first = np.unravel_index(int((net_l < 0).argmax()), net_l.shape)
    gross, *given = (float(np.broadcast_to(numbers, net_l.shape)[first]) for numbers in (gross_l, *parts, *densities))
    amounts, per_l = given[: len(parts)], given[len(parts) :]
    taken_l = [amount / density for amount, density in zip(amounts, per_l, strict=True)]
    largest = taken_l.index(max(taken_l))
    declared = (_BED, _ROCK, _WOOD, _EQUIPMENT_L)[largest]
    most = max(gross - sum(taken_l) + taken_l[largest], 0.0) * per_l[largest]
    mistaken = "volume given in mL instead of L" if declared is _EQUIPMENT_L else "mass given in g instead of kg"
    return OutOfRangeError(declared.name, f"{amounts[largest]!r} {declared.unit}, which takes up {taken_l[largest]:.4g} L",
                           f"0 to {most:.4g} {declared.unit} beside the rest in {gross:.4g} L", f"Is a {mistaken}?")


@calculator(title="Weight on the stand", unit="kg", sources=("en572", "iapws95"),
            inputs=(_LENGTH, _WIDTH, _HEIGHT, _GLASS, _NET_WATER, _BED, _HARDSCAPE, _EQUIPMENT), cautions=("weight",))
def weight_on_stand_kg(length_mm: ArrayLike, width_mm: ArrayLike, height_mm: ArrayLike, glass_mm: ArrayLike, *, net_water_l: ArrayLike,
                       bed_kg: ArrayLike = 0.0, hardscape_kg: ArrayLike = 0.0, equipment_kg: ArrayLike = 0.0) -> Floats:
    """What the stand and the floor carry: glass, bed, rock and wood, water and equipment.

    The box is open, one bottom pane and four walls of equal glass that stand on it. Never lift a filled tank, keep
    loads off its rim, and ask a professional about the floor when several tanks stand together: this is a sum of
    masses, not a structural calculation.

    Parameters
    ----------
    length_mm : float or array of shape (n,)
        Outer length. [mm], 50 to 5000.
    width_mm : float or array of shape (n,)
        Outer depth from front to back. [mm], 50 to 5000.
    height_mm : float or array of shape (n,)
        Outer height with the bottom pane. [mm], 50 to 2000.
    glass_mm : float or array of shape (n,)
        Glass thickness. [mm], 0 to 30.
    net_water_l : float or array of shape (n,)
        Water in the tank, as from `net_volume_l`. [L], 0 to 50000.
    bed_kg : float or array of shape (n,)
        Dry mass of the bed. [kg], 0 to 5000.
    hardscape_kg : float or array of shape (n,)
        Mass of rock and wood. [kg], 0 to 5000.
    equipment_kg : float or array of shape (n,)
        Mass of lamp, filter and the rest. [kg], 0 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Mass on the stand. [kg]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range, or the panes leave no space between them.

    References
    ----------
    en572 for the density of glass, 2.5 kg/L, a literature value, from memory; iapws95 for that of water at 25 °C (keys from sources.py).

    Examples
    --------
    >>> round(weight_on_stand_kg(600, 300, 360, 6, net_water_l=51.862, bed_kg=6.35, hardscape_kg=4), 2)
    74.19
    """
    length, width, height = within(_LENGTH, length_mm), within(_WIDTH, width_mm), within(_HEIGHT, height_mm)
    glass = within(_GLASS, glass_mm)
    if (2 * glass >= length).any() or (2 * glass >= width).any():
        raise OutOfRangeError("glass_mm", f"{float(glass.max())!r} mm", "less than half of the length and of the depth")
    walls_mm2 = 2 * (length + width - 2 * glass) * (height - glass)
    glass_kg = GLASS_KG_L * (length * width + walls_mm2) * glass / 1e6
    contents_kg = within(_BED, bed_kg) + within(_HARDSCAPE, hardscape_kg) + within(_EQUIPMENT, equipment_kg)
    return plain(glass_kg + contents_kg + WATER_KG_L * within(_NET_WATER, net_water_l))


@calculator(title="Pressure on the stand", unit="kN/m²", sources=("arithmetic",), inputs=(_LOAD, _LENGTH, _WIDTH), cautions=("weight",))
def pressure_on_stand_kn_m2(load_kg: ArrayLike, length_mm: ArrayLike, width_mm: ArrayLike) -> Floats:
    """Mean pressure under a tank that stands on its whole bottom.

    The stand's own weight is not in it, and a stand on feet presses the floor much harder below each foot. A floor is judged by a
    structural professional, not by this number.

    Parameters
    ----------
    load_kg : float or array of shape (n,)
        All that the stand carries, as from `weight_on_stand_kg`. [kg], 0 to 100000.
    length_mm : float or array of shape (n,)
        Outer length. [mm], 50 to 5000.
    width_mm : float or array of shape (n,)
        Outer depth from front to back. [mm], 50 to 5000.

    Returns
    -------
    float or array of shape (n,)
        Mean pressure. [kN/m²]

    Raises
    ------
    OutOfRangeError
        If an input lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> round(pressure_on_stand_kn_m2(74.19, 600, 300), 3)
    4.042
    """
    area_m2 = within(_LENGTH, length_mm) * within(_WIDTH, width_mm) / 1e6
    return plain(within(_LOAD, load_kg) * GRAVITY_M_S2 / 1000 / area_m2)


@calculator(title="Density of fresh water", unit="kg/L", sources=("tanaka2001", "iapws95"), inputs=(_TEMP,))
def water_density_kg_l(temp_c: ArrayLike) -> Floats:
    """Density of fresh water at this temperature.

    (1) ρ = a5 (1 - (t + a1)² (t + a2) / (a3 (t + a4))). Salts of a hard tap water add less than 0.05 %.

    Parameters
    ----------
    temp_c : float or array of shape (n,)
        Water temperature. [°C], 0 to 40.

    Returns
    -------
    float or array of shape (n,)
        Density. [kg/L]

    Raises
    ------
    OutOfRangeError
        If the temperature lies outside its range.

    References
    ----------
    tanaka2001 for the equation, from memory; iapws95, with which it agrees to 0.01 kg/m³ (keys from sources.py).

    Examples
    --------
    >>> round(water_density_kg_l(25), 5)
    0.99705
    """
    temp = within(_TEMP, temp_c)
    a1, a2, a3, a4, a5 = _TANAKA
    return plain(a5 * (1 - (temp + a1) ** 2 * (temp + a2) / (a3 * (temp + a4))))
