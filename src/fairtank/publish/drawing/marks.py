"""The marks of a chart's layers: what each takes up, and its elements."""

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from fairtank.publish.drawing.figures import coordinate, in_path
from fairtank.publish.drawing.frame import Box, Frame, Row, around, around_places
from fairtank.publish.drawing.known import Spec
from fairtank.publish.drawing.lettering import Lettering

_POINT_STROKE_PX, _THIN_PX = 2.0, 1.0  # of points and of all else, where a mark says nothing of its own
_LYING = ("triangle-left", "triangle-right")


@dataclass(frozen=True)
class Drawn:
    """A layer as it is drawn: the box around its marks (None where there are none), its elements, whether the plot's edge cuts them, and
    boxes of texts that may be narrower than these."""

    box: Box | None
    svg: Callable[[], str]
    is_cut: bool = False
    unsure: tuple[Box, ...] = ()


def layer_drawn(layer: Spec, frame: Frame) -> Drawn:
    """The marks of one layer."""
    rows = layer["data"]["values"]
    return _KINDS[layer["mark"]["type"]](layer["mark"], layer["encoding"], rows, frame) if rows else Drawn(None, str)


def inks(**told: Any) -> str:
    """The inks and the line of a mark, in the order in which they are written; what is None is left out."""
    text = ""
    for name in ("fill", "stroke", "stroke_width", "stroke_dasharray", "opacity"):
        value = told.get(name)
        if value is not None:
            shown = ",".join(map(coordinate, value)) if isinstance(value, (list, tuple)) else value
            text += f' {name.replace("_", "-")}="{shown if isinstance(shown, str) else coordinate(shown)}"'
    return text


