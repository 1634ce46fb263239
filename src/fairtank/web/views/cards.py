"""The photo cards of a trial, to print and to stand beside its tanks."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from fairtank.errors import FairtankError
from fairtank.records.services.shelf_cards import cards_sheets
from fairtank.web.amounts import chosen
from fairtank.web.said import refusal_lines
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, visitor


@require_POST
@needs("manage")
def cards(request: HttpRequest, slug: str) -> HttpResponse:
    """The sheets; a tank that has no card yet is given one, and keeps it."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "build")
    try:
        sheets = cards_sheets(trial=trial, by=visitor(request).by, paper="letter" if chosen().measures == "us" else "a4")
    except FairtankError as error:
        return no_plan(request, trial, "build", refusal_lines(error))
    return HttpResponse(sheets, content_type="application/pdf",
                        headers={"Content-Disposition": f'attachment; filename="{trial.slug}-cards.pdf"'})
