"""Neighbours in pairs: inside each pair the lot gives the change to one of the two."""

from fairtank.finding import Finding
from fairtank.inference.designs.pairs import check_pairs, paired
from fairtank.inference.designs.posing import check_summary, windows_for
from fairtank.inference.findings import finding_of
from fairtank.inference.question import check_arms, settle_question
from fairtank.inference.record import Record
from fairtank.registry import analysis
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("student1908", "matthews1990", "fisher1935")


@analysis(key="pairs", title="Pairs", designs=("pairs",), sources=SOURCES)
def pairs(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The mean over the pairs of changed minus reference, one difference for each pair, with the one-sample t-interval.

    What the two of a pair have in common (shelf, window, age) drops out. The pairs are the sample: fewer than 3 are alone.

    Parameters
    ----------
    plan : Plan
        Of the kind `pairs`; each unit names its pair.
    choice : MeasureChoice
        Its summary is `mean`, `change` (with a run-in) or `slope`; its window None stands for all days.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One finding; its n_reference and n_changed are both the number of whole pairs.

    Raises
    ------
    DesignError
        If the units do not stand in pairs, the summary is another one, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    student1908, matthews1990, fisher1935 (keys from sources.py).
    """
    check_summary(choice, "pairs", ("mean", "change", "slope"))
    check_arms(plan)
    check_pairs(plan)
    before, treated = windows_for(plan, choice)
    question = settle_question(plan, choice, treated=treated, run_in=before, sources=SOURCES, contrast=paired)
    return (finding_of(question, record),)
