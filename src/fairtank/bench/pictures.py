"""The answers along one or two ranges as lines to be drawn; a result that comes as the two ends of a band is drawn as that band."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fairtank.bench.tables import Table, condition_of, unit_of
from fairtank.errors import InputError
from fairtank.planning.claiming.claim import CLAIM_OUTPUTS
from fairtank.publish.calc_chart import MOST_LINES, Line, Picture
from fairtank.publish.calc_words import output_of, short_labels
from fairtank.publish.numbers import tick_format, with_unit
from fairtank.registry import Entry

_END = re.compile(r"(?:^|(?<=_))(low|high)(?=_|$)")
BETWEEN_ENDS = "from its low to its high end"


@dataclass(frozen=True)
class Drawn:
    """What is drawn of a result: its label, the part that is the line (empty name for a plain number, None without a line), and the parts
    that are the two ends of its band."""

    label: str
    line: str | None
    ends: tuple[str, str] | None = None

    @property
    def key(self) -> str:
        """The name by which it is asked for: that of its line, or of its low end."""
        return self.line if self.line is not None else self.names[0]

    @property
    def names(self) -> tuple[str, ...]:
        """All parts that it shows."""
        return (*(self.ends or ()), *(() if self.line is None else (self.line,)))


def drawable(table: Table) -> tuple[Drawn, ...]:
    """What of the result can be drawn, in its order."""
    numbers = {name: part for name, part in table.parts.items() if part.dtype.kind == "f" and np.isfinite(part).any()}
    ends = {name: _ends(numbers, name) for name in numbers if _END.search(name)}
    whole = {name: pair for name, pair in ends.items() if pair is not None and pair[0] == name}
    middles = {_middle(numbers, low, table.asked.entry): low for low in whole}
    within = {part for pair in whole.values() for part in pair}
    found = []
    for name in numbers:
        if name in whole:
            middle = _middle(numbers, name, table.asked.entry)
            found.append(Drawn(_band_label(table.asked.entry, whole[name], middle), middle, whole[name]))
        elif name not in within and name not in middles:
            found.append(Drawn(output_of(table.asked.entry, name).label.split(":")[0] if name else "", name))
    return tuple(found)


def _ends(numbers: Mapping[str, NDArray[np.float64]], name: str) -> tuple[str, str] | None:
    """The low and the high end that this part is one of; None where the other one is not there."""
    low, high = _END.sub("low", name, count=1), _END.sub("high", name, count=1)
    return (low, high) if low in numbers and high in numbers else None


def _middle(numbers: Mapping[str, NDArray[np.float64]], low: str, entry: Entry) -> str | None:
    """The part between the ends of a band: called like them without `low`, or the one that stands before the low end in the same unit."""
    bare = re.sub(r"_low(?=_|$)|^low_", "", low)
    if bare != low and bare in numbers:
        return bare
    place = list(numbers).index(low)
    before = list(numbers)[place - 1] if place and low.startswith("low") else None
    if before is None or _END.search(before) or output_of(entry, before).unit != output_of(entry, low).unit:
        return None
    return before


def _band_label(entry: Entry, ends: tuple[str, str], middle: str | None) -> str:
    """What a band shows: the label of its middle, or what the labels of its ends begin with; empty where that is the title alone."""
    if middle is not None and ends[0].startswith("low"):
        return output_of(entry, middle).label.split(",")[0]
    return output_of(entry, ends[0]).label.rpartition(", ")[0]


def picture_of(table: Table, part: str) -> Picture:
    """The lines of one part of the result: along the range with more values, one line for each value of the other.

    Raises
    ------
    InputError
        If the part is none that can be drawn, if nothing can, or if the calculator is a claim check, which has a picture of its own.
    """
    if table.asked.entry.outputs == CLAIM_OUTPUTS:
        raise InputError("plot", "given with a range", "single values for a claim check", "Its picture sets one claim beside one tank.")
    drawn = _drawn(table, part)
    labels, unit = short_labels(table.asked.entry), output_of(table.asked.entry, drawn.names[0]).unit
    along, *rest = sorted(table.shown, key=lambda key: -len(table.asked.ranges[key].value))
    lines = _lines_beside(table, drawn, along, rest[0]) if rest else [_line_alone(table, drawn, along)]
    others = table.asked.ranges[rest[0]].shown if rest else ()
    with_band = not rest and drawn.ends is None and drawn.line in table.bands
    return Picture(
        title=table.asked.entry.title, quantity=drawn.label, unit=unit, along=labels[along], along_unit=unit_of(table, along),
        between=labels[rest[0]] if rest else "", lines=tuple(lines), left_out=len(others) - len(lines) if rest else 0,
        condition=condition_of(table) if with_band else "", band=BETWEEN_ENDS if drawn.ends and not rest else "",
    )  # fmt: skip


def _drawn(table: Table, part: str) -> Drawn:
    """What is drawn: the part that was asked for with what belongs to it, else the first one that is a number."""
    found = drawable(table)
    if part and not any(part in drawn.names for drawn in found):
        names = [name for name in table.parts if any(name in drawn.names for drawn in found)]
        raise InputError("part", part, ", ".join(filter(None, names)) or "nothing: the result is one number")
    if not found:
        raise InputError("plot", "given", "a calculator whose results are numbers")
    one = next((drawn for drawn in found if part in drawn.names), found[0]) if part else found[0]
    if len(table.shown) > 1 and one.ends:  # lines beside each other have no bands: one part stands for all
        name = part or (one.ends[0] if one.line is None else one.line)
        return Drawn(output_of(table.asked.entry, name).label.split(":")[0], name)
    return one


def _line_alone(table: Table, drawn: Drawn, along: str) -> Line:
    """The one line along one range, with its band where it has one."""
    places = tuple(table.shown[along].tolist())
    if drawn.ends is not None:
        low, high = (tuple(table.parts[name].tolist()) for name in drawn.ends)
        middle = table.parts[drawn.line] if drawn.line is not None else np.full(len(low), np.nan)
        return Line("", places, tuple(middle.tolist()), (low, high))
    name = drawn.line or ""
    band = table.bands.get(name)
    ends = None if band is None else (tuple(band.low.tolist()), tuple(band.high.tolist()))
    return Line("", places, tuple(_figures(table, name).tolist()), ends)


def _lines_beside(table: Table, drawn: Drawn, along: str, between: str) -> list[Line]:
    """One line for each value of the second range that has figures, at most as many as there are line styles."""
    others, values = table.asked.ranges[between].shown, _figures(table, drawn.line or "")
    figured = tuple(other for other in others if np.isfinite(values[table.shown[between] == other]).any())
    if not figured:
        raise InputError("the picture", "empty", "readings that are fine enough for a figure", "Along one range the intervals are drawn.")
    form, lines = tick_format(list(others)), []
    for other in _kept(figured):
        rows = table.shown[between] == other
        label = with_unit(f"{other:{form}}", unit_of(table, between))
        lines.append(Line(label, tuple(table.shown[along][rows].tolist()), tuple(values[rows].tolist())))
    return lines


def _figures(table: Table, name: str) -> NDArray[np.float64]:
    """The values of a part, missing where the readings are too coarse for a figure."""
    band = table.bands.get(name)
    values: NDArray[np.float64] = table.parts[name]
    return values if band is None else np.where(np.isnan(band.values), np.nan, values)


def _kept(others: tuple[float, ...]) -> list[float]:
    """At most as many values as there are line styles, evenly from the first to the last; those without a figure were taken out."""
    places = np.linspace(0, len(others) - 1, min(len(others), MOST_LINES)).round().astype(int)
    return [others[place] for place in np.unique(places)]
