"""Chemical formulas with brackets and crystal water, and the masses that follow from them."""

import re

from fairtank.errors import InputError

# Standard atomic weights [g/mol]: molmass.
ATOMIC_MASSES = {
    "H": 1.00794, "C": 12.0107, "N": 14.0067, "O": 15.9994, "Na": 22.98977, "Mg": 24.305, "P": 30.97376, "S": 32.0648, "Cl": 35.453,
    "K": 39.0983, "Ca": 40.078, "Fe": 55.845,
}
_TOKEN = re.compile(r"([A-Z][a-z]?|\(|\))(\d*)")
_PLAIN = str.maketrans({"·": ".", "•": ".", "∙": ".", "*": ".", **{chr(0x2080 + digit): str(digit) for digit in range(10)}})


def plain_formula(text: str) -> str:
    """A formula as typed, with a full stop before its crystal water, plain digits and single spaces."""
    one_spaced = " ".join(text.translate(_PLAIN).replace("(anhydrous)", " anhydrous").split())
    return re.sub(r"\s*\.\s*", ".", one_spaced)


def atoms_of(formula: str) -> dict[str, int]:
    """How many atoms of each element a formula has, such as `Ca(NO3)2.4H2O`; the word `anhydrous` behind it is skipped.

    >>> atoms_of("Ca(NO3)2.4H2O")
    {'Ca': 1, 'N': 2, 'O': 10, 'H': 8}
    """
    atoms: dict[str, int] = {}
    for part in plain_formula(formula).removesuffix(" anhydrous").split("."):
        times = re.match(r"\d*", part)
        count = times[0] if times else ""
        for element, number in _atoms_of_part(formula, part[len(count):]).items():
            atoms[element] = atoms.get(element, 0) + number * int(count or 1)
    return atoms


def _atoms_of_part(formula: str, part: str) -> dict[str, int]:
    """Atoms of a part without crystal water: every bracket opens a level that is multiplied and poured into the one below."""
    levels: list[dict[str, int]] = [{}]
    place = 0
    while place < len(part) and (found := _TOKEN.match(part, place)):
        sign, count = found[1], int(found[2] or 1)
        place = found.end()
        if sign == "(":
            if found[2]:
                break
            levels.append({})
            continue
        inner = {sign: 1} if sign != ")" else levels.pop()
        if not levels:
            break
        for element, number in inner.items():
            if element not in ATOMIC_MASSES:
                raise InputError("formula", formula, "the elements " + ", ".join(ATOMIC_MASSES))
            levels[-1][element] = levels[-1].get(element, 0) + number * count
    if place < len(part) or len(levels) != 1 or not levels[0]:
        raise InputError("formula", formula or "empty", "a formula such as Ca(NO3)2.4H2O", "Each bracket needs its partner.")
    return levels[0]


def molar_mass_g_mol(formula: str) -> float:
    """Molar mass of a formula [g/mol].

    >>> round(molar_mass_g_mol("MgSO4.7H2O"), 2)
    246.47
    """
    return sum(ATOMIC_MASSES[element] * number for element, number in atoms_of(formula).items())
