"""The curves: every tank's values over the days, with the run-in, the start of the change and the events where they fell."""

import statistics
from collections.abc import Sequence, Set
from dataclasses import replace

from fairtank.inference.series.days import without_excluded_days
from fairtank.publish.arms import ArmLook, arm_words
from fairtank.publish.charts import (
    INK,
    NARROW_PX,
    QUIET_INK,
    SHADE,
    Spec,
    arm_scales,
    fitted,
    framed,
    is_narrow,
    spread_out,
    text_ink,
    text_px,
    value_ticks,
)
from fairtank.publish.event_marks import event_marks, foot_px
from fairtank.publish.numbers import figures, shortened, tick_format, unit_words, with_unit
from fairtank.publish.span import series_inside
from fairtank.trial import Event, Plan, Series

LONGEST_BRIDGE_D = 7
_PLOT_PX, _NARROW_PLOT_PX = 240, 240
_LEADER_PX, _AXIS_PX = 16, 40
_SAME_END_PX, _NARROW_SAME_END_PX = 40, 16  # curves that end so close to each other have their keys in one column
_FAINT = 0.35  # of units that are not part of the finding


def daily(series: Series) -> list[tuple[int, float]]:
    """One value per day, in order: the median of the day's values.

    >>> daily(Series("T1", "algae_cover", (3, 1, 3), (4.0, 2.0, 6.0)))
    [(1, 2.0), (3, 5.0)]
    """
    by_day: dict[int, list[float]] = {}
    for day, value in zip(series.days, series.values, strict=True):
        by_day.setdefault(day, []).append(value)
    return [(day, statistics.median(by_day[day])) for day in sorted(by_day)]


def stretches(points: Sequence[tuple[int, float]]) -> list[list[tuple[int, float]]]:
    """The points in stretches that a line may join: a gap of more than 7 days is not bridged.

    >>> [len(stretch) for stretch in stretches([(0, 1.0), (7, 1.0), (15, 1.0)])]
    [2, 1]
    """
    parts: list[list[tuple[int, float]]] = []
    for point in points:
        if parts and point[0] - parts[-1][-1][0] <= LONGEST_BRIDGE_D:
            parts[-1].append(point)
        else:
            parts.append([point])
    return parts


def change_day(plan: Plan) -> int | None:
    """The day on which the change starts, where the design has such a day: after a run-in, at a swap, or the day that was drawn."""
    starts = {"run_in": plan.run_in_days or None, "swap": plan.swap_day or None, "drawn_start": plan.drawn_day}
    return starts.get(plan.kind, plan.run_in_days or None)


def curves(plan: Plan, series: Sequence[Series], looks: dict[str, ArmLook], *, title: str, unit: str, events: Sequence[Event] = (),
           width_px: int, unused: Set[str] = frozenset()) -> Spec:
    """The curves of one measure as a Vega-Lite description.

    Parameters
    ----------
    plan : Plan
        For arms, run-in and the start of the change.
    series : sequence of Series
        One or more series of one measure, in its natural unit; values outside the trial's days and units without a value are left out.
    looks : dict of str to ArmLook
        How each arm is drawn.
    title, unit : str
        The measure's name and natural unit.
    events : sequence of Event
        Drawn along the foot; days that they take out are hollow marks beside the line.
    width_px : int
        Outer width. [px]
    unused : set of str
        Keys of the units that are not part of the finding: drawn fainter.

    Returns
    -------
    dict
        Vega-Lite.
    """
    points, looks = points_of(plan, series), _as_called(plan, looks)
    first, last, last_shown = day_span(points, width_px)
    values = [value for own in points.values() for _, value in own] or [0.0, 1.0]
    low, high = _range(values, unit)
    head, foot = _head_px(plan, looks, width_px), foot_px(plan, events, (first, last, last_shown), width_px)
    room = _NARROW_PLOT_PX if is_narrow(width_px) else _PLOT_PX
    height, per_px = head + room + foot, (high - low) / room
    ticks = value_ticks(low, high, 5)
    x = {"field": "day", "type": "quantitative", "scale": {"domain": [first, last_shown], "nice": False, "zero": False},
         "axis": {"title": "Day of the trial", "values": _day_ticks(first, last, width_px), "grid": False, "format": "d"}}
    y = {"field": "value", "type": "quantitative",
         "scale": {"domain": [low - foot * per_px, high + head * per_px], "nice": False, "zero": False},
         "axis": {"title": None, "values": ticks, "format": tick_format(ticks), "domain": False, "ticks": False}}
    layers = _landmarks(plan, last, x, head, width_px, height)
    for is_faint in (True, False):
        own = {key: found for key, found in points.items() if (key in unused) == is_faint}
        layers += _lines(own, plan, looks, x, y, width_px, events, _FAINT if is_faint else 1.0) if own else []
    layers += _legend(looks, width_px)
    layers += event_marks(plan, events, x, (first, last, last_shown), height, width_px)
    colours = {key: looks[plan.arm_of(key).key].colour for key in points}
    layers += _end_labels(points, colours, x, y, (low, high), room, (last, last_shown), width_px)
    heading = f"{shortened(title, 80)}{f' [{unit_words(unit)}]' if unit else ''}, one line for each tank"
    return framed(layers, width_px=width_px, height_px=height, description=description(plan, points, looks, title, unit, events, unused),
                  title=heading)


