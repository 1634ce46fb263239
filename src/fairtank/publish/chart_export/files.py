"""The files of the charts that are taken away: what was wished for, one file after the other."""

import base64
import re
from collections.abc import Iterator
from dataclasses import dataclass

from fairtank.inference.foresight.showing import Showing
from fairtank.publish.chart_export.inks import THEMES
from fairtank.publish.chart_export.listing import TrialChart, measure_title, trial_charts
from fairtank.publish.chart_export.shapes import SHAPES, Shape
from fairtank.publish.chart_export.sheet import composed, in_theme, page_picture
from fairtank.publish.charts import FONT, FONTS_FOLDER, png_of
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import shown
from fairtank.publish.page import FACES

FORMS = ("svg", "png")


@dataclass(frozen=True)
class ChartWishes:
    """What is wished for: shapes, themes and forms by their words, and whether the curves come day by day too."""

    shapes: tuple[str, ...] = ("page",)
    themes: tuple[str, ...] = ("light",)
    forms: tuple[str, ...] = FORMS
    series: bool = False


ALL = ChartWishes(tuple(SHAPES), THEMES, FORMS, True)


def chart_files(content: ReportContent, wishes: ChartWishes, showing: Showing | None = None) -> Iterator[tuple[str, bytes]]:
    """Each file with its name, made one after the other: `<shape>/<theme>/<chart>.<form>`.

    Parameters
    ----------
    content : ReportContent
        The trial, its findings and its pictures.
    wishes : ChartWishes
        What is wished for.
    showing : Showing, optional
        What the plan could show; without it that picture is left out.

    Yields
    ------
    (str, bytes)
        A name with slashes, and the content; the same bytes for the same trial.

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    foot = shown(content.folder.plan.title)
    for shape in (SHAPES[key] for key in wishes.shapes):
        for chart in trial_charts(content, shape, showing):
            picture = picture_of(chart, shape, foot=foot)
            for theme in wishes.themes:
                yield from _forms(f"{shape.key}/{theme}/{chart.key}", in_theme(picture, theme), wishes.forms, shape.scale)
            if wishes.series and chart.draw_day is not None:
                yield from _frames(chart, shape, wishes.themes, foot, measure_title(content, chart.measure))


def picture_of(chart: TrialChart, shape: Shape, *, foot: str) -> str:
    """One chart on one shape, in the inks of light paper."""
    if shape.is_page:
        return page_picture(chart.draw(shape.width_px))
    sheet = chart.laid(shape)
    return composed(chart.drawn(sheet), sheet, heading=chart.title, foot=foot, beneath=chart.verdict)


def _frames(chart: TrialChart, shape: Shape, themes: tuple[str, ...], foot: str, title: str) -> Iterator[tuple[str, bytes]]:
    """One PNG for each day, laid out once. A frame tells its day and no verdict: that comes at the end of the trial."""
    assert chart.draw_day is not None
    first, last = chart.days
    digits = max(len(str(last)), 3)
    sheet = None if shape.is_page else chart.laid(shape, f"{title}, day {last}")
    for day in range(first, last + 1):
        drawing = chart.draw_day(shape.width_px, day) if sheet is None else chart.drawn(sheet, day)
        picture = page_picture(drawing) if sheet is None else composed(drawing, sheet, heading=f"{title}, day {day}", foot=foot)
        for theme in themes:
            yield f"{shape.key}/{theme}/{chart.key}-by-day/{day:0{digits}d}.png", png_of(in_theme(picture, theme), scale=shape.scale)


def _forms(name: str, svg: str, forms: tuple[str, ...], scale: float) -> Iterator[tuple[str, bytes]]:
    if "svg" in forms:
        yield f"{name}.svg", with_type(svg).encode()
    if "png" in forms:
        yield f"{name}.png", png_of(svg, scale=scale)


def with_type(svg: str) -> str:
    """The drawing with the typeface inside it, so that it looks the same wherever it is opened."""
    faces = ""
    for weight, name in FACES:
        if weight == 400 or 'font-weight="bold"' in svg:
            data = base64.b64encode((FONTS_FOLDER / name).read_bytes()).decode("ascii")
            faces += f'@font-face{{font-family:"{FONT}";font-weight:{weight};src:url("data:font/ttf;base64,{data}")}}'
    return re.sub(r"(<svg[^>]*>)", lambda found: f"{found[1]}<style>{faces}</style>", svg, count=1)
