"""What a dose adds, how much of a salt it takes, and how strong a stock solution is.

What doses and water changes build up to stands in `fairtank.science.changes`; its names can be had from here too.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fairtank.errors import InputError
from fairtank.registry import Input, Output, calculator
from fairtank.science.changes import (
    Steady,
    SteadyAfterDose,
    after_changes_mg_l,
    after_doses_mg_l,
    exchanged_fraction,
    steady_after_dose_mg_l,
    steady_mg_l,
)
from fairtank.science.ranges import Floats, one_of, plain, within
from fairtank.science.salts import SALT, SALTS, STOCK_TEMP_C, Salt, stock_limit_g_l
from fairtank.science.salts import salt as salt_of

__all__ = [
    "Steady",
    "SteadyAfterDose",
    "StockSolution",
    "after_changes_mg_l",
    "after_doses_mg_l",
    "alkalinity_gain_dkh",
    "exchanged_fraction",
    "hardness_gain_dgh",
    "liquid_gain_mg_l",
    "salt_gain_mg_l",
    "salt_mass_for_alkalinity_g",
    "salt_mass_for_hardness_g",
    "salt_mass_g",
    "steady_after_dose_mg_l",
    "steady_mg_l",
    "stock_solution",
]

# Every ion, and nitrogen and phosphorus as elements, that a salt of the table can bring.
CARRIED = tuple(sorted({name for row in SALTS.values() for name, _ in (*row.ions, *row.elements)}))

_MASS = Input("mass_g", "mass of the salt", "g", 0, 100000)
_VOLUME = Input("volume_l", "water in the tank", "L", 0.01, 50000)
_ION = Input("ion", "ion, or N or P as the element", choices=CARRIED)
_GAIN = Input("gain_mg_l", "rise wanted", "mg/L", 0, 10000)
_GAIN_DGH = Input("gain_dgh", "rise of general hardness wanted", "dGH", 0, 50)
_GAIN_DKH = Input("gain_dkh", "rise of carbonate hardness wanted", "dKH", 0, 50)
_STRENGTH = Input("strength_g_l", "strength of the liquid: mg in one mL, or g in one litre", "g/L", 0, 2000)
_DOSE_ML = Input("dose_ml", "how much of the liquid is dosed", "mL", 0, 100000)
_SOME_DOSE_ML = Input("dose_ml", "dose of stock solution that is to bring the rise", "mL", 0.1, 10000)
_STOCK_ML = Input("stock_ml", "how much stock solution to make", "mL", 1, 100000)


@dataclass(frozen=True)
class StockSolution:
    """How to make a stock solution: salt to weigh in [g], its strength [g/L], and whether that much dissolves, in a sentence."""

    salt_g: Floats
    strength_g_l: Floats
    verdict: str | NDArray[np.str_]


@calculator(title="What a salt adds", unit="mg/L", sources=("molmass",), inputs=(SALT, _MASS, _VOLUME), cautions=("dry_salts",))
def salt_gain_mg_l(salt: str, mass_g: ArrayLike, volume_l: ArrayLike) -> dict[str, Any]:
    """What a mass of salt adds to a tank, ion by ion, once it has dissolved.

    N and P are the nitrogen and phosphorus of the same ions, counted as elements: not to be added to them. Count the water that is
    really in the tank (`net_volume_l`).

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, such as Ca(NO3)2.4H2O, or with the word anhydrous. [-]
    mass_g : float or array of shape (n,)
        Mass of the salt. [g], 0 to 100000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    mapping of str to float or array of shape (n,)
        Ion (and N, P) -> what it rises by. [mg/L]

    Raises
    ------
    InputError
        If the salt is not in the table, or its crystal water is left open.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> {ion: round(gain, 2) for ion, gain in salt_gain_mg_l("KNO3", 1, 100).items()}
    {'K': 3.87, 'NO3': 6.13, 'N': 1.39}
    """
    row, dose = salt_of(salt), within(_MASS, mass_g) / within(_VOLUME, volume_l)
    return {name: plain(share * dose) for name, share in (*row.ions, *row.elements)}


@calculator(title="General hardness that a salt adds", unit="dGH", sources=("molmass",), inputs=(SALT, _MASS, _VOLUME),
            cautions=("dry_salts",))
def hardness_gain_dgh(salt: str, mass_g: ArrayLike, volume_l: ArrayLike) -> Floats:
    """By how much a mass of salt raises general hardness; 0 for salts without calcium and magnesium.

    Lime counts as dissolved, which takes CO2 and time.

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, or with the word anhydrous. [-]
    mass_g : float or array of shape (n,)
        Mass of the salt. [g], 0 to 100000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Rise of general hardness. [dGH]

    Raises
    ------
    InputError
        If the salt is not in the table, or its crystal water is left open.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(hardness_gain_dgh("MgSO4.7H2O", 5, 50), 2)
    2.28
    """
    return plain(salt_of(salt).dgh_per_g_l * within(_MASS, mass_g) / within(_VOLUME, volume_l))


@calculator(title="Carbonate hardness that a salt adds", unit="dKH", sources=("molmass",), inputs=(SALT, _MASS, _VOLUME),
            cautions=("dry_salts",))
def alkalinity_gain_dkh(salt: str, mass_g: ArrayLike, volume_l: ArrayLike) -> Floats:
    """By how much a mass of salt raises carbonate hardness; 0 for salts without carbonate.

    Phosphate that a KH test counts along (K2HPO4) is left out.

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, or with the word anhydrous. [-]
    mass_g : float or array of shape (n,)
        Mass of the salt. [g], 0 to 100000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Rise of carbonate hardness. [dKH]

    Raises
    ------
    InputError
        If the salt is not in the table, or its crystal water is left open.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(alkalinity_gain_dkh("KHCO3", 2, 50), 2)
    1.12
    """
    return plain(salt_of(salt).dkh_per_g_l * within(_MASS, mass_g) / within(_VOLUME, volume_l))


@calculator(title="Salt for a wanted rise", unit="g", sources=("molmass",), inputs=(SALT, _ION, _GAIN, _VOLUME), cautions=("dry_salts",))
def salt_mass_g(salt: str, ion: str, gain_mg_l: ArrayLike, volume_l: ArrayLike) -> Floats:
    """How much of a salt raises one of its ions by so much; its other ions rise along (`salt_gain_mg_l`).

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, or with the word anhydrous. [-]
    ion : str
        The ion that is to rise, or N or P as the element. [-]
    gain_mg_l : float or array of shape (n,)
        Rise wanted. [mg/L], 0 to 10000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Mass of the salt. [g]

    Raises
    ------
    InputError
        If the salt is not in the table, its crystal water is left open, or it does not bring that ion.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(salt_mass_g("KNO3", "NO3", 10, 50), 3)
    0.815
    """
    return plain(within(_GAIN, gain_mg_l) * within(_VOLUME, volume_l) / _mg_per_g(salt_of(salt), ion))


def _mg_per_g(row: Salt, ion: str) -> float:
    """What a gram of the salt brings of an ion or element [mg]; refused where it brings none."""
    brings = dict((*row.ions, *row.elements))
    if one_of(_ION, ion) not in brings:
        raise InputError("ion", ion, f"what {row.formula} brings: {', '.join(brings)}")
    return brings[ion]


@calculator(title="Salt for a wanted general hardness", unit="g", sources=("molmass",), inputs=(SALT, _GAIN_DGH, _VOLUME),
            cautions=("dry_salts",))
def salt_mass_for_hardness_g(salt: str, gain_dgh: ArrayLike, volume_l: ArrayLike) -> Floats:
    """How much of a salt raises general hardness by so much.

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, or with the word anhydrous. [-]
    gain_dgh : float or array of shape (n,)
        Rise of general hardness wanted. [dGH], 0 to 50.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Mass of the salt. [g]

    Raises
    ------
    InputError
        If the salt is not in the table, its crystal water is left open, or it has no calcium and magnesium.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(salt_mass_for_hardness_g("CaSO4.2H2O", 3, 50), 2)
    4.61
    """
    row = salt_of(salt)
    if not row.dgh_per_g_l:
        raise InputError("salt", row.formula, _those("dgh_per_g_l"), "It has neither calcium nor magnesium.")
    return plain(within(_GAIN_DGH, gain_dgh) * within(_VOLUME, volume_l) / row.dgh_per_g_l)


@calculator(title="Salt for a wanted carbonate hardness", unit="g", sources=("molmass",), inputs=(SALT, _GAIN_DKH, _VOLUME),
            cautions=("dry_salts",))
def salt_mass_for_alkalinity_g(salt: str, gain_dkh: ArrayLike, volume_l: ArrayLike) -> Floats:
    """How much of a salt raises carbonate hardness by so much.

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, or with the word anhydrous. [-]
    gain_dkh : float or array of shape (n,)
        Rise of carbonate hardness wanted. [dKH], 0 to 50.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    float or array of shape (n,)
        Mass of the salt. [g]

    Raises
    ------
    InputError
        If the salt is not in the table, its crystal water is left open, or it has no carbonate.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(salt_mass_for_alkalinity_g("KHCO3", 2, 50), 2)
    3.57
    """
    row = salt_of(salt)
    if not row.dkh_per_g_l:
        raise InputError("salt", row.formula, _those("dkh_per_g_l"), "It has no carbonate.")
    return plain(within(_GAIN_DKH, gain_dkh) * within(_VOLUME, volume_l) / row.dkh_per_g_l)


def _those(column: str) -> str:
    """The salts that have something in a column, in a row of words."""
    return ", ".join(row.formula for row in SALTS.values() if getattr(row, column))


@calculator(title="What a liquid adds", unit="mg/L", sources=("arithmetic",), inputs=(_STRENGTH, _DOSE_ML, _VOLUME))
def liquid_gain_mg_l(strength_g_l: ArrayLike, dose_ml: ArrayLike, volume_l: ArrayLike) -> Floats:
    """What a dose of liquid adds, from the strength on its label.

    A label in percent by weight gives ten times the percent in g/L for each kg/L that the liquid weighs. Oxides (K2O, P2O5) and elements
    (N, P) on labels are not ions: see `ion_from_element`.

    Parameters
    ----------
    strength_g_l : float or array of shape (n,)
        Strength: mg in one mL, which is g in one litre. [g/L], 0 to 2000.
    dose_ml : float or array of shape (n,)
        How much of the liquid is dosed. [mL], 0 to 100000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.

    Returns
    -------
    float or array of shape (n,)
        What the concentration rises by. [mg/L]

    Raises
    ------
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> liquid_gain_mg_l(20, 5, 50)
    2.0
    """
    return plain(within(_STRENGTH, strength_g_l) * within(_DOSE_ML, dose_ml) / within(_VOLUME, volume_l))


@calculator(title="Stock solution", sources=("molmass", "solubility_tables", "phreeqc3", "common_practice"),
            outputs=(Output("salt_g", "salt to weigh in", "g"), Output("strength_g_l", "strength of the stock", "g/L"),
                     Output("verdict", "does it dissolve")),
            inputs=(SALT, _ION, _GAIN, _SOME_DOSE_ML, _VOLUME, _STOCK_ML), cautions=("dry_salts",))
def stock_solution(salt: str, ion: str, gain_mg_l: ArrayLike, dose_ml: ArrayLike, volume_l: ArrayLike,
                   stock_ml: ArrayLike) -> StockSolution:
    """How much of a salt to fill up to so much stock solution, for a dose that raises one ion by so much.

    Weigh the salt, add most of the water, let it dissolve, then fill up. A stock is kept under 60 % of what dissolves at 15 °C, so that
    nothing falls out in a cold room; which salts may share a bottle tells `stock_pairing`. How much of KH2PO4, NaHCO3 and KHCO3 dissolves
    is a literature value, from memory, and the verdict on them says so.

    Parameters
    ----------
    salt : str
        Formula with the water in its crystals, or with the word anhydrous. [-]
    ion : str
        The ion that is to rise, or N or P as the element. [-]
    gain_mg_l : float or array of shape (n,)
        What one dose is to add. [mg/L], 0 to 10000.
    dose_ml : float or array of shape (n,)
        How much stock solution one dose is. [mL], 0.1 to 10000.
    volume_l : float or array of shape (n,)
        Water in the tank. [L], 0.01 to 50000.
    stock_ml : float or array of shape (n,)
        How much stock solution to make. [mL], 1 to 100000.

    Returns
    -------
    StockSolution
        salt_g [g], strength_g_l [g/L], verdict (dissolves, too strong, or not known; and whether the limit is from memory).

    Raises
    ------
    InputError
        If the salt is not in the table, its crystal water is left open, or it does not bring that ion.
    OutOfRangeError
        If a number lies outside its range.

    References
    ----------
    molmass for the atomic masses; solubility_tables, in part from memory, and phreeqc3 for what dissolves; common_practice for the 60 %
    (keys from sources.py).

    Examples
    --------
    >>> stock = stock_solution("KNO3", "NO3", gain_mg_l=1, dose_ml=1, volume_l=50, stock_ml=500)
    >>> round(stock.salt_g, 1), stock.verdict
    (40.8, 'dissolves: at most 158 g/L, 60 % of what dissolves at 15 °C')
    """
    row = salt_of(salt)
    strength = within(_GAIN, gain_mg_l) * within(_VOLUME, volume_l) / within(_SOME_DOSE_ML, dose_ml) * 1000 / _mg_per_g(row, ion)
    grams, strength = np.broadcast_arrays(strength * within(_STOCK_ML, stock_ml) / 1000, strength)
    verdicts = np.array(_verdicts(row))[(strength > (stock_limit_g_l(row) or 0.0)).astype(int)]
    return StockSolution(plain(grams), plain(strength), str(verdicts) if verdicts.ndim == 0 else verdicts)


def _verdicts(row: Salt) -> tuple[str, str]:
    """What is said of a stock under its limit, and of one over it."""
    limit = stock_limit_g_l(row)
    if limit is None or row.solubility is None:
        unknown = "not known: see the label for how much dissolves, and stay well under it"
        return unknown, unknown
    told = f"at most {limit:.3g} g/L, 60 % of what dissolves at {STOCK_TEMP_C if row.solubility.at_10_g else 20} °C"
    if row.solubility.mark == "from memory":
        told += " (a literature value, from memory)"
    if row.solubility.at_10_g is None:
        told += "; less in a cold room"
    return f"dissolves: {told}", f"too strong: {told}. Make it weaker and dose more"
