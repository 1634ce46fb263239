"""How even the units are: sentences first, then the matrix, what to do about each; and a form to write down what each unit has."""

import re
from itertools import groupby
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from fairtank.errors import FolderError
from fairtank.records.folder.factor_cells import known_factors
from fairtank.records.models import FactorValue, Trial, Unit
from fairtank.records.selectors.foreseen import even_shown
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.fields_refused import FieldsRefused
from fairtank.records.services.shelf_factors import factor_store
from fairtank.registry import Entry
from fairtank.web.going import told
from fairtank.web.said import in_pages, refusal_lines, worked_out
from fairtank.web.views.planned import arms_wanted, next_step, no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

TOPICS = {
    "glass": gettext_lazy("The glass and its place"), "light": gettext_lazy("Light"), "bed": gettext_lazy("The bed"),
    "machines": gettext_lazy("Filters, heaters, other machines"), "water": gettext_lazy("Water"),
    "feeding": gettext_lazy("Food, doses, carbon dioxide"), "living": gettext_lazy("Plants and animals"), "people": gettext_lazy("People"),
    "instruments": gettext_lazy("Cameras and instruments"),
}  # fmt: skip
_DECIMAL_COMMA = re.compile(r"[-+]?\d*,\d+")
WEIGHTY = 2  # of 3: what usually moves algae or plants that much or more


@require_safe
@needs("look")
def even(request: HttpRequest, slug: str) -> HttpResponse:
    """What else differs between the arms."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "even")
    plan = papers_of(trial).plan
    if plan is not None and plan.blinded and plan.drawn and not arms_wanted(request):
        return trial_page(request, "plan/even_hidden.html", trial, "even", {})
    try:
        shown = even_shown(trial)
    except FolderError as error:
        return no_plan(request, trial, "even", refusal_lines(error))
    sentences = [worked_out(line) for line in shown.document["sentences"]]
    unrecorded, even_ones = (next((line for line in sentences if line.startswith(words)), "")
                             for words in ("Not recorded:", "Even, or within"))
    remedies = [factor for factor in shown.document["factors"] if factor["verdict"] in ("confounded", "side_effect")]
    missing = [factor for factor in shown.document["factors"] if factor["verdict"] == "not_recorded" and factor["weight"] > WEIGHTY]
    return trial_page(request, "plan/even.html", trial, "even", {
        "opening": sentences[0], "sentences": [line for line in sentences[1:] if line not in (unrecorded, even_ones)],
        "unrecorded": unrecorded, "even_ones": even_ones, "caution": worked_out(shown.document["caution"] or ""),
        "pictures": shown.pictures, "remedies": remedies, "missing": missing, **next_step(trial)})


@require_safe
@needs("look")
def equal(request: HttpRequest, slug: str) -> HttpResponse:
    """All factors by topic, with what was written down of each."""
    trial = trial_for(request, slug)
    if not trial.planned:
        return no_plan(request, trial, "equal")
    shows_all = request.GET.get("all") == "1"
    written = _written(trial)
    entries = [entry for entry in known_factors().values() if shows_all or max(entry.algae, entry.plants) > WEIGHTY or entry.key in written]
    topics = [(TOPICS.get(topic, topic), [(entry, written.get(entry.key, "")) for entry in group])
              for topic, group in groupby(entries, key=_topic)]
    return trial_page(request, "plan/equal.html", trial, "equal", {"topics": topics, "shows_all": shows_all,
                                                                   "count": len(known_factors())})


def _topic(entry: Entry) -> str:
    """The file in which a factor is declared names its topic."""
    return entry.function.__module__.rpartition(".")[2]


def _written(trial: Trial) -> dict[str, str]:
    """Factor and what was written down of it, in words."""
    rows: dict[str, list[str]] = {}
    for factor, unit, value, unit_of_measure in FactorValue.objects.filter(trial=trial).order_by("pk").values_list(
            "factor", "unit__key", "value", "unit_of_measure"):
        rows.setdefault(factor, []).append(f"{unit or 'all'}: {value} {unit_of_measure}".strip())
    return {factor: "; ".join(told) for factor, told in rows.items()}


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def factor(request: HttpRequest, slug: str, key: str) -> HttpResponse:
    """What each unit has of one factor."""
    trial, entry = trial_for(request, slug), known_factors().get(key)
    if entry is None:
        raise Http404(_("There is no such factor."))
    if not trial.planned:
        return no_plan(request, trial, "equal")
    if request.method != "POST":
        return _factor_page(request, trial, entry, _there(trial, key))
    units = ["", *Unit.objects.filter(trial=trial).values_list("key", flat=True)]
    values = {unit: request.POST.get(f"value-{unit}", "") for unit in units}
    if entry.unit != "word":
        values = {unit: text.replace(",", ".") if _DECIMAL_COMMA.fullmatch(text.strip()) else text for unit, text in values.items()}
    try:
        factor_store(trial=trial, by=visitor(request).by, factor=key, values=values, unit_of_measure=request.POST.get("unit", ""),
                     note=request.POST.get("note", ""))
    except FieldsRefused as error:
        typed = {"values": values, "unit": request.POST.get("unit", ""), "note": request.POST.get("note", "")}
        return _factor_page(request, trial, entry, typed, {unit: in_pages(line) for unit, line in error.sentences.items()})
    return told(request, _("Written down: %(title)s.") % {"title": entry.title.lower()}, "equal", trial.slug)


def _there(trial: Trial, key: str) -> dict[str, Any]:
    """What was written down of a factor, as the form shows it."""
    rows = list(FactorValue.objects.filter(trial=trial, factor=key).values_list("unit__key", "value", "unit_of_measure", "note"))
    unit_of_measure, note = (rows[0][2], rows[0][3]) if rows else ("", "")
    return {"values": {unit or "": value for unit, value, *_rest in rows}, "unit": unit_of_measure, "note": note}


def _factor_page(request: HttpRequest, trial: Trial, entry: Entry, typed: dict[str, Any],
                 refused: dict[str, str] | None = None) -> HttpResponse:
    refused = refused or {}
    units = list(Unit.objects.filter(trial=trial).values_list("key", "position"))
    fields = [(unit, place, typed["values"].get(unit, ""), refused.get(unit, "")) for unit, place in units]
    return trial_page(request, "plan/factor.html", trial, "equal", {
        "entry": entry, "is_word": entry.unit == "word", "fields": fields, "for_all": typed["values"].get("", ""),
        "unit": typed["unit"] or entry.unit, "note": typed["note"], "refusal": refused.get("", "")}, status=422 if refused else 200)
