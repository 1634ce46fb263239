"""Tanks side by side: all are set up alike, the change is in place from the first day."""

from fairtank.errors import DesignError
from fairtank.finding import Finding
from fairtank.inference.contrast import two_arms
from fairtank.inference.designs.many_arms import SOURCES as SEVERAL_SOURCES
from fairtank.inference.designs.many_arms import several_arms
from fairtank.inference.designs.onsets import who_was_later
from fairtank.inference.designs.posing import check_slope, check_summary
from fairtank.inference.findings import finding_of
from fairtank.inference.question import settle_question
from fairtank.inference.record import Record
from fairtank.inference.series.windows import check_window
from fairtank.registry import analysis
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("matthews1990", "welch1947", "satterthwaite1946", "student1908", "fisher1935")


@analysis(key="side_by_side", title="Side by side", designs=("side_by_side",), sources=SOURCES)
def side_by_side(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The difference of two arms in the time-weighted mean over the window, one number per unit, with Welch's interval.

    Days are no sample of tanks: however many photos there are, a unit counts once. With the summary `slope` each unit's number is how fast
    it rises; with `threshold` only the order in which the units reached a value is compared, by the shuffle of pair scores.

    Parameters
    ----------
    plan : Plan
        Of the kind `side_by_side`.
    choice : MeasureChoice
        Its summary is `mean`, `slope` or `threshold`; its window None stands for day 0 to the last day.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One finding; with more than two arms one per comparison (see `many_arms`).

    Raises
    ------
    DesignError
        If the summary is another one, or the plan cannot carry it.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    matthews1990, welch1947, satterthwaite1946, student1908, fisher1935 (keys from sources.py).
    """
    if choice.summary == "change":
        raise DesignError(f"The summary of {choice.key} is change, which needs a run-in; a side_by_side design has none. "
                          "Use mean, or plan a run-in.")
    check_summary(choice, "side_by_side", ("mean", "slope", "threshold"))
    treated = choice.window or (0, plan.days)
    check_window(choice, plan, treated)
    check_slope(choice, treated)
    if len(plan.arms) > 2:
        return several_arms(plan, choice, record, lambda pair: settle_question(pair, choice, treated=treated, sources=SEVERAL_SOURCES))
    contrast = who_was_later if choice.summary == "threshold" else two_arms
    sources = (*SOURCES, "gehan1965") if choice.summary == "threshold" else SOURCES
    question = settle_question(plan, choice, treated=treated, sources=sources, contrast=contrast)
    return (finding_of(question, record),)
