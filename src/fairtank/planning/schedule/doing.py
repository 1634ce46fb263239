"""Which tasks were done in which units, by the rows of chores.csv, by photos (a photo chore), by readings (a test) and by events that
are called like a sort of chore (a water change).

A row that names the day for which it was due belongs to that day. Everything else belongs to the last day on or before it for which the
chore was planned: a test that was planned for Sunday and read on Monday is Sunday's.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

from fairtank.chore import CHORE_KINDS, Chore, ChoreDone, Slip
from fairtank.trial import Event, Photo, Reading

# Readings of one quantity under the names that keepers write.
_SAME = ({"ec", "conductivity"}, {"temp", "temperature", "temp_c"}, {"no3", "nitrate"}, {"po4", "phosphate"}, {"no2", "nitrite"},
         {"nh4", "ammonium", "tan"}, {"ppfd", "light_at_bed"}, {"o2", "oxygen"})

_TOLD = CHORE_KINDS[:-1]  # "other" says nothing of what it was
_NEVER = 1 << 60


@dataclass(frozen=True)
class Doings:
    """What was done: by chore's key and unit, rows as (day for which it was due or None, day); photos by unit and readings by unit, as
    days with the quantity of each; events by their kind and unit, as days. A unit of "" stands for all."""

    rows: dict[tuple[str, str], list[tuple[int | None, int]]] = field(default_factory=dict, hash=False)
    photo_days: dict[str, tuple[int, ...]] = field(default_factory=dict, hash=False)
    readings: dict[str, tuple[tuple[int, str], ...]] = field(default_factory=dict, hash=False)
    events: dict[tuple[str, str], tuple[int, ...]] = field(default_factory=dict, hash=False)

    def units_done(self, chore: Chore, units: Sequence[str], day: int, following: int | None) -> tuple[str, ...]:
        """The units in which a chore's task was done.

        Parameters
        ----------
        chore : Chore
            What was to be done.
        units : sequence of str
            Where.
        day : int
            The task's day.
        following : int or None
            The day of the chore's next task; None after the last.
        """
        until = _NEVER if following is None else following
        has_events = bool(self.events) and chore.kind in _TOLD
        if has_events and self._is_told(chore.kind, "", day, until):
            return tuple(units)
        return tuple(unit for unit in units
                     if self._is_done(chore, unit, day, until) or (has_events and self._is_told(chore.kind, unit, day, until)))

    def is_begun(self, chore: Chore, units: Sequence[str], day: int, following: int | None, slip: Slip) -> bool:
        """Whether a task was done, in one unit at least, before a slip could move it.

        A doing of a day that the slip leaves free (from its first day until it moves the first task there) is of the days before it; one
        of a later day belongs to what the slip moved there.
        """
        free_until = slip.day + slip.by_days
        return any(on < free_until if day < free_until else on < slip.day
                   for unit in units for on in self._days(chore, unit, day, following))

    def _is_done(self, chore: Chore, unit: str, day: int, until: int) -> bool:
        """Whether rows, photos or readings show a task; a shelf asks it thousands of times, and has no need of what `_days` gathers."""
        for due, on in self.rows.get((chore.key, unit), ()):
            if due == day or (due is None and day <= on < until):
                return True
        if chore.kind not in ("photo", "test"):
            return False
        days = self._recorded(chore, unit)
        place = bisect_left(days, day)
        return place < len(days) and days[place] < until

    def _is_told(self, kind: str, unit: str, day: int, until: int) -> bool:
        return any(day <= on < until for on in self.events.get((kind, unit), ()))

    def _days(self, chore: Chore, unit: str, day: int, following: int | None) -> list[int]:
        """The days on which a task was done in a unit."""
        def within(on: int) -> bool:
            return on >= day and (following is None or on < following)

        found = [on for due, on in self.rows.get((chore.key, unit), ()) if due == day or (due is None and within(on))]
        if chore.kind in ("photo", "test"):
            days = self._recorded(chore, unit)
            found += days[bisect_left(days, day): len(days) if following is None else bisect_left(days, following)]
        if chore.kind in _TOLD and self.events:
            found += [on for where in (unit, "") for on in self.events.get((chore.kind, where), ()) if within(on)]
        return found

    @cached_property
    def _kept(self) -> dict[tuple[str, str, str], list[int]]:
        """What `_recorded` gathered: it is asked for every task of a chore."""
        return {}

    def _recorded(self, chore: Chore, unit: str) -> list[int]:
        """The days, ascending, with a photo or with a reading that the chore asks for."""
        key = (chore.kind, unit, chore.quantity)
        if key not in self._kept:
            days = self.photo_days.get(unit, ()) if chore.kind == "photo" else (
                on for on, quantity in self.readings.get(unit, ()) if is_quantity(quantity, chore.quantity))
            self._kept[key] = sorted(days)
        return self._kept[key]


def doings_of(chores_done: Sequence[ChoreDone], photos: Sequence[Photo], readings: Sequence[Reading],
              events: Sequence[Event] = ()) -> Doings:
    """What was done, ready to be asked task by task."""
    rows: dict[tuple[str, str], list[tuple[int | None, int]]] = {}
    for done in chores_done:
        if done.chore:
            rows.setdefault((done.chore, done.unit), []).append((done.due_day, done.day))
    photo_days: dict[str, set[int]] = {}
    for photo in photos:
        photo_days.setdefault(photo.unit, set()).add(photo.day)
    read: dict[str, set[tuple[int, str]]] = {}
    for reading in readings:
        read.setdefault(reading.unit, set()).add((reading.day, reading.quantity))
    told: dict[tuple[str, str], set[int]] = {}
    for event in events:
        kind = event.kind.strip().casefold().replace(" ", "_").replace("-", "_")
        for unit in event.units or ("",):
            told.setdefault((kind, unit), set()).add(event.day_from)
    return Doings(rows, {unit: tuple(sorted(days)) for unit, days in photo_days.items()},
                  {unit: tuple(sorted(found)) for unit, found in read.items()}, {key: tuple(sorted(days)) for key, days in told.items()})


@lru_cache(maxsize=4096)
def is_quantity(read: str, wanted: str) -> bool:
    """Whether a reading is of the quantity that a test asks for; a test that names none is done by any reading.

    A test may ask for several, parted by commas: one of them is enough.

    >>> is_quantity("NO3", "nitrate"), is_quantity("kh", "KH, GH"), is_quantity("pH", "nitrate"), is_quantity("pH", "")
    (True, True, False, True)
    """
    if not wanted.strip():
        return True
    word = read.strip().casefold()
    asked = {part.strip().casefold() for part in wanted.split(",")}
    return word in asked or any(word in same and asked & same for same in _SAME)
