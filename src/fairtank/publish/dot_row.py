"""The dot row: one dot for each tank, the arms' means, and what the findings say about the difference, all on one natural axis."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fairtank.finding import Finding, UnitSummary
from fairtank.publish.arms import ArmLook, arm_words
from fairtank.publish.charts import INK, QUIET_INK, SHADE, Spec, fitted, framed, is_narrow, text_px, value_ticks
from fairtank.publish.dots import Dot, Judged, axis_unit, dots_in_order, dots_of, judged_on_axis, reference_of
from fairtank.publish.numbers import decimals_of, figures, number, shortened, tick_format, unit_words, with_unit
from fairtank.publish.phrases import measure_words
from fairtank.publish.printed import levels_in_short
from fairtank.publish.scales import natural_value, scale_value

FAINT = "#a9a6a0"  # of lines that only join


def dot_row(finding: Finding, looks: dict[str, ArmLook], *, width_px: int, partners: Mapping[str, str] | None = None,
            others: Sequence[Finding] = ()) -> Spec:
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
        See `dots.partners_of`: a thin line joins the two of a pair, and their rows stand in the same order.
    others : sequence of Finding
        Further comparisons of the same measure: their tanks stand with their arms, each interval below the one before.

    Returns
    -------
    dict
        Vega-Lite; rows from top to bottom: each arm with its tanks and its mean, then one interval for each comparison.
    """
    findings = (finding, *others)
    drawn = all_dots(findings, looks)
    rows = _Rows(findings, looks, width_px)
    for look in looks.values():
        own = dots_in_order(drawn, look.key, partners or {}, list(rows.places))
        if own:
            rows.add_arm(look, own)
    joined = rows.join(partners or {})
    rows.add_intervals()
    told = description(finding, looks, others) + (" A line joins the two of each pair." if joined else "")
    return framed(rows.layers(), width_px=width_px, height_px=round(rows.height_px), description=told,
                  title=axis_words(finding) + (", a line for each pair" if joined else ""))


def units_of(findings: Sequence[Finding]) -> tuple[UnitSummary, ...]:
    """The units of several comparisons of one measure, each once, in the plan's order as far as one finding shows it."""
    return tuple({unit.unit: unit for finding in findings for unit in finding.units}.values())


def all_dots(findings: Sequence[Finding], looks: dict[str, ArmLook]) -> tuple[Dot, ...]:
    """The dots of several comparisons of one measure, each once."""
    return dots_of(replace(findings[0], units=units_of(findings)), next(iter(looks)))


def axis_words(finding: Finding) -> str:
    """What the axis shows, with its unit."""
    unit = axis_unit(finding)
    name = shortened(measure_words(finding), 80)
    name = name[:1].upper() + name[1:]
    shown_unit = f" [{unit_words(unit)}]" if unit else ""
    if finding.summary == "slope":
        return f"{name}: what each day added{shown_unit}"
    if finding.summary == "threshold":
        return f"{name} [day]: last below the threshold (open), first at it (filled)"
    return f"{name}{shown_unit}, one mark for each {finding.unit_word}"


def description(finding: Finding, looks: dict[str, ArmLook], others: Sequence[Finding] = ()) -> str:
    """The dot row in words: every tank's value, then the intervals."""
    unit = axis_unit(finding)
    drawn, parts = all_dots((finding, *others), looks), []
    for look in looks.values():
        own = [dot for dot in drawn if dot.arm == look.key]
        if own:
            values = ", ".join(f"{shortened(dot.unit, 30)} {_value_told(dot, finding, unit)}" for dot in own)
            arm = arm_words(look, is_swap=finding.summary == "swap")
            parts.append(f"{arm} ({shortened(look.label, 60)}): {values}")
    text = f"Dot row of {measure_words(finding)}, one mark for each {finding.unit_word}. " + "; ".join(parts) + "."
    return " ".join((text, *dict.fromkeys(_interval_told(one, looks, is_alone=not others) for one in (finding, *others))))


def _value_told(dot: Dot, finding: Finding, unit: str) -> str:
    """A tank's value; where it has two marks both, each with what it is."""
    value = with_unit(figures(dot.place), unit)
    if dot.start is None or finding.summary == "threshold":
        return value
    before, after = {"swap": ("under the reference", "under the change"), "change": ("in the run-in", "after it")}.get(
        finding.summary, ("before the start", "from it on"))
    if finding.design == "drawn_start":
        before, after = "before the start", "from it on"
    return f"{with_unit(figures(dot.start), unit)} {before} and {value} {after}"


def _interval_told(finding: Finding, looks: dict[str, ArmLook], *, is_alone: bool) -> str:
    """One comparison's interval in words; with several, both sides are named."""
    unit, judged = axis_unit(finding), judged_on_axis(finding, reference_of(finding, looks))
    if judged is None:
        return "No interval can be given."
    reference, changed, bounds = levels_in_short(finding, judged.reference, judged.changed, judged.low, judged.high)
    first, second = ("the reference", "the changed arm") if is_alone else (shortened(label, 40) for label in
                                                                           (finding.reference_label, finding.changed_label))
    alike = "Had all started alike: if" if finding.summary == "change" else "If"
    return (f"{alike} {first} stands at {with_unit(reference, unit)}, {second} would stand at {with_unit(changed, unit)} "
            f"({with_unit(bounds, unit)}).")


