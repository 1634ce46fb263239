"""What a public page tells below its picture, from the same blocks as the report."""

from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.publish.blocks import Block, Bullets, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.document import caution_blocks, disclosure_blocks, primary_of, settle_blocks, unrecorded_blocks, whole_sentences
from fairtank.publish.methods import holm_words
from fairtank.publish.page_chart import PageChart
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.phrases import title_words
from fairtank.publish.report_brief import brief_blocks
from fairtank.publish.report_limits import limits
from fairtank.publish.report_numbers import grade_blocks
from fairtank.publish.seal_words import time_words
from fairtank.publish.sentences import spoken_sentence
from fairtank.publish.setup import events_blocks, photos_blocks, spoilt_blocks
from fairtank.publish.site.touch import TouchChart, touch_chart
from fairtank.seal import Seal

UNSEALED = ("The plan was not sealed: nothing here shows that the question, the measure and the smallest difference that matters were "
            "fixed before the tanks were looked at.")
CODE = ("Compare this code with the one that the keeper showed before the start, in a video or a post of that time. A code that nobody saw "
        "before shows only that the folder was not changed by accident.")
WITH_KIT = "Whoever has the kit can have every file checked against the seal: fairtank verify, and the name of the kit's file behind it."


@dataclass(frozen=True)
class MeasureShown:
    """One measure: its title, its sentences as they are spoken, the whole of those that are told shorter so, and its charts."""

    title: str
    sentences: tuple[str, ...]
    in_full: tuple[str, ...]
    charts: tuple[TouchChart, ...]


@dataclass(frozen=True)
class Told:
    """All that the page tells in words and charts; the first measure's first chart is the picture below the sentence."""

    first: tuple[MeasureShown, ...]
    others: tuple[MeasureShown, ...]
    holm: str
    brief: tuple[Block, ...]
    sure: tuple[Block, ...]
    settle: tuple[Block, ...]
    limits: tuple[Block, ...]
    deviations: tuple[Block, ...]
    cautions: tuple[Block, ...]
    unrecorded: tuple[Block, ...]
    disclosure: tuple[Block, ...]
    seal: tuple[Block, ...]
    code: str


def told_of(content: ReportContent, *, has_kit: bool) -> Told:
    """What is told of a trial.

    Parameters
    ----------
    content : ReportContent
        The trial and its findings.
    has_kit : bool
        Whether the kit lies beside the page.

    Returns
    -------
    Told

    References
    ----------
    common_practice (keys from sources.py).
    """
    primary = primary_of(content)
    first = dict.fromkeys(one.measure for one in primary)
    measures = {measure: [one for one in content.findings if one.measure == measure] for measure in
                dict.fromkeys((*first, *(one.measure for one in content.findings)))}
    shown_measures = {measure: _measure(content, own) for measure, own in measures.items()}
    others = tuple(one for measure, one in shown_measures.items() if measure not in first)
    seal = content.folder.seal
    return Told(
        first=tuple(one for measure, one in shown_measures.items() if measure in first), others=others,
        holm=holm_words(content.findings) if others else "",
        brief=brief_blocks(content, primary), sure=tuple(grade_blocks(content.findings)) if content.findings else (),
        settle=settle_blocks(primary), limits=(Bullets(limits(content, primary)),),
        deviations=(*events_blocks(content.folder.events), *spoilt_blocks(content), *photos_blocks(content)),
        cautions=caution_blocks(content),
        unrecorded=unrecorded_blocks(content), disclosure=disclosure_blocks(content.folder.plan),
        seal=seal_blocks(seal, has_kit=has_kit), code=seal.last.code if seal else "",
    )


def _measure(content: ReportContent, own: list[Finding]) -> MeasureShown:
    charts: tuple[PageChart, ...] = finding_charts(own, content.folder.plan, content.series, content.folder.events)
    return MeasureShown(title_words(own[0]), tuple(dict.fromkeys(map(spoken_sentence, own))), whole_sentences(own),
                        tuple(map(touch_chart, charts)))


def seal_blocks(seal: Seal | None, *, has_kit: bool) -> tuple[Block, ...]:
    """When the plan was sealed and how a reader checks it; plainly where it was not."""
    if seal is None:
        return (Words(UNSEALED),)
    first, changed = seal.entries[0], len(seal.entries) - 1
    there = " There was data already on that day, so that the seal cannot show that the plan came before it." if first.has_data else (
        " Nothing was recorded yet at that time.")
    later = "" if not changed else f" It was amended {'once' if changed == 1 else f'{changed} times'} since; the report tells each change."
    return (Words(f"The plan was sealed on {time_words(first.at)}.{there}{later}"), Words(CODE), *([Words(WITH_KIT)] if has_kit else []))
