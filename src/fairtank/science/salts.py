"""Salts by formula: molar masses, what one gram gives, what dissolves, and what must not share a bottle.

The water in the crystals belongs to the formula: a gram of dry magnesium sulphate has twice the magnesium of a gram of MgSO4.7H2O. A
formula that leaves it open is refused.
"""

from dataclasses import dataclass

from numpy.typing import ArrayLike

from fairtank.errors import InputError
from fairtank.registry import Input, Output, calculator
from fairtank.science.equilibria import EQ_PER_DKH
from fairtank.science.formulas import ATOMIC_MASSES, atoms_of, molar_mass_g_mol, plain_formula
from fairtank.science.ranges import Floats, one_of, plain, within
from fairtank.units import convert

_MMOL_PER_DGH = convert(1.0, "dGH", "mmol/L")
# A stock solution stays under this share of what dissolves at 15 °C, as cold as a bottle is likely to stand: common practice, no source.
STOCK_SHARE, STOCK_TEMP_C = 0.6, 15


@dataclass(frozen=True)
class Solubility:
    """What dissolves in 100 g of water [g], at 10 °C (None where not known) and at 20 °C.

    mark: `read`, `computed` (PHREEQC: gypsum with phreeqc.dat, the others with pitzer.dat) or `from memory`; solubility_tables, phreeqc3.
    counted_as: the formula whose grams these are, where it is not the salt's own.
    """

    at_10_g: float | None
    at_20_g: float
    mark: str
    counted_as: str = ""


@dataclass(frozen=True)
class Salt:
    """A salt and what one gram of it gives.

    ions: ion and mg of it in a gram. elements: nitrogen and phosphorus as elements, mg in a gram; they are the same atoms as in the ions.
    dgh_per_g_l, dkh_per_g_l: what a gram in a litre adds to general and carbonate hardness. oxidiser: feeds a fire (H272). solubility: None
    where it is not known here. note: what else a keeper must know.
    """

    formula: str
    title: str
    molar_mass_g_mol: float
    ions: tuple[tuple[str, float], ...]
    elements: tuple[tuple[str, float], ...]
    dgh_per_g_l: float
    dkh_per_g_l: float
    oxidiser: bool = False
    solubility: Solubility | None = None
    note: str = ""


@dataclass(frozen=True)
class StockPairing:
    """Whether two salts may share a bottle: `keep apart` or `no conflict known`, and the reason."""

    verdict: str
    reason: str


def _row(formula: str, title: str, ions: str, solubility: Solubility | None = None, note: str = "") -> Salt:
    """A row of the table; ions such as `Ca 2NO3`, or the elements of a molecule such as `2N`."""
    mass = molar_mass_g_mol(formula)
    counts = {part.lstrip("0123456789"): int(part[: -len(part.lstrip("0123456789"))] or 1) for part in ions.split()}
    given = {ion: 1000 * count * molar_mass_g_mol(ion) / mass for ion, count in counts.items()}
    nutrients = {element: sum(atoms_of(ion).get(element, 0) * count for ion, count in counts.items()) for element in ("N", "P")}
    elements = {element: 1000 * count * ATOMIC_MASSES[element] / mass for element, count in nutrients.items() if count}
    hard = counts.get("Ca", 0) + counts.get("Mg", 0)
    charges = counts.get("HCO3", 0) + 2 * counts.get("CO3", 0)
    return Salt(formula, title, mass, tuple(pair for pair in given.items() if pair[0] not in elements), tuple(elements.items()),
                1000 * hard / mass / _MMOL_PER_DGH, charges / mass / EQ_PER_DKH, "NO3" in counts, solubility, note)


