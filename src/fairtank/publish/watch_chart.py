"""The drift watch as a picture: one small chart for each factor, the differences over the days inside the band in which like tanks lie."""

import re
from collections.abc import Sequence
from xml.sax.saxutils import escape

from fairtank.planning.drift.watch import Chart, Watch, WatchedFactor
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.charts import (
    FONT,
    GRID,
    INK,
    NARROW_PX,
    QUIET_INK,
    SHADE,
    WIDE_PX,
    Spec,
    framed,
    in_lines,
    is_narrow,
    spread_out,
    svg_of,
    text_ink,
    text_px,
    tidy_svg,
    value_ticks,
)
from fairtank.publish.numbers import shortened, tick_format, unit_words
from fairtank.publish.watch_words import STATE_WORDS, title_of
from fairtank.trial import Plan

_PLOT_PX, _GAP_PX, _LABEL_DAYS = 130, 28, 0.13


def watch_chart(watch: Watch, plan: Plan, *, width_px: int) -> str:
    """All factors with at least one chart as small charts beside and below each other.

    Parameters
    ----------
    watch : Watch
        The frozen result.
    plan : Plan
        Of the same trial.
    width_px : int
        Outer width: two columns where it is wide, one on a phone. [px]

    Returns
    -------
    str
        An SVG; empty where no factor has a chart.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    factors = [factor for factor in watch.factors if factor.charts]
    panels = [svg_of(panel(factor, watch, plan), key=f"drift-{place}") for place, factor in enumerate(factors)]
    if not panels:
        return ""
    charts = stacked(panels, 1 if is_narrow(width_px) else 2, width_px, description(watch))
    return tidy_svg(under_lines(head_lines(plan, width_px), charts, width_px), key="drift", description=description(watch))


def head_lines(plan: Plan, width_px: int) -> list[str]:
    """What stands above the charts: what a line and the band are, and the arms by letter and line."""
    looks = arm_looks(plan)
    changed = [looks[arm.key] for arm in plan.arms if arm.role != "reference"]
    reference = next((looks[arm.key].letter for arm in plan.arms if arm.role == "reference"), "the others")
    lines = "; ".join(f"{look.letter}: {look.line_words}" for look in changed)
    return in_lines(f"How far an arm lies above or below arm {reference}, over the days; {lines}. Band: where the line of like tanks "
                    "lies. Dotted: the end of the days that it is held against.", width_px - 8, text_px(width_px))


def description(watch: Watch) -> str:
    """What the picture shows, in words."""
    told = "; ".join(f"{title_of(factor)}: {STATE_WORDS[factor.state]}" for factor in watch.factors if factor.charts)
    return f"Differences between arms over the days, one small chart for each factor. {told}."


def panel(factor: WatchedFactor, watch: Watch, plan: Plan) -> Spec:
    """One factor: a line for each changed arm and for each tank that departs, the band of like tanks, the single days as small marks."""
    looks, drawn = arm_looks(plan), drawn_charts(factor)
    top = max(max(max(map(abs, chart.smooth)), max(chart.limits), *map(abs, chart.values)) for chart in drawn) * 1.08
    room = watch.days * _LABEL_DAYS
    x: Spec = {"type": "quantitative", "scale": {"domain": [0, watch.days + room], "nice": False},
               "axis": {"title": "day", "values": value_ticks(0, watch.days, 4), "grid": False, "format": ".0f"}}
    ticks = value_ticks(-top, top, 4)
    y: Spec = {"type": "quantitative", "scale": {"domain": [-top, top], "nice": False},
               "axis": {"title": None, "values": ticks, "format": tick_format(ticks), "gridColor": GRID}}
    # One band only: that of what departs, else of the first arm; a departing tank widens its arm's band, not its own.
    layers = [_band(next((chart for chart in drawn if chart.departure is not None), drawn[0]), x, y)]
    layers += _rules(factor, watch, x, y)
    places = spread_out([chart.smooth[-1] for chart in drawn], 2 * top * text_px(NARROW_PX) / _PLOT_PX, -top, top)
    for chart, place in zip(drawn, places, strict=True):
        layers += _line(chart, looks[chart.arm], x, y, place)
    unit = f" [{unit_words(factor.unit)}]" if factor.unit else ""
    title = f"{title_of(factor)}{unit}: {STATE_WORDS[factor.state]}"
    return framed(layers, width_px=NARROW_PX, height_px=_PLOT_PX, description=title, title=title)


def drawn_charts(factor: WatchedFactor) -> list[Chart]:
    """Those of a factor's charts that are drawn: its arms, and each tank that departs; without arms all tanks."""
    arms = [chart for chart in factor.charts if chart.kind == "arms"]
    return arms + [chart for chart in factor.charts if chart.kind == "tank" and (chart.departure is not None or not arms)]


