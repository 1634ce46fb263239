"""The dot row: one dot for each tank, the arms' means, and what the finding says about the difference, all on one natural axis."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from fairtank.finding import Finding, UnitSummary
from fairtank.publish.arms import ArmLook
from fairtank.publish.charts import INK, QUIET_INK, SHADE, Spec, fitted, framed, is_narrow, text_px, value_ticks
from fairtank.publish.numbers import figures, shortened, tick_format, unit_words, with_unit
from fairtank.publish.phrases import measure_words
from fairtank.publish.printed import levels_apart
from fairtank.publish.scales import natural_value, scale_value
from fairtank.trial import Plan

FAINT = "#a9a6a0"  # of lines that only join


@dataclass(frozen=True)
class Dot:
    """One tank on the axis: where it ended, where it started (for a change; for a threshold the last day below it), in the axis' unit.

    is_open: it has not reached its threshold; place is its last day then.
    """

    unit: str
    arm: str
    place: float
    start: float | None
    is_open: bool = False


def dots_of(finding: Finding, reference: str = "") -> tuple[Dot, ...]:
    """Where each usable tank lies in the measure's natural unit; tanks that were spoilt have no place.

    A change shows each tank's run-in beside its treated days. A slope or a threshold is shown as the tank's own number. A swap shows
    each tank under the reference beside the same tank under the change; reference is the key of the reference arm.
    """
    dots = []
    for summary in finding.units:
        ends = _ends(summary, finding, reference)
        if ends is not None:
            is_open = summary.reached is not None and summary.reached[1] is None
            dots.append(Dot(f"{summary.unit}, not yet" if is_open else summary.unit, summary.arm, *ends, is_open))
    return tuple(dots)


def _ends(summary: UnitSummary, finding: Finding, reference: str) -> tuple[float, float | None] | None:
    if summary.z is None:
        return None
    if finding.summary == "threshold":
        below, at = summary.reached or (None, None)
        return summary.z, None if at is None or below is None else float(below)
    if finding.summary == "slope":
        return summary.z, None
    if summary.treated_mean is None:
        return (natural_value(summary.z, finding.scale), None) if finding.summary == "mean" else None
    level = natural_value(summary.treated_mean, finding.scale)
    if finding.summary == "swap":
        # z is the first period less the second, the level that under the reference: the order says which end the change was at.
        turned = -summary.z if summary.arm == reference else summary.z
        return natural_value(summary.treated_mean + turned, finding.scale), level
    if finding.summary == "change" or finding.design == "drawn_start":
        return level, natural_value(summary.treated_mean - summary.z, finding.scale)
    return level, None


def partners_of(plan: Plan) -> dict[str, str]:
    """Which unit stands beside which in a trial of pairs, the reference's partner by the changed unit's key; empty for other designs.

    >>> from datetime import date
    >>> from fairtank.trial import Arm, Plan, Unit
    >>> units = (Unit("T1", "R", pair="P1"), Unit("T2", "C", pair="P1"))
    >>> partners_of(Plan("t", date(2026, 3, 1), 9, "pairs", (Arm("R", "reference"), Arm("C", "changed")), units, ()))
    {'T2': 'T1'}
    """
    if plan.kind != "pairs":
        return {}
    firsts = {unit.pair: unit.key for unit in plan.units if plan.arm_of(unit.key).role == "reference"}
    return {unit.key: firsts[unit.pair] for unit in plan.units if unit.pair in firsts and unit.key != firsts[unit.pair]}


def dot_row(finding: Finding, looks: dict[str, ArmLook], *, width_px: int, partners: Mapping[str, str] | None = None) -> Spec:
    """The dot row of a finding as a Vega-Lite description.

    Parameters
    ----------
    finding : Finding
        Any finding with at least one usable tank.
    looks : dict of str to ArmLook
        How each arm is drawn.
    width_px : int
        Outer width. [px]
    partners : mapping of str to str, optional
        See `partners_of`: a thin line joins the two of a pair, and their rows stand in the same order.

    Returns
    -------
    dict
        Vega-Lite; rows from top to bottom: each arm with its tanks and its mean, then the finding's interval.
    """
    dots = dots_of(finding, next(iter(looks)))
    rows = _Rows(finding, looks, width_px)
    for look in looks.values():
        own = sorted((dot for dot in dots if dot.arm == look.key), key=lambda dot: (dot.place, dot.unit))
        if partners:  # beside the row of its partner, so that the lines do not cross
            order = list(rows.places)
            own.sort(key=lambda dot: order.index(partners[dot.unit]) if partners.get(dot.unit) in order else len(order))
        if own:
            rows.add_arm(look, own)
    joined = rows.join(partners or {})
    rows.add_interval()
    told = description(finding, looks) + (" A line joins the two of each pair." if joined else "")
    return framed(rows.layers(), width_px=width_px, height_px=round(rows.height_px), description=told,
                  title=axis_words(finding) + (", a line for each pair" if joined else ""))


def axis_words(finding: Finding) -> str:
    """What the axis shows, with its unit."""
    unit = _axis_unit(finding)
    name = shortened(measure_words(finding), 80)
    name = name[:1].upper() + name[1:]
    shown_unit = f" [{unit_words(unit)}]" if unit else ""
    if finding.summary == "slope":
        return f"{name}: what each day added{shown_unit}"
    if finding.summary == "threshold":
        return f"{name} [day]: last below the threshold (open), first at it (filled)"
    return f"{name}{shown_unit}, one mark for each {finding.unit_word}"


def description(finding: Finding, looks: dict[str, ArmLook]) -> str:
    """The dot row in words: every tank's value, then the interval."""
    unit = _axis_unit(finding)
    parts = []
    for look in looks.values():
        own = [dot for dot in dots_of(finding, next(iter(looks))) if dot.arm == look.key]
        if own:
            values = ", ".join(f"{shortened(dot.unit, 30)} {with_unit(figures(dot.place), unit)}" for dot in own)
            parts.append(f"arm {look.letter} ({shortened(look.label, 60)}): {values}")
    text = f"Dot row of {measure_words(finding)}, one mark for each {finding.unit_word}. " + "; ".join(parts) + "."
    judged = _judged(finding, next(iter(looks)))
    if judged is None:
        return text + " No interval can be given."
    reference, changed, bounds = levels_apart(finding, judged.reference, judged.changed, judged.low, judged.high)
    return (f"{text} If the reference stands at {with_unit(reference, unit)}, the changed arm would stand at "
            f"{with_unit(changed, unit)} ({with_unit(bounds, unit)}).")


