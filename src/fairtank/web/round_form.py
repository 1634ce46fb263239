"""A round sent as a plain form, without the page's script: every field of every tank at once."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fairtank.errors import FairtankError
from fairtank.records.folder.paths import PICTURE_LIMIT_BYTES
from fairtank.records.jobs.after_round import round_measure
from fairtank.records.models import Round, Trial
from fairtank.records.selectors.rounds import RoundSheet
from fairtank.records.services.entries import Entering, Stored
from fairtank.records.services.photos import photo_add
from fairtank.records.services.rounds import round_begin, round_end
from fairtank.web.amounts import chosen
from fairtank.web.clock import now_of
from fairtank.web.round_sending import Answer, entry_store
from fairtank.web.rounds import Outcome, UnitFields, fields_of, key_of, moment_on
from fairtank.web.said import refusal_told
from fairtank.web.visitors import visitor

MOST_NEW = 3  # further quantities of one tank that one form may bring


@dataclass
class Sent:
    """What a form brought. outcomes: by the fields' keys, what has to be looked at again; fault: of the round as a whole."""

    counts: dict[str, int] = field(default_factory=dict)
    outcomes: dict[str, Outcome] = field(default_factory=dict)
    fault: str = ""

    @property
    def is_clean(self) -> bool:
        """Whether all of it was stored."""
        return not (self.outcomes or self.fault)

    def said(self) -> str:
        """What was stored, as a sentence."""
        parts = counts_words(self.counts)
        return _("Stored: %(parts)s") % {"parts": parts} if parts else _("There was nothing to store.")


def counts_words(counts: dict[str, int]) -> str:
    """How many of each kind, as a list with a full stop; empty where there is none."""
    words = {"reading": ngettext("%(n)d reading", "%(n)d readings", counts.get("reading", 0)),
             "photo": ngettext("%(n)d photo", "%(n)d photos", counts.get("photo", 0)),
             "chore": ngettext("%(n)d chore", "%(n)d chores", counts.get("chore", 0)),
             "note": ngettext("%(n)d note", "%(n)d notes", counts.get("note", 0))}
    parts = [text % {"n": counts[kind]} for kind, text in words.items() if counts.get(kind)]
    return f"{', '.join(parts)}." if parts else ""


def form_store(request: HttpRequest, trial: Trial, sheet: RoundSheet, on: date) -> Sent:
    """Store a whole form; what is refused comes back with its reason, the rest is stored."""
    sent, form, now = Sent(), request.POST, now_of(request)
    try:
        found = round_begin(trial=trial, by=visitor(request).by, key=form.get("round", ""), day=sheet.day, today=now.date(),
                            late_reason=form.get("late", ""))
    except FairtankError as error:
        sent.fault = refusal_told(error)
        found = None
    units = fields_of(sheet)
    for unit in units:
        for key, entry in _entries(form, unit):
            if found is None:
                sent.outcomes[key] = Outcome(typed=str(entry.get("value", entry.get("note", ""))))
                continue
            entry |= {"entry": f"{found.key}-{key}-0", "unit": unit.key, "at": moment_on(on, now).isoformat()}
            _keep(sent, key, entry, entry_store(trial, visitor(request).by, found, entry, now))
        if found is not None:
            _photos(request, trial, found, unit, on, now, sent)
    if found is not None and sent.is_clean:
        found = round_end(trial=trial, by=visitor(request).by, key=found.key)
        round_measure(trial=trial, found=found, by=visitor(request).by)
    return sent


def _entries(form: QueryDict, unit: UnitFields) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each field of a tank that is not empty, as an entry."""
    for one in unit.readings:
        if value := form.get(f"reading-{one.name}", "").strip():
            yield one.key, {"kind": "reading", "quantity": one.quantity, "value": value, "unit_of_measure": one.unit_of_measure,
                            "sure": f"sure-{one.name}" in form}
    for number in range(MOST_NEW):
        name = f"{unit.number}-{number}"
        quantity, value = form.get(f"new-quantity-{name}", "").strip(), form.get(f"new-value-{name}", "").strip()
        if value:
            yield key_of("reading", unit.key, quantity), {
                "kind": "reading", "quantity": quantity, "value": value, "unit_of_measure": form.get(f"new-unit-{name}", ""),
                "sure": f"sure-new-{name}" in form}
    for tick in unit.chores:
        if f"chore-{tick.name}" in form and not tick.is_done:
            yield tick.key, {"kind": "chore", "chore": tick.chore, "due_day": tick.due_day}
    if note := form.get(f"note-{unit.number}", "").strip():
        yield unit.note_key, {"kind": "note", "note": note, "event": form.get(f"event-{unit.number}", "")}


def _keep(sent: Sent, key: str, entry: dict[str, Any], answer: Answer) -> None:
    kind, typed = str(entry["kind"]), str(entry.get("value", entry.get("note", "")))
    if answer.state == "asked":
        sent.outcomes[key] = Outcome(typed, asked=answer.said)
    elif answer.state == "refused":
        sent.outcomes[key] = Outcome(typed, fault=answer.said)
    else:
        sent.counts[kind] = sent.counts.get(kind, 0) + 1


def _photos(request: HttpRequest, trial: Trial, found: Round, unit: UnitFields, on: date, now: datetime, sent: Sent) -> None:
    files = [file for name in ("photo", "choose") for file in request.FILES.getlist(f"{name}-{unit.number}")]
    faults = []
    for file in files:
        try:
            photo_store(request, trial, found, unit=unit.key, file=file, entry=None, at=moment_on(on, now), noted=now)
            sent.counts["photo"] = sent.counts.get("photo", 0) + 1
        except FairtankError as error:
            faults.append(refusal_told(error))
    if faults:
        sent.outcomes[unit.photo_key] = Outcome(fault="\n".join(faults))


def photo_store(request: HttpRequest, trial: Trial, found: Round, *, unit: str, file: Any, entry: str | None, at: datetime, noted: datetime,
                camera_clock: bool = True, decoded_later: bool = False) -> Stored:  # fmt: skip
    """Keep one uploaded photo; an over-long one is refused before it is read. decoded_later: the page's script asks for its picture."""
    size = file.size or 0
    content = file.read(PICTURE_LIMIT_BYTES + 1) if size <= PICTURE_LIMIT_BYTES else b""
    if size > PICTURE_LIMIT_BYTES:
        raise FairtankError(_("%(name)s has %(size)d MB; accepted: a photo of at most %(most)d MB.")
                            % {"name": file.name, "size": size // 10**6, "most": PICTURE_LIMIT_BYTES // 10**6})
    who = Entering(trial, visitor(request).by, noted, entry, found)
    return photo_add(who=who, unit=unit, content=content, name=file.name or "photo", taken_at=at, camera_clock=camera_clock,
                     keep_place=chosen().keep_gps, decoded_later=decoded_later)
