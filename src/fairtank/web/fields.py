"""The form of a calculator: one field for each input, what was typed in it, and what is said at it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fairtank.bench.asking import Read, input_of, read, reworded
from fairtank.bench.inputs import ONE, ROWS, example_values, is_counted, taken_by, units_taken, usual_reading, value_words
from fairtank.errors import FairtankError, InputError
from fairtank.publish.calc_words import printed_unit, short_labels, value_text
from fairtank.publish.numbers import shown
from fairtank.registry import Entry, Input
from fairtank.science.ranges import accepted_range
from fairtank.units import UNITS

# What stands before the name of an input in the address. No input is called so, because a name holds no hyphen.
NUMBER, ERROR = "number-", "error-"
_BEYOND = 1e6
_EXACT = re.compile(r"0*\.?0*|exact(ly)?")
_SIGN = re.compile(r"^(±|\+\s?/?\s?-)\s*")


@dataclass(frozen=True)
class Option:
    """One word of a select: what is sent, what is shown, whether it is chosen."""

    value: str
    words: str
    is_chosen: bool


@dataclass(frozen=True)
class Field:
    """One input on the page.

    kind: `number`, `list`, `rows`, `word`, or `word_or_number`, which has a number field of its own beside the words. text, number, error:
    what was typed for the value, the number beside words, and the reading error. accepted, units, usual: what may be typed, the other units
    and how far a usual reading is off, in words; usual is empty where none is declared. refusal: a sentence; empty without one.
    """

    name: str
    label: str
    unit: str
    kind: str
    text: str
    number: str
    error: str
    options: tuple[Option, ...]
    accepted: str
    units: str
    usual: str
    refusal: str = ""

    @property
    def hint(self) -> str:
        """One line below the field: what it accepts, in which other units, and how far a usual reading is off."""
        lists = {"list": "Numbers with commas between them", "rows": "Rows of numbers with commas between them, one row a line"}
        taken = [lists[self.kind]] if self.kind in lists else []
        taken += [self.accepted] if self.accepted else []
        taken += [f"also in {self.units}"] if self.units else []
        told = f"{'; '.join(taken)}." if taken else ""
        return f"{told} Usual reading {self.usual}.".strip() if self.usual else told

    @property
    def said_by(self) -> str:
        """Which elements of the page say something of the field, by their ids."""
        return " ".join(f"{part}-{self.name}" for part in ("refusal", "hint") if getattr(self, part))


@dataclass(frozen=True)
class Form:
    """What stands in the fields of a calculator, and the texts that were made of it.

    typed: what stands in each field, by its name in the address. texts: by the name of the input, with the reading error behind the value;
    what stands at its default is left out. is_example: nothing was typed, the values are those of the example.
    """

    entry: Entry
    typed: Mapping[str, str]
    texts: Mapping[str, str]
    known: Read
    is_example: bool


def form_of(entry: Entry, query: Mapping[str, str]) -> Form:
    """The form as somebody sent it; with the example's values where nothing was sent."""
    names = {declared.name for declared in entry.inputs}
    is_example = not any(name in query or f"{NUMBER}{name}" in query for name in names)
    typed = _example(entry) if is_example else _sent(entry, query)
    texts = {declared.name: text for declared in entry.inputs if (text := _text(declared, typed))}
    return Form(entry, typed, texts, read(entry, texts), is_example)


def _example(entry: Entry) -> dict[str, str]:
    """The values of the docstring's example, and the defaults."""
    values = example_values(entry)
    typed = {}
    for declared in entry.inputs:
        value = values.get(declared.name, "" if declared.default is None else declared.default)
        name = f"{NUMBER}{declared.name}" if declared.choices and not isinstance(value, str) else declared.name
        typed[name] = _as_typed(value)
    return typed


def _as_typed(value: Any) -> str:
    if isinstance(value, (list, tuple)):
        inner = [_as_typed(part) for part in value]
        return "; ".join(inner) if any(isinstance(part, (list, tuple)) for part in value) else ", ".join(inner)
    return value if isinstance(value, str) else value_words(value) if float(value_words(value)) == value else repr(value)


def _sent(entry: Entry, query: Mapping[str, str]) -> dict[str, str]:
    """What was sent, fit to be shown: without control signs, rows parted by semicolons, a number out of the words' field."""
    typed = {}
    for declared in entry.inputs:
        default = "" if declared.default is None else value_words(declared.default)
        for name in (declared.name, f"{NUMBER}{declared.name}", f"{ERROR}{declared.name}"):
            text = query.get(name, default if name == declared.name else "")
            typed[name] = shown(re.sub(r"[\r\n]+", "; ", text.strip())) if taken_by(entry, declared) == ROWS else shown(text)
        if declared.choices and declared.low is not None and re.match(r"[-+−]?\.?\d", typed[declared.name]):
            typed[f"{NUMBER}{declared.name}"], typed[declared.name] = typed[declared.name], default
    return typed


