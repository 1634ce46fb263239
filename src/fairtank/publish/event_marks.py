"""Events along the foot of the curves: a grey bar for each, with the key of the unit that it concerns where there is room."""

from collections.abc import Sequence

from fairtank.publish.charts import QUIET_INK, Spec, text_px
from fairtank.publish.numbers import shortened
from fairtank.trial import Event, Plan

Days = tuple[int, int, float]  # first and last day with a value, day at the chart's right edge

_BAR_PX, _AXIS_PX, _BETWEEN_PX, _NARROWEST_BAR_PX = 6, 44, 6, 6
LONGEST_KEYS = 24


def keys_of(plan: Plan, event: Event) -> str:
    """The keys of the units that an event concerns; empty where it concerns all of them.

    >>> from datetime import date, datetime
    >>> from fairtank.trial import Unit
    >>> plan = Plan("t", date(2026, 3, 1), 10, "side_by_side", (), (Unit("T1", "R"), Unit("T2", "C"), Unit("T3", "C")), ())
    >>> keys_of(plan, Event(("T3", "T1"), datetime(2026, 3, 2), None, 1, 1, "slip"))
    'T1, T3'
    """
    concerned = [unit.key for unit in plan.units if unit.key in event.units]
    return "" if len(concerned) == len(plan.units) else ", ".join(concerned)


def _seen(events: Sequence[Event], days: Days) -> list[Event]:
    return [event for event in events if event.day_from <= days[1] and event.day_until >= days[0]]


def _named(plan: Plan, events: Sequence[Event], days: Days) -> list[tuple[int, int, str]]:
    """(first day, last day, keys) of the bars that concern some units only, in order; bars of the same days share one name."""
    found: dict[tuple[int, int], list[str]] = {}
    for event in sorted(_seen(events, days), key=lambda event: (event.day_from, event.day_until)):
        held = found.setdefault((event.day_from, event.day_until), [])
        keys = keys_of(plan, event) or "all"
        if keys not in held:
            held.append(keys)
    return [(*span, "; ".join(keys)) for span, keys in found.items() if keys != ["all"]]


def placed(plan: Plan, events: Sequence[Event], days: Days, width_px: int) -> list[tuple[int, int, str]]:
    """The names that fit beside each other above the foot: each begins at its bar, and none runs into the next or over the edge.

    Parameters
    ----------
    plan : Plan
        For the units.
    events : sequence of Event
        All of them.
    days : (int, int, float)
        First and last day with a value, and the day at the chart's right edge.
    width_px : int
        Outer width. [px]

    Returns
    -------
    list of (int, int, str)
        First day, last day and keys.
    """
    first, _, edge = days
    px_per_day = (width_px - _AXIS_PX) / (edge - first)
    kept, taken = [], 0.0
    for begun, ended, keys in _named(plan, events, days):
        left = (max(begun, first) - 0.3 - first) * px_per_day
        right = left + len(keys) * text_px(width_px) * 0.62
        if len(keys) <= LONGEST_KEYS and left >= taken and right <= width_px - _AXIS_PX:
            kept.append((begun, ended, keys))
            taken = right + _BETWEEN_PX
    return kept


def unplaced_words(plan: Plan, events: Sequence[Event], spans: Sequence[tuple[Days, int]]) -> str:
    """The names that do not fit at every width, as half a sentence for the caption; empty where all do.

    Parameters
    ----------
    plan : Plan
        For the units.
    events : sequence of Event
        All of them.
    spans : sequence of ((int, int, float), int)
        The days and the outer width of each drawing. [px]

    Returns
    -------
    str
        Such as `day 16 to 25: T5; day 17: T2`.
    """
    missing: dict[tuple[int, int, str], None] = {}
    for days, width_px in spans:
        fits = placed(plan, events, days, width_px)
        missing.update({one: None for one in _named(plan, events, days) if one not in fits})
    return "; ".join(f"day {begun}{f' to {ended}' if ended > begun else ''}: {shortened(keys, 60)}"
                     for begun, ended, keys in sorted(missing))


def foot_px(plan: Plan, events: Sequence[Event], days: Days, width_px: int) -> int:
    """Room below the values for the bars and their names, so that no curve hides them; 0 where there is no bar."""
    if placed(plan, events, days, width_px):
        return text_px(width_px) + _BAR_PX + 4
    return _BAR_PX + 6 if _seen(events, days) else 0


def event_marks(plan: Plan, events: Sequence[Event], x: Spec, days: Days, height: int, width_px: int) -> list[Spec]:
    """The bars and their names as Vega-Lite layers.

    Parameters
    ----------
    plan : Plan
        For the units.
    events : sequence of Event
        Those outside the days are left out.
    x : dict
        The chart's day axis.
    days : (int, int, float)
        First and last day with a value, and the day at the chart's right edge.
    height, width_px : int
        Inner height and outer width. [px]

    Returns
    -------
    list of dict
        Empty without an event.
    """
    first, last, edge = days
    half = max(0.3, _NARROWEST_BAR_PX / 2 * (edge - first) / (width_px - _AXIS_PX))
    rows = [{"day": max(event.day_from, first) - half, "until": min(event.day_until, last) + half} for event in _seen(events, days)]
    if not rows:
        return []
    layers: list[Spec] = [{"data": {"values": rows}, "mark": {"type": "rect", "color": QUIET_INK},
                           "encoding": {"x": x, "x2": {"field": "until"}, "y": {"value": height - _BAR_PX}, "y2": {"value": height}}}]
    names = [{"day": max(begun, first) - 0.3, "t": keys} for begun, _, keys in placed(plan, events, days, width_px)]
    if names:
        layers.append({"data": {"values": names},
                       "mark": {"type": "text", "align": "left", "baseline": "middle", "color": QUIET_INK},
                       "encoding": {"x": x, "y": {"value": height - _BAR_PX - text_px(width_px) / 2 - 1},
                                    "text": {"field": "t", "type": "nominal"}}})
    return layers