@dataclass(frozen=True)
class _Judged:
    """The finding's interval on the axis: the reference's place, the changed arm's place and interval, the band that does not matter."""

    reference: float
    changed: float
    low: float
    high: float
    band: tuple[float, float] | None


def _judged(finding: Finding, reference_key: str) -> _Judged | None:
    if finding.low is None or finding.high is None or finding.estimate is None or finding.summary == "threshold":
        return None
    if finding.summary == "slope":
        own = [summary.z for summary in finding.units if summary.z is not None and summary.arm == reference_key]
        if not own:
            return None
        reference = sum(own) / len(own)
        band = None if finding.margin is None else (reference - finding.margin, reference + finding.margin)
        return _Judged(reference, reference + finding.estimate, reference + finding.low, reference + finding.high, band)
    natural = finding.natural
    if natural is None or natural.low is None or natural.high is None:
        return None
    band = None
    if finding.margin is not None:
        centre = scale_value(natural.reference, finding.scale)
        band = natural_value(centre - finding.margin, finding.scale), natural_value(centre + finding.margin, finding.scale)
    return _Judged(natural.reference, natural.changed, natural.low, natural.high, band)


def _axis_unit(finding: Finding) -> str:
    if finding.summary == "threshold":
        return "days"
    unit = finding.natural.unit if finding.natural is not None else finding.unit_of_measure
    if finding.summary != "slope":
        return unit
    return {"logit": "log-odds per day", "log": "natural logarithm per day"}.get(finding.scale, f"{unit} per day".strip())


