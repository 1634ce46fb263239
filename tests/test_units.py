"""The table of unit factors, verified against a general-purpose unit library and against printed hardness factors."""

import itertools

import pytest

from checking import agrees, every
from fairtank.errors import InputError
from fairtank.units import ALIASES, UNITS, convert, quantity_from_text, unit_from_text, units_like

# Our names in the library's words; the trade's own units are unknown to it.
PINT_NAMES = {
    "L": "liter", "mL": "milliliter", "m3": "meter ** 3", "US gal": "US_liquid_gallon", "imp gal": "imperial_gallon",
    "US fl oz": "US_fluid_ounce", "imp fl oz": "imperial_fluid_ounce",
    "cm": "centimeter", "mm": "millimeter", "m": "meter", "nm": "nanometer", "in": "inch", "ft": "foot",
    "m2": "meter ** 2", "cm2": "centimeter ** 2", "mm2": "millimeter ** 2", "ft2": "foot ** 2", "in2": "inch ** 2",
    "g": "gram", "kg": "kilogram", "mg": "milligram", "t": "metric_ton", "lb": "pound", "oz": "ounce",
    "kg/L": "kilogram / liter", "g/mL": "gram / milliliter", "g/cm3": "gram / centimeter ** 3", "kg/m3": "kilogram / meter ** 3",
    "lb/ft3": "pound / foot ** 3", "kg/m2": "kilogram / meter ** 2", "g/m2": "gram / meter ** 2",
    "g/mol": "gram / mole", "kg/mol": "kilogram / mole",
    "mg/g": "milligram / gram", "g/kg": "gram / kilogram", "g/100 g": "gram / hectogram",
    "h": "hour", "s": "second", "min": "minute", "d": "day", "week": "week",
    "1/d": "1 / day", "1/h": "1 / hour", "1/week": "1 / week", "1/m": "1 / meter", "1/cm": "1 / centimeter",
    "degC": "degC", "degF": "degF", "K": "kelvin",
    "uS/cm": "microsiemens / centimeter", "mS/cm": "millisiemens / centimeter",
    "mg/L": "milligram / liter", "ug/L": "microgram / liter", "g/L": "gram / liter",
    "kPa": "kilopascal", "atm": "standard_atmosphere", "hPa": "hectopascal", "mbar": "millibar", "bar": "bar", "MPa": "megapascal",
    "kN/m2": "kilonewton / meter ** 2", "mmHg": "millimeter_Hg", "inHg": "inch_Hg", "psi": "pound_force_per_square_inch",
    "N": "newton", "kN": "kilonewton",
    "L/h": "liter / hour", "L/min": "liter / minute", "mL/min": "milliliter / minute", "US gal/h": "US_liquid_gallon / hour",
    "imp gal/h": "imperial_gallon / hour",
    "mg/h": "milligram / hour", "g/h": "gram / hour", "mg/d": "milligram / day", "g/d": "gram / day",
    "cm/h": "centimeter / hour", "m/d": "meter / day", "mm/s": "millimeter / second", "cm/s": "centimeter / second",
    "W": "watt", "mW": "milliwatt", "kW": "kilowatt", "kWh": "kilowatt_hour", "Wh": "watt_hour",
    "A": "ampere", "mA": "milliampere", "V": "volt", "mV": "millivolt",
    "umol/m2/s": "micromole / meter ** 2 / second", "mol/m2/d": "mole / meter ** 2 / day", "lux": "lux", "klx": "kilolux",
    "": "dimensionless", "%": "percent", "ppm": "ppm",
}
# Counted as another substance: its formula, and how often the counted atom stands in it.
FORMULAS = {
    "mg/L N": ("N", 1), "mg/L NO3": ("NO3", 1), "mg/L NO2": ("NO2", 1), "mg/L NH4": ("NH4", 1), "mg/L NH3": ("NH3", 1),
    "mg/L P": ("P", 1), "mg/L PO4": ("PO4", 1), "mg/L P2O5": ("P2O5", 2), "mg/L K": ("K", 1), "mg/L K2O": ("K2O", 2),
}


@pytest.fixture(scope="module")
def registry():
    import pint

    return pint.UnitRegistry()


def test_every_unit_is_verified_somewhere_in_this_file():
    hardness = {name for name, unit in UNITS.items() if unit.quantity == "hardness"}
    assert set(PINT_NAMES) | set(FORMULAS) | hardness == set(UNITS)


