"""The keeper's choices, backups, what was taken away, and where the data lie."""

import platform
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import django
from django.conf import settings as django_settings
from django.db import connection
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import get_language, gettext_lazy, override
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank import __version__
from fairtank.errors import FairtankError
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Job
from fairtank.records.selectors.preferences import preferences
from fairtank.records.services.shelf_settings import BACKUPS, backups_kept, data_measured, preferences_store
from fairtank.records.services.trash import KEPT_DAYS, kept_models, row_bring_back
from fairtank.web.amounts import forget
from fairtank.web.going import told
from fairtank.web.house import address
from fairtank.web.language import A_YEAR_S, is_language, keep_language
from fairtank.web.said import refusal_lines
from fairtank.web.visitors import needs, visitor

THEMES = (("", gettext_lazy("as the system")), ("light", gettext_lazy("light")), ("dark", gettext_lazy("dark")))
MEASURES = (("metric", gettext_lazy("litres, centimetres, kilograms")), ("us", gettext_lazy("US gallons, inches, pounds")))
TEMPERATURES = (("degC", "°C"), ("degF", "°F"))
WORK = {"backup": gettext_lazy("A backup is being written; it appears below."),
        "check": gettext_lazy("Every photo and every row is looked at.")}
KIND_WORDS = {"trial": gettext_lazy("trials"), "tank": gettext_lazy("tanks"), "tanknote": gettext_lazy("notes of tanks"),
              "material": gettext_lazy("materials"), "photo": gettext_lazy("photos"), "reading": gettext_lazy("readings"),
              "event": gettext_lazy("the diary"), "choredone": gettext_lazy("chores done"), "buildline": gettext_lazy("weighed in"),
              "factorvalue": gettext_lazy("what each tank has")}  # fmt: skip
MOST_SHOWN = 100


@require_safe
@needs("keep")
def settings(request: HttpRequest) -> HttpResponse:
    """Everything that can be chosen."""
    return _page(request)


def _page(request: HttpRequest, refused: str = "") -> HttpResponse:
    checked = Job.objects.filter(kind="check", state="done").first()
    backups = [(name, size, datetime.fromtimestamp(at, UTC)) for name, size, at in backups_kept()]
    return render(request, "settings/settings.html", {
        "here": "settings", "chosen": preferences(), "name": request.POST.get("keeper_name") if refused else None, "refused": refused,
        "measures": MEASURES, "temperatures": TEMPERATURES, "themes": THEMES, "languages": django_settings.LANGUAGES,
        "language": get_language(), "backups": backups, "checked": checked, "under_way": Job.objects.filter(
            kind__in=list(WORK), state__in=("waiting", "running")), "data": data_measured(), "jobs": address("jobs"),
        "phones": "" if django_settings.HOSTED else address("phones"), "accounts": address("accounts") if django_settings.HOSTED else "",
        "versions": _versions()}, status=422 if refused else 200)


def _versions() -> tuple[tuple[str, str], ...]:
    database = sqlite3.sqlite_version if connection.vendor == "sqlite" else ""
    return (("fairtank", __version__), ("Python", platform.python_version()), ("Django", django.get_version()),
            (connection.display_name, database), (_("System"), platform.platform(terse=True)))


@require_POST
@needs("keep")
def keep(request: HttpRequest) -> HttpResponse:
    """Keep the choices of one part of the page."""
    sent = request.POST
    given: dict[str, Any] = {key: sent[key] for key in ("keeper_name", "measures", "temperature") if key in sent}
    if sent.get("part") == "photos":
        given["keep_gps"] = bool(sent.get("keep_gps"))
    try:
        changed = preferences_store(by=visitor(request).by, given=given)
    except FairtankError as error:
        return _page(request, " ".join(refusal_lines(error)))
    forget()
    return told(request, _("Kept.") if changed else _("Nothing was changed."), "settings")


@require_POST
@needs("keep")
def look(request: HttpRequest) -> HttpResponse:
    """Language, and light or dark: of this browser alone, kept by it."""
    theme, language = request.POST.get("theme", ""), request.POST.get("language", "")
    with override(language if is_language(language) else get_language()):
        answer = told(request, _("Kept in this browser."), "settings")
    secure = django_settings.SESSION_COOKIE_SECURE
    if theme in ("light", "dark"):
        answer.set_cookie("theme", theme, max_age=A_YEAR_S, samesite="Lax", secure=secure, httponly=True)
    else:
        answer.delete_cookie("theme")
    if is_language(language):
        keep_language(answer, language)
    return answer


@require_POST
@needs("keep")
def work(request: HttpRequest, kind: str) -> HttpResponse:
    """Write a backup, or look whether everything is as it was kept: work that goes on behind the pages."""
    if kind not in WORK:
        raise Http404(_("There is no such work."))
    if not Job.objects.filter(kind=kind, state__in=("waiting", "running")).exists():
        enqueue(kind=kind, by=visitor(request).by)
    return told(request, str(WORK[kind]), "settings")


@require_safe
@needs("keep")
def backup(request: HttpRequest, name: str) -> FileResponse:
    """A backup to take along."""
    if name not in [one for one, _size, _at in backups_kept()]:
        raise Http404(_("There is no such backup."))
    return FileResponse((Path(django_settings.DATA) / BACKUPS / name).open("rb"), as_attachment=True, filename=name)


@require_safe
@needs("keep")
def trash(request: HttpRequest) -> HttpResponse:
    """Everything that was taken away in the last 30 days, by kind."""
    since, listed = timezone.now() - timedelta(days=KEPT_DAYS), []
    for model in kept_models():
        fields = {field.name for field in model._meta.get_fields()}
        related = [name for name in ("trial", "unit", "tank") if name in fields and model._meta.get_field(name).many_to_one]
        rows = list(model.everything.filter(removed_at__gte=since).select_related(*related).order_by("-removed_at")[:MOST_SHOWN])
        if rows:
            kind = model._meta.model_name or ""
            listed.append((kind, KIND_WORDS.get(kind, model._meta.verbose_name_plural), rows))
    return render(request, "settings/trash.html", {"here": "settings", "listed": listed, "days": KEPT_DAYS, "most": MOST_SHOWN})


@require_POST
@needs("keep")
def bring_back(request: HttpRequest, kind: str, number: int) -> HttpResponse:
    """Bring one of them back."""
    model = next((model for model in kept_models() if model._meta.model_name == kind), None)
    row = None if model is None else model.everything.exclude(removed_at=None).filter(pk=number).first()
    if row is None:
        raise Http404(_("There is no such thing among what was taken away."))
    try:
        row_bring_back(row=row, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "settings_trash")
    return told(request, _("“%(name)s” is back.") % {"name": row}, "settings_trash")
