"""A trial that is still running: nothing is wrong with it but that its window is not over."""

from fairtank.inference.question import Question
from fairtank.inference.series.days import excluding_event, without_excluded_days
from fairtank.inference.series.summaries import Recorded
from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_MEAN, FEWEST_DAYS_FOR_A_RUN_IN, LONGEST_GAP_D, Window, trouble

# How the reason begins, so that whoever words the finding can tell it from a trial that went wrong.
NOT_OVER = "The trial is not over"


def _sound(days: list[int], window: Window, fewest: int) -> bool:
    """Whether the days inside the window are enough and without a gap that spoils."""
    return trouble([day for day in days if window[0] <= day <= window[1]], window, fewest=fewest) is None


def _only_waits(question: Question, recorded: Recorded, unit: str) -> bool:
    """Whether nothing but the days to come keeps this unit from having its number."""
    if excluding_event(unit, recorded.events) is not None:
        return False
    days = list(without_excluded_days(unit, recorded.daily.get(unit, {}), recorded.events))
    if not days:
        return False
    last = days[-1]
    before, treated = question.windows_of(unit)
    if before is not None and last >= before[0]:
        needed = FEWEST_DAYS_FOR_A_RUN_IN if question.first_period is None else FEWEST_DAYS_FOR_A_MEAN
        fewest = needed if last > before[1] else 1
        if not _sound(days, (before[0], min(before[1], last)), fewest):
            return False
    return last < treated[0] or _sound(days, (treated[0], last), 1)


def unfinished_reason(question: Question, recorded: Recorded) -> str:
    """That the trial is not over, where no unit has a value near the window's end and each arm has a unit that only waits for it.

    Near means within the 7 days that a gap may have. A unit that an event took out, or that a gap spoilt before, does not wait; where
    an arm has no other, the trial is spoilt and not running.

    Parameters
    ----------
    question : Question
        The measure, the units and the windows.
    recorded : Recorded
        Daily values; days that events took out count as photographed.

    Returns
    -------
    str
        A sentence with the last day that has a value; empty where the trial is over or went wrong.

    References
    ----------
    common_practice (keys from sources.py).
    """
    photographed = [day for daily in recorded.daily.values() for day in daily]
    end = max(question.windows_of(unit.key)[1][1] for unit in question.plan.units)
    if not photographed or max(photographed) >= end - LONGEST_GAP_D:
        return ""
    waiting = {unit.arm for unit in question.plan.units if _only_waits(question, recorded, unit.key)}
    if any(arm.key not in waiting for arm in question.plan.arms):
        return ""
    return f"{NOT_OVER}: values reach day {max(photographed)} of {end}."
