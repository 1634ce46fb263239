"""The forecast as a picture: one small chart for each measure, a band and a middle line for each arm, the keeper's readings as marks."""

from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.charts import (
    GRID,
    INK,
    NARROW_PX,
    QUIET_INK,
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
from fairtank.publish.forecast_words import CAVEAT, headline
from fairtank.publish.numbers import shown, tick_format, unit_words
from fairtank.publish.watch_chart import stacked, under_lines
from fairtank.simulation.forecast import ArmForecast, Band, Forecast
from fairtank.simulation.tank import MEASURES, READY_MG_L
from fairtank.trial import Plan

SHOWN = ("total_ammonia", "nitrite", "nitrate", "oxygen_low", "plant_cover", "algae_cover")
_TITLES = {"total_ammonia": "Ammonia, all of it", "nitrite": "Nitrite", "nitrate": "Nitrate", "plant_cover": "Plants in the front picture",
           "algae_cover": "Algae on the front glass", "oxygen_low": "Oxygen, least of the day"}
_PLOT_PX, _LABEL_SHARE = 130, 0.14


def forecast_chart(forecast: Forecast, plan: Plan, *, width_px: int) -> str:
    """Six small charts, two beside each other where it is wide, one on a phone.

    Parameters
    ----------
    forecast : Forecast
        The frozen result.
    plan : Plan
        Of the same trial.
    width_px : int
        Outer width. [px]

    Returns
    -------
    str
        An SVG.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    panels = [svg_of(panel(forecast, plan, measure), key=f"forecast-{measure.replace('_', '-')}") for measure in SHOWN]
    text = description(forecast, plan)
    charts = stacked(panels, 1 if is_narrow(width_px) else 2, width_px, text)
    return tidy_svg(under_lines(head_lines(forecast, plan, width_px), charts, width_px), key="forecast", description=text)


def head_lines(forecast: Forecast, plan: Plan, width_px: int) -> list[str]:
    """What stands above the charts: the caveat, what bands and marks are, and the arms by letter and line."""
    looks = arm_looks(plan)
    arms = "; ".join(f"{look.letter}{'' if look.is_nameless else f', {shown(look.label)}'}: {look.line_words}"
                     for _, look, _ in _drawn(forecast, looks))
    if forecast.are_alike:
        arms = "All arms are alike in the model" if len(forecast.arms) > 1 else arms
    marks = " Marks: your tests, hollow where nothing showed." if forecast.readings else ""
    return in_lines(f"{CAVEAT}. Band: nine in ten of {forecast.members} courses; line: the middle.{marks} {arms}.", width_px - 8,
                    text_px(width_px))


def description(forecast: Forecast, plan: Plan) -> str:
    """What the picture shows, in words."""
    return (f"{CAVEAT}. Six small charts over {forecast.days} days: bands that hold nine in ten of {forecast.members} courses, with their "
            f"middle as a line. {headline(forecast, plan)}")


def panel(forecast: Forecast, plan: Plan, measure: str) -> Spec:
    """One measure: bands, middles, readings, and the level that ammonia and nitrite must stay below."""
    looks = arm_looks(plan)
    drawn = _drawn(forecast, looks)
    bands = [one.bands[measure] for one, _, _ in drawn]
    marks = [one for one in forecast.readings if one.measure == measure]
    lowest = min(min(band.low) for band in bands) if measure == "oxygen_low" else 0.0
    top = max([max(max(band.high) for band in bands), *(one.value for one in marks), lowest + 0.1]) * 1.05
    base = max(lowest - 0.5, 0.0) if measure == "oxygen_low" else 0.0
    x: Spec = {"type": "quantitative", "scale": {"domain": [0, forecast.days * (1 + _LABEL_SHARE)], "nice": False},
               "axis": {"title": "day", "values": value_ticks(0, forecast.days, 4), "grid": False, "format": ".0f"}}
    ticks = value_ticks(base, top, 4)
    y: Spec = {"type": "quantitative", "scale": {"domain": [base, top], "nice": False, "zero": False},
               "axis": {"title": None, "values": ticks, "format": tick_format(ticks), "gridColor": GRID}}
    layers = [_area(one.bands[measure], look, x, y) for one, look, _ in drawn]
    if measure in ("total_ammonia", "nitrite"):
        layers.append({"data": {"values": [{"day": 0, "end": forecast.days, "value": READY_MG_L}]},
                       "mark": {"type": "rule", "color": INK, "strokeWidth": 1, "strokeDash": [2, 3]},
                       "encoding": {"x": {**x, "field": "day"}, "x2": {"field": "end"}, "y": {**y, "field": "value"}}})
    ends = spread_out([band.middle[-1] for band in bands], (top - base) * text_px(NARROW_PX) / _PLOT_PX, base, top)
    for (one, look, letter), end in zip(drawn, ends, strict=True):
        layers += _line(one.bands[measure], look, letter, x, y, end)
    for mark in marks:
        look = looks[mark.arm]
        layers.append({"data": {"values": [{"day": mark.day, "value": mark.value}]},
                       "mark": {"type": "point", "shape": look.mark, "color": look.colour, "size": 30, "filled": not mark.is_below,
                                "opacity": 1},
                       "encoding": {"x": {**x, "field": "day"}, "y": {**y, "field": "value"}}})
    unit = MEASURES[measure][0]
    title = f"{_TITLES[measure]} [{unit_words(unit)}]" + (f", dotted: {READY_MG_L:g}" if measure in ("total_ammonia", "nitrite") else "")
    return framed(layers, width_px=NARROW_PX, height_px=_PLOT_PX, description=title, title=title)


def _drawn(forecast: Forecast, looks: dict[str, ArmLook]) -> list[tuple[ArmForecast, ArmLook, str]]:
    """Arms in the order of their letters; those that are alike are drawn once, under all their letters."""
    by_key = {one.arm: one for one in forecast.arms}
    ordered = [(by_key[key], look, look.letter) for key, look in looks.items() if key in by_key]
    if forecast.are_alike and len(ordered) > 1:
        letters = "+".join(look.letter for _, look, _ in ordered)
        return [(ordered[0][0], ordered[0][1], letters if len(ordered) < 4 else "all")]
    return ordered


def _area(band: Band, look: ArmLook, x: Spec, y: Spec) -> Spec:
    rows = [{"day": day, "low": max(low, 0.0), "high": high} for day, (low, high) in enumerate(zip(band.low, band.high, strict=True))]
    return {"data": {"values": rows},
            "mark": {"type": "area", "color": look.colour, "fillOpacity": 0.14, "line": False, "stroke": look.colour, "strokeWidth": 0.8,
                     "strokeOpacity": 0.6, "strokeDash": list(look.dash)},
            "encoding": {"x": {**x, "field": "day"}, "y": {**y, "field": "low"}, "y2": {"field": "high"}}}


def _line(band: Band, look: ArmLook, letter: str, x: Spec, y: Spec, end: float) -> list[Spec]:
    rows = [{"day": day, "value": value} for day, value in enumerate(band.middle)]
    where = {"x": {**x, "field": "day"}, "y": {**y, "field": "value"}}
    return [
        {"data": {"values": rows}, "encoding": where,
         "mark": {"type": "line", "color": look.colour, "strokeDash": list(look.dash), "strokeWidth": 2.2}},
        {"data": {"values": [{"day": len(rows) - 1, "value": end, "t": letter}]},
         "encoding": {**where, "text": {"field": "t", "type": "nominal"}},
         "mark": {"type": "text", "align": "left", "dx": 5, "baseline": "middle", "color": text_ink(look.colour) if letter else QUIET_INK}},
    ]