def _as_called(plan: Plan, looks: dict[str, ArmLook]) -> dict[str, ArmLook]:
    """The looks as the legend names them: in a swap a tank has both, so that its line is called by what it had first."""
    if plan.kind != "swap":
        return looks
    return {key: replace(look, label=f"{'arm ' if look.is_nameless else ''}{look.label} first") for key, look in looks.items()}


def points_of(plan: Plan, series: Sequence[Series]) -> dict[str, list[tuple[int, float]]]:
    """The daily values of each unit inside the trial's days."""
    return {one.unit: daily(one) for one in series_inside(plan, series) if one.values}


def day_span(points: dict[str, list[tuple[int, float]]], width_px: int) -> tuple[int, int, float]:
    """The first and the last day with a value, and the day at the chart's right edge, which leaves room for the units' keys."""
    days = [day for own in points.values() for day, _ in own]
    first, last = min([0, *days]), max([1, *days])
    label_room = max((min(len(shortened(unit_key, 10)), 10) for unit_key in points), default=2) * text_px(width_px) * 0.62 + 4
    label_room += _LEADER_PX
    return first, last, first + (last - first) * width_px / max(width_px - label_room - _AXIS_PX, 60)


def taken_out(unit: str, own: Sequence[tuple[int, float]], events: Sequence[Event]) -> list[tuple[int, float]]:
    """A unit's points on days that an event takes out of the analysis."""
    kept = without_excluded_days(unit, dict(own), events)
    return [point for point in own if point[0] not in kept]


def description(plan: Plan, points: dict[str, list[tuple[int, float]]], looks: dict[str, ArmLook], title: str, unit: str,
                events: Sequence[Event] = (), unused: Set[str] = frozenset()) -> str:
    """The curves in words: where every unit began and ended, and whether it could not be used."""
    parts = []
    for unit_key, own in points.items():
        arm = arm_words(looks[plan.arm_of(unit_key).key], is_swap=plan.kind == "swap")
        (day, start), (last_day, last) = own[0], own[-1]
        out = len(taken_out(unit_key, own, events))
        parts.append(f"{shortened(unit_key, 30)} ({arm}) from {with_unit(figures(start), unit)} on day {day} to "
                     f"{with_unit(figures(last), unit)} on day {last_day}"
                     + (f", {out} day{'s' if out > 1 else ''} taken out" if out else "")
                     + (", drawn fainter: it could not be used" if unit_key in unused else ""))
    return f"Curves of {title[:1].lower()}{title[1:]} over the days: " + ("; ".join(parts) or "no values") + "."


def _range(values: list[float], unit: str) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = (high - low or abs(high) or 1.0) * 0.06
    if unit == "%" or 0 <= low < 0.5 * high:
        return 0.0, (min(high + room, 100.0) if unit == "%" and high <= 100 else high + room)
    return low - room, high + room


def _day_ticks(first: int, last: int, width_px: int) -> list[int]:
    wanted = 5 if width_px <= NARROW_PX else 10
    step = next((step for step in (1, 2, 7, 14, 28, 56, 112, 364) if (last - first) / step <= wanted), 364)
    return list(range(first, last + 1, step))


