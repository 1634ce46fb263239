"""One chart on a picture of a given shape: a heading that says what is seen, the chart as large as it goes, the trial's name below."""

import functools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from fairtank.publish.chart_export.inks import GROUNDS, on_ground
from fairtank.publish.chart_export.listing import Drawing
from fairtank.publish.chart_export.shapes import Shape
from fairtank.publish.charts import FONT, FONTS_FOLDER, INK, QUIET_INK
from fairtank.publish.page import FACES

WIDTHS_PX = (320, 400, 498, 560, 620, 680)
_SVG = "http://www.w3.org/2000/svg"
_LINE, _SMALLEST, _BENEATH = 1.22, 0.5, 0.72
_MOST_ABOVE = 0.3  # of the height, for a heading that stands above its chart
_MEASURE_PX = 100
_CUT_WORD = 0.9  # by how much a word that is cut short makes a layout worse
_ASIDE = 0.34  # of the width, for a heading that stands beside its chart


@dataclass(frozen=True)
class _Place:
    """Where a chart goes: left, top, width and height [px], and where its heading begins, how wide it may be and how high."""

    box: tuple[float, float, float, float]
    heading: tuple[float, float, float, float]


@dataclass(frozen=True)
class Sheet:
    """How one chart is laid onto a shape: kept over the frames of a series, so that nothing moves but the lines.

    width_px: at which the chart is drawn. scale: how much larger it is shown. text_px: its smallest text as shown.
    """

    shape: Shape
    place: _Place
    width_px: int
    scale: float
    text_px: float


def sheet_of(draw: Callable[[int], Drawing], shape: Shape, heading: str, beneath: str = "") -> Sheet:
    """The layout in which the chart's smallest text is largest; each word that is cut short counts against a layout.

    Parameters
    ----------
    draw : callable
        The chart at an outer width. [px]
    shape : Shape
        Of the picture; not that of a page.
    heading, beneath : str
        Needed for their length.

    Returns
    -------
    Sheet

    References
    ----------
    common_practice (keys from sources.py).
    """
    found, drawings = [], {width: draw(width) for width in WIDTHS_PX}
    fewest = min(drawing.svg.count("…") for drawing in drawings.values())
    for place in _places(shape, heading, beneath):
        for width, drawing in drawings.items():
            scale = min(place.box[2] / drawing.width_px, place.box[3] / drawing.height_px)
            cut = drawing.svg.count("…") - fewest
            found.append((drawing.text_px * scale * _CUT_WORD ** cut, Sheet(shape, place, width, scale, drawing.text_px * scale)))
    return max(found, key=lambda one: one[0])[1]


