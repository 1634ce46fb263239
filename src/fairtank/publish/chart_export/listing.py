"""Which charts a finished trial has: those of its report and of the page of its finding, each with how it is drawn at any width."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import TypeVar

from fairtank.finding import Finding
from fairtank.inference.foresight.showing import Showing
from fairtank.planning.evenness.result import Evenness, FactorCheck
from fairtank.publish import forest, strip_wall
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.chart_export.by_day import until_day
from fairtank.publish.chart_export.dot_lines import dot_lines, legend
from fairtank.publish.chart_export.drawing import Draw, DrawDay, Drawing, Lower, drawing_of, plain_drawing
from fairtank.publish.chart_export.looks import HOW, TITLE, looks_chart, looks_drawn
from fairtank.publish.chart_export.lower import lowered, notes_of, without_foot, without_keys
from fairtank.publish.chart_export.shapes import Shape
from fairtank.publish.chart_export.sheet import Sheet, sheet_of
from fairtank.publish.charts import WIDE_PX
from fairtank.publish.content import ReportContent
from fairtank.publish.dots import partners_of
from fairtank.publish.even_matrix import even_matrix, matrix_checks
from fairtank.publish.frontier import frontier_spec
from fairtank.publish.numbers import shown
from fairtank.publish.page_chart import PageChart
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.page_foresight import frontier_page_chart
from fairtank.publish.phrases import title_words, word_of
from fairtank.publish.report_pictures import is_ladder
from fairtank.publish.sentences import spoken, verdict_words
from fairtank.publish.span import pictures_inside
from fairtank.trial import Plan

_LABEL_PX, _CELL_PX, _FEWEST_DAYS, _MOST_DAYS = 92, 66, 5, 18
Row = TypeVar("Row")
_UNBROKEN_PX = 4000  # so wide that no line below a chart is broken


@dataclass(frozen=True)
class TrialChart:
    """One chart to take away.

    key: of its file. title: what is seen, with its numbers. verdict: of the finding that it belongs to, so that no chart leaves without it;
    empty where several stand in it, of the evenness matrix what stands in no row. draw: the chart at an outer width [px]. measure: of
    what; empty for none. draw_day: the same as of a day, with the axes of the whole; None where a chart has no course. days: first and last
    day of that course. lower: the same with a lower plot and what its marks mean told beside it; None where it has no such form.
    """

    key: str
    title: str
    draw: Draw
    measure: str = ""
    verdict: str = ""
    draw_day: DrawDay | None = None
    days: tuple[int, int] = (0, 0)
    lower: Lower | None = None

    def laid(self, shape: Shape, heading: str = "", beneath: str = "") -> Sheet:
        """How the chart is laid onto a shape that is not that of a page; without a heading under its own title and verdict."""
        own = (heading, beneath) if heading else (self.title, self.verdict)
        return sheet_of(self.draw, shape, *own, lower=self.lower)

    def drawn(self, sheet: Sheet, day: int | None = None) -> Drawing:
        """The chart as a sheet has it, whole or as of a day."""
        if sheet.low_px and self.lower is not None:
            return self.lower(sheet.width_px, sheet.low_px, day)
        return self.draw(sheet.width_px) if day is None or self.draw_day is None else self.draw_day(sheet.width_px, day)


def trial_charts(content: ReportContent, shape: Shape, showing: Showing | None = None) -> tuple[TrialChart, ...]:
    """All charts of a trial in the order in which they are read; what is not there is left out.

    Parameters
    ----------
    content : ReportContent
        The trial, its findings and its pictures.
    shape : Shape
        For how many rows of the evenness matrix and how many days of the strip wall stand in one picture.
    showing : Showing, optional
        What the plan could show; without it that picture is left out.

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
    found += _in_pages("all-measures", "All measures, each with its interval", with_interval, len(with_interval), shape, _forest)
    looks = arm_looks(content.folder.plan)
    if content.evenness is not None:
        found += _matrix(content.evenness, looks, shape)
    if showing is not None:
        found.append(_frontier(showing))
    return (*found, *_wall(content, looks, shape))


