"""A calculator along a range as a picture: one line with its band, or several lines that differ in stroke, mark and label."""

import itertools
import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.publish.arms import BLUE, DASHES, LINE_WORDS, MARKS, PALETTE
from fairtank.publish.calc_words import printed_unit
from fairtank.publish.charts import (
    FONT,
    GRID,
    INK,
    WIDE_PX,
    Spec,
    fitted,
    framed,
    is_narrow,
    svg_of,
    text_px,
    value_ticks,
)
from fairtank.publish.numbers import decimals_of, figures, interval, tick_format, with_unit

_PLOT_PX = 280
# More lines than line styles cannot be told apart without colour.
MOST_LINES = 5
# So many values on a line still stand apart as marks.
_MOST_MARKS = 15


@dataclass(frozen=True)
class Line:
    """One line: its label (empty for the only one), places, values (NaN where there is no figure) and, with a band, both ends."""

    label: str
    places: tuple[float, ...]
    values: tuple[float, ...]
    ends: tuple[tuple[float, ...], tuple[float, ...]] | None = None


@dataclass(frozen=True)
class Picture:
    """What is drawn.

    title: of the calculator. quantity: the part of its result, where it has several. unit: of the values. along, along_unit: the input
    below the lines. between: the input that differs from line to line; empty with one line. lines: at most five. left_out: lines that
    were asked for and are not drawn. condition: under which reading errors the band holds; empty without one. band: what else the band
    is, where it is none of reading errors. here: place and value of one answer that is marked with a ring; None without one.
    """

    title: str
    quantity: str
    unit: str
    along: str
    along_unit: str
    between: str
    lines: tuple[Line, ...]
    left_out: int = 0
    condition: str = ""
    band: str = ""
    here: tuple[float, float] | None = None


def picture_svg(picture: Picture, *, width_px: int = WIDE_PX) -> str:
    """The picture as an SVG file of its own.

    Parameters
    ----------
    picture : Picture
        What is drawn.
    width_px : int
        Outer width. [px]

    Returns
    -------
    str
        An `<svg>` element with a description in words.

    References
    ----------
    okabe2008 for the colours (keys from sources.py).
    """
    return file_svg(svg_of(picture_spec(picture, width_px=width_px), key="calc"))


def file_svg(svg: str) -> str:
    """A chart made fit to be opened by itself: on white, and in a common type where the house's is not installed.

    >>> file_svg('<svg width="9"><text font-family="Atkinson Hyperlegible Next"/></svg>')
    '<svg width="9"><rect width="100%" height="100%" fill="#ffffff" /><text font-family="Atkinson Hyperlegible Next, sans-serif"/></svg>'
    """
    head, _, rest = svg.partition(">")
    return f'{head}><rect width="100%" height="100%" fill="#ffffff" />{rest}'.replace(f'"{FONT}"', f'"{FONT}, sans-serif"')


def picture_spec(picture: Picture, *, width_px: int) -> Spec:
    """The picture as a Vega-Lite description.

    Parameters
    ----------
    picture : Picture
        What is drawn.
    width_px : int
        Outer width. [px]

    Returns
    -------
    dict
        Vega-Lite.

    References
    ----------
    okabe2008 for the colours (keys from sources.py).
    """
    places = [place for line in picture.lines for place in line.places]
    first, last = min(places), max(places)
    low, high = _value_range(picture.lines)
    ends = _ends(picture.lines)
    # Labels stand at the lines' ends where these lie far enough apart, else in a legend above.
    apart = (high - low) * (text_px(width_px) + 2) / _PLOT_PX
    at_ends = all(upper - lower >= apart for (_, lower), (_, upper) in itertools.pairwise(sorted(ends.values(), key=lambda end: end[1])))
    head = 0 if at_ends or not ends else _rows(len(picture.lines), width_px) * (text_px(width_px) + 8) + 8
    room = max(map(len, ends)) * text_px(width_px) * 0.6 + 16 if ends and at_ends else 0.0
    shown_last = first + (last - first) * (width_px - 60) / max(width_px - 60 - room, 60)
    x_ticks, y_ticks = value_ticks(first, last, 4 if is_narrow(width_px) else 8), value_ticks(low, high, 5)
    along = f"{picture.along} [{picture.along_unit}]" if picture.along_unit else picture.along
    x: Spec = {"field": "x", "type": "quantitative", "scale": {"domain": [first, shown_last], "nice": False, "zero": False},
               "axis": {"title": along, "values": x_ticks, "grid": False, "format": tick_format(x_ticks)}}
    y: Spec = {"field": "y", "type": "quantitative",
               "scale": {"domain": [low, high + (high - low) * head / _PLOT_PX], "nice": False, "zero": False},
               "axis": {"title": None, "values": y_ticks, "format": tick_format(y_ticks), "domain": False, "ticks": False, "grid": False}}
    layers = [_grid(y_ticks, first, last, x, y), *(layer for line in picture.lines if line.ends for layer in _band(line, x, y))]
    for index, line in enumerate(picture.lines):
        layers += _line(line, index, x, y, width_px)
    layers += [_end_labels(ends, x, y)] if at_ends and ends else _legend(picture.lines, width_px) if ends else []
    layers += [] if picture.here is None else [_ring(picture.here, x, y)]
    spec = framed(layers, width_px=width_px, height_px=_PLOT_PX + head, description=described(picture), title=picture.title)
    spec["title"] = textwrap.wrap(_heading(picture), int((width_px - 16) / (text_px(width_px) * 0.52)))
    return spec


