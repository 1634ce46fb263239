"""The picture of several trials: one row for each with its interval, all of them together, and where a further one would probably lie."""

import math
import textwrap
from dataclasses import dataclass

from fairtank.publish.arms import BLUE
from fairtank.publish.charts import (
    GRID,
    INK,
    QUIET_INK,
    SHADE,
    WIDE_PX,
    Spec,
    fitted,
    fitted_in_the_middle,
    framed,
    is_narrow,
    svg_of,
    text_px,
    value_ticks,
)
from fairtank.publish.numbers import plain_number, shown
from fairtank.publish.pool_words import PoolStory, effect_heading, effect_words, letter_of, prediction_words, table_rows

FARTHEST = 3.0  # times the usual distance of an interval's end: what reaches farther is cut and gets an arrow
_LEVELS = (0.1, 0.2, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 99, 99.5, 99.8)
_RATIOS = tuple(factor * 10.0**power for power in range(-4, 5) for factor in (1, 2, 5))
_TICK_PX, _LETTER_PX = 38, 20
_NEAR = 3.0  # below this ratio of the ends round steps serve better than doublings
_EFFECT_PX = 15  # room for one letter of the widest words, in fifteenths


@dataclass(frozen=True)
class _Row:
    """One row: name, words, estimate and interval [summary scale], its share of the weight, and what is drawn.

    kind: `trial`, `unweighed` (shown without being counted), `together` or `further`.
    """

    letter: str
    name: str
    words: str
    estimate: float | None
    low: float | None
    high: float | None
    share: float
    kind: str


@dataclass(frozen=True)
class _Sheet:
    """Where things stand [px]: the plot's left and right edge, a row's height, the height of all rows; first and last effect shown."""

    left: float
    right: float
    row: float
    height: float
    first: float
    last: float
    narrow: bool

    def x(self, effect: float) -> float:
        """The place of an effect; beyond an edge the edge."""
        share = (effect - self.first) / (self.last - self.first)
        return self.left + (self.right - self.left) * min(max(share, 0.0), 1.0)

    def middle(self, place: int) -> float:
        """The height at which a row's interval is drawn."""
        return self.row * (place + (0.64 if self.narrow else 0.5))


def pool_chart(story: PoolStory, *, width_px: int = WIDE_PX, key: str = "trials-together") -> str:
    """Several trials as an SVG picture, in natural units.

    Parameters
    ----------
    story : PoolStory
        The trials and their frozen result.
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
    arithmetic (keys from sources.py).
    """
    return svg_of(pool_spec(story, width_px=width_px), key=key)


def description(story: PoolStory) -> str:
    """The picture in words."""
    rows = "; ".join(" ".join(cell for cell in row[:4] if cell) for row in table_rows(story)[1:])
    return f"{effect_heading(story)}: {rows}. {prediction_words(story)}".strip()


def pool_spec(story: PoolStory, *, width_px: int) -> Spec:
    """The picture as a Vega-Lite description."""
    rows, size = _rows(story), text_px(width_px)
    sheet = _sheet(story, rows, width_px)
    layers = [*_ground(story, sheet, len(rows)), *_intervals(rows, sheet), *_arrows(rows, sheet), *_marks(rows, sheet)]
    layers += [*_together(rows, sheet), *_row_texts(rows, sheet, width_px)]
    ticks = _ticks(story, sheet)
    layers += _axis(story, sheet, ticks, size)
    below = sheet.height + size * 2.6
    letters = int(width_px / (size * 0.6))
    for words in (line for text in _legend(story, rows, sheet) for line in textwrap.wrap(text, letters)):
        layers.append(_texts([{"x": 0, "y": below, "t": fitted(words, width_px - 16, size)}], colour=QUIET_INK))
        below += size * 1.45
    for layer in layers:
        for channel, domain in (("x", [0, width_px - 8]), ("y", [below, 0])):
            encoding = layer["encoding"].get(channel)
            if encoding and "field" in encoding:
                encoding["scale"], encoding["axis"] = {"domain": domain, "nice": False, "zero": False}, None
    spec = framed(layers, width_px=width_px, height_px=round(below), description=description(story), title=effect_heading(story))
    spec["title"] = [fitted(line, width_px - 8, size) for line in textwrap.wrap(effect_heading(story), letters)]
    return spec


