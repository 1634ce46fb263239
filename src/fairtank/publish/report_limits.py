"""What a trial cannot show, made from its own design and record: no sentence stands here that does not follow from them."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.audit_words import NOT_CHECKED
from fairtank.publish.content import ReportContent
from fairtank.publish.even_words import opening
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.phrases import plural, so_many
from fairtank.publish.words import basis_words, tag_words
from fairtank.trial import Plan

DAY_LIMIT = "It says nothing about what comes after day {last}."
_WITHOUT_BEFORE = frozenset(("side_by_side", "pairs", "ladder", "two_changes"))  # nothing of a tank is known from before the change
_DESIGN = {
    "swap": "Whatever the change leaves behind in a tank (plants that grew, what the bed took up) stays after the swap and blurs the "
            "difference.",
    "drawn_start": "Few tanks carry it: only the lot over the days says how unusual the difference is, and a slow effect looks like drift.",
    "rounds": "The same tanks serve in every round, so that it tells of these.",
    "ladder": "It asks for a straight step from dose to dose; a dose in the middle that does best would not show.",
    "two_changes": "Whether the two changes help or hinder each other is told less surely than each change alone.",
}


def limits(content: ReportContent, primary: Sequence[Finding]) -> tuple[str, ...]:
    """What this trial cannot show, the weightiest first.

    Parameters
    ----------
    content : ReportContent
    primary : sequence of Finding
        The primary findings.

    Returns
    -------
    tuple of str
        Whole sentences, each once.
    """
    plan = content.folder.plan
    told = [_reach(plan, primary), *_lot_and_eyes(plan, primary), _DESIGN.get(plan.kind, ""), *_water(plan), *_evenness(content),
            *_record(content, primary), *_numbers(content, primary)]
    return tuple(dict.fromkeys(shown(text) for text in told if text))


def _reach(plan: Plan, primary: Sequence[Finding]) -> str:
    """How far it carries: one place, so many units, so many days."""
    word = primary[0].unit_word if primary else "tank"
    per_arm = [sum(unit.arm == arm.key for unit in plan.units) for arm in plan.arms]
    if plan.kind == "rounds":
        few = units_words(plan, word)
    elif len(set(per_arm)) > 1:
        few = f"{in_a_row(map(str, per_arm))} {plural(word, max(per_arm))} in its {'orders' if plan.kind == 'swap' else 'arms'}"
    else:
        few = f"{so_many(per_arm[0], word)} in each {'order' if plan.kind == 'swap' else 'arm'}"
    return (f"It is one trial in one place, with {few}: other water, plants, lamps and hands may give another answer. "
            f"{DAY_LIMIT.format(last=plan.days)}")


def units_words(plan: Plan, word: str) -> str:
    """How many units there were; in rounds, how many tanks, which come back in each."""
    if plan.kind != "rounds":
        return so_many(len(plan.units), word)
    return f"{so_many(len({unit.in_tank for unit in plan.units}), word)} in {so_many(len({unit.round for unit in plan.units}), 'round')}"


def _lot_and_eyes(plan: Plan, primary: Sequence[Finding]) -> list[str]:
    told = [] if plan.drawn else [tag_words("not by lot")]
    if not plan.blinded:
        scored = any(finding.eyes is not None for finding in primary)
        told.append(f"Nobody is known to have been kept from knowing the arms: feeding, trimming{', scoring' if scored else ''} and "
                    "photographing may have differed without anybody meaning it.")
    return told


def _water(plan: Plan) -> list[str]:
    told = []
    if plan.shared_water:
        told.append("The tanks share their water, so that whatever travels with it reaches both arms and hides an effect.")
    if plan.kind in _WITHOUT_BEFORE and not plan.run_in_days:
        told.append("There was no run-in: whether the tanks were alike before the change is not known from the measure itself.")
    return told


def _evenness(content: ReportContent) -> list[str]:
    """What goes along with the arms besides the change."""
    result = content.evenness
    if result is None:
        return ["How even the tanks were was not checked."]
    return [opening(result)] if result.with_verdict("confounded") else []


def _record(content: ReportContent, primary: Sequence[Finding]) -> list[str]:
    folder, told = content.folder, []
    if folder.seal is None:
        told.append("The plan was not sealed, so that nobody else can see that it came before the data.")
    elif folder.seal.entries[0].has_data:
        told.append("The plan was sealed when there was data already.")
    if any("changed after the seal" in finding.tags for finding in primary):
        told.append(tag_words("changed after the seal"))
    if not folder.audit and any(NOT_CHECKED in finding.cautions for finding in content.findings):
        told.append("No person checked the map that the photos were measured by, so that its own bias in each arm is not known.")
    unused = sum(quality.quality == "not usable" for quality in content.qualities)
    if unused and 20 * unused >= len(content.qualities):
        told.append(f"{unused} of {len(content.qualities)} photos could not be used.")
    if "gaps" in {tag for finding in primary for tag in finding.tags}:
        told.append(tag_words("gaps"))
    return told


def _numbers(content: ReportContent, primary: Sequence[Finding]) -> list[str]:
    told = list(dict.fromkeys(basis_words(finding.basis) for finding in primary))
    told += [tag_words(tag) for tag in ("raters differ", "below detection", "stopped early")
             if any(tag in finding.tags for finding in primary)]
    if primary and all(finding.margin is None and finding.summary != "threshold" for finding in primary):
        told.append("No smallest difference that matters was fixed beforehand, so that neither “matters” nor “alike” could come out.")
    secondary = len({finding.measure for finding in content.findings if finding.role == "secondary"})
    if secondary > 1:
        told.append(f"{secondary} secondary measures were asked as well; with so many, one that stands out by chance is no surprise.")
    return told
