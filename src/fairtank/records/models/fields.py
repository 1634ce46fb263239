"""Columns of our own, and the two abstract rows that others grow from."""

from datetime import UTC, datetime
from typing import Any

from django.db import models


class ClockField(models.DateTimeField):
    """A time on the keeper's own clock, without an offset: days of a trial follow it, wherever the server stands."""

    def get_prep_value(self, value: Any) -> Any:
        """The database keeps it as if it were UTC, so that it comes back the same everywhere."""
        value = self.to_python(value)
        return None if value is None else value.replace(tzinfo=UTC)

    def get_db_prep_value(self, value: Any, connection: Any, prepared: bool = False) -> Any:
        """As every time with UTC."""
        value = value if prepared else self.get_prep_value(value)
        return connection.ops.adapt_datetimefield_value(value)

    def pre_save(self, instance: models.Model, add: bool) -> Any:
        """As it is."""
        return getattr(instance, self.attname)

    def from_db_value(self, value: datetime | None, expression: Any, connection: Any) -> datetime | None:
        """Without an offset again."""
        return None if value is None else value.replace(tzinfo=None)

    def to_python(self, value: Any) -> Any:
        """A time without an offset; an offset that was given is set aside."""
        if isinstance(value, str):
            value = datetime.fromisoformat(value)
        return value.replace(tzinfo=None) if isinstance(value, datetime) else value


class LiveManager(models.Manager[Any]):
    """The rows that were not taken away."""

    def get_queryset(self) -> models.QuerySet[Any]:
        """Without those that wait to be forgotten."""
        return super().get_queryset().filter(removed_at=None)


def removed_index(what: str) -> models.Index:
    """The few rows of a large table that were taken away; no query for those that are there can take it."""
    return models.Index(name=f"{what}_removed", fields=["removed_at"], condition=models.Q(removed_at__isnull=False))


class Kept(models.Model):
    """A row that a keeper can take away and bring back: `objects` are those that are there, `everything` is all of them."""

    # Without an index of its own: nearly all rows have none here, and SQLite would take that index before the one by trial and day.
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = LiveManager()
    everything: models.Manager[Any] = models.Manager()

    class Meta:
        abstract = True
        base_manager_name = "everything"


class TableRow(models.Model):
    """A row of one of the tables of a trial folder; the order in the file is the order of the keys.

    extra: cells of columns that fairtank does not know, by column.
    """

    trial = models.ForeignKey("records.Trial", on_delete=models.CASCADE)
    extra = models.JSONField(default=dict, blank=True)

    class Meta:
        abstract = True
