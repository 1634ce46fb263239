"""The ladder's picture: one mark for each tank over its dose, the straight line through them, and how far the line may rise or fall."""

import itertools
from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.publish.arms import ArmLook
from fairtank.publish.charts import GRID, INK, QUIET_INK, SHADE, Spec, fitted, framed, in_lines, is_narrow, spread_out, text_px, value_ticks
from fairtank.publish.dots import axis_unit
from fairtank.publish.numbers import figures, shortened, tick_format, unit_words, with_unit
from fairtank.publish.phrases import measure_words
from fairtank.publish.printed import levels_apart
from fairtank.publish.scales import natural_value, scale_value
from fairtank.trial import Plan

_PLOT_PX, _NARROW_PLOT_PX = 300, 260
_STEPS = 40  # of the line, which is straight on the scale on which tanks are compared and bends in the natural unit
_BAND = "#d5dbe2"


@dataclass(frozen=True)
class DoseDot:
    """One tank: its key, its arm, its dose and its height in the measure's natural unit."""

    unit: str
    arm: str
    dose: float
    place: float


@dataclass(frozen=True)
class Rise:
    """The line from the reference's dose (start) to the one to which the step is told (top), as heights on the summary scale.

    low, high: the ends of the interval at the top; None without one. margin: the smallest difference that matters, over the whole step.
    """

    start: float
    top: float
    level: float
    estimate: float
    low: float | None
    high: float | None
    margin: float | None

    def at(self, dose: float, rise: float) -> float:
        """The height at a dose of a line that rises so much over the whole step."""
        return self.level + rise * (dose - self.start) / (self.top - self.start)


def scale_of(finding: Finding) -> str:
    """The scale of the heights that are drawn: a slope is drawn as it is."""
    return "identity" if finding.summary == "slope" else finding.scale


def rise_of(finding: Finding, plan: Plan) -> Rise | None:
    """The finding's line; None where too few tanks or doses are left for one."""
    facts, counted = dict(finding.facts), _counted(finding, plan)
    if finding.estimate is None or not {"slope", "reference_dose", "top_dose"} <= facts.keys() or not counted:
        return None
    start, top = facts["reference_dose"], facts["top_dose"]
    if top == start:
        return None
    # The line passes through the mean dose and the mean number; a change is set upon the reference's level, that its unit may be natural.
    middle, centre = (sum(values) / len(counted) for values in zip(*counted, strict=True))
    level = centre - finding.estimate * (middle - start) / (top - start)
    if finding.natural is not None and finding.summary == "change":
        level = scale_value(finding.natural.reference, finding.scale)
    return Rise(start, top, level, finding.estimate, finding.low, finding.high, finding.margin)


def _counted(finding: Finding, plan: Plan) -> list[tuple[float, float]]:
    """(dose, number) of each tank that was counted."""
    return [(dose, unit.z) for unit in finding.units if unit.z is not None and (dose := plan.arm(unit.arm).dose) is not None]


def dots_of(finding: Finding, plan: Plan) -> tuple[DoseDot, ...]:
    """Where each usable tank stands; of a change, how far it moved, set upon the reference's level."""
    rise, counted = rise_of(finding, plan), _counted(finding, plan)
    moved = 0.0
    if rise is not None and finding.summary == "change":
        middle, centre = (sum(values) / len(counted) for values in zip(*counted, strict=True))
        moved = rise.at(middle, rise.estimate) - centre
    dots = []
    for unit in finding.units:
        dose = plan.arm(unit.arm).dose
        if unit.z is not None and dose is not None:
            dots.append(DoseDot(unit.unit, unit.arm, dose, natural_value(unit.z + moved, scale_of(finding))))
    return tuple(dots)


