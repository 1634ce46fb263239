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


def limits_told(*tests) -> str:
    """The cell for tests given as (value, showed nothing), all of one tank of the reference."""
    content, noon = dark_break(with_photos=False), datetime(2026, 3, 1, 12)
    readings = tuple(Reading("T1", noon, day, "po4", value, "mg/L", "drops", below) for day, (value, below) in enumerate(tests))
    blocks = readings_blocks(replace(content, folder=replace(content.folder, readings=readings)), arm_looks(content.folder.plan))
    (table,) = [block for block in blocks if isinstance(block, Table)]
    return table.rows[0][1].replace("\u00a0", " ")


@pytest.mark.parametrize(("tests", "cell"), [
    ([(0.05, True)], "< 0.05 mg/L, 1 test"),
    ([(0.05, True)] * 3, "< 0.05 mg/L in all, 3 tests"),
    ([(0.05, True), (0.1, False), (0.3, False)], "0.1 (< 0.05 to 0.3 mg/L), 3 tests"),
    ([(0.05, True), (0.05, True), (0.3, False)], "< 0.05 (< 0.05 to 0.3 mg/L), 3 tests"),
    ([(0.05, True), (0.15, False)], "< 0.1 (< 0.05 to 0.15 mg/L), 2 tests"),
    ([(0.5, True), (0.1, False), (0.2, False)], "< 0.2 (0.1 to < 0.5 mg/L), 3 tests"),
    ([(0.05, True), (0.05, False)], "< 0.05 (< 0.05 to 0.05 mg/L), 2 tests"),
])
def test_a_test_that_showed_nothing_is_told_as_its_limit(tests, cell):
    assert limits_told(*tests) == cell


@pytest.mark.parametrize(("quantity", "word"), [("kh", "KH"), ("GH", "GH"), ("ph", "pH"), ("no3", "NO3"), ("temperature", "temperature"),
                                                ("silicate", "silicate")])
def test_quantities_are_called_as_keepers_write_them(quantity, word):
    assert quantity_words(quantity) == word
