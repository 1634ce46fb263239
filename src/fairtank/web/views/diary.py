"""The diary by day and tank; adding events and deviations; changing, taking back and bringing back what was entered."""

import uuid

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.records.models import Trial
from fairtank.records.planned import planned_of
from fairtank.records.selectors.diary import deviations_of, diary_page, entry_of
from fairtank.records.services.entries import entry_bring_back, entry_take_back, words_of
from fairtank.records.services.rounds import minutes_of
from fairtank.web.clock import now_of
from fairtank.web.diary_forms import KIND_WORDS, EntryForm, EventForm, effects_told, event_store
from fairtank.web.round_words import EVENTS
from fairtank.web.rounds import day_words
from fairtank.web.said import refusal_told
from fairtank.web.telling import tell
from fairtank.web.visitors import needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of


@require_safe
@needs("look")
def diary(request: HttpRequest, slug: str) -> HttpResponse:
    """All entries by day and tank, the newest first."""
    trial = trial_for(request, slug)
    planned = planned_of(trial)
    if planned is None:
        return trial_page(request, "diary/none.html", trial, "diary", {})
    units, asked = planned.order, request.GET
    unit, kind = asked.get("unit", ""), asked.get("kind", "")
    unit, kind = unit if unit in units else "", kind if kind in KIND_WORDS else ""
    page = diary_page(trial, planned.plan.start, units, unit=unit, kind=kind, before=whole_of(asked.get("before", "")))
    days = [(day, day_words(day.day, planned.plan.days, day.date), [minutes_of(one) for one in day.rounds if one.ended_at])
            for day in page.days]
    return trial_page(request, "diary/diary.html", trial, "diary", {
        "days": days, "older": page.older, "units": units, "unit": unit, "kind": kind, "kinds": KIND_WORDS.items(),
        "removed": [(name, row, words_of(row)) for name, row in page.removed], "is_first": "before" not in asked})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("record")
def add(request: HttpRequest, slug: str) -> HttpResponse:
    """An event or a deviation, with what it means for the judging."""
    trial = trial_for(request, slug)
    planned, form = planned_of(trial), EventForm.of(request.POST, now_of(request))
    if planned is None:
        return trial_page(request, "diary/none.html", trial, "diary", {})
    if request.method == "POST":
        try:
            event_store(request, trial, form)
            tell(request, _("Written down."))
            return redirect("diary", slug=trial.slug)
        except FairtankError as error:
            form.refusal = refusal_told(error)
    return trial_page(request, "diary/add.html", trial, "diary", {
        "form": form, "units": planned.order, "events": EVENTS, "effects": effects_told(),
        "entry": request.POST.get("entry") or uuid.uuid4().hex, "today": now_of(request).date()}, status=422 if form.refusal else 200)


@require_safe
@needs("look")
def deviations(request: HttpRequest, slug: str) -> HttpResponse:
    """What leaves days or tanks out of the judging, and why."""
    trial = trial_for(request, slug)
    words = {value: said for value, said, _more in effects_told()}
    found = [(event, words[event.effect]) for event in deviations_of(trial)]
    return trial_page(request, "diary/deviations.html", trial, "diary", {"found": found})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("record")
def entry(request: HttpRequest, slug: str, kind: str, number: int) -> HttpResponse:
    """One entry, to be changed or taken back."""
    trial = trial_for(request, slug)
    row, planned = entry_of(trial, kind, number), planned_of(trial)
    if row is None or planned is None:
        raise Http404(_("There is no such entry in the diary, or it was taken back."))
    form = EntryForm.of(kind, row, request.POST if request.method == "POST" else None)
    if request.method == "POST":
        try:
            return _changed(request, trial, form)
        except FairtankError as error:
            form.refusal = refusal_told(error)
    return trial_page(request, "diary/entry.html", trial, "diary", {
        "form": form, "row": row, "kind": kind, "what": words_of(row), "units": planned.order, "events": EVENTS, "effects": effects_told()},
        status=422 if form.refusal else 200)


def _changed(request: HttpRequest, trial: Trial, form: EntryForm) -> HttpResponse:
    by, reason = visitor(request).by, request.POST.get("reason", "")
    if "take_back" in request.POST:
        entry_take_back(row=form.row, field=form.kind, by=by, reason=reason)
        tell(request, _("Taken back: %(what)s.") % {"what": words_of(form.row)}, to=f"{reverse('diary', args=[trial.slug])}#taken-back",
             words=_("Undo"))
    else:
        form.store(by, reason)
        tell(request, _("Changed. What it said before is kept in the trail."))
    return redirect("diary", slug=trial.slug)


@require_POST
@needs("record")
def bring_back(request: HttpRequest, slug: str, kind: str, number: int) -> HttpResponse:
    """Bring an entry back that was taken back."""
    trial = trial_for(request, slug)
    row = entry_of(trial, kind, number, removed=True)
    if row is None:
        raise Http404(_("There is no such entry in the diary."))
    try:
        entry_bring_back(row=row, field=kind, by=visitor(request).by)
        tell(request, _("Brought back: %(what)s.") % {"what": words_of(row)})
    except FairtankError as error:
        tell(request, refusal_told(error))
    return redirect("diary", slug=trial.slug)
