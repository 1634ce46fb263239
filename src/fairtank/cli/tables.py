"""The answers along one or two ranges: a table for people, lists for machines, lines for a picture."""

import textwrap
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fairtank.cli.answers import about_json, outputs_json, plain, plain_spaces
from fairtank.cli.asking import Asked
from fairtank.errors import InputError
from fairtank.planning.claiming.claim import CLAIM_OUTPUTS
from fairtank.publish.calc_chart import MOST_LINES, Line, Picture
from fairtank.publish.calc_words import condition_words, output_of, printed_unit, short_labels, value_text
from fairtank.publish.charts import tick_format
from fairtank.publish.numbers import decimals_of, interval, number, with_unit
from fairtank.science.calling import called
from fairtank.science.uncertainty import Band, band_of

_HEADING_WIDTH = 18


@dataclass(frozen=True)
class Table:
    """A calculator along its ranges, one row for each set of inputs; the range that was typed last changes fastest.

    columns: the ranged inputs, as the calculator takes them. shown: the same as they were typed. parts: the results that are numbers, words
    or lists of numbers. bands: the intervals of those that readings move.
    """

    asked: Asked
    columns: dict[str, NDArray[Any]]
    shown: dict[str, NDArray[Any]]
    parts: dict[str, NDArray[Any]]
    bands: dict[str, Band]


def table_of(asked: Asked) -> Table:
    """The answers at every value of the ranges."""
    places = np.meshgrid(*(np.arange(len(found.value)) for found in asked.ranges.values()), indexing="ij")
    columns, shown = {}, {}
    for (name, found), place in zip(asked.ranges.items(), places, strict=True):
        columns[name] = np.array(found.value)[place.ravel()]
        shown[name] = np.array(found.shown)[place.ravel()]
    seen = called(asked.entry, asked.given, columns)
    parts = {name: part for name, part in seen.parts.items() if _is_shown(part)}
    bands = band_of(asked.entry, asked.given, columns, asked.typed) if asked.errors else {}
    return Table(asked, columns, shown, parts, bands)


def table_lines(table: Table) -> list[str]:
    """The table for people: aligned columns with units, the interval beside each number that has one, and what it rests on."""
    labels = short_labels(table.asked.entry)
    headings = [_heading(labels[name], _unit(table, name)) for name in table.shown]
    cells = [_shown_cells(shown) for shown in table.shown.values()]
    alike = []
    for name, part in table.parts.items():
        output = output_of(table.asked.entry, name)
        label = output.label.split(":")[0] if name else "value"
        if part.dtype.kind == "O" and all(value == part[0] for value in part):
            alike.append(f"{label}: {value_text(part[0], output.unit)}")
            continue
        headings.append(_heading(label, output.unit))
        cells.append(_cells(part, table.bands.get(name)))
        if name in table.bands:
            headings.append(["in 19 cases of 20"])
            cells.append(_interval_cells(table.bands[name]))
    same = [f"In all rows {', '.join(alike)}."] if alike else []
    return [plain_spaces(line) for line in (table.asked.entry.title, *_aligned(headings, cells), *same, *_conditions(table))]


def table_json(table: Table) -> dict[str, Any]:
    """The table for machines: a list for each ranged input, each result and each end of an interval, row by row."""
    entry = table.asked.entry
    result = {name: plain(np.where(np.isnan(table.bands[name].values), np.nan, part) if name in table.bands else part)
              for name, part in table.parts.items()}
    return {
        "calculator": entry.key, "inputs": {**plain(table.asked.given), **{name: plain(column) for name, column in table.columns.items()}},
        "unit": entry.unit, "result": result[""] if list(result) == [""] else result, "outputs": outputs_json(entry),
        "rows": len(next(iter(table.columns.values()))),
        "intervals": {name or "result": {"low": plain(band.low), "high": plain(band.high), "level": 0.95}
                      for name, band in table.bands.items()},
        **about_json(entry, table.asked.errors),
    }  # fmt: skip


