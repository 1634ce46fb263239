"""What the diary tells beside the photos: trims, water changes, other events, and the day on which the change starts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fairtank.publish.curves import change_day
from fairtank.publish.film.content import FilmContent
from fairtank.publish.film.timeline import Shot, Timeline
from fairtank.publish.numbers import in_a_row, shortened
from fairtank.publish.span import is_inside
from fairtank.trial import Plan

# How long a note stays, unless the next one comes. [s]
NOTE_S = 2.0
TOLD_CHORES = {"water_change": "water change", "trim": "trim", "clean": "cleaning"}
_LONGEST_KIND = 40


@dataclass(frozen=True)
class Note:
    """One line of the diary: the day of the trial and what happened, in words."""

    day: int
    text: str


def notes_of(content: FilmContent, names: Mapping[str, str]) -> tuple[Note, ...]:
    """What is told, a note for each day on which anything happened, ascending.

    Parameters
    ----------
    content : FilmContent
    names : mapping
        What each unit shown is called.

    Returns
    -------
    tuple of Note
    """
    plan, told = content.plan, {}
    start = change_day(plan)
    if start is not None:
        told[start] = ["the tanks change places" if plan.kind == "swap" else "the change starts"]
    happened: dict[tuple[int, str], set[str]] = {}
    every = {unit.key for unit in plan.units}
    for event in content.events:
        happened.setdefault((max(event.day_from, 0), event.kind.strip()), set()).update(event.units or every)
    for done in content.chores_done:
        if done.kind in TOLD_CHORES:
            happened.setdefault((done.day, TOLD_CHORES[done.kind]), set()).add(done.unit)
    for (day, kind), units in sorted(happened.items(), key=lambda one: one[0]):
        if is_inside(plan, day) and units & set(names):
            told.setdefault(day, []).append(f"{shortened(kind, _LONGEST_KIND)}{_where(plan, units, names)}")
    return tuple(Note(day, "; ".join(dict.fromkeys(texts))) for day, texts in sorted(told.items()))


def _where(plan: Plan, units: set[str], names: Mapping[str, str]) -> str:
    """The tanks in brackets, where it was not all of them."""
    if units >= {unit.key for unit in plan.units}:
        return ""
    called = [names[key] for key in names if key in units and names[key]]
    return f" ({in_a_row(called)})" if called else ""


def note_in(timeline: Timeline, notes: Sequence[Note], shot: Shot) -> str:
    """What stands below the photos during a shot; empty where nothing does.

    Parameters
    ----------
    timeline : Timeline
    notes : sequence of Note
        Ascending.
    shot : Shot

    Returns
    -------
    str
        Such as `Day 6: water change`.
    """
    if shot.kind not in ("hold", "day", "gap"):
        return ""
    now = timeline.seconds_of(shot)
    lately = [note for note in notes if timeline.seconds_of_day(note.day) <= now < timeline.seconds_of_day(note.day) + NOTE_S]
    return f"Day {lately[-1].day}: {lately[-1].text}" if lately else ""
