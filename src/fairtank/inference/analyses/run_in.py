"""Tanks with a run-in: all are kept alike at first, then the change starts in one arm."""

from collections.abc import Sequence

from fairtank.errors import DesignError
from fairtank.inference.findings import finding_of
from fairtank.inference.question import settle_question
from fairtank.inference.windows import FEWEST_DAYS_FOR_A_RUN_IN, split_window
from fairtank.registry import analysis
from fairtank.trial import Event, Finding, MeasureChoice, Plan, Series

SOURCES = ("matthews1990", "welch1947", "satterthwaite1946", "student1908", "fisher1935")


@analysis(key="run_in", title="With a run-in", designs=("run_in",), sources=SOURCES)
def run_in(plan: Plan, choice: MeasureChoice, series: Sequence[Series], events: Sequence[Event] = ()) -> Finding:
    """The difference of two arms in how far each unit moved from its own run-in, with Welch's interval.

    Each unit is its own yardstick: tanks that always had more algae do not count as an effect. With the summary `mean`
    the treated window alone is compared and the run-in is not used.

    Parameters
    ----------
    plan : Plan
        Of the kind `run_in`; days 0 to run_in_days - 1 are alike.
    choice : MeasureChoice
        Its summary is `change` or `mean`; its window None stands for the whole trial.
    series : sequence of Series
        Of all measures. [natural unit]
    events : sequence of Event
        Of all units.

    Returns
    -------
    Finding
        Its window is the treated one.

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
    if choice.summary not in ("mean", "change"):
        raise DesignError(f"The summary of {choice.key} is {choice.summary}; this version judges mean and change in a run_in design.")
    before, treated = split_window(plan, choice)
    if choice.summary == "mean":
        return finding_of(settle_question(plan, choice, treated=treated, sources=SOURCES), series, events)
    alike = before[1] - before[0] + 1 if before else 0
    if alike < FEWEST_DAYS_FOR_A_RUN_IN:
        raise DesignError(f"The run-in of {choice.key} has {alike} days; the summary change needs at least {FEWEST_DAYS_FOR_A_RUN_IN}, "
                          "with a photo on each of that many. Use the summary mean, or plan a longer run-in.")
    return finding_of(settle_question(plan, choice, treated=treated, run_in=before, sources=SOURCES), series, events)
