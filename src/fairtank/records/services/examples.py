"""Example folders: an invented trial of every design, ready to be judged, with values already measured."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from pathlib import Path

from fairtank.errors import InputError
from fairtank.records.folder import write_folder
from fairtank.simulation.trials import EXAMPLES, example_trial
from fairtank.trial import Event, Plan

# What each example is there to show, in one line.
SHOWN = {
    "side_by_side": "three tanks per arm: what a small fair trial can tell",
    "two_each": "two tanks per arm, and earlier like tanks (spread.csv) that help",
    "one_each": "one tank each: why the data alone cannot tell",
    "one_each_earlier": "one tank each, with the spread borrowed from earlier like tanks",
    "run_in": "two weeks alike first, then each tank is held against itself",
    "swap": "every tank gets both, one after the other, with a reset in between",
    "pairs": "neighbours in pairs, one of each arm on every shelf",
    "rounds": "the same two tanks again and again, the change going to and fro",
    "drawn_start": "two tanks, the lot names the tank and the day",
    "three_arms": "more than two arms, held together",
    "ladder": "a ladder of doses instead of one guess",
    "two_changes": "two changes at once, each with and without the other",
    "slope": "what builds up: how fast, not how much",
    "threshold": "how soon a level is reached",
}


@dataclass(frozen=True)
class _Happened:
    """Something that an example records in events.csv: day, last day, kind, note, effect; unit by its place, None for all of them."""

    day: int
    kind: str
    note: str
    effect: str = "keep"
    until: int | None = None
    unit: int | None = None


_WATER = "30 % in every tank, after the photos."
# Events that teach something: what is kept, what takes days out, what takes a tank out.
_HAPPENED = {
    "side_by_side": (_Happened(7, "water change", _WATER), _Happened(14, "water change", _WATER), _Happened(21, "water change", _WATER),
                     _Happened(19, "lamp timer", "The timer stood an hour late for one day; put right in the evening.", unit=3)),
    "run_in": (_Happened(14, "change starts", "The timers of the changed tanks were set to 7 h."),
               _Happened(30, "glass wiped", "By mistake, at the front; days 30 to 33 of this tank do not count.", "exclude_window", 33, 2)),
    "swap": (_Happened(28, "reset", "All glass cleaned, half of the water changed, the pumps swapped."),),
    "three_arms": (_Happened(25, "heater", "It failed; 31 °C for a day. The rule from before the start: such a tank is taken out.",
                             "exclude_unit", unit=4),),
    "threshold": (_Happened(10, "trimmed", "Floating stems taken out of every tank; the carpet was not touched."),),
}


def example_events(design: str, plan: Plan) -> tuple[Event, ...]:
    """What an example records of its days; empty for most."""
    found = []
    for one in _HAPPENED.get(design, ()):
        at = datetime.combine(plan.start + timedelta(days=one.day), time(19, 30))
        until = None if one.until is None else datetime.combine(plan.start + timedelta(days=one.until), time(19, 30))
        units = () if one.unit is None else (plan.units[one.unit].key,)
        found.append(Event(units, at, until, one.day, one.day if one.until is None else one.until, one.kind, one.note, one.effect))
    return tuple(sorted(found, key=lambda event: event.at))


def example_make(*, design: str, root: Path, seed: int | None = None) -> Plan:
    """Write an invented trial folder of a design: trial.toml, series.csv, and events.csv and spread.csv where they teach something.

    Parameters
    ----------
    design : str
        One of those that `SHOWN` names.
    root : Path
        Where the folder shall lie: nothing, or an empty folder.
    seed : int or None
        Of the lot, the tanks and the days; the same gives the same folder. None takes the example's usual one.

    Returns
    -------
    Plan
        Its title says that it is invented.

    Raises
    ------
    InputError
        If there is no example of that name, or something lies at that place.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if design not in EXAMPLES:
        raise InputError("the example", design, ", ".join(EXAMPLES), "fairtank example lists them.")
    plan, series, earlier = example_trial(design, seed)
    write_folder(root, plan, series=series, events=example_events(design, plan), spread=earlier)
    return plan
