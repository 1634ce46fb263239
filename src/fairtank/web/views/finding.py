"""The finding of a trial: the sentence, the picture, the table, how it was computed, and the rest; and when it may be read."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.safestring import SafeString
from django.views.decorators.http import require_safe

from fairtank.records.models import Trial
from fairtank.records.selectors.finding import NOTHING, TO_WAIT, FindingShown, MeasureShown, finding_shown
from fairtank.records.selectors.trial_state import counts_of
from fairtank.web.figures import figures_of
from fairtank.web.security import FILE_POLICY
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page

FORBIDDEN = 403


@require_safe
@needs("look")
def finding(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "finding")
    return finding_page(request, trial, shown_to(request, trial))


@require_safe
@needs("export")
def findings_file(request: HttpRequest, slug: str) -> HttpResponse:
    """What `fairtank judge` prints for this trial with --json; refused with the page that says why where it may not be seen."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "finding")
    shown = shown_to(request, trial)
    if not shown.text:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    return download(shown.text.encode(), "application/json", f"{trial.slug}-findings.json")


def shown_to(request: HttpRequest, trial: Trial) -> FindingShown:
    """As much of the finding as this visitor may see now."""
    return finding_shown(trial, sees_arms=request.GET.get("arms") == "shown")


def finding_page(request: HttpRequest, trial: Trial, shown: FindingShown, *, status: int = 200) -> HttpResponse:
    """The finding, or when and why it may be read."""
    plan, content = shown.papers.plan, shown.content or {}
    return trial_page(request, "finding/finding.html", trial, "finding", {
        "shown": shown, "answer": shown.answer, "kind": "judge", "arms": request.GET.get("arms", ""),
        "counts": counts_of(trial) if shown.state in (NOTHING, TO_WAIT) else None, "question": plan.question if plan else "",
        "primary": _with_figures(shown, shown.primary), "secondary": _with_figures(shown, shown.secondary),
        "methods": _own_first(content.get("methods", [])), "lies_ahead": any(ahead for _day, _on, ahead in shown.days)}, status=status)


def _with_figures(shown: FindingShown, measures: Sequence[MeasureShown]) -> list[tuple[MeasureShown, dict[str, SafeString]]]:
    result = shown.answer.result
    return [(one, figures_of(result, one.measure)) for one in measures] if result else []


def _own_first(blocks: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """What was computed here, in numbers; and the rules that hold for any trial, from the first list on."""
    first = next((place for place, block in enumerate(blocks) if block["kind"] == "bullets"), len(blocks))
    return blocks[:first], blocks[first:]


def download(content: bytes, media_type: str, name: str) -> HttpResponse:
    """A file to keep; nothing in it is run."""
    return HttpResponse(content, content_type=f"{media_type}; charset=utf-8", headers={
        "Content-Disposition": f'attachment; filename="{name}"', "Content-Security-Policy": FILE_POLICY})
