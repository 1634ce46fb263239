"""How the tanks may go: when fauna may be safe, the charts with their tables, what was assumed; and the button that works it out."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Result, Trial
from fairtank.records.selectors.results import answer_of, document_of
from fairtank.web.figures import figures_of
from fairtank.web.going import see
from fairtank.web.said import worked_out
from fairtank.web.security import SCRIPT_POLICY
from fairtank.web.views.planned import no_plan
from fairtank.web.views.watch import hides_arms
from fairtank.web.visitors import needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of

FEWEST_DAYS, MOST_DAYS, USUAL_DAYS = 7, 365, 60
# What the bed gives off, as the command's option of that name.
SOILS = {"": gettext_lazy("as the names of its layers say"), "rich": gettext_lazy("rich: fresh soil that gives off much"),
         "lean": gettext_lazy("lean: clay, lava or a capped bed"), "inert": gettext_lazy("inert: plain sand or gravel")}


@require_safe
@needs("look")
def forecast(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "forecast")


@require_POST
@needs("record")
def ask(request: HttpRequest, slug: str) -> HttpResponse:
    """Have it worked out behind the pages."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "forecast")
    days, soil = whole_of(request.POST.get("days", ""), FEWEST_DAYS, MOST_DAYS), request.POST.get("soil", "")
    if days is None:
        refusal = _("Days to look ahead: a whole number from %(fewest)d to %(most)d.") % {"fewest": FEWEST_DAYS, "most": MOST_DAYS}
        return _page(request, trial, refusal)
    given: dict[str, Any] = {"days": days, **({"soil": soil} if soil and soil in SOILS else {})}
    enqueue(kind="forecast", trial=trial, by=visitor(request).by, given=given)
    return see("forecast", trial.slug)


def _page(request: HttpRequest, trial: Trial, refusal: str = "") -> HttpResponse:
    answer, hidden = answer_of(trial, "forecast"), hides_arms(request, trial)
    told = {} if answer.result is None or hidden else _told(answer.result)
    given = answer.result.content["given"] if answer.result else {}
    page = trial_page(request, "plan/forecast.html", trial, "forecast", {
        "answer": answer, "hidden": hidden, "refusal": refusal, "soils": SOILS.items(), "fewest": FEWEST_DAYS, "most": MOST_DAYS,
        "days": request.POST.get("days", given.get("days", USUAL_DAYS)), "soil": request.POST.get("soil", given.get("soil", "")), **told,
    }, status=422 if refusal else 200)
    page.headers["Content-Security-Policy"] = SCRIPT_POLICY
    return page


def _told(result: Result) -> dict[str, Any]:
    """What is told of an answer: what it is, the sentence, the charts, the rest in sentences, what was assumed."""
    document = document_of(result)
    headline = document["sentence"]
    what, *rest = (line for line in document["sentences"] if line != headline)
    return {"what": worked_out(what), "headline": worked_out(headline), "sentences": [worked_out(line) for line in rest],
            "caption": worked_out(result.content["caption"]), "charts": list(figures_of(result).values()),
            "assumed": [worked_out(line) for line in document["assumed"]], "spread": document["like_tank_spread"]}
