"""The interval chart: every measure's estimate with its interval against no difference and against what would matter."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.amounts import estimate_words
from fairtank.publish.charts import INK, QUIET_INK, SHADE, Spec, framed, in_lines, is_narrow, text_px
from fairtank.publish.numbers import shortened
from fairtank.publish.phrases import capital, comparison_words, named
from fairtank.publish.words import GRADE_WORDS


def forest(findings: Sequence[Finding], *, width_px: int) -> Spec:
    """Estimates and intervals of all measures, one row each, as a Vega-Lite description.

    Each row has a scale of its own, because measures have different units: only no difference (the line in the middle), the band that does
    not matter and the interval are compared, within a row.

    Parameters
    ----------
    findings : sequence of Finding
        At least one.
    width_px : int
        Outer width. [px]

    Returns
    -------
    dict
        Vega-Lite.
    """
    size, is_phone = text_px(width_px), is_narrow(width_px)
    left, right = (0.0, 1.0) if is_phone else (0.42, 1.0)
    centre, half, room_px = (left + right) / 2, (right - left) / 2 * 0.97, width_px - 16 if is_phone else width_px * left - 14
    zeros: list[Spec] = []
    texts, bars, marks, bands, height = [], [], [], [], 0.0
    for finding in findings:
        title = in_lines(f"{_row_title(finding, findings)}: {finding.grade}", room_px, size * 1.06)
        words = in_lines(estimate_words(finding) if finding.estimate is not None else "no estimate", room_px, size)
        step = size * 1.4
        middle = height + (size + len(title) * step + 4 if is_phone else size * 0.3 + (len(title) + len(words)) * step / 2)
        for place, text in enumerate((*title, *words)):
            is_below = place >= len(title)
            top = height + size + place * step + (30 if is_phone and is_below else 0)
            texts.append({"x": 0.0, "y": top, "t": text, "b": int(not is_below)})
        reach = _reach(finding)
        if finding.margin is not None:
            share = half * min(finding.margin / reach, 1.0)
            bands.append({"x": centre - share, "x2": centre + share, "y": middle - 11, "y2": middle + 11})
        if finding.low is not None and finding.high is not None:
            ends = [centre + half * max(min(value / reach, 1.0), -1.0) for value in (finding.low, finding.high)]
            bars.append({"x": ends[0], "x2": ends[1], "y": middle})
        if finding.low is None and finding.margin is None:
            # Nothing sets this row's scale: wherever a mark stood, its place would say nothing.
            texts.append({"x": centre + 0.02, "y": middle, "t": "no interval", "b": 0})
        elif finding.estimate is not None:
            marks.append({"x": centre + half * max(min(finding.estimate / reach, 1.0), -1.0), "y": middle,
                          "fill": INK if finding.low is not None else "#ffffff"})
        zeros.append(_zero_line(centre, middle))
        height += max((len(title) + len(words)) * step + (44 if is_phone else 18), 56)
    height = round(height)
    layers = _bands(bands) + zeros + _bars(bars) + _marks(marks) + _texts(texts)
    layers += _direction_words(left, right, height)
    height += size * 2
    for layer in layers:
        for channel, domain in (("x", [0, 1]), ("y", [height, 0])):
            encoding = layer["encoding"].get(channel)
            if encoding and "field" in encoding:
                encoding["scale"], encoding["axis"] = {"domain": domain, "nice": False, "zero": False}, None
    return framed(layers, width_px=width_px, height_px=height, description=description(findings))


def drawn(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings that have something to draw: an interval, or an estimate beside the band of what does not matter.

    A threshold compares an order of days, and the draws of a lot are counted: neither has an interval on a scale.
    """
    return tuple(one for one in findings if one.low is not None or (one.estimate is not None and one.margin is not None
                                                                    and one.summary != "threshold" and one.design != "drawn_start"))


def description(findings: Sequence[Finding]) -> str:
    """The interval chart in words."""
    rows = "; ".join(f"{shortened(comparison_words(finding), 120)}: {estimate_words(finding)}, {finding.grade}, which means "
                     f"{GRADE_WORDS[finding.grade]}" for finding in findings)
    return f"Interval chart, one row for each measure. {rows}."


def _reach(finding: Finding) -> float:
    """How far a row's scale reaches to either side."""
    numbers = (finding.low, finding.high, finding.estimate, finding.margin)
    return max([abs(value) for value in numbers if value is not None and abs(value) < 1e9] + [1e-9]) * 1.08


def _row_title(finding: Finding, findings: Sequence[Finding]) -> str:
    """The measure; where all rows are comparisons of one measure, which two arms."""
    if finding.comparisons > 1 and len({one.measure for one in findings}) == 1:
        return capital(f"{named(finding.changed_label)} against {named(finding.reference_label)}")
    return comparison_words(finding)


def _zero_line(centre: float, middle: float) -> Spec:
    return {"data": {"values": [{"x": centre, "y": middle - 15, "y2": middle + 15}]},
            "mark": {"type": "rule", "color": INK, "strokeWidth": 1},
            "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"}, "y2": {"field": "y2"}}}


def _bands(rows: list[Spec]) -> list[Spec]:
    return [{"data": {"values": rows}, "mark": {"type": "rect", "color": SHADE},
             "encoding": {"x": {"field": "x", "type": "quantitative"}, "x2": {"field": "x2"}, "y": {"field": "y", "type": "quantitative"},
                          "y2": {"field": "y2"}}}] if rows else []


def _bars(rows: list[Spec]) -> list[Spec]:
    return [{"data": {"values": rows}, "mark": {"type": "rule", "color": INK, "strokeWidth": 3},
             "encoding": {"x": {"field": "x", "type": "quantitative"}, "x2": {"field": "x2"},
                          "y": {"field": "y", "type": "quantitative"}}}] if rows else []


def _marks(rows: list[Spec]) -> list[Spec]:
    return [{"data": {"values": rows}, "mark": {"type": "point", "shape": "diamond", "filled": True, "size": 130, "opacity": 1,
                                                "stroke": INK, "strokeWidth": 2},
             "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"},
                          "color": {"field": "fill", "type": "nominal", "scale": None}}}] if rows else []


def _texts(rows: list[Spec]) -> list[Spec]:
    layers = []
    for bold, weight in ((1, "bold"), (0, "normal")):
        own = [row for row in rows if row["b"] == bold]
        layers.append({"data": {"values": own}, "mark": {"type": "text", "align": "left", "baseline": "middle", "fontWeight": weight},
                       "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"},
                                    "text": {"field": "t", "type": "nominal"}}})
    return layers


def _direction_words(left: float, right: float, height: int) -> list[Spec]:
    places = ((left, "less", "left"), ((left + right) / 2, "no difference", "center"), (right, "more", "right"))
    return [{"data": {"values": [{"x": x, "y": height + 8, "t": words}]},
             "mark": {"type": "text", "align": align, "baseline": "middle", "color": QUIET_INK},
             "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"},
                          "text": {"field": "t", "type": "nominal"}}} for x, words, align in places]
