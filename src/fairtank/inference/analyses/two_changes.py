"""Two changes at once: neither, each alone and both, so that every tank helps to answer both questions."""

from dataclasses import replace
from functools import partial

from fairtank.finding import Finding
from fairtank.inference.designs.four_ways import CELLS, cell_of, check_two_changes, names_of
from fairtank.inference.designs.many_arms import for_two
from fairtank.inference.designs.posing import check_summary, windows_for
from fairtank.inference.designs.two_changes import QUESTIONS, main_effect
from fairtank.inference.findings import finding_of
from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.series.summaries import recorded_of
from fairtank.inference.unfinished import NOT_OVER
from fairtank.registry import analysis
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("matthews1990", "yates1937", "satterthwaite1946", "student1908", "sidak1967")


@analysis(key="two_changes", title="Two changes at once", designs=("two_changes",), sources=SOURCES)
def two_changes(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """What each of two changes does, averaged over the other, with both intervals under one promise.

    Each effect is the mean of the two ways with the change minus that of the two ways without it, every way with its own scatter. Whether
    the two changes do more together than each adds up to stands in the facts with an interval of its own; it decides nothing.

    Parameters
    ----------
    plan : Plan
        Of the kind `two_changes`: four arms with `changes` [], one, the other, both. Where every unit names a block and each of three or
        more blocks has every way once, the blocks are the sample.
    choice : MeasureChoice
        Its summary is `mean`, `change` (with a run-in) or `slope`; its window None stands for all days.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One for each change, in the order in which the arms name them. reference_arm is the arm with neither, changed_arm the one with this
        change alone; n counts the units without and with the change.

    Raises
    ------
    DesignError
        If the four ways are not there, the summary is another one, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    matthews1990, yates1937, satterthwaite1946, student1908, sidak1967 (keys from sources.py).
    """
    check_summary(choice, "two_changes", ("mean", "change", "slope"))
    check_two_changes(plan)
    before, treated = windows_for(plan, choice)
    names = names_of(plan)
    found, recorded = [], None
    for place, name in enumerate(names):
        alone = next(arm for arm in plan.arms if arm.changes == (name,))
        pair = for_two(plan, plan.arm_with("reference").key, alone.key)
        contrast = partial(main_effect, place=place)
        question = settle_question(pair, choice, treated=treated, run_in=before, sources=SOURCES, contrast=contrast)
        question = replace(question, plan=_by_change(plan, name))
        recorded = recorded or recorded_of(question, record)
        found.append(_told(finding_of(question, record, recorded), plan, name))
    return tuple(found)


def _by_change(plan: Plan, name: str) -> Plan:
    """The plan with the role changed for each arm that has the change; the arm that has nothing else comes first."""
    arms = [replace(arm, role="changed" if name in arm.changes else "reference") for arm in plan.arms]
    return replace(plan, arms=tuple(sorted(arms, key=lambda arm: len(arm.changes))))


def _told(finding: Finding, plan: Plan, name: str) -> Finding:
    """The finding with the change in place of the arm's name, and which way it was that has no usable unit."""
    finding = replace(finding, reference_label=f"without {name}", changed_label=f"with {name}", comparisons=QUESTIONS)
    if finding.grade == "spoilt" and not finding.spoilt_reason.startswith(NOT_OVER):
        finding = replace(finding, spoilt_reason=_missing(finding, plan))
    return settled(finding)


def _missing(finding: Finding, plan: Plan) -> str:
    """Which of the four ways has no usable unit, and why."""
    names, usable = names_of(plan), {unit.arm for unit in finding.units if unit.z is not None}
    empty = [arm for cell in CELLS for arm in plan.arms if cell_of(names, arm.changes) == cell and arm.key not in usable]
    lost = " ".join(unit.spoilt for unit in finding.units if unit.spoilt and unit.arm in [arm.key for arm in empty])
    if not empty:
        reasons = " ".join(unit.spoilt for unit in finding.units if unit.spoilt)
        return f"no whole block is left: {reasons.rstrip('.')}"
    return f"no usable unit in {' and '.join(arm.label for arm in empty)}: {lost.rstrip('.')}"
