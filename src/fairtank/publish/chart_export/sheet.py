"""One chart on a picture of a given shape: a heading that says what is seen, the chart as large as it goes, the trial's name below."""

import functools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

from fairtank.publish.chart_export.drawing import Draw, Drawing, Lower
from fairtank.publish.chart_export.inks import GROUNDS, on_ground
from fairtank.publish.chart_export.shapes import Shape
from fairtank.publish.charts import FONT, FONTS_FOLDER, INK, QUIET_INK
from fairtank.publish.page import FACES

WIDTHS_PX = (320, 400, 498, 520, 560, 620, 680)
_LOW_WIDTHS_PX = (320, 360, 400, 448, 498, 500, 520)  # of the forms for phones, and the smallest of those for desks
_SVG = "http://www.w3.org/2000/svg"
_LINE, _SMALLEST, _BENEATH = 1.22, 0.5, 0.72
_MOST_ABOVE, _MOST_BELOW = 0.3, 0.4  # of the height, for a heading that stands above its chart, for notes below it
_MEASURE_PX = 100
_CUT_WORD = 0.85  # by how much a word that is cut short makes a layout worse
_ASIDES = (0.34, 0.4)  # of the width, for a heading that stands beside its chart
_MOST_HEAD = {1: 1.0, 2: 0.6, 3: 0.5}  # of the room for a heading, by how many parts stand there


@dataclass(frozen=True)
class _Place:
    """Where a chart goes, its heading, and what its marks mean: left, top, width and height [px].

    notes: None where they stand below the heading, beside the chart. words_px: the smallest of all these words.
    """

    box: tuple[float, float, float, float]
    heading: tuple[float, float, float, float]
    notes: tuple[float, float, float, float] | None
    words_px: float


@dataclass(frozen=True)
class Sheet:
    """How one chart is laid onto a shape: kept over the frames of a series, so that nothing moves but the lines.

    width_px: at which the chart is drawn. scale: how much larger it is shown. text_px: the smallest text of the picture but for its foot.
    low_px: no higher than that it is drawn, in its lower form; 0 for its usual one.
    """

    shape: Shape
    place: _Place
    width_px: int
    scale: float
    text_px: float
    low_px: float = 0.0


def sheet_of(draw: Draw, shape: Shape, heading: str, beneath: str = "", *, lower: Lower | None = None) -> Sheet:
    """The layout in which the smallest text is largest; each word that is cut short counts against a layout.

    Parameters
    ----------
    draw : callable
        The chart at an outer width. [px]
    shape : Shape
        Of the picture; not that of a page.
    heading, beneath : str
        Needed for their length.
    lower : callable, optional
        Its lower form, taken where the usual one has smaller text than the shape asks for.

    Returns
    -------
    Sheet

    References
    ----------
    common_practice (keys from sources.py).
    """
    drawings = {width: draw(width) for width in WIDTHS_PX}
    usual = _best([(Sheet(shape, place, width, *_shown(drawing, place)), drawing) for place in
                   _places(shape, heading, beneath, drawings[WIDTHS_PX[0]].notes) for width, drawing in drawings.items()])
    if lower is None or usual.text_px >= shape.least_px:
        return usual
    found = []
    for place in _places(shape, heading, beneath, lower(WIDTHS_PX[0], 0.0, None).notes):
        for width in _LOW_WIDTHS_PX:
            outer = width * place.box[3] / place.box[2]
            drawing = lower(width, outer, None)
            found.append((Sheet(shape, place, width, *_shown(drawing, place), outer), drawing))
    low = _best(found)
    return low if low.text_px > usual.text_px else usual


def _shown(drawing: Drawing, place: _Place) -> tuple[float, float]:
    """How much larger a drawing is shown in a place, and the smallest text then. [px]"""
    scale = min(place.box[2] / drawing.width_px, place.box[3] / drawing.height_px)
    return scale, min(drawing.text_px * scale, place.words_px)


def _best(found: Sequence[tuple[Sheet, Drawing]]) -> Sheet:
    """The one with the largest text; of equals the one whose chart has."""
    fewest = min(drawing.svg.count("…") for _, drawing in found)

    def worth(one: tuple[Sheet, Drawing]) -> tuple[float, float]:
        cut = _CUT_WORD ** (one[1].svg.count("…") - fewest)
        return round(one[0].text_px * cut, 1), one[1].text_px * one[0].scale * cut

    return max(found, key=worth)[0]


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
    told = " ".join(f"{part.rstrip('.')}." for part in (heading, beneath, drawing.description, *drawing.notes) if part)
    root = _root(shape.width_px, shape.height_px, told)
    _head(root, sheet, heading, beneath, drawing.notes)
    chart = ElementTree.fromstring(drawing.svg)
    left, top, width, height = sheet.place.box
    own = drawing.width_px * sheet.scale, drawing.height_px * sheet.scale
    _put(root, chart, left + (width - own[0]) / 2, top + (height - own[1]) / 2, *own, drawing)
    baseline = shape.height_px - shape.margin_px - shape.bottom_px
    foot_lines = set_text(foot, shape.width_px - 2 * shape.margin_px, shape.foot_px * 1.4, shape.foot_px, is_bold=False)
    _write(root, foot_lines, shape.margin_px, baseline - shape.foot_px, is_bold=False, ink=QUIET_INK)
    return ElementTree.tostring(root, encoding="unicode")


