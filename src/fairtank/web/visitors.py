"""Who visits, and what they may do: the keeper on this machine, a paired phone, an account of a hosted installation, or nobody.

A view names what it needs (`@needs("record")`); it gets its trial by `trial_for`, which knows only the trials that the visitor may see.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta
from functools import wraps
from ipaddress import IPv4Address, IPv6Address, ip_address
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from fairtank.records.models import Trial
from fairtank.records.selectors.people import roles_of
from fairtank.records.services.pairing import by_of, is_paired, phone_found
from fairtank.records.services.shelf_planning import NAMELESS_SLUG
from fairtank.records.services.trail import By
from fairtank.web.amounts import chosen
from fairtank.web.clock import now_of
from fairtank.web.house import address, house_links, step_links, step_of, trial_links

# What somebody may do: score blind, look at trials, take data away as files, record rounds, change everything of a trial, and look after
# this installation.
RIGHTS = ("score", "look", "export", "record", "manage", "keep")
ROLES: Mapping[str, frozenset[str]] = {
    "owner": frozenset({"score", "look", "export", "record", "manage"}), "helper": frozenset({"look", "export", "record"}),
    "rater": frozenset({"score"}), "reader": frozenset({"look", "export"}),
}  # fmt: skip
PHONE_RIGHTS = frozenset({"look", "record"})
# What the session of a phone keeps, and that of an account besides what Django keeps there.
PHONE_KEY, LOGIN_KEY = "phone", "logged_in_at"
LOGIN_LASTS = timedelta(days=14)
# A browser sets neither by itself: a request with one of them came through something else, whatever address it comes from.
_MOVED = "moved"  # in the session: address of a trial before its plan gave it one after its title, and now
_PASSED_ON = ("HTTP_X_FORWARDED_FOR", "HTTP_FORWARDED", "HTTP_X_REAL_IP")


@dataclass(frozen=True)
class Visitor:
    """Whose hands these are, and what they may do: here (in this trial, where the page is one of a trial), and in the house.

    roles: what an account is in which trial, by the trial's key; None for those who may do the same in all of them. stopped: why a phone
    that was paired, or an account that was logged in, is not let in any more.
    """

    by: By
    rights: frozenset[str]
    house: frozenset[str] = frozenset()
    roles: Mapping[int, str] | None = field(default=None, compare=False)
    stopped: str = ""

    def may(self, right: str) -> bool:
        """Whether the visitor has that right here."""
        return right in self.rights

    def may_in(self, trial: int, right: str) -> bool:
        """Whether the visitor has that right in the trial of that key."""
        return right in (self.rights if self.roles is None else ROLES.get(self.roles.get(trial, ""), frozenset()))


NOBODY = Visitor(By("nobody"), frozenset())
KEEPER = Visitor(By("keeper"), frozenset(RIGHTS), frozenset(RIGHTS))


class Visitors:
    """Puts `visitor` on each request, lets nobody past a view that does not say whom it is for, and hands no file to who may not export."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if settings.LAN and not settings.HOSTED and is_from_afar(request):
            return HttpResponse(_("These pages are for the home network."), status=403, content_type="text/plain; charset=utf-8")
        request.visitor = visitor_of(request)
        answer = self.get_response(request)
        if answer.headers.get("Content-Disposition", "").startswith("attachment") and not visitor(request).may("export"):
            answer.close()
            return render(request, "refused.html", {"reason": _("You may look at this here, and not take it away as a file.")}, status=403)
        return answer

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Mapping[str, Any]) -> HttpResponseBase | None:
        """A view without `needs` is for those who may look, unless it is open to all."""
        if getattr(view, "needs", None) is None and not getattr(view, "is_open", False):
            return admitted(request, "look", {})
        return None


def visitor_of(request: HttpRequest) -> Visitor:
    """Whoever sits at this machine is the keeper, unless it is hosted; others are a paired phone, an account or nobody."""
    if settings.HOSTED:
        return _account(request)
    if is_this_machine(request):  # the name matters only where something is changed, and costs a look into the database
        return KEEPER if request.method in ("GET", "HEAD") else replace(KEEPER, by=By(chosen().keeper_name))
    return _phone(request) if settings.LAN else NOBODY


def _place(request: HttpRequest) -> IPv4Address | IPv6Address | None:
    try:
        place = ip_address(request.META.get("REMOTE_ADDR", ""))
    except ValueError:
        return None
    return getattr(place, "ipv4_mapped", None) or place


def is_this_machine(request: HttpRequest) -> bool:
    """Whether the request was made on this machine, and not passed on for somebody else."""
    place = _place(request)
    return place is not None and place.is_loopback and not any(request.META.get(name) for name in _PASSED_ON)


def is_from_afar(request: HttpRequest) -> bool:
    """Whether the request comes from an address of the internet, as it may where a computer has one of those itself."""
    place = _place(request)
    return place is None or place.is_global


def _phone(request: HttpRequest) -> Visitor:
    secret = request.session.get(PHONE_KEY, "")
    device = phone_found(secret) if isinstance(secret, str) and secret else None
    if device is None:
        return NOBODY
    if not is_paired(device):
        return replace(NOBODY, stopped="revoked" if device.revoked_at else "over")
    return Visitor(by_of(device), PHONE_RIGHTS, PHONE_RIGHTS)


def _account(request: HttpRequest) -> Visitor:
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return NOBODY
    since = request.session.get(LOGIN_KEY)
    if not isinstance(since, (int, float)) or timezone.now().timestamp() - since > LOGIN_LASTS.total_seconds():
        return replace(NOBODY, stopped="over")
    roles = roles_of(user)
    house = frozenset({"look"}).union(*(ROLES.get(role, frozenset()) & {"record", "export"} for role in roles.values()))
    if user.is_staff:
        house |= {"record", "export", "manage"}
    if user.is_superuser:
        house |= {"keep"}
    return Visitor(By(user.get_username(), user), house, house, roles)