def composed(drawing: Drawing, sheet: Sheet, *, heading: str, foot: str, beneath: str = "") -> str:
    """The picture as SVG, in the inks of light paper and without a ground.

    Parameters
    ----------
    drawing : Drawing
        The chart at the sheet's width.
    sheet : Sheet
        Where it goes.
    heading, foot, beneath : str
        What is seen; whose it is; what stands below the heading.

    Returns
    -------
    str
        An `<svg>` element of the shape's size.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    ElementTree.register_namespace("", _SVG)
    shape = sheet.shape
    told = " ".join(f"{part.rstrip('.')}." for part in (heading, beneath, drawing.description) if part)
    root = _root(shape.width_px, shape.height_px, told)
    _head(root, sheet, heading, beneath)
    chart = ElementTree.fromstring(drawing.svg)
    left, top, width, height = sheet.place.box
    own = drawing.width_px * sheet.scale, drawing.height_px * sheet.scale
    _put(root, chart, left + (width - own[0]) / 2, top + (height - own[1]) / 2, *own, drawing)
    baseline = shape.height_px - shape.margin_px - shape.bottom_px
    foot_lines = set_text(foot, shape.width_px - 2 * shape.margin_px, shape.foot_px * 1.4, shape.foot_px, is_bold=False)
    _write(root, foot_lines, shape.margin_px, baseline - shape.foot_px, is_bold=False, ink=QUIET_INK)
    return ElementTree.tostring(root, encoding="unicode")


def page_picture(drawing: Drawing) -> str:
    """A chart at its own size, for a page of text, which says the rest."""
    ElementTree.register_namespace("", _SVG)
    room = 12.0
    root = _root(drawing.width_px + 2 * room, drawing.height_px + 2 * room, drawing.description)
    _put(root, ElementTree.fromstring(drawing.svg), room, room, drawing.width_px, drawing.height_px, drawing)
    return ElementTree.tostring(root, encoding="unicode")


def in_theme(picture: str, theme: str) -> str:
    """A picture of this file in the inks of a theme, upon its ground where it has one."""
    ground = GROUNDS.get(theme)
    before, mark, after = on_ground(picture, theme).partition("</title>")
    return before + mark + (f'<rect width="100%" height="100%" fill="{ground}" />' if ground else "") + after


def _root(width_px: float, height_px: float, description: str) -> ElementTree.Element:
    root = ElementTree.Element(f"{{{_SVG}}}svg", {"width": f"{width_px:g}", "height": f"{height_px:g}", "role": "img",
                                                  "viewBox": f"0 0 {width_px:g} {height_px:g}", "font-family": FONT})
    ElementTree.SubElement(root, f"{{{_SVG}}}title").text = description
    return root


def _put(root: ElementTree.Element, chart: ElementTree.Element, left: float, top: float, width: float, height: float,
         drawing: Drawing) -> None:
    for name in ("role", "aria-label"):
        chart.attrib.pop(name, None)
    chart.attrib.update({"x": f"{left:.2f}", "y": f"{top:.2f}", "width": f"{width:.2f}", "height": f"{height:.2f}",
                         "viewBox": f"0 0 {drawing.width_px:g} {drawing.height_px:g}"})
    root.append(chart)


def _places(shape: Shape, heading: str, beneath: str) -> list[_Place]:
    """The heading above the chart; on a shape that lies, also beside it."""
    width, margin, top = shape.width_px - 2 * shape.margin_px, shape.margin_px, shape.margin_px + shape.top_px
    bottom = shape.height_px - margin - shape.bottom_px - shape.foot_px * 1.6
    room = (bottom - top) * _MOST_ABOVE
    head = min(sum(part.height_px for part in _parts(shape, heading, beneath, width, room)), room)
    below = top + head + shape.heading_px * 0.5
    places = [_Place((margin, below, width, bottom - below), (margin, top, width, room))]
    if shape.width_px > 1.2 * shape.height_px:
        aside = width * _ASIDE
        left = margin + aside + margin * 0.6
        places.append(_Place((left, top, margin + width - left, bottom - top), (margin, top, aside, bottom - top)))
    return places


def _parts(shape: Shape, heading: str, beneath: str, width: float, height: float) -> tuple["Lines", ...]:
    """The heading and what stands below it, set into a box together."""
    own = set_text(heading, width, height * (0.6 if beneath else 1.0), shape.heading_px, is_bold=True)
    if not beneath:
        return (own,)
    return own, set_text(beneath, width, height - own.height_px, shape.heading_px * _BENEATH, is_bold=False, gap=shape.heading_px * 0.3)


def _head(root: ElementTree.Element, sheet: Sheet, heading: str, beneath: str) -> None:
    left, top, width, height = sheet.place.heading
    parts = _parts(sheet.shape, heading, beneath, width, height)
    if sheet.place.box[0] > sheet.shape.margin_px:  # beside its chart, a heading stands in the middle
        top += (height - sum(part.height_px for part in parts)) / 2
    for place, part in enumerate(parts):
        _write(root, part, left, top, is_bold=place == 0)
        top += part.height_px


@dataclass(frozen=True)
class Lines:
    """A text set into a box: its lines, their size [px], and what is kept free above them [px]."""

    lines: tuple[str, ...]
    size_px: float
    gap_px: float

    @property
    def height_px(self) -> float:
        """Of all lines, with what is kept free."""
        return self.gap_px + len(self.lines) * self.size_px * _LINE


def set_text(text: str, width_px: float, height_px: float, size_px: float, *, is_bold: bool, gap: float = 0.0) -> Lines:
    """A text in the house's type, as large as a box allows up to a size, and never cut: of a long one the type is smaller.

    Parameters
    ----------
    text : str
        Any.
    width_px, height_px : float
        Of the box. [px]
    size_px : float
        The largest type. [px]
    is_bold : bool
        Its weight.
    gap : float
        Kept free above it. [px]

    Returns
    -------
    Lines

    References
    ----------
    common_practice (keys from sources.py).
    """
    at = size_px
    while True:
        lines = _lines(text, width_px, at, is_bold)
        if gap + len(lines) * at * _LINE <= height_px or at <= size_px * _SMALLEST:
            return Lines(tuple(lines), at, gap)
        at *= 0.95


def _lines(text: str, width_px: float, size_px: float, is_bold: bool) -> list[str]:
    """Words in lines, by the widths of the type itself."""
    type_of = _measured(is_bold)
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and type_of.getlength(longer) * size_px / _MEASURE_PX > width_px:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


@functools.cache
def _measured(is_bold: bool) -> Any:
    from PIL import ImageFont

    return ImageFont.truetype(FONTS_FOLDER / dict(FACES)[700 if is_bold else 400], _MEASURE_PX)


def _write(root: ElementTree.Element, set_lines: Lines, left: float, top: float, *, is_bold: bool, ink: str = INK) -> None:
    for place, line in enumerate(set_lines.lines):
        element = ElementTree.SubElement(root, f"{{{_SVG}}}text", {
            "x": f"{left:g}", "y": f"{top + set_lines.gap_px + set_lines.size_px * (0.98 + place * _LINE):.1f}",
            "font-size": f"{set_lines.size_px:.1f}", "fill": ink, "font-weight": "bold" if is_bold else "normal"})
        element.text = line