@pytest.mark.published(source="arithmetic", where="pint 0.25, Quantity(value, old).to(new)", entry="units")
@every(("old", "new"), [
    (old, new) for old, new in itertools.permutations(PINT_NAMES, 2) if UNITS[old].quantity == UNITS[new].quantity
])
def test_conversions_equal_those_of_a_unit_library(registry, old, new):
    expected = registry.Quantity(41.5, PINT_NAMES[old]).to(PINT_NAMES[new]).magnitude
    assert convert(41.5, old, new) == pytest.approx(expected, rel=1e-12)


@pytest.mark.published(source="arithmetic", where="molar masses by molmass", entry="units")
@every(("old", "new"), [
    (old, new) for old, new in itertools.permutations(FORMULAS, 2) if UNITS[old].quantity == UNITS[new].quantity
])
def test_forms_of_a_nutrient_are_converted_by_molar_mass(old, new):
    import molmass

    (old_formula, old_count), (new_formula, new_count) = FORMULAS[old], FORMULAS[new]
    atoms = old_count / molmass.Formula(old_formula).mass / (new_count / molmass.Formula(new_formula).mass)
    assert convert(3.0, old, new) == pytest.approx(3.0 * atoms, rel=2e-5)


@pytest.mark.published(source="arithmetic", where="molar masses: NO3 = 4.4268 N; NH4 = 1.2878 N; PO4 = 3.0662 P ...", entry="units")
@pytest.mark.parametrize(("old", "new", "printed"), [
    ("mg/L N", "mg/L NO3", "4.4268"), ("mg/L N", "mg/L NO2", "3.2845"), ("mg/L N", "mg/L NH4", "1.2878"), ("mg/L N", "mg/L NH3", "1.2159"),
    ("mg/L P", "mg/L PO4", "3.0662"), ("mg/L P2O5", "mg/L P", "0.43642"), ("mg/L P2O5", "mg/L PO4", "1.33815"),
    ("mg/L K2O", "mg/L K", "0.83015"),
])  # fmt: skip
def test_forms_of_a_nutrient_equal_the_printed_factors(old, new, printed):
    assert agrees(convert(1.0, old, new), printed)


@pytest.mark.published(source="arithmetic", where="definitions: 1 grain by 1 US gallon; 1 atm; 1 lb; 1 ft", entry="units")
@pytest.mark.parametrize(("old", "new", "printed"), [
    ("gr/US gal", "mg/L CaCO3", "17.118"), ("atm", "hPa", "1013.25"), ("atm", "mmHg", "760.00"), ("atm", "psi", "14.696"),
    ("inHg", "hPa", "33.864"), ("lb", "oz", "16.000"), ("ft", "in", "12.000"), ("US gal", "US fl oz", "128.00"),
    ("imp gal", "imp fl oz", "160.00"), ("degF", "K", "255.928"), ("lb/ft3", "kg/L", "0.016018"),
])  # fmt: skip
def test_further_units_equal_their_printed_definitions(old, new, printed):
    assert agrees(convert(1.0, old, new), printed)


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


