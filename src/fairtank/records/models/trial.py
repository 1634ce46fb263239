"""Trials, their arms, units and measures, and the texts of their folder.

The plan is a text, trial.toml: it is what is sealed, signed and amended, with the keeper's remarks in it. Its rows here are made from
that text whenever it is stored, so that other rows can refer to a unit or an arm and pages can list trials without reading it.
"""

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from fairtank.records.models.fields import Kept
from fairtank.trial import DESIGN_KINDS, MEASURE_ROLES, ROLES


class Trial(Kept):
    """One trial on the shelf.

    uid: names its places on disk. revision: rises with every change. closed_at: when the keeper called it finished. is_example: invented.
    planned: a plan is there that can be read. sealed_at, seal_code: of the first sealing. origin: what it was imported from, in words.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    slug = models.SlugField(max_length=60, unique=True)
    title = models.CharField(max_length=300)
    question = models.TextField(blank=True)
    change = models.TextField(blank=True)
    kind = models.CharField(max_length=20, blank=True)
    start = models.DateField(null=True, blank=True)
    days = models.PositiveIntegerField(default=0)
    planned = models.BooleanField(default=False)
    sealed_at = models.DateTimeField(null=True, blank=True)
    seal_code = models.CharField(max_length=20, blank=True)
    is_example = models.BooleanField(default=False)
    origin = models.CharField(max_length=300, blank=True)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="trials")
    revision = models.PositiveBigIntegerField(default=1)
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(name="trial_kind", condition=Q(kind__in=["", *DESIGN_KINDS])),
            models.CheckConstraint(name="trial_planned_has_start", condition=Q(planned=False) | Q(start__isnull=False)),
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        """Its page."""
        return reverse("trial", args=[self.slug])


class Arm(models.Model):
    """One way of treating a unit."""

    trial = models.ForeignKey(Trial, on_delete=models.CASCADE, related_name="arms")
    key = models.CharField(max_length=60)
    role = models.CharField(max_length=20)
    name = models.CharField(max_length=200, blank=True)
    place = models.PositiveIntegerField()

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(name="arm_key_once", fields=["trial", "key"]),
            models.CheckConstraint(name="arm_role", condition=Q(role__in=ROLES)),
        ]

    def __str__(self) -> str:
        return self.name or self.key


class Unit(models.Model):
    """The tank or compartment that receives an arm. arm is None as long as the lot has not spoken; tank: of the keeper's own, if named."""

    trial = models.ForeignKey(Trial, on_delete=models.CASCADE, related_name="units")
    key = models.CharField(max_length=60)
    arm = models.ForeignKey(Arm, null=True, blank=True, on_delete=models.PROTECT, related_name="units")
    tank = models.ForeignKey("records.Tank", null=True, blank=True, on_delete=models.SET_NULL, related_name="units")
    position = models.CharField(max_length=200, blank=True)
    place = models.PositiveIntegerField()

    class Meta:
        ordering = ["place"]
        constraints = [models.UniqueConstraint(name="unit_key_once", fields=["trial", "key"])]

    def __str__(self) -> str:
        return self.key


class Measure(models.Model):
    """What the plan says about one measure."""

    trial = models.ForeignKey(Trial, on_delete=models.CASCADE, related_name="measures")
    key = models.CharField(max_length=60)
    role = models.CharField(max_length=20)
    title = models.CharField(max_length=200, blank=True)
    unit_of_measure = models.CharField(max_length=40, blank=True)
    place = models.PositiveIntegerField()

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(name="measure_key_once", fields=["trial", "key"]),
            models.CheckConstraint(name="measure_role", condition=Q(role__in=MEASURE_ROLES)),
        ]

    def __str__(self) -> str:
        return self.title or self.key


class Document(models.Model):
    """A file of the trial's folder that is no photo: the plan and other texts as they are, to the byte.

    is_table: the file stands for rows; it is written anew when they change (it is then deleted here), and kept as it came until then.
    """

    trial = models.ForeignKey(Trial, on_delete=models.CASCADE, related_name="documents")
    path = models.CharField(max_length=300)
    content = models.BinaryField()
    is_table = models.BooleanField(default=False)

    class Meta:
        ordering = ["path"]
        constraints = [models.UniqueConstraint(name="document_path_once", fields=["trial", "path"])]

    def __str__(self) -> str:
        return self.path

    @property
    def text(self) -> str:
        """Its content as text."""
        content: Any = self.content
        return bytes(content).decode("utf-8-sig")
