"""What was asked of a calculator: its inputs as they were typed, sorted into single values, ranges and reading errors."""

import difflib
from dataclasses import dataclass
from typing import Any

import click

from fairtank import registry
from fairtank.cli.inputs import option_of
from fairtank.cli.typed import MOST_ROWS, Typed, typed
from fairtank.errors import InputError
from fairtank.registry import Entry, Input, ReadingError
from fairtank.science.calling import is_number


@dataclass(frozen=True)
class Asked:
    """A calculator and its inputs.

    given: single values by name. ranges: by name, in the order in which they were typed; at most two. errors: of the readings that count,
    typed or usual; typed: the errors that were typed, by name.
    """

    entry: Entry
    given: dict[str, Any]
    ranges: dict[str, Typed]
    errors: dict[str, ReadingError]
    typed: dict[str, ReadingError | None]
    converted: tuple[str, ...] = ()


def calculator_named(name: str) -> Entry:
    """The calculator of that name; an unknown one is refused with names that come near it."""
    known = {entry.key: entry for entry in registry.entries("calculator")}
    key = name.replace("-", "_")
    if key in known:
        return known[key]
    word = key.casefold()
    near = [entry.key for entry in known.values() if word in entry.key or word in entry.title.casefold()]
    near += [other for other in difflib.get_close_matches(word, known, n=5, cutoff=0.5) if other not in near]
    hint = f"Near it: {', '.join(near[:8])}." if near else "fairtank calc lists them."
    raise InputError("calculator", name, "a name that fairtank calc lists", hint)


def asked(entry: Entry, words: list[str]) -> Asked:
    """The inputs of a calculator from the words after its name: `--input value`, where a value may be several words.

    Raises
    ------
    click.UsageError
        If an option is unknown, stands alone or twice, or a needed one is missing.
    InputError
        If a value cannot be read, or more than two inputs are ranges.
    """
    inputs = {option_of(declared): declared for declared in entry.inputs}
    given: dict[str, Any] = {}
    ranges: dict[str, Typed] = {}
    errors: dict[str, ReadingError | None] = {}
    converted = []
    for option, text in _pairs(entry, words, ", ".join(inputs)):
        declared = inputs.get(option.replace("_", "-"))
        if declared is None:
            raise click.UsageError(f"{entry.key} has no option {option}; its options: {', '.join(inputs)}")
        if declared.name in given or declared.name in ranges:
            raise click.UsageError(f"{option} stands there twice")
        found = typed(entry, declared, text)
        if found.error is not None:
            errors[declared.name] = found.error if found.error.size else None
        if found.is_range:
            ranges[declared.name] = found
        else:
            given[declared.name] = found.value
            if found.shown_unit:
                converted.append(declared.name)
    _refuse_missing(entry, {*given, *ranges})
    _refuse_too_many(ranges)
    counting = {declared.name: error for declared in entry.inputs
                if (error := errors.get(declared.name, declared.error)) is not None and _is_read(declared, given, ranges)}
    return Asked(entry, given, ranges, counting, errors, tuple(converted))


def _pairs(entry: Entry, words: list[str], accepted: str) -> list[tuple[str, str]]:
    """Each option with the text of its value: all words up to the next option."""
    pairs: list[tuple[str, list[str]]] = []
    for word in words:
        if word.startswith("--"):
            option, equals, text = word.partition("=")
            pairs.append((option, [text] if equals else []))
        elif pairs:
            pairs[-1][1].append(word)
        else:
            raise click.UsageError(f"{entry.key} takes options such as {accepted.split(',')[0]}, not {word}; its options: {accepted}")
    for option, texts in pairs:
        if not texts:
            raise click.UsageError(f"every option of {entry.key} takes a value, {option} has none; its options: {accepted}")
    return [(option, " ".join(texts)) for option, texts in pairs]


def _refuse_missing(entry: Entry, known: set[str]) -> None:
    missing = [declared for declared in entry.inputs if declared.name not in known and declared.default is None]
    if missing:
        wanted = "; ".join(f"{option_of(part)}: {part.label}{f' [{part.unit}]' if part.unit else ''}" for part in missing)
        raise click.UsageError(f"{entry.key} also needs {wanted}")


def _refuse_too_many(ranges: dict[str, Typed]) -> None:
    if len(ranges) > 2:
        names = ", ".join(f"--{name.replace('_', '-')}" for name in ranges)
        raise InputError("the number of ranges", f"{len(ranges)} ({names})", "one or two", "Give the others one value each.")
    rows = 1
    for found in ranges.values():
        rows *= len(found.value)
    if rows > MOST_ROWS:
        raise InputError("the number of rows", rows, f"at most {MOST_ROWS}", "Take larger steps.")


def _is_read(declared: Input, given: dict[str, Any], ranges: dict[str, Typed]) -> bool:
    return declared.name in ranges or is_number(given.get(declared.name))
