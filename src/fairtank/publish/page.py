"""The report as one HTML file: style, type, charts and photos inside; it loads nothing, runs nothing and says so in its content policy."""

import base64
import hashlib
from pathlib import Path
from typing import Any

from fairtank.publish.blocks import Document, OnePage

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
    return _filled("report.html", style_text() + paper_text(report.paper), report=report)


def one_page_text(page: OnePage) -> str:
    """The one page as a page of its own, which prints on one sheet.

    Parameters
    ----------
    page : OnePage
        What stands on it.

    Returns
    -------
    str
        A complete HTML document.
    """
    own = (TEMPLATES / "one_page.css").read_text(encoding="utf-8")
    return _filled("one_page.html", style_text() + own + paper_text(page.paper, "11mm 14mm"), page=page)


def _filled(template: str, style: str, **given: Any) -> str:
    """A template with its style, whose digest its own content policy names."""
    import jinja2

    environment = jinja2.Environment(loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True, undefined=jinja2.StrictUndefined)
    environment.filters["address"] = lambda jpeg: "data:image/jpeg;base64," + base64.b64encode(jpeg).decode("ascii")
    digest = "sha256-" + base64.b64encode(hashlib.sha256(style.encode()).digest()).decode("ascii")
    return environment.get_template(template).render(style=style, style_digest=digest, **given) + "\n"


def paper_text(paper: str, margin: str = "16mm") -> str:
    """How a page is printed: on which paper, with which margins."""
    return f"@page {{ size: {paper}; margin: {margin}; }}\n"


def style_text() -> str:
    """The style sheet with the typeface inside it."""
    faces = ""
    for weight, name in FACES:
        data = base64.b64encode((FONTS / name).read_bytes()).decode("ascii")
        faces += (f'@font-face {{ font-family: "Atkinson Hyperlegible Next"; font-weight: {weight}; font-style: normal; '
                  f'src: url("data:font/ttf;base64,{data}") format("truetype"); }}\n')
    return faces + (TEMPLATES / "report.css").read_text(encoding="utf-8")