_EPSOM = Solubility(None, 33.9, "computed", counted_as="MgSO4")
_ROWS = (
    _row("CaSO4.2H2O", "calcium sulphate, gypsum", "Ca SO4", Solubility(None, 0.255, "computed"), "Dissolves slowly: stir for hours."),
    _row("CaCl2.2H2O", "calcium chloride, dihydrate", "Ca 2Cl", note="Gets warm in water and draws water from the air."),
    _row("CaCl2 anhydrous", "calcium chloride, without water", "Ca 2Cl", note="Gets hot in water and draws water from the air."),
    _row("MgSO4.7H2O", "magnesium sulphate, Epsom salt", "Mg SO4", _EPSOM),
    _row("MgSO4 anhydrous", "magnesium sulphate, without water", "Mg SO4", _EPSOM, "Gets warm in water."),
    _row("KHCO3", "potassium bicarbonate", "K HCO3", Solubility(None, 33.0, "from memory")),
    _row("NaHCO3", "sodium bicarbonate, baking soda", "Na HCO3", Solubility(None, 9.6, "from memory")),
    _row("K2CO3", "potassium carbonate, without water", "2K CO3",
         note="Strongly alkaline: gloves and eye protection. pH rises with it until air has brought CO2."),
    _row("CaCO3", "calcium carbonate, lime", "Ca CO3", note="Hardly dissolves without CO2; the figures hold once it has."),
    _row("KNO3", "potassium nitrate", "K NO3", Solubility(21.0, 31.6, "read")),
    _row("KH2PO4", "potassium dihydrogen phosphate", "K PO4", Solubility(None, 22.6, "from memory")),
    _row("K2HPO4", "dipotassium hydrogen phosphate, without water", "2K PO4",
         note="A KH test counts its phosphate along, up to 16 dKH for a gram in a litre; that is no carbonate."),
    _row("K2SO4", "potassium sulphate", "2K SO4", Solubility(None, 10.2, "computed")),
    _row("Ca(NO3)2.4H2O", "calcium nitrate, tetrahydrate", "Ca 2NO3"),
    _row("Mg(NO3)2.6H2O", "magnesium nitrate, hexahydrate", "Mg 2NO3"),
    _row("NH4NO3", "ammonium nitrate", "NH4 NO3",
         note="Ammonium harms fish and feeds algae. In many countries it may not be bought freely."),
    _row("CO(NH2)2", "urea", "2N", note="Turns into ammonium in the tank within days."),
    _row("KCl", "potassium chloride", "K Cl", Solubility(31.0, 34.1, "read and computed")),
    _row("NaCl", "sodium chloride, table salt", "Na Cl", Solubility(None, 35.7, "computed")),
    _row("C10H12FeN2NaO8 anhydrous", "iron EDTA (NaFe-EDTA), without water", "Na Fe"),
    _row("C10H12FeN2NaO8.3H2O", "iron EDTA (NaFe-EDTA), trihydrate", "Na Fe"),
    _row("C14H19FeN3NaO10", "iron DTPA (NaFe-DTPA)", "Na Fe", note="Products hold 10 to 11 % iron: where the label names a share, use it."),
    _row("C12H22FeO14 anhydrous", "iron gluconate, without water", "Fe"),
    _row("C12H22FeO14.2H2O", "iron gluconate, dihydrate", "Fe"),
)
SALTS = {row.formula: row for row in _ROWS}
OTHER_NAMES = {
    "urea": "CO(NH2)2", "NaFe-EDTA anhydrous": "C10H12FeN2NaO8 anhydrous", "NaFe-EDTA.3H2O": "C10H12FeN2NaO8.3H2O",
    "NaFe-DTPA": "C14H19FeN3NaO10",
}
# What must not share a stock bottle: common practice, no source. Parts of one salt, parts of the other, what happens.
_CONFLICTS = (
    ({"Ca"}, {"SO4"}, "calcium and sulphate fall out as gypsum"),
    ({"Ca"}, {"PO4"}, "calcium and phosphate fall out"),
    ({"Ca"}, {"CO3", "HCO3"}, "calcium and carbonate fall out as lime"),
    ({"Fe"}, {"PO4"}, "iron and phosphate fall out"),
)
# Ion or oxide -> the element that others count it as.
ELEMENTS = {"NO3": "N", "NO2": "N", "NH4": "N", "NH3": "N", "PO4": "P", "P2O5": "P", "K2O": "K", "SO4": "S"}

SALT = Input("salt", "salt, by its formula with the water in its crystals", choices=tuple(SALTS))
_FIRST = Input("first_salt", "one salt, by its formula", choices=tuple(SALTS))
_SECOND = Input("second_salt", "the other salt, by its formula", choices=tuple(SALTS))
_ION = Input("ion", "ion or oxide", choices=tuple(ELEMENTS))
_ELEMENT_MG_L = Input("element_mg_l", "concentration as the element", "mg/L", 0, 1e6)
_ION_MG_L = Input("ion_mg_l", "concentration as the ion or oxide", "mg/L", 0, 1e6)


def salt(formula: str, declared: Input = SALT) -> Salt:
    """The row of a salt; a formula that leaves its crystal water open, or that is not in the table, is refused.

    >>> round(salt("Ca(NO3)2·4H2O").molar_mass_g_mol, 2)
    236.15
    """
    if not isinstance(formula, str):
        raise InputError(declared.name, "not a formula", ", ".join(SALTS))
    typed = plain_formula(formula)
    known = {name.lower(): name for name in (*SALTS, *OTHER_NAMES)}
    name = known.get(typed.lower(), typed)
    name = OTHER_NAMES.get(name, name)
    if name in SALTS:
        return SALTS[name]
    hydrates = [other for other in known.values() if _without_water(other) == _without_water(typed)]
    if hydrates:
        raise InputError(declared.name, formula, " or ".join(hydrates), "Crystal water changes how much a gram gives; see the label.")
    raise InputError(declared.name, formula.strip() or "empty", ", ".join(SALTS))


