"""Every worked example is computed anew, and the page that lists them is current."""

import importlib
import importlib.util
from functools import cache
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest

from checking import agrees, every
from fairtank.sources import SOURCES
from inference.worked.examples import EXAMPLES, LEFT_OUT
from inference.worked.nouns import KINDS

ROOT = Path(__file__).resolve().parents[3]


def mark_of(example):
    """A recalled example is held to what it gave; all others to what somebody else printed."""
    if example.kind == "recalled":
        return pytest.mark.as_it_was(f"recalled, not read: {example.source}, {example.where}; 2026-11-25")
    return pytest.mark.published(entry=example.entry, source=example.source, where=example.where)


@pytest.mark.parametrize(("example", "number"), [
    pytest.param(example, number, id=f"{example.name} {number.what}", marks=mark_of(example))
    for example in EXAMPLES for number in example.numbers
])
def test_a_worked_example_gives_the_printed_number(example, number):
    assert agrees(number.compute(), number.published)


@every("example", EXAMPLES, ids=[example.name for example in EXAMPLES])
def test_a_worked_example_says_what_it_checks_and_where_its_numbers_come_from(example):
    assert example.name.endswith(".")
    assert example.where
    assert example.kind in KINDS
    assert example.source in SOURCES
    assert not example.data or example.data in SOURCES
    assert not example.note or example.note.endswith(".")
    if example.entry:
        module, _, function = example.entry.rpartition(".")
        assert callable(getattr(importlib.import_module(f"fairtank.inference.{module}"), function))


def test_no_worked_example_stands_twice():
    names = [example.name for example in EXAMPLES]
    assert len(set(names)) == len(names)
    for example in EXAMPLES:
        assert len({number.what for number in example.numbers}) == len(example.numbers)


def test_what_is_left_out_has_its_reason():
    assert LEFT_OUT
    assert all(reason.endswith(".") for reason in LEFT_OUT.values())


@cache
def script():
    """The script scripts/checks as a module."""
    loader = SourceFileLoader("fairtank_checks_script", str(ROOT / "scripts" / "checks"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    loader.exec_module(module)
    return module


def test_the_page_of_worked_examples_is_current():
    assert script().PAGE.read_text(encoding="utf-8") == script().page(), "docs/methods/checks.md is out of date; run scripts/checks"


def test_a_number_that_does_not_agree_is_said_so_on_the_page():
    example = EXAMPLES[0]
    row = script().row(type(example.numbers[0])("t", "1.25", lambda: 1.3))
    assert row == ("t", "1.25", "1.3000", "**no**")


@pytest.mark.parametrize(("printed", "value", "shown"), [
    ("863", 863.0, "863"), ("35", 35.25, "35.25"), ("0.0286", 2 / 70, "0.028571"), ("-3.36", -3.3654832, "-3.3655"),
    ("2.69e-5", 2.6933e-5, "0.000026933"),
])
def test_a_computed_number_shows_two_more_digits_than_the_printed_one(printed, value, shown):
    assert script().shown(value, printed) == shown
