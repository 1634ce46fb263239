"""Several finished trials of one question taken together: which ones, and what they say."""

import json
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.publish.page_chart import page_chart_from_json
from fairtank.publish.pooled_report import HTML_FILE, PDF_FILE
from fairtank.records.models import Job, Trial
from fairtank.records.selectors.finished import finished_by_measure, pools_of
from fairtank.records.services.shelf_pool import FEWEST, pool_ask, pool_place
from fairtank.web.going import see
from fairtank.web.said import refusal_lines, worked_out
from fairtank.web.security import PDF_POLICY, REPORT_POLICY, SCRIPT_POLICY
from fairtank.web.views.finding import download
from fairtank.web.visitors import needs, trials_for, visitor


@require_safe
@needs("record")
def pool(request: HttpRequest) -> HttpResponse:
    """Finished trials to choose from, those that one measure decides together."""
    return _choice(request)


def _choice(request: HttpRequest, refusals: list[str] | None = None) -> HttpResponse:
    trials = trials_for(request)
    groups, wanted = finished_by_measure(trials), request.GET.get("trial", "")
    groups.sort(key=lambda group: all(one.trial.slug != wanted for one in group.trials))  # the question of that trial first
    ticked = set(request.POST.getlist("trial")) or _worth_ticking(groups)
    return render(request, "pool/pool.html", {
        "here": "shelf", "groups": groups, "ticked": ticked, "fewest": FEWEST, "pools": pools_of(trials), "refusals": refusals or [],
        "asked_of": request.POST.get("measure", ""), "arm": request.POST.get("arm", ""),
    }, status=422 if refusals else 200)


def _worth_ticking(groups: list[Any]) -> set[str]:
    """Every finished trial counts; invented examples only where there is nothing else."""
    listed = [one.trial for group in groups for one in group.trials]
    return {trial.slug for trial in listed if not trial.is_example} or {trial.slug for trial in listed}


@require_POST
@needs("record")
def ask(request: HttpRequest) -> HttpResponse:
    """Have those that were chosen taken together."""
    chosen = list(trials_for(request).filter(slug__in=request.POST.getlist("trial"), planned=True).order_by("start", "pk"))
    try:
        job = pool_ask(trials=chosen, by=visitor(request).by, measure=request.POST.get("measure", ""), arm=request.POST.get("arm", ""))
    except FairtankError as error:
        return _choice(request, refusal_lines(error))
    return see("pooled", job.pk)


@require_safe
@needs("look")
def pooled(request: HttpRequest, number: int) -> HttpResponse:
    """What they say together: the sentence, the picture with its table, how far they differ, what was left out."""
    job, trials = _pool_for(request, number)
    content: dict[str, Any] = {"here": "shelf", "job": job, "trials": trials}
    if job.state == "done":
        document = json.loads(job.result["text"])
        content |= {
            "headline": worked_out(document.get("sentence", "")), "sentences": [worked_out(line) for line in document.get("sentences", [])],
            "charts": [page_chart_from_json(chart) for chart in job.result["charts"]],
            "left_out": [(name, worked_out(reason)) for name, reason in job.result["left_out"]],
            "has_report": (pool_place(job) / HTML_FILE).is_file(),
            "changed": [trial for trial in trials if job.result["revisions"].get(str(trial.pk)) != trial.revision],
        }
    page = render(request, "pool/pooled.html", content)
    page.headers["Content-Security-Policy"] = SCRIPT_POLICY
    return page


@require_safe
@needs("export")
def pooled_file(request: HttpRequest, number: int) -> HttpResponse:
    """The same as one file, in the form that `fairtank pool` writes."""
    job, _trials = _pool_for(request, number)
    if job.state != "done":
        raise Http404(_("This was not worked out yet."))
    return download(job.result["text"].encode(), "application/json", "pooled.json")


@require_safe
@needs("look")
def pooled_page(request: HttpRequest, number: int) -> HttpResponseBase:
    """The report of these trials as a page."""
    return _report(request, number, HTML_FILE, "text/html; charset=utf-8", REPORT_POLICY)


@require_safe
@needs("look")
def pooled_paper(request: HttpRequest, number: int) -> HttpResponseBase:
    """The same as a PDF."""
    return _report(request, number, PDF_FILE, "application/pdf", PDF_POLICY)


def _report(request: HttpRequest, number: int, name: str, media_type: str, policy: str) -> HttpResponseBase:
    job, _trials = _pool_for(request, number)
    place = pool_place(job) / name
    if job.state != "done" or not place.is_file():
        raise Http404(_("There is no report of these trials. Take them together anew."))
    return FileResponse(place.open("rb"), as_attachment=request.GET.get("keep") == "1", filename=name, content_type=media_type,
                        headers={"Content-Security-Policy": policy})


def _pool_for(request: HttpRequest, number: int) -> tuple[Job, list[Trial]]:
    """The work and its trials, all of which the visitor must be allowed to see."""
    job = Job.objects.filter(pk=number, kind="pool").select_related("trial").first()
    wanted = job.given.get("trials", []) if job else []
    trials = list(trials_for(request).filter(pk__in=wanted).order_by("start", "pk"))
    if job is None or len(trials) < len(set(wanted)):
        raise Http404(_("There is nothing of that number, or one of its trials is not on the shelf any more. It is kept for 30 days; "
                        "take the trials together anew."))
    return job, trials
