"""Work behind the pages: the list, one piece with its progress, the part that is asked for each second, and what starts and stops it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.records.jobs.kinds import KINDS
from fairtank.records.jobs.queue import enqueue, stop
from fairtank.records.models import Job
from fairtank.records.selectors.jobs import jobs_of, jobs_shown
from fairtank.web.visitors import needs, trial_for, trials_for, visitor

# An answer with this status is taken, and htmx does not ask again.
ENOUGH = 286
SEE_OTHER = 303


@require_safe
@needs("look")
def jobs(request: HttpRequest) -> HttpResponse:
    """What is under way, and what was over lately."""
    shown = jobs_shown(trials_for(request), with_house=visitor(request).may("keep"))
    return render(request, "jobs/jobs.html", {"shown": shown})


@require_safe
@needs("look")
def job(request: HttpRequest, number: int) -> HttpResponse:
    """One piece of work."""
    return render(request, "jobs/job.html", {"job": job_for(request, number)})


@require_safe
@needs("look")
def part(request: HttpRequest, number: int) -> HttpResponse:
    """Its progress, to be put into a page; when it is over the page is told so, and loads its answer unless it says `then=stay`."""
    found, then = job_for(request, number), request.GET.get("then", "")
    answer = render(request, "jobs/progress_inside.html", {"job": found, "then": then}, status=ENOUGH if found.is_over else 200)
    if found.is_over:
        answer.headers["HX-Trigger"] = "job-over"
        if found.state == "done" and then != "stay":
            answer.headers["HX-Refresh"] = "true"
    return answer


@require_POST
@needs("record")
def stopped(request: HttpRequest, number: int) -> HttpResponse:
    """Ask it to stop."""
    found = stop(job=job_for(request, number))
    if request.headers.get("HX-Request"):
        return render(request, "jobs/progress_inside.html", {"job": found, "then": request.POST.get("then", "")})
    return _back(request, found.get_absolute_url())


@require_POST
@needs("record")
def asked(request: HttpRequest, slug: str, kind: str) -> HttpResponse:
    """Ask for an answer about a trial."""
    trial = trial_for(request, slug)
    if kind not in KINDS or not KINDS[kind].is_answer:
        raise Http404(_("There is no such answer."))
    made = enqueue(kind=kind, trial=trial, by=visitor(request).by)
    return _back(request, made.get_absolute_url())


def job_for(request: HttpRequest, number: int) -> Job:
    """A piece of work that the visitor may see."""
    found = jobs_of(trials_for(request), with_house=visitor(request).may("keep")).filter(pk=number).first()
    if found is None:
        raise Http404(_("There is no such work. What has been over for 30 days is forgotten."))
    return found


def _back(request: HttpRequest, otherwise: str) -> HttpResponse:
    """To the page that asked, if it is one of ours."""
    wanted = request.POST.get("next", "").strip()
    is_ours = wanted.isprintable() and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return HttpResponse(status=SEE_OTHER, headers={"Location": wanted if wanted and is_ours else otherwise or reverse("jobs")})
