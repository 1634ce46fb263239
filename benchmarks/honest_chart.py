"""The picture of honesty: for each kind of trial, how often a difference is claimed where there is none, by us and by the naive ways."""

from typing import Any

from honest_rates import Share, share_of

from fairtank.publish.arms import BLUE, GREEN, PURPLE, VERMILLION
from fairtank.publish.charts import GRID, INK, QUIET_INK, Spec, framed, is_narrow, text_px

WAYS = {
    "ours": ("fairtank", BLUE, "circle"), "daily_t": ("t-test over all values", VERMILLION, "triangle-up"),
    "last_day": ("t-test on the last day", PURPLE, "diamond"), "photo_anova": ("photo ANOVA, arm and day", GREEN, "square"),
}  # fmt: skip
TICKS_PCT = (0, 25, 50, 75, 100)
PROMISED_PCT = 5
APART_PX = 2.5
DIFFER = {"low": "little", "mid": "somewhat", "high": "much"}


def description(rows: list[dict[str, Any]]) -> str:
    """The chart in words."""
    told = []
    for way, (words, _, _) in WAYS.items():
        shares = [100 * share.share for row in rows if (share := share_of(row, "null", way, "claims")) is not None]
        told.append(f"{words} {min(shares):.0f} to {max(shares):.0f} %")
    return ("False claims of a difference, in % of trials in which nothing differs, one row for each of "
            f"{len(rows)} kinds of trial. Promised are at most {PROMISED_PCT} %. Found: {'; '.join(told)}.")


class _Drawing:
    """Marks in px, gathered as rows of data."""

    def __init__(self, width_px: int) -> None:
        self.size = text_px(width_px)
        self.left = 112 if is_narrow(width_px) else 150
        self.right = width_px - 26
        self.texts: list[Spec] = []
        self.rules: list[Spec] = []
        self.bars: list[Spec] = []
        self.points: list[Spec] = []
        self.y = float(self.size)

    def x(self, share: float) -> float:
        """Where a share of 0 to 1 stands."""
        return self.left + share * (self.right - self.left)

    def text(self, words: str, x: float, y: float, *, weight: str = "normal", align: str = "left", colour: str = INK) -> None:
        """A line of text, its middle at y."""
        self.texts.append({"t": words, "x": x, "y": y, "w": weight, "a": align, "c": colour})

    def rule(self, x: float, top: float, bottom: float, colour: str, *, dash: bool = False) -> None:
        """An upright line."""
        self.rules.append({"x": x, "y": top, "y2": bottom, "c": colour, "d": dash})

    def mark(self, share: Share, colour: str, shape: str, y: float) -> None:
        """A share with its limits."""
        low, high = share.limits
        # Ours a little above, the others below: near 5 % they would lie on each other.
        y += -APART_PX if colour == BLUE else APART_PX
        self.bars.append({"x": self.x(low), "x2": self.x(high), "y": y, "c": colour})
        self.points.append({"x": self.x(share.share), "y": y, "c": colour, "s": shape})


def _legend(drawing: _Drawing, width_px: int) -> None:
    """What the marks mean, in lines above the picture."""
    places = [(0.0, 0), (0.0, 1), (0.0, 2), (0.0, 3)] if is_narrow(width_px) else [(0.0, 0), (0.5, 0), (0.0, 1), (0.5, 1)]
    pitch = drawing.size * 1.5
    for (along, line), (words, colour, shape) in zip(places, WAYS.values(), strict=True):
        x, y = 6 + along * width_px, drawing.y + line * pitch
        drawing.points.append({"x": x, "y": y, "c": colour, "s": shape})
        drawing.text(words, x + 12, y, weight="bold" if colour == BLUE else "normal")
    drawing.y += (max(line for _, line in places) + 1.6) * pitch


