"""A judged trial as a page shows it: as of when it may be read, and the sections of the report as plain words and tables."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from typing import Any

from fairtank.finding import Finding
from fairtank.inference.looks import goes_on, reading_day, series_until
from fairtank.inference.unfinished import NOT_OVER
from fairtank.planning.evenness.result import Evenness
from fairtank.publish import methods, setup
from fairtank.publish.amounts import estimate_words
from fairtank.publish.arms import arm_looks
from fairtank.publish.blocks import Block, Bullets, Heading, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.document import caution_blocks, method_blocks, settle_blocks, unrecorded_blocks
from fairtank.publish.eyes_words import eyes_blocks
from fairtank.publish.looks_words import looks_method
from fairtank.publish.numbers import in_a_row, p_words, shown
from fairtank.publish.page_chart import page_chart_json
from fairtank.publish.page_finding import finding_charts
from fairtank.publish.phrases import capital, counted, title_words, word_of
from fairtank.publish.report_numbers import grade_blocks, measure_blocks
from fairtank.publish.side_effect_words import side_effect_text
from fairtank.trial import Event, Plan

OVER, AT_A_LOOK, WAITS = "over", "at a look", "waits"
ONCE = ("The trial is read once, on the day that its plan names. Read day after day as it comes to its end, it would have several chances "
        "to find something by luck.")


@dataclass(frozen=True)
class Reading:
    """As of when a judged trial may be shown.

    state: `over`, `at a look` or `waits`. until: at a look its day, after which nothing is shown; else None.
    """

    state: str
    until: int | None = None


def reading_of(findings: Sequence[Finding]) -> Reading:
    """As of when findings may be shown: a trial that is not over shows nothing, at a look what was known on its day.

    Parameters
    ----------
    findings : sequence of Finding
        All of a trial.

    Returns
    -------
    Reading

    References
    ----------
    common_practice (keys from sources.py).
    """
    primary = [one for one in findings if one.role == "primary"] or list(findings)
    if primary and all(_waits(one) for one in primary):
        return Reading(WAITS)
    at = [dict(one.facts)["look_day"] for one in primary if goes_on(one)]
    return Reading(AT_A_LOOK, round(max(at))) if at else Reading(OVER)


def reading_days(plan: Plan) -> tuple[tuple[int, date], ...]:
    """The days on which the primary measure is read, with their dates: the planned looks, or the one reading day."""
    primary = next((one for one in plan.measures if one.role == "primary"), None)
    days = plan.looks.days or ((reading_day(plan, primary),) if primary else ())
    return tuple((day, plan.start + timedelta(days=day)) for day in days)


def why_it_waits(plan: Plan) -> str:
    """Why nothing is told on other days."""
    return looks_method(plan) or ONCE


def page_of(content: ReportContent) -> dict[str, Any]:
    """All that the page of a finding shows beside the findings themselves, fit for JSON; of what may not be shown yet nothing is in it.

    Parameters
    ----------
    content : ReportContent
        The trial and what was made of it; pictures of photos are not needed.

    Returns
    -------
    dict
        `reading`, `charts` by measure, `primary` and `secondary` (one entry for each measure), and blocks under `numbers`, `settle`,
        `deviations`, `harm`, `methods`, `cautions`, `unrecorded` and `sources`.

    References
    ----------
    common_practice (keys from sources.py).
    """
    reading = reading_of(content.findings)
    if reading.state == WAITS:
        return {"reading": asdict(reading), "charts": {}, "primary": [], "secondary": []}
    seen = content if reading.until is None else _until(content, reading.until)
    measures: dict[str, list[Finding]] = {}
    for finding in content.findings:
        measures.setdefault(finding.measure, []).append(finding)
    primary = [one for one in content.findings if one.role == "primary"] or list(content.findings[:1])
    first = dict.fromkeys(one.measure for one in primary)
    looks, plan = arm_looks(plan=content.folder.plan), content.folder.plan
    charts = {measure: [page_chart_json(chart) for chart in finding_charts(own, plan, seen.series, seen.folder.events)]
              for measure, own in measures.items() if not all(map(_waits, own))}
    return {
        "reading": asdict(reading), "charts": charts,
        "primary": [{"measure": measure, "title": title_words(measures[measure][0]),
                     "blocks": blocks_json(measure_blocks(plan, measures[measure], looks))} for measure in first],
        "secondary": [_secondary(measure, own) for measure, own in measures.items() if measure not in first],
        "holm": methods.holm_words(content.findings) if len(measures) > len(first) else "",
        "numbers": blocks_json(grade_blocks(content.findings)), "settle": blocks_json(settle_blocks(primary)),
        "deviations": blocks_json((*setup.events_blocks(seen.folder.events), *setup.spoilt_blocks(content), *setup.photos_blocks(seen))),
        "harm": blocks_json(harm_blocks(plan, seen.folder.events, content.evenness)),
        "methods": blocks_json(method_blocks(content, primary)),
        "cautions": blocks_json(caution_blocks(content)), "unrecorded": blocks_json(unrecorded_blocks(content)),
        "sources": blocks_json((Bullets(methods.references(content.findings, plan)),)),
    }


def _waits(finding: Finding) -> bool:
    return finding.grade == "spoilt" and finding.spoilt_reason.startswith(NOT_OVER)


def _until(content: ReportContent, day: int) -> ReportContent:
    """The content without values and events of later days."""
    events = tuple(event for event in content.folder.events if event.day_from <= day)
    return replace(content, series=tuple(series_until(one, day) for one in content.series), folder=replace(content.folder, events=events),
                   qualities=tuple(one for one in content.qualities if one.day <= day))


def _secondary(measure: str, own: Sequence[Finding]) -> dict[str, Any]:
    """What stands under a secondary measure: its estimates with p, and how far the people behind its numbers agree."""
    rows = tuple((shown(one.changed_label), shown(estimate_words(one)), one.grade, p_words(one.p_value),
                  "none" if one.holm_p is None else p_words(one.holm_p)) for one in own if one.p_value is not None)
    table = Table(f"{title_words(own[0])}: interval one at a time",
                  ("Changed arm", "Estimate with interval", "Grade", "p alone", "p after Holm"), rows, wide=(0, 1), numeric=(3, 4))
    return {"measure": measure, "title": title_words(own[0]),
            "blocks": blocks_json((*((table,) if rows else ()), *(block for one in own for block in eyes_blocks(one))))}


def harm_blocks(plan: Plan, events: Sequence[Event], evenness: Evenness | None) -> tuple[Block, ...]:
    """What came along with the change, by the setup and by the diary: side effects, and what happened to single tanks of each arm.

    Parameters
    ----------
    plan : Plan
        Of the trial.
    events : sequence of Event
        Of the same trial.
    evenness : Evenness or None
        With the side effects of the change, where they were worked out.

    Returns
    -------
    tuple of Block

    References
    ----------
    common_practice (keys from sources.py).
    """
    effects = () if evenness is None else tuple(effect for check in evenness.checks for effect in check.effects)
    told = side_effect_text(effects)
    blocks: list[Block] = [Words("By what is written down of the setup, the change brings along:"), Bullets(told)] if told else [
        Words("What is written down of the setup shows no side effect of the change; what was not written down may have had one.")]
    return (*blocks, *_by_arm(plan, events))


def _by_arm(plan: Plan, events: Sequence[Event]) -> tuple[Block, ...]:
    """How many events name units of each arm: harm that fell on one arm shows here first."""
    single = [event for event in events if event.units]
    if not single:
        return ()
    known = {unit.key: unit.arm for unit in plan.units}
    counts = {look.letter: sum(any(known.get(unit) == key for unit in event.units) for event in single)
              for key, look in arm_looks(plan).items()}
    told = in_a_row(f"{count} in arm {letter}" for letter, count in counts.items())
    concern = "concerns" if len(single) == 1 else "concern"
    opening = f"{capital(counted(len(single), 'event'))} in the diary {concern} single {word_of(plan)}s"
    return (Words(f"{opening}: {told}. Each is told above."),)


def blocks_json(blocks: Iterable[Block]) -> list[dict[str, Any]]:
    """Words, lists, headings and tables as what JSON can hold; other blocks, which are pictures, are left out.

    A cell of a table is its text, whether it is a number that stands to the right, and below the head the words above it.
    """
    return [told for told in map(_block_json, blocks) if told]


def _block_json(block: Block) -> dict[str, Any]:
    if isinstance(block, Table):
        return {"kind": "table", "caption": block.caption, "stacks": block.stacks, "head": [
            [cell, place in block.numeric] for place, cell in enumerate(block.head)], "rows": [
            [[cell, place in block.numeric, block.head[place]] for place, cell in enumerate(row)] for row in block.rows]}
    if isinstance(block, Bullets):
        return {"kind": "bullets", "lines": list(block.items)}
    if isinstance(block, Words):
        return {"kind": "words", "text": block.text, "tone": block.kind}
    return {"kind": "heading", "text": block.text} if isinstance(block, Heading) else {}