def _of_measure(content: ReportContent, own: list[Finding]) -> list[TrialChart]:
    plan = content.folder.plan

    @cache
    def at(width_px: int) -> tuple[PageChart, ...]:
        return finding_charts(own, plan, content.series, content.folder.events, widths_px=(width_px, width_px))

    charts, verdict = [], " ".join(dict.fromkeys(spoken(shown(verdict_words(one))) for one in own))
    for place, chart in enumerate(at(WIDE_PX)):
        draw = partial(_page_chart, at, place, chart.key)
        if not chart.key.startswith("curves"):
            lower = partial(_lower_ladder, at, place, chart.key) if is_ladder(plan, own[0]) else partial(_lower_dots, own, plan, chart.key)
            charts.append(TrialChart(chart.key, chart.title, draw, own[0].measure, verdict, lower=lower))
            continue
        days = [day for one in content.series if one.measure == own[0].measure for day in one.days if 0 <= day <= plan.days]
        charts.append(TrialChart(chart.key, chart.title, draw, own[0].measure, verdict,
                                 partial(_page_chart_day, at, place, chart.key), (min(0, *days), max(days)),
                                 partial(_lower_curves, at, place, chart.key, max(days))))
    return [*charts, *_looks(own[0], plan, verdict)]


def _page_chart(at: Callable[[int], tuple[PageChart, ...]], place: int, key: str, width_px: int) -> Drawing:
    return plain_drawing(at(width_px)[place].wide, key)


def _page_chart_day(at: Callable[[int], tuple[PageChart, ...]], place: int, key: str, width_px: int, day: int) -> Drawing:
    return plain_drawing(until_day(at(width_px)[place].wide, day), key)


def _lower_ladder(at: Callable[[int], tuple[PageChart, ...]], place: int, key: str, width_px: int, outer_px: float, _day: int | None,
                  ) -> Drawing:
    return plain_drawing(lowered(at(width_px)[place].wide, outer_px), key, notes_of(at(_UNBROKEN_PX)[place].wide))


def _lower_dots(own: list[Finding], plan: Plan, key: str, width_px: int, _outer_px: float, _day: int | None) -> Drawing:
    """As low as its rows are: how high it may be changes nothing."""
    spec = dot_lines(own[0], arm_looks(plan), width_px=width_px, partners=partners_of(plan), others=own[1:])
    return plain_drawing(spec, key, legend(own, arm_looks(plan)))


def _lower_curves(at: Callable[[int], tuple[PageChart, ...]], place: int, key: str, last: int, width_px: int, outer_px: float,
                  day: int | None) -> Drawing:
    low = lowered(at(width_px)[place].wide, outer_px)
    return plain_drawing(until_day(low if day is None or day == last else without_keys(low), last if day is None else day), key)


def _looks(finding: Finding, plan: Plan, verdict: str) -> list[TrialChart]:
    """What each planned look said, where at least two of them have an interval."""
    looks = arm_looks(plan)
    if not looks_drawn(finding, looks):
        return []
    key, title = f"looks-{as_key(finding.measure)}", f"{title_words(finding)}: {TITLE[:1].lower()}{TITLE[1:]}"

    def drawn(width_px: int, _outer_px: float = 0.0, _day: int | None = None) -> Drawing:
        return plain_drawing(looks_chart(finding, looks, width_px=width_px), key, (HOW, *legend([finding], looks)))

    return [TrialChart(key, title, drawn, finding.measure, verdict, lower=drawn)]


def _frontier(showing: Showing) -> TrialChart:
    """What the plan could show, beside other designs."""
    key, title = "what-could-it-show", f"What the trial could show. {frontier_page_chart(showing).title}"
    notes = notes_of(frontier_spec(showing, width_px=_UNBROKEN_PX))

    def lower(width_px: int, outer_px: float, _day: int | None) -> Drawing:
        return plain_drawing(lowered(frontier_spec(showing, width_px=width_px), outer_px), key, notes)

    return TrialChart(key, title, lambda width: plain_drawing(frontier_spec(showing, width_px=width), key), lower=lower)


