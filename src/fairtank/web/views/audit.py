"""The audit: random points looked at one by one, without knowing tank and day, and what the answers say about the map."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.records.models import Photo, Trial
from fairtank.records.selectors.results import answer_of
from fairtank.records.services.audit_answers import (
    FIRST_POINTS,
    accepted_answers,
    answer_give,
    answer_undo,
    answers_in,
    asked_of,
    point_of,
    point_picture,
    points_draw,
)
from fairtank.records.services.audit_result import audit_kept
from fairtank.web.going import see, told
from fairtank.web.said import in_pages, refusal_lines
from fairtank.web.visitors import named, needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of

# Answer, its words, its key.
ANSWERS = (("plant", gettext_lazy("Plant"), "1"), ("algae", gettext_lazy("Algae"), "2"), ("background", gettext_lazy("Background"), "3"),
           ("unsure", gettext_lazy("Can't tell"), "?"))  # fmt: skip


@require_safe
@needs("manage")
def audit(request: HttpRequest, slug: str) -> HttpResponseBase:
    """The next point; before any is drawn the way to draw them, and when all are answered what they say."""
    trial = trial_for(request, slug)
    try:
        content = _content(request, trial)
    except FairtankError as error:
        return trial_page(request, "audit/refused.html", trial, "audit", {"refusal": refusal_lines(error)}, status=422)
    return trial_page(request, "audit/audit.html", trial, "audit", content)


def _content(request: HttpRequest, trial: Trial) -> dict[str, Any]:
    asked = asked_of(trial, named(request))
    content: dict[str, Any] = {"asked": asked, "answers": _answers(trial), "first_points": FIRST_POINTS, "result": None, "measured": None}
    if asked.next is not None:
        content["ahead"] = reverse("audit_picture", args=[trial.slug, asked.after.number]) if asked.after else ""
    elif asked.points or answers_in(trial):
        content["result"] = audit_kept(trial)
        content["measured"] = answer_of(trial, "measure")
        if content["result"]:
            content["result"] = {**content["result"], "sentences": [in_pages(line) for line in content["result"]["sentences"]]}
    else:
        content["usable"] = Photo.objects.filter(trial=trial).exclude(quality__in=("", "not usable")).count()
    return content


def _answers(trial: Trial) -> list[tuple[str, str, str]]:
    """The answers with their keys; the trial's own classes stand behind the usual ones."""
    usual = [(key, str(words), sign) for key, words, sign in ANSWERS]
    own = [key for key in accepted_answers(trial) if key not in {one[0] for one in usual}]
    return [*usual, *((key, key, str(number) if number < 10 else "") for number, key in enumerate(own, start=4))]


@require_POST
@needs("manage")
def draw(request: HttpRequest, slug: str) -> HttpResponseBase:
    """Draw points, or further ones."""
    trial, typed = trial_for(request, slug), request.POST.get("points", "")
    try:
        drawn = points_draw(trial=trial, count=whole_of(typed, 0, 10**6) or 0, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "audit", slug)
    return told(request, _("%(count)d points were drawn.") % {"count": drawn}, "audit", slug)


@require_POST
@needs("manage")
def answer(request: HttpRequest, slug: str, number: int) -> HttpResponseBase:
    """Keep an answer and show the next point."""
    trial = trial_for(request, slug)
    try:
        answer_give(trial=trial, number=number, answer=request.POST.get("answer", ""), by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "audit", slug)
    return _next(request, trial)


@require_POST
@needs("manage")
def undo(request: HttpRequest, slug: str) -> HttpResponseBase:
    """Take the last answer back."""
    trial = trial_for(request, slug)
    try:
        answer_undo(trial=trial, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "audit", slug)
    return _next(request, trial)


def _next(request: HttpRequest, trial: Trial) -> HttpResponseBase:
    """The next point: as a part of the page where only that was asked for."""
    if not request.headers.get("HX-Request"):
        return see("audit", trial.slug)
    content = _content(request, trial)
    if content["asked"].next is None:
        return HttpResponse(headers={"HX-Redirect": reverse("audit", args=[trial.slug])})
    return render(request, "audit/point.html", {**content, "trial": trial})


@require_safe
@needs("manage")
def picture(request: HttpRequest, slug: str, number: int) -> HttpResponseBase:
    """The surroundings of a point."""
    trial = trial_for(request, slug)
    try:
        content = point_picture(trial, point_of(trial, number))
    except (FairtankError, OSError) as error:
        raise Http404(_("There is no picture of this point.")) from error
    return HttpResponse(content, content_type="image/jpeg", headers={"Cache-Control": "private, max-age=3600"})
