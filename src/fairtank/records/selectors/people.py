"""Who may do what: phones, members of a trial, invitations, accounts; and the trail of a trial."""

from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth import get_user_model
from django.db.models import Q, QuerySet
from django.utils import timezone

from fairtank.records.models import Change, Device, Invitation, Member, Trial

_SHOWN = timedelta(days=60)


def phones_shown(now: datetime | None = None) -> list[Device]:
    """Phones that are paired, and those that were until lately; the latest first."""
    now = now or timezone.now()
    return list(Device.objects.filter(Q(expires_at__gt=now - _SHOWN) & (Q(revoked_at=None) | Q(revoked_at__gt=now - _SHOWN))))


def roles_of(user: Any) -> dict[int, str]:
    """What an account is in which trial, by the trial's key. Trials that nobody owns belong to who looks after the installation."""
    roles = dict(Member.objects.filter(user=user).values_list("trial", "role"))
    own = Q(owner=user) | Q(owner=None) if user.is_superuser else Q(owner=user)
    return {**roles, **dict.fromkeys(Trial.everything.filter(own).values_list("pk", flat=True), "owner")}


def members_of(trial: Trial) -> list[Member]:
    """Who was let in, by name."""
    return list(Member.objects.filter(trial=trial).select_related("user").order_by("user__username"))


def invitations_open(trial: Trial, now: datetime | None = None) -> list[Invitation]:
    """Those that can still be used."""
    return list(Invitation.objects.filter(trial=trial, used_at=None, withdrawn_at=None, expires_at__gt=now or timezone.now()))


def accounts_shown() -> list[Any]:
    """All accounts by name."""
    return list(get_user_model().objects.order_by("username"))


def trail_of(trial: Trial) -> QuerySet[Change]:
    """Everything that was changed in a trial, the latest first."""
    return Change.objects.filter(trial=trial).order_by("-pk")
