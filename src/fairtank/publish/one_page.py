"""The report on one page: the sentence, the picture, five lines of method, the intervals, the limits, who paid, and the seal."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.blocks import Document, Figure, OnePage, Table
from fairtank.publish.content import ReportContent
from fairtank.publish.document import primary_of
from fairtank.publish.numbers import shortened, shown
from fairtank.publish.phrases import capital, comparison_words, under, word_of
from fairtank.publish.report_brief import disclosed, done_words
from fairtank.publish.report_limits import limits
from fairtank.publish.report_numbers import told_estimate
from fairtank.publish.report_plan import SUMMARY_SHORT, lot_words
from fairtank.publish.report_sensitivity import agreement_words
from fairtank.publish.seal_words import data_words, time_words
from fairtank.trial import Plan

MOST_LIMITS, MOST_ROWS, MOST_SENTENCES = 4, 7, 3
# So long may a text be before it is cut on the one page; the report has all of it.
LONG_TITLE, LONG_TEXT, LONG_SENTENCE, LONG_ALONE = 110, 260, 620, 760  # the last one where one sentence stands alone
NOT_SEALED = "The plan was not sealed."


def one_page(content: ReportContent, report: Document) -> OnePage:
    """The one page of a report; it draws nothing anew.

    Parameters
    ----------
    content : ReportContent
        The trial and what was made of it.
    report : Document
        The long report of the same, whose sentences and first picture it carries.

    Returns
    -------
    OnePage
    """
    primary, plan = primary_of(content), content.folder.plan
    pictures = [part for section in report.sections if section.key == "picture" for part in section.blocks if isinstance(part, Figure)]
    told = limits(content, primary)
    more = len(told) - MOST_LIMITS
    rows = tuple((comparison_words(finding), told_estimate(finding), finding.grade) for finding in content.findings)
    left = len(rows) - MOST_ROWS
    table = Table("Every measure with its interval" + (f" ({left} more in the report)" if left > 0 else ""),
                  ("Measure", "Estimate with interval", "Grade"), rows[:MOST_ROWS], wide=(0, 1)) if rows else None
    longest = LONG_SENTENCE if len(report.sentences) > 1 else LONG_ALONE
    sentences = tuple(shortened(text, longest) for text in report.sentences[:MOST_SENTENCES])
    unsaid = len(report.sentences) - MOST_SENTENCES
    foot = ((f"{unsaid} more sentence{'s of the finding stand' if unsaid > 1 else ' of the finding stands'} in the report.",)
            if unsaid > 0 else ())
    return OnePage(
        shortened(report.title, LONG_TITLE), shortened(report.question, LONG_TEXT), sentences, shortened(report.byline, LONG_TEXT),
        pictures[0] if pictures else None, _method(content), table,
        (*(shortened(text, LONG_TEXT) for text in told[:MOST_LIMITS]), *([f"{more} more in the report."] if more > 0 else [])),
        shortened(disclosed(plan), LONG_TEXT), _seal(content), (*foot, *report.foot), report.paper,
        tuple(shortened(text, longest) for text in report.in_full[:MOST_SENTENCES]))


def _method(content: ReportContent) -> tuple[tuple[str, str], ...]:
    """Five lines: what was changed, in which units, by which lot, what was measured, how it was judged."""
    plan, primary = content.folder.plan, primary_of(content)
    change = " against ".join(shown(text).rstrip(".") for text in (plan.change, plan.reference) if shown(text)) or _arms(plan)
    lines = [("The change", change), (f"{capital(word_of(plan))}s", done_words(content, primary)), ("The lot", lot_words(plan))]
    if primary:
        lines += [("Measured", _measured(content, primary)),
                  ("Judged", f"One number for each {primary[0].unit_word}, not for each photo. {_agreement(primary)}".strip())]
    return tuple((name, shortened(text, LONG_TEXT + 60)) for name, text in lines)


def _arms(plan: Plan) -> str:
    return "; ".join(under(arm.label) for arm in plan.arms)


def _measured(content: ReportContent, primary: Sequence[Finding]) -> str:
    """Each primary measure once: what a unit's number is, over which days, and where its values come from."""
    measures: dict[str, Finding] = {}
    for finding in primary:
        measures.setdefault(finding.measure, finding)
    return " ".join(f"{shown(first.title)}, {SUMMARY_SHORT.get(first.summary, first.summary)}, "
                    f"days {first.window[0]} to {first.window[1]}; {_values(content, measure)}." for measure, first in measures.items())


def _agreement(primary: Sequence[Finding]) -> str:
    """Whether other ways of analysing give the same answers: for each comparison by its name, once where all agree in that."""
    told = {comparison_words(finding): agreement_words(finding) for finding in primary}
    if len(told) > 1 and len(set(told.values())) == 1 and all(told.values()):
        words = next(iter(told.values()))
        return f"For each of the {len(told)} comparisons: {words[0].lower()}{words[1:]}"
    if len(told) > 1:
        return " ".join(f"{name}: {words[0].lower()}{words[1:]}" for name, words in told.items() if words)
    return next(iter(told.values()))


def _values(content: ReportContent, measure: str) -> str:
    """Where the values of a measure come from."""
    own = [one for one in content.series if one.measure == measure]
    if any(one.scored for one in own):
        return "by people's eyes"
    if any(one.measure == measure for one in content.folder.carried):
        return "measured from photos that are not in this folder"
    return "values handed over ready-made or read by a test" if own and all(one.ready_made for one in own) else "measured from photos"


def _seal(content: ReportContent) -> str:
    """The code of the seal with its time; plainly where there is none."""
    seal = content.folder.seal
    if seal is None:
        return NOT_SEALED
    first, amended = seal.entries[0], len(seal.entries) - 1
    more = f" Amended {amended} time{'s' if amended > 1 else ''}, last code {seal.last.code}." if amended else ""
    return f"Plan sealed {time_words(first.at)}, code {first.code}; {data_words(first)}.{more}"
