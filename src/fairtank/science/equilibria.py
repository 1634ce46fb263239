"""Constants of the carbonate system, activities of ions, and the split of dissolved carbon at a given pH.

Amounts are in mol/L and eq/L here, and a litre counts as a kilogram of water (0.3 % at 25 °C). pH is minus the logarithm of the activity
of hydrogen ions, as a probe reads it. The pairs that calcium makes with bicarbonate and carbonate are counted where the hardness is
given, with magnesium taken as calcium; pairs with sodium and with sulphate are left out.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fairtank.errors import InputError
from fairtank.units import convert

Numbers = NDArray[np.float64]

# log10 K = a + b T + c/T + d log10 T + e/T², T in kelvin, 0 to 90 °C: plummer1982. Read in the data files of PHREEQC: K2, K1 K2 and
# calcium in phreeqc.dat, KH and Kw in wateq4f.dat; K1 is the difference of two lines.
LOG10_CONSTANTS = {
    "k1": (-356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0),  # CO2 + H2O = H+ + HCO3-
    "k2": (-107.8871, -0.03252849, 5151.79, 38.92561, -563713.9),  # HCO3- = H+ + CO3--
    "kh": (108.3865, 0.01985076, -6919.53, -40.45154, 669365.0),  # CO2 gas = CO2 dissolved, mol/kg per atm
    "kw": (-283.971, -0.05069842, 13323.0, 102.24447, -1119669.0),  # H2O = H+ + OH-
    "pair1": (1209.120, 0.31294045, -34765.05, -478.782, 0.0),  # Ca++ + HCO3- = CaHCO3+; the line of phreeqc.dat less that of K2
    "pair2": (-1228.732, -0.299440, 35512.75, 485.818, 0.0),  # Ca++ + CO3-- = CaCO3, dissolved
    "calcite": (-171.9065, -0.077993, 2839.319, 71.595, 0.0),  # CaCO3, solid = Ca++ + CO3--
}
# Pressure of water vapour over water: ln(atm) = a + b/T + c/T², benson1984; this form recalled, not read.
LN_VAPOUR = (11.8571, -3840.70, -216961.0)
# Dielectric constant of water by powers of degC: malmberg1956.
DIELECTRIC = (87.740, -0.40008, 9.398e-4, -1.410e-6)
# A = 1.82483e6 / (dielectric constant x kelvin)^1.5, and the straight part 0.3 I of the equation: davies1962.
DEBYE_HUCKEL, DAVIES_STRAIGHT = 1.82483e6, 0.3
CO2_G_MOL = 44.0095
# Ionic strength [mol/L] per µS/cm at 25 °C: aqion_conductivity. It fits hard waters; PHREEQC gives 0.7e-5 for potassium nitrate and 1.1e-5
# for sodium bicarbonate.
IONIC_STRENGTH_PER_US_CM = 1.6e-5
EQ_PER_DKH = convert(1.0, "dKH", "meq/L") / 1000
_MOST_ROUNDS = 60
_LN10 = np.log(10.0)
_BLOCK = 1 << 17  # numbers at a time: little memory, and a third faster than a million at once


@dataclass(frozen=True)
class Constants:
    """What a temperature [°C] settles, each part of the shape of the temperature and worked out when it is first asked for.

    k1, k2: first and second step of carbonic acid. kh: dissolved CO2 per pressure of CO2 [mol/(L atm)]. kw: of water. pair1, pair2: of
    calcium with bicarbonate and with carbonate. calcite: solubility product. All for activities. slope: A of the Davies equation.
    """

    temp_c: Numbers

    @cached_property
    def _powers(self) -> tuple[Numbers, Numbers, Numbers]:
        """The kelvin, one over them and their decimal logarithm."""
        kelvin = np.asarray(self.temp_c, dtype=np.float64) + 273.15
        return kelvin, 1 / kelvin, np.log10(kelvin)

    def _line(self, name: str) -> Numbers:
        (a, b, c, d, e), (kelvin, over, log_kelvin) = LOG10_CONSTANTS[name], self._powers
        return power_of_ten(a + b * kelvin + (c + e * over) * over + d * log_kelvin)

    @cached_property
    def k1(self) -> Numbers:
        return self._line("k1")

    @cached_property
    def k2(self) -> Numbers:
        return self._line("k2")

    @cached_property
    def kh(self) -> Numbers:
        return self._line("kh")

    @cached_property
    def kw(self) -> Numbers:
        return self._line("kw")

    @cached_property
    def pair1(self) -> Numbers:
        return self._line("pair1")

    @cached_property
    def pair2(self) -> Numbers:
        return self._line("pair2")

    @cached_property
    def calcite(self) -> Numbers:
        return self._line("calcite")

    @cached_property
    def slope(self) -> Numbers:
        return debye_huckel_slope(self.temp_c)


@dataclass(frozen=True)
class Ions:
    """What else is dissolved: ionic strength [mol/L], and calcium and magnesium together [mol/L], 0 where pairs are left out."""

    strength: Numbers
    hardness_mol_l: Numbers


@dataclass(frozen=True)
class Mixed:
    """One water: its constants for concentrations of ions, while hydrogen stays an activity.

    k1, k2, kw: as in `Constants`, with the activity coefficients worked in. g1: activity coefficient of ions with one charge.
    hardness: calcium, free and paired [mol/L]. pair1, pair2: of calcium with bicarbonate and with carbonate, paired per both free [L/mol].
    """

    k1: Numbers
    k2: Numbers
    kw: Numbers
    g1: Numbers
    hardness: Numbers
    pair1: Numbers
    pair2: Numbers


@dataclass(frozen=True)
class Split:
    """Dissolved carbon in its three forms, each with its pairs, and in sum [mol/L]."""

    co2_mol_l: Numbers
    bicarbonate_mol_l: Numbers
    carbonate_mol_l: Numbers
    dic_mol_l: Numbers


def in_blocks(compute: Callable[..., Numbers], *inputs: Numbers) -> Numbers:
    """What `compute` makes of the inputs, block by block where they are many; single numbers go into every block as they are.

    It may give several rows, whose axes then stand before those of the inputs.
    """
    shape = np.broadcast_shapes(*(part.shape for part in inputs))
    count = int(np.prod(shape))
    if count <= _BLOCK:
        return compute(*inputs)
    flat = [part if part.ndim == 0 else np.broadcast_to(part, shape).reshape(-1) for part in inputs]
    blocks = (tuple(part if part.ndim == 0 else part[start : start + _BLOCK] for part in flat) for start in range(0, count, _BLOCK))
    rows = [np.broadcast_to(made := compute(*block), (*made.shape[:-1], *max(part.shape for part in block))) for block in blocks]
    whole = np.concatenate(rows, axis=-1)
    return whole.reshape(*whole.shape[:-1], *shape)


def power_of_ten(exponent: Numbers) -> Numbers:
    """Ten to a power, by way of e: three times as fast as a power of numpy, and as exact as the exponents here are."""
    return np.asarray(np.exp(_LN10 * exponent))


def constants(temp_c: Numbers) -> Constants:
    """The constants of the carbonate system and the slope of the activities at a temperature [°C]."""
    return Constants(np.asarray(temp_c, dtype=np.float64))


def vapour_pressure_atm(temp_c: Numbers) -> Numbers:
    """Pressure of water vapour [atm] in air that touches water of that temperature [°C]."""
    a, b, c = LN_VAPOUR
    kelvin = np.asarray(temp_c, dtype=np.float64) + 273.15
    return np.exp(a + (b + c / kelvin) / kelvin)


def dielectric_constant(temp_c: Numbers) -> Numbers:
    """Dielectric constant of water at a temperature [°C], after malmberg1956."""
    a, b, c, d = DIELECTRIC
    return a + temp_c * (b + temp_c * (c + temp_c * d))


def debye_huckel_slope(temp_c: Numbers) -> Numbers:
    """The slope A of the Davies equation at a temperature [°C]."""
    product = dielectric_constant(temp_c) * (np.asarray(temp_c) + 273.15)
    return DEBYE_HUCKEL / (product * np.sqrt(product))


def activity_coefficient(pure: Constants, strength: Numbers, charge: int) -> Numbers:
    """Activity coefficient of an ion after davies1962; the equation holds to an ionic strength of about 0.5 mol/L."""
    root = np.sqrt(strength)
    return power_of_ten(-pure.slope * charge**2 * (root / (1 + root) - DAVIES_STRAIGHT * strength))


def ionic_strength(molar: tuple[Numbers, ...], charges: tuple[int, ...]) -> Numbers:
    """Half the sum of concentration times charge squared [mol/L]."""
    if len(molar) != len(charges):
        raise InputError("charges", f"{len(charges)} numbers", f"one charge for each of the {len(molar)} concentrations")
    return 0.5 * sum((amount * charge**2 for amount, charge in zip(molar, charges, strict=True)), np.zeros(()))


def ions_of(alkalinity_eq_l: Numbers, hardness_mol_l: Numbers, conductivity_us_cm: Numbers | None = None) -> Ions:
    """Ionic strength and hardness of a water from its alkalinity [eq/L], hardness [mol/L] and, where known, conductivity [µS/cm].

    Without conductivity the water is taken to hold bicarbonate with calcium, then with sodium, or calcium with bicarbonate, then with
    chloride: the least strength that its alkalinity and hardness allow.
    """
    if conductivity_us_cm is None:
        strength = np.maximum(alkalinity_eq_l + hardness_mol_l, 3 * hardness_mol_l)
    else:
        strength = IONIC_STRENGTH_PER_US_CM * conductivity_us_cm
    return Ions(strength, hardness_mol_l)


def mixed_constants(pure: Constants, ions: Ions) -> Mixed:
    """The constants of one water; CO2 and the uncharged pair count as ideal."""
    g1 = activity_coefficient(pure, ions.strength, 1)
    g2 = (g1 * g1) ** 2  # the Davies equation goes with the square of the charge
    paired = np.any(ions.hardness_mol_l)
    pair1, pair2 = (pure.pair1 * g2, pure.pair2 * g2**2) if paired else (np.zeros(()), np.zeros(()))
    return Mixed(pure.k1 / g1, pure.k2 * g1 / g2, pure.kw / g1, g1, ions.hardness_mol_l, pair1, pair2)


def split_at_ph(mixed: Mixed, alkalinity_eq_l: Numbers, ph: Numbers) -> Split:
    """The forms of dissolved carbon in water of that pH and alkalinity.

    Where hydroxide alone is more than the alkalinity (below 0.2 dKH at pH 9.5) the two readings contradict each other by less than a drop
    test can show, and the water is taken to hold no carbon.
    """
    hydrogen = power_of_ten(-np.asarray(ph, dtype=np.float64))
    ratio = mixed.k2 / hydrogen  # of carbonate to bicarbonate, both free
    carbon_charge = np.maximum(alkalinity_eq_l - mixed.kw / hydrogen + hydrogen / mixed.g1, 0.0)
    free = _free_bicarbonate(mixed, carbon_charge, 1 + 2 * ratio, mixed.pair1 + 2 * mixed.pair2 * ratio, ratio)
    calcium = mixed.hardness / (1 + (mixed.pair1 + mixed.pair2 * ratio) * free)
    co2 = free * hydrogen / mixed.k1
    bicarbonate, carbonate = free * (1 + mixed.pair1 * calcium), free * ratio * (1 + mixed.pair2 * calcium)
    return Split(co2, bicarbonate, carbonate, co2 + bicarbonate + carbonate)


def alkalinity_at_ph(mixed: Mixed, dic_mol_l: Numbers, ph: Numbers) -> Numbers:
    """Alkalinity [eq/L] of water of that pH which holds that much dissolved carbon."""
    hydrogen = power_of_ten(-np.asarray(ph, dtype=np.float64))
    ratio = mixed.k2 / hydrogen
    free = _free_bicarbonate(mixed, dic_mol_l, 1 + ratio + hydrogen / mixed.k1, mixed.pair1 + mixed.pair2 * ratio, ratio)
    return _alkalinity_gap(mixed, np.zeros(()), hydrogen, free, -free)[0]


def _free_bicarbonate(mixed: Mixed, total: Numbers, per_free: Numbers, per_pair: Numbers, ratio: Numbers) -> Numbers:
    """Free bicarbonate from a total, when each unit of it brings `per_free` free, and `per_pair` for each unit of free calcium."""
    pairing = mixed.pair1 + mixed.pair2 * ratio
    half = per_free + mixed.hardness * per_pair - total * pairing
    return 2 * total / (half + np.sqrt(half**2 + 4 * per_free * pairing * total))  # this form of the root loses no digits


def ph_from_co2(mixed: Mixed, alkalinity_eq_l: Numbers, co2_mol_l: Numbers) -> Numbers:
    """pH of water of that alkalinity in which dissolved CO2 is held at that level, as by contact with a gas."""
    linear = mixed.k1 * co2_mol_l + mixed.kw

    def gap(hydrogen: Numbers) -> tuple[Numbers, Numbers]:
        free = mixed.k1 * co2_mol_l / hydrogen
        return _alkalinity_gap(mixed, alkalinity_eq_l, hydrogen, free, -free)

    # Without carbonate the balance is quadratic in hydrogen; this form of its root loses no digits, and is right for pure water.
    return _ph_where_zero(gap, 2 * linear / (alkalinity_eq_l + np.sqrt(alkalinity_eq_l**2 + 4 * linear / mixed.g1)))


def ph_from_dic(mixed: Mixed, alkalinity_eq_l: Numbers, dic_mol_l: Numbers) -> Numbers:
    """pH of water of that alkalinity which holds that much dissolved carbon and lets none in or out."""
    k1, k2 = mixed.k1, mixed.k2

    def gap(hydrogen: Numbers) -> tuple[Numbers, Numbers]:
        ratio, acid = k2 / hydrogen, hydrogen / k1
        pairing, per_free = mixed.pair1 + mixed.pair2 * ratio, 1 + ratio + acid
        free = _free_bicarbonate(mixed, dic_mol_l, per_free, pairing, ratio)
        paired = mixed.hardness / (1 + pairing * free) ** 2
        slope = -free * (acid - ratio - paired * mixed.pair2 * ratio) / (per_free + paired * pairing)
        return _alkalinity_gap(mixed, alkalinity_eq_l, hydrogen, free, slope)

    # Start from the free carbon alone: a root of alk h² + (alk - dic) K1 h + (alk - 2 dic) K1 K2 = 0. It lies between water without
    # alkalinity and water without carbon.
    low = np.maximum(alkalinity_eq_l, 1e-12)
    half = (dic_mol_l - low) * k1
    carbon_alone = (half + np.sqrt(np.maximum(half**2 - 4 * low * (low - 2 * dic_mol_l) * k1 * k2, 0.0))) / (2 * low)
    no_alkalinity = np.sqrt((k1 * dic_mol_l + mixed.kw) * mixed.g1)
    no_carbon = 2 * mixed.kw / (alkalinity_eq_l + np.sqrt(alkalinity_eq_l**2 + 4 * mixed.kw / mixed.g1))
    return _ph_where_zero(gap, np.clip(carbon_alone, no_carbon, np.maximum(no_alkalinity, no_carbon)))


def alkalinity_of_calcite(temp_c: Numbers, co2_mol_l: Numbers) -> Numbers:
    """Alkalinity [eq/L] of pure water that calcite has dissolved in until it was saturated, while CO2 was held at that level."""
    pure = constants(temp_c)
    # Bicarbonate and calcium alone: alkalinity is this by the square of the activity coefficient, and hydrogen ions [mol/L] depend on none.
    ideal = np.cbrt(2 * pure.calcite * pure.k1 * co2_mol_l / pure.k2)
    alkalinity, acid = ideal, pure.k1 * co2_mol_l / ideal
    for _ in range(2):
        g1 = activity_coefficient(pure, 1.5 * alkalinity, 1)
        alkalinity = ideal / (g1 * g1)
    for _ in range(_MOST_ROUNDS):  # Newton's steps in the logarithm; the ions that have dissolved change the activities a little each time
        mixed = mixed_constants(pure, ions_of(alkalinity, alkalinity / 2))
        hydrogen = acid * mixed.g1
        free, ratio = mixed.k1 * co2_mol_l / hydrogen, mixed.k2 / hydrogen
        calcium = pure.calcite / (((mixed.g1**2) ** 2) ** 2 * free * ratio)
        pair, hydroxide = mixed.pair1 * free * calcium, mixed.kw / hydrogen
        excess = free * (1 + 2 * ratio) + hydroxide - acid - 2 * calcium - pair  # charges; the uncharged pair cancels
        step = excess / (free * (1 + 4 * ratio) + hydroxide + acid + 4 * calcium + pair)
        moved = np.exp(np.clip(step, -1, 1))
        acid = acid * moved
        alkalinity = 2 * calcium * moved * (moved + mixed.pair1 * free + mixed.pair2 * free * ratio / moved)
        if float(np.max(np.abs(step), initial=0.0)) < 1e-6:
            break
    return alkalinity


def _alkalinity_gap(mixed: Mixed, alkalinity_eq_l: Numbers, hydrogen: Numbers, free: Numbers,
                    free_slope: Numbers) -> tuple[Numbers, Numbers]:
    """By how much the charges at that hydrogen and free bicarbonate exceed the alkalinity, and its slope over the logarithm of hydrogen."""
    ratio = mixed.k2 / hydrogen
    pair2 = mixed.pair2 * ratio
    per_pair, below = mixed.pair1 + 2 * pair2, 1 + (mixed.pair1 + pair2) * free
    hydroxide, acid = mixed.kw / hydrogen, hydrogen / mixed.g1
    excess = free * (1 + 2 * ratio + mixed.hardness * per_pair / below) + hydroxide - acid - alkalinity_eq_l
    by_free = 1 + 2 * ratio + mixed.hardness * per_pair / below**2
    by_ratio = free * (-2 * ratio + mixed.hardness * pair2 * (per_pair * free - 2 * below) / below**2)
    return excess, by_free * free_slope + by_ratio - hydroxide - acid


def _ph_where_zero(gap: Callable[[Numbers], tuple[Numbers, Numbers]], start: Numbers) -> Numbers:
    """pH at which a balance closes; `gap` gives its excess, which falls as hydrogen rises, and the slope over the logarithm of hydrogen.

    Newton's steps in the logarithm, kept inside a bracket that shrinks: where a step would leave it, the bracket is halved instead.
    """
    low, high = np.full_like(start, np.log(1e-13)), np.full_like(start, np.log(1e-1))
    place = np.clip(np.log(np.maximum(start, 1e-13)), low, high)
    for _ in range(_MOST_ROUNDS):
        excess, slope = gap(np.exp(place))
        low, high = np.where(excess > 0, place, low), np.where(excess > 0, high, place)
        step = place - excess / slope
        step = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        moved = float(np.max(np.abs(step - place), initial=0.0))
        place = step
        if moved < 1e-6:  # of the amount of hydrogen; the next error is about the square of this
            break
    return -place / np.log(10)