def _without_water(name: str) -> str:
    return name.lower().removesuffix(" anhydrous").split(".")[0]


def stock_limit_g_l(row: Salt) -> float | None:
    """How much of a salt a litre of stock solution may hold [g]; None where its solubility is not known here.

    The share of 60 % is taken of what dissolves at 15 °C, halfway between 10 and 20 °C; where only 20 °C is known, of that. A litre of
    solution counts as a litre of water; the 40 % left over cover that too.
    """
    if row.solubility is None:
        return None
    at_20 = row.solubility.at_20_g
    at_15 = at_20 if row.solubility.at_10_g is None else (row.solubility.at_10_g + at_20) / 2
    counted = molar_mass_g_mol(row.solubility.counted_as or row.formula)
    return STOCK_SHARE * 10 * at_15 * row.molar_mass_g_mol / counted


@calculator(title="Ion from its element", unit="mg/L", sources=("molmass",), inputs=(_ION, _ELEMENT_MG_L))
def ion_from_element(ion: str, element_mg_l: ArrayLike) -> Floats:
    """A concentration as the whole ion, where a test kit or label counts the element only.

    1 mg/L of nitrate nitrogen (NO3-N) is 4.43 mg/L of nitrate. The oxides P2O5 and K2O stand on fertiliser labels.

    Parameters
    ----------
    ion : str
        NO3, NO2, NH4, NH3 (counted as N), PO4, P2O5 (as P), K2O (as K) or SO4 (as S). [-]
    element_mg_l : float or array of shape (n,)
        Concentration as the element. [mg/L], 0 to 1e+06.

    Returns
    -------
    float or array of shape (n,)
        Concentration as the ion or oxide. [mg/L]

    Raises
    ------
    InputError
        If the ion is not one of these.
    OutOfRangeError
        If the concentration lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(ion_from_element("NO3", 1.0), 3)
    4.427
    """
    return plain(within(_ELEMENT_MG_L, element_mg_l) / _element_share(ion))


@calculator(title="Element from its ion", unit="mg/L", sources=("molmass",), inputs=(_ION, _ION_MG_L))
def element_from_ion(ion: str, ion_mg_l: ArrayLike) -> Floats:
    """A concentration as the element, where a test kit or label counts the whole ion.

    10 mg/L of nitrate is 2.26 mg/L of nitrogen. The oxides P2O5 and K2O stand on fertiliser labels.

    Parameters
    ----------
    ion : str
        NO3, NO2, NH4, NH3 (counted as N), PO4, P2O5 (as P), K2O (as K) or SO4 (as S). [-]
    ion_mg_l : float or array of shape (n,)
        Concentration as the ion or oxide. [mg/L], 0 to 1e+06.

    Returns
    -------
    float or array of shape (n,)
        Concentration as the element. [mg/L]

    Raises
    ------
    InputError
        If the ion is not one of these.
    OutOfRangeError
        If the concentration lies outside its range.

    References
    ----------
    molmass for the atomic masses (keys from sources.py).

    Examples
    --------
    >>> round(element_from_ion("NO3", 10.0), 2)
    2.26
    """
    return plain(within(_ION_MG_L, ion_mg_l) * _element_share(ion))


def _element_share(ion: str) -> float:
    """Share of the mass of an ion or oxide that is its element."""
    element = ELEMENTS[one_of(_ION, ion)]
    return atoms_of(ion)[element] * ATOMIC_MASSES[element] / molar_mass_g_mol(ion)


@calculator(title="Two salts in one stock bottle", sources=("common_practice",),
            outputs=(Output("verdict", "together"), Output("reason", "why")), inputs=(_FIRST, _SECOND), cautions=("dry_salts",))
def stock_pairing(first_salt: str, second_salt: str) -> StockPairing:
    """Whether two salts may be dissolved in one stock bottle.

    Known conflicts: calcium with sulphate, phosphate or carbonate, and iron with phosphate. In the tank, a thousand times thinner, the same
    salts get along.

    Parameters
    ----------
    first_salt : str
        One salt, by its formula with the water in its crystals. [-]
    second_salt : str
        The other salt. [-]

    Returns
    -------
    StockPairing
        verdict (`keep apart` or `no conflict known`) and reason.

    Raises
    ------
    InputError
        If a salt is not in the table, or its crystal water is left open.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> stock_pairing("Ca(NO3)2.4H2O", "MgSO4.7H2O").verdict
    'keep apart'
    """
    rows = salt(first_salt, _FIRST), salt(second_salt, _SECOND)
    parts = [{ion for ion, _ in row.ions} for row in rows]
    for one, other, happens in _CONFLICTS:
        for ours, theirs in (parts, parts[::-1]):
            if one & ours and other & theirs:
                return StockPairing("keep apart", f"In a strong solution {happens}.")
    return StockPairing("no conflict known", "Mix a little first and let it stand for a day: it must stay clear.")