def described(picture: Picture) -> str:
    """The picture in words: where each line begins and ends, its highest and lowest value, and the band at both ends.

    Parameters
    ----------
    picture : Picture
        What is drawn.

    Returns
    -------
    str
        Sentences.

    Examples
    --------
    >>> described(Picture("Fill time", "", "h", "flow", "L/h", "", (Line("", (1.0, 2.0), (8.0, 4.0)),)))
    'Fill time along flow from 1 L/h to 2 L/h: from 8.00 h to 4.00 h.'
    """
    first, last = min(picture.lines[0].places), max(picture.lines[0].places)
    what = f"{picture.title}, {picture.quantity}" if picture.quantity else picture.title
    span = f"from {_spaced(f'{first:g}', picture.along_unit)} to {_spaced(f'{last:g}', picture.along_unit)}"
    told = "; ".join(f"{_named(picture, line, index)}{_course(line, picture.unit)}" for index, line in enumerate(picture.lines))
    text = f"{what} along {picture.along} {span}: {told}."
    if picture.condition:
        text += f" The band holds the truth in 19 cases of 20, {picture.condition}."
    if picture.band:
        text += f" The band shows the result {picture.band}."
    if picture.here is not None:
        text += f" A ring marks the value that was asked for, {_spaced(f'{picture.here[0]:g}', picture.along_unit)}."
    return text.replace("\u00a0", " ")


def _named(picture: Picture, line: Line, index: int) -> str:
    return f"{picture.between} {line.label} ({LINE_WORDS[index]}) " if line.label else ""


def _course(line: Line, unit: str) -> str:
    """One line in words."""
    known = [(value, index) for index, value in enumerate(line.values) if math.isfinite(value)]
    if not known:
        return "no figures, only the band" if line.ends else "no values"
    (start, start_at), (stop, stop_at) = known[0], known[-1]
    text = f"from {_figure(line, start_at, unit)} to {_figure(line, stop_at, unit)}"
    for word, (value, _) in (("lowest", min(known)), ("highest", max(known))):
        if value not in (start, stop):
            text += f", {word} {with_unit(figures(value, 3), unit)}"
    return text


def _figure(line: Line, index: int, unit: str) -> str:
    value = line.values[index]
    if not line.ends:
        return with_unit(figures(value, 3), unit)
    low, high = line.ends[0][index], line.ends[1][index]
    decimals = decimals_of(value, low, high)
    return f"{with_unit(f'{round(value, decimals):.{max(decimals, 0)}f}', unit)} ({interval(low, high, decimals)})"


def _spaced(text: str, unit: str) -> str:
    return f"{text} {printed_unit(unit)}".strip()


def _heading(picture: Picture) -> str:
    text = f"{picture.title.rstrip('?')}: {picture.quantity}" if picture.quantity else picture.title
    text += f" [{printed_unit(picture.unit)}]" if picture.unit else ""
    if picture.between:
        text += f", one line for each {picture.between}"
        text += f" ({len(picture.lines)} of {len(picture.lines) + picture.left_out})" if picture.left_out else ""
    if picture.condition:
        text += f". Shaded: where it lies in 19 cases of 20, {picture.condition}"
    text += f". Shaded: {picture.band}" if picture.band else ""
    text += ". Ring: the value that was asked for" if picture.here is not None else ""
    return text


def _value_range(lines: Sequence[Line]) -> tuple[float, float]:
    told = [value for line in lines for own in (line.values, *(line.ends or ())) for value in own]
    values = [value for value in told if math.isfinite(value)] or [0.0, 1.0]
    low, high = min(values), max(values)
    room = (high - low or abs(high) or 1.0) * 0.05
    return (0.0 if 0 <= low < 0.5 * high else low - room), high + room


