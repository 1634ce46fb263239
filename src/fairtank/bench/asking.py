"""What was asked of a calculator: the texts that were typed for its inputs, read into values, ranges and reading errors, or refused."""

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from fairtank import registry
from fairtank.bench.typed import MOST_ROWS, Typed, typed
from fairtank.errors import InputError
from fairtank.registry import Entry, Input, ReadingError
from fairtank.science.calling import is_number

# What a door calls an input: an option, a label.
Naming = Callable[[Input], str]

MOST_LETTERS = 20_000
MOST_RANGES = 2
_SHOWN_LETTERS = 60


@dataclass(frozen=True)
class Asked:
    """A calculator and its inputs.

    given: single values by name. ranges: by name, in the order in which they were typed; at most two. errors: of the readings that count,
    typed or usual; typed: the errors that were typed, by name. converted: the inputs that were typed in another unit.
    """

    entry: Entry
    given: dict[str, Any]
    ranges: dict[str, Typed]
    errors: dict[str, ReadingError]
    typed: dict[str, ReadingError | None]
    converted: tuple[str, ...] = ()


@dataclass(frozen=True)
class Read:
    """The texts of a question, input by input: what was found in them, in the order in which they were typed, and what was refused."""

    entry: Entry
    found: dict[str, Typed]
    refused: dict[str, InputError]

    @property
    def missing(self) -> tuple[Input, ...]:
        """The inputs that have no text and nothing that stands in for it."""
        return tuple(declared for declared in self.entry.inputs
                     if declared.name not in {*self.found, *self.refused} and declared.default is None)


def calculator_named(name: str) -> Entry:
    """The calculator of that name; an unknown one is refused with names that come near it."""
    key = name.replace("-", "_")
    if (found := registry.entry_from_its_room("calculator", key)) is not None:  # loads one room instead of all of them
        return found
    known = {entry.key: entry for entry in registry.entries("calculator")}
    if key in known:
        return known[key]
    word = key.casefold()[:_SHOWN_LETTERS]
    near = [entry.key for entry in known.values() if word in entry.key or word in entry.title.casefold()]
    near += [other for other in difflib.get_close_matches(word, known, n=5, cutoff=0.5) if other not in near]
    hint = f"Near it: {', '.join(near[:8])}." if near else "fairtank calc lists them."
    raise InputError("calculator", name, "a name that fairtank calc lists", hint)


def read(entry: Entry, texts: Mapping[str, str]) -> Read:
    """The texts by the names of the inputs, each read or refused by itself; names that are no input are passed over."""
    inputs = {declared.name: declared for declared in entry.inputs}
    found, refused = {}, {}
    for name, text in texts.items():
        if name not in inputs:
            continue
        try:
            found[name] = typed(entry, inputs[name], _held(inputs[name], text))
        except InputError as error:
            refused[name] = InputError(name, _cut(str(error.value)), error.accepted, error.hint)
    return Read(entry, found, refused)


def _held(declared: Input, text: str) -> str:
    """The text with single spaces, refused where it is longer than anything that is typed by hand."""
    if len(text) > MOST_LETTERS:
        raise InputError(declared.name, f"{len(text)} letters long", f"at most {MOST_LETTERS} letters")
    return " ".join(text.split())


def _cut(value: str) -> str:
    return value if len(value) <= _SHOWN_LETTERS else f"{value[:_SHOWN_LETTERS]}…"


def asked(known: Read, naming: Naming = lambda declared: declared.name) -> Asked:
    """The question that the texts make together.

    Raises
    ------
    InputError
        If a text was refused or is missing, if more than two inputs are ranges, or if they have too many values together.
    """
    for refusal in known.refused.values():
        raise refusal
    for declared in known.missing:
        raise InputError(declared.name, "missing", "a value")
    given: dict[str, Any] = {}
    ranges: dict[str, Typed] = {}
    converted = []
    for name, found in known.found.items():
        if found.is_range:
            ranges[name] = found
            continue
        given[name] = found.value
        if found.shown_unit:
            converted.append(name)
    _refuse_too_many(known.entry, ranges, naming)
    errors = {name: found.error if found.error.size else None for name, found in known.found.items() if found.error is not None}
    counting = {declared.name: error for declared in known.entry.inputs
                if (error := errors.get(declared.name, declared.error)) is not None and _is_read(declared, given, ranges)}
    return Asked(known.entry, given, ranges, counting, errors, tuple(converted))


def reworded(entry: Entry, error: InputError, naming: Naming) -> InputError:
    """The same refusal with a door's own word for the input that it is about."""
    declared = input_of(entry, error)
    if declared is None:
        return error
    name = re.sub(rf"\b{declared.name}\b", lambda _: naming(declared), error.name)
    return type(error)(name, error.value, error.accepted, error.hint)


def input_of(entry: Entry, error: InputError) -> Input | None:
    """The input that a refusal is about: `ph` as well as `reading error of ph`; None where it is about none, or about several."""
    about = [declared for declared in entry.inputs if re.search(rf"\b{declared.name}\b", error.name)]
    return about[0] if len(about) == 1 else None


def _refuse_too_many(entry: Entry, ranges: dict[str, Typed], naming: Naming) -> None:
    if len(ranges) > MOST_RANGES:
        names = ", ".join(naming(next(declared for declared in entry.inputs if declared.name == name)) for name in ranges)
        raise InputError("the number of ranges", f"{len(ranges)} ({names})", "one or two", "Give the others one value each.")
    rows = 1
    for found in ranges.values():
        rows *= len(found.value)
    if rows > MOST_ROWS:
        raise InputError("the number of rows", rows, f"at most {MOST_ROWS}", "Take larger steps.")


def _is_read(declared: Input, given: dict[str, Any], ranges: dict[str, Typed]) -> bool:
    return declared.name in ranges or is_number(given.get(declared.name))
