"""Who was let into a trial: invitations by a link, roles, and leaving again."""

import secrets
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.records.models import Invitation, Member, Trial
from fairtank.records.models.people import INVITED_ROLES, MEMBER_ROLES
from fairtank.records.services.attempts import digest_of
from fairtank.records.services.trail import By, noted

INVITATION_LASTS = timedelta(days=7)
LONGEST_NOTE = 100


def invitation_make(*, trial: Trial, role: str, by: By, note: str = "", now: datetime | None = None) -> tuple[Invitation, str]:
    """Invite somebody into a trial.

    Parameters
    ----------
    trial : Trial
    role : str
        `helper` or `reader`.
    by : By
    note : str
        For whom it is, so that the owner knows it in the list.
    now : datetime, optional

    Returns
    -------
    tuple of Invitation and str
        The secret of the link, of 256 bits, is shown once; the row has only its SHA-256.

    Raises
    ------
    InputError
        If there is no such role, or the note is too long.

    References
    ----------
    common_practice (keys from sources.py).
    """
    plain = " ".join(note.split())
    if role not in INVITED_ROLES:
        raise InputError("The role", role or "empty", " or ".join(INVITED_ROLES))
    if len(plain) > LONGEST_NOTE or not plain.isprintable():
        raise InputError("The note", "too long, or not to be shown", f"up to {LONGEST_NOTE} characters")
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        made = Invitation.objects.create(trial=trial, role=role, note=plain, token_digest=digest_of(secret),
                                         expires_at=(now or timezone.now()) + INVITATION_LASTS)
        noted(by=by, verb="add", said=f"Invited {plain or 'somebody'} as a {role}.", trial=trial, row=made)
    return made, secret


def invitation_open(secret: str, now: datetime | None = None) -> Invitation:
    """The invitation of that secret.

    Raises
    ------
    InputError
        If there is none that can be used: a wrong one, one that was used or withdrawn, or that is over.
    """
    found: Invitation | None = Invitation.objects.select_related("trial").filter(
        token_digest=digest_of(secret.strip()), used_at=None, withdrawn_at=None, expires_at__gt=now or timezone.now(),
        trial__removed_at=None).first()
    if found is None:
        raise InputError("This invitation", "not one that can be used", "the whole link, once, within 7 days",
                         "Ask whoever sent it for a new one.")
    return found


def invitation_accept(*, secret: str, user: Any, now: datetime | None = None) -> Trial:
    """Let an account into the trial it was invited to; a role that reaches further stays.

    Raises
    ------
    InputError
        If the invitation cannot be used.
    """
    now = now or timezone.now()
    with transaction.atomic():
        Invitation.objects.select_for_update().filter(token_digest=digest_of(secret.strip())).first()
        invitation = invitation_open(secret, now)
        invitation.used_at = now
        invitation.save(update_fields=["used_at"])
        trial: Trial = invitation.trial
        member, is_new = Member.objects.get_or_create(trial=trial, user=user, defaults={"role": invitation.role})
        if not is_new and MEMBER_ROLES.index(invitation.role) < MEMBER_ROLES.index(member.role) and member.role != "rater":
            member.role = invitation.role
            member.save(update_fields=["role"])
        name = user.get_username()
        noted(by=By(name, user), verb="add", said=f"{name} joined as a {member.role}.", trial=trial, row=member)
    return trial


def invitation_withdraw(*, invitation: Invitation, by: By, now: datetime | None = None) -> None:
    """Let nobody in by it any more."""
    with transaction.atomic():
        invitation.withdrawn_at = now or timezone.now()
        invitation.save(update_fields=["withdrawn_at"])
        said = f"Withdrew the invitation of {invitation.note or 'somebody'} as a {invitation.role}."
        noted(by=by, verb="remove", said=said, trial=invitation.trial, row=invitation)


def member_change(*, member: Member, role: str, by: By) -> None:
    """Give a member another role.

    Raises
    ------
    InputError
        If there is no such role.
    """
    if role not in MEMBER_ROLES:
        raise InputError("The role", role or "empty", ", ".join(MEMBER_ROLES))
    before = member.role
    if role == before:
        return
    with transaction.atomic():
        member.role = role
        member.save(update_fields=["role"])
        said = f"{member.user.get_username()} is a {role} now, and was a {before}."
        noted(by=by, verb="change", said=said, trial=member.trial, row=member, before={"role": before})


def member_remove(*, member: Member, by: By) -> None:
    """Let a member in no more, from the next request on."""
    with transaction.atomic():
        noted(by=by, verb="remove", said=f"{member.user.get_username()} left, and was a {member.role}.", trial=member.trial, row=member,
              before={"role": member.role})  # fmt: skip
        member.delete()
