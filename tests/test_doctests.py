"""The examples in the docstrings of floors 0 to 3 run and give what they show."""

import doctest
import importlib
import sys
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src"
ROOMS = ("errors", "names", "units", "sources", "registry", "card", "trial", "science", "planning", "vision", "inference", "simulation",
         "publish")


def module_names():
    """Every module of floors 0 to 3, as `fairtank.science.vessel`."""
    names = []
    for path in sorted((SOURCE / "fairtank").rglob("*.py")):
        parts = path.relative_to(SOURCE).with_suffix("").parts
        if len(parts) > 1 and parts[1] in ROOMS and parts[-1] != "__main__":
            names.append(".".join(parts).removesuffix(".__init__"))
    return names


@pytest.mark.parametrize("name", module_names())
def test_examples_give_what_they_show(name):
    module = importlib.import_module(name)
    result = doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.failed == 0


def test_the_examples_are_many():
    """A mistake in the list of modules would otherwise pass unseen."""
    finder = doctest.DocTestFinder()
    modules = [importlib.import_module(name) for name in ("fairtank.units", "fairtank.science.vessel", "fairtank.science.colour")]
    assert sum(len(test.examples) for module in modules for test in finder.find(module)) >= 10
    assert sys.modules["fairtank.units"]
