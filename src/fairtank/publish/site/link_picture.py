"""What a link to the page shows: the sentence, and the picture of the tanks beside it."""

from collections.abc import Sequence
from dataclasses import replace

from fairtank.finding import Finding
from fairtank.publish.chart_export.listing import TrialChart, trial_charts
from fairtank.publish.chart_export.shapes import LINK
from fairtank.publish.chart_export.sheet import composed, in_theme, sheet_of
from fairtank.publish.charts import png_of
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import shown
from fairtank.publish.sentences import amount_words, caution_words, spoken, verdict_words

MOST_COMPARISONS = 3


def link_words(*findings: Finding) -> str:
    """Each comparison's verdict as it is spoken, its number and interval, and the cautions without which it would claim too much."""
    told = [part for finding in findings[:MOST_COMPARISONS] for part in (verdict_words(finding), amount_words(finding),
                                                                         caution_words(finding)) if part]
    left = len(findings) - MOST_COMPARISONS
    more = f"{left} more comparison{'s stand' if left > 1 else ' stands'} on the page." if left > 0 else ""
    return spoken(shown(" ".join([*dict.fromkeys(told), more]).strip()))


def link_picture(content: ReportContent, findings: Sequence[Finding]) -> bytes:
    """A PNG of 1200 by 630 px; nothing where no chart shows the tanks.

    Parameters
    ----------
    content : ReportContent
        The trial and its findings; photos are not needed.
    findings : sequence of Finding
        Those whose sentences stand first on the page, at least one: all are told, and the first one's measure is drawn.

    Returns
    -------
    bytes

    References
    ----------
    common_practice (keys from sources.py).
    """
    drawn = tuple(one for one in content.findings if one.measure == findings[0].measure)
    own = replace(content, findings=drawn, evenness=None, pictures=())
    charts = [chart for chart in trial_charts(own, LINK) if chart.measure]
    chart: TrialChart | None = next((one for one in charts if one.key.startswith("tanks")), next(iter(charts), None))
    words, foot = link_words(*findings), shown(content.folder.plan.title)
    if chart is None:
        return b""
    sheet = sheet_of(chart.draw, LINK, words)
    return png_of(in_theme(composed(chart.draw(sheet.width_px), sheet, heading=words, foot=foot), "light"))
