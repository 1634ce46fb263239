"""A whole chart as SVG: laid out once to see what stands out beyond the plot, and once more in the width that is left."""

import math
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from fairtank.publish.drawing.axes import Axis
from fairtank.publish.drawing.figures import coordinate
from fairtank.publish.drawing.frame import Box, Frame, around, scale_of
from fairtank.publish.drawing.known import Spec, UnknownError, check, must
from fairtank.publish.drawing.lettering import Lettering
from fairtank.publish.drawing.marks import Drawn, inks, layer_drawn, rectangle

_ATTRIBUTE = {'"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#09;"}


@dataclass(frozen=True)
class _Layout:
    """A chart at one width of its plot: its parts, and the box around all of them."""

    frame: Frame
    axes: list[Axis]
    layers: list[Drawn]
    title: Lettering | None
    box: Box


def chart_svg(spec: Spec, *, key: str) -> str:
    """The chart as an `<svg>` element fit to stand in a page; empty where the description holds anything that is not known here.

    Parameters
    ----------
    spec : dict
        A Vega-Lite description with `description`.
    key : str
        Before the ids inside it.

    Returns
    -------
    str
        What the renderer gives for the same, after `charts.tidy_svg`.
    """
    try:
        check(spec)
        first = _laid_out(spec, float(spec["width"]))
        left, right = math.ceil(-first.box.x1), math.ceil(first.box.x2 - first.frame.width)
        above, below = math.ceil(-first.box.y1), math.ceil(first.box.y2 - first.frame.height)
        room = spec["width"] - 2 * spec["padding"] - left - right
        must(room > 0)
        return _svg(spec, _laid_out(spec, room), (left, above, below), key)
    except UnknownError:
        return ""


def _laid_out(spec: Spec, width: float) -> _Layout:
    axes_told, domains = _shared(spec["layer"])
    height, config = float(spec["height"]), spec["config"]
    frame = Frame(width, height, scale_of(domains["x"], (0.0, width)), scale_of(domains["y"], (height, 0.0)),
                  config["text"]["fontSize"], config["text"]["color"])
    axes = []
    for name, scale in (("x", frame.x), ("y", frame.y)):
        if axes_told[name] is not None:
            assert scale is not None
            axes.append(Axis(axes_told[name], config["axis"], scale, frame, name == "x"))
    layers = [layer_drawn(layer, frame) for layer in spec["layer"]]
    box = around([frame.box, *(axis.box for axis in axes), *(layer.box for layer in layers if layer.box is not None)])
    must(all(text.inside(box) == text for layer in layers for text in layer.unsure))  # they change nothing, however wide they are
    title = _title(spec, box)
    must(title is None or title.is_measured or title.box.x2 <= box.x2)
    return _Layout(frame, axes, layers, title, box if title is None else around([box, title.box]))


def _shared(layers: list[Spec]) -> tuple[dict[str, Any], dict[str, list[list[float]]]]:
    """The axis and the ends of each scale, which all layers that have one must share."""
    axes: dict[str, Any] = {"x": None, "y": None}
    domains: dict[str, list[list[float]]] = {"x": [], "y": []}
    for layer in layers:
        for name in ("x", "y"):
            told = layer["encoding"][name]
            if "value" in told:
                continue
            domains[name].append(told["scale"]["domain"])
            if told["axis"] is not None:
                must(axes[name] in (None, told["axis"]))
                axes[name] = told["axis"]
    return axes, domains


def _title(spec: Spec, box: Box) -> Lettering | None:
    if "title" not in spec:
        return None
    told, lines = spec["config"]["title"], spec["title"]
    size = told["fontSize"]
    high = size + (size + 2) * (len(lines) - 1)
    return Lettering(lines, box.x1, box.y1 - told["offset"] - high, size, inks(fill=told["color"], opacity=1), "left", "top",
                     told["fontWeight"])


def _svg(spec: Spec, layout: _Layout, around_px: tuple[int, int, int], key: str) -> str:
    left, above, below = around_px
    padding, frame = spec["padding"], layout.frame
    width, height = coordinate(spec["width"]), coordinate(frame.height + above + below + 2 * padding)
    parts, cut = ["".join(axis.grid for axis in layout.axes), "".join(axis.svg for axis in layout.axes)], 0
    for layer in layout.layers:
        clip = f' clip-path="url(#{key}-clip{cut})"' if layer.is_cut else ""
        cut += layer.is_cut
        parts.append(f"<g{clip}>{layer.svg()}</g>")
    if layout.title is not None:
        parts.append(_title_svg(layout.title))
    clips = "".join(f'<clipPath id="{key}-clip{number}"><rect x="0" y="0" width="{coordinate(frame.width)}" '
                    f'height="{coordinate(frame.height)}" /></clipPath>' for number in range(cut))
    words = escape(spec["description"], _ATTRIBUTE)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}" height="{height}" viewBox="0 0 {width} {height}" '
            f'role="img" aria-label="{words}"><g fill="none" stroke-miterlimit="10" '
            f'transform="translate({coordinate(padding + left)},{coordinate(padding + above)})"><g><g transform="translate(0,0)">'
            f'<path d="{rectangle(frame.box)}" /><g>{"".join(parts)}</g><path d="" display="none" /></g></g></g>'
            f'{f"<defs>{clips}</defs>" if clips else ""}</svg>')


def _title_svg(title: Lettering) -> str:
    inner = Lettering(title.lines, 0, 0, title.size_px, title.inks, title.align, title.baseline, title.weight)
    return (f'<g><g transform="translate({coordinate(title.x)},{coordinate(title.y)})"><path d="M0,0h0v0h0Z" pointer-events="none" /><g>'
            f'<g pointer-events="none">{inner.svg}</g></g><path d="" pointer-events="none" display="none" /></g></g>')
