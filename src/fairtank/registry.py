"""The one list of what fairtank can compute: calculators, measures, analyses and factors, each declared where it is written.

A decorator registers a function and hands it back unchanged. Forms, commands, report columns and reference pages
are made from these entries; there is no second list.
"""

import functools
import importlib
import importlib.util
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from fairtank.errors import InputError

Function = TypeVar("Function", bound=Callable[..., Any])

# The rooms (modules) that declare entries, by kind. They are imported by name, at run time, by `entries` only:
# the one deliberate look upwards in the house.
ROOMS = {
    "calculator": (
        "fairtank.science.vessel", "fairtank.science.bed", "fairtank.science.glass", "fairtank.science.heat",
        "fairtank.science.water", "fairtank.science.co2", "fairtank.science.conductivity", "fairtank.science.salts",
        "fairtank.science.dosing", "fairtank.science.changes", "fairtank.science.gases", "fairtank.science.air",
        "fairtank.science.transfer", "fairtank.science.nitrogen", "fairtank.science.nitrification", "fairtank.science.light",
        "fairtank.science.lamps", "fairtank.science.response", "fairtank.science.growth", "fairtank.science.controls",
        "fairtank.science.cover", "fairtank.science.scales", "fairtank.science.colour", "fairtank.planning.claims",
    ),
    "measure": ("fairtank.vision.measures",),
    "analysis": ("fairtank.inference.analyses",),
    "factor": (
        "fairtank.planning.evenness.factors.glass", "fairtank.planning.evenness.factors.light", "fairtank.planning.evenness.factors.bed",
        "fairtank.planning.evenness.factors.machines", "fairtank.planning.evenness.factors.water",
        "fairtank.planning.evenness.factors.feeding", "fairtank.planning.evenness.factors.living",
        "fairtank.planning.evenness.factors.people", "fairtank.planning.evenness.factors.instruments",
    ),
}


@dataclass(frozen=True)
class ReadingError:
    """How far a reading may be off.

    size: in the unit of the reading, or as a share of it where relative. kind: `within` (the truth lies somewhere in reading ± size, all
    places equally likely: the step of a drop test) or `standard` (size is a standard deviation). instrument: what reads so. least: of a
    relative error, the size it never falls below, in the unit of the reading: the first colour step of a drop test.
    """

    size: float
    kind: str = "within"
    relative: bool = False
    instrument: str = ""
    least: float = 0.0


@dataclass(frozen=True)
class Input:
    """One input of a calculator: parameter name, plain label, unit and accepted range or choices.

    choices with a range beside it: one of the words, or a number in the range. error: how far a usual reading of it is off; the answer
    then comes with an interval. figure_from: below this value a reading is too coarse for a figure, and only the interval is told; it
    starts at the low end of the range where the truth may lie there.
    """

    name: str
    label: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    default: float | str | None = None
    error: ReadingError | None = None
    figure_from: float | None = None


@dataclass(frozen=True)
class Output:
    """One part of a calculator's result: field of the result, plain label and unit."""

    name: str
    label: str
    unit: str = ""


@dataclass(frozen=True)
class Tolerance:
    """How far two tanks may differ in a factor and still count as alike: the larger of an absolute and a relative part.

    absolute: in the factor's unit. relative: as a share of the middle value of all tanks. Both 0: words, which are alike or not.
    """

    absolute: float = 0.0
    relative: float = 0.0

    def of(self, middle: float) -> float:
        """The tolerance around a middle value, in the factor's unit.

        >>> Tolerance(0.5, 0.1).of(3.0), Tolerance(0.5, 0.1).of(-20.0)
        (0.5, 2.0)
        """
        return max(self.absolute, self.relative * abs(middle))


@dataclass(frozen=True)
class Entry:
    """One declared calculator, measure, analysis or factor.

    kind: `calculator`, `measure`, `analysis` or `factor`. key: its name in files and commands. title: its name on pages.
    unit: unit of the result. sources: keys of `sources.py`. summary: first sentence of the docstring.
    function: the function itself. inputs: of a calculator; outputs: the parts of its result, where it has several. cautions: of a
    calculator, keys of `science.cautions`. scale: of a measure, the scale on which like tanks scatter evenly
    (`logit`, `log` or `identity`). span: of a measure, the lowest and the highest value that it can have in a tank. caution: of a
    measure, what a reader of its numbers must know. over: of a measure, what it is taken
    from: `photo`, one scene, or `sequence`, the photos of one unit in order. needs_colour: whether a measure's values compare between
    photos only where a card or a patch made their colours comparable. needs_zones: kinds of zones without which a measure has no
    value. designs: of an analysis, the design kinds it can judge. tolerance: of a factor, how far tanks may differ in it; moves: how it
    could move what is measured, in plain words; remedy: what to do about it; algae and plants: how much it usually moves either, from 1
    (little) to 3 (much), by which unlike factors are put in order.
    """

    kind: str
    key: str
    title: str
    unit: str
    sources: tuple[str, ...]
    summary: str
    function: Callable[..., Any]
    inputs: tuple[Input, ...] = ()
    outputs: tuple[Output, ...] = ()
    cautions: tuple[str, ...] = ()
    scale: str = "identity"
    span: tuple[float, float] = (-math.inf, math.inf)
    caution: str = ""
    designs: tuple[str, ...] = ()
    over: str = "photo"
    needs_colour: bool = False
    needs_zones: tuple[str, ...] = ()
    tolerance: Tolerance = Tolerance()
    moves: str = ""
    remedy: str = ""
    algae: int = 1
    plants: int = 1