def _landmarks(plan: Plan, last: int, x: Spec, head: int, width_px: int, height: int) -> list[Spec]:
    start = change_day(plan)
    if start is None or start > last:
        return []
    layers: list[Spec] = []
    words = "places change" if plan.kind == "swap" else "the change starts"
    if plan.kind != "swap":
        layers.append({"data": {"values": [{"day": 0, "until": start - 0.5}]}, "mark": {"type": "rect", "color": SHADE},
                       "encoding": {"x": x, "x2": {"field": "until"}, "y": {"value": head}, "y2": {"value": height}}})
        layers.append(_note(0, _before_words(plan, width_px), x, 4, head))
    layers.append({"data": {"values": [{"day": start - 0.5}]}, "mark": {"type": "rule", "color": INK, "strokeWidth": 1},
                   "encoding": {"x": x, "y": {"value": head - 18}, "y2": {"value": height}}})
    layers.append(_note(start - 0.5, words, x, 5, head))
    return _washout(plan, start, x, head, height) + layers


def _before_words(plan: Plan, width_px: int) -> str:
    """What the days before the change are called; those before a drawn start are no run-in."""
    if plan.kind == "drawn_start":
        return "before the start" if not is_narrow(width_px) else "before"
    return "run-in: both alike" if not is_narrow(width_px) else "run-in"


def _washout(plan: Plan, start: int, x: Spec, head: int, height: int) -> list[Spec]:
    """The days after the places change that do not count yet."""
    if plan.kind != "swap" or not plan.washout_days:
        return []
    return [{"data": {"values": [{"day": start - 0.5, "until": start + plan.washout_days - 0.5}]}, "mark": {"type": "rect", "color": SHADE},
             "encoding": {"x": x, "x2": {"field": "until"}, "y": {"value": head}, "y2": {"value": height}}}]


def _note(day: float, words: str, x: Spec, dx: int, head: int) -> Spec:
    return {"data": {"values": [{"day": day, "t": words}]}, "mark": {"type": "text", "align": "left", "dx": dx, "color": QUIET_INK,
                                                                     "baseline": "top"},
            "encoding": {"x": x, "y": {"value": head - 17}, "text": {"field": "t", "type": "nominal"}}}


def _head_px(plan: Plan, looks: dict[str, ArmLook], width_px: int) -> int:
    """Room above the values for the legend, one line for each arm on a phone, and for the name of the change's start."""
    lines = len(looks) if is_narrow(width_px) else (len(looks) + 1) // 2
    return lines * (text_px(width_px) + 8) + (26 if change_day(plan) is not None else 10)


