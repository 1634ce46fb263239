"""One drawing with its sizes, read from the SVG itself, and the ways to draw a chart."""

from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree

from fairtank.publish.charts import Spec, svg_of

# A chart at an outer width [px]; the same as of a day.
Draw = Callable[[int], "Drawing"]
DrawDay = Callable[[int, int], "Drawing"]
# A chart made lower, its text as large as in a phone's form: at an outer width, no higher than an outer height [px], as of a day or whole.
Lower = Callable[[int, float, int | None], "Drawing"]


@dataclass(frozen=True)
class Drawing:
    """One drawing: SVG in the inks of light paper, its description, its size [px], the size of its smallest text [px].

    notes: what its marks mean, where that is not drawn in it but shall stand beside it.
    """

    svg: str
    description: str
    width_px: float
    height_px: float
    text_px: float
    notes: tuple[str, ...] = ()


def plain_drawing(spec: Spec, key: str, notes: tuple[str, ...] = ()) -> Drawing:
    """A description drawn, without what only a pointer finds."""
    seen = {**spec, "layer": [layer for layer in spec["layer"] if "tooltip" not in layer.get("encoding", {})]}
    return drawing_of(svg_of(seen, key=key), spec["description"], notes)


def drawing_of(svg: str, description: str, notes: tuple[str, ...] = ()) -> Drawing:
    """A drawing with its sizes."""
    root = ElementTree.fromstring(svg)
    sizes = [float(one.attrib["font-size"].removesuffix("px")) for one in root.iter() if "font-size" in one.attrib]
    return Drawing(svg, description, float(root.attrib["width"]), float(root.attrib["height"]), min(sizes, default=12.0), notes)
