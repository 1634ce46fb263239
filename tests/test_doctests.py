"""The examples in the docstrings of floors 0 to 3 run and give what they show."""

import doctest
import importlib
import sys
from pathlib import Path

import pytest

import checking

SOURCE = Path(__file__).resolve().parent.parent / "src"
ROOMS = ("errors", "names", "units", "sources", "registry", "card", "trial", "science", "planning", "vision", "inference", "simulation",
         "publish")


def module_names(room):
    """Every module of a room, as `fairtank.science.vessel`."""
    names = []
    for path in sorted((SOURCE / "fairtank").rglob("*.py")):
        parts = path.relative_to(SOURCE).with_suffix("").parts
        if len(parts) > 1 and parts[1] == room and parts[-1] != "__main__":
            names.append(".".join(parts).removesuffix(".__init__"))
    return names


def failures_in(module):
    """How many examples of a module fail, as `doctest.testmod` counts, which starts also for each docstring that has none."""
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    for found in doctest.DocTestFinder().find(module):
        if found.examples:
            runner.run(found)
    return runner.failures


@pytest.mark.parametrize("room", ROOMS)
def test_examples_give_what_they_show(room):
    names = module_names(room)
    assert names
    assert [name for name in names if failures_in(importlib.import_module(name))] == []


def test_the_helpers_of_the_tests_do_what_their_examples_show():
    """Among them the one that goes through many cases in one test: a case that fails is told."""
    result = doctest.testmod(checking)
    assert (result.failed, result.attempted >= 4) == (0, True)


def test_the_examples_are_many():
    """A mistake in the list of modules would otherwise pass unseen."""
    finder = doctest.DocTestFinder()
    modules = [importlib.import_module(name) for name in ("fairtank.units", "fairtank.science.vessel", "fairtank.science.colour")]
    assert sum(len(test.examples) for module in modules for test in finder.find(module)) >= 10
    assert sys.modules["fairtank.units"]