@every(("old", "new"), [
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
    with pytest.raises(InputError, match="to_unit is a pure number; accepted: a unit of hardness: meq/L"):
        convert(1.0, "dKH", "")


@pytest.mark.parametrize(("value", "told"), [
    ("4", "'4'"), ("four", "'four'"), ("", "''"), (None, "not a number"), ([1.0, 2.0], "not a number"), ((1.0,), "not a number"),
])
def test_a_value_that_is_no_number_is_refused(value, told):
    with pytest.raises(InputError, match=f"^value is {told}; accepted: a number or an array of numbers"):
        convert(value, "dKH", "meq/L")


@pytest.mark.parametrize("unit", [None, ["L"], 3])
def test_a_unit_that_is_no_word_is_refused(unit):
    with pytest.raises(InputError, match=r"^from_unit is not a word; accepted: meq/L, "):
        convert(1.0, unit, "L")
    with pytest.raises(InputError, match=r"^to_unit is not a word; accepted: meq/L, "):
        convert(1.0, "L", unit)


def test_units_of_one_quantity_are_told_by_name():
    assert units_like("lux") == ("lux", "klx")
    assert units_like("") == ("%", "ppm")


@every(("written", "name"), [
    ("°C", "degC"), ("° C", "degC"), ("C", "degC"), ("°F", "degF"), ("µS/cm", "uS/cm"), ("μS/cm", "uS/cm"), ("m²", "m2"), ("m³", "m3"),
    ("µmol m⁻² s⁻¹", "umol/m2/s"), ("umol/m2/s", "umol/m2/s"), ("mol m⁻² d⁻¹", "mol/m2/d"), ("µg/L", "ug/L"), ("l", "L"), ("ml", "mL"),
    ("mg/l", "mg/L"), ("mg/L NO₃", "mg/L NO3"), ("kN/m²", "kN/m2"), ("gallon US", None), ("US gallons", "US gal"), ("US  gal", "US gal"),
    ("°dKH", None), ("dkh", "dKH"), ("litres", "L"), ("per day", "1/d"), ("%", "%"), ("", ""), (" ", ""), ("lx", "lux"),
])  # fmt: skip
def test_a_unit_is_known_as_people_and_displays_write_it(written, name):
    if name is None:
        with pytest.raises(InputError, match=f"the unit is {written}; accepted: one of the .* units of the table, such as L, US gal"):
            unit_from_text(written)
    else:
        assert unit_from_text(written) == name


def test_every_alias_leads_to_a_unit_and_hides_none():
    assert set(ALIASES.values()) <= set(UNITS)
    assert not set(ALIASES) & set(UNITS)
    assert [written for written, name in ALIASES.items() if unit_from_text(written) != name] == []


@pytest.mark.parametrize(("written", "told"), [
    ("gal", "Write US gal or imp gal"), ("gallons", "Write US gal or imp gal"), ("dH", "Write dGH for general hardness or dKH"),
    ("°dH", "Write dGH for general hardness or dKH"), ("gph", "Write US gal/h or imp gal/h"), ("fl oz", "Write US fl oz or imp fl oz"),
    ("mol/L", "Write mmol/L or meq/L"),
])  # fmt: skip
def test_a_unit_that_means_several_things_is_refused_with_what_to_write(written, told):
    with pytest.raises(InputError, match=f"the unit is {written}; accepted: a unit that means one thing. {told}"):
        unit_from_text(written)


@every("name", [name for name in UNITS if name])
def test_a_number_with_any_unit_of_the_table_is_read(name):
    assert quantity_from_text(f"2.5 {name}") == (2.5, name)
    joined = f" -2e1{name[1:] if name.startswith('1/') else name} "  # -2e1/d
    assert quantity_from_text(joined) == (-20.0, name)


@every(("text", "number", "unit"), [
    ("5 US gal", 5.0, "US gal"), ("7", 7.0, ""), ("78degF", 78.0, "degF"), ("78°F", 78.0, "degF"), ("50 %", 50.0, "%"), (".5", 0.5, ""),
    ("5.", 5.0, ""), ("+3", 3.0, ""), ("−40 degC", -40.0, "degC"), ("1e3 lux", 1000.0, "lux"), ("5 e", 5.0, "e"), ("5e", 5.0, "e"),
    ("1e2e", 100.0, "e"), ("24\u00a0in", 24.0, "in"),
])  # fmt: skip
def test_a_quantity_is_read_as_it_is_typed(text, number, unit):
    assert quantity_from_text(text) == (number, unit)


@pytest.mark.parametrize(("text", "told"), [
    ("7,5 dGH", r"the value is 7,5 dGH; accepted: a number, with or without a unit\. Write decimals with a point: 7\.5 dGH"),
    ("7,5", r"the value is 7,5; .* Write decimals with a point: 7\.5"),
    ("seven", r"the value is seven; accepted: a number, with or without a unit\. Write decimals with a point\."),
    ("", r"the value is empty; accepted: a number"),
    ("5 gal", r"the unit is gal; .* Write US gal or imp gal"),
    ("5 buckets", r"the unit is buckets; accepted: one of the .* units"),
    ("1,2,3", r"the value is 1,2,3; .* Write one number, its decimals with a point\."),
])  # fmt: skip
def test_a_quantity_that_cannot_be_read_is_refused(text, told):
    with pytest.raises(InputError, match=told):
        quantity_from_text(text)


def test_every_input_and_output_of_the_calculators_has_a_unit_of_the_table():
    from fairtank.registry import entries

    for entry in entries("calculator"):
        told = [(declared.name, declared.unit) for declared in (*entry.inputs, *entry.outputs)]
        for name, unit in (*told, ("the result", entry.unit)):
            assert unit_from_text(unit) in UNITS, f"{entry.key}: {name} [{unit}]"
