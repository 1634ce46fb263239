"""Charts that tell a value where they are touched: the drawing, and beside it where each value stands."""

import re
from dataclasses import dataclass
from xml.etree import ElementTree

from fairtank.errors import JobError
from fairtank.publish.charts import Spec, drawn, tidy_svg
from fairtank.publish.page_chart import PageChart
from fairtank.publish.site.compact import compacted

_SVG = "{http://www.w3.org/2000/svg}"
_MOVED = re.compile(r"translate\((-?[\d.e-]+),\s*(-?[\d.e-]+)\)")


@dataclass(frozen=True)
class TouchChart:
    """A chart for the public page: both drawings, and (x, y, x, y, words) for each value: its place in the wide and in the narrow one [px].
    """

    chart: PageChart
    wide: str
    narrow: str
    points: tuple[tuple[float, float, float, float, str], ...]


def touch_chart(chart: PageChart) -> TouchChart:
    """The chart with the places of its values.

    Parameters
    ----------
    chart : PageChart
        As the page of the finding has it.

    Returns
    -------
    TouchChart

    References
    ----------
    common_practice (keys from sources.py).
    """
    wide, wide_places = _drawn(chart.wide, f"{chart.key}-w")
    narrow, narrow_places = _drawn(chart.narrow, f"{chart.key}-n")
    words = _told(chart.wide)
    if not len(words) == len(wide_places) == len(narrow_places):
        raise JobError(f"The chart “{chart.title}” could not be made ready to be touched: its values and their places do not match.")
    points = tuple((*one, *other, text) for one, other, text in zip(wide_places, narrow_places, words, strict=True))
    return TouchChart(chart, wide, narrow, points)


def _told(spec: Spec) -> list[str]:
    return [row["told"] for layer in spec["layer"] if "tooltip" in layer["encoding"] for row in layer["data"]["values"]]


def _drawn(spec: Spec, key: str) -> tuple[str, list[tuple[float, float]]]:
    """The drawing without what only a pointer finds, and where each of those marks stood."""
    root = ElementTree.fromstring(drawn(spec))
    places: list[tuple[float, float]] = []
    _take(root, 0.0, 0.0, places)
    svg = tidy_svg(ElementTree.tostring(root, encoding="unicode"), key=key, description=spec["description"])
    return compacted(svg.replace("<svg ", f'<svg data-key="{key}" ', 1)).replace(f' data-key="{key}"', ""), places


def _take(element: ElementTree.Element, left: float, top: float, places: list[tuple[float, float]]) -> None:
    for child in list(element):
        moved = _MOVED.match(child.attrib.get("transform", ""))
        x, y = (left + float(moved[1]), top + float(moved[2])) if moved else (left, top)
        if child.tag == f"{_SVG}path" and child.attrib.get("opacity") == "0" and "told: " in child.attrib.get("aria-label", ""):
            places.append((round(x, 1), round(y, 1)))
            element.remove(child)
        else:
            _take(child, x, y, places)
