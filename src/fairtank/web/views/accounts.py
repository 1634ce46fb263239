"""Accounts of a hosted installation: logging in and out, one's own page, and the list for who looks after it."""

from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.contrib.auth import authenticate, get_user_model, update_session_auth_hash
from django.contrib.auth import login as session_login
from django.contrib.auth import logout as session_logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import InputError
from fairtank.records.models import Trial
from fairtank.records.selectors.people import accounts_shown
from fairtank.records.services.accounts import LONGEST_PASSWORD, account_close, name_plain, password_change
from fairtank.web.going import See, see, told
from fairtank.web.house import trial_links
from fairtank.web.said import refusal_told
from fairtank.web.throttle import LOGIN_ACCOUNT, LOGIN_ADDRESS, PASSWORD, address_of, forgotten, told_to_wait, wait_s
from fairtank.web.visitors import LOGIN_KEY, LOGIN_LASTS, ROLES, needs, open_to_all, visitor


def hosted_only() -> None:
    """There are no accounts on a keeper's own computer."""
    if not settings.HOSTED:
        raise Http404(_("There are no accounts here: whoever sits at this computer is the keeper."))


def own_page(request: HttpRequest, wanted: str) -> bool:
    """Whether an address that was asked for is one of these pages."""
    return url_has_allowed_host_and_scheme(wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure())


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
@open_to_all
def login(request: HttpRequest) -> HttpResponse:
    """Ask for name and password; an unknown name takes as long to refuse as a wrong password."""
    hosted_only()
    wanted = request.POST.get("next", request.GET.get("next", ""))
    if request.method != "POST":
        return _login(request, wanted)
    name, password = request.POST.get("name", "")[:150], request.POST.get("password", "")
    keys = ((LOGIN_ADDRESS, address_of(request)), (LOGIN_ACCOUNT, name_plain(name).casefold()))
    if seconds := max(wait_s(limit, key) for limit, key in keys):
        return told_to_wait(request, seconds)
    user = authenticate(request, username=_stored(name), password=password) if len(password) <= LONGEST_PASSWORD else None
    if user is None:
        return _login(request, wanted, _("That is not a name with its password. Capitals count in the password."), name)
    for limit, key in keys:
        forgotten(limit, key)
    begin(request, user)
    # The account's own page says where it may go: the shelf has nothing for a rater.
    return See(wanted if wanted != "/" and own_page(request, wanted) else reverse("account"))


def _stored(name: str) -> str:
    """The name as the account has it: capitals do not make another one."""
    found = get_user_model().objects.filter(username__iexact=name_plain(name)).values_list("username", flat=True).first()
    return found or name_plain(name)


def begin(request: HttpRequest, user: Any) -> None:
    """Begin the session of an account, under a key of its own."""
    session_login(request, user)
    request.session[LOGIN_KEY] = timezone.now().timestamp()


def _login(request: HttpRequest, wanted: str, refusal: str = "", name: str = "") -> HttpResponse:
    return render(request, "accounts/login.html", {"next": wanted if own_page(request, wanted) else "", "refusal": refusal, "name": name,
                                                   "days": LOGIN_LASTS.days}, status=422 if refusal else 200)


@require_POST
@open_to_all
def logout(request: HttpRequest) -> HttpResponse:
    """End the session; what the browser kept of these pages goes with it. What was typed in a round and not sent yet stays there."""
    hosted_only()
    session_logout(request)
    answer = see("login")
    answer.headers["Clear-Site-Data"] = '"cache"'
    return answer


@require_safe
@needs("look")
def account(request: HttpRequest) -> HttpResponse:
    """Your account: the trials you were let into, the password, and logging out."""
    hosted_only()
    return _account(request)


def _account(request: HttpRequest, refusal: str = "") -> HttpResponse:
    return render(request, "accounts/account.html", {"here": "account", "trials": list(_trials(request)), "refusal": refusal},
                  status=422 if refusal else 200)


def _trials(request: HttpRequest) -> Iterator[tuple[Trial, str, str]]:
    """Each trial, what the account is in it, and the first page of it that it may open."""
    roles = visitor(request).roles or {}
    for trial in Trial.objects.filter(pk__in=roles):
        rights = ROLES.get(roles[trial.pk], frozenset())
        first = trial.get_absolute_url() if "look" in rights else next((place for _step, _words, place in trial_links(trial, rights)), "")
        yield trial, roles[trial.pk], first


@sensitive_post_parameters("password", "new", "again")
@require_POST
@needs("look")
def password(request: HttpRequest) -> HttpResponse:
    """Another password, for who knows the present one; all other sessions of the account end."""
    hosted_only()
    user, sent = request.user, request.POST
    key = f"{user.pk}"
    if seconds := wait_s(PASSWORD, key):
        return told_to_wait(request, seconds)
    if len(sent.get("password", "")) > LONGEST_PASSWORD or not user.check_password(sent.get("password", "")):
        return _account(request, _("That is not your present password."))
    if sent.get("new") != sent.get("again"):
        return _account(request, _("The new password was not typed the same way twice."))
    try:
        password_change(user=user, password=sent.get("new", ""), by=visitor(request).by)
    except InputError as error:
        return _account(request, refusal_told(error))
    forgotten(PASSWORD, key)
    update_session_auth_hash(request, user)
    return told(request, _("Your password was changed. Wherever else you were logged in, you are logged out."), "account")


@require_safe
@needs("keep")
def accounts(request: HttpRequest) -> HttpResponse:
    """All accounts, for who looks after the installation."""
    return _accounts(request)


def _accounts(request: HttpRequest, refusal: str = "") -> HttpResponse:
    hosted_only()
    return render(request, "accounts/accounts.html", {"here": "settings", "accounts": accounts_shown(), "refusal": refusal},
                  status=422 if refusal else 200)


@require_POST
@needs("keep")
def close(request: HttpRequest, number: int) -> HttpResponse:
    """Let an account in no more, or again."""
    hosted_only()
    user = get_user_model().objects.filter(pk=number).first()
    if user is None:
        raise Http404(_("There is no such account."))
    is_closed = user.is_active
    try:
        account_close(user=user, by=visitor(request).by, is_closed=is_closed)
    except InputError as error:
        return _accounts(request, refusal_told(error))
    said = _("%(name)s is let in no more.") if is_closed else _("%(name)s is let in again.")
    return told(request, said % {"name": user.get_username()}, "accounts")
