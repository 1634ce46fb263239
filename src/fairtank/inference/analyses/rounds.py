"""Rounds: the same two tanks again and again, the change going to and fro between them."""

from fairtank.finding import Finding
from fairtank.inference.designs.posing import check_slope, check_summary
from fairtank.inference.designs.rounds import check_rounds, in_rounds
from fairtank.inference.findings import finding_of
from fairtank.inference.question import check_arms, settle_question
from fairtank.inference.record import Record
from fairtank.inference.series.windows import round_window
from fairtank.registry import analysis
from fairtank.trial import MeasureChoice, Plan

SOURCES = ("arithmetic", "matthews1990", "student1908")


@analysis(key="rounds", title="Rounds", designs=("rounds",), sources=SOURCES)
def rounds(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The effect of the change over rounds of the same two tanks, what sets the tanks apart for good taken out, with a t-interval.

    Each round gives one difference, and the rounds are the sample: fewer than 4 are alone. Least squares of the difference on 1 and on
    which tank carried the change; rounds minus 2 degrees of freedom.

    Parameters
    ----------
    plan : Plan
        Of the kind `rounds`; each unit names its round and its tank. With round_days the rounds follow one another; without, the days of
        every round are counted from 0.
    choice : MeasureChoice
        Its summary is `mean` or `slope`; its window counts the days of the round, None stands for all of them but the wash-out.
    record : Record
        What was recorded of the whole trial. [natural units]

    Returns
    -------
    tuple of Finding
        One finding; its n_reference and n_changed are both the number of whole rounds; its window counts the days of the round.

    Raises
    ------
    DesignError
        If the rounds do not set the same two tanks against each other, the change never moved, or the plan cannot carry it otherwise.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    arithmetic, matthews1990, student1908 (keys from sources.py).
    """
    check_summary(choice, "rounds", ("mean", "slope"))
    check_arms(plan)
    check_rounds(plan)
    treated = round_window(plan, choice)
    check_slope(choice, treated)
    question = settle_question(plan, choice, treated=treated, sources=SOURCES, contrast=in_rounds)
    return (finding_of(question, record),)
