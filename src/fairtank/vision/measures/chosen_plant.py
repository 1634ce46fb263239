"""Growth of one chosen plant between trims: how fast the area inside its zone grows, as a share of itself."""

import re

import numpy as np

from fairtank.registry import measure
from fairtank.trial import Event
from fairtank.vision.sequence import Moment

FEWEST_PHOTOS, SHORTEST_DAYS = 3, 4.0
_SECONDS_PER_DAY = 86400.0
_WORDS = r"trim\w*|prun\w*|uproot\w*|replant\w*|thinn\w*|harvest\w*"
_CUT_BACK = r"cut(ting)? (it |them )?(back|down|short|off)"
_CUT_PLANT = r"cut(ting)? (the |all |some )?(\w+ )?(plants?|stems?|leaf|leaves|tops?|tips?|carpet|shoots?|runners?)"
_TRIMMED = re.compile(rf"\b({_WORDS}|{_CUT_BACK}|{_CUT_PLANT})\b", re.IGNORECASE)
ONE_PLANT = (
    "The growth of a chosen plant is that of the plant area seen inside its zone: leaves of neighbours that grow into the zone count, and "
    "leaves that grow out of it, or towards the glass, do not."
)


@measure(
    key="plant_growth_rate", title="Growth rate of a chosen plant", unit="1/d", scale="identity",
    span=(-1.0, 1.0), sources=("hunt1982", "theil1950"), caution=ONE_PLANT, over="sequence", needs_zones=("plant",),
)
def plant_growth_rate(moments: tuple[Moment, ...]) -> tuple[dict[str, float], ...]:
    """Relative growth rate of the plant area inside a zone of kind `plant`, per day, between one trim and the next.

    It is the median of the slopes of log area between all pairs of photos of the interval, so that one odd photo does not
    move it. Every photo of an interval is told the interval's one rate. Events that speak of trimming end an interval. The mean over the
    unit's chosen plants stands under the empty name; it is what a trial judges.

    Parameters
    ----------
    moments : tuple of Moment
        Usable photos of one unit, in the order of time.

    Returns
    -------
    tuple of dict of str to float
        For each moment the rate by zone, and their mean under the empty name. [1/d] Empty in intervals of fewer than three photos
        or less than four days, and without a zone of kind `plant`.

    References
    ----------
    hunt1982, theil1950 (keys from sources.py).
    """
    found: list[dict[str, float]] = [{} for _ in moments]
    zones = sorted({zone for moment in moments for key, zone in moment.values if key == "plant_area" and zone})
    for interval in _intervals(moments):
        rates = []
        for zone in zones:
            grown = [number for number in interval if moments[number].values.get(("plant_area", zone), 0.0) > 0]
            days = [(moments[number].photo.taken_at - moments[0].photo.taken_at).total_seconds() / _SECONDS_PER_DAY for number in grown]
            if len(grown) < FEWEST_PHOTOS or days[-1] - days[0] < SHORTEST_DAYS:
                continue
            rate = robust_growth_rate(np.array(days), np.array([moments[number].values["plant_area", zone] for number in grown]))
            rates.append(rate)
            for number in grown:
                found[number][zone] = rate
        for number in interval:
            if found[number]:
                found[number][""] = float(np.mean(rates))
    return tuple(found)


def robust_growth_rate(days: np.ndarray, sizes: np.ndarray) -> float:
    """Relative growth rate: the median of the slopes of log size between all pairs of days.

    Parameters
    ----------
    days : array of shape (n,)
        Rising. [d]
    sizes : array of shape (n,)
        Above 0, in any one unit.

    Returns
    -------
    float
        [1/d]

    References
    ----------
    hunt1982, theil1950 (keys from sources.py).

    Examples
    --------
    >>> round(robust_growth_rate(np.array([0.0, 2.0, 4.0]), np.array([10.0, 20.0, 40.0])), 4)
    0.3466
    """
    first, second = np.triu_indices(len(days), 1)
    apart = days[second] - days[first]
    rise = np.log(sizes)[second] - np.log(sizes)[first]
    return float(np.median(rise[apart > 0] / apart[apart > 0]))


def is_trim(event: Event) -> bool:
    """Whether an event speaks of trimming plants, in its kind or its note.

    Parameters
    ----------
    event : Event

    Returns
    -------
    bool

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> from datetime import datetime
    >>> is_trim(Event((), datetime(2026, 3, 8, 19), None, 7, 7, "trimming", "stems to 12 cm"))
    True
    """
    text = f"{event.kind} {event.note}".replace("_", " ")
    return event.kind.strip().lower() in ("cut", "cutting") or bool(_TRIMMED.search(text))


def _intervals(moments: tuple[Moment, ...]) -> list[list[int]]:
    """Numbers of the moments between one trim and the next."""
    intervals: list[list[int]] = [[]]
    for number, moment in enumerate(moments):
        intervals[-1].append(number)
        if any(is_trim(event) for event in moment.events):
            intervals.append([])
    return intervals
