"""Forms of the diary: an event with what it means for the judging, and one entry of any kind to be changed."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Any

from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fairtank.records.folder.cells import number_text
from fairtank.records.models import Round, Trial
from fairtank.records.rows.door import values_of
from fairtank.records.rows.kinds import KINDS
from fairtank.records.services.entries import Entering, EntryError, Stored, entry_change
from fairtank.records.services.events import event_add
from fairtank.records.services.photos import photo_change
from fairtank.records.services.readings import amount_in
from fairtank.records.services.rounds import round_begin, round_end
from fairtank.records.services.trail import By
from fairtank.web.amounts import own_number, own_unit, reading_kept
from fairtank.web.clock import now_of
from fairtank.web.visitors import visitor

KIND_WORDS = {"photos": gettext_lazy("photos"), "readings": gettext_lazy("readings"), "events": gettext_lazy("notes and events"),
              "chores_done": gettext_lazy("chores")}


def effects_told() -> tuple[tuple[str, str, str], ...]:
    """What an event can mean for the judging: what is stored, in a few words, and what follows."""
    return (
        ("keep", _("Nothing is left out"), _("It is told in the report, and all days count. Right for whatever hit all tanks alike.")),
        ("exclude_window", _("These days do not count"),
         _("From the beginning to the end of this event the tanks named above are left out; their other days count. Right when photos or "
           "tests of these days cannot be trusted.")),
        ("exclude_unit", _("These tanks do not count at all"),
         _("All their days are left out of the judging, also those before. Right only when the tank is no fair member of the trial any "
           "more. Fewer tanks can show less.")),
    )  # fmt: skip


@dataclass
class EventForm:
    """What was typed of an event."""

    units: list[str] = field(default_factory=list)
    on: str = ""
    at: str = ""
    until: str = ""
    kind: str = "note"
    note: str = ""
    effect: str = "keep"
    late: str = ""
    refusal: str = ""

    @classmethod
    def of(cls, sent: QueryDict, now: datetime) -> "EventForm":
        """From what was sent; today where nothing was."""
        told = {name: sent[name] for name in ("at", "until", "kind", "note", "effect", "late") if name in sent}
        told["kind"] = told.get("kind", "").strip() or "note"
        return cls(sent.getlist("units"), sent.get("on", f"{now:%Y-%m-%d}"), **told)


def event_store(request: HttpRequest, trial: Trial, form: EventForm) -> Stored:
    """Store the event; one of an earlier day carries its reason."""
    now, by, entry = now_of(request), visitor(request).by, request.POST.get("entry", "")[:40]
    on = date_typed(form.on, _("the day"))
    at = datetime.combine(on, time_typed(form.at) or (now.time().replace(second=0) if on == now.date() else time(12, 0)))
    until = datetime.combine(date_typed(form.until, _("the last day")), time(23, 59)) if form.until else None
    late = late_round(trial, by, on, form.late, now, f"late-{entry[:30]}")
    who = Entering(trial, by, now, entry or None, late, form.late)
    return event_add(who=who, units=form.units, at=at, until=until, kind=form.kind, note=form.note, effect=form.effect)


def late_round(trial: Trial, by: By, on: date, reason: str, now: datetime, key: str) -> Round | None:
    """The round that carries the reason for what is entered of an earlier day; None for today."""
    if on >= now.date() or not reason.strip() or trial.start is None:
        return None
    made = round_begin(trial=trial, by=by, key=key, day=(on - trial.start).days, today=now.date(), late_reason=reason)
    return round_end(trial=trial, by=by, key=made.key)


def date_typed(text: str, what: str) -> date:
    """A date as a form sends it."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise EntryError([("at", _("%(what)s is missing or no date; accepted: a date such as 2026-03-01.") % {
            "what": what[:1].upper() + what[1:]})]) from None


def time_typed(text: str) -> time | None:
    """A time of day as a form sends it; None where it was left empty."""
    try:
        return time.fromisoformat(text.strip()).replace(tzinfo=None) if text.strip() else None
    except ValueError:
        raise EntryError([("at", _("The time of day cannot be read; accepted: a time such as 18:30."))]) from None


@dataclass
class EntryForm:
    """One entry with what its form shows: cells by column."""

    kind: str
    row: Any
    cells: dict[str, str]
    units: list[str]
    refusal: str = ""

    @classmethod
    def of(cls, kind: str, row: Any, sent: QueryDict | None) -> "EntryForm":
        """As the row says it, or as it was typed."""
        values = values_of(KINDS[kind], row)
        cells = {name: _text(value) for name, value in values.items()}
        if kind == "readings":
            cells |= {"value": own_number(row.value, row.unit_of_measure), "unit_of_measure": own_unit(row.unit_of_measure)}
        for name in ("taken_at", "at", "done_at"):
            if name in cells:
                cells["on"], cells["time"] = cells[name][:10], cells[name][11:16]
        cells["until"] = cells.get("until", "")[:10]
        units = list(row.units) if kind == "events" else [row.unit.key]
        if sent is None:
            return cls(kind, row, cells, units)
        return cls(kind, row, cells | {name: sent.get(name, "") for name in (*cells, "on", "time") if name in sent}, sent.getlist("units"))

    def store(self, by: By, reason: str) -> Any:
        """Store what was typed."""
        at = datetime.combine(date_typed(self.cells["on"], _("the day")), time_typed(self.cells["time"]) or time(12, 0))
        unit = self.units[0] if self.units else ""
        if self.kind == "photos":
            return photo_change(row=self.row, by=by, unit=unit, taken_at=at, reason=reason)
        return entry_change(row=self.row, field=self.kind, by=by, cells=self._changed(at, unit), reason=reason)

    def _kept(self) -> tuple[str, str]:
        """Value and unit in the unit of storage; to the last digit what it was where both were left as they were shown."""
        value, measured = self.cells["value"], self.cells["unit_of_measure"]
        if (value, measured) == (own_number(self.row.value, self.row.unit_of_measure), own_unit(self.row.unit_of_measure)):
            return number_text(self.row.value), self.row.unit_of_measure
        return reading_kept(value, measured)

    def _changed(self, at: datetime, unit: str) -> Mapping[str, str]:
        clock, own = KINDS[self.kind].clock, self.cells
        cells = {clock: at.isoformat(timespec="seconds")}
        if self.kind == "readings":
            typed, measured = self._kept()
            amount = amount_in(typed, measured)
            return cells | {"unit": unit, "quantity": own["quantity"], "value": number_text(amount.value), "method": own["method"],
                            "unit_of_measure": measured, "below_detection": "true" if amount.is_below else "false"}
        if self.kind == "events":
            if own["effect"] != "keep" and not own["note"].strip():
                raise EntryError([("note", _("A reason is missing; what leaves days or tanks out of the judging says why."))])
            until = f"{date_typed(own['until'], _('the last day'))}" if own["until"] else ""
            sort = own["kind"].strip() or ("note" if self.row.kind == "note" else "")
            return cells | {"units": ";".join(self.units), "until": until, "kind": sort, "note": own["note"], "effect": own["effect"]}
        return cells | {"unit": unit, "minutes": own["minutes"].replace(",", "."), "note": own["note"]}


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return number_text(value)
    return value.isoformat() if isinstance(value, datetime) else ";".join(value) if isinstance(value, tuple) else str(value)
