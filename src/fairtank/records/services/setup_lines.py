"""Lines of a setup as forms send them: one table of setup.toml each, checked by the checks of that file, refused field by field."""

import tomllib
from collections.abc import Iterable
from typing import Any

from fairtank import build
from fairtank.build import Setup
from fairtank.errors import FairtankError, Problem
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.setup_toml_parts import material_from, tanks_from
from fairtank.records.folder.setup_toml_section import SetupSection
from fairtank.records.folder.setup_toml_writer import text_from_setup
from fairtank.records.folder.toml_section import KEY_MISSING

Table = dict[str, Any]


class LineRefused(FairtankError):
    """A line that cannot be used. sentences: what is wrong, by the key it is said at; under an empty key what is about none."""

    def __init__(self, sentences: dict[str, str]) -> None:
        self.sentences = sentences
        super().__init__("\n".join(sentences.values()))


def tank_checked(table: Table) -> build.Tank:
    """A tank from one table as setup.toml has it; the very checks of that file.

    Raises
    ------
    LineRefused
        With every problem.
    """
    problems = Problems()
    section = SetupSection("[[tank]] 1", table, problems)
    tanks = tanks_from(section)
    section.leftovers()
    refuse(problems, "[[tank]] 1")
    return tanks[0]


def material_checked(table: Table) -> build.Material:
    """A material from one table as setup.toml has it.

    Raises
    ------
    LineRefused
        With every problem.
    """
    problems = Problems()
    section = SetupSection("[[material]] 1", table, problems)
    material = material_from(section)
    section.leftovers()
    refuse(problems, "[[material]] 1")
    return material


def refuse(problems: Problems, place: str) -> None:
    """Raise what was found, if anything was."""
    if problems:
        raise LineRefused(sentences_at(problems.as_error().problems, place))


def sentences_at(problems: Iterable[Problem], place: str) -> dict[str, str]:
    """What is wrong, by the key it is said at: problems of the table at `place` by its keys, all others together under an empty key.

    >>> problem = Problem("setup.toml", None, "[[water]] 1, tap, gh_dgh", "the key is missing", "a number")
    >>> sentences_at([problem], "[[water]] 1")
    {'tap.gh_dgh': 'This is missing; accepted: a number.'}
    """
    said: dict[str, list[str]] = {}
    for problem in problems:
        column = problem.column or ""
        is_here = column.startswith(f"{place}, ")
        key = column.removeprefix(f"{place}, ").replace(", ", ".") if is_here else ""
        read = "this is missing" if problem.read == KEY_MISSING else problem.read
        words = f"{read}; accepted: {problem.accepted}." if problem.accepted else f"{read}."
        said.setdefault(key, []).append(words[:1].upper() + words[1:] if is_here else f"{column}: {words}" if column else words)
    return {key: " ".join(sentences) for key, sentences in said.items()}


def tank_table(tank: build.Tank) -> Table:
    """A tank as one table of setup.toml."""
    return _tables(Setup(tanks=(tank,), places=(), weeks=1.0), "tank")[0]


def material_table(material: build.Material) -> Table:
    """A material as one table of setup.toml."""
    return _tables(Setup(tanks=(), places=(), weeks=1.0, materials=(material,)), "material")[0]


def _tables(setup: Setup, head: str) -> list[Table]:
    found: list[Table] = tomllib.loads(text_from_setup(setup))[head]
    return found
