"""The keeper's materials: a list by kind, a form with the fields that a kind needs, and taking them out of a trial's setup."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.build import MATERIAL_KINDS
from fairtank.errors import FairtankError
from fairtank.records.models import Material
from fairtank.records.selectors.materials import by_kind, materials_of, trials_with_setup
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.materials import material_store, materials_take, table_of_material
from fairtank.records.services.setup_lines import LineRefused, Table
from fairtank.records.services.trash import row_bring_back, row_take_away
from fairtank.web.going import told
from fairtank.web.said import refusal_lines
from fairtank.web.setup_fields import WORDS, asked_of, material_fields, table_typed, unplaced
from fairtank.web.spoken import all_spoken
from fairtank.web.visitors import needs, trial_for, trials_for, visitor


@require_safe
@needs("manage")
def materials(request: HttpRequest) -> HttpResponse:
    """All of them, by kind."""
    user = visitor(request).by.user
    listed = [(WORDS[kind], rows) for kind, rows in by_kind(materials_of(user))]
    return render(request, "materials/materials.html", {
        "here": "materials", "listed": listed, "away": materials_of(user, taken_away=True), "kinds": _kinds(),
        "trials": trials_with_setup(trials_for(request))[:200]})


def _kinds() -> list[tuple[str, Any]]:
    return [(kind, WORDS[kind]) for kind in MATERIAL_KINDS]


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def material(request: HttpRequest, number: int = 0) -> HttpResponse:
    """One material: changed, or a new one of the kind that the address names."""
    row = _mine(request, number) if number else None
    kind = row.kind if row else request.POST.get("kind", request.GET.get("kind", ""))
    before: Table = table_of_material(row) if row else {}
    if kind not in MATERIAL_KINDS:
        return render(request, "materials/kinds.html", {"here": "materials", "kinds": _kinds()})
    if request.method != "POST":
        return _page(request, row, kind, before)
    table = {**table_typed(material_fields(kind), request.POST, before), "kind": kind}
    try:
        kept = material_store(by=visitor(request).by, table=table, material=row)
    except LineRefused as error:
        return _page(request, row, kind, table, all_spoken(error.sentences))
    return told(request, _("%(name)s is written down.") % {"name": kept}, "materials")


def _page(request: HttpRequest, row: Any, kind: str, table: Table, refused: dict[str, str] | None = None) -> HttpResponse:
    fields = material_fields(kind)
    return render(request, "materials/material.html", {
        "here": "materials", "material": row, "kind": kind, "kind_words": WORDS[kind], "general": unplaced(fields, refused or {}),
        "fields": asked_of(fields, table, sent=request.POST if refused is not None else None, refused=refused)},
        status=422 if refused else 200)


@require_POST
@needs("manage")
def take(request: HttpRequest) -> HttpResponse:
    """Everything that a trial's setup describes and the catalogue does not have."""
    trial = trial_for(request, request.POST.get("trial", ""))
    setup = papers_of(trial).setup
    if setup is None:
        return told(request, _("The setup of that trial cannot be read; look at its page “Build sheet”."), "materials")
    new, there = materials_take(by=visitor(request).by, materials=setup.materials, said_of=trial.title)
    return told(request, _("%(new)d taken into the list, %(there)d were there already.") % {"new": new, "there": there}, "materials")


@require_POST
@needs("manage")
def take_away(request: HttpRequest, number: int) -> HttpResponse:
    """Off the list; trials keep what they were set up with."""
    row = _mine(request, number)
    row_take_away(row=row, by=visitor(request).by)
    return told(request, _("%(name)s was taken away; for 30 days it can be brought back below.") % {"name": row}, "materials")


@require_POST
@needs("manage")
def bring_back(request: HttpRequest, number: int) -> HttpResponse:
    """On the list again."""
    row = materials_of(visitor(request).by.user, taken_away=True).filter(pk=number).first()
    if row is None:
        raise Http404(_("There is no such material."))
    try:
        row_bring_back(row=row, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "materials")
    return told(request, _("%(name)s is back.") % {"name": row}, "materials")


def _mine(request: HttpRequest, number: int) -> Material:
    found: Material | None = materials_of(visitor(request).by.user).filter(pk=number).first()
    if found is None:
        raise Http404(_("There is no such material."))
    return found
