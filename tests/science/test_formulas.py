"""Formulas taken apart, and their molar masses, against a library of molecular masses."""

import re

import pytest

from checking import agrees, every
from fairtank.errors import InputError
from fairtank.science.formulas import ATOMIC_MASSES, atoms_of, molar_mass_g_mol, plain_formula


@pytest.mark.parametrize(("formula", "atoms"), [
    ("Ca(NO3)2.4H2O", {"Ca": 1, "N": 2, "O": 10, "H": 8}), ("MgSO4·7H2O", {"Mg": 1, "S": 1, "O": 11, "H": 14}),
    ("CO(NH2)2", {"C": 1, "O": 1, "N": 2, "H": 4}), ("CaCl2 anhydrous", {"Ca": 1, "Cl": 2}), ("NaCl", {"Na": 1, "Cl": 1}),
    ("Fe4(Fe(CN)6)3", {"Fe": 7, "C": 18, "N": 18}), ("KH2PO4", {"K": 1, "H": 2, "P": 1, "O": 4}), ("CO", {"C": 1, "O": 1}),
])
def test_every_atom_of_a_formula_is_counted(formula, atoms):
    assert atoms_of(formula) == atoms


@pytest.mark.parametrize(("typed", "plain"), [
    ("MgSO₄·7H₂O", "MgSO4.7H2O"), (" MgSO4 . 7H2O ", "MgSO4.7H2O"), ("MgSO4*7H2O", "MgSO4.7H2O"), ("CaCl2 (anhydrous)", "CaCl2 anhydrous"),
    ("CaCl2(anhydrous)", "CaCl2 anhydrous"),
])
def test_formulas_are_read_as_people_type_them(typed, plain):
    assert plain_formula(typed) == plain


@pytest.mark.parametrize("formula", ["", "Ca(NO3", "CaNO3)2", "mgso4", "2", "MgSO4.", "Ca(2)", "()", "Ca NO3", "(2Ca)"])
def test_what_is_no_formula_is_refused(formula):
    with pytest.raises(InputError, match=r"accepted: a formula such as Ca\(NO3\)2\.4H2O\. Each bracket needs its partner"):
        atoms_of(formula)


def test_an_unknown_element_is_refused():
    with pytest.raises(InputError, match=r"formula is CuSO4; accepted: the elements H, C, N, .* Fe"):
        molar_mass_g_mol("CuSO4")


@pytest.mark.published(entry="salt_gain_mg_l", source="molmass", where="molar masses of elements and ions, g/mol")
@every(("formula", "printed"), [
    ("Ca", "40.078"), ("Mg", "24.305"), ("K", "39.098"), ("Na", "22.990"), ("N", "14.007"), ("P", "30.974"), ("S", "32.065"),
    ("Cl", "35.453"), ("Fe", "55.845"), ("CO2", "44.0095"), ("O2", "31.9988"), ("HCO3", "61.017"), ("NO3", "62.005"), ("NO2", "46.006"),
    ("NH3", "17.031"), ("NH4", "18.038"), ("PO4", "94.971"), ("SO4", "96.062"), ("CaO", "56.077"), ("CaCO3", "100.087"),
])
def test_molar_masses_equal_the_printed_ones(formula, printed):
    assert agrees(molar_mass_g_mol(formula), printed)


def test_molar_masses_agree_with_the_library():
    import molmass

    for formula in (*ATOMIC_MASSES, "SO4", "CO(NH2)2", "Ca(NO3)2", "C10H12FeN2NaO8", "C14H19FeN3NaO10", "C12H22FeO14", "MgSO4(H2O)7"):
        ours = re.sub(r"\(H2O\)(\d+)", r".\1H2O", formula)
        assert molar_mass_g_mol(ours) == pytest.approx(molmass.Formula(formula).mass, rel=1e-5), formula
