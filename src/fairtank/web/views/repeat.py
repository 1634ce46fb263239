"""Repeat a trial: from a kit that somebody gave, or from a trial of the shelf, a plan of one's own for one's own tanks."""

from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.planning.building.repeated import OPEN, RECKONED, TAKEN
from fairtank.publish.numbers import NO_BREAK
from fairtank.records.services.repeating import DAYS_AHEAD, OtherTanks
from fairtank.records.services.shelf_repeat import shelf_repeat
from fairtank.web.said import refusal_lines, worked_out
from fairtank.web.visitors import needs, trials_for, visitor

FIELDS = ("length_cm", "width_cm", "height_cm", "glass_mm", "start")


@require_safe
@needs("manage")
def repeat(request: HttpRequest) -> HttpResponse:
    """The page."""
    return _page(request)


def _page(request: HttpRequest, refusals: list[str] | None = None) -> HttpResponse:
    typed = {name: request.POST.get(name, "") for name in FIELDS}
    typed["start"] = typed["start"] or (date.today() + timedelta(days=DAYS_AHEAD)).isoformat()
    return render(request, "repeat/repeat.html", {
        "here": "shelf", "trials": trials_for(request).filter(planned=True), "chosen": request.POST.get("trial", request.GET.get("trial",
                                                                                                                                 "")),
        "typed": typed, "refusals": refusals or [],
    }, status=422 if refusals else 200)


@require_POST
@needs("manage")
def make(request: HttpRequest) -> HttpResponse:
    """Put the new plan on the shelf, and show what became of the first one."""
    file, slug = request.FILES.get("file"), request.POST.get("trial", "")
    trial = trials_for(request).filter(slug=slug, planned=True).first() if slug else None
    try:
        if trial is None and file is None:
            raise InputError(_("What is repeated"), _("not chosen"), _("a trial of the shelf, or the file of a kit"))
        new, made = shelf_repeat(by=visitor(request).by, tanks=_tanks(request), start=_start(request), trial=None if file else trial,
                                 content=file.chunks() if file else None, called=file.name or "" if file else "",
                                 owner=visitor(request).by.user)
    except FairtankError as error:
        return _page(request, refusal_lines(error))
    return render(request, "repeat/repeated.html", {"here": "shelf", "trial": new, "repeats": made.plan.repeats,
                                                    "parts": _parts(made.moved)})


def _parts(moved: Any) -> list[tuple[str, list[Any]]]:
    """The lines by what became of them; as they are worked out, in English."""
    rows = [(one.kind, {"what": worked_out(one.what), **{name: text.replace(" ", NO_BREAK) if one.kind == RECKONED else text
                                                         for name, text in (("was", one.was), ("now", one.now))}}) for one in moved]
    return [(kind, [row for of, row in rows if of == kind]) for kind in (OPEN, RECKONED, TAKEN)]


def _tanks(request: HttpRequest) -> OtherTanks:
    length, width, height, glass = (_number(request, name, most) for name, most in
                                    (("length_cm", 500.0), ("width_cm", 500.0), ("height_cm", 500.0), ("glass_mm", 40.0)))
    return OtherTanks(((length, width, height),), glass)


def _number(request: HttpRequest, name: str, most: float) -> float:
    """A size as it was typed, with a point or a comma."""
    labels = {"length_cm": _("Length"), "width_cm": _("Width"), "height_cm": _("Height"), "glass_mm": _("Glass")}
    text = request.POST.get(name, "").strip().replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 1 <= value <= most:
        raise InputError(labels[name], text[:40] or _("empty"), _("a number from 1 to %(most)g") % {"most": most})
    return value


def _start(request: HttpRequest) -> date | None:
    text = request.POST.get("start", "").strip()
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise InputError(_("Day 0"), text[:40], _("a date such as 2027-03-01")) from None