def ladder_chart(finding: Finding, plan: Plan, looks: dict[str, ArmLook], *, width_px: int) -> Spec:
    """The ladder as a Vega-Lite description.

    Parameters
    ----------
    finding : Finding
        Of the kind `ladder`, with at least one usable tank.
    plan : Plan
        For the doses.
    looks : dict of str to ArmLook
        How each arm is drawn.
    width_px : int
        Outer width. [px]

    Returns
    -------
    dict
        Vega-Lite; doses to the right, the measure upwards.
    """
    dots, rise, scale = dots_of(finding, plan), rise_of(finding, plan), scale_of(finding)
    height = _NARROW_PLOT_PX if is_narrow(width_px) else _PLOT_PX
    doses = sorted({arm.dose for arm in plan.arms if arm.dose is not None})
    span = doses[-1] - doses[0]
    across = (doses[0] - 0.06 * span, doses[-1] + (0.42 if is_narrow(width_px) else 0.18) * span)
    heights = [dot.place for dot in dots] + ([natural_value(z, scale) for z in _ends(rise)] if rise else [])
    up = _range(heights, [dot.place for dot in dots], finding)
    layers: list[Spec] = []
    if rise is not None:
        layers += _band(rise, scale, up) + _margin(rise, scale, across, up) + _no_difference(rise, scale, across) + _line(rise, scale, up)
    layers += _marks(dots, looks) + _keys(dots, doses, looks, across, up, width_px, height)
    if rise is not None and rise.low is not None and rise.high is not None:
        layers += _interval(rise, scale, across, up)
    foot = height + text_px(width_px) * 4.2
    for text in _legend(finding, rise):
        for line in in_lines(text, width_px - 56, text_px(width_px)):
            layers.append({"data": {"values": [{"t": line}]},
                           "mark": {"type": "text", "align": "left", "baseline": "middle", "color": QUIET_INK},
                           "encoding": {"x": {"value": 0}, "y": {"value": round(foot)}, "text": {"field": "t", "type": "nominal"}}})
            foot += text_px(width_px) * 1.45
    _scaled(layers, doses, across, up, plan.dose_unit)
    return framed(layers, width_px=width_px, height_px=height, description=description(finding, plan, looks), title=_title(finding))


def _title(finding: Finding) -> str:
    unit, name = axis_unit(finding), shortened(measure_words(finding), 80)
    what = {"slope": ": what each day added", "change": ": change, set upon the level of the reference"}.get(finding.summary, "")
    shown_unit = f" [{unit_words(unit)}]" if unit else ""
    return f"{name[:1].upper()}{name[1:]}{what}{shown_unit} by dose, one mark for each {finding.unit_word}"


def description(finding: Finding, plan: Plan, looks: dict[str, ArmLook]) -> str:
    """The ladder in words: every tank at its dose, then the line's step with its interval."""
    unit, parts = axis_unit(finding), []
    dots = dots_of(finding, plan)
    for look in sorted(looks.values(), key=lambda look: plan.arm(look.key).dose or 0.0):
        own = [dot for dot in dots if dot.arm == look.key]
        if own:
            values = ", ".join(f"{shortened(dot.unit, 30)} {with_unit(figures(dot.place), unit)}" for dot in own)
            parts.append(f"dose {with_unit(f'{own[0].dose:g}', plan.dose_unit)}: {values}")
    text = f"Ladder of {measure_words(finding)}, one mark for each {finding.unit_word}. " + "; ".join(parts) + "."
    rise = rise_of(finding, plan)
    if rise is None or rise.low is None or rise.high is None:
        return text + " No interval can be given."
    reference, changed, bounds = levels_apart(finding, *(natural_value(z, scale_of(finding)) for z in _ends(rise)[:4]))
    first, last = (with_unit(f"{dose:g}", plan.dose_unit) for dose in (rise.start, rise.top))
    return (f"{text} The line goes from {with_unit(reference, unit)} at {first} to {with_unit(changed, unit)} at {last} "
            f"({with_unit(bounds, unit)}).")


def _ends(rise: Rise) -> list[float]:
    """Reference, top, low and high at the top, then the ends of what does not matter; what is not there stands at the line."""
    ends = [rise.level, rise.level + rise.estimate]
    ends += [rise.level + (rise.estimate if limit is None else limit) for limit in (rise.low, rise.high)]
    return ends + ([] if rise.margin is None else [rise.level - rise.margin, rise.level + rise.margin])


