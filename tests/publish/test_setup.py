"""How water tests are told."""

from dataclasses import replace
from datetime import datetime

import pytest
from invented_trials import dark_break

from fairtank.publish.arms import arm_looks
from fairtank.publish.blocks import Table
from fairtank.publish.setup import quantity_words, readings_blocks
from fairtank.trial import Reading


def told(*values, quantity="kh", unit="dKH") -> tuple[str, ...]:
    """The table's row for these values, all of one tank of the reference."""
    content = dark_break(with_photos=False)
    noon = datetime(2026, 3, 1, 12)
    readings = tuple(Reading("T1", noon, day, quantity, value, unit) for day, value in enumerate(values))
    blocks = readings_blocks(replace(content, folder=replace(content.folder, readings=readings)), arm_looks(content.folder.plan))
    (table,) = [block for block in blocks if isinstance(block, Table)]
    return tuple(cell.replace("\u00a0", " ") for cell in table.rows[0])


def test_one_test_is_one_test():
    assert told(4.0) == ("KH", "4 dKH, 1 test", "none", "0")


def test_equal_tests_have_no_range():
    assert told(4.0, 4.0, 4.0)[1] == "4 dKH in all, 3 tests"


def test_tests_that_differ_have_median_and_range():
    assert told(4.0, 5.0, 3.5)[1] == "4 (3.5 to 5 dKH), 3 tests"
    assert told(6.8, 7.0, quantity="ph", unit="")[:2] == ("pH", "6.9 (6.8 to 7), 2 tests")


@pytest.mark.parametrize(("quantity", "word"), [("kh", "KH"), ("GH", "GH"), ("ph", "pH"), ("no3", "NO3"), ("temperature", "temperature"),
                                                ("silicate", "silicate")])
def test_quantities_are_called_as_keepers_write_them(quantity, word):
    assert quantity_words(quantity) == word
