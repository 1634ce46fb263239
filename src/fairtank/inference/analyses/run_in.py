"""Tanks with a run-in: all are kept alike at first, then the change starts in one arm."""

from fairtank.finding import Finding
from fairtank.inference.contrast import two_arms
from fairtank.inference.designs.many_arms import SOURCES as SEVERAL_SOURCES
from fairtank.inference.designs.many_arms import several_arms
from fairtank.inference.designs.onsets import who_was_later
from fairtank.inference.designs.posing import check_summary, windows_for
from fairtank.inference.findings import finding_of
from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.registry import analysis
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("matthews1990", "welch1947", "satterthwaite1946", "student1908", "fisher1935")


@analysis(key="run_in", title="With a run-in", designs=("run_in",), sources=SOURCES)
def run_in(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The difference of two arms in how far each unit moved from its own run-in, with Welch's interval.

    Each unit is its own yardstick: tanks that always had more algae do not count as an effect. With the summary `mean`
    the treated window alone is compared and the run-in is not used; so it is with `slope` and `threshold`.

    Parameters
    ----------
    plan : Plan
        Of the kind `run_in`; days 0 to run_in_days - 1 are alike.
    choice : MeasureChoice
        Its summary is `change`, `mean`, `slope` or `threshold`; its window None stands for the whole trial.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One finding, its window the treated one; with more than two arms one per comparison (see `many_arms`).

    Raises
    ------
    DesignError
        If the summary is another one, the run-in is too short for `change`, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    matthews1990, welch1947, satterthwaite1946, student1908, fisher1935 (keys from sources.py).
    """
    check_summary(choice, "run_in", ("mean", "change", "slope", "threshold"))
    before, treated = windows_for(plan, choice)
    if len(plan.arms) > 2:
        return several_arms(plan, choice, record, lambda pair: settle_question(
            pair, choice, treated=treated, run_in=before, sources=SEVERAL_SOURCES))
    contrast = who_was_later if choice.summary == "threshold" else two_arms
    sources = (*SOURCES, "gehan1965") if choice.summary == "threshold" else SOURCES
    question = settle_question(plan, choice, treated=treated, run_in=before, sources=sources, contrast=contrast)
    return (finding_of(question, record),)
