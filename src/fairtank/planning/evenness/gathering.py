"""What all files together tell of one factor: for each unit the value to go by, and where files contradict each other."""

import re
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from fairtank.planning.evenness.conversion import led_by_number, number_of
from fairtank.planning.evenness.told import MEASURED, PLANNED, Told, Value
from fairtank.planning.evenness.wording import alike, spaced
from fairtank.registry import Entry

# Words of these are lists, in which the order says nothing (that of layers does).
_LISTS = ("fauna", "plant_kinds", "hardscape_kind", "carbon", "inoculum", "tools")
_LEFT_TO_RIGHT = {"left": 0.0, "far left": -1.0, "middle": 1.0, "centre": 1.0, "center": 1.0, "right": 2.0, "far right": 3.0}


@dataclass(frozen=True)
class Contradiction:
    """Two files that tell unlike things of one factor, in these units."""

    part: str
    units: tuple[str, ...]
    believed: str
    believed_where: str
    other: str
    other_where: str


@dataclass(frozen=True)
class Gathered:
    """One part of a factor over the units.

    values: by unit, in the order of the plan; units of which nothing is known are left out. where: the files they come from. numbers: the
    values as numbers, where all of them are. words: as they are compared. is_planned: all of it is only planned.
    """

    part: str
    unit_of_measure: str
    values: dict[str, Value]
    where: tuple[str, ...]
    is_dated: bool
    numbers: dict[str, float]
    words: dict[str, str]
    is_planned: bool = False

    @property
    def middle(self) -> float:
        """Median of the numbers."""
        return statistics.median(self.numbers.values())


def gathered(entry: Entry, told: Sequence[Told], units: Sequence[str]) -> tuple[tuple[Gathered, ...], tuple[Contradiction, ...]]:
    """What to go by, part by part, and what contradicts it.

    What was measured counts before what was written down, and that before what was planned, as long as it is known of at least half of the
    units that anything is known of; so no unit is compared with another one by unlike files without need.

    Parameters
    ----------
    entry : Entry
        The factor.
    told : sequence of Told
        What every file says of it.
    units : sequence of str
        The units, in the order of the plan.

    Returns
    -------
    tuple of Gathered, tuple of Contradiction

    References
    ----------
    common_practice (keys from sources.py).
    """
    own = [one for one in told if one.unit in units]
    if any(one.rank == MEASURED and one.part for one in own):  # given by part: what was planned has parts of other names
        own = [one for one in own if one.rank != PLANNED or not one.part]
    parts = dict.fromkeys((one.part, one.unit_of_measure) for one in own)
    found, contradictions = [], []
    for part, unit_of_measure in parts:
        rows = [one for one in own if (one.part, one.unit_of_measure) == (part, unit_of_measure)]
        chosen = _chosen(rows)
        found.append(_part(entry, part, unit_of_measure, chosen, units))
        contradictions += _contradictions(entry, chosen, rows, units)
    return tuple(found), tuple(contradictions)


def _layers(rows: Iterable[Told]) -> list[dict[str, Told]]:
    """By unit: what was measured; what was written down, and planned where it was not."""
    measured: dict[str, Told] = {}
    written: dict[str, Told] = {}
    for one in sorted(rows, key=lambda one: one.rank):
        (measured if one.rank == MEASURED else written).setdefault(one.unit, one)
    return [layer for layer in (measured, written) if layer]


def _chosen(rows: Sequence[Told]) -> dict[str, Told]:
    layers, everywhere = _layers(rows), len({one.unit for one in rows})
    return next((layer for layer in layers if 2 * len(layer) >= everywhere), layers[-1])


def _part(entry: Entry, part: str, unit_of_measure: str, chosen: dict[str, Told], units: Sequence[str]) -> Gathered:
    values = {unit: chosen[unit].value for unit in units if unit in chosen}
    numbers = _numbers(entry, values)
    words = {unit: _as_compared(entry, value) if isinstance(value, str) else f"{value:g}" for unit, value in values.items()}
    where = tuple(dict.fromkeys(one.where for one in chosen.values()))
    own = unit_of_measure or ("" if entry.unit in ("word", "h (clock)", "day") else entry.unit)
    return Gathered(part, own, values, where, all(one.dated for one in chosen.values()), numbers, words,
                    all(one.rank == PLANNED for one in chosen.values()))


