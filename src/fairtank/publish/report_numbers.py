"""The numbers of a report: the chart of all intervals, the table of the findings, and the number of each unit."""

from collections.abc import Sequence

from fairtank.finding import Finding, UnitSummary
from fairtank.publish import forest
from fairtank.publish.amounts import estimate_words
from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Bullets, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.dot_row import units_of
from fairtank.publish.eyes_words import eyes_blocks
from fairtank.publish.looks_words import LOOKS_CAPTION, LOOKS_HEAD, looks_rows
from fairtank.publish.numbers import figures, shown, with_unit
from fairtank.publish.phrases import capital, comparison_words, title_words
from fairtank.publish.report_pictures import figure
from fairtank.publish.scales import natural_value
from fairtank.publish.words import GRADE_WORDS, tag_sentence
from fairtank.trial import Plan

SCALE_MEANINGS = {
    "logit": "The scale on which tanks are compared is log-odds: ln(cover / (100 − cover))",
    "log": "The scale on which tanks are compared is the natural logarithm",
}


def number_blocks(content: ReportContent, primary: list[Finding], looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """All findings with their intervals, then what each primary measure rests on, its units once for all comparisons."""
    if not content.findings:
        return (Words("Nothing was judged."),)
    blocks: list[Block] = []
    charted = forest.drawn(content.findings)
    if charted:
        left_out = " Measures without an interval are left out." if len(charted) < len(content.findings) else ""
        blocks.append(figure("forest", lambda width: forest.forest(charted, width_px=width),
                             "All measures. Each row has a scale of its own; the upright line is no difference, the grey band (where one "
                             f"was fixed) holds differences too small to matter.{left_out}"))
    blocks += grade_blocks(content.findings)
    for measure in dict.fromkeys(finding.measure for finding in primary):
        blocks += measure_blocks(content.folder.plan, [finding for finding in primary if finding.measure == measure], looks)
    return tuple(blocks)


def grade_blocks(findings: Sequence[Finding]) -> list[Block]:
    """The table of all findings with their grades, and what each grade means."""
    used = [grade for grade in GRADE_WORDS if any(finding.grade == grade for finding in findings)]
    return [Table("Estimate, interval, grade and what it rests on", ("Measure", "Estimate with interval", "Grade", "Rests on", "Tanks"),
                  tuple(_number_row(finding) for finding in findings), wide=(0, 1)),
            Bullets(tuple(f"“{grade}”: {GRADE_WORDS[grade]}." for grade in used))]


def measure_blocks(plan: Plan, own: list[Finding], looks: dict[str, ArmLook]) -> list[Block]:
    """What one primary measure rests on: its tags, its units, its planned looks and the people behind its numbers."""
    blocks: list[Block] = []
    tags = tuple(dict.fromkeys(shown(tag_sentence(tag, finding)) for finding in own for tag in finding.tags))
    if tags:
        blocks.append(Bullets(tags))
    units = units_of(own)
    if units:
        blocks.append(_units_table(plan, own[0], units, looks))
        unused = tuple(_unused_words(shown(unit.unit), shown(unit.spoilt)) for unit in units if unit.spoilt)
        blocks += [Bullets(unused)] if unused else []
    for finding in own:
        if finding.looks:
            blocks.append(Table(LOOKS_CAPTION, LOOKS_HEAD, looks_rows(finding), wide=(1,), numeric=(3,)))
        blocks += eyes_blocks(finding)
    return blocks


def _unused_words(unit: str, reason: str) -> str:
    """Why a unit was not used; a reason that begins with the unit needs no name before it.

    >>> _unused_words("T5", "T5 was taken out."), _unused_words("T5", "The gap is too long.")
    ('T5 was taken out.', 'T5: The gap is too long.')
    """
    return reason if reason.startswith(f"{unit} ") else f"{unit}: {reason}"


def _number_row(finding: Finding) -> tuple[str, ...]:
    facts, counts = dict(finding.facts), f"{finding.n_changed} against {finding.n_reference}"
    if finding.design == "ladder" and "doses" in facts:
        counts = f"{finding.n_changed + finding.n_reference} at {facts['doses']:.0f} doses"
    return comparison_words(finding), told_estimate(finding), finding.grade, finding.basis, counts


def told_estimate(finding: Finding) -> str:
    """An estimate as a row tells it; a threshold has none, only the order in which the units reached it."""
    return "the order only" if finding.summary == "threshold" and finding.estimate is None else shown(estimate_words(finding))


def _units_table(plan: Plan, finding: Finding, units: Sequence[UnitSummary], looks: dict[str, ArmLook]) -> Table:
    """One row for each unit, by arm; what cannot be told of any of them has no column. Why a unit was not used stands below the table."""
    pairs = {unit.key: unit.pair for unit in plan.units}
    level = {"swap": "Mean under the reference", "threshold": "Reached"}.get(finding.summary, "Mean")
    head = (capital(finding.unit_word), "Pair", "Arm first" if finding.summary == "swap" else "Arm",
            level if finding.reading_day is None else f"Day {finding.reading_day}", _scale_head(finding), "Days")
    rows = []
    for unit in sorted(units, key=lambda unit: list(looks).index(unit.arm) if unit.arm in looks else len(looks)):
        look = looks.get(unit.arm)
        rows.append((shown(unit.unit), shown(pairs.get(unit.unit, "")), shown(look.words) if look else shown(unit.arm),
                     *_unit_numbers(unit, finding), str(unit.days)))
    if plan.kind == "pairs":
        rows.sort(key=lambda row: [one.key for one in plan.units].index(row[0]) if row[0] in pairs else len(pairs))
    keep = [index for index in range(len(head)) if any(row[index] not in ("", "none", "not used") for row in rows) or index in (0, 2)]
    scale = SCALE_MEANINGS.get(finding.scale) if 4 in keep else None
    caption = ". ".join(filter(None, (f"{title_words(finding)}: the number of each {finding.unit_word}", scale)))
    return Table(caption, tuple(head[index] for index in keep),
                 tuple(tuple(row[index] for index in keep) for row in rows),
                 wide=tuple(place for place, index in enumerate(keep) if index == 2),
                 numeric=tuple(place for place, index in enumerate(keep) if index in (3, 4, 5)))


def _unit_numbers(unit: UnitSummary, finding: Finding) -> tuple[str, str]:
    """A unit's number in the natural unit and on the scale."""
    is_said = finding.scale == "identity" and finding.summary == "mean"  # the mean is then the number that is judged
    natural = "none" if unit.spoilt is None else "not used"
    if unit.reached is not None:
        natural = _reached_words(unit.reached)
    elif unit.treated_mean is not None and finding.summary in ("mean", "change", "swap"):
        natural = with_unit(figures(natural_value(unit.treated_mean, finding.scale), 3), finding.unit_of_measure)
    if unit.z is None:
        return natural, "none" if unit.spoilt is None else "not used"
    return natural, "none" if is_said or finding.summary == "threshold" else figures(unit.z, 3)


def _reached_words(reached: tuple[int | None, int | None]) -> str:
    """Between which days a threshold was reached."""
    below, at = reached
    if at is None:
        return f"not by day {below}"
    return f"by day {at}" if below is None else f"after day {below}, by day {at}"


def _scale_head(finding: Finding) -> str:
    """The head of the column with the number that is judged: what it is, and on which scale."""
    words = {"logit": "log-odds", "log": "natural log"}.get(finding.scale, "")
    if finding.summary == "slope":
        words = f"{words or finding.unit_of_measure} per day".strip()
    what = {"change": "Change", "swap": "First less second", "slope": "Rise"}.get(finding.summary, "On the scale")
    return f"{what} ({words})" if words else what