def _legend(looks: dict[str, ArmLook], width_px: int) -> list[Spec]:
    """Letter, name, line style and mark of each arm, drawn as the lines themselves are drawn."""
    layers: list[Spec] = []
    columns = 1 if is_narrow(width_px) else 2
    for index, look in enumerate(looks.values()):
        left = 4 + (index % columns) * (width_px - 60) / 2
        middle = (index // columns) * (text_px(width_px) + 8) + text_px(width_px) / 2
        label: Spec = {"data": {"values": [{"t": fitted(look.legend, (width_px - 60) / columns - 50, text_px(width_px))}]}}
        layers.append({**label, "mark": {"type": "rule", "color": look.colour, "strokeDash": list(look.dash), "strokeWidth": 2},
                       "encoding": {"x": {"value": left}, "x2": {"value": left + 34}, "y": {"value": middle}}})
        layers.append({**label, "mark": {"type": "point", "shape": look.mark, "filled": True, "size": 46, "color": look.colour,
                                         "opacity": 1},
                       "encoding": {"x": {"value": left + 17}, "y": {"value": middle}}})
        layers.append({**label, "mark": {"type": "text", "align": "left", "baseline": "middle"},
                       "encoding": {"x": {"value": left + 42}, "y": {"value": middle}, "text": {"field": "t", "type": "nominal"}}})
    return layers


def _lines(points: dict[str, list[tuple[int, float]]], plan: Plan, looks: dict[str, ArmLook], x: Spec, y: Spec, width_px: int,
           events: Sequence[Event], opacity: float) -> list[Spec]:
    rows, hollow = [], []
    for unit_key, own in points.items():
        arm, out = looks[plan.arm_of(unit_key).key].legend, taken_out(unit_key, own, events)
        hollow += [{"day": day, "value": value, "arm": arm} for day, value in out]
        for index, stretch in enumerate(stretches([point for point in own if point not in out])):
            rows += [{"day": day, "value": value, "arm": arm, "part": f"{unit_key} {index}"} for day, value in stretch]
    scales = arm_scales(looks)
    by_arm: Spec = {"field": "arm", "type": "nominal", "legend": None}
    lines: Spec = {"data": {"values": rows}, "mark": {"type": "line", "strokeWidth": 2, "opacity": opacity},
                   "encoding": {"x": x, "y": y, "detail": {"field": "part", "type": "nominal"},
                                "color": {**by_arm, "scale": scales["color"]},
                                "strokeDash": {**by_arm, "scale": scales["strokeDash"]}}}
    size = 14 if is_narrow(width_px) else 22
    marks: Spec = {"data": {"values": rows}, "mark": {"type": "point", "filled": True, "size": size, "opacity": opacity},
                   "encoding": {"x": x, "y": y, "color": {**by_arm, "scale": scales["color"]},
                                "shape": {**by_arm, "scale": scales["shape"]}}}
    if not hollow:
        return [lines, marks]
    rings: Spec = {**marks, "data": {"values": hollow},
                   "mark": {"type": "point", "filled": False, "fill": "#ffffff", "size": 2 * size, "opacity": 1, "strokeWidth": 1.5}}
    return [lines, marks, rings]


def _end_labels(points: dict[str, list[tuple[int, float]]], colours: dict[str, str], x: Spec, y: Spec, span: tuple[float, float],
                height: int, days: tuple[int, float], width_px: int) -> list[Spec]:
    """Each unit's key in its arm's colour beside the end of its curve, with a thin line to it; those that end at the last days stand in one
    column beside the plot."""
    if not points:
        return []
    (low, high), (last, edge), first = span, days, x["scale"]["domain"][0]
    per_day, room = (width_px - _AXIS_PX) / (edge - first), (high - low) * (text_px(width_px) + 1) / height
    near = (_NARROW_SAME_END_PX if is_narrow(width_px) else _SAME_END_PX) / per_day
    together: list[list[str]] = []
    for key in sorted(points, key=lambda key: -points[key][-1][0]):
        if together and points[together[-1][0]][-1][0] - points[key][-1][0] <= near:
            together[-1].append(key)
        else:
            together.append([key])
    rows: dict[str, list[Spec]] = {}
    for keys in together:
        end = points[keys[0]][-1][0]
        column = end + (_LEADER_PX if end > last - near else _LEADER_PX / 2) / per_day
        places = spread_out([points[key][-1][1] for key in keys], room, low, high)
        for key, place in zip(keys, places, strict=True):
            day, value = points[key][-1]
            row = {"day": day, "column": column, "value": value, "place": place, "t": shortened(key, 10)}
            rows.setdefault(colours[key], []).append(row)
    return _labels_by_colour(rows, x, y)


def _labels_by_colour(rows: dict[str, list[Spec]], x: Spec, y: Spec) -> list[Spec]:
    """All lines, then all white rims, so that a curve behind a key does not cut through it, then all keys.

    A layer for each colour and no more: each costs the renderer as much as dozens of marks.
    """
    beside = {"x": {**x, "field": "column"}, "y": {**y, "field": "place"}, "text": {"field": "t", "type": "nominal"}}
    leading = {"x": x, "x2": {"field": "column"}, "y": y, "y2": {"field": "place"}}
    lines, rims, keys = [], [], []
    for colour, own in rows.items():
        data, mark = {"values": own}, {"type": "text", "align": "left", "dx": 3, "baseline": "middle", "color": text_ink(colour)}
        lines.append({"data": data, "mark": {"type": "rule", "color": colour, "strokeWidth": 1, "opacity": 0.7}, "encoding": leading})
        rims.append({"data": data, "mark": {**mark, "stroke": "#ffffff", "strokeWidth": 3}, "encoding": beside})
        keys.append({"data": data, "mark": mark, "encoding": beside})
    return [*lines, *rims, *keys]
