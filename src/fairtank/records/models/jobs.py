"""Work that goes on behind the pages."""

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone

from fairtank.records.jobs.kinds import KINDS
from fairtank.records.jobs.pace import ago_words, left_words

STATES = ("waiting", "running", "done", "failed", "cancelled")
OVER = ("done", "failed", "cancelled")
_LONG_S = 20


class Job(models.Model):
    """One piece of work. subject: what it works on, for a sentence; done, total: how far it is; heartbeat: when it last said that it lives.

    task: under which the queue knows it. by, user: who asked for it. left_s: how long it may still take [s]. wanted_stop: somebody asked it
    to stop. reason: why it failed, as a sentence. given, result: what it was asked and what came of it.
    """

    trial = models.ForeignKey("records.Trial", null=True, blank=True, on_delete=models.CASCADE, related_name="jobs")
    kind = models.CharField(max_length=20)
    subject = models.CharField(max_length=300, blank=True)
    task = models.CharField(max_length=64, blank=True)
    by = models.CharField(max_length=100, blank=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    state = models.CharField(max_length=10, default="waiting")
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    left_s = models.PositiveIntegerField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    wanted_stop = models.BooleanField(default=False)
    reason = models.TextField(blank=True)
    given: Any = models.JSONField(default=dict, blank=True)
    result: Any = models.JSONField(default=dict, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)
    begun_at = models.DateTimeField(null=True, blank=True)
    heartbeat = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(name="job_state", fields=["state", "id"])]
        constraints = [
            models.CheckConstraint(name="job_state_known", condition=Q(state__in=STATES)),
            models.CheckConstraint(name="job_not_further_than_its_end", condition=Q(done__lte=F("total"))),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.state}"

    def get_absolute_url(self) -> str:
        """Its page."""
        return reverse("job", args=[self.pk])

    @property
    def is_over(self) -> bool:
        """Whether nothing more will happen to it."""
        return self.state in OVER

    @property
    def doing(self) -> str:
        """What it does, as the head of a sentence."""
        return str(KINDS[self.kind].doing) if self.kind in KINDS else self.kind

    @property
    def counted(self) -> str:
        """What it counts, in the plural; empty where it counts nothing."""
        return str(KINDS[self.kind].counted) if self.kind in KINDS else ""

    @property
    def left(self) -> str:
        """How long it may still take, in words; empty where that cannot be told."""
        return left_words(self.left_s) if self.state == "running" and self.left_s is not None else ""

    @property
    def waits_long(self) -> bool:
        """Whether it has waited so long that one may wonder."""
        return self.state == "waiting" and timezone.now() - self.made_at > timedelta(seconds=_LONG_S)

    @property
    def ended_ago(self) -> str:
        """How long ago it ended, in words; empty as long as it has not."""
        return "" if self.ended_at is None else ago_words((timezone.now() - self.ended_at).total_seconds())
