"""The picture of a claim check: the claimed effect beside what moves the same number anyway and what a meter can tell, on one axis."""

from dataclasses import dataclass

from fairtank.planning.claiming.claim import SMALL_SHARE, Claim
from fairtank.publish.blocks import Figure
from fairtank.publish.charts import (
    GRID,
    INK,
    NARROW_PX,
    QUIET_INK,
    SHADE,
    WIDE_PX,
    Spec,
    fitted,
    framed,
    is_narrow,
    svg_of,
    text_px,
    value_ticks,
)
from fairtank.publish.claim_words import headline_words, span_words
from fairtank.publish.numbers import tick_format

# A range so narrow that its bar would be a speck is drawn as a mark.
_LEAST_BAR_SHARE = 0.004
_ROOM_RIGHT = 1.06
# The typeface has neither a raised minus sign nor the micro sign, but the Greek letter that looks like it.
_UNIT_WORDS = {"µmol m⁻² s⁻¹": "\u03bcmol per m² and second"}


def claim_chart(claim: Claim, *, width_px: int = WIDE_PX, key: str = "claim") -> str:
    """The claimed effect, what the tank does meanwhile and what a meter can tell, as SVG.

    Parameters
    ----------
    claim : Claim
        The frozen result of a claim check.
    width_px : int
        Outer width. [px]
    key : str
        Letters, digits and hyphens; unique on the page.

    Returns
    -------
    str
        An `<svg>` element, one image whose name says in words what it shows.
    """
    return svg_of(claim_spec(claim, width_px=width_px), key=key)


def claim_figure(claim: Claim, key: str = "claim") -> Figure:
    """The chart wide and narrow, with its caption and its words."""
    caption = "What is claimed, beside what moves the same number anyway and what two readings can tell."
    return Figure(key, caption, description(claim), claim_chart(claim, key=f"{key}-wide"),
                  claim_chart(claim, width_px=NARROW_PX, key=f"{key}-narrow"))


def description(claim: Claim) -> str:
    """The chart in words."""
    rows = "; ".join(f"{row.label}: {span_words(*row.told, claim.unit)}" for row in rows_of(claim))
    seen = claim.smallest_seen
    limit = "no change could be told" if seen is None else f"changes below {span_words(seen, seen, claim.unit)} cannot be told"
    return f"Ranges of {claim.quantity}. {rows}; {limit}. {headline_words(claim)}"


@dataclass(frozen=True)
class Row:
    """One range of the chart: its label, where it begins and ends, the numbers told of it, whether it is the claim."""

    label: str
    low: float
    high: float
    told: tuple[float, float]
    is_claim: bool = False


def rows_of(claim: Claim) -> tuple[Row, ...]:
    """The claim first, then what the verdict is held against, the rest of what the tank does, and the meter."""
    others = sorted((one for one in claim.meanwhile if one.high > 0), key=lambda one: not one.decides)
    error = claim.meter_error
    return (
        Row("what is claimed", claim.low, claim.high, (claim.low, claim.high), is_claim=True),
        *(Row(one.label, one.low, one.high, (one.low, one.high)) for one in others),
        Row("one reading is off by", 0.0, error, (float(f"{error:.2g}"),) * 2),
    )


