"""The picture of alternatives: what each design takes, against the smallest difference it would notice."""

import math
from dataclasses import dataclass, replace

from fairtank.inference.foresight.showing import Design, Showing, spent
from fairtank.publish.charts import GRID, INK, QUIET_INK, WIDE_PX, Spec, fitted, framed, svg_of, text_px, value_ticks
from fairtank.publish.detect_words import NOTHING, design_words, is_huge, noticed_words
from fairtank.publish.frontier_axis import level_ticks
from fairtank.publish.numbers import NO_BREAK, plain_number, tick_format, unit_words

_PLOT_PX = 260
FAR_UP, NOT_DRAWN = "above", "nothing"
_ROOM, _MOST_ROOM = 1.12, 1.8
_LETTER_PX, _MARK_PX = 26, 14
_FAR = 4.0  # times the middle design
_TICKS = 5
_MARKS = {True: "circle", False: "diamond"}


@dataclass(frozen=True)
class _Point:
    """One design in the picture: its letter, what it takes, its smallest difference and the ends of its range [summary scale]."""

    letter: str
    x: float
    y: float
    low: float
    high: float
    best: bool
    of_all_tanks: bool


def frontier_chart(showing: Showing, *, width_px: int = WIDE_PX, key: str = "frontier") -> str:
    """Cost against smallest difference as SVG; a design that notices nothing is named below the picture.

    Parameters
    ----------
    showing : Showing
        The frozen result.
    width_px : int
        Outer width. [px]
    key : str
        Letters, digits and hyphens; unique on the page.

    Returns
    -------
    str
        An `<svg>` element, one image whose name says in words what it shows.

    References
    ----------
    common_practice (keys from sources.py).
    """
    return svg_of(frontier_spec(showing, width_px=width_px), key=key)


def description(showing: Showing) -> str:
    """The chart in words."""
    rows = "; ".join(f"{one.letter}, {design_words(one)}, {_spent_words(one)}: "
                     f"{NOTHING if one.noticed is None else noticed_words(one.noticed, showing)}" for one in showing.designs)
    return f"What each design takes, and the smallest {showing.title[:1].lower()}{showing.title[1:]} it would notice. {rows}."


def _spent_words(design: Design) -> str:
    if design.cost is not None:
        return f"cost {plain_number(design.cost)}"
    return f"{design.tanks} tanks for {design.days} days"


def points_of(showing: Showing) -> tuple[_Point, ...]:
    """The designs that notice something, as points; a step that no change makes is none, and would press all others together."""
    points = []
    for one in showing.designs:
        if one.difference is not None and not is_huge(one.noticed, showing):
            low, high = one.low or one.difference, math.inf if one.high is None else one.high
            points.append(_Point(one.letter, spent(one), one.difference, low, high, one.best, one.layout.kind != "drawn_start"))
    return tuple(points)


def frontier_spec(showing: Showing, *, width_px: int) -> Spec:
    """The chart as a Vega-Lite description: points with letters, the line of those that no other beats, and the designs below."""
    size = text_px(width_px)
    points = _apart(_within_sight(points_of(showing)), width_px)
    height = _PLOT_PX if points else 0
    layers: list[Spec] = []
    if points:
        edges = _edges(points)
        ticks = level_ticks(showing, edges[3])
        layers = [*_grid(edges, [height for height, _ in ticks]), *_frontier(points), *_ranges(points, edges[3]), *_marks(points),
                  *_letters(points, edges, width_px)]
        for layer in layers:
            _scaled(layer, edges, ticks, "cost" if showing.plan.cost is not None else "tanks × days")
    below = height + size * (4.4 if points else 1.0)
    room = width_px - (48 if points else 16)
    for words, weight, colour in _legend(showing, points):
        for line in _in_lines(words, room, size):
            layers.append(_line(line, below, weight, colour))
            below += size * 1.5
    return framed(layers, width_px=width_px, height_px=height or round(below), description=description(showing),
                  title=_title(showing))


def _title(showing: Showing) -> str:
    """What is drawn upwards, in which unit, and where it begins."""
    what = f"{showing.title[:1].upper()}{showing.title[1:]}"
    unit = "% of the reference" if showing.is_relative else unit_words(showing.unit)
    shown_unit = f" [{unit}]" if unit else ""
    if showing.reference is None:
        return f"Difference in {what[:1].lower()}{what[1:]} you would notice{shown_unit}. Lower = smaller difference = better"
    return f"{what} you would notice{shown_unit}. Lower = smaller difference = better; bottom line = reference"


