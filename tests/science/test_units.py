"""The conversion for numbers, lists and arrays beside the formulas; its table is verified in tests/test_units.py."""

import numpy as np
import pytest

from checking import agrees
from fairtank import units as table
from fairtank.errors import InputError
from fairtank.science import units


@pytest.mark.published(entry="units", source="arithmetic", where="definitions: 10 mg/L CaO, 231 cubic inches, 1 grain by 1 imperial gallon")
@pytest.mark.parametrize(("value", "old", "new", "printed"), [
    (1, "dKH", "mg/L CaCO3", "17.848"), (1, "dGH", "fH", "1.7848"), (1, "dKH", "e", "1.2522"), (1, "dKH", "meq/L", "0.356650"),
    (1, "dGH", "mmol/L", "0.178325"), (1, "US gal", "L", "3.785412"), (1, "imp gal", "L", "4.54609"), (77, "degF", "degC", "25.0"),
    (1, "in", "cm", "2.54"), (1, "mS/cm", "uS/cm", "1000"),
])  # fmt: skip
def test_a_number_equals_its_printed_conversion(value, old, new, printed):
    told = units.convert(value, old, new)
    assert isinstance(told, float)
    assert agrees(told, printed)


@pytest.mark.parametrize("many", [[0.0, 4, 12.5], (0, 4, 12.5), np.array([[0.0, 4, 12.5]])])
@pytest.mark.parametrize(("old", "new"), [("dKH", "meq/L"), ("degF", "degC"), ("US gal", "US gal")])
def test_lists_and_arrays_give_arrays_of_the_same_numbers(many, old, new):
    told = units.convert(many, old, new)
    assert isinstance(told, np.ndarray)
    assert told.shape == np.shape(many)
    assert told.ravel().tolist() == [table.convert(float(one), old, new) for one in np.ravel(many)]
    assert units.convert(told, new, old) == pytest.approx(np.asarray(many, dtype=float), abs=1e-12)


def test_a_missing_number_stays_missing_and_the_given_array_as_it_was():
    given = np.array([1.0, np.nan])
    assert np.isnan(units.convert(given, "L", "US gal")).tolist() == [False, True]
    assert given[0] == 1.0


@pytest.mark.parametrize(("value", "told"), [
    ("4", "'4'"), ("four", "'four'"), (None, "not a number"), ([1, None], "not a number"), (["1"], "not a number"),
    ([[1, 2], [3]], "not a number"),
])  # fmt: skip
def test_what_is_not_made_of_numbers_is_refused(value, told):
    with pytest.raises(InputError, match=f"^value is {told}; accepted: a number, or a list or an array of numbers"):
        units.convert(value, "dKH", "meq/L")


def test_unknown_units_and_mixed_quantities_are_refused_as_by_the_table():
    with pytest.raises(InputError, match=r"from_unit is gallon; accepted: .*US gal, imp gal"):
        units.convert([1.0], "gallon", "L")
    with pytest.raises(InputError, match="to_unit is L; accepted: a unit of hardness"):
        units.convert(1.0, "dKH", "L")
