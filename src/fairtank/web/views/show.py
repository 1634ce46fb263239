"""What a trial could show, with a form to try other levels, spreads and prices."""

import math
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, FolderError
from fairtank.records.models import Trial
from fairtank.records.selectors.foreseen import Tried, can_show, level_answered
from fairtank.records.selectors.spread import EarlierTanks, earlier_tanks
from fairtank.records.services.shelf_spread import spread_take
from fairtank.web.going import told
from fairtank.web.said import refusal_lines, worked_out
from fairtank.web.security import SCRIPT_POLICY
from fairtank.web.views.planned import next_step, no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, trials_for, visitor
from fairtank.web.whole import whole_of

NUMBERS = ("reference", "sd", "tank_cost", "day_cost")
WHOLE = ("per_arm", "weeks")
TANKS = ("new", "settled")


@require_safe
@needs("look")
def show(request: HttpRequest, slug: str) -> HttpResponse:
    """The sentence, the chart with its table, what it rests on, and what may be tried."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "show")


@require_POST
@needs("manage")
def earlier_take(request: HttpRequest, slug: str) -> HttpResponse:
    """Let the earlier trials that were chosen help this one."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "show")
    try:
        said = spread_take(trial=trial, sources=list(trials_for(request).filter(slug__in=request.POST.getlist("trial"))),
                           by=visitor(request).by)
    except FairtankError as error:
        return _page(request, trial, refusal_lines(error))
    return told(request, said, "show", trial.slug)


def _page(request: HttpRequest, trial: Trial, not_taken: list[str] | None = None) -> HttpResponse:
    tried, refused = _tried(request)
    content: dict[str, Any] = {"typed": {name: request.GET.get(name, "") for name in (*NUMBERS, *WHOLE, "tanks")}, "refused": refused,
                               "is_tried": tried != Tried(), "not_taken": not_taken or [], "answered": level_answered(trial),
                               "earlier": _earlier(request, trial), **next_step(trial)}
    try:
        found = can_show(trial, tried)
        document = found.document
        opening = worked_out(document["sentence"])
        if document["reference"] is not None and math.isclose(document["reference"], content["answered"] or math.nan):
            content["answered"] = None  # it is reckoned with that level already
        content |= {"opening": opening.replace("As planned (", "With what you try (", 1) if tried != Tried() else opening,
                    "sentences": [worked_out(line) for line in document["sentences"]],
                    "notes": [worked_out(line) for line in document["notes"]],
                    "takes": [worked_out(line) for line in document["takes_text"]],
                    "looks": [worked_out(line) for line in document["looks_text"]], "chart": found.chart, "unit": document["unit"]}
    except FolderError as error:
        return no_plan(request, trial, "show", refusal_lines(error))
    except FairtankError as error:
        content["refusal"] = " ".join(refusal_lines(error))
    is_refused = refused or not_taken or "refusal" in content
    page = trial_page(request, "plan/show.html", trial, "show", content, status=422 if is_refused else 200)
    page.headers["Content-Security-Policy"] = SCRIPT_POLICY
    return page


def _earlier(request: HttpRequest, trial: Trial) -> EarlierTanks:
    mine = [one for one in trials_for(request).exclude(pk=trial.pk) if visitor(request).may_in(one.pk, "manage")]
    return earlier_tanks(trial, mine)


def _tried(request: HttpRequest) -> tuple[Tried, dict[str, str]]:
    """What is tried, and a sentence for each field that holds no number."""
    values: dict[str, Any] = {}
    refused: dict[str, str] = {}
    for name in NUMBERS:
        text = request.GET.get(name, "").strip()
        try:
            values[name] = float(text.replace(",", ".")) if text else None
        except ValueError:
            values[name], refused[name] = None, _("“%(text)s” is not a number.") % {"text": text[:40]}
    for name in WHOLE:
        text = request.GET.get(name, "").strip()
        values[name] = whole_of(text, 0, 999)
        if text and values[name] is None:
            refused[name] = _("“%(text)s” is not a whole number.") % {"text": text[:40]}
    tanks = request.GET.get("tanks", "new")
    return Tried(**values, tanks=tanks if tanks in TANKS else "new"), refused
