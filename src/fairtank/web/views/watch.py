"""The drift watch: what drifts apart, what to do about it, how sure that is; one chart and one row for each factor."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fairtank.publish.phrases import capital
from fairtank.records.folder.factor_cells import known_factors
from fairtank.records.models import Result, Trial
from fairtank.records.selectors.results import answer_of, document_of
from fairtank.records.selectors.trial_state import counts_of, papers_of
from fairtank.records.selectors.unscored import seats_left
from fairtank.web.figures import figures_of
from fairtank.web.said import worked_out
from fairtank.web.views.finding import FORBIDDEN, download
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page

DRIFTS = ("arms", "tank")
FIRST_FIGURES = 2


@require_safe
@needs("look")
def watch(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "watch")
    return _page(request, trial)


@require_safe
@needs("export")
def drift_file(request: HttpRequest, slug: str) -> HttpResponse:
    """What `fairtank watch` prints for this trial with --json."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "watch")
    result = answer_of(trial, "watch").result
    if result is None or hides_arms(request, trial):
        return _page(request, trial, status=FORBIDDEN)
    return download(result.content["text"].encode(), "application/json", f"{trial.slug}-drift.json")


def _page(request: HttpRequest, trial: Trial, *, status: int = 200) -> HttpResponse:
    answer, arms = answer_of(trial, "watch"), request.GET.get("arms", "")
    hidden = hides_arms(request, trial)
    told = {} if answer.result is None or "rows" not in answer.result.content or hidden else watch_told(answer.result)
    counts = counts_of(trial) if not told and not hidden else None
    return trial_page(request, "watch/watch.html", trial, "watch", {"answer": answer, "kind": "watch", "hidden": hidden, "arms": arms,
                                                                    "counts": counts, **told}, status=status)


def hides_arms(request: HttpRequest, trial: Trial) -> bool:
    """Whether people still score without knowing the arms, and nobody asked to see them."""
    if request.GET.get("arms") == "shown":
        return False
    plan = papers_of(trial).plan
    return plan is not None and plan.blinded and bool(seats_left(trial))


def watch_told(result: Result) -> dict[str, Any]:
    """What the page tells of an answer: the headline, what drifts with its charts, the other charts, the table, the notes."""
    document, charts, known = document_of(result), figures_of(result), known_factors()
    factors = [(factor["state"], _title(factor), [worked_out(line) for line in factor["sentences"]], charts.get(f"drift-{place}"))
               for place, factor in enumerate(document["factors"])]
    return {
        "headline": worked_out(document["sentence"]), "caption": result.content["caption"], "table": _table(result.content["rows"]),
        "drifting": [(title, lines, chart) for state, title, lines, chart in factors if state in DRIFTS],
        "other_charts": [chart for state, _words, _lines, chart in factors if chart is not None and state not in DRIFTS],
        "untold": [lines for state, _words, lines, chart in factors if chart is None and state not in DRIFTS],
        "notes": [worked_out(line) for line in document["notes"]],
        "absent": [known[key].title if key in known else key for key in document["absent"]],
    }


def _title(factor: dict[str, Any]) -> str:
    title = str(factor["title"]) if str(factor["title"]).startswith("pH") else capital(str(factor["title"]))
    return f"{title} ({factor['part']})" if factor["part"] else title


def _table(rows: list[list[str]]) -> dict[str, Any]:
    """One row for each factor and arm, as the parts of a page show tables."""
    head, *body = [[(capital(cell) if place == 0 else cell, number >= FIRST_FIGURES) for number, cell in enumerate(row)]
                   for place, row in enumerate(rows)]
    return {"caption": _("What was found of each factor, and how far like tanks may lie apart"), "stacks": True, "head": head,
            "rows": [[(cell, is_number, head[place][0]) for place, (cell, is_number) in enumerate(row)] for row in body]}
