"""Planned looks: a trial read before its end at a look's own share of the 5 %, stopped early, or not stopped at all.

Every share is spent by its own look alone and all of them together are at most 5 %, so that the promise holds however the looks hang
together. A look on any other day has no share, and hence no interval.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.finding import Finding, Look
from fairtank.inference import grades
from fairtank.inference.question import alpha_of
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.unfinished import NOT_OVER
from fairtank.inference.unjudged import unjudged
from fairtank.trial import Looks, MeasureChoice, Plan, Series

STOP_KINDS = ("stop", "stopped")
STOPPED_EARLY = "stopped early"
LOOKS_LEFT = "looks_left"  # the fact that only a finding of a trial that goes on has
Comparing = Callable[[Plan, MeasureChoice, Record], tuple[Finding, ...]]


@dataclass(frozen=True)
class Moment:
    """As of when a trial is read.

    look: the number of the planned look, from 1; 0 for the trial's end. stopped_on: the day on which the trial was stopped before its
    reading day, None where it was not; with look 0 there was no look by then, and the trial is spoilt.
    """

    look: int = 0
    stopped_on: int | None = None


AT_THE_END = Moment()


def stop_day(record: Record) -> int | None:
    """The first day on which an event of the kind `stop` ends the whole trial: one that names no unit."""
    days = [event.day_from for event in record.events if not event.units and event.kind.strip().casefold() in STOP_KINDS]
    return min(days, default=None)


def reading_day(plan: Plan, choice: MeasureChoice) -> int:
    """The day on which the measure's last value is due: the end of its window, or of the last round."""
    if plan.kind == "rounds":
        return plan.round_days * len({unit.round for unit in plan.units}) - 1 if plan.round_days else plan.days
    return (choice.window or (0, plan.days))[1]


def moment_of(plan: Plan, primary: MeasureChoice, record: Record, day: int | None = None) -> Moment:
    """As of when the trial is to be read: its end, the look that was asked for, or the last look before it was stopped.

    Parameters
    ----------
    plan : Plan
        With its looks, if any were planned.
    primary : MeasureChoice
        The primary measure, to which the looks belong.
    record : Record
        An event of the kind `stop` (or `stopped`) without units ends the trial on its first day.
    day : int or None
        The planned look that is asked for; None reads what there is. [days]

    Returns
    -------
    Moment

    Raises
    ------
    DesignError
        If the day is not a planned look, or the looks cannot be used.

    References
    ----------
    arithmetic (keys from sources.py): shares that add up to at most 0.05 bound the chance that any look errs.
    """
    alpha_of(plan)  # refuses a budget that cannot be used
    days = plan.looks.days
    if any(later <= earlier for earlier, later in pairwise(days)):
        raise DesignError("The planned looks are not in rising order of day. Correct the looks in the plan.")
    if day is not None and day not in days:
        listed = " and ".join(part for part in (", ".join(f"{one}" for one in days[:-1]), f"{days[-1] if days else ''}") if part)
        once = f"the plan has none, and the trial is read once, on day {reading_day(plan, primary)}"
        planned = f"planned are day {listed}" if days else once
        then = next((one for one in days if one > day), days[-1] if days else reading_day(plan, primary))
        raise DesignError(f"Day {day} is not a planned look; {planned}. Read it on day {then}. On other days the charts show no interval, "
                          "and looking changes nothing.")
    stopped = stop_day(record)
    asked = len(days) if day is None else days.index(day) + 1
    if stopped is not None and stopped < reading_day(plan, primary) and (day is None or stopped < day):
        return Moment(sum(one <= stopped for one in days), stopped)
    return Moment(asked) if asked < len(days) else AT_THE_END


def series_until(series: Series, day: int) -> Series:
    """The series up to that day.

    Parameters
    ----------
    series : Series
    day : int

    Returns
    -------
    Series

    References
    ----------
    common_practice (keys from sources.py).
    """
    keep = [place for place, one in enumerate(series.days) if one <= day]
    return replace(
        series, days=tuple(series.days[place] for place in keep), values=tuple(series.values[place] for place in keep),
        ses=tuple(series.ses[place] for place in keep) if series.ses else (),
        below=tuple(series.below[place] for place in keep) if series.below else (),
    )


def up_to(record: Record, day: int) -> Record:
    """What was recorded by the end of that day: later values are not seen, nor are events that began later."""
    return replace(record, series=tuple(series_until(one, day) for one in record.series),
                   events=tuple(event for event in record.events if event.day_from <= day))


