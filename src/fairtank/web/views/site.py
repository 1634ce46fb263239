"""The public page of a trial: where it will stand, what it takes along, the page itself, and the ZIP file to upload."""

from pathlib import Path
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.publish.site.pages import PAGE
from fairtank.records.jobs.queue import enqueue
from fairtank.records.jobs.site import SITE_ZIP
from fairtank.records.models import Trial
from fairtank.records.selectors.results import answer_of
from fairtank.records.selectors.site_parts import site_parts
from fairtank.records.services.siting import FOLDER
from fairtank.records.services.working import out_of
from fairtank.records.site_address import LONGEST_ADDRESS, address_of
from fairtank.web.going import see
from fairtank.web.ranges import file_sent
from fairtank.web.said import refusal_lines
from fairtank.web.security import FILE_POLICY, PDF_POLICY, REPORT_POLICY
from fairtank.web.views.finding import FORBIDDEN, finding_page, shown_to
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

# What the page needs of its own folder and nothing else; it may ask nothing of the other pages here, whatever stands in it.
SITE_POLICY = ("default-src 'none'; script-src 'self'; style-src 'unsafe-inline'; img-src 'self'; media-src 'self'; font-src 'self'; "
               "base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
TYPES = {".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".png": "image/png",
         ".webp": "image/webp", ".jpg": "image/jpeg", ".ttf": "font/ttf", ".mp4": "video/mp4", ".webm": "video/webm",
         ".vtt": "text/vtt; charset=utf-8", ".pdf": "application/pdf", ".json": "application/json", ".csv": "text/csv; charset=utf-8",
         ".txt": "text/plain; charset=utf-8", ".zip": "application/zip"}


@require_safe
@needs("look")
def site(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "site")


@require_POST
@needs("record")
def make(request: HttpRequest, slug: str) -> HttpResponse:
    """Have it made behind the pages."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "site")
    if not shown_to(request, trial).is_over:
        return _page(request, trial, status=FORBIDDEN)
    try:
        address = address_of(request.POST.get("address", ""))
    except FairtankError as error:
        return _page(request, trial, refusal_lines(error), status=422)
    parts = site_parts(trial)
    given = {"address": address, **{name: parts[name] for name in ("kit", "film") if name in request.POST and parts[name]}}
    enqueue(kind="site", trial=trial, by=visitor(request).by, given=given)
    return see("site", trial.slug)


@require_safe
@needs("look")
def site_file(request: HttpRequest, slug: str, name: str) -> HttpResponseBase:
    """A file of the public page, as a web space would serve it."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    result = answer_of(trial, "site").result
    place = out_of(trial) / FOLDER / name
    if result is None or name not in result.content["files"] or not place.is_file():
        raise Http404(_("There is no such file of a public page. The page “Public page” has a button that makes one."))
    return file_sent(request, place, media_type=TYPES.get(place.suffix, "application/octet-stream"), policy=_policy(name))


def _policy(name: str) -> str:
    if name == PAGE:
        return SITE_POLICY
    return {".html": REPORT_POLICY, ".pdf": PDF_POLICY}.get(Path(name).suffix, FILE_POLICY)


@require_safe
@needs("export")
def site_zip(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The whole folder in one file."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    place = out_of(trial) / SITE_ZIP
    if not place.is_file():
        raise Http404(_("There is no public page yet. The page “Public page” has a button that makes one."))
    return file_sent(request, place, media_type="application/zip", policy=FILE_POLICY, name=f"{trial.slug}-site.zip")


def _page(request: HttpRequest, trial: Trial, refusals: list[str] | None = None, *, status: int = 200) -> HttpResponse:
    shown = shown_to(request, trial)
    answer = answer_of(trial, "site") if shown.is_over else None
    content: dict[str, Any] = answer.result.content if answer and answer.result else {}
    given = content.get("given", {})
    return trial_page(request, "site/site.html", trial, "site", {
        "shown": shown, "answer": answer, "made": content if content and (out_of(trial) / FOLDER / PAGE).is_file() else None,
        "refusals": refusals or [], "typed": request.POST.get("address", given.get("address", "")), "longest": LONGEST_ADDRESS,
        "parts": site_parts(trial) if shown.is_over else {}, "files": len(content.get("files", [])),
    }, status=status)
