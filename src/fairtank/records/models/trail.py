"""Who changed what when, and the keeper's settings."""

from typing import Any

from django.conf import settings
from django.db import models


class Change(models.Model):
    """One change. said: what was done, as a sentence. kind: of the row, with its key. before: what was there; by: a person, a phone or
    `fairtank` itself.
    """

    trial = models.ForeignKey("records.Trial", null=True, blank=True, on_delete=models.CASCADE, related_name="trail")
    at = models.DateTimeField(auto_now_add=True)
    by = models.CharField(max_length=100)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    verb = models.CharField(max_length=40)
    said = models.TextField()
    kind = models.CharField(max_length=40, blank=True)
    row = models.BigIntegerField(null=True, blank=True)
    before: Any = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.said


class Setting(models.Model):
    """One choice of the keeper, such as the units of measure."""

    key = models.CharField(max_length=60, unique=True)
    value: Any = models.JSONField()

    def __str__(self) -> str:
        return self.key