def page_picture(drawing: Drawing) -> str:
    """A chart at its own size with its notes, for a page of text, which says the rest."""
    ElementTree.register_namespace("", _SVG)
    room = 12.0
    told = set_notes(drawing.notes, drawing.width_px, math.inf, drawing.text_px, gap=room / 2)
    below = told.height_px if drawing.notes else 0.0
    root = _root(drawing.width_px + 2 * room, drawing.height_px + below + 2 * room, drawing.description)
    _write(root, told, room, room + drawing.height_px, is_bold=False, ink=QUIET_INK)
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


def _places(shape: Shape, heading: str, beneath: str, notes: tuple[str, ...] = ()) -> list[_Place]:
    """The heading above the chart and its notes below it; on a shape that lies, also both beside it."""
    width, margin, top = shape.width_px - 2 * shape.margin_px, shape.margin_px, shape.margin_px + shape.top_px
    bottom = shape.height_px - margin - shape.bottom_px - shape.foot_px * 1.6
    room = (bottom - top) * _MOST_ABOVE
    above, told = _parts(shape, heading, beneath, (), width, room), 0.0
    words = list(above)
    if notes:
        words.append(set_notes(notes, width, (bottom - top) * _MOST_BELOW, shape.foot_px, gap=shape.heading_px * 0.3))
        told = words[-1].height_px
    below = top + min(sum(part.height_px for part in above), room) + shape.heading_px * 0.5
    places = [_Place((margin, below, width, bottom - below - told), (margin, top, width, room), (margin, bottom - told, width, told),
                     _smallest(words))]
    if shape.width_px > 1.2 * shape.height_px:
        for share in _ASIDES:
            aside = width * share
            left = margin + aside + margin * 0.6
            beside = _smallest(_parts(shape, heading, beneath, notes, aside, bottom - top))
            places.append(_Place((left, top, margin + width - left, bottom - top), (margin, top, aside, bottom - top), None, beside))
    return places


def _smallest(parts: Sequence["Lines"]) -> float:
    return min(part.size_px for part in parts)


def _parts(shape: Shape, heading: str, beneath: str, notes: tuple[str, ...], width: float, height: float) -> tuple["Lines", ...]:
    """The heading and what stands below it, set into a box together."""
    gap = shape.heading_px * 0.3
    parts = [set_text(heading, width, height * _MOST_HEAD[1 + bool(beneath) + bool(notes)], shape.heading_px, is_bold=True)]
    left = height - parts[0].height_px
    told = [set_notes(notes, width, left * (_MOST_BELOW if beneath else 1.0), shape.foot_px, gap=gap)] if notes else []
    if beneath:
        left -= sum(part.height_px for part in told)
        parts.append(set_text(beneath, width, left, shape.heading_px * _BENEATH, is_bold=False, gap=gap))
    return (*parts, *told)


def _head(root: ElementTree.Element, sheet: Sheet, heading: str, beneath: str, notes: tuple[str, ...]) -> None:
    left, top, width, height = sheet.place.heading
    has_notes = bool(notes) and sheet.place.notes is None
    parts = _parts(sheet.shape, heading, beneath, notes if has_notes else (), width, height)
    if sheet.place.box[0] > sheet.shape.margin_px:  # beside its chart, a heading stands in the middle
        top += (height - sum(part.height_px for part in parts)) / 2
    for place, part in enumerate(parts):
        _write(root, part, left, top, is_bold=place == 0, ink=QUIET_INK if has_notes and place == len(parts) - 1 else INK)
        top += part.height_px
    if sheet.place.notes is not None and notes:
        left, top, width, height = sheet.place.notes
        _write(root, set_notes(notes, width, height, sheet.shape.foot_px, gap=sheet.shape.heading_px * 0.3), left, top, is_bold=False,
               ink=QUIET_INK)


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
    return _fitting(lambda at: _lines(text, width_px, at, is_bold), height_px, size_px, gap)


def set_notes(notes: tuple[str, ...], width_px: float, height_px: float, size_px: float, *, gap: float = 0.0) -> Lines:
    """Several short texts below each other, each beginning a line of its own: as large as the box allows up to a size, none cut.

    Parameters
    ----------
    notes : tuple of str
    width_px, height_px : float
        Of the box. [px]
    size_px : float
        The largest type. [px]
    gap : float
        Kept free above them. [px]

    Returns
    -------
    Lines

    References
    ----------
    common_practice (keys from sources.py).
    """
    def lines_at(at: float) -> list[str]:
        return [line for note in notes for line in _lines(note, width_px, at, is_bold=False)]

    return _fitting(lines_at, height_px + 0.5, size_px, gap)


def _fitting(lines_at: Callable[[float], list[str]], height_px: float, size_px: float, gap: float) -> Lines:
    """The lines in the largest type, up to a size, in which they fit; in the smallest where they fit in none."""
    at = size_px
    while True:
        lines = lines_at(at)
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
