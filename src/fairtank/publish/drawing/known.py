"""What is known of Vega-Lite here: descriptions that hold anything else are not drawn, but left to the renderer."""

import math
from collections.abc import Iterable
from typing import Any

Spec = dict[str, Any]

FONT = "Atkinson Hyperlegible Next"
PLAIN_WEIGHT = "normal"
HARD_BLANK = "\u00a0"
_SHEET = {"$schema", "description", "background", "width", "height", "autosize", "padding", "layer", "config", "title"}
_LAYER = {"data", "mark", "encoding"}
_CONFIG = {
    "font": None, "view": {"stroke"}, "text": {"font", "fontSize", "color"},
    "axis": {"labelFont", "titleFont", "labelFontSize", "titleFontSize", "labelColor", "titleColor", "titleFontWeight", "gridColor",
             "domainColor", "tickColor", "titlePadding", "labelPadding"},
    "title": {"font", "fontSize", "fontWeight", "color", "anchor", "offset", "frame"},
}
_FIXED = {("axis", "titleFontWeight"): PLAIN_WEIGHT, ("title", "fontWeight"): PLAIN_WEIGHT, ("title", "anchor"): "start",
          ("title", "frame"): "bounds", ("view", "stroke"): None, ("text", "font"): FONT, ("axis", "labelFont"): FONT,
          ("axis", "titleFont"): FONT, ("title", "font"): FONT}
# What a mark says of itself, and which of it must be said here although the renderer has a value of its own for it.
_MARKS = {
    "text": ({"align", "baseline", "fontWeight", "dx", "color", "stroke", "strokeWidth"}, set()),
    "line": ({"color", "strokeDash", "strokeWidth", "clip", "opacity"}, {"strokeWidth"}),
    "point": ({"shape", "filled", "size", "color", "opacity", "stroke", "strokeWidth", "fill"}, {"size", "opacity"}),
    "rule": ({"color", "strokeDash", "strokeWidth", "opacity"}, {"color"}),
    "rect": ({"color", "clip", "stroke", "strokeWidth", "opacity"}, {"color"}),
    "area": ({"color", "opacity"}, {"color", "opacity"}),
}
_CHANNELS = {
    "text": ({"x", "y", "text"},), "line": ({"x", "y"}, {"x", "y", "order"}, {"x", "y", "detail", "color", "strokeDash"}),
    "point": ({"x", "y"}, {"x", "y", "color"}, {"x", "y", "color", "shape"}),
    "rule": ({"x", "x2", "y"}, {"x", "y", "y2"}, {"x", "x2", "y", "y2"}), "rect": ({"x", "x2", "y", "y2"},), "area": ({"x", "y", "y2"},),
}
_SHAPES = ("circle", "square", "diamond", "triangle-up", "triangle-left", "triangle-right")
_CHOICES = {"align": ("left", "center", "right"), "baseline": ("top", "middle", "alphabetic"), "fontWeight": (PLAIN_WEIGHT, "bold"),
            "shape": _SHAPES, "filled": (True, False), "clip": (True, False)}
_X_AXIS = {"title", "values", "format", "orient", "offset", "grid"}
_Y_AXIS = {"title", "values", "format", "domain", "ticks", "grid"}


class UnknownError(Exception):
    """The description holds something that is not known here."""


def must(is_known: bool) -> None:
    """Leave the description to the renderer unless this holds."""
    if not is_known:
        raise UnknownError


def check(spec: Spec) -> None:
    """Leave the description to the renderer where it holds anything that is not known here."""
    must(set(spec) <= _SHEET and {"width", "height", "layer", "config"} <= set(spec))
    must(spec["autosize"] == {"type": "fit-x", "contains": "padding"} and spec["background"] is None)
    must(are_numbers((spec["width"], spec["height"], spec["padding"])))
    title = spec.get("title", ["none"])
    must(isinstance(title, list) and bool(title) and all(_is_text(line) for line in title))
    _config_check(spec["config"])
    for layer in spec["layer"]:
        must(set(layer) == _LAYER and set(layer["data"]) == {"values"} and isinstance(layer["mark"], dict))
        _mark_check(layer["mark"])
        _channels_check(layer["mark"], layer["encoding"], layer["data"]["values"])


