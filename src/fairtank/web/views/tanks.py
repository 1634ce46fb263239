"""The keeper's tanks: what each holds, its glass, its history and the trials it served."""

from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.records.models import Tank
from fairtank.records.selectors.tanks import TankShown, notes_of, served_by, tank_shown, tanks_of
from fairtank.records.services.setup_lines import LineRefused, Table, tank_checked
from fairtank.records.services.tanks import table_of_tank, tank_note_add, tank_store
from fairtank.records.services.trash import row_bring_back, row_take_away
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.web.amounts import chosen
from fairtank.web.going import told
from fairtank.web.said import refusal_lines
from fairtank.web.setup_fields import TANK, asked_of, table_typed, unplaced
from fairtank.web.spoken import all_spoken
from fairtank.web.visitors import needs, visitor


@require_safe
@needs("manage")
def tanks(request: HttpRequest) -> HttpResponse:
    """All of them."""
    user = visitor(request).by.user
    listed = [(row, _shown(table_of_tank(row)), served_by(row)) for row in tanks_of(user)]
    return render(request, "tanks/tanks.html", {"here": "tanks", "listed": listed, "away": tanks_of(user, taken_away=True)})


def _shown(table: Table) -> TankShown | None:
    """What a tank holds; None where its sizes are not all there or cannot be built."""
    try:
        return tank_shown(tank_checked({"key": "T1", **table}), with_us=chosen().measures == "us")
    except FairtankError:
        return None


def picture_of(shown: TankShown | None) -> SafeString:
    """The level ruler, which is made here of numbers and escaped texts."""
    return mark_safe(shown.picture.svg) if shown else SafeString()


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def tank(request: HttpRequest, number: int = 0) -> HttpResponse:
    """One tank: looked at and changed, or a new one."""
    row = _mine(request, number) if number else None
    before = table_of_tank(row) if row else {}
    if request.method != "POST":
        return _page(request, row, before)
    table = table_typed(TANK, request.POST, before)
    if request.POST.get("only") == "look":
        return _page(request, row, table, {}, sent=True)
    try:
        kept = tank_store(by=visitor(request).by, table=table, tank=row)
    except LineRefused as error:
        return _page(request, row, table, all_spoken(error.sentences), sent=True)
    except FairtankError as error:
        return _page(request, row, table, {"": " ".join(refusal_lines(error))}, sent=True)
    return told(request, _("The tank %(name)s is written down.") % {"name": kept}, "tank", kept.pk)


def _page(request: HttpRequest, row: Any, table: Table, refused: dict[str, str] | None = None, *, sent: bool = False,
          more: str = "") -> HttpResponse:
    shown = _shown(table)
    typed = request.POST if sent else None
    return render(request, "tanks/tank.html", {
        "here": "tanks", "tank": row, "fields": asked_of(TANK, table, sent=typed, refused=refused), "shown": shown,
        "picture": picture_of(shown),
        "general": unplaced(TANK, refused or {}), "served": served_by(row) if row else [], "notes": notes_of(row) if row else [],
        "note_refusal": more, "today": date.today(), "note": request.POST.get("said", "") if more else "",
        "cautions": [CAUTIONS["glass"], CAUTIONS["weight"]], "last_word": LAST_WORD}, status=422 if refused or more else 200)


@require_POST
@needs("manage")
def look(request: HttpRequest) -> HttpResponse:
    """The picture and the litres of what is typed, while it is typed."""
    shown = _shown(table_typed(TANK, request.POST, {}))
    return render(request, "tanks/look.html", {"shown": shown, "picture": picture_of(shown)})


@require_POST
@needs("manage")
def note(request: HttpRequest, number: int) -> HttpResponse:
    """One line more in its history."""
    row = _mine(request, number)
    try:
        day = date.fromisoformat(request.POST.get("at", ""))
        tank_note_add(tank=row, by=visitor(request).by, said=request.POST.get("said", ""), at=day)
    except FairtankError as error:
        return _page(request, row, table_of_tank(row), more=" ".join(refusal_lines(error)))
    except ValueError:
        return _page(request, row, table_of_tank(row), more=_("The day is not a date, such as 2026-03-01."))
    return told(request, _("Noted."), "tank", row.pk)


@require_POST
@needs("manage")
def take_away(request: HttpRequest, number: int) -> HttpResponse:
    """Off the list; trials keep the sizes that they were set up with."""
    row = _mine(request, number)
    row_take_away(row=row, by=visitor(request).by)
    return told(request, _("%(name)s was taken away; for 30 days it can be brought back below.") % {"name": row}, "tanks")


@require_POST
@needs("manage")
def bring_back(request: HttpRequest, number: int) -> HttpResponse:
    """On the list again."""
    row = tanks_of(visitor(request).by.user, taken_away=True).filter(pk=number).first()
    if row is None:
        raise Http404(_("There is no such tank."))
    try:
        row_bring_back(row=row, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "tanks")
    return told(request, _("%(name)s is back.") % {"name": row}, "tanks")


def _mine(request: HttpRequest, number: int) -> Tank:
    found: Tank | None = tanks_of(visitor(request).by.user).filter(pk=number).first()
    if found is None:
        raise Http404(_("There is no such tank."))
    return found
