"""Readings brought in as a table: nothing is stored before the keeper has seen what was understood and said so."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.records.folder.paths import CSV_LIMIT_BYTES
from fairtank.records.importers import Sheet, TrialFacts, matched, matching_from_fields, rows_of, sheet_of, template_of
from fairtank.records.kept_sheets import sheet_forget, sheet_keep, sheet_kept
from fairtank.records.models import Trial
from fairtank.records.planned import planned_of
from fairtank.records.services.readings_import import (
    digest_of_preview,
    facts_of_trial,
    imports_of,
    is_imported,
    readings_import,
    readings_import_bring_back,
    readings_import_take_back,
)
from fairtank.web.going import see, told
from fairtank.web.import_form import form_of
from fairtank.web.said import refusal_lines
from fairtank.web.telling import tell
from fairtank.web.visitors import named, needs, trial_for, trial_page, visitor

_MEDIA = {"csv": "text/csv; charset=utf-8", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}


@require_http_methods(["GET", "HEAD", "POST"])
@needs("record")
def begin(request: HttpRequest, slug: str) -> HttpResponse:
    """Where a table is pasted or a file chosen, and where one that was brought in can be taken back."""
    trial = trial_for(request, slug)
    if planned_of(trial) is None:
        return trial_page(request, "diary/none.html", trial, "readings", {})
    if request.method != "POST":
        return _begun(request, trial)
    try:
        name, content = _sent(request)
        sheet_of(content, name)  # refused here, where another file can be chosen at once
        key = sheet_keep(trial=trial, by=visitor(request).by, name=name, content=content)
    except FairtankError as error:
        return _begun(request, trial, refusal=refusal_lines(error), pasted=request.POST.get("pasted", "")[:200_000])
    return see("readings_import_look", slug, key)


def _begun(request: HttpRequest, trial: Trial, **more: Any) -> HttpResponse:
    content = {"imports": imports_of(trial), "most_mb": CSV_LIMIT_BYTES // 1_000_000, **more}
    return trial_page(request, "readings_import/begin.html", trial, "readings", content, status=422 if "refusal" in more else 200)


def _sent(request: HttpRequest) -> tuple[str, bytes | str]:
    """The name and the content of a file, or no name and what was pasted."""
    file, pasted = request.FILES.get("file"), request.POST.get("pasted", "")
    if file is None or not file.name:
        if not pasted.strip():
            raise InputError(_("the table"), _("missing"), _("pasted cells, or a file"),
                             _("Paste cells from a spreadsheet, or choose a file."))
        return "", pasted
    if pasted.strip():
        raise InputError(_("the table"), _("given twice"), _("pasted cells or a file, not both"), _("Empty the field, or choose no file."))
    if file.size is None or file.size > CSV_LIMIT_BYTES:
        raise InputError(_("the file"), _("%(size)s MB large") % {"size": f"{(file.size or 0) / 1e6:.0f}"},
                         _("at most %(size)s MB") % {"size": f"{CSV_LIMIT_BYTES / 1e6:.0f}"},
                         _("Part it into several files, such as one for each month."))
    return file.name[:120], file.read()


@require_http_methods(["GET", "HEAD", "POST"])
@needs("record")
def look(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """What was understood of a table; changed choices are looked at again, and what was looked at is stored."""
    trial, by = trial_for(request, slug), named(request)
    planned, kept = planned_of(trial), sheet_kept(trial=trial, by=by, key=key)
    if kept is None or planned is None:
        done = planned is not None and is_imported(trial, key)
        return told(request, _("These readings are stored already.") if done else
                    _("That table is not kept any more: it is kept for an hour. Choose it again."), "readings_import", slug)
    try:
        sheet, facts = sheet_of(kept.content, kept.name, table=request.POST.get("table", "")[:200]), facts_of_trial(trial, planned)
    except FairtankError as error:
        return _begun(request, trial, refusal=refusal_lines(error))
    return _looked(request, trial, key, sheet, facts)


def _looked(request: HttpRequest, trial: Trial, key: str, sheet: Sheet, facts: TrialFacts) -> HttpResponse:
    sent, guessed, refusal = request.POST, matched(sheet, facts), list[str]()
    matching = guessed
    try:
        if sent and sent.get("table_before", sheet.table) == sheet.table:  # another worksheet has other columns
            matching = matching_from_fields(sent.dict(), guessed)
        if sent.get("do") == "store":
            count = readings_import(trial=trial, by=visitor(request).by, key=key, sheet=sheet, matching=matching, seen=sent.get("seen", ""))
            return _stored(request, trial, key, count)
    except FairtankError as error:
        refusal = refusal_lines(error)
    preview = rows_of(sheet, matching, facts)
    content = {"sheet": sheet, "key": key, "seen": digest_of_preview(preview), "refusal": refusal, "count": len(preview.rows),
               **form_of(sheet, matching, preview, facts)}
    return trial_page(request, "readings_import/look.html", trial, "readings", content, status=422 if refusal else 200)


def _stored(request: HttpRequest, trial: Trial, key: str, count: int) -> HttpResponse:
    sheet_forget(key)
    if not count:
        return told(request, _("These readings are stored already."), "readings_import", trial.slug)
    said = ngettext("%(n)d reading stored.", "%(n)d readings stored.", count) % {"n": count}
    tell(request, said, to=reverse("readings_import", args=[trial.slug]) + "#brought-in", words=_("They can be taken back together."))
    return see("readings", trial.slug)


@require_safe
@needs("record")
def empty(request: HttpRequest, slug: str, form: str) -> HttpResponse:
    """An empty sheet to be filled in."""
    trial = trial_for(request, slug)
    planned = planned_of(trial)
    if planned is None or form not in _MEDIA:
        raise Http404(_("There is no such sheet."))
    return HttpResponse(template_of(facts_of_trial(trial, planned), form), content_type=_MEDIA[form],
                        headers={"Content-Disposition": f'attachment; filename="{trial.slug}-readings.{form}"'})


@require_POST
@needs("record")
def take_back(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Take back all readings of one table."""
    trial = trial_for(request, slug)
    try:
        count = readings_import_take_back(trial=trial, by=visitor(request).by, key=key)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "readings_import", slug)
    if not count:
        return redirect("readings_import", slug)
    said = ngettext("%(n)d reading taken back. It can be brought back for 30 days.",
                    "%(n)d readings taken back. They can be brought back for 30 days.", count) % {"n": count}  # fmt: skip
    return told(request, said, "readings_import", slug)


@require_POST
@needs("record")
def bring_back(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """Bring them back."""
    trial = trial_for(request, slug)
    try:
        count = readings_import_bring_back(trial=trial, by=visitor(request).by, key=key)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "readings_import", slug)
    return told(request, ngettext("%(n)d reading is back.", "%(n)d readings are back.", count) % {"n": count}, "readings_import", slug)
