"""The round: one visit to all tanks, on the phone at the tank side."""

import uuid
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from fairtank.errors import FairtankError, InputError, PhotoError
from fairtank.records.jobs.after_round import round_measure
from fairtank.records.models import Trial
from fairtank.records.selectors.rounds import RoundSheet, counts_of, round_sheet
from fairtank.records.services.entries import EntryError
from fairtank.records.services.rounds import minutes_of, round_end
from fairtank.web.clock import now_of
from fairtank.web.round_form import Sent, counts_words, form_store, photo_store
from fairtank.web.round_sending import body_of, clock_time, entries_store, photo_of, round_from, zoned_time
from fairtank.web.round_words import EVENTS, script_words
from fairtank.web.rounds import day_asked, day_words, fields_of
from fairtank.web.said import refusal_told
from fairtank.web.telling import tell
from fairtank.web.views.photo import picture_address
from fairtank.web.visitors import needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of


@require_http_methods(["GET", "HEAD", "POST"])
@needs("record")
def round_page(request: HttpRequest, slug: str) -> HttpResponse:
    """The round of today, or of an earlier day; sent as a plain form it is stored at once."""
    trial, now = trial_for(request, slug), now_of(request)
    on = day_asked(request.POST.get("day") or request.GET.get("day", ""), now)
    sheet = round_sheet(trial, on) if trial.planned else None
    if sheet is None:
        return trial_page(request, "round/none.html", trial, "round", {"why": _why_none(trial)})
    if request.method != "POST":
        return _page(request, trial, sheet, on, Sent())
    sent = form_store(request, trial, sheet, on)
    if not sent.is_clean:
        return _page(request, trial, sheet, on, sent)
    tell(request, sent.said())
    return redirect(f"{request.path}?day={on}" if on != now.date() else request.path)


def _page(request: HttpRequest, trial: Trial, sheet: RoundSheet, on: Any, sent: Sent) -> HttpResponse:
    now, plan = now_of(request), sheet.planned.plan
    content = {
        "sheet": sheet, "units": fields_of(sheet, sent.outcomes), "on": on, "today": now.date(), "is_today": on == now.date(),
        "day_words": day_words(sheet.day, plan.days, on), "first": plan.start, "sent": sent, "late": request.POST.get("late", ""),
        "round_key": request.POST.get("round") or uuid.uuid4().hex[:24], "events": EVENTS, "script_words": script_words(),
        "took": [(found, minutes_of(found)) for found in sheet.rounds if found.ended_at], "is_closed": trial.closed_at is not None,
        "is_lots_order": sheet.planned.order != tuple(unit.key for unit in plan.units),
    }
    return trial_page(request, "round/round.html", trial, "round", content, status=200 if sent.is_clean else 422)


def _why_none(trial: Trial) -> str:
    if not trial.planned:
        return _("A round goes from tank to tank, and this trial has no plan yet that says which tanks there are.")
    return _("The plan of this trial cannot be read at the moment, so that its tanks are not known.")


@require_POST
@needs("record")
def entries(request: HttpRequest, slug: str) -> HttpResponseBase:
    """What the page's script sends: entries of one round, answered one by one."""
    trial = trial_for(request, slug)
    try:
        sent = body_of(request)
        round_sent: dict[str, Any] = sent["round"] if isinstance(sent.get("round"), dict) else {}
        found = round_from(request, trial, round_sent)
        answers = entries_store(request, trial, found, sent.get("entries", []))
        if sent.get("end") is True:
            found = round_end(trial=trial, by=visitor(request).by, key=found.key, ended_at=zoned_time(round_sent.get("ended")))
            round_measure(trial=trial, found=found, by=visitor(request).by)
    except FairtankError as error:
        return JsonResponse({"said": refusal_told(error)}, status=422)
    counted = counts_words(counts_of(found)) if found.ended_at else ""
    minutes = minutes_of(found) if found.ended_at else None
    return JsonResponse({"answers": [one.as_json() for one in answers], "minutes": minutes, "counted": counted})


@require_POST
@needs("record")
def photo(request: HttpRequest, slug: str) -> HttpResponseBase:
    """One photo of one tank; the same one sent again is stored once. The page's script asks for its picture afterwards."""
    trial, now = trial_for(request, slug), now_of(request)
    form, file = photo_of(request)
    try:
        if file is None:
            raise InputError(_("the photo"), _("not there"), _("one file"), _("Choose it again."))
        found = round_from(request, trial, {**form.dict(), "day": whole_of(form.get("day", ""))})
        stored = photo_store(request, trial, found, unit=form.get("unit", ""), file=file, entry=form.get("entry") or None,
                             at=clock_time(form.get("at")) or now, noted=clock_time(form.get("noted")) or now,
                             camera_clock=form.get("clock") != "round", decoded_later=True)
    except FairtankError as error:
        return JsonResponse({"state": "refused", "said": refusal_told(error), "of_time": isinstance(error, EntryError),
                             "of_file": isinstance(error, PhotoError)}, status=422)
    round_measure(trial=trial, found=found, by=visitor(request).by)  # one that comes when the round is over already
    row, on_day = stored.row, stored.row.day == found.day
    said = "" if on_day else _("This photo says that it was taken on day %(day)d, and stands there.") % {"day": row.day}
    return JsonResponse({"state": "stored", "said": said, "number": row.pk, "picture": picture_address(trial, row, "320"),
                         "page": reverse("photo", args=[trial.slug, row.pk])})