def _texts(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    look = inks(fill=mark.get("color", frame.text_ink), stroke=mark.get("stroke"), stroke_width=mark.get("strokeWidth"))
    told, beside = [row[channels["text"]["field"]] for row in rows], mark.get("dx", 0)
    xs, ys = (frame.places(name, channels[name], rows) for name in ("x", "y"))
    texts = [Lettering([text], x + beside, y, frame.text_px, look, mark.get("align", "center"), mark.get("baseline", "middle"),
                       mark.get("fontWeight", "")) for text, x, y in zip(told, xs, ys, strict=True)]
    sure, unsure = ([text.box for text in texts if text.is_measured is is_sure] for is_sure in (True, False))
    return Drawn(around(sure) if sure else None, lambda: "".join(text.svg for text in texts), unsure=tuple(unsure))


def _ends(channels: Spec, rows: Sequence[Row], frame: Frame) -> tuple[list[float], list[float], list[float], list[float]]:
    """Where each row begins and ends: x, y, x2 and y2; the beginning is the end too where no other one is told."""
    xs, ys = (frame.places(name, channels[name], rows) for name in ("x", "y"))
    x2s, y2s = (frame.places(name, channels[name], rows) if name in channels else own for name, own in (("x2", xs), ("y2", ys)))
    return xs, ys, x2s, y2s


def _rules(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    look = inks(stroke=mark["color"], stroke_width=mark.get("strokeWidth"), stroke_dasharray=mark.get("strokeDash"),
                opacity=mark.get("opacity"))
    xs, ys, x2s, y2s = _ends(channels, rows, frame)
    return Drawn(around_places((*xs, *x2s), (*ys, *y2s)).grown(mark.get("strokeWidth", _THIN_PX)), lambda: "".join(
        rule(x, y, x2 - x, y2 - y, look) for x, y, x2, y2 in zip(xs, ys, x2s, y2s, strict=True)))


def rule(x: float, y: float, right: float, down: float, look: str) -> str:
    """A straight line from a place, so far to the right and downwards."""
    return f'<line transform="translate({coordinate(x)},{coordinate(y)})" x2="{coordinate(right)}" y2="{coordinate(down)}"{look} />'


def _rects(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    boxes = [Box(min(x, x2), min(y, y2), max(x, x2), max(y, y2)) for x, y, x2, y2 in zip(*_ends(channels, rows, frame), strict=True)]
    look = inks(fill=mark["color"], stroke=mark.get("stroke"), stroke_width=mark.get("strokeWidth"), opacity=mark.get("opacity"))
    is_cut, edge = bool(mark.get("clip")), mark.get("strokeWidth", _THIN_PX) if mark.get("stroke") else 0.0
    return Drawn(_kept(around(boxes).grown(edge), frame, is_cut),
                 lambda: "".join(f'<path d="{rectangle(box)}"{look} />' for box in boxes), is_cut)


def rectangle(box: Box) -> str:
    """The path of a rectangle."""
    width = coordinate(box.x2 - box.x1)
    return f"M{coordinate(box.x1)},{coordinate(box.y1)}h{width}v{coordinate(box.y2 - box.y1)}h{coordinate(box.x1 - box.x2)}Z"


def _kept(box: Box, frame: Frame, is_cut: bool) -> Box:
    return box.inside(frame.box) if is_cut else box


def _points(channels: Spec, rows: Sequence[Row], frame: Frame, down: str = "y") -> tuple[list[float], list[float]]:
    """The places of a line's points, in the order that is asked for, or else along x."""
    order: str | None = (channels["order"] if "order" in channels else channels["x"]).get("field")
    along = sorted(rows, key=lambda row: row[order]) if order else rows
    return frame.places("x", channels["x"], along), frame.places(down, channels[down], along)


def _steps(xs: Sequence[float], ys: Sequence[float]) -> str:
    return "L".join([f"{in_path(x)},{in_path(y)}" for x, y in zip(xs, ys, strict=True)])


def _path(xs: Sequence[float], ys: Sequence[float]) -> str:
    return f"M{_steps(xs, ys)}{'Z' if len(xs) == 1 else ''}"


def _lines(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    if "detail" in channels:
        return _many_lines(mark, channels, rows, frame)
    xs, ys = _points(channels, rows, frame)
    is_cut = bool(mark.get("clip"))
    look = inks(stroke=mark.get("color"), stroke_width=mark["strokeWidth"], stroke_dasharray=mark.get("strokeDash"),
                opacity=mark.get("opacity"))
    box = around_places(xs, ys).grown(mark["strokeWidth"])
    return Drawn(_kept(box, frame, is_cut), lambda: f'<path d="{_path(xs, ys)}"{look} />', is_cut)


def _many_lines(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    """One line for each value of `detail`, in the ink and the stroke of its arm."""
    fields = [channels[name]["field"] for name in ("detail", "color", "strokeDash")]
    groups: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        groups.setdefault(tuple([row[field] for field in fields]), []).append(row)
    lines = [(_points(channels, own, frame), *(looked_up(channels[name], own[:1])[0] for name in ("color", "strokeDash")))
             for own in groups.values()]
    room = rectangle(frame.box)

    def svg() -> str:
        parts = []
        for points, ink, dash in lines:
            look = inks(stroke=ink, stroke_width=mark["strokeWidth"], stroke_dasharray=dash, opacity=mark.get("opacity"))
            parts.append(f'<g transform="translate(0,0)"><path d="{room}" /><g><g><path d="{_path(*points)}"{look} /></g></g>'
                         '<path d="" display="none" /></g>')
        return "".join(parts)

    return Drawn(around([frame.box, *(around_places(*points).grown(mark["strokeWidth"]) for points, _, _ in lines)]), svg)


def looked_up(told: Spec, rows: Sequence[Row]) -> list[Any]:
    """What a scale of names makes of each row; without a scale the row holds it itself."""
    field, scale = told["field"], told["scale"]
    if scale is None:
        return [row[field] for row in rows]
    found = dict(zip(scale["domain"], scale["range"], strict=True))
    return [found[row[field]] for row in rows]


def _areas(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    (xs, ys), (_, y2s) = (_points(channels, rows, frame, down) for down in ("y", "y2"))
    look = inks(fill=mark["color"], opacity=mark["opacity"])
    return Drawn(around_places(xs, (*ys, *y2s)), lambda: f'<path d="M{_steps(xs, ys)}L{_steps(xs[::-1], y2s[::-1])}Z"{look} />')


def _symbols(mark: Spec, channels: Spec, rows: Sequence[Row], frame: Frame) -> Drawn:
    xs, ys = (frame.places(name, channels[name], rows) for name in ("x", "y"))
    own_inks = looked_up(channels["color"], rows) if "color" in channels else [mark.get("color")] * len(rows)
    shapes = looked_up(channels["shape"], rows) if "shape" in channels else [mark.get("shape", "circle")] * len(rows)
    edge, size = mark.get("strokeWidth", _POINT_STROKE_PX), mark["size"]
    has_edge = not mark.get("filled") or bool(mark.get("stroke"))
    boxes = []
    for shape in set(shapes):
        near = around_places(*zip(*[(x, y) for x, y, own in zip(xs, ys, shapes, strict=True) if own == shape], strict=True))
        wide, high = _half(shape, size)
        boxes.append(Box(near.x1 - wide, near.y1 - high, near.x2 + wide, near.y2 + high))

    def svg() -> str:
        looks = {ink: _symbol_inks(mark, ink) for ink in set(own_inks)}
        return "".join([f'<path transform="translate({coordinate(x)},{coordinate(y)})" d="{symbol(shape, size)}"{looks[ink]} />'
                        for x, y, shape, ink in zip(xs, ys, shapes, own_inks, strict=True)])

    return Drawn(around(boxes).grown(edge if has_edge else 0.0), svg)


def _symbol_inks(mark: Spec, ink: str | None) -> str:
    """A filled mark has its ink inside, and an edge where one is told; another one has its ink as its edge."""
    fill, stroke = (ink, mark.get("stroke")) if mark.get("filled") else (None, ink)
    return inks(fill=mark.get("fill", fill), stroke=stroke, stroke_width=mark.get("strokeWidth", _POINT_STROKE_PX), opacity=mark["opacity"])


@functools.lru_cache(maxsize=256)
def symbol(shape: str, size: float) -> str:
    """The path of a mark of an area [px²], around its own place."""
    half = math.sqrt(size) / 2
    r, back = in_path(half), in_path(-half)
    if shape == "circle":
        return f"M{r},0A{r},{r},0,1,1,{back},0A{r},{r},0,1,1,{r},0"
    if shape == "square":
        side = in_path(2 * half)
        return f"M{back},{back}h{side}v{side}h{in_path(-2 * half)}Z"
    if shape == "diamond":
        return f"M{back},0L0,{back}L{r},0L0,{r}Z"
    low = math.sqrt(3) / 2 * half
    if shape in _LYING:
        tip = low if shape == "triangle-right" else -low
        return f"M{in_path(tip)},0L{in_path(-tip)},{back}L{in_path(-tip)},{r}Z"
    return f"M0,{in_path(-low)}L{back},{in_path(low)}L{r},{in_path(low)}Z"


def _half(shape: str, size: float) -> tuple[float, float]:
    """Half the width and half the height of a mark."""
    half = math.sqrt(size) / 2
    less = math.sqrt(3) / 2 * half
    return less if shape in _LYING else half, less if shape == "triangle-up" else half


_KINDS: dict[str, Callable[[Spec, Spec, Sequence[Row], Frame], Drawn]] = {
    "text": _texts, "rule": _rules, "rect": _rects, "line": _lines, "area": _areas, "point": _symbols,
}