def _within_sight(points: tuple[_Point, ...]) -> tuple[_Point, ...]:
    """The points without those so far up that the others would lie on the floor of the picture."""
    if not points:
        return points
    usual = sorted(one.y for one in points)[(len(points) - 1) // 2]
    return tuple(one for one in points if one.y <= _FAR * usual)


def _apart(points: tuple[_Point, ...], width_px: int) -> tuple[_Point, ...]:
    """The points, those at one and the same place along the axis set a few pixels apart, so that their ranges do not cover each other."""
    if not points:
        return points
    step = 8.0 * max(one.x for one in points) * _ROOM / (width_px - 60)
    moved: list[_Point] = []
    for one in sorted(points, key=lambda point: (point.x, point.y)):
        x = max(one.x, moved[-1].x + step) if moved and one.x - moved[-1].x < step else one.x
        moved.append(replace(one, x=x))
    return tuple(moved)


def _edges(points: tuple[_Point, ...]) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of the plot."""
    if not points:
        return 0.0, 1.0, 0.0, 1.0
    right, top = max(one.x for one in points) * _ROOM, max(one.y for one in points) * _ROOM
    return 0.0, right, 0.0, min(max(top, *(1.04 * one.high for one in points)), _MOST_ROOM * top)


def _scaled(layer: Spec, edges: tuple[float, float, float, float], levels: list[tuple[float, str]], x_title: str) -> None:
    """Both axes of a layer over the same range; upwards the labels are levels in the natural unit."""
    left, right, bottom, top = edges
    along = value_ticks(left, right, _TICKS)
    labels = ", ".join(f"'{height:.6g}': '{text}'" for height, text in levels)
    axes: dict[str, Spec] = {
        "x": {"title": x_title, "values": along, "format": tick_format(along), "grid": False},
        "y": {"title": None, "values": [height for height, _ in levels], "labelExpr": f"{{{labels}}}[format(datum.value, '.6~g')]",
              "grid": False},
    }
    for channel, domain in (("x", [left, right]), ("y", [bottom, top])):
        encoding = layer["encoding"].get(channel, {})
        if "field" in encoding:
            encoding["scale"] = {"domain": domain, "nice": False, "zero": False}
            encoding["axis"] = axes[channel]


def _grid(edges: tuple[float, float, float, float], heights: list[float]) -> list[Spec]:
    left, right, _, _ = edges
    rows = [{"x": left, "x2": right, "y": height} for height in heights if height]
    return [{"data": {"values": rows}, "mark": {"type": "rule", "color": GRID},
             "encoding": {"x": _q("x"), "x2": {"field": "x2"}, "y": _q("y")}}]


def _q(field: str) -> Spec:
    return {"field": field, "type": "quantitative"}


def _frontier(points: tuple[_Point, ...]) -> list[Spec]:
    """A solid line through the designs that no other beats."""
    rows = [{"x": one.x, "y": one.y} for one in sorted(points, key=lambda one: one.x) if one.best]
    if len(rows) < 2:
        return []
    return [{"data": {"values": rows}, "mark": {"type": "line", "color": INK, "strokeWidth": 1.5},
             "encoding": {"x": _q("x"), "y": _q("y")}}]


def _ranges(points: tuple[_Point, ...], top: float) -> list[Spec]:
    """Where the smallest difference may lie: dashed for tanks in general, dotted for a drawn start."""
    layers: list[Spec] = []
    for of_all, dash in ((True, [6, 3]), (False, [2, 3])):
        rows = [{"x": one.x, "y": min(one.low, top), "y2": min(one.high, top)} for one in points if one.of_all_tanks == of_all]
        if rows:
            layers.append({"data": {"values": rows},
                           "mark": {"type": "rule", "color": QUIET_INK, "strokeWidth": 1.5, "strokeDash": dash},
                           "encoding": {"x": _q("x"), "y": _q("y"), "y2": {"field": "y2"}}})
    beyond = [{"x": one.x, "y": top} for one in points if one.high > top]
    if beyond:
        layers.append({"data": {"values": beyond}, "mark": {"type": "point", "shape": "triangle-up", "filled": True, "size": 50,
                                                            "opacity": 1, "color": QUIET_INK, "yOffset": 3},
                       "encoding": {"x": _q("x"), "y": _q("y")}})
    return layers


def _marks(points: tuple[_Point, ...]) -> list[Spec]:
    layers: list[Spec] = []
    for one in points:
        layers.append({"data": {"values": [{"x": one.x, "y": one.y}]},
                       "mark": {"type": "point", "shape": _MARKS[one.of_all_tanks], "size": 90, "opacity": 1, "strokeWidth": 2,
                                "color": INK, "fill": INK if one.best else "#ffffff"},
                       "encoding": {"x": _q("x"), "y": _q("y")}})
    return layers


def _letters(points: tuple[_Point, ...], edges: tuple[float, float, float, float], width_px: int) -> list[Spec]:
    """A letter beside each point, on the side where it covers no other mark, and if it can be no other range either."""
    px_x, px_y = (width_px - 60) / edges[1], _PLOT_PX / edges[3]

    def covered(one: _Point, sign: int) -> int:
        """How bad a side is: marks under the letter count before ranges."""
        beside = [other for other in points if other is not one and 0 < sign * (other.x - one.x) * px_x < _LETTER_PX]
        marks = sum(abs(other.y - one.y) * px_y < _MARK_PX for other in beside)
        return 10 * marks + sum(other.low * px_y - 10 < one.y * px_y < other.high * px_y + 10 for other in beside)

    def is_crowded(one: _Point) -> bool:
        return covered(one, 1) > covered(one, -1)

    layers: list[Spec] = []
    for on_left in (False, True):
        rows = [{"x": one.x, "y": max(one.y, 10 / px_y), "t": one.letter} for one in points if is_crowded(one) == on_left]
        if rows:
            mark = {"type": "text", "align": "right" if on_left else "left", "dx": -9 if on_left else 9, "baseline": "middle",
                    "fontWeight": "bold"}
            # A white rim first, so that a range behind the letter does not cut through it.
            layers += [{"data": {"values": rows}, "mark": {**mark, **rim},
                        "encoding": {"x": _q("x"), "y": _q("y"), "text": {"field": "t", "type": "nominal"}}}
                       for rim in ({"stroke": "#ffffff", "strokeWidth": 4}, {})]
    return layers


def _legend(showing: Showing, points: tuple[_Point, ...]) -> list[tuple[str, str, str]]:
    """Lines below the picture: one for each design, the plan's in bold, then what the marks mean."""
    drawn = {point.letter for point in points}
    lines = [(f"{one.letter}  {design_words(one)}: {_noticed_there(one, showing, one.letter in drawn)}",
              "bold" if one.key == "plan" else "normal", INK) for one in showing.designs]
    if not points:
        return lines
    told = [] if showing.expect != "either" or showing.reference is None else ["Both ways are noticed alike: up is drawn."]
    if any(one.best for one in points):
        told.append("Filled: no other finds more for less.")
    if any(one.noticed is not None and not is_huge(one.noticed, showing) and one.letter not in drawn for one in showing.designs):
        told.append("Above: too large for the picture.")
    told.append("Dashed: if like tanks differ less or more.")
    if any(one.high > _edges(points)[3] for one in points):
        told.append("Arrow: the line goes on.")
    if not all(one.of_all_tanks for one in points):
        told.append("Diamond: speaks of its two tanks alone.")
    return [*lines, *((text, "normal", QUIET_INK) for text in told)]


def _noticed_there(design: Design, showing: Showing, is_drawn: bool) -> str:
    """What a design would notice, and whether its point lies outside the picture."""
    if design.noticed is None:
        return NOT_DRAWN
    return noticed_words(design.noticed, showing) + ("" if is_drawn or is_huge(design.noticed, showing) else f", {FAR_UP}")


def _in_lines(text: str, room_px: float, size_px: float) -> tuple[str, ...]:
    """The text on one line, or what stands behind its colon on a second one where it would not fit."""
    head, colon, rest = text.partition(": ")
    if not colon or fitted(text, room_px, size_px) == text:
        return (fitted(text, room_px, size_px),)
    return fitted(f"{head}:", room_px, size_px), 5 * NO_BREAK + fitted(rest, room_px - 24, size_px)


def _line(text: str, y: float, weight: str, colour: str) -> Spec:
    return {"data": {"values": [{"t": text}]},
            "mark": {"type": "text", "align": "left", "baseline": "middle", "fontWeight": weight, "color": colour},
            "encoding": {"x": {"value": 0}, "y": {"value": math.floor(y)}, "text": {"field": "t", "type": "nominal"}}}
