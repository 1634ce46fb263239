"""Readings: a table for each quantity, tanks as columns and days as rows; a whole row entered at once."""

import uuid
from datetime import datetime, time
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.records.models import Trial
from fairtank.records.planned import Planned, planned_of
from fairtank.records.rows.door import text_of_rows
from fairtank.records.selectors.diary import readings_table
from fairtank.records.selectors.rounds import known_quantities, last_values, title_of
from fairtank.records.services.entries import DoubtfulError, Entering, Stored, plain
from fairtank.records.services.readings import readings_row_add
from fairtank.web.amounts import own_unit, reading_kept
from fairtank.web.clock import now_of
from fairtank.web.diary_forms import date_typed, late_round, time_typed
from fairtank.web.house import address
from fairtank.web.rounds import last_words
from fairtank.web.said import refusal_told
from fairtank.web.telling import tell
from fairtank.web.visitors import needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of


@require_safe
@needs("look")
def readings(request: HttpRequest, slug: str) -> HttpResponse:
    """One quantity of all tanks, with a row to fill."""
    trial = trial_for(request, slug)
    planned = planned_of(trial)
    if planned is None:
        return trial_page(request, "diary/none.html", trial, "readings", {})
    before = request.GET.get("before", "")
    return _page(request, trial, planned, request.GET.get("quantity", ""), before=whole_of(before))


def _page(request: HttpRequest, trial: Trial, planned: Planned, quantity: str, *, before: int | None = None,
          outcomes: dict[str, Any] | None = None, refusal: str = "") -> HttpResponse:  # fmt: skip
    known, sent, now = known_quantities(trial, planned), request.POST, now_of(request)
    own = next((one for one in known if one.key == quantity), None if quantity else next(iter(known), None))
    key = own.key if own else plain(quantity)
    lasts = last_values(trial, (now.date() - planned.plan.start).days + 1, planned.order, [key]) if key else {}
    fields = [(number, unit, sent.get(f"value-{number}", ""), (outcomes or {}).get(unit), last_words(lasts.get((unit, key))))
              for number, unit in enumerate(planned.order)]
    content = {
        "quantities": [(one, title_of(one)) for one in known], "own": own, "quantity": key, "title": title_of(own) if own else key,
        "table": readings_table(trial, planned.plan.start, planned.order, key, before=before) if key else None, "fields": fields,
        "measured": sent.get("unit_of_measure", own_unit(own.unit_of_measure) if own else ""), "on": sent.get("on", f"{now:%Y-%m-%d}"),
        "at": sent.get("at", ""), "late": sent.get("late", ""), "today": now.date(), "refusal": refusal, "entry": uuid.uuid4().hex[:32],
        "import_address": address("readings_import", trial.slug), "may_record": visitor(request).may("record"),
    }
    return trial_page(request, "readings/readings.html", trial, "readings", content, status=422 if refusal or outcomes else 200)


@require_POST
@needs("record")
def add(request: HttpRequest, slug: str) -> HttpResponse:
    """A row of the table: one value for each tank that was filled."""
    trial, sent = trial_for(request, slug), request.POST
    planned = planned_of(trial)
    if planned is None:
        return redirect("readings", slug=slug)
    quantity, outcomes = sent.get("new_quantity", "").strip() or sent.get("quantity", ""), {}
    try:
        outcomes = _stored(request, trial, planned, quantity)
    except FairtankError as error:
        return _page(request, trial, planned, quantity, refusal=refusal_told(error))
    wrong = {unit: one for unit, one in outcomes.items() if not isinstance(one, Stored)}
    count = len(outcomes) - len(wrong)
    if wrong:
        told = {unit: {"said": refusal_told(error), "is_asked": isinstance(error, DoubtfulError)} for unit, error in wrong.items()}
        return _page(request, trial, planned, quantity, outcomes=told)
    said = ngettext("%(n)d reading stored.", "%(n)d readings stored.", count) % {"n": count}
    tell(request, said if count else _("Nothing was filled in."))
    return redirect(f"{reverse('readings', args=[trial.slug])}?{urlencode({'quantity': quantity})}")


def _stored(request: HttpRequest, trial: Trial, planned: Planned, quantity: str) -> dict[str, Any]:
    sent, now, by = request.POST, now_of(request), visitor(request).by
    on = date_typed(sent.get("on", ""), _("the day"))
    at = datetime.combine(on, time_typed(sent.get("at", "")) or (now.time() if on == now.date() else time(12, 0)))
    entry = sent.get("entry", "")[:32]
    late = sent.get("late", "")
    who = Entering(trial, by, now, entry or None, late_round(trial, by, on, late, now, f"late-{entry}"), late)
    values = {unit: sent.get(f"value-{number}", "") for number, unit in enumerate(planned.order)}
    sure = frozenset(unit for number, unit in enumerate(planned.order) if f"sure-{number}" in sent)
    measured = sent.get("unit_of_measure", "")
    kept = {unit: reading_kept(text, measured) for unit, text in values.items()}
    measured = next((name for _, name in kept.values() if name != measured), measured)
    return readings_row_add(who=who, quantity=quantity, unit_of_measure=measured, values={unit: text for unit, (text, _) in kept.items()},
                            taken_at=at, sure=sure)


@require_safe
@needs("export")
def export(request: HttpRequest, slug: str) -> HttpResponse:
    """All readings as the trial folder holds them."""
    trial = trial_for(request, slug)
    return HttpResponse(text_of_rows(trial, "readings"), content_type="text/csv; charset=utf-8",
                        headers={"Content-Disposition": f'attachment; filename="{trial.slug}-readings.csv"'})