def _rows(story: PoolStory) -> list[_Row]:
    pooled = story.pooled
    rows = [_Row(letter_of(place), shown(row.trial), effect_words(story, row.estimate, row.low, row.high), row.estimate, row.low, row.high,
                 row.weight_share or 0.0, "unweighed" if row.low is None else "trial") for place, row in enumerate(pooled.rows)]
    if pooled.estimate is not None and len(pooled.rows) > 1:
        rows.append(_Row("", f"{pooled.facts.trials} trials together", effect_words(story, pooled.estimate, pooled.low, pooled.high),
                         pooled.estimate, pooled.low, pooled.high, 1.0, "together"))
    if pooled.prediction_low is not None and pooled.prediction_high is not None:
        told = table_rows(story)[-1][3]
        rows.append(_Row("", "a further trial", told, None, pooled.prediction_low, pooled.prediction_high, 0.0, "further"))
    return rows


def _sheet(story: PoolStory, rows: list[_Row], width_px: int) -> _Sheet:
    narrow, size, inner = is_narrow(width_px), text_px(width_px), width_px - 8.0
    row = size * 4.6 if narrow else size * 2.5
    words = max(len(one.words) for one in rows) * size * _EFFECT_PX / 28
    names = max(len(one.name) for one in rows) * size * 0.56 + _LETTER_PX
    left, right = (6.0, inner - 6.0) if narrow else (min(names + 26.0, inner * 0.38), inner - words - 16.0)
    first, last = _range(story, rows)
    return _Sheet(left, right, row, row * len(rows), first, last, narrow)


