"""Report and files: what can be given away, what a reader would miss in it, and the code of the seal."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.publish.seal_words import code_sentence
from fairtank.records.exporters.folder_zip import folder_zip
from fairtank.records.models import Photo, Trial
from fairtank.records.selectors.finding import TO_SEE
from fairtank.records.selectors.measured_values import has_values, measures_pieces
from fairtank.records.selectors.results import answers_of
from fairtank.records.selectors.spread import spread_kept
from fairtank.records.services.disclosing import LONGEST, disclosure_store
from fairtank.records.services.shelf_spread import spread_take
from fairtank.records.services.working import out_of
from fairtank.web.going import told
from fairtank.web.house import address
from fairtank.web.said import refusal_lines, worked_out
from fairtank.web.security import FILE_POLICY, PDF_POLICY, REPORT_POLICY
from fairtank.web.views.finding import FORBIDDEN, finding_page, shown_to
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, trials_for, visitor

# Pages on which something more is made to give away: route, words, one sentence.
AWAY = (
    ("charts_export", gettext_lazy("Charts"),
     gettext_lazy("Every chart as a picture for a page, a slide or a video, light, dark or transparent.")),
    ("film", gettext_lazy("Film"), gettext_lazy("The photos as a time-lapse, the tanks side by side, with the day and the growing curve.")),
    ("words", gettext_lazy("Words for the video"),
     gettext_lazy("Description, chapters, captions and an outline, none of them stronger than the finding allows.")),
    ("kit", gettext_lazy("Kit"), gettext_lazy("The whole trial as an open package with which somebody else can check it or do it again.")),
    ("site", gettext_lazy("Public page"), gettext_lazy("A folder with the trial's own page, which any web space can show.")),
)


@require_safe
@needs("look")
def publish(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "publish")


def _page(request: HttpRequest, trial: Trial, refusals: list[str] | None = None, given: list[str] | None = None) -> HttpResponse:
    shown = shown_to(request, trial)
    plan, seal = shown.papers.plan, shown.papers.seal
    said = plan.disclosure if plan else ""
    return trial_page(request, "publish/publish.html", trial, "publish", {
        "shown": shown, "report": answers_of(trial, ("report",), with_content=False)["report"], "arms": request.GET.get("arms", ""),
        "page_size": _size(trial, "report.html"), "pdf_size": _size(trial, "report.pdf"),
        "one_page_size": _size(trial, "one-page.html"), "one_page_pdf_size": _size(trial, "one-page.pdf"),
        "away": [(place, title, words) for route, title, words in AWAY if (place := address(route, trial.slug))],
        "missing": (shown.content or {}).get("unrecorded", []), "has_values": has_values(trial),
        "photos": Photo.objects.filter(trial=trial).count(), "seal": seal, "stamps": len(seal.document.get("stamps") or []) if seal else 0,
        "code_sentence": worked_out(code_sentence(seal.last.code)) if seal else "",
        "spread": spread_kept(trial) if shown.is_over else None, "new_trials": _new_trials(request, trial) if shown.is_over else [],
        "is_ahead": _is_ahead(trial, date.today()), "disclosure": said, "typed": request.POST.get("disclosure", said), "longest": LONGEST,
        "refusals": refusals or [], "given": given or [],
    }, status=422 if refusals or given else 200)


def _is_ahead(trial: Trial, today: date) -> bool:
    """Whether a day of it is still to come, so that a calendar of its chores is of use."""
    return trial.closed_at is None and trial.start is not None and today <= trial.start + timedelta(days=trial.days)


def _new_trials(request: HttpRequest, trial: Trial) -> list[Trial]:
    """Trials that have a plan and did not begin, which may lean on this one."""
    found = trials_for(request).filter(planned=True, start__gt=date.today(), closed_at=None).exclude(pk=trial.pk)
    return [one for one in found if visitor(request).may_in(one.pk, "manage")]


@require_POST
@needs("manage")
def spread_give(request: HttpRequest, slug: str) -> HttpResponse:
    """Hand what this trial tells of like tanks to a new trial."""
    trial = trial_for(request, slug)
    target = trials_for(request).filter(slug=request.POST.get("into", "")).first()
    try:
        if target is None:
            raise InputError(_("The new trial"), _("none chosen"), _("one that did not begin"))
        said = spread_take(trial=target, sources=[trial], by=visitor(request).by)
    except FairtankError as error:
        return _page(request, trial, given=refusal_lines(error)) if trial.planned else no_plan(request, trial, "publish")
    return told(request, said, "show", target.slug)


@require_POST
@needs("manage")
def disclosure(request: HttpRequest, slug: str) -> HttpResponse:
    """Write down who gave or sold anything."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "publish")
    try:
        disclosure_store(trial=trial, by=visitor(request).by, text=request.POST.get("disclosure", ""))
    except FairtankError as error:
        return _page(request, trial, refusal_lines(error))
    return told(request, _("Written down; the next report says it."), "publish", trial.slug)


@require_safe
@needs("look")
def report_page(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The report, to be read in the browser."""
    return _report(request, slug, "report.html", "text/html; charset=utf-8", REPORT_POLICY)


@require_safe
@needs("look")
def report_pdf(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The same as a PDF."""
    return _report(request, slug, "report.pdf", "application/pdf", PDF_POLICY)


@require_safe
@needs("look")
def one_page(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The report on one page, to be read in the browser."""
    return _report(request, slug, "one-page.html", "text/html; charset=utf-8", REPORT_POLICY)


@require_safe
@needs("look")
def one_page_pdf(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The same as a PDF."""
    return _report(request, slug, "one-page.pdf", "application/pdf", PDF_POLICY)


def _report(request: HttpRequest, slug: str, name: str, media_type: str, policy: str) -> HttpResponseBase:
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    place = _report_file(trial, name)
    if place is None:
        raise Http404(_("There is no report yet. The page “Report and files” has a button that makes it."))
    return FileResponse(place.open("rb"), as_attachment=request.GET.get("keep") == "1", filename=f"{trial.slug}-{name}",
                        content_type=media_type, headers={"Content-Security-Policy": policy})


def _size(trial: Trial, name: str) -> int:
    """How long a file of the report is; 0 where there is none."""
    place = _report_file(trial, name)
    return place.stat().st_size if place else 0


def _report_file(trial: Trial, name: str) -> Path | None:
    place = out_of(trial) / name
    return place if place.is_file() else None


@require_safe
@needs("export")
def measures_file(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The values of all photos, as `fairtank measure` writes them; at a planned look up to its day."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if shown.state != TO_SEE:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    if not has_values(trial):
        raise Http404(_("No value was taken from a photo of this trial."))
    return _sent(measures_pieces(trial, until=shown.until), "text/csv; charset=utf-8", f"{trial.slug}-measures.csv")


@require_safe
@needs("export")
def folder_file(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The folder of the trial in one file, made while it is sent."""
    trial = trial_for(request, slug)
    with_place = request.GET.get("place") == "kept" and visitor(request).may("keep")
    return _sent(folder_zip(trial, with_place=with_place), "application/zip", f"{trial.slug}.zip")


def _sent(pieces: Iterator[bytes], media_type: str, name: str) -> StreamingHttpResponse:
    return StreamingHttpResponse(pieces, content_type=media_type, headers={
        "Content-Disposition": f'attachment; filename="{name}"', "Content-Security-Policy": FILE_POLICY})
