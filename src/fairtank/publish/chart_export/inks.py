"""Drawings on another ground: every ink of light paper replaced by what it becomes on dark paper."""

import re

from fairtank.publish.charts import SHADE
from fairtank.publish.page_inks import DARK_PAPER, INKS, LIGHT_PAPER

# The transparent ones have no ground of their own: one for what is light beneath it, one for what is dark.
THEMES = ("light", "dark", "transparent", "transparent-dark")
GROUNDS = {"light": LIGHT_PAPER, "dark": DARK_PAPER}
# Shades that only the evenness matrix and the strip wall have.
_OWN = {"#d9d5cd": "#48443d", "#e9e5dc": "#37342e", "#cfc9bc": "#57524a", "#c9c6bf": "#5f5a51"}
ON_DARK: dict[str, str] = dict(INKS.values()) | _OWN
_PLACE = re.compile(r'(?<=[ "])(fill|stroke|stop-color)="(#[0-9A-Fa-f]{6})"')

_RIM = re.compile(r'(<text[^>]*?) stroke="#ffffff" stroke-width="[34](?:px)?"')

_THIN_SHADE = 'fill="#8d9096" fill-opacity="0.22"'  # whatever lies beneath


def on_ground(svg: str, theme: str) -> str:
    """The drawing in the inks of a theme; pictures inside it stay as they are.

    Parameters
    ----------
    svg : str
        In the inks of light paper.
    theme : str
        One of THEMES.

    Returns
    -------
    str

    References
    ----------
    okabe2008, wcag22 (keys from sources.py).

    Examples
    --------
    >>> on_ground('<text fill="#24282c">#24282c</text>', "dark")
    '<text fill="#ece9e2">#24282c</text>'
    """
    if theme not in GROUNDS:  # a rim in the colour of paper would show where there is no paper
        svg = _RIM.sub(r"\1", svg).replace(f'fill="{SHADE}"', _THIN_SHADE)
    if theme in ("light", "transparent"):
        return svg
    return _PLACE.sub(lambda found: f'{found[1]}="{ON_DARK.get(found[2], found[2])}"', svg)