def picture_of(table: Table, part: str) -> Picture:
    """The lines of one part of the result: along the range with more values, one line for each value of the other."""
    if table.asked.entry.outputs == CLAIM_OUTPUTS:
        raise InputError("--plot", "given with a range", "single values for a claim check", "Its picture sets one claim beside one tank.")
    name = _drawn_part(table, part)
    labels, output = short_labels(table.asked.entry), output_of(table.asked.entry, name)
    along, *rest = sorted(table.shown, key=lambda key: -len(table.asked.ranges[key].value))
    others = table.asked.ranges[rest[0]].shown if rest else ()
    band = table.bands.get(name)
    values = table.parts[name] if band is None else np.where(np.isnan(band.values), np.nan, table.parts[name])
    figured = tuple(other for other in others if np.isfinite(values[table.shown[rest[0]] == other]).any())
    if rest and not figured:
        raise InputError("the picture", "empty", "readings that are fine enough for a figure", "Along one range the intervals are drawn.")
    lines = []
    for other in _kept(figured) if rest else [None]:
        rows = np.ones(len(values), dtype=bool) if other is None else table.shown[rest[0]] == other
        label = "" if other is None else with_unit(f"{other:{tick_format(list(others))}}", _unit(table, rest[0]))
        ends = None if band is None or rest else (tuple(band.low.tolist()), tuple(band.high.tolist()))
        lines.append(Line(label, tuple(table.shown[along][rows].tolist()), tuple(values[rows].tolist()), ends))
    return Picture(
        title=table.asked.entry.title, quantity=output.label.split(":")[0] if name else "", unit=output.unit, along=labels[along],
        along_unit=_unit(table, along), between=labels[rest[0]] if rest else "", lines=tuple(lines),
        left_out=len(others) - len(lines) if rest else 0, condition=_condition(table) if band is not None and not rest else "",
    )  # fmt: skip


def _kept(others: tuple[float, ...]) -> list[float]:
    """At most as many values as there are line styles, evenly from the first to the last; those without a figure were taken out."""
    places = np.linspace(0, len(others) - 1, min(len(others), MOST_LINES)).round().astype(int)
    return [others[place] for place in np.unique(places)]


def _unit(table: Table, name: str) -> str:
    """The unit of a ranged input as it was typed."""
    return printed_unit(table.asked.ranges[name].shown_unit or next(own.unit for own in table.asked.entry.inputs if own.name == name))


def _is_shown(part: NDArray[Any]) -> bool:
    """Whether a part of the results fits a cell: numbers, words, yes or no, or short lists of numbers."""
    def fits(value: Any) -> bool:
        if isinstance(value, (list, tuple, np.ndarray)):
            return np.asarray(value).dtype.kind in "iuf" and np.ndim(value) == 1 and len(value) > 0
        return value is None or isinstance(value, (int, float, str, bool, np.number, np.bool_))

    return all(map(fits, part.tolist() if part.dtype.kind != "O" else part))


def _drawn_part(table: Table, part: str) -> str:
    """The part that is drawn: the one that was asked for, else the first one that is a number."""
    numbers = [name for name, values in table.parts.items() if values.dtype.kind == "f" and np.isfinite(values).any()]
    if part and part not in numbers:
        raise InputError("--part", part, ", ".join(filter(None, numbers)) or "nothing: the result is one number")
    if not numbers:
        raise InputError("--plot", "given", "a calculator whose results are numbers")
    return part or numbers[0]


def _heading(label: str, unit: str) -> list[str]:
    return textwrap.wrap(label, _HEADING_WIDTH) + ([f"[{printed_unit(unit)}]"] if unit else [])


def _shown_cells(values: NDArray[Any]) -> list[str]:
    """Numbers of a range as they were typed, all with the same decimals."""
    form = tick_format(np.unique(values).tolist())
    return [f"{value:{form}}" for value in values.tolist()]


def _cells(part: NDArray[Any], band: Band | None) -> list[str]:
    if band is None:
        return [value_text(value) for value in part]
    return ["-" if np.isnan(value) else number(value, decimals_of(value, low, high))
            for value, low, high in zip(band.values.tolist(), band.low.tolist(), band.high.tolist(), strict=True)]


def _interval_cells(band: Band) -> list[str]:
    middles = np.where(np.isnan(band.values), (band.low + band.high) / 2, band.values)
    return [interval(low, high, decimals_of(middle, low, high))
            for middle, low, high in zip(middles.tolist(), band.low.tolist(), band.high.tolist(), strict=True)]


def _aligned(headings: list[list[str]], cells: list[list[str]]) -> list[str]:
    """Columns set to the right, two spaces apart; headings stand on the line above the first row."""
    widths = [max(map(len, (*heading, *column))) for heading, column in zip(headings, cells, strict=True)]
    tall = max(map(len, headings))
    padded = [[""] * (tall - len(heading)) + heading for heading in headings]
    rows = [*zip(*padded, strict=True), tuple("-" * width for width in widths), *zip(*cells, strict=True)]
    return ["  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def _condition(table: Table) -> str:
    return condition_words(table.asked.entry, table.asked.errors, tuple(table.asked.errors))


def _conditions(table: Table) -> list[str]:
    """What the intervals rest on, and why some numbers are missing."""
    if not table.bands:
        return []
    lines = [f"The intervals hold in 19 cases of 20, {_condition(table)}."]
    if any(np.isnan(band.values).any() for band in table.bands.values()):
        labels = short_labels(table.asked.entry)
        lines += [f"{labels[declared.name]} below {with_unit(f'{declared.figure_from:g}', declared.unit)} is too coarse for a figure (-)."
                  for declared in table.asked.entry.inputs if declared.figure_from is not None and declared.name in table.asked.errors]
    return lines