def are_numbers(values: Iterable[Any]) -> bool:
    """Whether all of these are finite numbers of Python's own, which are written as the renderer writes them."""
    return all((type(value) is float or type(value) is int) and math.isfinite(value) for value in values)


def _is_text(value: Any) -> bool:
    """Whether the renderer draws this as one line of text that it does not change."""
    return isinstance(value, str) and bool(value.strip()) and value.replace(HARD_BLANK, "").isprintable()


def _config_check(config: Spec) -> None:
    must(set(config) == set(_CONFIG) and config["font"] == FONT)
    for name, keys in _CONFIG.items():
        must(keys is None or set(config[name]) == keys)
    must(all(config[name][key] == value for (name, key), value in _FIXED.items()))


def _mark_check(mark: Spec) -> None:
    must(mark.get("type") in _MARKS)
    known, needed = _MARKS[mark["type"]]
    said = set(mark) - {"type"}
    must(said <= known and needed <= said)
    must(all(mark[name] in choices for name, choices in _CHOICES.items() if name in mark))
    must(are_numbers(mark[name] for name in ("dx", "strokeWidth", "size", "opacity") if name in mark))


def _channels_check(mark: Spec, channels: Spec, rows: list[Spec]) -> None:
    must(set(channels) in _CHANNELS[mark["type"]])
    for name, told in channels.items():
        if name in ("x", "y"):
            _place_check(name, told)
        elif name in ("x2", "y2"):
            must(set(told) in ({"value"}, {"field"}))
        elif name == "order":
            must(set(told) == {"field", "type"} and told["type"] == "quantitative")
        else:
            must(set(told) <= {"field", "type", "legend", "scale"} and told["type"] == "nominal")
            _look_check(name, told, rows)
        if name in ("x", "y", "x2", "y2", "order"):
            must(are_numbers([told["value"]] if "value" in told else (row.get(told["field"]) for row in rows)))


def _place_check(name: str, told: Spec) -> None:
    if "value" in told:
        must(set(told) == {"value"})
        return
    must(set(told) == {"field", "type", "scale", "axis"} and told["type"] == "quantitative")
    scale, axis = told["scale"], told["axis"]
    must(set(scale) == {"domain", "nice", "zero"} and scale["nice"] is False and scale["zero"] is False)
    must(len(scale["domain"]) == 2 and are_numbers(scale["domain"]) and scale["domain"][0] != scale["domain"][1])
    if axis is None:
        return
    must(set(axis) <= (_X_AXIS if name == "x" else _Y_AXIS) and {"title", "values", "format"} <= set(axis) and are_numbers(axis["values"]))
    if name == "y":
        must(axis["title"] is None and axis.get("ticks") is False and axis.get("domain") is False)
    else:
        must(axis.get("orient", "bottom") == "bottom" and (axis["title"] is None or _is_text(axis["title"])))


def _look_check(name: str, told: Spec, rows: list[Spec]) -> None:
    if name == "text":
        must(set(told) == {"field", "type"} and all(_is_text(row.get(told["field"])) for row in rows))
        return
    if name == "detail":
        must(set(told) == {"field", "type"} and all(isinstance(row.get(told["field"]), str) for row in rows))
        return
    scale = told["scale"]
    if scale is None:
        must(name == "color" and "legend" not in told and all(isinstance(row.get(told["field"]), str) for row in rows))
        return
    must(told.get("legend", "told") is None and set(scale) == {"domain", "range"} and len(scale["domain"]) == len(scale["range"]))
    must(len(set(scale["domain"])) == len(scale["domain"]) and {row.get(told["field"]) for row in rows} <= set(scale["domain"]))