def _range(heights: list[float], tanks: list[float], finding: Finding) -> tuple[float, float]:
    """Bottom and top of the plot: the tanks stay visible where an end lies far out."""
    low, high = min(tanks), max(tanks)
    reach = 3 * ((high - low) or abs(high) or 1.0)
    low, high = max(min(heights), low - reach), min(max(heights), high + reach)
    room = (high - low or abs(high) or 1.0) * 0.08
    bottom = 0.0 if 0 <= low < 0.5 * high else low - room
    top = min(high + room, 100.0) if axis_unit(finding) == "%" and high <= 100 else high + room
    return bottom, top


def _q(field: str) -> Spec:
    return {"field": field, "type": "quantitative"}


def _doses_along(rise: Rise) -> list[float]:
    return [rise.start + (rise.top - rise.start) * step / _STEPS for step in range(_STEPS + 1)]


def _held(value: float, up: tuple[float, float]) -> float:
    return max(min(value, up[1]), up[0])


def _band(rise: Rise, scale: str, up: tuple[float, float]) -> list[Spec]:
    """From the reference's level, all lines that the interval of the step holds."""
    if rise.low is None or rise.high is None:
        return []
    rows = [{"x": dose, "y": _held(natural_value(rise.at(dose, rise.low), scale), up),
             "y2": _held(natural_value(rise.at(dose, rise.high), scale), up)} for dose in _doses_along(rise)]
    return [{"data": {"values": rows}, "mark": {"type": "area", "color": _BAND, "opacity": 1},
             "encoding": {"x": _q("x"), "y": _q("y"), "y2": {"field": "y2"}}}]


def _line(rise: Rise, scale: str, up: tuple[float, float]) -> list[Spec]:
    rows = [{"x": dose, "y": _held(natural_value(rise.at(dose, rise.estimate), scale), up)} for dose in _doses_along(rise)]
    return [{"data": {"values": rows}, "mark": {"type": "line", "color": INK, "strokeWidth": 2.5},
             "encoding": {"x": _q("x"), "y": _q("y")}}]


def _beside(rise: Rise, across: tuple[float, float]) -> float:
    """Where the interval of the whole step stands: beyond the last dose, or before the first where the step is told downwards."""
    return rise.top + 0.75 * ((across[1] if rise.top > rise.start else across[0]) - rise.top)


def _margin(rise: Rise, scale: str, across: tuple[float, float], up: tuple[float, float]) -> list[Spec]:
    if rise.margin is None:
        return []
    beside = _beside(rise, across)
    low, high = (_held(natural_value(rise.level + sign * rise.margin, scale), up) for sign in (-1, 1))
    half = 0.022 * (across[1] - across[0])
    return [{"data": {"values": [{"x": beside - half, "x2": beside + half, "y": low, "y2": high}]},
             "mark": {"type": "rect", "color": SHADE, "stroke": GRID},
             "encoding": {"x": _q("x"), "x2": {"field": "x2"}, "y": _q("y"), "y2": {"field": "y2"}}}]


def _no_difference(rise: Rise, scale: str, across: tuple[float, float]) -> list[Spec]:
    level = natural_value(rise.level, scale)
    return [{"data": {"values": [{"x": rise.start, "x2": _beside(rise, across), "y": level}]},
             "mark": {"type": "rule", "color": INK, "strokeWidth": 1, "strokeDash": [2, 3]},
             "encoding": {"x": _q("x"), "x2": {"field": "x2"}, "y": _q("y")}}]


def _interval(rise: Rise, scale: str, across: tuple[float, float], up: tuple[float, float]) -> list[Spec]:
    beside = _beside(rise, across)
    level, low, high = (_held(natural_value(rise.level + (step or 0.0), scale), up) for step in (rise.estimate, rise.low, rise.high))
    return [{"data": {"values": [{"x": beside, "y": low, "y2": high}]}, "mark": {"type": "rule", "color": INK, "strokeWidth": 4},
             "encoding": {"x": _q("x"), "y": _q("y"), "y2": {"field": "y2"}}},
            {"data": {"values": [{"x": beside, "y": level}]},
             "mark": {"type": "point", "shape": "diamond", "filled": True, "size": 150, "opacity": 1, "color": "#ffffff", "stroke": INK,
                      "strokeWidth": 2}, "encoding": {"x": _q("x"), "y": _q("y")}}]


