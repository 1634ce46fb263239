"""Phones: the one-time code and its symbol, the page on which a phone is paired, and the list of those that are."""

from pathlib import Path
from typing import Any

import segno
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import InputError
from fairtank.records.certificates import certificate_in
from fairtank.records.models import Device
from fairtank.records.selectors.people import phones_shown
from fairtank.records.services.pairing import (
    CODE_LASTS,
    CODE_TRIES,
    PHONE_LASTS,
    by_of,
    code_make,
    is_paired,
    phone_found,
    phone_pair,
    phone_rename,
    phone_revoke,
)
from fairtank.web.going import see, told
from fairtank.web.house import address
from fairtank.web.said import refusal_told
from fairtank.web.throttle import PAIRING, address_of, forgotten, told_to_wait, wait_s
from fairtank.web.visitors import PHONE_KEY, is_this_machine, needs, open_to_all, visitor


@require_safe
@needs("keep")
def phones(request: HttpRequest) -> HttpResponse:
    """The phones that are paired, and how another one is."""
    return _page(request)


def _page(request: HttpRequest, *, status: int = 200, **more: Any) -> HttpResponse:
    _home_only(request)
    kept = certificate_in(Path(settings.DATA)) if settings.TLS else None
    listed = [(device, is_paired(device)) for device in phones_shown()]
    return render(request, "phones/phones.html", {
        "here": "settings", "phones": listed, "is_lan": settings.LAN, "is_tls": settings.TLS, "address": settings.ADDRESS,
        "days": PHONE_LASTS.days, "minutes": CODE_LASTS.seconds // 60, "tries": CODE_TRIES,
        "fingerprint": kept.fingerprint if kept else "", **more}, status=status)


def _home_only(request: HttpRequest) -> None:
    """Codes are shown on this machine alone; where there are accounts, a phone logs in like everything else."""
    if settings.HOSTED or not is_this_machine(request):
        raise Http404(_("Phones are paired on the computer on which fairtank runs."))


@require_POST
@needs("keep")
def code(request: HttpRequest) -> HttpResponse:
    """A new code, shown once: as a symbol for the camera and as signs to type."""
    _home_only(request)
    if not (settings.LAN and settings.ADDRESS):
        return told(request, _("Phones cannot reach these pages yet: start them with `fairtank serve --lan`."), "phones")
    made = code_make(by=visitor(request).by)
    return _page(request, code=f"{made[:4]} {made[4:]}", symbol=symbol_of(f"{settings.ADDRESS}pair#{made}"))


def symbol_of(text: str) -> SafeString:
    """A QR symbol as a picture for a page, dark on white in both themes."""
    # Made of digits alone: neither the text nor anything a visitor sent stands in it.
    return mark_safe(segno.make(text, error="m", micro=False).svg_inline(border=4, dark="#000", light="#fff", omitsize=True))


@require_http_methods(["GET", "HEAD", "POST"])
@open_to_all
def pair(request: HttpRequest) -> HttpResponse:
    """The page that a phone opens: it takes the code and a name, and the phone is paired."""
    if settings.HOSTED or not settings.LAN:
        raise Http404(_("Phones can be paired only where the pages were started with: fairtank serve --lan"))
    if is_this_machine(request):
        return see("phones")
    if request.method != "POST":
        return _asked(request)
    key = address_of(request)
    if seconds := wait_s(PAIRING, key):
        return told_to_wait(request, seconds)
    try:
        device, secret = phone_pair(code=request.POST.get("code", "")[:40], name=request.POST.get("name", ""))
    except InputError as error:
        return _asked(request, refusal_told(error))
    forgotten(PAIRING, key)
    _paired_before_ended(request)
    request.session.cycle_key()
    request.session[PHONE_KEY] = secret
    return told(request, _("This phone is paired as “%(name)s”, for %(days)d days.") % {"name": device.name, "days": PHONE_LASTS.days},
                "today" if address("today") else "shelf")


def _paired_before_ended(request: HttpRequest) -> None:
    """A phone that is paired again is one phone in the list, not two."""
    before = phone_found(request.session.get(PHONE_KEY) or "")
    if before is not None and is_paired(before):
        phone_revoke(device=before, by=by_of(before))


def _asked(request: HttpRequest, refusal: str = "") -> HttpResponse:
    sent = request.POST
    return render(request, "phones/pair.html", {
        "refusal": refusal, "code": sent.get("code", "")[:40], "name": sent.get("name", "")[:60], "minutes": CODE_LASTS.seconds // 60,
        "is_tls": settings.TLS, "days": PHONE_LASTS.days, "stopped": visitor(request).stopped}, status=422 if refusal else 200)


@require_POST
@needs("keep")
def rename(request: HttpRequest, number: int) -> HttpResponse:
    """Another name for a phone."""
    device = _device(request, number)
    try:
        phone_rename(device=device, name=request.POST.get("name", ""), by=visitor(request).by)
    except InputError as error:
        device.refresh_from_db()
        return _page(request, status=422, refusal=refusal_told(error), refused=device.pk)
    return told(request, _("The phone is called “%(name)s” now.") % {"name": device.name}, "phones")


@require_POST
@needs("keep")
def revoke(request: HttpRequest, number: int) -> HttpResponse:
    """Let a phone in no more."""
    device = _device(request, number)
    phone_revoke(device=device, by=visitor(request).by)
    return told(request, _("“%(name)s” is let in no more. Pair it again whenever you like.") % {"name": device.name}, "phones")


def _device(request: HttpRequest, number: int) -> Device:
    _home_only(request)
    found: Device | None = Device.objects.filter(pk=number).first()
    if found is None:
        raise Http404(_("There is no such phone."))
    return found
