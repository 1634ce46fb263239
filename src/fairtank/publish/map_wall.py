"""The wall of maps: one row for each unit, one column for each day, every photo with what was counted as plant and as algae."""

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import quote

from fairtank.publish.page import TEMPLATES, style_text


@dataclass(frozen=True)
class MapCell:
    """One map: its unit, its day, where its picture lies beside the page, and the share of px whose class was a close call."""

    unit: str
    day: int
    picture: str
    unsure_fraction: float

    @property
    def address(self) -> str:
        """The picture's place as an address: a unit's key may hold signs that mean something else there."""
        return quote(self.picture)

    @property
    def words(self) -> str:
        """What stands under the picture."""
        return f"day {self.day}, {100 * self.unsure_fraction:.0f} % unsure"


def map_wall_text(title: str, units: Sequence[str], cells: Sequence[MapCell]) -> str:
    """The page as one HTML document that loads its pictures from the folder beside it.

    Parameters
    ----------
    title : str
        Of the trial.
    units : sequence of str
        In the order of the rows.
    cells : sequence of MapCell

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> "day 3, 4 % unsure" in map_wall_text("Trial", ["T1"], [MapCell("T1", 3, "maps/a.jpg", 0.04)])
    True
    """
    import jinja2

    days = sorted({cell.day for cell in cells})
    # Where a day has several photos of a unit, the last one stands on the wall; all of them lie in the folder.
    placed = {(cell.unit, cell.day): cell for cell in cells}
    environment = jinja2.Environment(loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True, undefined=jinja2.StrictUndefined)
    rows = [(unit, [placed.get((unit, day)) for day in days]) for unit in units if any((unit, day) in placed for day in days)]
    style = style_text() + (TEMPLATES / "maps.css").read_text(encoding="utf-8")
    digest = "sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    return environment.get_template("maps.html").render(title=title, days=days, rows=rows, style=style, style_digest=digest) + "\n"