_entries: dict[tuple[str, str], Entry] = {}
# What `entries` told of a kind last, and out of which declarations: it is asked some thousand times while a trial is read.
_told: dict[str, tuple[dict[tuple[str, str], Entry], tuple[Entry, ...]]] = {}


def _register(entry: Entry) -> None:
    known = _entries.get((entry.kind, entry.key))
    if known is not None and known.function.__module__ != entry.function.__module__:
        raise InputError("key", entry.key, f"a {entry.kind} key that is not declared yet", f"It stands in {known.function.__module__}.")
    _entries[entry.kind, entry.key] = entry
    _told.clear()


def _first_sentence(function: Callable[..., Any]) -> str:
    return (function.__doc__ or "").strip().split("\n\n")[0].replace("\n", " ").strip()


def calculator(
    *, title: str, sources: tuple[str, ...], inputs: tuple[Input, ...], unit: str = "", outputs: tuple[Output, ...] = (),
    cautions: tuple[str, ...] = (),
) -> Callable[[Function], Function]:
    """Declare a calculator; its key is the function's name."""

    def declare(function: Function) -> Function:
        name = function.__name__
        _register(Entry("calculator", name, title, unit, sources, _first_sentence(function), function, inputs=inputs, outputs=outputs,
                        cautions=cautions))
        return function

    return declare


def measure(
    *, key: str, title: str, unit: str, scale: str, sources: tuple[str, ...], span: tuple[float, float], caution: str = "",
    over: str = "photo", needs_colour: bool = False, needs_zones: tuple[str, ...] = ()
) -> Callable[[Function], Function]:
    """Declare a measure: over one `photo` its function takes a Scene and gives zone -> value; over a `sequence` it takes a unit's
    moments in the order of time and gives one such mapping for each."""

    def declare(function: Function) -> Function:
        _register(Entry("measure", key, title, unit, sources, _first_sentence(function), function, scale=scale, span=span, caution=caution,
                        over=over, needs_colour=needs_colour, needs_zones=needs_zones))
        return function

    return declare


def analysis(*, key: str, title: str, designs: tuple[str, ...], sources: tuple[str, ...]) -> Callable[[Function], Function]:
    """Declare an analysis: how the series of a design become one number per unit and one interval."""

    def declare(function: Function) -> Function:
        _register(Entry("analysis", key, title, "", sources, _first_sentence(function), function, designs=designs))
        return function

    return declare


def factor(
    *, key: str, title: str, unit: str, moves: str, remedy: str, sources: tuple[str, ...], tolerance: Tolerance = Tolerance(),
    algae: int = 1, plants: int = 1
) -> Callable[[Function], Function]:
    """Declare a factor, in which units should be alike: its function takes what is known of a trial and gives what each unit has of it.

    unit is `word` where the factor is told in words; the tolerance then serves parts of it that are numbers.
    """

    def declare(function: Function) -> Function:
        _register(Entry("factor", key, title, unit, sources, _first_sentence(function), function, tolerance=tolerance, moves=moves,
                        remedy=remedy, algae=algae, plants=plants))
        return function

    return declare


def entries(kind: str) -> tuple[Entry, ...]:
    """All declared entries of a kind, in the order of the rooms and, in each, of their declaration: whatever was loaded first.

    >>> any(entry.key == "gross_volume_l" for entry in entries("calculator"))
    True
    """
    if kind not in ROOMS:
        raise InputError("kind", kind, ", ".join(ROOMS))
    declared, told = _told.get(kind, (None, ()))
    if declared is not _entries:
        for room in ROOMS[kind]:
            importlib.import_module(room)
        told = tuple(sorted((entry for entry in _entries.values() if entry.kind == kind), key=_place))
        _told[kind] = _entries, told
    return told


def _place(entry: Entry) -> tuple[int, str]:
    return _place_of_module(entry.kind, entry.function.__module__)


@functools.cache
def _place_of_module(kind: str, module: str) -> tuple[int, str]:
    """Asked anew for some hundred entries each time they are listed."""
    rooms = ROOMS[kind]
    for number, room in enumerate(rooms):
        if module == room or module.startswith(f"{room}."):
            return number, ""
    return len(rooms), module  # a part of a room that lies beside it


def entry_from_its_room(kind: str, key: str) -> Entry | None:
    """The entry, when the file of a room defines it by that name; only that room is loaded. None does not say that there is none.

    >>> entry_from_its_room("calculator", "gross_volume_l").title
    'Gross water volume'
    """
    for room in ROOMS[kind]:
        found = importlib.util.find_spec(room)
        if found is None or not found.origin or f"\ndef {key}(" not in Path(found.origin).read_text(encoding="utf-8"):
            continue
        importlib.import_module(room)
        return _entries.get((kind, key))
    return None


def entry(kind: str, key: str) -> Entry:
    """The entry of that kind and key; refuses an unknown key and names the known ones."""
    known = {candidate.key: candidate for candidate in entries(kind)}
    if key not in known:
        raise InputError(kind, key, ", ".join(sorted(known)))
    return known[key]
