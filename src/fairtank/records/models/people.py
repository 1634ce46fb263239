"""Who may do what: members of a trial, invitations to become one, paired phones, the codes that pair them, and tries that were counted."""

from django.conf import settings
from django.db import models
from django.db.models import Q

MEMBER_ROLES = ("owner", "helper", "rater", "reader")
INVITED_ROLES = ("helper", "reader")


class Member(models.Model):
    """What an account may do in one trial. rater: score blind and nothing else; reader: look; helper: record; owner: everything."""

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE, related_name="members")
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    role = models.CharField(max_length=10)

    class Meta:
        constraints = [
            models.UniqueConstraint(name="member_once", fields=["trial", "user"]),
            models.CheckConstraint(name="member_role", condition=Q(role__in=MEMBER_ROLES)),
        ]

    def __str__(self) -> str:
        return f"{self.user}: {self.role}"


class Invitation(models.Model):
    """A link that makes whoever opens it first a helper or reader of one trial; only the digest of its secret is kept."""

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=10)
    note = models.CharField(max_length=100, blank=True)
    token_digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [models.CheckConstraint(name="invitation_role", condition=Q(role__in=INVITED_ROLES))]

    def __str__(self) -> str:
        return f"{self.note or self.role}"


class Device(models.Model):
    """A paired phone: it may look and record rounds, and nothing else. key_digest: SHA-256 of what its session holds."""

    name = models.CharField(max_length=100)
    key_digest = models.CharField(max_length=64, unique=True)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    paired_at = models.DateTimeField(auto_now_add=True)
    seen_at = models.DateTimeField(null=True, blank=True)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.name


class PairingCode(models.Model):
    """A one-time code that pairs a phone; only its digest is kept."""

    code_digest = models.CharField(max_length=64)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"Code of {self.made_at:%Y-%m-%d %H:%M}"


class Attempt(models.Model):
    """One try at something that is limited, such as a login. key_digest: SHA-256 of whose tries are counted: an account, an address."""

    kind = models.CharField(max_length=20)
    key_digest = models.CharField(max_length=64)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(name="attempt_found", fields=["kind", "key_digest", "at"])]

    def __str__(self) -> str:
        return f"{self.kind} at {self.at:%Y-%m-%d %H:%M}"