def visitor(request: HttpRequest) -> Visitor:
    """The visitor of a request."""
    found: Visitor = getattr(request, "visitor", NOBODY)
    return found


def needs(right: str) -> Callable[[Callable[..., HttpResponseBase]], Callable[..., HttpResponseBase]]:
    """A view that only visitors with that right may use: in the trial of its address, where it is one of a trial, else in the house.

    Others are asked to log in where there are accounts, or told how a phone is paired, or refused.
    """

    def decorated(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
        @wraps(view)
        def asked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            return admitted(request, right, kwargs) or view(request, *args, **kwargs)

        asked.needs = right  # type: ignore[attr-defined]
        return asked

    return decorated


def open_to_all(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """A view that anybody may use who can reach the pages: it shows nothing of a trial unless it asks for a secret itself."""
    view.is_open = True  # type: ignore[attr-defined]
    return view


def admitted(request: HttpRequest, right: str, kwargs: Mapping[str, Any]) -> HttpResponseBase | None:
    """None where the visitor may go on, else the answer. For a page of a trial, `visitor` has the rights of that trial from here on."""
    found = visitor(request)
    request.needed = right
    if "slug" in kwargs and found.roles is not None:
        trial = Trial.everything.filter(slug=kwargs["slug"]).values_list("pk", flat=True).first()
        if trial not in found.roles:  # as if it were not there
            raise Http404(_("There is no such trial on the shelf."))
        found = replace(found, rights=ROLES.get(found.roles[trial], frozenset()))
        request.visitor = found
    if found.may(right):
        return None
    if found.by is NOBODY.by:
        return _stranger(request, found)
    raise PermissionDenied(_("This needs more than you may do here. Ask the keeper of the trial."))


def _stranger(request: HttpRequest, found: Visitor) -> HttpResponseBase:
    """How to be let in. Only a page that is opened leads on: what a script sends must not take another page for its answer."""
    if settings.HOSTED and request.method == "GET" and request.headers.get("Sec-Fetch-Mode", "navigate") == "navigate":
        return redirect(f"{reverse('login')}?{urlencode({'next': request.get_full_path()})}")
    if settings.HOSTED or settings.LAN:
        return render(request, "accounts/stranger.html", {"stopped": found.stopped, "hosted": settings.HOSTED}, status=403)
    raise PermissionDenied(_("These pages are for this computer alone. To let a phone in, start them there with: fairtank serve --lan"))


def trials_for(request: HttpRequest) -> QuerySet[Trial]:
    """The trials in which the visitor may do what the page needs."""
    return _seen(request, Trial.objects.all())


def removed_for(request: HttpRequest) -> QuerySet[Trial]:
    """The same, those that were taken away among them."""
    return _seen(request, Trial.everything.all())


def _seen(request: HttpRequest, trials: QuerySet[Trial]) -> QuerySet[Trial]:
    found, right = visitor(request), getattr(request, "needed", "look")
    if found.roles is None:
        return trials if found.may(right) else trials.none()
    return trials.filter(pk__in=[key for key in found.roles if found.may_in(key, right)])


def trial_for(request: HttpRequest, slug: str) -> Trial:
    """One of them by its word in the address."""
    found: Trial | None = trials_for(request).filter(slug=slug).first()
    if found is None and slug.startswith(NAMELESS_SLUG):
        found = trials_for(request).filter(slug=request.session.get(_MOVED, {}).get(slug, "")).first()
    if found is None:
        raise Http404(_("No trial has this address now. Once its plan is made, a trial has an address after its title: look on the shelf.")
                      if slug.startswith(NAMELESS_SLUG) else _("There is no such trial on the shelf."))
    return found


def named(request: HttpRequest) -> By:
    """Who asks, under the name by which is kept what they do: for pages that show again what their visitor did before.

    On this machine that name costs a look into the database, and `visitor` leaves it out where nothing is changed.
    """
    found = visitor(request).by
    return By(chosen().keeper_name) if found is KEEPER.by else found


def moved(request: HttpRequest, before: str, trial: Trial) -> None:
    """Remember for this visitor that a trial has another address now: the way back in the browser, and another window, still lead to it."""
    if trial.slug != before:
        request.session[_MOVED] = {**request.session.get(_MOVED, {}), before: trial.slug}


def in_pages(request: HttpRequest) -> dict[str, Any]:
    """What every page may use."""
    found = visitor(request)
    house = list(house_links(found.house))
    if found.roles is not None:
        house.append(("account", _("Your account"), address("account")))
    return {"visitor": found, "theme": request.COOKIES.get("theme", ""), "house": house, "is_hosted": settings.HOSTED}


def trial_page(request: HttpRequest, template: str, trial: Trial, here: str, content: dict[str, Any], *, status: int = 200) -> HttpResponse:
    """A page of one trial: with its path and the pages of the step to which it belongs. here: its route."""
    rights, step = visitor(request).rights, step_of(here)
    more = {"trial": trial, "here": here, "step": step, "trial_path": list(trial_links(trial, rights)),
            "pages": step_links(trial, step, here, rights), "offers_round": "record" in rights and takes_rounds(request, trial)}
    return render(request, template, {**more, **content}, status=status)


def takes_rounds(request: HttpRequest, trial: Trial) -> bool:
    """Whether a page offers to begin a round: not where the last day is past, or the trial was finished."""
    is_past = trial.start is not None and trial.days is not None and (now_of(request).date() - trial.start).days > trial.days
    return trial.closed_at is None and not is_past