def _grid(ticks: Sequence[float], first: float, last: float, x: Spec, y: Spec) -> Spec:
    """Lines at the values' ticks that end with the range, so that none runs through a label."""
    rows = [{"x": first, "x2": last, "y": tick} for tick in ticks]
    return {"data": {"values": rows}, "mark": {"type": "rule", "color": GRID, "strokeWidth": 1},
            "encoding": {"x": x, "x2": {"field": "x2"}, "y": y}}


def _band(line: Line, x: Spec, y: Spec) -> list[Spec]:
    assert line.ends is not None
    rows = [{"x": place, "y": low, "y2": high} for place, low, high in zip(line.places, *line.ends, strict=True)
            if math.isfinite(low) and math.isfinite(high)]
    edge = {"strokeWidth": 1, "color": BLUE, "opacity": 0.6}
    return [
        {"data": {"values": rows}, "mark": {"type": "area", "color": BLUE, "opacity": 0.16},
         "encoding": {"x": x, "y": y, "y2": {"field": "y2"}}},
        *({"data": {"values": [{"x": row["x"], "y": row[end]} for row in rows]}, "mark": {"type": "line", **edge},
           "encoding": {"x": x, "y": y}} for end in ("y", "y2")),
    ]  # fmt: skip


def _line(line: Line, index: int, x: Spec, y: Spec, width_px: int) -> list[Spec]:
    """The line, broken where a figure is missing; marks where they stand apart."""
    rows, part = [], 0
    for place, value in zip(line.places, line.values, strict=True):
        part += not math.isfinite(value)
        if math.isfinite(value):
            rows.append({"x": place, "y": value, "part": part})
    colour = PALETTE[index]
    stroke = {"type": "line", "strokeWidth": 2, "color": colour, "strokeDash": list(DASHES[index])}
    drawn: list[Spec] = [{"data": {"values": rows}, "mark": stroke,
                          "encoding": {"x": x, "y": y, "detail": {"field": "part", "type": "nominal"}}}]
    if len(line.places) <= _MOST_MARKS:
        drawn.append({"data": {"values": rows}, "mark": {"type": "point", "filled": True, "size": 24 if is_narrow(width_px) else 36,
                                                         "color": colour, "shape": MARKS[index], "opacity": 1},
                      "encoding": {"x": x, "y": y}})
    return drawn


def _ring(here: tuple[float, float], x: Spec, y: Spec) -> Spec:
    """The answer that is marked; it stands on the line without covering it."""
    return {"data": {"values": [{"x": here[0], "y": here[1]}]}, "encoding": {"x": x, "y": y},
            "mark": {"type": "point", "shape": "circle", "filled": False, "size": 170, "strokeWidth": 2, "color": INK, "opacity": 1}}


def _ends(lines: Sequence[Line]) -> dict[str, tuple[float, float]]:
    """Place and value of the last figure of each line that has a label."""
    known = {line.label: [(place, value) for place, value in zip(line.places, line.values, strict=True) if math.isfinite(value)]
             for line in lines if line.label}
    return {label: points[-1] for label, points in known.items() if points}


def _end_labels(ends: dict[str, tuple[float, float]], x: Spec, y: Spec) -> Spec:
    rows = [{"x": place, "y": value, "t": label} for label, (place, value) in ends.items()]
    return {"data": {"values": rows}, "mark": {"type": "text", "align": "left", "dx": 8, "baseline": "middle"},
            "encoding": {"x": x, "y": y, "text": {"field": "t", "type": "nominal"}}}


def _rows(count: int, width_px: int) -> int:
    """Rows of the legend."""
    return math.ceil(count / (2 if is_narrow(width_px) else MOST_LINES))


def _legend(lines: Sequence[Line], width_px: int) -> list[Spec]:
    """The label of each line beside a piece of it."""
    columns = 2 if is_narrow(width_px) else MOST_LINES
    layers: list[Spec] = []
    for index, line in enumerate(lines):
        left = 4 + (index % columns) * (width_px - 50) / columns
        middle = (index // columns) * (text_px(width_px) + 8) + text_px(width_px) / 2
        text: Spec = {"data": {"values": [{"t": fitted(line.label, (width_px - 50) / columns - 44, text_px(width_px))}]}}
        stroke = {"type": "rule", "color": PALETTE[index], "strokeDash": list(DASHES[index]), "strokeWidth": 2}
        layers.append({**text, "mark": stroke, "encoding": {"x": {"value": left}, "x2": {"value": left + 34}, "y": {"value": middle}}})
        layers.append({**text, "mark": {"type": "text", "align": "left", "baseline": "middle"},
                       "encoding": {"x": {"value": left + 40}, "y": {"value": middle}, "text": {"field": "t", "type": "nominal"}}})
    return layers
