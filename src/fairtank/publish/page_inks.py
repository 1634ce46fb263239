"""The inks of charts in the pages, on light and on dark paper: what each ink is called, and what it becomes when the paper changes.

Arms keep their colours on both papers; black, the palette's own ink, turns white on dark paper. Text in an arm's hue is darkened on light
paper and lightened on dark paper until it can be read.
"""

import math
from collections.abc import Callable
from typing import Any

from fairtank.publish.arms import BLACK, PALETTE
from fairtank.publish.charts import GRID, INK, QUIET_INK, SHADE, Spec, text_ink

MARK = "\x01"  # before the name of an ink; nobody's text holds it, since `shown` replaces control characters
LIGHT_PAPER, DARK_PAPER = "#ffffff", "#1b1a17"
_TEXT_CONTRAST = 4.5
_AXIS, _BAND_EDGE, _FAINT, _LADDER_BAND = "#8d9096", "#c9c4b8", "#a9a6a0", "#d5dbe2"
# Where a description may hold a colour; everywhere else a text that looks like one is somebody's text.
_PLACES = {"color", "fill", "stroke", "background", "labelColor", "titleColor", "gridColor", "domainColor", "tickColor", "range"}


def contrast(one: str, other: str) -> float:
    """The contrast of two sRGB colours, from 1 to 21 (wcag22).

    >>> contrast("#000000", "#ffffff"), round(contrast("#777777", "#ffffff"), 2)
    (21.0, 4.48)
    """
    lower, upper = sorted((_luminance(one), _luminance(other)))
    return (upper + 0.05) / (lower + 0.05)


def _luminance(colour: str) -> float:
    """Relative luminance (wcag22)."""
    parts = [int(colour[place:place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def lightened(colour: str) -> str:
    """A colour for text in the hue of a line on dark paper: lightened until it stands 4.5 : 1 against that paper.

    >>> lightened("#0072B2"), lightened("#E69F00")
    ('#298ac2', '#e69f00')
    """
    parts = [int(colour[place:place + 2], 16) for place in (1, 3, 5)]
    while contrast("#" + "".join(f"{part:02x}" for part in parts), DARK_PAPER) < _TEXT_CONTRAST:
        parts = [min(math.ceil(part + 0.02 * (255 - part)), 255) for part in parts]
    return "#" + "".join(f"{part:02x}" for part in parts)


def _inks() -> dict[str, tuple[str, str]]:
    """(on light paper, on dark paper) by the ink's name."""
    inks = {"paper": (LIGHT_PAPER, DARK_PAPER), "ink": (INK, "#ece9e2"), "quiet": (QUIET_INK, "#b3afa6"), "grid": (GRID, "#3b3833"),
            "shade": (SHADE, "#2d2a26"), "axis": (_AXIS, "#8d9096"), "edge": (_BAND_EDGE, "#5f5a51"), "faint": (_FAINT, "#77736b"),
            "ladder": (_LADDER_BAND, "#333b45")}
    for place, colour in enumerate(PALETTE):
        inks[f"arm{place}"] = (colour, "#ffffff" if colour == BLACK else colour)
        if text_ink(colour) != colour:
            inks[f"word{place}"] = (text_ink(colour), lightened(colour))
    return inks


INKS = _inks()
# `text_ink` writes small letters, the palette capitals: so even a hue that text may keep on light paper is known as that of a text.
_NAMES = {light: name for name, (light, _) in INKS.items()}


def in_names(spec: Spec) -> Spec:
    """The description with each known colour replaced by the name of its ink."""
    return _walked(spec, lambda colour: MARK + _NAMES[colour] if colour in _NAMES else colour)


def on_paper(spec: Spec, theme: str) -> Spec:
    """The description in the inks of one paper: `light` or `dark`."""
    place = ("light", "dark").index(theme)
    return _walked(in_names(spec), lambda colour: INKS[colour[1:]][place] if colour.startswith(MARK) else colour)


def colours_of(spec: Spec) -> set[str]:
    """All colours of a description, as they stand there."""
    found: list[str] = []

    def kept(colour: str) -> str:
        found.append(colour)
        return colour

    _walked(spec, kept)
    return {colour for colour in found if colour.startswith(("#", MARK))}


def _walked(spec: Spec, change: Callable[[str], str]) -> Spec:
    """A copy of the description, every text at the place of a colour changed; rows that hold no colour are shared with it."""
    def of(value: Any, name: str) -> Any:
        if isinstance(value, dict):
            return {key: of(own, key) for key, own in value.items()}
        if isinstance(value, list):
            if name == "values" and all(isinstance(row, dict) and _PLACES.isdisjoint(row) for row in value):
                return value  # rows of numbers, of which a chart has thousands
            return [of(own, name) for own in value]
        return change(value) if name in _PLACES and isinstance(value, str) else value

    walked: Spec = of(spec, "")
    return walked
