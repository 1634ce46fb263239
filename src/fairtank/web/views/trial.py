"""A trial's own page: what it asks, where it stands, what comes next, its units, what was changed; and renaming, closing, taking away."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.publish.arms import arm_looks
from fairtank.records.models import Trial
from fairtank.records.selectors.jobs import works_under_way
from fairtank.records.selectors.shelf import recent_changes
from fairtank.records.selectors.trial_state import Papers, counts_of, papers_of
from fairtank.records.selectors.trial_way import way_of
from fairtank.records.services.shelf_lot import codes_of
from fairtank.records.services.shelf_trials import trial_close, trial_remove, trial_rename
from fairtank.web.going import told
from fairtank.web.house import address
from fairtank.web.said import refusal_lines
from fairtank.web.views.planned import arms_wanted, next_step
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

RECENT = 8


@require_safe
@needs("look")
def trial(request: HttpRequest, slug: str) -> HttpResponse:
    """One trial: what it asks, where it stands and what comes next."""
    return _page(request, trial_for(request, slug))


def _page(request: HttpRequest, found: Trial, refusal: str = "") -> HttpResponse:
    papers, counts, today = papers_of(found), counts_of(found), date.today()
    come = next_step(found, papers, counts)
    stops = [(stop, address(stop.route, found.slug)) for stop in way_of(papers, counts, today=today, is_judged=bool(come["sentence"]))]
    return trial_page(request, "trial/trial.html", found, "trial", {
        **come, "stops": stops, "under_way": works_under_way(found),
        "plan": papers.plan, "counts": counts, "changes": recent_changes(found, RECENT), "refusal": refusal,
        "typed": request.POST.get("title", found.title),
        **units_told(found, papers, show_arms=arms_wanted(request)),
    }, status=422 if refusal else 200)


def units_told(found: Trial, papers: Papers, *, show_arms: bool) -> dict[str, Any]:
    """The units with their codes and places; their arms where they are no secret, or were asked for."""
    plan = papers.plan
    if plan is None:
        return {"units": ()}
    codes, looks = dict(codes_of(found, plan)), arm_looks(plan)
    is_shown = bool(plan.drawn or papers.draws) and (show_arms or not plan.blinded)
    units = [(unit, codes.get(unit.key, ""), looks.get(unit.arm) if is_shown else None) for unit in plan.units]
    return {"units": units, "has_codes": bool(codes), "arms_shown": is_shown, "arms_hidden": plan.blinded and not is_shown,
            "is_drawn": bool(plan.drawn or papers.draws)}


@require_POST
@needs("manage")
def rename(request: HttpRequest, slug: str) -> HttpResponse:
    """Another title."""
    found = trial_for(request, slug)
    try:
        trial_rename(trial=found, by=visitor(request).by, title=request.POST.get("title", ""))
    except FairtankError as error:
        found.refresh_from_db()
        return _page(request, found, " ".join(refusal_lines(error)))
    return told(request, _("It is called “%(title)s” now.") % {"title": found.title}, "trial", found.slug)


@require_POST
@needs("manage")
def close(request: HttpRequest, slug: str) -> HttpResponse:
    """Call it finished, or take it up again."""
    found = trial_for(request, slug)
    is_closed = found.closed_at is None
    trial_close(trial=found, by=visitor(request).by, is_closed=is_closed)
    said = _("The trial is called finished.") if is_closed else _("The trial goes on.")
    return told(request, said, "trial", found.slug)


@require_POST
@needs("manage")
def remove(request: HttpRequest, slug: str) -> HttpResponse:
    """Take it off the shelf, for 30 days so that it can be brought back."""
    found = trial_for(request, slug)
    trial_remove(trial=found, by=visitor(request).by)
    return told(request, _("“%(title)s” was taken off the shelf. It can be brought back for 30 days.") % {"title": found.title}, "shelf")