def _marks(dots: tuple[DoseDot, ...], looks: dict[str, ArmLook]) -> list[Spec]:
    return [{"data": {"values": [{"x": dot.dose, "y": dot.place} for dot in dots if dot.arm == look.key]},
             "mark": {"type": "point", "shape": look.mark, "filled": True, "size": 90, "opacity": 1, "color": look.colour,
                      "stroke": "#ffffff", "strokeWidth": 1},
             "encoding": {"x": _q("x"), "y": _q("y")}} for look in looks.values() if any(dot.arm == look.key for dot in dots)]


def _keys(dots: tuple[DoseDot, ...], doses: list[float], looks: dict[str, ArmLook], across: tuple[float, float], up: tuple[float, float],
          width_px: int, height: int) -> list[Spec]:
    """The tanks' keys to the right of their marks, moved apart where two marks are close, with a thin line to their mark."""
    size, per_px = text_px(width_px), (across[1] - across[0]) / (width_px - 60)
    nearest = min(right - left for left, right in itertools.pairwise(doses)) / per_px
    room, layers = (up[1] - up[0]) * (size + 1) / height, []
    for look in looks.values():
        own = [dot for dot in dots if dot.arm == look.key]
        places = spread_out([dot.place for dot in own], room, *up)
        rows = [{"x": dot.dose + 8 * per_px, "x2": dot.dose + 16 * per_px, "y": dot.place, "y2": place,
                 "t": fitted(dot.unit, max(nearest - 24, 32), size)} for dot, place in zip(own, places, strict=True)]
        if not rows:
            continue
        layers.append({"data": {"values": rows}, "mark": {"type": "rule", "color": look.colour, "strokeWidth": 1},
                       "encoding": {"x": _q("x"), "x2": {"field": "x2"}, "y": _q("y"), "y2": {"field": "y2"}}})
        beside = {"x": _q("x2"), "y": _q("y2"), "text": {"field": "t", "type": "nominal"}}
        mark = {"type": "text", "align": "left", "dx": 2, "baseline": "middle", "color": INK}
        # A white rim first, so that the line behind a key does not cut through it.
        layers += [{"data": {"values": rows}, "mark": {**mark, **rim}, "encoding": beside}
                   for rim in ({"stroke": "#ffffff", "strokeWidth": 3}, {})]
    return layers


def _legend(finding: Finding, rise: Rise | None) -> list[str]:
    if rise is None:
        return ["No line can be given"]
    if rise.low is None or rise.high is None:
        return ["Line: through all tanks; it has no interval"]
    unit = axis_unit(finding)
    reference, changed, bounds = levels_apart(finding, *(natural_value(z, scale_of(finding)) for z in _ends(rise)[:4]))
    first, last = (with_unit(f"{dose:g}", finding.dose_unit) for dose in (rise.start, rise.top))
    short = unit if len(unit) <= 6 else ""
    told = [f"With {first} at {with_unit(reference, short)}, {last} would be at {changed} ({with_unit(bounds, short)}).",
            "Shaded: where the line may go from there. Dotted: no difference."]
    return told if rise.margin is None else [*told, "Grey box: too small to matter over the whole step."]


def _scaled(layers: list[Spec], doses: list[float], across: tuple[float, float], up: tuple[float, float], dose_unit: str) -> None:
    ticks = value_ticks(*up, 5)
    axes: dict[str, Spec] = {"x": {"title": f"dose [{unit_words(dose_unit)}]" if dose_unit else "dose", "values": doses, "grid": False,
                                   "format": ".6~g"},
                             "y": {"title": None, "values": ticks, "format": tick_format(ticks), "grid": True, "domain": False,
                                   "ticks": False}}
    for layer in layers:
        for channel, domain in (("x", across), ("y", up)):
            encoding = layer["encoding"].get(channel, {})
            if "field" in encoding:
                encoding["scale"] = {"domain": list(domain), "nice": False, "zero": False}
                encoding["axis"] = axes[channel]