def _text(declared: Input, typed: Mapping[str, str]) -> str:
    """One text out of the fields of an input, as it would be typed in a terminal; empty where it stands at its default."""
    value = typed.get(f"{NUMBER}{declared.name}", "") or typed.get(declared.name, "")
    error = _SIGN.sub("", typed.get(f"{ERROR}{declared.name}", ""))
    default = "" if declared.default is None else value_words(declared.default)
    if not error or declared.error is None:
        return "" if value == default else value
    value = value or default
    if not value:
        return ""
    if _EXACT.fullmatch(error):
        return f"{value} exact"
    if re.match(r"sd\s", error):
        return f"{value} {error}"
    return f"{value} {'sd' if declared.error.kind == 'standard' else '±'} {error}"


def fields_of(form: Form, refusals: Mapping[str, str]) -> tuple[Field, ...]:
    """The fields in the order of the inputs; refusals: sentences by the names of the inputs."""
    return tuple(_field(form, declared, refusals.get(declared.name, "")) for declared in form.entry.inputs)


def _field(form: Form, declared: Input, refusal: str) -> Field:
    takes = taken_by(form.entry, declared)
    kind = "number" if takes == ONE else "rows" if takes == ROWS else "list"
    if declared.choices:
        kind = "word" if declared.low is None else "word_or_number"
    text = form.typed.get(declared.name, "")
    return Field(
        name=declared.name, label=declared.label, unit=printed_unit(declared.unit), kind=kind,
        text=text.replace("; ", "\n") if kind == "rows" else text,
        number=form.typed.get(f"{NUMBER}{declared.name}", ""), error=form.typed.get(f"{ERROR}{declared.name}", ""),
        options=_options(declared, text) if declared.choices else (),
        accepted=_accepted(declared),
        units=", ".join(_other_units(declared)),
        usual=usual_reading(declared).removeprefix("usual reading "), refusal=refusal,
    )  # fmt: skip


def _other_units(declared: Input) -> list[str]:
    """The other units that a keeper may read it in; those for things ten thousand times as large or small are not named."""
    own, *others = units_taken(declared) if declared.unit else ("", *units_taken(declared))
    near = [unit for unit in others if own == "" or 1e-4 < UNITS[unit].factor / UNITS[own].factor < 1e4]
    return [re.sub(r"^u(?=[gSm])", "µ", re.sub(r"(?<=[a-z])([23])\b", lambda power: "²³"[int(power[1]) - 2], printed_unit(unit)))
            for unit in near]


def _options(declared: Input, text: str) -> tuple[Option, ...]:
    """The words, with the one that was typed chosen; one that is unknown stands there too, so that it can be seen."""
    bare = re.sub(r"[\s_-]", "", text).casefold()
    found = [Option(choice, value_text(choice), re.sub(r"[\s_-]", "", choice).casefold() == bare) for choice in declared.choices]
    if not any(option.is_chosen for option in found):
        found.insert(0, Option(text, text[:60] or "choose one", True))
    return tuple(found)


def _accepted(declared: Input) -> str:
    """The numbers that an input accepts; ranges that end farther off than anybody goes are told without their ends."""
    low, high = declared.low, declared.high
    if low is None or high is None:
        return ""
    if is_counted(declared):
        return f"whole, {value_words(low)} or more"
    if high >= _BEYOND:
        return "any number" if low <= -_BEYOND else "more than 0" if 0 < low <= 1 / _BEYOND else f"{value_words(low)} or more"
    return f"{value_words(low)} to {value_words(high)}"


def refusals_of(form: Form) -> dict[str, str]:
    """What is said at the fields whose texts cannot be read or are missing, by the names of the inputs."""
    found = {name: sentence(form.entry, error)[1] for name, error in form.known.refused.items()}
    for declared in form.known.missing:
        found[declared.name] = f"{short_labels(form.entry)[declared.name]} is missing; accepted: {accepted_range(declared)}."
    for name, value in form.known.found.items():
        if value.is_range:
            found[name] = f"{short_labels(form.entry)[name]} is a range; accepted: one value. A range is chosen beside the picture."
    return found


def sentence(entry: Entry, error: FairtankError) -> tuple[str, str]:
    """The name of the input that a refusal is about, empty where it is about none or several; and the refusal in the words of the page."""
    labels = short_labels(entry)
    if not isinstance(error, InputError):
        return "", str(error)
    about = input_of(entry, error)
    said = reworded(entry, error, lambda declared: labels[declared.name])
    text = str(type(said)(said.name, _number_words(str(said.value)), said.accepted, said.hint))
    for name in sorted(labels, key=len, reverse=True):
        if "_" in name:  # others are plain words too
            text = re.sub(rf"\b{name}\b", lambda _, name=name: labels[name], text)  # type: ignore[misc]
    return ("" if about is None else about.name), text


def _number_words(value: str) -> str:
    """A value without the zero that a whole number has in a program: 45.0 °C is 45 °C."""
    return re.sub(r"^(-?\d+)\.0(?=$|\s)", r"\1", value)
