"""Which charts a finished trial has: those of its report and of the page of its finding, each with how it is drawn at any width."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial
from xml.etree import ElementTree

from fairtank.finding import Finding
from fairtank.planning.evenness.result import Evenness, FactorCheck
from fairtank.publish import forest, strip_wall
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.chart_export.by_day import until_day
from fairtank.publish.chart_export.shapes import Shape
from fairtank.publish.charts import WIDE_PX, Spec, svg_of
from fairtank.publish.content import ReportContent
from fairtank.publish.even_matrix import even_matrix, matrix_checks
from fairtank.publish.numbers import shown
from fairtank.publish.page_chart import PageChart
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.phrases import title_words
from fairtank.publish.sentences import verdict_words
from fairtank.publish.span import pictures_inside

_LABEL_PX, _CELL_PX, _FEWEST_DAYS, _MOST_DAYS = 92, 66, 5, 18


@dataclass(frozen=True)
class Drawing:
    """One drawing: SVG in the inks of light paper, its description, its size [px], the size of its smallest text [px]."""

    svg: str
    description: str
    width_px: float
    height_px: float
    text_px: float


@dataclass(frozen=True)
class TrialChart:
    """One chart to take away.

    key: of its file. title: what is seen, with its numbers. verdict: of the finding that it belongs to, so that no chart leaves without it;
    empty where several stand in it. draw: the chart at an outer width [px]. measure: of what; empty for none.
    draw_day: the same as of a day, with the axes of the whole; None where a chart has no course. days: first and last day of that course.
    """

    key: str
    title: str
    draw: Callable[[int], Drawing]
    measure: str = ""
    verdict: str = ""
    draw_day: Callable[[int, int], Drawing] | None = None
    days: tuple[int, int] = (0, 0)


def trial_charts(content: ReportContent, shape: Shape) -> tuple[TrialChart, ...]:
    """All charts of a trial in the order in which they are read; what is not there is left out.

    Parameters
    ----------
    content : ReportContent
        The trial, its findings and its pictures.
    shape : Shape
        For how many rows of the evenness matrix and how many days of the strip wall stand in one picture.

    Returns
    -------
    tuple of TrialChart

    References
    ----------
    okabe2008 (keys from sources.py).
    """
    measures: dict[str, list[Finding]] = {}
    for finding in content.findings:
        measures.setdefault(finding.measure, []).append(finding)
    found = [chart for own in measures.values() for chart in _of_measure(content, own)]
    with_interval = [one for one in forest.drawn(content.findings) if one.low is not None]  # as the picture's title says
    if with_interval:
        found.append(TrialChart("all-measures", "All measures, each with its interval", lambda width: plain_drawing(
            forest.forest(with_interval, width_px=width), "all-measures")))
    looks = arm_looks(content.folder.plan)
    if content.evenness is not None:
        found += _matrix(content.evenness, looks, shape)
    return (*found, *_wall(content, looks, shape))


def plain_drawing(spec: Spec, key: str) -> Drawing:
    """A description drawn, without what only a pointer finds."""
    seen = {**spec, "layer": [layer for layer in spec["layer"] if "tooltip" not in layer.get("encoding", {})]}
    return drawing_of(svg_of(seen, key=key), spec["description"])


def drawing_of(svg: str, description: str) -> Drawing:
    """A drawing with its sizes, read from the SVG itself."""
    root = ElementTree.fromstring(svg)
    sizes = [float(one.attrib["font-size"].removesuffix("px")) for one in root.iter() if "font-size" in one.attrib]
    return Drawing(svg, description, float(root.attrib["width"]), float(root.attrib["height"]), min(sizes, default=12.0))


def _of_measure(content: ReportContent, own: list[Finding]) -> list[TrialChart]:
    plan = content.folder.plan

    @cache
    def at(width_px: int) -> tuple[PageChart, ...]:
        return finding_charts(own, plan, content.series, content.folder.events, widths_px=(width_px, width_px))

    charts, verdict = [], " ".join(dict.fromkeys(shown(verdict_words(one)) for one in own))
    for place, chart in enumerate(at(WIDE_PX)):
        draw = partial(_page_chart, at, place, chart.key)
        if not chart.key.startswith("curves"):
            charts.append(TrialChart(chart.key, chart.title, draw, own[0].measure, verdict))
            continue
        days = [day for one in content.series if one.measure == own[0].measure for day in one.days if 0 <= day <= plan.days]
        charts.append(TrialChart(chart.key, chart.title, draw, own[0].measure, verdict,
                                 partial(_page_chart_day, at, place, chart.key), (min(0, *days), max(days))))
    return charts


def _page_chart(at: Callable[[int], tuple[PageChart, ...]], place: int, key: str, width_px: int) -> Drawing:
    return plain_drawing(at(width_px)[place].wide, key)


def _page_chart_day(at: Callable[[int], tuple[PageChart, ...]], place: int, key: str, width_px: int, day: int) -> Drawing:
    return plain_drawing(until_day(at(width_px)[place].wide, day), key)


def _matrix(result: Evenness, looks: dict[str, ArmLook], shape: Shape) -> list[TrialChart]:
    rows = matrix_checks(result)
    pages = [rows[start:start + shape.matrix_rows] for start in range(0, len(rows), shape.matrix_rows)]
    numbered = [f"evenness-{number}" if len(pages) > 1 else "evenness" for number in range(1, len(pages) + 1)]
    title = "How even the tanks were: what each had of each factor"
    return [TrialChart(key, title, partial(_matrix_page, result, looks, page, key)) for key, page in zip(numbered, pages, strict=True)]


def _matrix_page(result: Evenness, looks: dict[str, ArmLook], checks: tuple[FactorCheck, ...], key: str, width_px: int) -> Drawing:
    picture = even_matrix(result, looks, key=key, width_px=width_px, checks=checks)
    return drawing_of(picture.svg, picture.description)


def _wall(content: ReportContent, looks: dict[str, ArmLook], shape: Shape) -> list[TrialChart]:
    """The strip wall in as many pictures as its days need at that shape."""
    plan, inside = content.folder.plan, pictures_inside(content.folder.plan, content.pictures)
    unused = strip_wall.left_out(plan, content.folder.events, content.qualities)
    columns = strip_wall.SCREEN_DAYS
    blocks = strip_wall.strip_wall(plan, inside, looks, unused, days_per_block=columns)
    if blocks and not shape.is_page:
        high = drawing_of(*blocks[0]).height_px
        room = (shape.width_px - 2 * shape.margin_px) / (0.74 * (shape.height_px - shape.top_px - shape.bottom_px))
        columns = min(max(int((high * room - _LABEL_PX) / _CELL_PX), _FEWEST_DAYS), _MOST_DAYS)
        blocks = strip_wall.strip_wall(plan, inside, looks, unused, days_per_block=columns)
    days = strip_wall.wall_days(inside)
    charts = []
    for number, block in enumerate(blocks):
        own = days[number * columns:(number + 1) * columns]
        title = f"Strip wall, days {own[0]} to {own[-1]}: one row for each unit, one column for each day"
        charts.append(TrialChart(f"strip-wall-{number + 1:02d}", title, partial(_as_drawn, drawing_of(*block))))
    return charts


def _as_drawn(drawing: Drawing, width_px: int) -> Drawing:
    """A drawing that has one width only."""
    return drawing


def measure_title(content: ReportContent, measure: str) -> str:
    """What a measure is called; empty for none."""
    return next((title_words(one) for one in content.findings if one.measure == measure), "")
