"""The style of the public page: its sheet, what charts become on dark paper, how each arm is marked."""

from fairtank.publish.arms import BLACK, ArmLook
from fairtank.publish.chart_export.inks import ON_DARK
from fairtank.publish.page import TEMPLATES

# Of an arm's line beside its letter; the same order as the lines of the charts.
_BORDERS = ("solid", "dashed", "dotted", "double", "dashed")


def style_text(looks: dict[str, ArmLook]) -> str:
    """The sheet with the inks of the charts, written small.

    Parameters
    ----------
    looks : dict of str to ArmLook
        How each arm is drawn.

    Returns
    -------
    str

    References
    ----------
    okabe2008, wcag22 (keys from sources.py).
    """
    sheet = (TEMPLATES / "site" / "page.css").read_text(encoding="utf-8")
    arms = "".join(f".arm{place} {{ border-bottom: 3px {_BORDERS[place % len(_BORDERS)]} {look.colour}; }}\n"
                   for place, look in enumerate(looks.values()))
    dark = "".join(f'  .chart [{name}="{light}"] {{ {name}: {ink}; }}\n' for light, ink in sorted(ON_DARK.items())
                   for name in ("fill", "stroke") if light != ink)
    dark += "".join(f"  .arm{place} {{ border-color: #ffffff; }}\n" for place, look in enumerate(looks.values()) if look.colour == BLACK)
    return f"{sheet}{arms}@media screen and (prefers-color-scheme: dark) {{\n{dark}}}\n"
