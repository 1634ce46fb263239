"""Stage 1: the series of each unit becomes one number z on the summary scale."""

from dataclasses import dataclass, field, replace

from fairtank.finding import UnitSummary
from fairtank.inference.designs.onsets import reached_days
from fairtank.inference.question import Question
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.series.days import Daily, daily_medians, excluding_event, series_of, without_excluded_days
from fairtank.inference.series.scales import Scale, scale_for
from fairtank.inference.series.slopes import slope_or_trouble
from fairtank.inference.series.windows import (
    FEWEST_DAYS_FOR_A_MEAN,
    FEWEST_DAYS_FOR_A_RUN_IN,
    Window,
    days_later,
    time_weighted_mean,
    trouble,
)
from fairtank.trial import Event, SpreadEntry, Unit


@dataclass(frozen=True)
class Recorded:
    """What was recorded of one measure: daily medians by unit [natural unit] and the events.

    reading_day is the one day on which an end-point measure was read, else None; in a swap the day of the second period, and
    first_reading_day that of the first. Where rounds follow one another it is a day of the round. scored marks values that are people's
    scores. earlier, tank_litres, today: see `Record`. is_empty: nothing was recorded of any measure. done, scales: stage 1 and the scales
    as they were settled already, so that several comparisons of one measure settle them once; whoever changes daily starts afresh.
    """

    daily: Daily
    events: tuple[Event, ...]
    reading_day: int | None
    scored: bool
    first_reading_day: int | None = None
    earlier: tuple[SpreadEntry, ...] = ()
    tank_litres: float | None = None
    today: int | None = None
    is_empty: bool = False
    done: dict[object, tuple[UnitSummary, ...]] = field(default_factory=dict, repr=False, compare=False)
    scales: dict[str, Scale] = field(default_factory=dict, repr=False, compare=False)


def _inside(daily: dict[int, float], window: Window) -> dict[int, float]:
    return {day: value for day, value in daily.items() if window[0] <= day <= window[1]}


def recorded_of(question: Question, record: Record) -> Recorded:
    """What was recorded of the question's measure, ready for stage 1.

    It is an end-point measure (a weight at harvest) when all values of the treated window are ready-made and stand on one and the
    same day. Units without any value in the window do not speak against it (a lost plant); values taken from photos never are
    end-point measures, and a change since the run-in cannot be read from one day.

    Parameters
    ----------
    question : Question
        The measure, the units and the windows.
    record : Record
        Of the whole trial.

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
    own = series_of(question.plan, question.choice.key, record.series)
    daily = daily_medians(own)
    seen, first_seen = _days_seen(question, daily)
    is_end_point = (question.run_in is None and question.choice.summary in ("mean", "swap") and len(seen) == 1
                    and len(first_seen) == (question.first_period is not None) and all(one.ready_made for one in own.values()))
    scored = any(one.scored for one in own.values())
    found = Recorded(daily, record.events, None, scored, earlier=record.earlier, tank_litres=record.tank_litres, today=record.today,
                     is_empty=not any(one.days for one in record.series))
    return replace(found, reading_day=min(seen), first_reading_day=min(first_seen, default=None)) if is_end_point else found


def _days_seen(question: Question, daily: Daily) -> tuple[set[int], set[int]]:
    """The days with a value of any unit inside the treated window and inside a swap's first period, counted as days of the round."""
    seen: set[int] = set()
    first_seen: set[int] = set()
    for unit, values in daily.items():
        before, treated = question.windows_of(unit)
        later = days_later(question.plan, unit)
        seen |= {day - later for day in _inside(values, treated)}
        if question.first_period is not None and before is not None:
            first_seen |= {day - later for day in _inside(values, before)}
    return seen, first_seen


def used_values(question: Question, recorded: Recorded) -> tuple[float, ...]:
    """All daily values of all units inside the question's windows. [natural unit]"""
    return tuple(value for unit, daily in recorded.daily.items() for window in reversed(question.windows_of(unit)) if window is not None
                 for value in _inside(daily, window).values())


def scale_of(question: Question, recorded: Recorded) -> Scale:
    """The question's scale, its clipping limit taken from all values of all units in the windows."""
    if question.scale not in recorded.scales:
        recorded.scales[question.scale] = scale_for(question.scale, used_values(question, recorded), question.choice.key)
    return recorded.scales[question.scale]


def _excluded(unit: str, event: Event) -> str:
    kind = f": {event.kind}" if event.kind else ""
    note = f" ({event.note.strip().rstrip('.')})" if event.note else ""
    return f"{unit} was taken out by an event on day {event.day_from}{kind}{note}."


