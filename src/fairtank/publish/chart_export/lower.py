"""A chart made lower than it is on a page, for pictures that lie: its text then stands larger in them."""

from xml.etree import ElementTree

from fairtank.publish.charts import Spec, spread_out

# What an axis with its name takes below the plot, and a line of the title above it. [px]
_AXIS_PX, _TITLE_LINE, _TITLE_PX = 38, 1.25, 16
FEWEST_PX = 110  # of the plot
MOST_KEYS = 6  # that have room below the legend wherever the lines end
_SVG = "{http://www.w3.org/2000/svg}"


def notes_of(spec: Spec) -> tuple[str, ...]:
    """The lines that stand below a chart's axis, such as what its marks mean.

    Parameters
    ----------
    spec : dict
        Vega-Lite.

    Returns
    -------
    tuple of str
    """
    return tuple(layer["data"]["values"][0]["t"] for layer in spec["layer"] if _is_note(layer, spec))


def lowered(spec: Spec, outer_px: float) -> Spec:
    """The chart without the lines below its axis, and with a plot that is no higher than an outer height allows.

    The room for a legend above the values and for bars below them stays as it is; keys beside the ends of lines are moved apart anew.

    Parameters
    ----------
    spec : dict
        Vega-Lite, whose values go upwards on one scale.
    outer_px : float
        Of the picture. [px]

    Returns
    -------
    dict
        Vega-Lite; never higher than it was, and never so low that nothing could be seen.
    """
    layers = [layer for layer in spec["layer"] if not _is_note(layer, spec)]
    old, size = spec["height"], spec["config"]["text"]["fontSize"]
    head, foot = _kept(layers, old, size)
    title = len(spec.get("title", ())) * size * _TITLE_LINE + (_TITLE_PX if spec.get("title") else 0)
    new = round(min(max(outer_px - title - _AXIS_PX, FEWEST_PX + head + foot, _keys(layers) * (size + 1)), old))
    share = (old - head - foot) / (new - head - foot)
    moved = [{**layer, "encoding": {name: _moved(part, name, old, new, (head, foot, share)) for name, part in layer["encoding"].items()}}
             for layer in layers]
    return {**spec, "height": new, "layer": [_keys_apart(layer, new, size) for layer in moved]}


def without_foot(svg: str) -> str:
    """The evenness matrix without the words below its last rule, as high as what is left in it.

    Parameters
    ----------
    svg : str
        As `even_matrix.even_matrix` draws it.

    Returns
    -------
    str
    """
    root = ElementTree.fromstring(svg)
    wide = ("0", root.attrib["width"])
    rules = [float(one.attrib["y1"]) for one in root.iter(f"{_SVG}line") if (one.attrib["x1"], one.attrib["x2"]) == wide]
    end = max(rules, default=float(root.attrib["height"]))
    for one in [one for one in root.iter(f"{_SVG}text") if float(one.attrib["y"]) > end]:
        root.remove(one)
    root.attrib.update({"height": f"{end + 2:g}", "viewBox": f"0 0 {root.attrib['width']} {end + 2:g}"})
    return ElementTree.tostring(root, encoding="unicode")


def without_keys(spec: Spec) -> Spec:
    """Curves without the keys beside their ends, where there are so many that before the last day they would cover the legend.

    Parameters
    ----------
    spec : dict
        Vega-Lite.

    Returns
    -------
    dict
        Vega-Lite.
    """
    if _keys(spec["layer"]) <= MOST_KEYS:
        return spec
    kept = [layer for layer in spec["layer"] if not any("place" in row for row in layer.get("data", {}).get("values") or [])]
    return {**spec, "layer": kept}


def _is_note(layer: Spec, spec: Spec) -> bool:
    place = layer["encoding"].get("y", {})
    return layer["mark"]["type"] == "text" and bool(place.get("value", 0) > spec["height"])


def _kept(layers: list[Spec], height: float, size: float) -> tuple[float, float]:
    """What is kept free for a legend above the values, and for bars of events below them. [px]"""
    values = [part["value"] for layer in layers for name, part in layer["encoding"].items() if name in ("y", "y2") and "value" in part]
    head = max((value for value in values if value < height / 2), default=None)
    foot = min((value for value in values if height / 2 <= value < height), default=None)
    return 0.0 if head is None else head + size, 0.0 if foot is None else height - foot + size / 2


def _keys(layers: list[Spec]) -> int:
    """How many keys stand in one column beside the ends of the lines."""
    rows = [row for layer in layers if layer["mark"]["type"] == "text" and "stroke" not in layer["mark"]
            for row in layer.get("data", {}).get("values") or [] if "place" in row]
    return len(rows)


def _moved(part: Spec, name: str, old: float, new: float, kept: tuple[float, float, float]) -> Spec:
    """A place that is counted in px, or the ends of the upright scale, for the new height."""
    if name not in ("y", "y2"):
        return part
    head, foot, share = kept
    if "value" in part:
        return {**part, "value": part["value"] - (old - new)} if part["value"] > old / 2 else part
    domain = part.get("scale", {}).get("domain")
    if domain is None:
        return part
    per_px = (domain[1] - domain[0]) / old
    low, high = domain[0] + foot * per_px, domain[1] - head * per_px
    ends = [low - foot * per_px * share, high + head * per_px * share]
    return {**part, "scale": {**part["scale"], "domain": ends}}


def _keys_apart(layer: Spec, height: float, size: float) -> Spec:
    """Keys beside their marks, as the ladder of doses has them, moved apart for the new height."""
    rows = layer.get("data", {}).get("values") or []
    if not rows or not all({"t", "x2", "y2"} <= row.keys() for row in rows):
        return layer
    domain = next(part["scale"]["domain"] for name, part in layer["encoding"].items() if name in ("y", "y2") and "scale" in part)
    places = spread_out([row["y"] for row in rows], (domain[1] - domain[0]) * (size + 1) / height, *domain)
    return {**layer, "data": {"values": [{**row, "y2": place} for row, place in zip(rows, places, strict=True)]}}
