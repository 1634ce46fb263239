"""The report for a reader in a hurry: what was asked, done and seen, how sure it is, what it does not say, and who paid."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.blocks import Block, Facts
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.phrases import comparison_words, so_many, under
from fairtank.publish.report_limits import limits, units_words
from fairtank.publish.report_plan import KIND_WORDS
from fairtank.publish.report_sensitivity import agreement_words
from fairtank.publish.sentences import amount_words, caution_words, count_words, spoken, verdict_words
from fairtank.publish.words import GRADE_WORDS
from fairtank.trial import Plan

NONE_STATED = "None stated."
MOST_LIMITS = 3


def brief_blocks(content: ReportContent, primary: Sequence[Finding]) -> tuple[Block, ...]:
    """The box: six rows at most, each a sentence or a few."""
    plan = content.folder.plan
    pairs = [("Asked", shown(plan.question) or shown(plan.change)), ("Done", done_words(content, primary)), ("Seen", _seen(primary)),
             ("How sure", _sure(primary)), ("What it does not say", " ".join(limits(content, primary)[:MOST_LIMITS])),
             ("Who paid or supplied anything", disclosed(plan))]
    return (Facts(tuple((name, text) for name, text in pairs if text), "", ("", "")),)


def disclosed(plan: Plan) -> str:
    """What the keeper wrote down of interests and gifts; `None stated.` where nothing was."""
    return shown(plan.disclosure) or NONE_STATED


def done_words(content: ReportContent, primary: Sequence[Finding]) -> str:
    """Units, arms, days and photos in a sentence or two."""
    plan, folder = content.folder.plan, content.folder
    word = primary[0].unit_word if primary else "tank"
    lot = "drawn by lot" if plan.drawn else "not drawn by lot, or not recorded so"
    design = KIND_WORDS.get(plan.kind, shown(plan.kind))
    days = f"over {so_many(plan.days + 1, 'day')} from {plan.start.isoformat()}"
    told = [f"{units_words(plan, word)} {days}: {_arms_words(plan)}; {lot}. Design: {design}."]
    recorded = [so_many(len(folder.photos), "photo") if folder.photos else "", so_many(len(folder.readings), "water test")
                if folder.readings else ""]
    if any(recorded):
        told.append(f"On record: {in_a_row(part for part in recorded if part)}.")
    return " ".join(told)


def _arms_words(plan: Plan) -> str:
    """How many units had which arm, the change first."""
    ordered = sorted(plan.arms, key=lambda arm: arm.role == "reference")
    if plan.kind == "rounds":
        return f"in each round {in_a_row(f'one {under(arm.label)}' for arm in ordered)}"
    told = in_a_row(f"{sum(unit.arm == arm.key for unit in plan.units)} {under(arm.label)}" for arm in ordered)
    return f"{told} first" if plan.kind == "swap" else told


def _seen(primary: Sequence[Finding]) -> str:
    """The number with its interval, or the verdict where there is none."""
    if not primary:
        return "Nothing was judged."
    return _each(primary, [spoken(shown(amount_words(finding) or verdict_words(finding))) for finding in primary])


def _sure(primary: Sequence[Finding]) -> str:
    """The verdict, what its grade means, on how many units it rests, and whether another way of analysing agrees."""
    told = []
    for finding in primary:
        meaning = f"The grade is “{finding.grade}”: {GRADE_WORDS.get(finding.grade, finding.grade)}."
        verdict = verdict_words(finding) if amount_words(finding) else ""
        told.append(" ".join(spoken(shown(part)) for part in (verdict, meaning, count_words(finding), caution_words(finding),
                                                   agreement_words(finding)) if part))
    return _each(primary, told)


def _each(primary: Sequence[Finding], texts: Sequence[str]) -> str:
    """The texts in a row, each with the name of its comparison where there are several."""
    if len(primary) < 2:
        return " ".join(texts)
    return " ".join(f"{comparison_words(finding)}: {text}" for finding, text in zip(primary, texts, strict=True))
