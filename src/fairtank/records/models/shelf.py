"""The keeper's tanks and materials, which trials share."""

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from fairtank.build import MATERIAL_KINDS, RIMS
from fairtank.records.models.fields import Kept


def _key_once(what: str) -> tuple[models.UniqueConstraint, models.UniqueConstraint]:
    """A key names one row of an owner, or of the keeper where there are no accounts; rows taken away do not count."""
    return (models.UniqueConstraint(name=f"{what}_key_once", fields=["key"], condition=Q(removed_at=None, owner=None)),
            models.UniqueConstraint(name=f"{what}_key_once_for_owner", fields=["owner", "key"], condition=Q(removed_at=None)))


class Tank(Kept):
    """A glass box; sizes are outer sizes, water_mm is the water line above the inner bottom."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=60)
    title = models.CharField(max_length=200, blank=True)
    length_mm = models.FloatField()
    width_mm = models.FloatField()
    height_mm = models.FloatField()
    glass_mm = models.FloatField()
    water_mm = models.FloatField()
    bottom_glass_mm = models.FloatField(null=True, blank=True)
    rim = models.CharField(max_length=10, default="open")
    dividers = models.PositiveSmallIntegerField(default=0)
    divider_glass_mm = models.FloatField(default=0.0)

    class Meta:
        base_manager_name = "everything"
        ordering = ["key"]
        constraints = [
            *_key_once("tank"),
            models.CheckConstraint(name="tank_sizes", condition=Q(length_mm__gt=0, width_mm__gt=0, height_mm__gt=0, glass_mm__gt=0,
                                                                  water_mm__gt=0)),
            models.CheckConstraint(name="tank_rim", condition=Q(rim__in=RIMS)),
        ]

    def __str__(self) -> str:
        return self.title or self.key


class TankNote(Kept):
    """One line of a tank's history."""

    tank = models.ForeignKey(Tank, on_delete=models.CASCADE, related_name="notes")
    at = models.DateField()
    said = models.TextField()

    class Meta:
        base_manager_name = "everything"
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return self.said[:60]


class Material(Kept):
    """A row of the keeper's own catalogue: what it is, how dense, how it is sold, what lies in the cupboard."""

    owner = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    key = models.CharField(max_length=60)
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=200, blank=True)
    bulk_density_kg_l = models.FloatField(null=True, blank=True)
    particle_density_kg_l = models.FloatField(null=True, blank=True)
    formula = models.CharField(max_length=60, blank=True)
    label_mg_ml: Any = models.JSONField(default=list, blank=True)
    pack_size = models.FloatField(null=True, blank=True)
    pack_unit = models.CharField(max_length=10, blank=True)
    price = models.FloatField(null=True, blank=True)
    owned = models.FloatField(default=0.0)
    batch = models.CharField(max_length=100, blank=True)
    pieces_per_pack = models.FloatField(null=True, blank=True)
    waste_fraction = models.FloatField(null=True, blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["kind", "key"]
        constraints = [
            *_key_once("material"),
            models.CheckConstraint(name="material_kind", condition=Q(kind__in=MATERIAL_KINDS)),
            models.CheckConstraint(name="material_owned", condition=Q(owned__gte=0)),
        ]

    def __str__(self) -> str:
        return self.title or self.key