def _numbers(entry: Entry, values: dict[str, Value]) -> dict[str, float]:
    """The values as numbers, where all of them are; of words, those that all start with a number of one unit, or name places in a row."""
    if all(isinstance(value, (int, float)) for value in values.values()):
        return {unit: float(value) for unit, value in values.items()}
    texts = {unit: value if isinstance(value, str) else f"{value:g}" for unit, value in values.items()}
    if entry.key == "place":
        placed = {unit: _placed(text) for unit, text in texts.items()}
        return {unit: place for unit, place in placed.items() if place is not None} if None not in placed.values() else {}
    if entry.tolerance.relative and entry.unit == "word":  # a distance to the window
        led = {unit: led_by_number(text) for unit, text in texts.items()}
        units_of_measure = {spaced(one[1]) for one in led.values() if one is not None}
        if None not in led.values() and len(units_of_measure) == 1:
            return {unit: one[0] for unit, one in led.items() if one is not None}
    if entry.unit != "word":
        counted = {unit: number_of(text) for unit, text in texts.items()}
        # "none" beside numbers is a nought
        counted = {unit: 0.0 if number is None and alike(texts[unit]) == "none" else number for unit, number in counted.items()}
        if None not in counted.values():
            return {unit: number for unit, number in counted.items() if number is not None}
    return {}


def _as_compared(entry: Entry, text: str) -> str:
    """A word as it is compared; of a list its parts in order."""
    if entry.key not in _LISTS:
        return alike(text)
    return "; ".join(sorted(alike(part) for part in re.split(r"[,;+&]|\band\b", text) if part.strip())) or alike(text)


def _placed(text: str) -> float | None:
    """A place as a number: counted, by a letter, or by left, middle and right."""
    words = spaced(text)
    number = number_of(words)
    if number is not None or words in _LEFT_TO_RIGHT:
        return _LEFT_TO_RIGHT.get(words, number)
    return float(ord(words)) if len(words) == 1 and words.isalpha() else None


def _contradictions(entry: Entry, chosen: dict[str, Told], rows: Sequence[Told], units: Sequence[str]) -> list[Contradiction]:
    """Files that tell something else of the same units than the one that is believed.

    Words count only where they part the units in another way: two files may call one lamp by two names.
    """
    found = []
    others: dict[str, dict[str, Told]] = {}
    for one in rows:
        if one.unit in chosen and one.where != chosen[one.unit].where:
            others.setdefault(one.where, {}).setdefault(one.unit, one)
    for where, own in others.items():
        apart = [unit for unit in units if unit in own and _differ(entry, chosen[unit].value, own[unit].value)]
        is_numeric = all(not isinstance(own[unit].value, str) and not isinstance(chosen[unit].value, str) for unit in apart)
        if apart and (is_numeric or _parted(chosen, own) != _parted(own, own)):
            first = apart[0]
            found.append(Contradiction(own[first].part, tuple(apart), _words(chosen[unit].value for unit in apart), chosen[first].where,
                                       _words(own[unit].value for unit in apart), where))
    return found


def _differ(entry: Entry, believed: Value, other: Value) -> bool:
    if isinstance(believed, str) or isinstance(other, str):
        return alike(str(believed)) != alike(str(other))
    return abs(believed - other) > entry.tolerance.of(believed)


def _parted(values: dict[str, Told], over: dict[str, Told]) -> set[tuple[str, ...]]:
    """Which units have the same word."""
    groups: dict[str, list[str]] = {}
    for unit in over:
        if unit in values:
            groups.setdefault(alike(str(values[unit].value)), []).append(unit)
    return {tuple(own) for own in groups.values()}


def _words(values: Iterable[Value]) -> str:
    """One value, or from the least to the most; words each once."""
    own = list(values)
    if all(not isinstance(value, str) for value in own):
        low, high = min(float(value) for value in own), max(float(value) for value in own)
        return f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"
    return ", ".join(dict.fromkeys(str(value) for value in own))
