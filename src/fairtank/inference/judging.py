"""The two doors of this room: one measure compared, or a whole trial judged."""

from collections.abc import Sequence
from dataclasses import replace

from fairtank import registry
from fairtank.errors import DesignError, NotEnoughDataError
from fairtank.finding import Finding
from fairtank.inference.eyes import instruments
from fairtank.inference.intervals.holm import holm
from fairtank.inference.looks import Moment, moment_of, primary_at, secondary_at
from fairtank.inference.record import Record
from fairtank.inference.rounding import settled
from fairtank.inference.settling import settling_of
from fairtank.inference.unjudged import unjudged
from fairtank.trial import Event, MeasureChoice, Plan, Series, SpreadEntry


def comparisons(plan: Plan, choice: MeasureChoice, record: Record) -> tuple[Finding, ...]:
    """The findings for one measure of a trial, one for each comparison that its design asks for: one with two arms, else several.

    The analysis that fits the plan's design is looked up in the registry. A secondary measure compared by this function
    stands alone; `judge` holds all of them together against the chance that one of many differs by luck.

    Parameters
    ----------
    plan : Plan
        The frozen plan.
    choice : MeasureChoice
        What the plan says about the measure.
    record : Record
        What was recorded. Events with the effect `exclude_window` or `exclude_unit` take days or units out.

    Returns
    -------
    tuple of Finding
        estimate, low and high on the summary scale, changed minus reference.

    Raises
    ------
    DesignError
        If this version cannot judge the design or the summary, or the plan cannot carry it.
    InputError
        If a series cannot be used, or a value does not fit the scale.

    References
    ----------
    matthews1990, welch1947, fisher1935 (keys from sources.py).
    """
    known = registry.entries("analysis")
    for entry in known:
        if plan.kind in entry.designs:
            return instruments.judged(entry.function, plan, choice, record)
    kinds = ", ".join(kind for entry in known for kind in entry.designs)
    raise DesignError(f"The design of this trial is {plan.kind}; this version judges {kinds}. The record is kept and can be judged later.")


def compare(
    plan: Plan, choice: MeasureChoice, series: Sequence[Series], events: Sequence[Event] = (), *, earlier: Sequence[SpreadEntry] = (),
    tank_litres: float | None = None,
) -> Finding:
    """The one finding for one measure of a trial with one comparison: see `comparisons`.

    Parameters
    ----------
    plan, choice : Plan, MeasureChoice
        The frozen plan, and what it says about the measure.
    series : sequence of Series
        Of any measures; one per unit of this measure is used. [natural unit of the measure]
    events : sequence of Event
        Of all units.
    earlier : sequence of SpreadEntry
        Like-tank spread of earlier trials, oldest first.
    tank_litres : float or None
        Water of one unit. [L]

    Returns
    -------
    Finding

    Raises
    ------
    DesignError
        If the design asks for several comparisons; and see `comparisons`.
    InputError
        See `comparisons`.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    found = comparisons(plan, choice, Record(tuple(series), tuple(events), tuple(earlier), tank_litres))
    if len(found) != 1:
        raise DesignError(f"This plan asks for {len(found)} comparisons of {choice.key}, not for one. Use `comparisons`, or `judge`.")
    return _with_settling(found[0])


def _with_settling(finding: Finding) -> Finding:
    """The finding with what would settle it; last of all, since looks and people's eyes may still change the grade."""
    return settled(replace(finding, settling=settling_of(finding)))


def _compared(plan: Plan, choice: MeasureChoice, record: Record, moment: Moment) -> tuple[Finding, ...]:
    """A secondary measure's findings; one that cannot be judged says why and does not hold up the others."""
    try:
        return secondary_at(plan, choice, record, moment, comparisons)
    except (DesignError, NotEnoughDataError) as error:
        return (unjudged(plan, choice, str(error)),)


def _with_holm(finding: Finding, adjusted: float, family: int) -> Finding:
    """A secondary measure with its adjusted p in a family of that size: what luck among several could bring is not claimed.

    The alternatives' grades stay those of the measure alone; where only the adjustment took the claim back they say nothing against `open`.
    """
    sources = (*finding.sources, "holm1979")
    if finding.grade != "differs" or adjusted <= 1 - finding.level + 1e-12:
        return settled(replace(finding, holm_p=adjusted, family=family, sources=sources))
    tags = tuple(tag for tag in finding.tags if tag != "fragile")
    return settled(replace(finding, holm_p=adjusted, family=family, grade="open", tags=tags, sources=sources))


def judge(
    plan: Plan, series: Sequence[Series], events: Sequence[Event] = (), *, earlier: Sequence[SpreadEntry] = (),
    tank_litres: float | None = None, day: int | None = None, today: int | None = None,
) -> tuple[Finding, ...]:
    """The findings of a whole trial: the primary measure first, then the secondary ones in the plan's order.

    The primary measure stands on its own. The secondary ones are one family: their p-values are adjusted together (Holm), and
    `differs` is kept only where the adjusted p allows it. One that cannot be judged becomes a spoilt finding and still counts
    (p = 1). Their intervals, alternatives and the tag `fragile` speak of each measure one at a time; a claim that the adjustment
    takes back is not called fragile.

    Planned looks belong to the primary measure: a trial that is not over is told as of the last look that its values reach, one that was
    stopped as of the last look before the stop. The secondary measures are read at the end or at the stop.

    Parameters
    ----------
    plan : Plan
        The frozen plan, with one primary measure.
    series : sequence of Series
        Of all measures. [natural units]
    events : sequence of Event
        Of all units.
    earlier : sequence of SpreadEntry
        Like-tank spread of earlier trials, oldest first: asked where an arm has two units or fewer, if the plan allows it.
    tank_litres : float or None
        Water of one unit, so that only like tanks are asked. [L]
    day : int or None
        A planned look: the trial as of that day, later values unseen. None: what there is. [days]
    today : int or None
        The number of the day on which the trial is read, counted from its start. Up to the end of its window a measure without a value on
        the last day is not over, whatever its values say by then. None: not known; a finding whose values end early then says so. [days]

    Returns
    -------
    tuple of Finding

    Raises
    ------
    DesignError
        If the plan does not name exactly one primary measure, that one cannot be judged (see `comparisons`), or the day is no planned
        look.
    InputError
        See `comparisons`.

    References
    ----------
    matthews1990, welch1947, holm1979 (keys from sources.py).
    """
    primary = [choice for choice in plan.measures if choice.role == "primary"]
    if len(primary) != 1:
        raise DesignError(f"The plan names {len(primary)} primary measures; it needs exactly one, chosen before the start.")
    record = Record(tuple(series), tuple(events), tuple(earlier), tank_litres, today)
    moment = moment_of(plan, primary[0], record, day)
    first = tuple(map(_with_settling, primary_at(plan, primary[0], record, moment, comparisons)))
    secondary = [finding for choice in plan.measures if choice.role == "secondary" for finding in _compared(plan, choice, record, moment)]
    adjusted = holm([finding.p_value for finding in secondary])
    return *first, *(_with_holm(finding, p, len(secondary)) for finding, p in zip(secondary, adjusted, strict=True))
