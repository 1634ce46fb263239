"""The table of unit factors, verified against a general-purpose unit library and against printed hardness factors."""

import itertools

import pytest

from checking import agrees
from fairtank.errors import InputError
from fairtank.units import UNITS, convert

# Our names in the library's words; hardness units are unknown to it.
PINT_NAMES = {
    "L": "liter", "mL": "milliliter", "US gal": "US_liquid_gallon", "imp gal": "imperial_gallon", "cm": "centimeter", "mm": "millimeter",
    "in": "inch", "g": "gram", "kg": "kilogram", "lb": "pound", "degC": "degC", "degF": "degF",
    "uS/cm": "microsiemens / centimeter", "mS/cm": "millisiemens / centimeter",
}


@pytest.fixture(scope="module")
def registry():
    import pint

    return pint.UnitRegistry()


def test_every_unit_is_verified_somewhere_in_this_file():
    hardness = {name for name, unit in UNITS.items() if unit.quantity == "hardness"}
    assert set(PINT_NAMES) | hardness == set(UNITS)


@pytest.mark.published(source="arithmetic", where="pint 0.25, Quantity(value, old).to(new)", entry="units")
@pytest.mark.parametrize(("old", "new"), [
    (old, new) for old, new in itertools.permutations(PINT_NAMES, 2) if UNITS[old].quantity == UNITS[new].quantity
])
def test_conversions_equal_those_of_a_unit_library(registry, old, new):
    expected = registry.Quantity(41.5, PINT_NAMES[old]).to(PINT_NAMES[new]).magnitude
    assert convert(41.5, old, new) == pytest.approx(expected, rel=1e-12)


@pytest.mark.published(source="arithmetic", where="10 mg/L CaO by molar masses 56.077 and 100.087", entry="units")
@pytest.mark.parametrize(("unit", "printed"), [
    ("mmol/L", "0.178325"), ("meq/L", "0.356650"), ("mg/L CaCO3", "17.848"), ("fH", "1.7848"), ("e", "1.2522"), ("dKH", "1"),
])
def test_one_german_degree_equals_the_printed_factors(unit, printed):
    assert agrees(convert(1.0, "dGH", unit), printed)


@pytest.mark.published(source="arithmetic", where="1 fH is 10 mg/L CaCO3; 1 e is 1 grain CaCO3 per imp gal", entry="units")
@pytest.mark.parametrize(("old", "new", "printed"), [
    ("fH", "mg/L CaCO3", "10"), ("fH", "mmol/L", "0.1"), ("fH", "meq/L", "0.2"), ("fH", "dGH", "0.56"),
    ("e", "mg/L CaCO3", "14.254"), ("meq/L", "mg/L CaCO3", "50.04"), ("meq/L", "dKH", "2.8039"),
])
def test_other_hardness_degrees_equal_the_printed_factors(old, new, printed):
    assert agrees(convert(1.0, old, new), printed)


@pytest.mark.published(source="arithmetic", where="definitions: 231 in3; 4.54609 L; 25.4 mm", entry="units")
def test_gallons_and_inches_equal_their_definitions():
    assert convert(1.0, "US gal", "L") == pytest.approx(231 * 2.54**3 / 1000, rel=1e-12)
    assert agrees(convert(55.884, "L", "US gal"), "14.76")
    assert agrees(convert(55.884, "L", "imp gal"), "12.29")
    assert convert(1.0, "in", "mm") == pytest.approx(25.4, rel=1e-12)


@pytest.mark.parametrize(("old", "new"), [
    (old, new) for old, new in itertools.permutations(UNITS, 2) if UNITS[old].quantity == UNITS[new].quantity
])
def test_there_and_back_is_where_one_started(old, new):
    assert convert(convert(7.3, old, new), new, old) == pytest.approx(7.3, rel=1e-12)


def test_an_unknown_unit_is_refused_with_the_known_ones():
    with pytest.raises(InputError, match=r"from_unit is gallon; accepted: .*US gal, imp gal"):
        convert(1.0, "gallon", "L")


def test_two_quantities_are_never_mixed():
    with pytest.raises(InputError, match="to_unit is L; accepted: a unit of hardness: meq/L"):
        convert(1.0, "dKH", "L")
