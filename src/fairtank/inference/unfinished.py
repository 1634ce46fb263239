"""A trial that is still running: nothing is wrong with it but that its window is not over."""

from datetime import timedelta

from fairtank.inference.question import Question
from fairtank.inference.series.days import excluding_event, without_excluded_days
from fairtank.inference.series.summaries import Recorded
from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_MEAN, FEWEST_DAYS_FOR_A_RUN_IN, LONGEST_GAP_D, Window, trouble

# How the reason begins, so that whoever words the finding can tell it from a trial that went wrong.
NOT_OVER = "The trial is not over"
VALUES_END = "values_end"  # the fact of a finding whose values end before the reading day, where nobody knows whether that day has come
NOTHING_YET = f"{NOT_OVER}: no value has been recorded."


def _sound(days: list[int], window: Window, fewest: int) -> bool:
    """Whether the days inside the window are enough and without a gap that spoils."""
    return trouble([day for day in days if window[0] <= day <= window[1]], window, fewest=fewest) is None


def _only_waits(question: Question, recorded: Recorded, unit: str) -> bool:
    """Whether nothing but the days to come keeps this unit from having its number."""
    if excluding_event(unit, recorded.events) is not None:
        return False
    days = list(without_excluded_days(unit, recorded.daily.get(unit, {}), recorded.events))
    before, treated = question.windows_of(unit)
    if not days:  # its first value may still come, until the gap before it would spoil the unit
        reached = last_day(recorded) if recorded.today is None else recorded.today
        return reached is not None and reached <= (before or treated)[0] + LONGEST_GAP_D
    last = days[-1]
    if before is not None and last >= before[0]:
        needed = FEWEST_DAYS_FOR_A_RUN_IN if question.first_period is None else FEWEST_DAYS_FOR_A_MEAN
        fewest = needed if last > before[1] else 1
        if not _sound(days, (before[0], min(before[1], last)), fewest):
            return False
    return last < treated[0] or _sound(days, (treated[0], last), 1)


def _end(question: Question) -> int:
    """The reading day: the last day of the window, or of the last round's."""
    return max(question.windows_of(unit.key)[1][1] for unit in question.plan.units)


def last_day(recorded: Recorded) -> int | None:
    """The last day with a value of any unit; None without any. Days that events took out count as photographed."""
    return max((next(reversed(daily)) for daily in recorded.daily.values() if daily), default=None)  # days stand in rising order


def is_early(question: Question, recorded: Recorded) -> bool:
    """Whether the reading day has not passed and has no value yet: whatever the values say by now, it is not the time to read them.

    Where it is not known on which day the trial is read, this cannot be told.
    """
    if recorded.today is None:
        return False
    end, last = _end(question), last_day(recorded)
    return recorded.today <= end and (last is None or last < end)


def early_reason(question: Question, recorded: Recorded) -> str:
    """That the trial is not over, for one whose values would already give a finding; empty where its reading day has come.

    Read day after day as it comes to its end, a trial would have several chances to find something by luck.

    Parameters
    ----------
    question : Question
        The measure, the units and the windows.
    recorded : Recorded
        With the day on which the trial is read, where it is known.

    Returns
    -------
    str
        A sentence with the last day that has a value, and the reading day with its date.

    References
    ----------
    common_practice (keys from sources.py).
    """
    return _reason(question, recorded) if is_early(question, recorded) else ""


def _reason(question: Question, recorded: Recorded) -> str:
    end, last = _end(question), last_day(recorded)
    values = "this measure has no value yet" if last is None else f"values reach day {last} of {end}"
    if recorded.today is None or recorded.today > end:
        return f"{NOT_OVER}: {values}."
    return f"{NOT_OVER}: {values}. It is read on day {end}, {(question.plan.start + timedelta(days=end)).isoformat()}."


def values_end(question: Question, recorded: Recorded) -> int | None:
    """The last day with a value, where it lies before the reading day and nobody knows whether that day has come; else None.

    A value that was read on one day (a weight at harvest) has no end of its own.
    """
    last = last_day(recorded)
    is_open = recorded.today is None and recorded.reading_day is None and last is not None and last < _end(question)
    return last if is_open else None


def unfinished_reason(question: Question, recorded: Recorded) -> str:
    """That the trial is not over, where no unit has a value near the window's end and each arm has a unit that only waits for it.

    Near means within the 7 days that a gap may have; where it is known on which day the trial is read, up to the last day itself. A unit
    that an event took out, or that a gap spoilt before, does not wait; where an arm has no other, the trial is spoilt and not running. A
    trial of which nothing at all was recorded has not begun.

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
    if recorded.is_empty:
        return NOTHING_YET
    last, early = last_day(recorded), is_early(question, recorded)
    if last is None:
        return _reason(question, recorded) if early else ""
    if not early and last >= _end(question) - LONGEST_GAP_D:
        return ""
    waiting = {unit.arm for unit in question.plan.units if _only_waits(question, recorded, unit.key)}
    if any(arm.key not in waiting for arm in question.plan.arms if arm.role in ("reference", "changed")):
        return ""
    return _reason(question, recorded)
