"""A ladder: several doses of one change, and the question is what more of it does."""

from dataclasses import replace

from fairtank.finding import Finding
from fairtank.inference.designs.doses import check_ladder, dose_of, top_dose
from fairtank.inference.designs.ladder import in_a_ladder
from fairtank.inference.designs.many_arms import for_two
from fairtank.inference.designs.posing import check_summary, windows_for
from fairtank.inference.findings import finding_of
from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.registry import analysis
from fairtank.trial import Arm, MeasureChoice, Plan

SOURCES = ("matthews1990", "mackinnon1985", "bell2002", "student1908")
UNEVEN = "uneven arms"


@analysis(key="ladder", title="Ladder of doses", designs=("ladder",), sources=SOURCES)
def ladder(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The rise of a straight line through the units' numbers, from the reference's dose to the highest, with its interval.

    Each unit is one point, at its dose as it was fixed beforehand. The estimate is the whole step from the reference's dose to the highest
    one, and the margin is held against that; what one unit of dose does stands in the facts.

    Parameters
    ----------
    plan : Plan
        Of the kind `ladder`; each arm has a dose of its own, three or more in all.
    choice : MeasureChoice
        Its summary is `mean`, `change` (with a run-in) or `slope`; its window None stands for all days.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One finding. n_reference counts the units at the reference's dose, n_changed those at all other doses; changed_arm is the arm with
        the highest dose, or with the next one where that dose has no usable unit; no margin is then held against the step.

    Raises
    ------
    DesignError
        If an arm has no dose, there are fewer than three, the summary is another one, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    matthews1990, mackinnon1985, bell2002, student1908 (keys from sources.py).
    """
    check_summary(choice, "ladder", ("mean", "change", "slope"))
    check_ladder(plan)
    before, treated = windows_for(plan, choice)
    ordered = _from_the_top(plan)
    pair = for_two(ordered, ordered.arm_with("reference").key, ordered.arm_with("changed").key)
    question = settle_question(pair, choice, treated=treated, run_in=before, sources=SOURCES, contrast=in_a_ladder)
    finding = finding_of(replace(question, plan=ordered), record)
    # The reference's dose is one of several: that it has fewer units than all the others together is no fault.
    tags = tuple(tag for tag in finding.tags if tag != UNEVEN)
    told = dict(finding.facts).get("top_dose", ordered.arm_with("changed").dose)
    top = next(arm for arm in plan.arms if arm.dose == told)
    return (settled(replace(finding, tags=tags, reference_label=_label(plan, plan.arm_with("reference")), changed_label=_label(plan, top),
                            changed_arm=top.key, dose_unit=plan.dose_unit)),)


def _label(plan: Plan, arm: Arm) -> str:
    """The arm's own name; one that has none is told by its dose."""
    return arm.name or f"a dose of {arm.dose:g} {plan.dose_unit}".rstrip()


def _from_the_top(plan: Plan) -> Plan:
    """The plan with the arm of the highest dose as the first of the changed ones: the finding is told as a step to it."""
    doses = [dose_of(plan, arm.key) for arm in plan.arms]
    top = next(arm for arm in plan.arms if arm.dose == top_dose(plan, doses))
    reference = plan.arm_with("reference")
    rest = tuple(replace(arm, role="changed") for arm in plan.arms if arm.key not in (reference.key, top.key))
    return replace(plan, arms=(reference, replace(top, role="changed"), *rest))