def _rows(drawing: _Drawing, rows: list[dict[str, Any]]) -> None:
    """A heading for each design, a row for each of its settings."""
    pitch, design, arms = drawing.size * 1.2, "", ""
    for row in rows:
        if row["design"] != design:
            drawing.y += drawing.size * (0.9 if design else 0.0)
            design, arms = row["design"], ""
            drawing.text(design[:1].upper() + design[1:], 0, drawing.y, weight="bold")
            drawing.y += pitch * 1.15
        if row["arms"] != arms:
            drawing.y += drawing.size * (0.35 if arms else 0.0)
            arms = row["arms"]
            drawing.text(arms.replace("v", " v "), 0, drawing.y)
        drawing.text(DIFFER[row["spread"]], drawing.left - 14, drawing.y, align="right", colour=QUIET_INK)
        for way, (_, colour, shape) in reversed(WAYS.items()):
            share = share_of(row, "null", way, "claims")
            if share is not None:
                drawing.mark(share, colour, shape, drawing.y)
        drawing.y += pitch


def spec(rows: list[dict[str, Any]], *, width_px: int) -> Spec:
    """The chart as a Vega-Lite description.

    rows: recorded settings with naive ways, in the order in which they are drawn.
    """
    drawing = _Drawing(width_px)
    _legend(drawing, width_px)
    drawing.text("tanks per arm; how much like tanks differ", 0, drawing.y, colour=QUIET_INK)
    drawing.y += drawing.size * 1.7
    top = drawing.y
    drawing.text(f"{PROMISED_PCT} %: promised", drawing.x(PROMISED_PCT / 100) - 2, top - 4)
    drawing.y += drawing.size * 1.3
    _rows(drawing, rows)
    bottom = drawing.y
    for tick in TICKS_PCT:
        drawing.rule(drawing.x(tick / 100), top + 8, bottom, GRID)
        drawing.text(f"{tick} %", drawing.x(tick / 100), bottom + drawing.size * 0.9, align="center", colour=QUIET_INK)
    drawing.rule(drawing.x(PROMISED_PCT / 100), top + 8, bottom, INK, dash=True)
    drawing.text("of the trials", drawing.right, bottom + drawing.size * 2.3, align="right", colour=QUIET_INK)
    height = round(bottom + drawing.size * 3.2)
    layers = _layers(drawing)
    for layer in layers:
        for channel, domain in (("x", [0, width_px - 8]), ("y", [height, 0])):
            layer["encoding"][channel].update({"scale": {"domain": domain, "nice": False, "zero": False}, "axis": None})
    made = framed(layers, width_px=width_px, height_px=height, description=description(rows),
                  title="Trials in which nothing differs: how often a difference is claimed")
    return {**made, "background": "#ffffff"}


def _layers(drawing: _Drawing) -> list[Spec]:
    colour = {"field": "c", "type": "nominal", "scale": None}
    x, y = {"field": "x", "type": "quantitative"}, {"field": "y", "type": "quantitative"}
    layers: list[Spec] = []
    for dash in (False, True):
        layers.append({"data": {"values": [rule for rule in drawing.rules if rule["d"] == dash]},
                       "mark": {"type": "rule", "strokeWidth": 1.5 if dash else 1, "strokeDash": [4, 3] if dash else [1, 0]},
                       "encoding": {"x": dict(x), "y": dict(y), "y2": {"field": "y2"}, "color": colour}})
    layers.append({"data": {"values": drawing.bars}, "mark": {"type": "rule", "strokeWidth": 2},
                   "encoding": {"x": dict(x), "x2": {"field": "x2"}, "y": dict(y), "color": colour}})
    for _, _, shape in WAYS.values():
        layers.append({"data": {"values": [point for point in drawing.points if point["s"] == shape]},
                       "mark": {"type": "point", "shape": shape, "filled": True, "size": 56 if shape == "circle" else 42, "opacity": 1},
                       "encoding": {"x": dict(x), "y": dict(y), "color": colour}})
    for weight in ("normal", "bold"):
        for align in ("left", "center", "right"):
            own = [text for text in drawing.texts if text["w"] == weight and text["a"] == align]
            if own:
                mark = {"type": "text", "align": align, "baseline": "middle", "fontWeight": weight}
                layers.append({"data": {"values": own}, "mark": mark,
                               "encoding": {"x": dict(x), "y": dict(y), "color": colour, "text": {"field": "t", "type": "nominal"}}})
    return layers