def _range(story: PoolStory, rows: list[_Row]) -> tuple[float, float]:
    """From which effect to which: no effect, all estimates, the pooled interval and the usual reach of a trial's."""
    pooled = story.pooled
    kept = [0.0, *(one.estimate for one in rows if one.estimate is not None)]
    kept += [end for end in (pooled.low, pooled.high) if end is not None and pooled.estimate is not None]
    centre = (min(kept) + max(kept)) / 2
    ends = [end for one in rows for end in (one.low, one.high) if end is not None]
    usual = sorted(abs(end - centre) for end in ends)[len(ends) // 2] if ends else 1.0
    kept += [min(max(end, centre - FARTHEST * usual), centre + FARTHEST * usual) for end in ends]
    first, last = min(kept), max(kept)
    room = 0.05 * (last - first) or 1.0
    return first - room, last + room


# what is drawn -------------------------------------------------------------------------------------------------------


def _q(field: str) -> Spec:
    return {"field": field, "type": "quantitative"}


def _rule(rows: list[Spec], **mark: object) -> Spec:
    encoding = {"x": _q("x"), "y": _q("y")} | ({"x2": {"field": "x2"}} if rows and "x2" in rows[0] else {})
    encoding |= {"y2": {"field": "y2"}} if rows and "y2" in rows[0] else {}
    return {"data": {"values": rows}, "mark": {"type": "rule", **mark}, "encoding": encoding}


def _texts(rows: list[Spec], *, colour: str = INK, **mark: object) -> Spec:
    return {"data": {"values": rows}, "mark": {"type": "text", "align": "left", "baseline": "middle", "color": colour, **mark},
            "encoding": {"x": _q("x"), "y": _q("y"), "text": {"field": "t", "type": "nominal"}}}


def _ground(story: PoolStory, sheet: _Sheet, rows: int) -> list[Spec]:
    """The band that does not matter and the line of no effect, behind all rows; on a phone only beside the intervals, below the words."""
    margin, layers = story.pooled.margin, []
    reach = [(sheet.middle(place) - 14, sheet.middle(place) + 14) for place in range(rows)] if sheet.narrow else [(0.0, sheet.height)]
    if margin is not None:
        bands = [{"x": sheet.x(-margin), "x2": sheet.x(margin), "y": top, "y2": end} for top, end in reach]
        layers.append({"data": {"values": bands}, "mark": {"type": "rect", "color": SHADE},
                       "encoding": {"x": _q("x"), "x2": {"field": "x2"}, "y": _q("y"), "y2": {"field": "y2"}}})
    return [*layers, _rule([{"x": sheet.x(0.0), "y": top, "y2": end} for top, end in reach], color=INK, strokeWidth=1)]


def _intervals(rows: list[_Row], sheet: _Sheet) -> list[Spec]:
    """A solid line for each trial, a dashed one with end strokes for a further trial."""
    layers = []
    for kind, mark in (("trial", {"color": INK, "strokeWidth": 2}), ("further", {"color": BLUE, "strokeWidth": 2.5, "strokeDash": [7, 4]})):
        lines = [{"x": sheet.x(one.low), "x2": sheet.x(one.high), "y": sheet.middle(place)} for place, one in enumerate(rows)
                 if one.kind == kind and one.low is not None and one.high is not None]
        if lines:
            layers.append(_rule(lines, **mark))
    for place, one in enumerate(rows):
        if one.kind == "further":
            middle = sheet.middle(place)
            layers.append(_rule([{"x": sheet.x(end), "y": middle - 6, "y2": middle + 6} for end in (one.low, one.high)
                                 if end is not None and sheet.first < end < sheet.last], color=BLUE, strokeWidth=2.5))
    return [layer for layer in layers if layer["data"]["values"]]


def _arrows(rows: list[_Row], sheet: _Sheet) -> list[Spec]:
    """An arrow where an interval goes on beyond the picture."""
    layers = []
    for shape, is_out in (("triangle-left", lambda one: one.low < sheet.first), ("triangle-right", lambda one: one.high > sheet.last)):
        points = [{"x": sheet.left if shape == "triangle-left" else sheet.right, "y": sheet.middle(place)}
                  for place, one in enumerate(rows) if one.low is not None and is_out(one)]
        if points:
            layers.append({"data": {"values": points}, "mark": {"type": "point", "shape": shape, "filled": True, "size": 90, "opacity": 1,
                                                                "color": INK}, "encoding": {"x": _q("x"), "y": _q("y")}})
    return layers


def _marks(rows: list[_Row], sheet: _Sheet) -> list[Spec]:
    """A square for each trial, the larger the more it weighs; a hollow circle where it is shown without being counted."""
    most = max((one.share for one in rows if one.kind == "trial"), default=0.0) or 1.0
    layers: list[Spec] = []
    for place, one in enumerate(rows):
        if one.kind not in ("trial", "unweighed") or one.estimate is None:
            continue
        counted = one.kind == "trial"
        size = 50 + 130 * one.share / most if counted and one.share else 90
        layers.append({"data": {"values": [{"x": sheet.x(one.estimate), "y": sheet.middle(place)}]},
                       "mark": {"type": "point", "shape": "square" if counted else "circle", "size": size, "opacity": 1, "strokeWidth": 2,
                                "color": INK, "fill": INK if counted else "#ffffff"},
                       "encoding": {"x": _q("x"), "y": _q("y")}})
    return layers


def _together(rows: list[_Row], sheet: _Sheet) -> list[Spec]:
    """The diamond of all trials together: as wide as their interval."""
    layers: list[Spec] = []
    for place, one in enumerate(rows):
        if one.kind != "together" or one.estimate is None or one.low is None or one.high is None:
            continue
        middle = sheet.middle(place)
        corners = [{"x": sheet.x(effect), "y": middle - half, "y2": middle + half}
                   for effect, half in ((one.low, 0), (one.estimate, 9), (one.high, 0))]
        layers.append({"data": {"values": corners}, "mark": {"type": "area", "color": BLUE, "opacity": 1},
                       "encoding": {"x": _q("x"), "y": _q("y"), "y2": {"field": "y2"}}})
    return layers


def _row_texts(rows: list[_Row], sheet: _Sheet, width_px: int) -> list[Spec]:
    """Letter and name to the left and the words to the right; on a phone above and below the interval."""
    size = text_px(width_px)
    names: list[Spec] = []
    words: list[Spec] = []
    bold: list[Spec] = []
    for place, one in enumerate(rows):
        top = sheet.middle(place) - size * 1.9 if sheet.narrow else sheet.middle(place)
        indent = _LETTER_PX * max(len(one.letter), 1) if one.letter else 0
        # On a phone the words share the line above the interval with the name: the name is cut where both do not fit.
        room = width_px - 16 - len(one.words) * size * 0.53 - 10 if sheet.narrow else sheet.left - 12.0
        name = fitted_in_the_middle(one.name, max(room - indent, size * 4), size)
        (bold if one.kind == "together" else names).append({"x": indent, "y": top, "t": name})
        if one.letter:
            bold.append({"x": 0, "y": top, "t": one.letter})
        words.append({"x": width_px - 8, "y": top, "t": one.words})
    layers = [_texts(names)] if names else []
    layers += [_texts(bold, fontWeight="bold")] if bold else []
    return [*layers, _texts(words, align="right")]


# the axis ------------------------------------------------------------------------------------------------------------


def _ticks(story: PoolStory, sheet: _Sheet) -> list[tuple[float, str]]:
    """Round values in the natural unit with their places, so far apart that their numbers do not touch."""
    first, last = story.natural(sheet.first), story.natural(sheet.last)
    if not (story.is_level or story.is_ratio):
        found = [(value, value) for value in value_ticks(first, last, 8)]
    else:
        steps: tuple[float, ...] = _LEVELS if story.is_level else _RATIOS
        if math.exp(sheet.last - sheet.first) < _NEAR:
            steps = tuple(value_ticks(first, last, 8))
        found = [(_effect(story, value), value) for value in steps if first <= value <= last and _is_told(story, value)]
    kept: list[tuple[float, str]] = []
    for effect, value in sorted(found, key=lambda one: one[0] != 0):  # no effect first, so that it keeps its number
        if all(abs(sheet.x(effect) - sheet.x(other)) >= _TICK_PX for other, _ in kept):
            kept.append((effect, plain_number(value)))
    return kept


def _is_told(story: PoolStory, value: float) -> bool:
    return 0 < value < 100 if story.is_level else value > 0


def _effect(story: PoolStory, value: float) -> float:
    """The effect behind a natural value: the way back of `PoolStory.natural`."""
    if story.is_level and story.level is not None:
        share, level = value / 100, story.level / 100
        return math.log(share / (1 - share)) - math.log(level / (1 - level))
    return math.log(value) if story.is_ratio else value


def _axis(story: PoolStory, sheet: _Sheet, ticks: list[tuple[float, str]], size: int) -> list[Spec]:
    base = sheet.height
    line = _rule([{"x": sheet.left, "x2": sheet.right, "y": base}], color="#8d9096", strokeWidth=1)
    grid = _rule([{"x": sheet.x(effect), "y": base, "y2": base + 5} for effect, _ in ticks], color="#8d9096", strokeWidth=1)
    edge = {"baseline": "top", "align": "center"}
    told = _texts([{"x": min(max(sheet.x(effect), 8), sheet.right), "y": base + 8, "t": words} for effect, words in ticks],
                  colour=QUIET_INK, **edge)
    faint = [_rule([{"x": sheet.left, "x2": sheet.right, "y": sheet.row * place}], color=GRID, strokeWidth=1)
             for place in range(1, round(sheet.height / sheet.row))]
    return [*faint, line, *([grid, told] if ticks else [])]


def _legend(story: PoolStory, rows: list[_Row], sheet: _Sheet) -> list[str]:
    """What the marks mean, a line each."""
    kinds = {one.kind for one in rows}
    told = ["Upright line: no effect."]
    if story.pooled.margin is not None:
        told[0] += " Shaded: too small to matter."
    if "together" in kinds:
        told.append("Squares: the trials, larger where they weigh more. Lines: their intervals.")
        told.append("Diamond: all together, as wide as its interval.")
    if "further" in kinds:
        told.append("Dashed: where a further trial would probably lie.")
    if "unweighed" in kinds:
        told.append("Hollow circle: no interval, not counted.")
    if any(one.low is not None and one.high is not None and (one.low < sheet.first or one.high > sheet.last) for one in rows):
        told.append("Arrow: the interval goes on.")
    if "together" not in kinds and len(rows) > 1:
        told.append("Fewer than three with an interval: no verdict.")
    return told
