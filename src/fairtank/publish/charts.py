"""What all charts share: font, inks, and the way from a Vega-Lite description to an SVG that a page or a PDF can carry.

A chart is a plain dict. It is drawn twice, wide for desks and paper and narrow for phones, so that its text is never scaled down. What the
report's charts use of Vega-Lite is drawn by `publish.drawing` within milliseconds; all else by the renderer, whose start takes a second.
"""

import functools
import json
import math
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from fairtank.publish.arms import ArmLook
from fairtank.publish.drawing.known import FONT
from fairtank.publish.drawing.sheet import chart_svg
from fairtank.publish.numbers import shown

Spec = dict[str, Any]

FONTS_FOLDER = Path(__file__).parent / "fonts"
INK, QUIET_INK, GRID, SHADE = "#24282c", "#5c6066", "#e4e1da", "#efece5"
WIDE_PX, NARROW_PX = 680, 320
_TEXT_CONTRAST = 4.5
_SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"


def is_narrow(width_px: int) -> bool:
    """Whether a chart of this width is meant for a phone."""
    return width_px < 500


def text_px(width_px: int) -> int:
    """Size of a chart's text: shown at its own width, it never falls below 12 px."""
    return 12 if is_narrow(width_px) else 14


def framed(layers: list[Spec], *, width_px: int, height_px: int, description: str, title: str = "") -> Spec:
    """A layered chart of a fixed outer width with the house's type and inks.

    Parameters
    ----------
    layers : list of dict
        Vega-Lite layers.
    width_px, height_px : int
        Outer width and inner height. [px]
    description : str
        What the chart shows, in words: its text alternative.
    title : str
        What is drawn and in which unit; stands above the chart.

    Returns
    -------
    dict
        A Vega-Lite description.
    """
    size = text_px(width_px)
    spec: Spec = {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json", "description": description, "background": None,
        "width": width_px, "height": height_px, "autosize": {"type": "fit-x", "contains": "padding"}, "padding": 4, "layer": layers,
        "config": {
            "font": FONT, "view": {"stroke": None}, "text": {"font": FONT, "fontSize": size, "color": INK},
            "axis": {"labelFont": FONT, "titleFont": FONT, "labelFontSize": size, "titleFontSize": size, "labelColor": QUIET_INK,
                     "titleColor": QUIET_INK, "titleFontWeight": "normal", "gridColor": GRID, "domainColor": "#8d9096",
                     "tickColor": "#8d9096",
                     "titlePadding": 6, "labelPadding": 4},
            "title": {"font": FONT, "fontSize": size, "fontWeight": "normal", "color": QUIET_INK, "anchor": "start", "offset": 10,
                      "frame": "bounds"},
        },
    }
    if title:
        spec["title"] = wrapped(title, width_px)
    return spec


def fitted(text: str, room_px: float, size_px: float) -> str:
    """The text, cut with an ellipsis where it would be longer than the room.

    Cut here and not by Vega, whose own cut can fall into the middle of a sign beyond the first plane and then fails.

    >>> fitted("dark break", 60, 12), fitted("dark break", 200, 12)
    ('dark bre…', 'dark break')
    """
    clean, taken = shown(text), 0.0
    for place, sign in enumerate(clean):
        taken += size_px * (1.25 if ord(sign) >= 0x2E80 else 0.68 if sign.isupper() or sign in "mw@—…" else 0.53)
        if taken > room_px:
            return clean[: max(place - 1, 1)].rstrip() + "…"
    return clean


def fitted_in_the_middle(text: str, room_px: float, size_px: float) -> str:
    """The text, cut in its middle where it would be longer than the room: names that begin alike are told apart by their ends.

    >>> fitted_in_the_middle("Floating plants over the tank, seed 2", 160, 12)
    'Floating pla…ank, seed 2'
    """
    whole = fitted(text, room_px, size_px)
    if not whole.endswith("…") or whole == shown(text):
        return whole
    clean = shown(text)
    for kept in range(len(clean) - 1, 1, -1):
        shorter = f"{clean[: (kept + 1) // 2].rstrip()}…{clean[len(clean) - kept // 2:].lstrip()}"
        if fitted(shorter, room_px, size_px) == shorter:
            return shorter
    return whole


def wrapped(text: str, width_px: int) -> list[str]:
    """A title in lines that fit the width, at half the type's size for each letter."""
    return in_lines(text, width_px - 8, text_px(width_px))


def in_lines(text: str, room_px: float, size_px: float) -> list[str]:
    """A text in lines that fit the room; only a word longer than a line is cut.

    >>> in_lines("With floating plants against without them", 150, 12)
    ['With floating plants', 'against without them']
    """
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}"
        if lines[-1] and (len(longer) * size_px * 0.52 > room_px + 8 or fitted(longer, room_px, size_px) != longer):
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return [fitted(line, room_px, size_px) for line in lines]


