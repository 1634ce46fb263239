"""Each calculator, measure and analysis is documented, cited and checked by a test; this file says which one is not."""

import ast
import inspect
import re
from functools import cache
from pathlib import Path

import pytest

from checking import every
from fairtank import registry
from fairtank.sources import SOURCES

TESTS = Path(__file__).resolve().parent
SECTIONS = ("Parameters", "Returns", "References")
KINDS = tuple(kind for kind in registry.ROOMS if kind != "factor")  # factors have one shape: tests/planning/test_even_factors.py
ENTRIES = [pytest.param(entry, id=f"{kind}-{entry.key}") for kind in KINDS for entry in registry.entries(kind)]
CALCULATORS = [pytest.param(entry, id=entry.key) for entry in registry.entries("calculator")]


def sections_of(entry):
    """Section title -> its text; the part before the first section stands under the empty title."""
    parts = re.split(r"^(\w+)\n-{3,}\n", inspect.getdoc(entry.function) or "", flags=re.MULTILINE)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def described_arguments(entry):
    """Argument name -> its description, from the section Parameters."""
    blocks = re.split(r"^(?=\S)", sections_of(entry).get("Parameters", ""), flags=re.MULTILINE)
    described = {}
    for block in filter(str.strip, blocks):
        names, _, rest = block.partition(" : ")
        for name in names.split(","):
            described[name.strip()] = rest
    return described


@cache
def house_tests():
    """(path, marks, words) of every test function; what stands in a comment is no word of it."""
    found = []
    for path in sorted(TESTS.rglob("test_*.py")):
        text = path.read_text(encoding="utf-8")
        lines = [re.sub(r"#.*", "", line) for line in text.splitlines()]
        for node in ast.parse(text).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                first = min(part.lineno for part in (node, *node.decorator_list))
                found.append((path.relative_to(TESTS), [ast.unparse(mark) for mark in node.decorator_list],
                              frozenset(re.findall(r"\w+", "\n".join(lines[first - 1:node.end_lineno])))))
    return found


def is_held_against_a_number(marks):
    """Whether a test carries an outside number, or is said to be a regression value."""
    return any(mark.startswith(("pytest.mark.published(", "pytest.mark.as_it_was(")) for mark in marks)


def test_entries_stand_in_the_order_of_their_rooms_whatever_was_loaded_first(monkeypatch):
    def one_room_first(one):
        return one[1].function.__module__ != "fairtank.science.colour"

    first = {kind: registry.entries(kind) for kind in registry.ROOMS}
    assert first["calculator"][0].function.__module__ != "fairtank.science.colour"
    monkeypatch.setattr(registry, "_entries", dict(sorted(registry._entries.items(), key=one_room_first)))
    assert {kind: registry.entries(kind) for kind in registry.ROOMS} == first


def test_all_four_kinds_are_declared():
    assert all(registry.entries(kind) for kind in registry.ROOMS)


@every("entry", ENTRIES)
def test_the_docstring_has_all_its_sections(entry):
    needed = SECTIONS if entry.kind == "measure" else (*SECTIONS, "Raises")  # a scene that was read has no wrong value to refuse
    missing = [title for title in needed if not sections_of(entry).get(title, "").strip()]
    assert not missing, f"{entry.function.__module__}.{entry.function.__name__} has no section {', '.join(missing)}"


@every("entry", ENTRIES)
def test_every_argument_is_described_and_every_description_is_an_argument(entry):
    assert set(described_arguments(entry)) == set(inspect.signature(entry.function).parameters)


@every("entry", ENTRIES)
def test_the_summary_is_one_sentence_that_ends(entry):
    assert entry.summary.endswith("."), entry.summary
    assert entry.title
    assert "\n" not in entry.summary


@every("entry", ENTRIES)
def test_every_source_is_known_and_cited_in_the_docstring(entry):
    assert entry.sources, "no source: write arithmetic or common_practice where that is the truth"
    references = sections_of(entry).get("References", "")
    for key in entry.sources:
        assert key in SOURCES, f"{key} is not in sources.py"
        assert key in references, f"{key} is declared but not cited in the section References"


@every("entry", CALCULATORS)
def test_a_calculator_shows_an_example(entry):
    """Measures and analyses need a whole scene or plan; their examples are the tests."""
    assert ">>>" in sections_of(entry).get("Examples", "")


@every("entry", ENTRIES)
def test_a_test_holds_it_against_a_number(entry):
    """For a measure the number may also be the known truth of a rendered scene: any test of the measuring room that names it."""
    named = [(path, marks) for path, marks, words in house_tests() if entry.key in words]
    rendered = [path for path, _ in named if entry.kind == "measure" and path.parts[0] == "vision"]
    assert rendered or any(is_held_against_a_number(marks) for _, marks in named), f"no marked test names {entry.key}"


@every("entry", CALCULATORS)
def test_the_form_of_a_calculator_has_its_arguments_in_their_order(entry):
    assert [given.name for given in entry.inputs] == list(inspect.signature(entry.function).parameters)


@every("entry", CALCULATORS)
def test_the_docstring_of_a_calculator_tells_unit_and_range_of_each_argument(entry):
    for given in entry.inputs:
        told = described_arguments(entry)[given.name]
        assert re.search(rf"\[{re.escape(given.unit or '-')}\]|\[any unit", told), f"{given.name} tells no unit"
        if given.low is not None and given.high is not None:
            assert f"{given.low:g} to {given.high:g}" in told, f"{given.name}: its range is {given.low:g} to {given.high:g}"


@every("entry", CALCULATORS)
def test_the_default_in_the_form_is_the_default_of_the_function(entry):
    parameters = inspect.signature(entry.function).parameters
    for given in entry.inputs:
        default = parameters[given.name].default
        assert given.default == (None if default is inspect.Parameter.empty else default)


@every("entry", [pytest.param(entry, id=entry.key) for entry in registry.entries("measure")])
def test_a_measure_names_the_scale_it_is_judged_on(entry):
    from fairtank.trial import SCALES

    assert entry.scale in SCALES


@pytest.mark.parametrize("entry", [pytest.param(entry, id=entry.key) for entry in registry.entries("analysis")])
def test_an_analysis_names_designs_that_a_plan_can_have(entry):
    from fairtank.trial import DESIGN_KINDS

    assert entry.designs
    assert set(entry.designs) <= set(DESIGN_KINDS)


def published_keys(marks):
    """The source keys in the marks of a test that say who printed its number."""
    return {key for mark in marks for key in re.findall(r"^pytest\.mark\.published\(.*\bsource='(\w+)'", mark, flags=re.DOTALL)}


def test_no_number_counts_as_printed_by_somebody_when_it_was_recalled():
    """A value from memory is marked `as_it_was`, or held against another program or arithmetic under that key. All rooms but the pages."""
    marked = [(path, marks) for path, marks, _ in house_tests() if path.parts[0] != "web" and published_keys(marks)]
    assert {"science", "planning", "inference"} <= {path.parts[0] for path, _ in marked}
    recalled = {f"{path}: {key}" for path, marks in marked for key in published_keys(marks) if SOURCES[key].from_memory}
    assert recalled == set()
    said = {str(path) for path, marks in marked for mark in marks
            if mark.startswith("pytest.mark.published(") and re.search(r"from memory|recalled", mark)}
    assert said == set()


def test_every_source_key_that_a_test_names_is_known():
    keys = set()
    for _, marks, _ in house_tests():
        keys |= published_keys(marks)
    assert keys
    assert keys <= set(SOURCES), f"unknown: {', '.join(sorted(keys - set(SOURCES)))}"
