"""The answers along one or two ranges, row by row: columns for people, lists for machines."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fairtank.bench.answers import about_json, outputs_json, plain
from fairtank.bench.asking import Asked
from fairtank.publish.calc_words import condition_words, output_of, printed_unit, short_labels, value_text
from fairtank.publish.numbers import decimals_of, interval, number, tick_format, with_unit
from fairtank.science.calling import called
from fairtank.science.uncertainty import Band, band_of


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


@dataclass(frozen=True)
class Column:
    """One column for people: what it holds, its unit, and a text for each row. kind: `input`, `result` or `interval`."""

    label: str
    unit: str
    cells: tuple[str, ...]
    kind: str


def columns_of(table: Table) -> tuple[Column, ...]:
    """The ranged inputs, then each result with its interval beside it; results that are the same in all rows are left to the remarks."""
    labels = short_labels(table.asked.entry)
    columns = [Column(labels[name], unit_of(table, name), tuple(_shown_cells(shown)), "input") for name, shown in table.shown.items()]
    for name, part in table.parts.items():
        output = output_of(table.asked.entry, name)
        if _is_alike(part):
            continue
        band = table.bands.get(name)
        columns.append(Column(_label(table, name), printed_unit(output.unit), tuple(_cells(part, band)), "result"))
        if band is not None:
            columns.append(Column("in 19 cases of 20", "", tuple(_interval_cells(band)), "interval"))
    return tuple(columns)


def remarks_of(table: Table) -> tuple[str, ...]:
    """What is the same in all rows, what the intervals rest on, and why some numbers are missing."""
    alike = [f"{_label(table, name)}: {value_text(part[0], output_of(table.asked.entry, name).unit)}"
             for name, part in table.parts.items() if _is_alike(part)]
    return (*([f"In all rows {', '.join(alike)}."] if alike else []), *_conditions(table))


def _is_alike(part: NDArray[Any]) -> bool:
    return part.dtype.kind == "O" and all(value == part[0] for value in part)


def _label(table: Table, name: str) -> str:
    return output_of(table.asked.entry, name).label.split(":")[0] if name else "value"


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


def unit_of(table: Table, name: str) -> str:
    """The unit of a ranged input as it was typed."""
    return printed_unit(table.asked.ranges[name].shown_unit or next(own.unit for own in table.asked.entry.inputs if own.name == name))


def _is_shown(part: NDArray[Any]) -> bool:
    """Whether a part of the results fits a cell: numbers, words, yes or no, or short lists of numbers."""
    def fits(value: Any) -> bool:
        if isinstance(value, (list, tuple, np.ndarray)):
            return np.asarray(value).dtype.kind in "iuf" and np.ndim(value) == 1 and len(value) > 0
        return value is None or isinstance(value, (int, float, str, bool, np.number, np.bool_))

    return all(map(fits, part.tolist() if part.dtype.kind != "O" else part))


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


def condition_of(table: Table) -> str:
    """Under which reading errors the intervals of the table hold."""
    return condition_words(table.asked.entry, table.asked.errors, tuple(table.asked.errors))


def _conditions(table: Table) -> list[str]:
    """What the intervals rest on, and why some numbers are missing."""
    if not table.bands:
        return []
    lines = [f"The intervals hold in 19 cases of 20, {condition_of(table)}."]
    if any(np.isnan(band.values).any() for band in table.bands.values()):
        labels = short_labels(table.asked.entry)
        lines += [f"{labels[declared.name]} below {with_unit(f'{declared.figure_from:g}', declared.unit)} is too coarse for a figure (-)."
                  for declared in table.asked.entry.inputs if declared.figure_from is not None and declared.name in table.asked.errors]
    return lines
