"""What a design can be asked: checks of a measure's choice that several analyses share."""

import math

from fairtank.errors import DesignError
from fairtank.inference.series.slopes import FEWEST_DAYS_FOR_A_SLOPE
from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_RUN_IN, Window, split_window
from fairtank.trial import MeasureChoice, Plan


def check_summary(choice: MeasureChoice, kind: str, judged: tuple[str, ...]) -> None:
    """Refuse a summary that the design does not carry, a slope over too few days, and a threshold without its value.

    Parameters
    ----------
    choice : MeasureChoice
        What the plan says about the measure.
    kind : str
        The design's kind.
    judged : tuple of str
        The summaries that it carries.

    Raises
    ------
    DesignError
        With what is judged instead.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if choice.summary not in judged:
        listed = " and ".join(part for part in (", ".join(judged[:-1]), judged[-1]) if part)
        raise DesignError(f"The summary of {choice.key} is {choice.summary}; this version judges {listed} in a {kind} design.")
    if choice.summary == "threshold" and (choice.threshold is None or not math.isfinite(choice.threshold)):
        raise DesignError(f"The summary of {choice.key} is threshold, and its threshold is {choice.threshold}; accepted: a number, the "
                          "value whose first day is asked for.")


def check_slope(choice: MeasureChoice, treated: Window) -> None:
    """Refuse a slope over a window with fewer days than a line needs."""
    count = treated[1] - treated[0] + 1
    if choice.summary == "slope" and count < FEWEST_DAYS_FOR_A_SLOPE:
        raise DesignError(f"The window of {choice.key} has {count} days; a slope needs at least {FEWEST_DAYS_FOR_A_SLOPE}, with a value on "
                          "each of that many. Use the summary mean, or a longer window.")


def windows_for(plan: Plan, choice: MeasureChoice) -> tuple[Window | None, Window]:
    """The run-in where the summary uses it, and the treated days.

    Parameters
    ----------
    plan : Plan
        With or without a run-in.
    choice : MeasureChoice
        Only the summary `change` uses a run-in.

    Returns
    -------
    tuple of (Window or None, Window)
        Both inclusive. [days]

    Raises
    ------
    DesignError
        If the window cannot be used, the run-in is too short for `change`, or the days are too few for a slope.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    before, treated = split_window(plan, choice)
    check_slope(choice, treated)
    if choice.summary != "change":
        return None, treated
    alike = before[1] - before[0] + 1 if before else 0
    if alike < FEWEST_DAYS_FOR_A_RUN_IN:
        raise DesignError(f"The run-in of {choice.key} has {alike} days; the summary change needs at least {FEWEST_DAYS_FOR_A_RUN_IN}, "
                          "with a photo on each of that many. Use the summary mean, or plan a longer run-in.")
    return before, treated