class _Rows:
    """Collects the marks row by row; y counts downwards in px."""

    def __init__(self, finding: Finding, looks: dict[str, ArmLook], width_px: int) -> None:
        self.finding, self.looks, self.width_px = finding, looks, width_px
        self.size = text_px(width_px)
        self.step = self.size + 8
        self.height_px = 0.0
        self.marks: list[Spec] = []
        self.lines: list[Spec] = []
        self.values: list[float] = []
        self.places: dict[str, tuple[float, float]] = {}
        self.reference = looks.get(finding.reference_arm, next(iter(looks.values())))
        named = (look for look in looks.values() if shortened(look.label, 99) == shortened(finding.changed_label, 99))
        self.changed = looks.get(finding.changed_arm) or next(named, list(looks.values())[-1])
        if finding.design == "two_changes":  # told over several arms: in the colour of none
            self.changed = replace(self.changed, colour=INK, mark="circle")

    def add_arm(self, look: ArmLook, dots: list[Dot]) -> None:
        """A heading, a row for each tank and a row for the arm's mean."""
        self._heading(f"{look.legend} first" if self.finding.summary == "swap" else look.legend)
        top, mean = self.height_px, self._mean(dots)
        for dot in dots:
            self.height_px += self.step
            self.values += [dot.place] if dot.start is None else [dot.place, dot.start]
            middle = self.height_px - self.step / 2
            self.places[dot.unit] = dot.place, middle
            if dot.start is not None:
                self.lines.append(_line([(dot.start, middle), (dot.place, middle)], look.colour, list(look.dash), 1.5))
                self.marks.append(_mark(dot.start, middle, look, filled=False))
            self.marks.append(_mark(dot.place, middle, look, filled=not dot.is_open))
            self.lines.append(self._label(dot, middle, mean))
        if len(dots) > 1 and self.finding.summary != "threshold":  # some may never reach it, and then there is no mean day
            self.height_px += self.step * 0.95
            self.values.append(mean)
            self.lines.append(_line([(mean, top + 4), (mean, self.height_px - self.step * 0.62)], look.colour, list(look.dash), 2))
            self.lines.append(_text(mean, self.height_px - self.step * 0.30, f"mean {with_unit(figures(mean, 2), self._short_unit())}",
                                    align="center"))
        self.height_px += 6

    def join(self, partners: Mapping[str, str]) -> bool:
        """A thin line between the two of each pair, below all marks; whether there was one."""
        ends = [(self.places[first], self.places[second]) for second, first in partners.items()
                if first in self.places and second in self.places]
        for pair in ends:
            self.lines.insert(0, _line(list(pair), FAINT, [1, 0], 1))
        return bool(ends)

    def add_interval(self) -> None:
        """The finding's interval for the changed arm, over the band of differences too small to matter; a sentence where there is none."""
        judged = _judged(self.finding, next(iter(self.looks)))
        self.height_px += 10
        if judged is None:
            why = {"alone": "No interval: the data alone cannot tell"}.get(self.finding.grade, "No interval can be given")
            if self.finding.design == "drawn_start" and self.finding.p_value is not None:
                why = "No interval: the draws of the lot are counted"
            self._heading("No interval: only the order is compared" if self.finding.summary == "threshold" else why)
            return
        unit = self._short_unit()
        reference, changed, ends = levels_apart(self.finding, judged.reference, judged.changed, judged.low, judged.high)
        self._heading(self._between(with_unit(reference, unit)))
        top = self.height_px
        self.height_px += self.step * 1.15
        middle = self.height_px - self.step * 0.5
        self.values += [judged.reference, judged.changed]
        bounds = self._in_reach(judged.low), self._in_reach(judged.high)
        self.values += bounds
        if judged.band is not None:
            self.values += list(judged.band)
            self.lines.insert(0, {"data": {"values": [{"x": judged.band[0], "x2": judged.band[1], "y": top,
                                                       "y2": self.height_px + self.step}]},
                                  "mark": {"type": "rect", "color": SHADE, "clip": True}, "encoding": _rect()})
        self.lines.append(_line([(judged.reference, top - 2), (judged.reference, self.height_px + self.step * 0.2)], INK, [1, 0], 1))
        self.lines.append(_line([(bounds[0], middle), (bounds[1], middle)], self.changed.colour, [1, 0], 4))
        self.marks.append(_mark(judged.changed, middle, self.changed, filled=False, size=150))
        words = f"{changed} ({with_unit(ends, unit)})"
        self.height_px += self.step * 0.75
        self.lines.append(_text(judged.changed, self.height_px - self.step * 0.3, words, align="center", bold=True))
        self.height_px += 8
        if judged.band is not None:
            self.height_px += self.step * 0.8
            self.lines.append({"data": {"values": [{"t": "Grey band: too small to matter. Thin line: no difference."}]},
                               "mark": {"type": "text", "align": "left", "baseline": "middle", "color": QUIET_INK},
                               "encoding": {"x": {"value": 0}, "y": {"value": self.height_px - self.step * 0.5},
                                            "text": {"field": "t", "type": "nominal"}}})

    def layers(self) -> list[Spec]:
        """All layers, shades first; the shared axis lies below."""
        low, high = min(self.values, default=0.0), max(self.values, default=1.0)
        if self.finding.grade == "alone" and self.finding.scale != "identity":
            low = min(low, 0.0)  # without an interval only zero keeps a small distance between two tanks from looking large
        if high <= low:
            low, high = low - 1.0, high + 1.0
        wide = high - low
        label_px = max((len(self._key(summary.unit)) for summary in self.finding.units), default=2) * self.size * 0.65 + 16
        room = label_px / (self.width_px - 2 * label_px)
        domain = [low - wide * room, high + wide * room]
        layers = self.lines + self.marks
        floor = max(domain[0], 0.0) if low >= 0 else domain[0]
        ticks = value_ticks(floor, domain[1], 4 if is_narrow(self.width_px) else 7)
        axis = {"title": None, "values": ticks, "format": tick_format(ticks), "orient": "bottom", "offset": 2, "grid": True}
        height = round(self.height_px)
        for layer in layers:
            for channel, scale in (("x", {"domain": domain, "nice": False, "zero": False}),
                                   ("y", {"domain": [height, 0], "nice": False, "zero": False})):
                encoding = layer["encoding"].get(channel, {})
                if "field" in encoding:
                    encoding["scale"] = scale
                    encoding["axis"] = axis if channel == "x" else None
        return layers

    def _between(self, reference: str) -> str:
        """What the interval stands between: two arms by their letters, or where a finding is told over several arms its own words."""
        if self.finding.design == "two_changes":
            first, second = (shortened(label, 30) for label in (self.finding.reference_label, self.finding.changed_label))
            has_it = first == second.replace("with ", "without ", 1)
            return f"{first[:1].upper()}{first[1:]} at {reference}; {'with it' if has_it else second}"
        return f"With {self.reference.letter} at {reference}, {self.changed.letter} would be at"

    def _heading(self, text: str) -> None:
        self.height_px += self.step
        self.lines.append({"data": {"values": [{"t": fitted(text, self.width_px - 20, self.size)}]},
                           "mark": {"type": "text", "align": "left", "baseline": "middle", "fontWeight": "bold"},
                           "encoding": {"x": {"value": 0}, "y": {"value": self.height_px - self.step * 0.45},
                                        "text": {"field": "t", "type": "nominal"}}})

    def _label(self, dot: Dot, y: float, mean: float) -> Spec:
        """The tank's key on the side away from the mean, so that the mean's line never runs through it."""
        ends = (dot.place,) if dot.start is None else (dot.place, dot.start)
        if dot.place < mean:
            return _text(min(ends), y, self._key(dot.unit), align="right", dx=-10)
        return _text(max(ends), y, self._key(dot.unit), align="left", dx=10)

    def _in_reach(self, bound: float) -> float:
        """An interval's end, or the chart's edge where the end lies so far out that the tanks would shrink to a point."""
        low, high = min(self.values), max(self.values)
        reach = 4 * ((high - low) or abs(high) or 1.0)
        return max(min(bound, high + reach), low - reach)

    def _key(self, unit: str) -> str:
        return fitted(unit, 70 if is_narrow(self.width_px) else 120, self.size)

    def _mean(self, dots: list[Dot]) -> float:
        scale = "identity" if self.finding.summary in ("slope", "threshold") else self.finding.scale
        return natural_value(sum(scale_value(dot.place, scale) for dot in dots) / len(dots), scale)

    def _short_unit(self) -> str:
        unit = _axis_unit(self.finding)
        return unit if len(unit) <= 6 else ""