def _in_pages(key: str, title: str, rows: Sequence[Row], most: int, shape: Shape, draw: Callable[[Sequence[Row], str, int], Drawing],
              lower: Callable[[Sequence[Row], str, int, float, int | None], Drawing] | None = None, beneath: str = "") -> list[TrialChart]:
    """Rows in as many pictures as they need at a shape: as many in each as leave its text large enough."""
    def chart(page: Sequence[Row], name: str, words: str) -> TrialChart:
        low = None if lower is None else partial(lower, page, name)
        return TrialChart(name, words, partial(draw, page, name), verdict=beneath, lower=low)

    pages: list[Sequence[Row]] = []
    while left := rows[sum(map(len, pages)):]:
        count = min(most, len(left))
        while count > 1 and shape.least_px and chart(left[:count], key, title).laid(shape).text_px < shape.least_px:
            count -= 1
        pages.append(left[:count])
    several = len(pages) > 1
    return [chart(page, f"{key}-{number:02d}" if several else key, f"{title} ({number} of {len(pages)})" if several else title)
            for number, page in enumerate(pages, start=1)]


def _forest(findings: Sequence[Finding], key: str, width_px: int) -> Drawing:
    return plain_drawing(forest.forest(findings, width_px=width_px), key)


def _matrix(result: Evenness, looks: dict[str, ArmLook], shape: Shape) -> list[TrialChart]:
    """All factors on a page; in a picture those that are not even, with how many more are: all of them would fill dozens."""
    rows, title = matrix_checks(result), "How even the tanks were: what each had of each factor"
    telling = tuple(check for check in rows if check.verdict != "even")
    beneath = ""
    if shape.least_px and telling and len(telling) < len(rows):
        count = len(rows) - len(telling)
        beneath = f"The same in every tank: {count} more factor{'s' if count > 1 else ''}, named in the form for a page."
        rows = telling
    return _in_pages("evenness", title, rows, shape.matrix_rows, shape, partial(_matrix_page, result, looks),
                     partial(_matrix_low, result, looks), beneath)


def _matrix_page(result: Evenness, looks: dict[str, ArmLook], checks: Sequence[FactorCheck], key: str, width_px: int) -> Drawing:
    picture = even_matrix(result, looks, key=key, width_px=width_px, checks=checks)
    return drawing_of(picture.svg, picture.description)


def _matrix_low(result: Evenness, looks: dict[str, ArmLook], checks: Sequence[FactorCheck], key: str, width_px: int, _outer_px: float,
                _day: int | None) -> Drawing:
    """As low as its rows are, with how its cells are read told beside it."""
    picture = even_matrix(result, looks, key=key, width_px=width_px, checks=checks, has_wide_cells=True)
    return drawing_of(without_foot(picture.svg), picture.description, (_matrix_words(looks, checks, len(result.units)),))


def _matrix_words(looks: dict[str, ArmLook], checks: Sequence[FactorCheck], units: int) -> str:
    """How the cells of these rows are read: only what is in them."""
    beyond = {abs(deviation) > 1 for check in checks for _, deviation in check.deviations if check.tolerance is not None}
    reference, words = next(iter(looks.values())).letter, []
    if any(check.tolerance is not None for check in checks):
        words.append(f"Dot: how far below or above the middle of arm {reference}; at the edge two tolerances or more.")
    if True in beyond or any(check.tolerance is None and any(abs(deviation) >= 1 for _, deviation in check.deviations) for check in checks):
        words.append("Shaded: beyond the tolerance, or another word.")
    if any(len(check.values) < units for check in checks):
        words.append("Dashed: not recorded.")
    return " ".join(words)


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
        title = f"Strip wall, days {own[0]} to {own[-1]}: one row for each {word_of(plan)}, one column for each day"
        charts.append(TrialChart(f"strip-wall-{number + 1:02d}", title, partial(_as_drawn, drawing_of(*block))))
    return charts


def _as_drawn(drawing: Drawing, width_px: int) -> Drawing:
    """A drawing that has one width only."""
    return drawing


def measure_title(content: ReportContent, measure: str) -> str:
    """What a measure is called; empty for none."""
    return next((title_words(one) for one in content.findings if one.measure == measure), "")


def as_key(measure: str) -> str:
    """A measure's key as part of a file's name."""
    return "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in measure)