def as_of(plan: Plan, choice: MeasureChoice, record: Record, look: int) -> tuple[Plan, MeasureChoice, Record]:
    """The plan, the measure and the record as they stand at a planned look: its day ends the window, its share is all there is to spend.

    Of rounds that follow one another those that are over by then count.

    Parameters
    ----------
    plan, choice, record : Plan, MeasureChoice, Record
        As they are for the whole trial.
    look : int
        Number of the planned look, from 1.

    Returns
    -------
    tuple of (Plan, MeasureChoice, Record)

    Raises
    ------
    DesignError
        If nothing that counts lies before that day.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    day, share = plan.looks.days[look - 1], plan.looks.budget[look - 1]
    cut = replace(plan, looks=Looks((day,), (share,)))
    if plan.kind == "rounds":
        order = list(dict.fromkeys(unit.round for unit in plan.units))
        over = order[: (day + 1) // plan.round_days] if plan.round_days else []
        if not over:
            raise DesignError(f"No round is over by day {day}.")
        later = {unit.key for unit in plan.units if unit.round not in over}
        seen = up_to(replace(record, series=tuple(one for one in record.series if one.unit not in later)), day)
        return replace(cut, units=tuple(unit for unit in plan.units if unit.key not in later)), choice, seen
    first, last = choice.window or (0, plan.days)
    if first > day:
        raise DesignError(f"The window of {choice.key} begins on day {first}, after day {day}.")
    return cut, replace(choice, window=(first, min(last, day))), up_to(record, day)


def _at(plan: Plan, choice: MeasureChoice, record: Record, look: int, judged: Comparing) -> tuple[Finding, ...]:
    """The findings at a planned look; none where the design has nothing to compare by then."""
    try:
        return judged(*as_of(plan, choice, record, look))
    except (DesignError, NotEnoughDataError):
        return ()


def goes_on(finding: Finding) -> bool:
    """Whether the finding is that of a look at a trial that goes on, so that it may still change."""
    return LOOKS_LEFT in dict(finding.facts)


def _with_earlier(found: tuple[Finding, ...], plan: Plan, choice: MeasureChoice, record: Record, before: int,
                  judged: Comparing) -> tuple[Finding, ...]:
    """The findings with what each of the looks before said."""
    told: dict[tuple[str, str], list[Look]] = {_arms(one): [] for one in found}
    for look in range(1, before):
        for one in _at(plan, choice, record, look, judged):
            told.get(_arms(one), []).append(
                Look(plan.looks.days[look - 1], one.level, one.estimate, one.low, one.high, one.p_value, one.grade, one.natural))
    return tuple(settled(replace(one, looks=tuple(told[_arms(one)]))) for one in found)


def _arms(finding: Finding) -> tuple[str, str]:
    """Which comparison a finding is, where a measure has several."""
    return finding.reference_arm, finding.changed_arm


def _percent(share: float) -> str:
    return f"{100 * share:.3g} %"


def _which(plan: Plan, look: int) -> str:
    return (f"planned look {look} of {len(plan.looks.days)}, on day {plan.looks.days[look - 1]}, read at its own share of the 5 % "
            f"({_percent(plan.looks.budget[look - 1])})")


def _going_on(plan: Plan, look: int) -> tuple[str, tuple[tuple[str, float], ...]]:
    """That the trial goes on and what its other looks may spend, as a sentence and as facts."""
    left, shares = plan.looks.days[look:], plan.looks.budget[look:]
    to_come = (f"The look still to come, on day {left[0]}, may spend" if len(left) == 1 else
               f"The {len(left)} looks still to come, the next on day {left[0]}, may spend")
    facts = (("look", float(look)), ("looks_planned", float(len(plan.looks.days))), ("look_day", float(plan.looks.days[look - 1])),
             ("next_look_day", float(left[0])), (LOOKS_LEFT, float(len(left))), ("share_left", sum(shares)))
    return f"The trial goes on: this is {_which(plan, look)}. {to_come} {_percent(sum(shares))}.", facts


def _running(found: tuple[Finding, ...], plan: Plan, look: int) -> tuple[Finding, ...]:
    """The findings of a look at a trial that goes on."""
    sentence, facts = _going_on(plan, look)
    return tuple(replace(one, cautions=(*one.cautions, sentence), facts=(*one.facts, *facts)) for one in found)


def _last_day(choice: MeasureChoice, record: Record) -> int:
    """The last day with a value of the measure; -1 without any."""
    return max((day for one in record.series if one.measure == choice.key for day in one.days), default=-1)


def _is_waiting(found: tuple[Finding, ...]) -> bool:
    return bool(found) and all(one.spoilt_reason.startswith(NOT_OVER) for one in found)


def primary_at(plan: Plan, choice: MeasureChoice, record: Record, moment: Moment, judged: Comparing) -> tuple[Finding, ...]:
    """The primary measure's findings as of a moment, each with what the planned looks before it said.

    A trial that is not over is told as of the last planned look that its values reach.

    Parameters
    ----------
    plan, choice, record : Plan, MeasureChoice, Record
        Of the whole trial.
    moment : Moment
        See `moment_of`.
    judged : function
        Judges one measure: `judging.comparisons`.

    Returns
    -------
    tuple of Finding

    Raises
    ------
    DesignError
        If the measure cannot be judged at that moment.
    InputError
        If a series cannot be used.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    if moment.stopped_on is not None:
        return _stopped(plan, choice, record, moment, judged)
    if moment.look:
        day, reached = plan.looks.days[moment.look - 1], _last_day(choice, record)
        if 0 <= reached < day and (record.today is None or record.today <= day):
            return (unjudged(plan, choice, f"{NOT_OVER}: values reach day {reached}, the look is on day {day}"),)
        found = _running(judged(*as_of(plan, choice, record, moment.look)), plan, moment.look)
        return _with_earlier(found, plan, choice, record, moment.look, judged)
    whole = judged(plan, choice, record)
    if not _is_waiting(whole):
        return _with_earlier(whole, plan, choice, record, len(plan.looks.days), judged)
    for look in range(len(plan.looks.days) - 1, 0, -1):
        found = _at(plan, choice, record, look, judged) if plan.looks.days[look - 1] <= _last_day(choice, record) else ()
        if any(one.grade != "spoilt" for one in found):
            return _with_earlier(_running(found, plan, look), plan, choice, record, look, judged)
    return whole


