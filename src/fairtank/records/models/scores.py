"""What people saw without knowing which tank was which."""

from typing import Any

from django.db import models
from django.db.models import F, Q

from fairtank.records.models.diary import Entered
from fairtank.records.models.fields import TableRow


class Seat(models.Model):
    """A place at the blind table: one person, one measure, one order of photos.

    way: `score` or `pairs`. question: what the person is asked. low_words, high_words: what stands at the ends of the scale; top: its last
    step, 10 or 100. tasks: what is shown in which order, each a list of a word that tells nothing and the keys of one or two photos;
    repeats are among them. seed: of that order. token_digest: SHA-256 of the link's secret, empty where there is no link; the link opens
    this table and nothing else, until expires_at. closed_at: when the keeper ended it; nobody waits for it any more.
    """

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE, related_name="seats")
    measure = models.CharField(max_length=60)
    way = models.CharField(max_length=10)
    rater = models.CharField(max_length=100)
    question = models.CharField(max_length=200, blank=True)
    low_words = models.CharField(max_length=60, blank=True)
    high_words = models.CharField(max_length=60, blank=True)
    top = models.PositiveSmallIntegerField(default=10)
    tasks: Any = models.JSONField(default=list)
    seed = models.PositiveBigIntegerField()
    token_digest = models.CharField(max_length=64, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(name="seat_once", fields=["trial", "measure", "way", "rater"]),
            models.UniqueConstraint(name="seat_token_once", fields=["token_digest"], condition=~Q(token_digest="")),
            models.CheckConstraint(name="seat_way", condition=Q(way__in=["score", "pairs"])),
            models.CheckConstraint(name="seat_top", condition=Q(top__in=[10, 100])),
        ]

    def __str__(self) -> str:
        return f"{self.rater}: {self.measure}"


class Score(TableRow, Entered):
    """A person's score of a photo."""

    photo = models.ForeignKey("records.Photo", on_delete=models.CASCADE, related_name="scores")
    measure = models.CharField(max_length=60)
    rater = models.CharField(max_length=100, blank=True)
    value = models.FloatField()

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(name="score_entry_once", fields=["trial", "entry"], condition=Q(entry__isnull=False))]

    def __str__(self) -> str:
        return f"{self.measure} {self.value:g}"


class PairChoice(TableRow, Entered):
    """A person's answer to `which of the two photos shows more?`: `a`, `b` or `same`."""

    measure = models.CharField(max_length=60)
    rater = models.CharField(max_length=100, blank=True)
    photo_a = models.ForeignKey("records.Photo", on_delete=models.CASCADE, related_name="+")
    photo_b = models.ForeignKey("records.Photo", on_delete=models.CASCADE, related_name="+")
    more = models.CharField(max_length=4)

    class Meta:
        base_manager_name = "everything"
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(name="pair_entry_once", fields=["trial", "entry"], condition=Q(entry__isnull=False)),
            models.CheckConstraint(name="pair_answer", condition=Q(more__in=["a", "b", "same"])),
            models.CheckConstraint(name="pair_of_two", condition=~Q(photo_a=F("photo_b"))),
        ]

    def __str__(self) -> str:
        return self.more