def _band(chart: Chart, x: Spec, y: Spec) -> Spec:
    rows = [{"day": day, "low": -limit, "high": limit} for day, limit in zip(chart.watched, chart.limits, strict=True)]
    if len(rows) == 1:  # an area needs two ends
        rows = [{**rows[0], "day": rows[0]["day"] - 0.5}, {**rows[0], "day": rows[0]["day"] + 0.5}]
    return {"data": {"values": rows}, "mark": {"type": "area", "color": SHADE, "stroke": "#c9c4b8", "strokeWidth": 1},
            "encoding": {"x": {**x, "field": "day"}, "y": {**y, "field": "low"}, "y2": {"field": "high"}}}


def _rules(factor: WatchedFactor, watch: Watch, x: Spec, y: Spec) -> list[Spec]:
    """No difference as a line; where the baseline ends as a dotted one."""
    zero: Spec = {"data": {"values": [{"day": 0, "end": watch.days, "value": 0.0}]},
                  "mark": {"type": "rule", "color": INK, "strokeWidth": 1},
                  "encoding": {"x": {**x, "field": "day"}, "x2": {"field": "end"}, "y": {**y, "field": "value"}}}
    if factor.baseline_until is None:
        return [zero]
    return [zero, {"data": {"values": [{"day": factor.baseline_until + 0.5}]},
                   "mark": {"type": "rule", "color": QUIET_INK, "strokeWidth": 1, "strokeDash": [2, 3]},
                   "encoding": {"x": {**x, "field": "day"}}}]


def _line(chart: Chart, look: ArmLook, x: Spec, y: Spec, place: float) -> list[Spec]:
    """The weighted means as a line, the days as small marks, and the letter of the arm or the key of the tank at its end."""
    smooth = [{"day": day, "value": value} for day, value in zip(chart.watched, chart.smooth, strict=True)]
    days = [{"day": day, "value": value} for day, value in zip(chart.days, chart.values, strict=True)]
    where = {"x": {**x, "field": "day"}, "y": {**y, "field": "value"}}
    is_tank = chart.kind == "tank"
    departs = chart.departure
    name = look.letter if not is_tank else departs.unit if departs is not None else chart.unit
    end = {"day": chart.watched[-1], "value": place, "t": shortened(name, 6)}
    return [
        {"data": {"values": [] if is_tank else days}, "encoding": where,
         "mark": {"type": "point", "shape": look.mark, "color": look.colour, "size": 14, "opacity": 0.6, "filled": True}},
        {"data": {"values": smooth}, "encoding": where,
         "mark": {"type": "line", "color": look.colour, "strokeDash": list(look.dash), "strokeWidth": 1.2 if is_tank else 2.2,
                  "point": {"shape": look.mark, "color": look.colour, "size": 22} if len(smooth) < 8 else False}},
        {"data": {"values": [end]}, "encoding": {**where, "text": {"field": "t", "type": "nominal"}},
         "mark": {"type": "text", "align": "left", "dx": 6, "baseline": "middle", "color": text_ink(look.colour)}},
    ]


def stacked(panels: Sequence[str], columns: int, width_px: int, text: str) -> str:
    """Small charts in columns, each in its own frame of one picture."""
    sizes = [_size(panel) for panel in panels]
    across = (width_px - columns * NARROW_PX) / max(columns - 1, 1) if columns > 1 else 0.0
    parts, top = [], 0.0
    for first in range(0, len(panels), columns):
        row = range(first, min(first + columns, len(panels)))
        for place in row:
            left = (place - first) * (NARROW_PX + across)
            parts.append(panels[place].replace("<svg", f'<svg x="{left:g}" y="{top:g}"', 1))
        top += max(sizes[place][1] for place in row) + _GAP_PX
    width, height = (WIDE_PX if columns > 1 else NARROW_PX), top - _GAP_PX
    body = "".join(re.sub(r' (role|aria-label)="[^"]*"', "", part) for part in parts)
    whole = f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{height:g}" viewBox="0 0 {width:g} {height:g}">{body}</svg>'
    return tidy_svg(whole, key="drift", description=text)


def under_lines(lines: list[str], charts: str, width_px: int) -> str:
    """The charts below lines of text, in one picture."""
    size = text_px(width_px)
    top = len(lines) * size * 1.4 + size
    found = re.search(r'height="([\d.]+)"', charts)
    assert found is not None, "a picture has a height"
    height = float(found[1]) + top
    type_face = f'font-family="{FONT}" font-size="{size}" fill="{QUIET_INK}"'
    text = "".join(f'<text x="4" y="{(place + 1) * size * 1.4:g}" {type_face}>{escape(line)}</text>' for place, line in enumerate(lines))
    inner = re.sub(r' (role|aria-label)="[^"]*"', "", charts.replace("<svg", f'<svg y="{top:g}"', 1))
    return (f'<svg xmlns="http://www.w3.org/2000/svg" width="{width_px}" height="{height:g}" viewBox="0 0 {width_px} {height:g}">'
            f"{text}{inner}</svg>")


def _size(svg: str) -> tuple[float, float]:
    found = re.search(r'width="([\d.]+)" height="([\d.]+)"', svg) or re.search(r'height="([\d.]+)"[^>]* width="([\d.]+)"', svg)
    assert found is not None, "a chart has a width and a height"
    return float(found[1]), float(found[2])