def _stopped(plan: Plan, choice: MeasureChoice, record: Record, moment: Moment, judged: Comparing) -> tuple[Finding, ...]:
    """The finding of the last look before the stop, frozen; spoilt where there was none."""
    who = "it" if choice.role == "primary" else "the trial"
    begun = f"{who} was stopped on day {moment.stopped_on}, before its reading day (day {reading_day(plan, choice)}), and"
    if not moment.look:
        return _without_look(plan, choice, moment, f"{begun} no look was planned by then")
    found = _frozen(_at(plan, choice, record, moment.look, judged), plan, moment)
    if not found:
        judged(plan, choice, record)  # a plan that cannot be judged at all says so itself
        return _without_look(plan, choice, moment, f"{begun} at the look on day {plan.looks.days[moment.look - 1]} there was nothing to "
                                                   "compare yet")
    return _with_earlier(found, plan, choice, record, moment.look, judged) if choice.role == "primary" else found


def _without_look(plan: Plan, choice: MeasureChoice, moment: Moment, reason: str) -> tuple[Finding, ...]:
    return (replace(unjudged(plan, choice, reason), facts=(("stopped_on", float(moment.stopped_on or 0)),), design=plan.kind),)


def _frozen(found: tuple[Finding, ...], plan: Plan, moment: Moment) -> tuple[Finding, ...]:
    """The findings of a look with the tag and the caution of a trial that was stopped."""
    sentence = (f"The trial was stopped on day {moment.stopped_on}. This is {_which(plan, moment.look)}; what came after it does not "
                "count.")
    facts = (("look", float(moment.look)), ("looks_planned", float(len(plan.looks.days))),
             ("look_day", float(plan.looks.days[moment.look - 1])), ("stopped_on", float(moment.stopped_on or 0)))
    return tuple(replace(one, tags=grades.in_order({*one.tags, STOPPED_EARLY}), cautions=(*one.cautions, sentence),
                         facts=(*one.facts, *facts)) for one in found)


def secondary_at(plan: Plan, choice: MeasureChoice, record: Record, moment: Moment, judged: Comparing) -> tuple[Finding, ...]:
    """A secondary measure's findings as of a moment: it is read once, at the end or where the trial was stopped.

    At the end it is read at 5 %, since no look before could stop the trial on its account; after a stop at the share of the look.

    Parameters
    ----------
    plan, choice, record, moment, judged
        As for `primary_at`.

    Returns
    -------
    tuple of Finding

    Raises
    ------
    DesignError
        If the measure cannot be judged.
    InputError
        If a series cannot be used.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    last, once = reading_day(plan, choice), replace(plan, looks=Looks())
    if moment == AT_THE_END:
        return judged(once, choice, record)
    if moment.stopped_on is not None:
        # A measure whose last day had come by the stop is whole; after a look it is read at that look's share all the same.
        if last <= (plan.looks.days[moment.look - 1] if moment.look else moment.stopped_on):
            return judged(*as_of(plan, choice, record, moment.look)) if moment.look else judged(once, choice, record)
        return _stopped(plan, choice, record, moment, judged)
    day = plan.looks.days[moment.look - 1]
    if last <= day:
        return judged(once, choice, up_to(record, day))
    return (unjudged(plan, choice, f"{NOT_OVER}: this measure is read at the end, on day {last}"),)
