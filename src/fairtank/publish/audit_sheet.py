"""The sheet on which a person answers an audit's points: one HTML file that works from a disk, with every picture inside."""

import base64
import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.publish.page import TEMPLATES, style_text


@dataclass(frozen=True)
class SheetPoint:
    """One point: its name and the code of its draw, and its picture as JPEG bytes."""

    name: str
    draw: str
    jpeg: bytes


def sheet_text(points: Sequence[SheetPoint]) -> str:
    """The whole sheet; it asks for nothing outside itself, and its content policy says so.

    Parameters
    ----------
    points : sequence of SheetPoint
        In the order in which they are shown.

    Returns
    -------
    str
        A complete HTML document.

    References
    ----------
    common_practice (keys from sources.py).
    """
    import jinja2

    environment = jinja2.Environment(loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True, undefined=jinja2.StrictUndefined)
    style = style_text() + (TEMPLATES / "audit.css").read_text(encoding="utf-8")
    script = (TEMPLATES / "audit_script.txt").read_text(encoding="utf-8")
    rows = [[point.name, point.draw, base64.b64encode(point.jpeg).decode("ascii")] for point in points]
    kept_as = hashlib.sha256("\n".join(f"{point.draw} {point.name}" for point in points[:1]).encode()).hexdigest()[:16]
    data = json.dumps({"kept_as": f"audit-{kept_as}", "points": rows})
    assert "<" not in data
    return environment.get_template("audit.html").render(
        style=style, script=script, data=data, count=len(points), style_digest=_digest(style), script_digest=_digest(script)
    ) + "\n"


def _digest(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