def claim_spec(claim: Claim, *, width_px: int) -> Spec:
    """The chart as a Vega-Lite description; the unit stands in its title alone."""
    size, rows = text_px(width_px), rows_of(claim)
    step, longest = size * 3.0, max(row.high for row in rows)
    edge = max(longest, min(claim.smallest_seen or 0.0, 4 * longest)) * _ROOM_RIGHT
    ticks = value_ticks(0.0, edge, 4 if is_narrow(width_px) else 7)
    height = len(rows) * step + 4
    layers = [_band(edge if claim.smallest_seen is None else min(claim.smallest_seen, edge), height),
              *(_rule(tick, 0.0, height, GRID, [1, 0]) for tick in ticks if tick)]
    half = SMALL_SHARE * claim.rival.high
    for place, row in enumerate(rows):
        top = place * step
        words = fitted(f"{row.label[:1].upper()}{row.label[1:]}: {span_words(*row.told, '')}", width_px - 16, size)
        layers.append(_line(words, top + size * 0.9, bold=row.is_claim))
        if half > 0:
            layers.append(_rule(half, top + size * 1.55, top + size * 2.85, INK, [2, 2]))
        layers += _range(row, top + size * 2.2, edge)
    below = height + size * 3.0  # the axis with its numbers stands between the rows and the legend
    for text in _legend(claim, half > 0):
        layers.append(_line(fitted(text, width_px - 16, size), below, colour=QUIET_INK))
        below += size * 1.5
    axis = {"title": None, "values": ticks, "format": tick_format(ticks), "orient": "bottom", "offset": round(height - below) + 2,
            "grid": False}
    height = below
    for layer in layers:
        for channel, domain in (("x", [0.0, edge]), ("y", [height, 0])):
            encoding = layer["encoding"].get(channel, {})
            if "field" in encoding:
                encoding["scale"] = {"domain": domain, "nice": False, "zero": False}
                encoding["axis"] = axis if channel == "x" else None
    title = f"{claim.quantity[:1].upper()}{claim.quantity[1:]} [{_UNIT_WORDS.get(claim.unit, claim.unit)}]"
    return framed(layers, width_px=width_px, height_px=round(height), description=description(claim), title=title)


def _legend(claim: Claim, has_rival: bool) -> tuple[str, ...]:
    """What band and dotted lines mean."""
    band = "Grey: too small for two readings to tell."
    if not has_rival:
        return (band,)
    return band, f"Dotted: half of what {'these three' if claim.kind == 'light' else 'the plants'} may do."


def _band(end: float, height: float) -> Spec:
    return {"data": {"values": [{"x": 0.0, "x2": end, "y": 0.0, "y2": height}]}, "mark": {"type": "rect", "color": SHADE},
            "encoding": {"x": {"field": "x", "type": "quantitative"}, "x2": {"field": "x2"}, "y": {"field": "y", "type": "quantitative"},
                         "y2": {"field": "y2"}}}


def _rule(x: float, y: float, y2: float, colour: str, dash: list[int]) -> Spec:
    return {"data": {"values": [{"x": x, "y": y, "y2": y2}]},
            "mark": {"type": "rule", "color": colour, "strokeWidth": 1.5 if dash[1] else 1, "strokeDash": dash},
            "encoding": {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"}, "y2": {"field": "y2"}}}


def _range(row: Row, y: float, edge: float) -> list[Spec]:
    """A bar from low to high, or a mark where that would be a speck; the claim is dark and thick, the rest lighter and thin."""
    colour = INK if row.is_claim else QUIET_INK
    encoding = {"x": {"field": "x", "type": "quantitative"}, "y": {"field": "y", "type": "quantitative"}}
    if row.high - row.low < _LEAST_BAR_SHARE * edge:
        return [{"data": {"values": [{"x": (row.low + row.high) / 2, "y": y}]}, "encoding": encoding,
                 "mark": {"type": "point", "shape": "diamond", "filled": True, "opacity": 1, "size": 130 if row.is_claim else 80,
                          "color": colour}}]
    return [{"data": {"values": [{"x": row.low, "x2": row.high, "y": y}]}, "encoding": {**encoding, "x2": {"field": "x2"}},
             "mark": {"type": "rule", "color": colour, "strokeWidth": 7 if row.is_claim else 4}}]


def _line(text: str, y: float, *, bold: bool = False, colour: str = INK) -> Spec:
    return {"data": {"values": [{"t": text}]},
            "mark": {"type": "text", "align": "left", "baseline": "middle", "fontWeight": "bold" if bold else "normal", "color": colour},
            "encoding": {"x": {"value": 0}, "y": {"value": y}, "text": {"field": "t", "type": "nominal"}}}