def text_ink(colour: str) -> str:
    """A colour for text in the hue of a line: darkened until it stands 4.5 : 1 against white.

    >>> text_ink("#000000"), text_ink("#009E73")
    ('#000000', '#008760')
    """
    parts = [int(colour[place:place + 2], 16) for place in (1, 3, 5)]
    while 1.05 / (_luminance(parts) + 0.05) < _TEXT_CONTRAST:
        parts = [math.floor(part * 0.98) for part in parts]
    return "#" + "".join(f"{part:02x}" for part in parts)


def _luminance(parts: Sequence[int]) -> float:
    """Relative luminance of an sRGB colour (wcag22)."""
    linear = [part / 255 / 12.92 if part / 255 <= 0.04045 else ((part / 255 + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def arm_scales(looks: dict[str, ArmLook]) -> dict[str, Spec]:
    """Colour, line style and mark scales by the arm's legend text, to be used together."""
    domain = [look.legend for look in looks.values()]
    return {
        "color": {"domain": domain, "range": [look.colour for look in looks.values()]},
        "strokeDash": {"domain": domain, "range": [list(look.dash) for look in looks.values()]},
        "shape": {"domain": domain, "range": [look.mark for look in looks.values()]},
    }


def spread_out(places: list[float], room: float, low: float, high: float) -> list[float]:
    """Places of labels moved apart so that neighbours are at least `room` apart and all lie between low and high.

    The order is kept; labels that have room stay where they are.

    >>> spread_out([1.0, 1.2, 8.0], 1.0, 0.0, 10.0)
    [1.0, 2.0, 8.0]
    """
    order = sorted(range(len(places)), key=lambda index: places[index])
    moved = list(places)
    below = low - room
    for index in order:
        moved[index] = max(places[index], below + room)
        below = moved[index]
    above = high + room
    for index in reversed(order):
        moved[index] = min(moved[index], above - room)
        above = moved[index]
    return moved


def value_ticks(low: float, high: float, count: int) -> list[float]:
    """About so many round values from low to high.

    >>> value_ticks(0.0, 37.0, 5)
    [0.0, 10.0, 20.0, 30.0]
    """
    raw = (high - low) / count
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(size * factor for factor in (1, 2, 5, 10) if size * factor >= raw)
    first = math.ceil(low / step - 1e-9)
    return [round(index * step, 10) for index in range(first, math.floor(high / step + 1e-9) + 1)]


@functools.cache
def _fonts_registered() -> None:
    import vl_convert

    vl_convert.register_font_directory(str(FONTS_FOLDER))


def svg_of(spec: Spec, *, key: str) -> str:
    """The chart as SVG, made fit to stand inside a page beside others.

    Its ids carry the key, so that two charts never share one; marks carry no roles of their own, the whole is one image whose name is the
    description; there are no style attributes, which a strict content policy would refuse.

    Parameters
    ----------
    spec : dict
        A Vega-Lite description with `description`.
    key : str
        Letters, digits and hyphens; unique on the page.

    Returns
    -------
    str
        An `<svg>` element.
    """
    return chart_svg(spec, key=key) or tidy_svg(drawn(spec), key=key, description=spec["description"])


def drawn(spec: Spec) -> str:
    """The renderer's own SVG of a description, before `tidy_svg`: its marks still say in words what they show."""
    return _drawn(json.dumps(spec))


def png_of(svg: str, *, scale: float = 1.0) -> bytes:
    """An SVG as PNG in the house's type, so many px for each of its own.

    Parameters
    ----------
    svg : str
        An `<svg>` element with a width and a height.
    scale : float
        Px of the picture for each px of the drawing.

    Returns
    -------
    bytes
        PNG; the same bytes for the same drawing.

    References
    ----------
    common_practice (keys from sources.py).
    """
    import vl_convert

    _fonts_registered()
    picture: bytes = vl_convert.svg_to_png(svg, scale=scale)
    return picture


@functools.lru_cache(maxsize=64)
def _drawn(description: str) -> str:
    """The renderer's SVG; kept, because a page that is asked for again draws the same charts."""
    import vl_convert

    _fonts_registered()
    svg: str = vl_convert.vegalite_to_svg(description, allowed_base_urls=[])
    return svg


def tidy_svg(svg: str, *, key: str, description: str) -> str:
    """An SVG with its own ids, one image role, the description as its name and no style attributes."""
    ElementTree.register_namespace("", _SVG)
    ElementTree.register_namespace("xlink", _XLINK)
    root = ElementTree.fromstring(svg)
    # The renderer numbers ids on from chart to chart; numbered anew here, a report has the same bytes whatever was drawn before it.
    ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
    own = {name: f"{key}-{re.sub('[0-9]+$', str(number), name)}" for number, name in enumerate(ids)}
    for element in root.iter():
        for name in [name for name in element.attrib if name in ("role", "style", "class") or name.startswith("aria-")]:
            del element.attrib[name]
        for name, value in element.attrib.items():
            if name == "id":
                element.set(name, own[value])
            elif "url(#" in value:
                element.set(name, re.sub(r"url\(#([^)]+)\)", lambda found: f"url(#{own[found[1]]})", value))
    root.set("role", "img")
    root.set("aria-label", description)
    return ElementTree.tostring(root, encoding="unicode")
