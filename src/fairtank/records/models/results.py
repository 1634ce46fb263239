"""What was worked out from the record: values taken from photos, and answers that jobs made; all of it can be made again."""

from typing import Any

from django.db import models
from django.utils import timezone

from fairtank.records.jobs.pace import ago_words
from fairtank.records.models.photos import Photo


class Measurement(models.Model):
    """One value taken from one photo by one version of the method."""

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE, related_name="measurements")
    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="measurements")
    measure = models.CharField(max_length=60)
    zone = models.CharField(max_length=100, blank=True)
    value = models.FloatField()
    se = models.FloatField(null=True, blank=True)
    unit_of_measure = models.CharField(max_length=40)
    quality = models.CharField(max_length=20)
    version = models.CharField(max_length=60)

    class Meta:
        constraints = [models.UniqueConstraint(name="measured_once", fields=["photo", "measure", "zone"])]
        indexes = [models.Index(name="measured_by_measure", fields=["trial", "measure", "zone"])]

    def __str__(self) -> str:
        return f"{self.measure} {self.value:g} {self.unit_of_measure}"


class Result(models.Model):
    """An answer about a trial as it stood at a revision. kind: `judge`, `even`, `watch`, `detect`, `forecast` ...; content: what pages
    show.
    digest: over the inputs, as the command of the same name prints it.
    """

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE, related_name="results")
    kind = models.CharField(max_length=20)
    revision = models.PositiveBigIntegerField()
    content: Any = models.JSONField()
    digest = models.CharField(max_length=80, blank=True)
    software = models.CharField(max_length=40)
    made_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [models.UniqueConstraint(name="result_kind_once", fields=["trial", "kind"])]

    def __str__(self) -> str:
        return f"{self.kind} of {self.trial}"

    @property
    def made_ago(self) -> str:
        """How long ago it was worked out, in words."""
        return ago_words((timezone.now() - self.made_at).total_seconds())