def _mean_or_trouble(values: dict[int, float], window: Window, scale: Scale, *, fewest: int, keep_gaps: bool) -> float | str:
    reason = trouble(list(values), window, fewest=fewest, keep_gaps=keep_gaps)
    return reason or time_weighted_mean([(day, scale.forward(value)) for day, value in values.items()], window)


def _at_hand(summary: str, values: dict[int, float], window: Window, scale: Scale, keep_gaps: bool) -> float | str:
    """The number of one window: a slope, else the time-weighted mean; or why there is none."""
    if summary == "slope":
        return slope_or_trouble(values, window, scale, keep_gaps=keep_gaps)
    return _mean_or_trouble(values, window, scale, fewest=FEWEST_DAYS_FOR_A_MEAN, keep_gaps=keep_gaps)


def _onset(question: Question, values: dict[int, float], window: Window, keep_gaps: bool, all_gaps: bool,
           ) -> tuple[int | None, int | None] | str:
    """Between which days the threshold was reached; gaps count up to that day only, unless all of them are to count."""
    reached = reached_days(values, question.choice.threshold or 0.0)
    until = window[1] if reached[1] is None or all_gaps else reached[1]
    looked_at = [day for day in values if day <= until]
    return trouble(looked_at, (window[0], until), fewest=1, keep_gaps=keep_gaps) or reached


def unit_summary(question: Question, recorded: Recorded, scale: Scale, unit: Unit, *, keep_gaps: bool = False, all_gaps: bool = False,
                 ) -> UnitSummary:
    """One unit's z: the treated window's time-weighted mean, less the run-in's where the question has one.

    In a swap z is the first period's mean less the second's, for a slope the slope of the treated window, for a threshold the first day
    at or above it (the last photo's where it was never reached). Medians of a day are clipped and moved to the scale before the mean is
    taken. Nothing is filled in; a gap of more than 7 days in any window spoils the unit. An end-point measure (see `recorded_of`) is its
    reading day's value.

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
    all_gaps : bool
        For a threshold: gaps spoil the unit after it was reached too (another one): else an early unit is judged on fewer photos.

    Returns
    -------
    UnitSummary
        z is None when the unit is spoilt; `spoilt` then says why.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    own = without_excluded_days(unit.key, recorded.daily.get(unit.key, {}), recorded.events)
    before_window, window = question.windows_of(unit.key)
    treated = _inside(own, window)
    alike = _inside(own, before_window) if before_window is not None else {}
    counted = {**alike, **treated} if question.first_period is not None else treated
    clipped = 0 if question.choice.summary == "threshold" else sum(scale.is_clipped(value) for value in counted.values())

    def spoilt(reason: str) -> UnitSummary:
        return UnitSummary(unit.key, unit.arm, None, len(counted), spoilt=reason, clipped_days=clipped)

    event = excluding_event(unit.key, recorded.events)
    if event is not None:
        return spoilt(_excluded(unit.key, event))
    if question.choice.summary == "threshold":
        reached = _onset(question, treated, window, keep_gaps, all_gaps)
        if isinstance(reached, str):
            return spoilt(f"{unit.key} {reached}.")
        z = float(max(treated) if reached[1] is None else reached[1])
        return UnitSummary(unit.key, unit.arm, z, len(treated), reached=reached)
    later = days_later(question.plan, unit.key)
    if recorded.reading_day is not None:
        window = (recorded.reading_day + later,) * 2
    found = _at_hand(question.choice.summary, treated, window, scale, keep_gaps)
    if isinstance(found, str):
        return spoilt(f"{unit.key} {found}{' (second period)' if question.first_period else ''}.")
    is_mean = question.choice.summary != "slope"
    level = found if is_mean else time_weighted_mean([(day, scale.forward(value)) for day, value in treated.items()], window)
    if before_window is None:
        return settled(UnitSummary(unit.key, unit.arm, found, len(treated), None, level, clipped))
    is_swap = question.first_period is not None
    if recorded.first_reading_day is not None:
        before_window = (recorded.first_reading_day,) * 2
    fewest = FEWEST_DAYS_FOR_A_MEAN if is_swap else FEWEST_DAYS_FOR_A_RUN_IN
    before = _mean_or_trouble(alike, before_window, scale, fewest=fewest, keep_gaps=keep_gaps)
    if isinstance(before, str):
        return spoilt(f"{unit.key} {before} ({'first period' if is_swap else 'run-in'}).")
    if not is_swap:
        return settled(UnitSummary(unit.key, unit.arm, found - before, len(treated), None, level, clipped))
    under_reference = before if question.plan.arm(unit.arm).role == "reference" else found
    return settled(UnitSummary(unit.key, unit.arm, before - found, len(counted), None, under_reference, clipped))