class _Rows:
    """Collects the marks row by row; y counts downwards in px."""

    def __init__(self, findings: Sequence[Finding], looks: dict[str, ArmLook], width_px: int) -> None:
        self.findings, self.finding, self.looks, self.width_px = findings, findings[0], looks, width_px
        self.size = text_px(width_px)
        self.step = self.size + 8
        self.height_px = 0.0
        self.marks: list[Spec] = []
        self.lines: list[Spec] = []
        self.values: list[float] = []
        self.places: dict[str, tuple[float, float]] = {}
        self.unit = axis_unit(self.finding)

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
            self.lines.append(_text(mean, self.height_px - self.step * 0.30, f"mean {self._mean_words(look, mean)}",
                                    align="center"))
        self.height_px += 6

    def join(self, partners: Mapping[str, str]) -> bool:
        """A thin line between the two of each pair, below all marks; whether there was one."""
        ends = [(self.places[first], self.places[second]) for second, first in partners.items()
                if first in self.places and second in self.places]
        for pair in ends:
            self.lines.insert(0, _line(list(pair), FAINT, [1, 0], 1))
        return bool(ends)

    def add_intervals(self) -> None:
        """Each comparison's interval, over the band of differences too small to matter; a sentence where there is none."""
        self.height_px += 10
        found = [(one, judged_on_axis(one, reference_of(one, self.looks))) for one in self.findings]
        if not any(judged for _, judged in found):
            self._heading(_no_interval(self.finding))
            return
        for one, judged in found:
            if judged is None:
                self._heading(f"{shortened(one.changed_label, 30)}: no interval can be given")
            else:
                self._interval(one, judged, self._changed_look(one))
        if any(judged is not None and judged.band is not None for _, judged in found):
            self.height_px += self.step * 0.8
            self.lines.append({"data": {"values": [{"t": "Grey band: too small to matter. Thin line: no difference."}]},
                               "mark": {"type": "text", "align": "left", "baseline": "middle", "color": QUIET_INK},
                               "encoding": {"x": {"value": 0}, "y": {"value": self.height_px - self.step * 0.5},
                                            "text": {"field": "t", "type": "nominal"}}})

    def _changed_look(self, finding: Finding) -> ArmLook:
        """How the changed side is drawn: as its arm; a finding told over several arms in the colour of none."""
        named = (look for look in self.looks.values() if shortened(look.label, 99) == shortened(finding.changed_label, 99))
        look = self.looks.get(finding.changed_arm) or next(named, list(self.looks.values())[-1])
        return replace(look, colour=INK, mark="circle") if finding.design == "two_changes" else look

    def _interval(self, finding: Finding, judged: Judged, look: ArmLook) -> None:
        """One comparison: its heading, the bar over its band, and its numbers."""
        unit = self._short_unit()
        reference, changed, ends = levels_in_short(finding, judged.reference, judged.changed, judged.low, judged.high)
        self._heading(self._between(finding, look, with_unit(reference, unit)))
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
        self.lines.append(_line([(bounds[0], middle), (bounds[1], middle)], look.colour, [1, 0], 4))
        self.marks.append(_mark(judged.changed, middle, look, filled=False, size=150))
        self.height_px += self.step * 0.75
        self.lines.append(_text(judged.changed, self.height_px - self.step * 0.3, f"{changed} ({with_unit(ends, unit)})", align="center",
                                bold=True))
        self.height_px += 8

    def layers(self) -> list[Spec]:
        """All layers, shades first; the shared axis lies below."""
        low, high = min(self.values, default=0.0), max(self.values, default=1.0)
        if self.finding.grade == "alone" and self.finding.scale != "identity":
            low = min(low, 0.0)  # without an interval only zero keeps a small distance between two tanks from looking large
        if high <= low:
            low, high = low - 1.0, high + 1.0
        wide = high - low
        label_px = max((len(self._key(unit)) for unit in self.places), default=2) * self.size * 0.65 + 16
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

    def _between(self, finding: Finding, changed: ArmLook, reference: str) -> str:
        """What the interval stands between: two arms by their letters, or where a finding is told over several arms its own words."""
        if finding.design == "two_changes":
            first, second = (shortened(label, 30) for label in (finding.reference_label, finding.changed_label))
            has_it = first == second.replace("with ", "without ", 1)
            return f"{first[:1].upper()}{first[1:]} at {reference}; {'with it' if has_it else second}"
        return f"With {self.looks[reference_of(finding, self.looks)].letter} at {reference}, {changed.letter} would be at"

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

    def _mean_words(self, look: ArmLook, mean: float) -> str:
        """An arm's mean, in as many decimals as the sentences give its level, so that one number is not rounded in two ways."""
        told = []
        for one in self.findings:
            judged = judged_on_axis(one, reference_of(one, self.looks))
            if judged is not None and (one.design == "two_changes" or look.key in (reference_of(one, self.looks), one.changed_arm)):
                told.append(decimals_of(judged.changed, judged.low, judged.high))
        return with_unit(number(mean, max(told)) if told else figures(mean, 2), self._short_unit())

    def _short_unit(self) -> str:
        return self.unit if len(self.unit) <= 6 else ""


def _no_interval(finding: Finding) -> str:
    """Why there is no interval, as a heading in its place."""
    if finding.summary == "threshold":
        return "No interval: only the order is compared"
    if finding.design == "drawn_start" and finding.p_value is not None:
        return "No interval: the draws of the lot are counted"
    return {"alone": "No interval: the data alone cannot tell"}.get(finding.grade, "No interval can be given")


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
