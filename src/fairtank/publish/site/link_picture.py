"""What a link to the page shows: the sentence, and the picture of the tanks beside it."""

from dataclasses import replace

from fairtank.finding import Finding
from fairtank.publish.chart_export.listing import TrialChart, trial_charts
from fairtank.publish.chart_export.shapes import LINK
from fairtank.publish.chart_export.sheet import composed, in_theme, sheet_of
from fairtank.publish.charts import png_of
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import shown
from fairtank.publish.sentences import amount_words, caution_words, verdict_words


def link_words(finding: Finding) -> str:
    """The verdict with its number and interval, and the cautions without which it would claim more than was found."""
    parts = (verdict_words(finding), amount_words(finding), caution_words(finding))
    return shown(" ".join(part for part in parts if part))


def link_picture(content: ReportContent, finding: Finding) -> bytes:
    """A PNG of 1200 by 630 px; without a chart of the tanks it holds the sentence alone.

    Parameters
    ----------
    content : ReportContent
        The trial and its findings; photos are not needed.
    finding : Finding
        The one whose sentence stands first on the page.

    Returns
    -------
    bytes

    References
    ----------
    common_practice (keys from sources.py).
    """
    own = replace(content, findings=tuple(one for one in content.findings if one.measure == finding.measure), evenness=None, pictures=())
    charts = [chart for chart in trial_charts(own, LINK) if chart.measure]
    chart: TrialChart | None = next((one for one in charts if one.key.startswith("tanks")), next(iter(charts), None))
    words, foot = link_words(finding), shown(content.folder.plan.title)
    if chart is None:
        return b""
    sheet = sheet_of(chart.draw, LINK, words)
    return png_of(in_theme(composed(chart.draw(sheet.width_px), sheet, heading=words, foot=foot), "light"))