def _rect() -> Spec:
    return {"x": {"field": "x", "type": "quantitative"}, "x2": {"field": "x2"}, "y": {"field": "y", "type": "quantitative"},
            "y2": {"field": "y2"}}


def _line(points: list[tuple[float, float]], colour: str, dash: list[int], width: float) -> Spec:
    return {"data": {"values": [{"x": x, "y": y, "o": order} for order, (x, y) in enumerate(points)]},
            "mark": {"type": "line", "color": colour, "strokeDash": dash, "strokeWidth": width, "clip": True},
            "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"},
                         "order": {"field": "o", "type": "quantitative"}}}


def _mark(x: float, y: float, look: ArmLook, *, filled: bool, size: int = 110) -> Spec:
    return {"data": {"values": [{"x": x, "y": y}]},
            "mark": {"type": "point", "shape": look.mark, "filled": True, "size": size, "color": look.colour if filled else "#ffffff",
                     "opacity": 1,
                     "stroke": look.colour, "strokeWidth": 2},
            "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"}}}


def _text(x: float, y: float, text: str, *, align: str, dx: int = 0, bold: bool = False) -> Spec:
    return {"data": {"values": [{"x": x, "y": y, "t": text}]},
            "mark": {"type": "text", "align": align, "dx": dx, "baseline": "middle", "fontWeight": "bold" if bold else "normal"},
            "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"},
                         "text": {"field": "t", "type": "nominal"}}}
