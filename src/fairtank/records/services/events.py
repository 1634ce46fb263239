"""Notes, events and deviations: what happened in which tanks, and what follows from it for the judging."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fairtank.records.folder.tables import EVENTS
from fairtank.records.models import Unit
from fairtank.records.services.entries import Entering, EntryError, Stored, check_open, check_when, checked_values, open_plan, plain, put

NOTE = "note"
_TIME = next(column.cell for column in EVENTS.columns if column.name == "at")


def event_add(*, who: Entering, units: Sequence[str], at: datetime, until: datetime | None = None, kind: str = NOTE, note: str = "",
              effect: str = "keep") -> Stored:  # fmt: skip
    """Store a note, an event or a deviation. units: none means all of them.

    effect: `keep` (it is told, and the days count), `exclude_window` (these days of these tanks do not count) or `exclude_unit` (these
    tanks do not count at all); the last two need a reason in the note.
    """
    planned, words = open_plan(who.trial), plain(note)
    if not words and plain(kind) in ("", NOTE):
        raise EntryError([("note", "Nothing is written yet; accepted: a few words about what happened.")])
    if effect != "keep" and not words:
        raise EntryError([("note", "A reason is missing; what leaves days or tanks out of the judging says why, in a few words.")])
    cells = {"units": _named(units), "at": _TIME.write(at), "until": _TIME.write(until) if until else "", "kind": kind, "note": words,
             "effect": effect}
    with transaction.atomic():
        check_open(who.trial)
        check_when(who, at)
        _check_units(who, units)
        values = checked_values(planned, "events", cells)
        values["units"] = tuple(dict.fromkeys(units))
        where = ", ".join(units) if units else "all tanks"
        told = f"{plain(kind) or 'event'} in {where}" + ("" if effect == "keep" else ", which leaves days out of the judging")
        return put(who, "events", values, planned.plan.start, said=f"Wrote down a {told}." if kind == NOTE else f"Wrote down: {told}.",
                   changed=f"Put right: {told}.")


def _named(units: Sequence[str]) -> str:
    """The tanks as a cell holds them; a name that cannot be told from two is left to the check of names."""
    return ";".join(units)


def _check_units(who: Entering, units: Sequence[str]) -> None:
    known = tuple(Unit.objects.filter(trial=who.trial).values_list("key", flat=True))
    wrong = [unit for unit in units if unit not in known]
    if wrong:
        raise EntryError([("units", f"{plain(wrong[0])} is not a tank of this trial; accepted: {', '.join(known)}.")])
