"""What a phone or a form sends of a round, handed to the services entry by entry; one that is refused does not hold up the others."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext as _

from fairtank.errors import FairtankError, InputError
from fairtank.records.models import ChoreDone, Event, Reading, Round, Trial
from fairtank.records.services.chores import chore_done_add
from fairtank.records.services.entries import DoubtfulError, Entering, Stored, entry_take_back, plain
from fairtank.records.services.events import event_add
from fairtank.records.services.readings import reading_add
from fairtank.records.services.rounds import round_begin
from fairtank.records.services.trail import By
from fairtank.web.amounts import reading_kept
from fairtank.web.clock import now_of
from fairtank.web.rounds import value_words
from fairtank.web.said import refusal_told
from fairtank.web.visitors import visitor

MOST_ENTRIES = 500
_MODELS: dict[str, tuple[str, Any]] = {"reading": ("readings", Reading), "chore": ("chores_done", ChoreDone), "note": ("events", Event)}
_OLDEST = timedelta(days=60)  # how long a phone may have been without a connection


@dataclass(frozen=True)
class Answer:
    """What became of one entry. state: `stored`, `asked`, `refused` or `gone`; said: a sentence for its field; beside: other entries of the
    same thing, which are kept too."""

    entry: str
    state: str
    said: str = ""
    beside: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """For the page's script."""
        return {"entry": self.entry, "state": self.state, "said": self.said, "beside": list(self.beside)}


def body_of(request: HttpRequest) -> dict[str, Any]:
    """The JSON object of a request; InputError where it is none."""
    try:
        found = json.loads(request.body)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise InputError(_("what was sent"), _("no JSON object"), _("an object with `round` and `entries`"))
    entries = found.get("entries", [])
    if not isinstance(entries, list) or len(entries) > MOST_ENTRIES:  # before a round is begun for them
        raise InputError(_("the entries"), _("not usable"), _("a list of at most %(most)d") % {"most": MOST_ENTRIES})
    return found


@dataclass(frozen=True)
class PhotoSent:
    """A photo that is the whole body of a request, as its facts in the address name it; read once."""

    request: HttpRequest
    name: str
    size: int

    def read(self, most_bytes: int) -> bytes:
        """Its bytes."""
        return self.request.read(most_bytes)


def photo_of(request: HttpRequest) -> tuple[QueryDict, Any]:
    """The facts of a photo and the photo: the body of the request with its facts in the address, else a form with a file; None without one.

    The first is what the page's script sends: nothing is looked for in megabytes, and they are not written down twice.
    """
    if request.content_type == "application/octet-stream":
        size = request.META.get("CONTENT_LENGTH", "")
        size_bytes = int(size) if size.isascii() and size.isdigit() else 0
        return request.GET, PhotoSent(request, request.GET.get("name", ""), size_bytes) if size_bytes else None
    return request.POST, request.FILES.get("photo")


def round_from(request: HttpRequest, trial: Trial, sent: Mapping[str, Any]) -> Round:
    """The round to which entries belong, begun where it is new. A round counts as late against the day on which the phone began it."""
    now, begun = now_of(request), zoned_time(sent.get("begun"))
    today = now.date() if begun is None else begun.date()
    if not now.date() - _OLDEST <= today <= now.date() + timedelta(days=1):
        begun, today = None, now.date()
    day = sent.get("day")
    if type(day) is not int:
        raise InputError(_("the day of the round"), _("not there"), _("a whole number"))
    return round_begin(trial=trial, by=visitor(request).by, key=str(sent.get("key", "")), day=day, today=today,
                       begun_at=None if begun is None else begun.astimezone(UTC), late_reason=str(sent.get("late", "")))


def entries_store(request: HttpRequest, trial: Trial, found: Round, sent: list[Any]) -> list[Answer]:
    """Store what was sent, one after the other."""
    return [entry_store(trial, visitor(request).by, found, one if isinstance(one, dict) else {}, now_of(request)) for one in sent]


def entry_store(trial: Trial, by: By, found: Round | None, sent: Mapping[str, Any], now: datetime) -> Answer:
    """Store one entry and say what became of it."""
    entry = str(sent.get("entry", ""))
    try:
        if sent.get("gone") is True:
            return _gone(trial, by, entry, str(sent.get("kind", "")))
        at = clock_time(sent.get("at")) or now
        noted = clock_time(sent.get("noted")) or now
        noted = noted if now - _OLDEST <= noted <= now + timedelta(hours=26) else now
        who = Entering(trial, by, noted, entry or None, found)
        return _answer(entry, _stored(who, sent, at))
    except DoubtfulError as error:
        return Answer(entry, "asked", refusal_told(error))
    except FairtankError as error:
        return Answer(entry, "refused", refusal_told(error))


def _stored(who: Entering, sent: Mapping[str, Any], at: datetime) -> Stored:
    kind, unit = sent.get("kind"), str(sent.get("unit", ""))
    if kind == "reading":
        value, measured = reading_kept(str(sent.get("value", "")), str(sent.get("unit_of_measure", "")))
        stored = reading_add(who=who, unit=unit, quantity=str(sent.get("quantity", "")), value=value, unit_of_measure=measured,
                             method=str(sent.get("method", "")), taken_at=at, sure=sent.get("sure") is True)
    elif kind == "chore":
        due = sent.get("due_day")
        stored = chore_done_add(who=who, unit=unit, chore=str(sent.get("chore", "")), due_day=due if type(due) is int else None, done_at=at)
    elif kind == "note":
        stored = event_add(who=who, units=[unit] if unit else [], at=at, kind=str(sent.get("event", "") or "note"),
                           note=str(sent.get("note", "")))
    else:
        raise InputError(_("the kind of the entry"), str(kind)[:40], ", ".join(_MODELS))
    return stored


def _gone(trial: Trial, by: By, entry: str, kind: str) -> Answer:
    """What was typed and emptied again is taken back; it can be brought back from the diary."""
    if kind not in _MODELS:
        raise InputError(_("the kind of the entry"), kind[:40], ", ".join(_MODELS))
    field, model = _MODELS[kind]
    row = model.objects.filter(trial=trial, entry=plain(entry)).first() if entry else None
    if row is not None:
        entry_take_back(row=row, field=field, by=by)
    return Answer(entry, "gone")


def _answer(entry: str, stored: Stored) -> Answer:
    beside = tuple(_("Another entry of this day says %(value)s (%(time)s). Both are kept.") % {
        "value": value_words(row.value, row.unit_of_measure, row.below_detection), "time": f"{row.taken_at:%H:%M}"}
        if isinstance(row, Reading) else _("Somebody else has ticked this too. Both are kept.") for row in stored.beside)
    return Answer(entry, "stored", "", beside)


def clock_time(text: Any) -> datetime | None:
    """A time without a zone, as a form or a script writes it; None where it is none."""
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None, microsecond=0) if isinstance(text, str) and 16 <= len(text) <= 40 else None
    except (ValueError, OverflowError):
        return None


def zoned_time(text: Any) -> datetime | None:
    """A time with its zone; None where it is none."""
    try:
        found = datetime.fromisoformat(text) if isinstance(text, str) and len(text) <= 40 else None
        if found is None or found.tzinfo is None:
            return None
        found.astimezone(UTC)
    except (ValueError, OverflowError):
        return None
    return found
