"""Photos and what tells how to read them."""

from typing import Any

from django.db import models
from django.db.models import Q

from fairtank.records.models.diary import Entered
from fairtank.records.models.fields import ClockField, Kept, TableRow, removed_index
from fairtank.trial import FRAME_MODES, QUALITIES, VIEWS, ZONE_KINDS

STAMP_SIGNS = 16


class Photo(TableRow, Entered):
    """One photo of one unit. path: inside the folder; sha256: of the file in the store of photos; quality: empty until it was measured.

    verdicts, reasons: what is wrong with it, as keys and as sentences. corners: where the frame was found, px of the upright photo.
    """

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="photos")
    path = models.CharField(max_length=300)
    taken_at = ClockField()
    day = models.IntegerField()
    sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveBigIntegerField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    quality = models.CharField(max_length=20, blank=True)
    verdicts: Any = models.JSONField(default=list, blank=True)
    reasons: Any = models.JSONField(default=list, blank=True)
    corners: Any = models.JSONField(null=True, blank=True)
    new_fraction = models.FloatField(null=True, blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        indexes = [models.Index(name="photo_by_day", fields=["trial", "unit", "day"]),
                   models.Index(name="photo_by_digest", fields=["sha256"]), removed_index("photo")]
        constraints = [
            models.UniqueConstraint(name="photo_path_once", fields=["trial", "path"]),
            models.UniqueConstraint(name="photo_entry_once", fields=["trial", "entry"], condition=Q(entry__isnull=False)),
            models.CheckConstraint(name="photo_quality", condition=Q(quality__in=["", *QUALITIES])),
        ]

    def __str__(self) -> str:
        return self.path

    @property
    def stamp(self) -> str:
        """The start of its digest: what stands in the address of its pictures, so that a browser may keep them for ever."""
        return self.sha256[:STAMP_SIGNS]


class Frame(TableRow):
    """How a unit's photos map to centimetres.

    corners: x and y of top-left, top-right, bottom-right, bottom-left in turn, in px of the upright reference photo.
    """

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="frames")
    reference_photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+")
    mode = models.CharField(max_length=20)
    view = models.CharField(max_length=20)
    corners: Any = models.JSONField()
    width_cm = models.FloatField()
    height_cm = models.FloatField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(name="frame_words", condition=Q(mode__in=FRAME_MODES, view__in=VIEWS)),
            models.CheckConstraint(name="frame_size", condition=Q(width_cm__gte=1, height_cm__gte=1)),
        ]

    def __str__(self) -> str:
        return f"Frame of {self.unit}"


class Zone(TableRow):
    """A part of the frame; polygon in cm from the frame's top-left corner."""

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="zones")
    key = models.CharField(max_length=100, blank=True)
    kind = models.CharField(max_length=20)
    polygon: Any = models.JSONField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(name="zone_kind", condition=Q(kind__in=ZONE_KINDS))]

    def __str__(self) -> str:
        return self.key or self.kind


class LabelClass(TableRow):
    """A class of strokes with its colour."""

    key = models.CharField(max_length=60)
    r = models.PositiveSmallIntegerField()
    g = models.PositiveSmallIntegerField()
    b = models.PositiveSmallIntegerField()
    counts_as = models.CharField(max_length=20, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(name="class_key_once", fields=["trial", "key"]),
                       models.CheckConstraint(name="class_colour", condition=Q(r__lte=255, g__lte=255, b__lte=255))]

    def __str__(self) -> str:
        return self.key


class Stroke(models.Model):
    """A picture of strokes over one photo; path: inside the folder; sha256: of the file in the store of photos."""

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE)
    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="strokes")
    path = models.CharField(max_length=300)
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(name="stroke_path_once", fields=["trial", "path"])]

    def __str__(self) -> str:
        return self.path


class AuditPoint(TableRow, Kept):
    """One random point of a photo and what a person saw there."""

    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="+")
    x = models.FloatField()
    y = models.FloatField()
    answer = models.CharField(max_length=60)
    rater = models.CharField(max_length=100, blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.answer} at {self.x:g}, {self.y:g}"


class Card(TableRow):
    """Which photo card stands beside a unit."""

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="cards")
    card = models.PositiveIntegerField()
    code = models.CharField(max_length=20)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.code


class Lens(TableRow):
    """What a camera's lens bends."""

    camera = models.CharField(max_length=200)
    focal_px = models.FloatField()
    k1 = models.FloatField()
    k2 = models.FloatField()
    residual_px = models.FloatField()
    pictures = models.PositiveIntegerField()
    units: Any = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.camera
