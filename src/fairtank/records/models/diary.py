"""The diary: what was measured, done and noticed, and what each unit received."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from fairtank.records.models.fields import ClockField, Kept, TableRow, removed_index
from fairtank.trial import EFFECTS, SCALES, SUMMARIES


class Round(models.Model):
    """One visit to all units. key: made by the phone, so that what it sends twice is stored once. late_reason: why it was entered later."""

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE, related_name="rounds")
    key = models.CharField(max_length=40)
    day = models.IntegerField()
    begun_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    by = models.CharField(max_length=100, blank=True)
    late_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(name="round_key_once", fields=["trial", "key"]),
            models.CheckConstraint(name="round_ends_after_it_began", condition=Q(ended_at=None) | Q(ended_at__gte=F("begun_at"))),
        ]

    def __str__(self) -> str:
        return f"Round on day {self.day}"


class Entered(Kept):
    """A row that a round or a form entered. entry: made by the page that sent it, so that it is stored once however often it comes."""

    entry = models.CharField(max_length=60, null=True, blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    round = models.ForeignKey(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        abstract = True


def _once(name: str) -> models.UniqueConstraint:
    return models.UniqueConstraint(name=name, fields=["trial", "entry"], condition=Q(entry__isnull=False))


class Reading(TableRow, Entered):
    """One test result of one unit."""

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="readings")
    taken_at = ClockField()
    day = models.IntegerField()
    quantity = models.CharField(max_length=100)
    value = models.FloatField()
    unit_of_measure = models.CharField(max_length=40, blank=True)
    method = models.CharField(max_length=200, blank=True)
    below_detection = models.BooleanField(default=False)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        indexes = [models.Index(name="reading_by_day", fields=["trial", "day"]),
                   models.Index(name="reading_last", fields=["unit", "quantity", "-taken_at"]), removed_index("reading")]
        constraints = [_once("reading_entry_once"), models.CheckConstraint(name="reading_has_quantity", condition=~Q(quantity=""))]

    def __str__(self) -> str:
        return f"{self.quantity} {self.value:g} {self.unit_of_measure}".rstrip()


class Event(TableRow, Entered):
    """Something that happened to some units, and what follows from it for the judging: a note, an event or a deviation.

    units: keys, none for all of them.
    """

    units: Any = models.JSONField(default=list, blank=True)
    at = ClockField()
    until = ClockField(null=True, blank=True)
    day = models.IntegerField()
    kind = models.CharField(max_length=100, blank=True)
    note = models.TextField(blank=True)
    effect = models.CharField(max_length=20, default="keep")

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        indexes = [models.Index(name="event_by_day", fields=["trial", "day"]), removed_index("event")]
        constraints = [
            _once("event_entry_once"),
            models.CheckConstraint(name="event_effect", condition=Q(effect__in=EFFECTS)),
            models.CheckConstraint(name="event_ends_after_it_began", condition=Q(until=None) | Q(until__gte=F("at"))),
        ]

    def __str__(self) -> str:
        return self.kind or self.note[:60]


class ChoreDone(TableRow, Entered):
    """A chore as it was done in one unit."""

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="chores_done")
    chore = models.CharField(max_length=100, blank=True)
    kind = models.CharField(max_length=20, blank=True)
    due_day = models.IntegerField(null=True, blank=True)
    done_at = ClockField()
    day = models.IntegerField()
    minutes = models.FloatField(null=True, blank=True)
    quantity = models.CharField(max_length=100, blank=True)
    amount = models.FloatField(null=True, blank=True)
    unit_of_measure = models.CharField(max_length=40, blank=True)
    by = models.CharField(max_length=100, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        indexes = [models.Index(name="chore_by_day", fields=["trial", "day"]), removed_index("chore")]
        constraints = [
            _once("chore_entry_once"),
            models.CheckConstraint(name="chore_minutes", condition=Q(minutes=None) | Q(minutes__gte=0, minutes__lte=1440)),
        ]

    def __str__(self) -> str:
        return self.chore or self.kind


class FactorValue(TableRow, Kept):
    """What one unit has of something that all should have alike; without a unit it holds for all."""

    unit = models.ForeignKey("records.Unit", null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    factor = models.CharField(max_length=60)
    value = models.CharField(max_length=300)
    unit_of_measure = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.factor} {self.value}"


class BuildLine(TableRow, Kept):
    """What a unit should receive and what it did receive when weighed in."""

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="build")
    material = models.CharField(max_length=200)
    kind = models.CharField(max_length=60, blank=True)
    planned = models.FloatField(null=True, blank=True)
    weighed = models.FloatField(null=True, blank=True)
    unit_of_measure = models.CharField(max_length=40, blank=True)
    batch = models.CharField(max_length=100, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(name="build_planned", condition=Q(planned=None) | Q(planned__gte=0)),
            models.CheckConstraint(name="build_weighed", condition=Q(weighed=None) | Q(weighed__gte=0)),
        ]

    def __str__(self) -> str:
        return self.material


class SeriesValue(TableRow):
    """A ready-made value of one measure of one unit on one day."""

    unit = models.ForeignKey("records.Unit", on_delete=models.PROTECT, related_name="+")
    day = models.IntegerField()
    measure = models.CharField(max_length=60)
    value = models.FloatField()
    se = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(name="series_by_measure", fields=["trial", "measure"])]
        constraints = [models.CheckConstraint(name="series_se", condition=Q(se=None) | Q(se__gte=0))]

    def __str__(self) -> str:
        return f"{self.measure} {self.value:g}"


class SpreadEntry(TableRow):
    """How far like tanks ended up apart in one trial."""

    measure = models.CharField(max_length=60)
    scale = models.CharField(max_length=20)
    summary = models.CharField(max_length=20)
    window_class = models.CharField(max_length=60, blank=True)
    tank_class = models.CharField(max_length=60, blank=True)
    variance = models.FloatField()
    df = models.FloatField()
    of_trial = models.CharField(max_length=300)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(name="spread_positive", condition=Q(variance__gt=0, df__gt=0)),
            models.CheckConstraint(name="spread_words", condition=Q(scale__in=SCALES, summary__in=SUMMARIES)),
        ]

    def __str__(self) -> str:
        return f"{self.measure} of {self.of_trial}"
