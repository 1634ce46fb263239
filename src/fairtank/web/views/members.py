"""Who was let into a trial: the list, invitations, what an invited visitor sees; and the trail of the trial."""

from django.core.paginator import Paginator
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import InputError
from fairtank.records.models import Invitation, Member, Trial
from fairtank.records.models.people import INVITED_ROLES, MEMBER_ROLES
from fairtank.records.selectors.people import invitations_open, members_of, trail_of
from fairtank.records.services.accounts import account_add
from fairtank.records.services.members import (
    INVITATION_LASTS,
    invitation_accept,
    invitation_make,
    invitation_open,
    invitation_withdraw,
    member_change,
    member_remove,
)
from fairtank.records.services.trail import By
from fairtank.web.going import told
from fairtank.web.said import refusal_told
from fairtank.web.throttle import INVITATION, address_of, forgotten, told_to_wait, wait_s
from fairtank.web.views.accounts import begin, hosted_only
from fairtank.web.visitors import needs, open_to_all, trial_for, trial_page, visitor

ON_A_PAGE = 100


@require_safe
@needs("look")
def trail(request: HttpRequest, slug: str) -> HttpResponse:
    """Who changed what in a trial, and when."""
    trial = trial_for(request, slug)
    page = Paginator(trail_of(trial), ON_A_PAGE).get_page(request.GET.get("page"))
    return trial_page(request, "accounts/trail.html", trial, "trail", {"page": page})


@require_safe
@needs("manage")
def members(request: HttpRequest, slug: str) -> HttpResponse:
    """Who was let into a trial, and who is invited."""
    hosted_only()
    return _page(request, trial_for(request, slug))


def _page(request: HttpRequest, trial: Trial, refusal: str = "", link: str = "") -> HttpResponse:
    return trial_page(request, "accounts/members.html", trial, "members", {
        "members": members_of(trial), "invitations": invitations_open(trial), "roles": MEMBER_ROLES, "invited_roles": INVITED_ROLES,
        "days": INVITATION_LASTS.days, "refusal": refusal, "link": link}, status=422 if refusal else 200)


@require_POST
@needs("manage")
def invite(request: HttpRequest, slug: str) -> HttpResponse:
    """A link that lets one person in; it is shown once."""
    hosted_only()
    trial, sent = trial_for(request, slug), request.POST
    try:
        _made, secret = invitation_make(trial=trial, role=sent.get("role", ""), note=sent.get("note", ""), by=visitor(request).by)
    except InputError as error:
        return _page(request, trial, refusal_told(error))
    return _page(request, trial, link=request.build_absolute_uri(f"/invited/#{secret}"))


@require_POST
@needs("manage")
def withdraw(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Let nobody in by an invitation any more."""
    hosted_only()
    trial = trial_for(request, slug)
    found = Invitation.objects.filter(trial=trial, pk=number).first()
    if found is None:
        raise Http404(_("There is no such invitation."))
    invitation_withdraw(invitation=found, by=visitor(request).by)
    return told(request, _("The invitation was withdrawn."), "members", slug)


@require_POST
@needs("manage")
def role(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Another role for a member."""
    hosted_only()
    trial = trial_for(request, slug)
    member = _member(trial, number)
    try:
        member_change(member=member, role=request.POST.get("role", ""), by=visitor(request).by)
    except InputError as error:
        return _page(request, trial, refusal_told(error))
    return told(request, _("The role was changed."), "members", slug)


@require_POST
@needs("manage")
def remove(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Let a member in no more."""
    hosted_only()
    trial = trial_for(request, slug)
    member = _member(trial, number)
    name = member.user.get_username()
    member_remove(member=member, by=visitor(request).by)
    return told(request, _("%(name)s is let in no more.") % {"name": name}, "members", slug)


def _member(trial: Trial, number: int) -> Member:
    found: Member | None = Member.objects.select_related("user").filter(trial=trial, pk=number).first()
    if found is None:
        raise Http404(_("There is no such member."))
    return found


@sensitive_post_parameters("password", "again", "secret")
@require_http_methods(["GET", "HEAD", "POST"])
@open_to_all
def invited(request: HttpRequest) -> HttpResponse:
    """What an invitation leads to: who has an account joins with it, who has none makes one."""
    hosted_only()
    if request.method != "POST":
        return _invited(request)
    key = address_of(request)
    if seconds := wait_s(INVITATION, key):
        return told_to_wait(request, seconds)
    try:
        trial = _joined(request)
    except InputError as error:
        return _invited(request, refusal_told(error))
    forgotten(INVITATION, key)
    return told(request, _("You joined “%(title)s”.") % {"title": trial.title}, "account")


def _joined(request: HttpRequest) -> Trial:
    """Accept it with the account that is logged in, else with a new one."""
    sent, by = request.POST, visitor(request).by
    invitation_open(sent.get("secret", "")[:100])
    if by.user is not None:
        return invitation_accept(secret=sent.get("secret", ""), user=by.user)
    if sent.get("password") != sent.get("again"):
        raise InputError(_("The password"), _("not the same both times"), _("the same one twice"))
    with transaction.atomic():
        user = account_add(name=sent.get("name", "")[:150], password=sent.get("password", ""), by=By("invited"), begins_trials=False)
        trial = invitation_accept(secret=sent.get("secret", ""), user=user)
    begin(request, user)
    return trial


def _invited(request: HttpRequest, refusal: str = "") -> HttpResponse:
    return render(request, "accounts/invited.html", {
        "refusal": refusal, "secret": request.POST.get("secret", "")[:100], "name": request.POST.get("name", "")[:150],
        "account": visitor(request).by.name if visitor(request).by.user else ""}, status=422 if refusal else 200)
