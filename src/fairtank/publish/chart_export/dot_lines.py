"""The dot row for pictures that lie or are small: the tanks of an arm stand in as few lines as they need, and no key stands beside them.

Drawn at the size of a phone's chart its text is as large as the picture allows; the names of the tanks stand in the text alternative and in
the form for a page.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fairtank.finding import Finding
from fairtank.publish.arms import ArmLook
from fairtank.publish.charts import INK, SHADE, Spec, framed, in_lines, text_px, value_ticks
from fairtank.publish.dot_row import FAINT, all_dots, axis_words, description
from fairtank.publish.dots import Dot, Judged, axis_unit, dots_in_order, judged_on_axis, reference_of
from fairtank.publish.numbers import decimals_of, figures, number, shortened, tick_format, with_unit
from fairtank.publish.printed import levels_in_short
from fairtank.publish.scales import natural_value, scale_value

_THIN = "Thin line: no difference."
LEGEND = f"Grey band: too small to matter. {_THIN}"
_LINE_PX, _DOT_PX, _APART_PX, _BETWEEN_PX = 15, 12, 15, 4
_REACH = 4.0  # times as wide as the rest, beyond which an interval's end is cut
_ROOM, _TICKS = 0.06, 4


def dot_lines(finding: Finding, looks: dict[str, ArmLook], *, width_px: int, partners: Mapping[str, str] | None = None,
              others: Sequence[Finding] = ()) -> Spec:
    """The dot row of a finding, low: arguments and marks as `dot_row.dot_row`.

    Parameters
    ----------
    finding : Finding
        Any finding with at least one usable tank.
    looks : dict of str to ArmLook
        How each arm is drawn.
    width_px : int
        Outer width. [px]
    partners : mapping of str to str, optional
        A thin line joins the two of a pair.
    others : sequence of Finding
        Further comparisons of the same measure.

    Returns
    -------
    dict
        Vega-Lite; what its band and its thin line mean is `legend`, which stands beside it.
    """
    findings, rows = (finding, *others), LowRows(finding, width_px, is_crossed=bool(partners))
    drawn = all_dots(findings, looks)
    found = [(one, judged_on_axis(one, reference_of(one, looks))) for one in findings]
    rows.reach_of([value for dot in drawn for value in (dot.place, dot.start) if value is not None], [judged for _, judged in found])
    order: list[str] = []
    for look in looks.values():
        own = dots_in_order(drawn, look.key, partners or {}, order)
        order += [dot.unit for dot in own]
        if own:
            rows.add_arm(look, own, found, is_paired=bool(partners))
    rows.join(partners or {})
    for one, judged in found:
        if judged is not None:
            rows.add_interval(between(one, looks, judged), judged, changed_look(one, looks))
        elif any(other is not None for _, other in found):
            rows.heading(f"{shortened(one.changed_label, 30)}: no interval can be given")
    return rows.framed(description(finding, looks, others), axis_words(finding))


def legend(findings: Sequence[Finding], looks: dict[str, ArmLook]) -> tuple[str, ...]:
    """What the band and the thin line of these comparisons mean; empty where neither is drawn."""
    drawn = [judged for one in findings if (judged := judged_on_axis(one, reference_of(one, looks))) is not None]
    if not drawn:
        return ()
    return (LEGEND,) if any(judged.band is not None for judged in drawn) else (_THIN,)


def changed_look(finding: Finding, looks: dict[str, ArmLook]) -> ArmLook:
    """How the changed side is drawn: as its arm; a finding told over several arms in the colour of none."""
    named = (look for look in looks.values() if shortened(look.label, 99) == shortened(finding.changed_label, 99))
    look = looks.get(finding.changed_arm) or next(named, list(looks.values())[-1])
    return replace(look, colour=INK, mark="circle") if finding.design == "two_changes" else look


def between(finding: Finding, looks: dict[str, ArmLook], judged: Judged) -> tuple[str, str]:
    """Both sides of an interval with their numbers, each a part; the numbers alone are told where a unit is a long one."""
    unit = axis_unit(finding)
    short = unit if len(unit) <= 6 else ""
    reference, changed, ends = levels_in_short(finding, judged.reference, judged.changed, judged.low, judged.high)
    first, last = with_unit(reference, short), f"{changed} ({with_unit(ends, short)})"
    if finding.design != "two_changes":
        return f"With {looks[reference_of(finding, looks)].letter} at {first},", f"{changed_look(finding, looks).letter} would be at {last}"
    without, with_it = (shortened(label, 30) for label in (finding.reference_label, finding.changed_label))
    has_it = without == with_it.replace("with ", "without ", 1)
    return f"{without[:1].upper()}{without[1:]} at {first};", f"{'with it' if has_it else with_it} {last}"


class LowRows:
    """Collects the marks row by row over one axis; y counts downwards in px."""

    def __init__(self, finding: Finding, width_px: int, *, is_crossed: bool = False) -> None:
        self.finding, self.width_px, self.size = finding, width_px, text_px(width_px)
        # A white rim first, so that the lines between pairs do not cut through words.
        self.rims: list[Spec] = [{"stroke": "#ffffff", "strokeWidth": 3}, {}] if is_crossed else [{}]
        self.low, self.high, self.height_px = 0.0, 1.0, 0.0
        self.below: list[Spec] = []
        self.lines: list[Spec] = []
        self.marks: list[Spec] = []
        self.places: dict[str, tuple[float, float]] = {}

    def reach_of(self, values: Sequence[float], judged: Sequence[Judged | None]) -> None:
        """Settle the axis: all values and what the intervals stand between, and their ends unless they lie far out."""
        seen = [one for one in judged if one is not None]
        inner = [*values, *(place for one in seen for place in (one.reference, one.changed))] or [0.0, 1.0]
        low, high = min(inner), max(inner)
        reach = _REACH * ((high - low) or abs(high) or 1.0)
        ends = [end for one in seen for end in (one.low, one.high, *(one.band or ()))]
        low, high = min([low, *(max(end, low - reach) for end in ends)]), max([high, *(min(end, high + reach) for end in ends)])
        if self.finding.grade == "alone" and self.finding.scale != "identity":
            low = min(low, 0.0)  # without an interval only zero keeps a small distance between two tanks from looking large
        room = ((high - low) or 2.0) * _ROOM
        self.low, self.high = low - room, high + room

    @property
    def _per_px(self) -> float:
        return (self.high - self.low) / (self.width_px - 24)

    def heading(self, *parts: str) -> None:
        """Words above a row: in one line, else each part in lines of its own."""
        room, size = self.width_px - 16, self.size * 1.04
        whole = in_lines(" ".join(parts), room, size)
        for line in whole if len(whole) == 1 else [line for part in parts for line in in_lines(part, room, size)]:
            self.height_px += _LINE_PX
            self.lines += [{"data": {"values": [{"t": line}]},
                            "mark": {"type": "text", "align": "left", "baseline": "middle", "fontWeight": "bold", **rim},
                            "encoding": {"x": {"value": 0}, "y": {"value": self.height_px - _LINE_PX / 2},
                                         "text": {"field": "t", "type": "nominal"}}} for rim in self.rims]

    def add_arm(self, look: ArmLook, dots: Sequence[Dot], found: Sequence[tuple[Finding, Judged | None]], *, is_paired: bool) -> None:
        """An arm's name with its mean, its tanks in as few lines as keep them apart, the mean as an upright line."""
        has_mean = len(dots) > 1 and self.finding.summary != "threshold"
        mean = self._mean(dots)
        named = f"{look.legend} first" if self.finding.summary == "swap" else look.legend
        words = f"{named}: mean {self._mean_words(look, mean, found)}" if has_mean else named
        self.heading(words.replace("  ", " "))
        top, ends = self.height_px + 2, list[float]()
        for dot in dots:
            first, last = sorted((dot.place, dot.place if dot.start is None else dot.start))
            line = next((place for place, end in enumerate(ends) if not is_paired and first - end >= _APART_PX * self._per_px), len(ends))
            ends[line:line + 1] = [last]
            middle = top + (line + 0.5) * _DOT_PX
            self.places[dot.unit] = dot.place, middle
            if dot.start is not None:
                self.lines.append(_line([(dot.start, middle), (dot.place, middle)], look.colour, list(look.dash), 1.5))
                self.marks.append(_mark(dot.start, middle, look, filled=False))
            self.marks.append(_mark(dot.place, middle, look, filled=not dot.is_open))
        self.height_px = top + len(ends) * _DOT_PX + _BETWEEN_PX
        if has_mean:
            self.lines.append(_line([(mean, top - 1), (mean, self.height_px - 3)], look.colour, list(look.dash), 2))

    def join(self, partners: Mapping[str, str]) -> None:
        """A thin line between the two of each pair, below all marks."""
        for second, first in partners.items():
            if first in self.places and second in self.places:
                self.below.append(_line([self.places[first], self.places[second]], FAINT, [1, 0], 1))

    def add_interval(self, words: Sequence[str], judged: Judged, look: ArmLook) -> None:
        """One interval below its words, over the band of differences too small to matter."""
        self.heading(*words)
        top, self.height_px = self.height_px, self.height_px + _LINE_PX + _BETWEEN_PX
        middle, floor = top + _LINE_PX / 2, top + _LINE_PX
        if judged.band is not None:
            self.below.insert(0, {"data": {"values": [{"x": judged.band[0], "x2": judged.band[1], "y": top, "y2": floor}]},
                                  "mark": {"type": "rect", "color": SHADE, "clip": True},
                                  "encoding": {"x": _q("x"), "x2": {"field": "x2"}, "y": _q("y"), "y2": {"field": "y2"}}})
        self.lines.append(_line([(judged.reference, top), (judged.reference, floor)], INK, [1, 0], 1))
        ends = [min(max(end, self.low), self.high) for end in (judged.low, judged.high)]
        self.lines.append(_line([(end, middle) for end in ends], look.colour, [1, 0], 4))
        self.marks.append(_mark(judged.changed, middle, look, filled=False, size=120))

    def framed(self, words: str, title: str) -> Spec:
        """All layers, shades first, over the shared axis."""
        height, layers = round(self.height_px), self.below + self.lines + self.marks
        ticks = value_ticks(max(self.low, 0.0) if self.low >= 0 or self._is_positive() else self.low, self.high, _TICKS)
        axis = {"title": None, "values": ticks, "format": tick_format(ticks), "orient": "bottom", "offset": 2, "grid": True}
        for layer in layers:
            for channel, domain in (("x", [self.low, self.high]), ("y", [height, 0])):
                encoding = layer["encoding"].get(channel, {})
                if "field" in encoding:
                    encoding["scale"] = {"domain": domain, "nice": False, "zero": False}
                    encoding["axis"] = axis if channel == "x" else None
        return framed(layers, width_px=self.width_px, height_px=height, description=words, title=title)

    def _is_positive(self) -> bool:
        """Whether the axis only dips below zero to leave room."""
        return self.low >= -_ROOM * (self.high - self.low)

    def _mean(self, dots: Sequence[Dot]) -> float:
        scale = "identity" if self.finding.summary in ("slope", "threshold") else self.finding.scale
        return natural_value(sum(scale_value(dot.place, scale) for dot in dots) / len(dots), scale)

    def _mean_words(self, look: ArmLook, mean: float, found: Sequence[tuple[Finding, Judged | None]]) -> str:
        """An arm's mean, in as many decimals as the sentences give its level, so that one number is not rounded in two ways."""
        unit = axis_unit(self.finding)
        told = [decimals_of(judged.changed, judged.low, judged.high) for one, judged in found if judged is not None
                and (one.design == "two_changes" or look.key in (one.reference_arm, one.changed_arm) or not one.changed_arm)]
        return with_unit(number(mean, max(told)) if told else figures(mean, 2), unit if len(unit) <= 6 else "")


def _q(field: str) -> Spec:
    return {"field": field, "type": "quantitative"}


def _line(points: Sequence[tuple[float, float]], colour: str, dash: list[int], width: float) -> Spec:
    rows = [{"x": x, "y": y, "o": order} for order, (x, y) in enumerate(points)]
    return {"data": {"values": rows}, "mark": {"type": "line", "color": colour, "strokeDash": dash, "strokeWidth": width, "clip": True},
            "encoding": {"x": _q("x"), "y": _q("y"), "order": _q("o")}}


def _mark(x: float, y: float, look: ArmLook, *, filled: bool, size: int = 90) -> Spec:
    return {"data": {"values": [{"x": x, "y": y}]}, "encoding": {"x": _q("x"), "y": _q("y")},
            "mark": {"type": "point", "shape": look.mark, "filled": True, "size": size, "color": look.colour if filled else "#ffffff",
                     "opacity": 1, "stroke": look.colour, "strokeWidth": 2}}
