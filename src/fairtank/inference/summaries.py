"""Stage 1: the series of each unit becomes one number z on the summary scale."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.inference.days import Daily, daily_medians, excluding_event, series_of, without_excluded_days
from fairtank.inference.question import Question
from fairtank.inference.rounding import settled
from fairtank.inference.scales import Scale, scale_for
from fairtank.inference.windows import FEWEST_DAYS_FOR_A_MEAN, FEWEST_DAYS_FOR_A_RUN_IN, Window, time_weighted_mean, trouble
from fairtank.trial import Event, Series, Unit, UnitSummary


@dataclass(frozen=True)
class Recorded:
    """What was recorded of one measure: daily medians by unit [natural unit] and the events.

    reading_day is the one day on which an end-point measure was read, else None. scored marks values that are people's scores.
    """

    daily: Daily
    events: tuple[Event, ...]
    reading_day: int | None
    scored: bool


def _inside(daily: dict[int, float], window: Window) -> dict[int, float]:
    return {day: value for day, value in daily.items() if window[0] <= day <= window[1]}


def recorded_of(question: Question, series: Sequence[Series], events: Sequence[Event]) -> Recorded:
    """What was recorded of the question's measure, ready for stage 1.

    It is an end-point measure (a weight at harvest) when all values of the treated window are ready-made and stand on one and the
    same day. Units without any value in the window do not speak against it (a lost plant); values taken from photos never are
    end-point measures, and a change since the run-in cannot be read from one day.

    Parameters
    ----------
    question : Question
        The measure, the units and the windows.
    series : sequence of Series
        Of all measures.
    events : sequence of Event
        Of all units.

    Returns
    -------
    Recorded

    Raises
    ------
    InputError
        If a series cannot be used.

    References
    ----------
    common_practice (keys from sources.py).
    """
    own = series_of(question.plan, question.choice.key, series)
    daily = daily_medians(own)
    seen = {day for values in daily.values() for day in _inside(values, question.treated)}
    is_end_point = question.run_in is None and len(seen) == 1 and all(one.ready_made for one in own.values())
    return Recorded(daily, tuple(events), min(seen) if is_end_point else None, any(one.scored for one in own.values()))


def used_values(question: Question, recorded: Recorded) -> tuple[float, ...]:
    """All daily values of all units inside the question's windows. [natural unit]"""
    windows = [question.treated, *([question.run_in] if question.run_in else [])]
    return tuple(value for daily in recorded.daily.values() for window in windows for value in _inside(daily, window).values())


def scale_of(question: Question, recorded: Recorded) -> Scale:
    """The question's scale, its clipping limit taken from all values of all units in the windows."""
    return scale_for(question.scale, used_values(question, recorded), question.choice.key)


def _excluded(unit: str, event: Event) -> str:
    note = f" ({event.note})" if event.note else ""
    return f"{unit} was taken out by an event on day {event.day_from}: {event.kind}{note}."


def _mean_or_trouble(values: dict[int, float], window: Window, scale: Scale, *, fewest: int, keep_gaps: bool) -> float | str:
    reason = trouble(list(values), window, fewest=fewest, keep_gaps=keep_gaps)
    return reason or time_weighted_mean([(day, scale.forward(value)) for day, value in values.items()], window)


def unit_summary(question: Question, recorded: Recorded, scale: Scale, unit: Unit, *, keep_gaps: bool = False) -> UnitSummary:
    """One unit's z: the treated window's time-weighted mean, less the run-in's where the question has one.

    Medians of a day are clipped and moved to the scale before the mean is taken. Nothing is filled in; a gap of more than
    7 days in any window spoils the unit. An end-point measure (see `recorded_of`) is its reading day's value.

    Parameters
    ----------
    question : Question
        Windows and scale.
    recorded : Recorded
        Daily medians [natural unit] and events.
    scale : Scale
        See `scale_of`.
    unit : Unit
        The unit.
    keep_gaps : bool
        Draw the line across gaps instead of letting them spoil the unit (an alternative fixed beforehand).

    Returns
    -------
    UnitSummary
        z is None when the unit is spoilt; `spoilt` then says why.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    own = without_excluded_days(unit.key, recorded.daily.get(unit.key, {}), recorded.events)
    treated = _inside(own, question.treated)
    clipped = sum(scale.is_clipped(value) for value in treated.values())

    def spoilt(reason: str) -> UnitSummary:
        return UnitSummary(unit.key, unit.arm, None, len(treated), spoilt=reason, clipped_days=clipped)

    event = excluding_event(unit.key, recorded.events)
    if event is not None:
        return spoilt(_excluded(unit.key, event))
    day = recorded.reading_day
    window = question.treated if day is None else (day, day)
    mean = _mean_or_trouble(treated, window, scale, fewest=FEWEST_DAYS_FOR_A_MEAN, keep_gaps=keep_gaps)
    if isinstance(mean, str):
        return spoilt(f"{unit.key} {mean}.")
    z = mean
    if question.run_in is not None:
        alike = _inside(own, question.run_in)
        before = _mean_or_trouble(alike, question.run_in, scale, fewest=FEWEST_DAYS_FOR_A_RUN_IN, keep_gaps=keep_gaps)
        if isinstance(before, str):
            return spoilt(f"{unit.key} {before} (run-in).")
        z = mean - before
    return settled(UnitSummary(unit.key, unit.arm, z, len(treated), None, mean, clipped))
