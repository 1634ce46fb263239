"""Everything that was recorded of a trial and that its judging may look at."""

from dataclasses import dataclass

from fairtank.trial import Event, Series, SpreadEntry


@dataclass(frozen=True)
class Record:
    """What an analysis is handed beside the plan.

    series: of all measures. events: of all units. earlier: entries of like-tank spread from earlier trials, oldest first. tank_litres:
    water of one unit, None where it is not known. today: the number of the day on which the trial is read, counted from its start; None
    where it is not known.
    """

    series: tuple[Series, ...]
    events: tuple[Event, ...] = ()
    earlier: tuple[SpreadEntry, ...] = ()
    tank_litres: float | None = None
    today: int | None = None
