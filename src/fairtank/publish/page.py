"""The report as one HTML file: style, type, charts and photos inside; it loads nothing, runs nothing and says so in its content policy."""

import base64
import hashlib
from pathlib import Path

from fairtank.publish.blocks import Document

TEMPLATES = Path(__file__).parent / "templates"
FONTS = Path(__file__).parent / "fonts"
FACES = ((400, "AtkinsonHyperlegibleNext-Regular.ttf"), (700, "AtkinsonHyperlegibleNext-Bold.ttf"))


def html_text(report: Document) -> str:
    """The whole page. Everything people wrote is escaped by the template; only charts made here are put in as they are.

    Parameters
    ----------
    report : Document
        The blocks.

    Returns
    -------
    str
        A complete HTML document.
    """
    import jinja2

    environment = jinja2.Environment(loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True, undefined=jinja2.StrictUndefined)
    environment.filters["address"] = lambda jpeg: "data:image/jpeg;base64," + base64.b64encode(jpeg).decode("ascii")
    style = style_text()
    digest = "sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    return environment.get_template("report.html").render(report=report, style=style, style_digest=digest) + "\n"


def style_text() -> str:
    """The style sheet with the typeface inside it."""
    faces = ""
    for weight, name in FACES:
        data = base64.b64encode((FONTS / name).read_bytes()).decode("ascii")
        faces += (f'@font-face {{ font-family: "Atkinson Hyperlegible Next"; font-weight: {weight}; font-style: normal; '
                  f'src: url("data:font/ttf;base64,{data}") format("truetype"); }}\n')
    return faces + (TEMPLATES / "report.css").read_text(encoding="utf-8")
