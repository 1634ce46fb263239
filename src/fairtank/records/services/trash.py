"""What a keeper takes away waits for 30 days and can be brought back; then it is forgotten, with photos that nobody names any more."""

import shutil
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.records import models
from fairtank.records.models import Change, Photo, Stroke, Trial
from fairtank.records.models.fields import Kept
from fairtank.records.rows.kinds import KINDS
from fairtank.records.services.photo_removal import photo_bring_back, photo_remove
from fairtank.records.services.trail import ITSELF, By, noted
from fairtank.records.services.working import place_of
from fairtank.records.shelf_photos import photo_files

KEPT_DAYS = 30
# A photo that was put into the store this short a time ago may belong to a row that is about to be written [s].
_IDLE_S = 24 * 3600.0
# In the order in which the rows of a trial can go: what refers to others first.
_OF_TRIAL = (
    models.Measurement, models.Result, models.Stroke, models.AuditPoint, models.Score, models.PairChoice, models.Frame, models.Zone,
    models.LabelClass, models.Card, models.Lens, models.Reading, models.Event, models.ChoreDone, models.FactorValue, models.BuildLine,
    models.SeriesValue, models.SpreadEntry, models.Photo, models.Round, models.Seat, models.Job, models.Document, models.Member,
    models.Invitation, models.Change, models.Unit, models.Arm, models.Measure,
)


@dataclass(frozen=True)
class Emptied:
    """What was forgotten: rows, whole trials, photos with their bytes."""

    rows: int = 0
    trials: int = 0
    photos: int = 0
    size_bytes: int = 0


def row_take_away(*, row: Any, by: By) -> None:
    """Take a row away; it can be brought back for 30 days.

    Parameters
    ----------
    row : row
        Of any kind that can be brought back, such as a trial, a photo, a reading, a tank. One that is away already stays as it is.
    by : By

    Raises
    ------
    InputError
        If something rests on it, or rows of its kind are not kept.

    References
    ----------
    common_practice (keys from sources.py).
    """
    _check_kept(row)
    if row.removed_at is not None:
        return
    if isinstance(row, Photo):
        photo_remove(trial=row.trial, photo=row, by=by)
        return
    with transaction.atomic():
        row.removed_at = timezone.now()
        row.save(update_fields=["removed_at"])
        noted(by=by, verb="remove", said=f"Took away {_called(row)}.", trial=_trial_of(row), tables=_tables(row), row=row)


def row_bring_back(*, row: Any, by: By) -> None:
    """Bring a row back that was taken away.

    Raises
    ------
    InputError
        If another one has taken its place meanwhile.
    """
    _check_kept(row)
    if row.removed_at is None:
        return
    if isinstance(row, Photo):
        photo_bring_back(trial=row.trial, photo=row, by=by)
        return
    with transaction.atomic():
        row.removed_at = None
        try:
            row.validate_constraints()
        except ValidationError as error:
            raise InputError("the row to bring back", _called(row), "one whose place is still free",
                             "Another one of that name is there now: rename or take away that one first.") from error
        row.save(update_fields=["removed_at"])
        noted(by=by, verb="bring back", said=f"Brought back {_called(row)}.", trial=_trial_of(row), tables=_tables(row), row=row)


def trash_empty(*, older_than_days: float = KEPT_DAYS) -> Emptied:
    """Forget for good what was taken away so long ago, and the files of photos that no row names any more.

    A row on which another one rests stays until that one goes. A photo of the store goes only when no row names it, be it there or taken
    away, and when it was not put there within the last day.

    Parameters
    ----------
    older_than_days : float
        [d]

    Returns
    -------
    Emptied

    References
    ----------
    common_practice (keys from sources.py).
    """
    before = timezone.now() - timedelta(days=older_than_days)
    gone = list(Trial.everything.filter(removed_at__lt=before))
    for trial in gone:
        trial_forget(trial)
    rows = sum(_forgotten(model, before) for model in kept_models() if model is not Trial)
    photos, size_bytes = _unnamed_discard()
    return Emptied(rows, len(gone), photos, size_bytes)


def trial_forget(trial: Trial) -> None:
    """Delete a trial with all its rows, and what was derived from it; its photos go where no other trial has them."""
    place = place_of(trial).parent
    with transaction.atomic():
        for model in _OF_TRIAL:
            model._base_manager.filter(trial=trial).delete()
        noted(by=ITSELF, verb="forget", said=f"Forgot the trial “{trial.title}”, which had been taken away for more than {KEPT_DAYS} days.")
        Trial.everything.filter(pk=trial.pk).delete()
    shutil.rmtree(place, ignore_errors=True)


def kept_models() -> list[type[Any]]:
    """Every kind of row that can be taken away and brought back, those first that refer to photos."""
    found = [model for model in apps.get_app_config("records").get_models() if issubclass(model, Kept)]
    return sorted(found, key=lambda model: model is Photo)


def named_digests() -> Iterator[str]:
    """The digest of every photo and picture of strokes that a row names, be it there or taken away; some come more than once."""
    yield from Photo.everything.values_list("sha256", flat=True).order_by().distinct().iterator(chunk_size=5000)
    yield from Stroke.objects.values_list("sha256", flat=True).order_by().iterator(chunk_size=5000)
    away = Photo.everything.exclude(removed_at=None).values_list("pk", flat=True)
    for before in Change.objects.filter(kind="photo", verb="remove", row__in=away).values_list("before", flat=True):
        yield from (stroke["sha256"] for stroke in before.get("strokes", ()))


def _forgotten(model: type[Any], before: datetime) -> int:
    """Delete what can be deleted; how many rows of the kind that were."""
    rows = model.everything.filter(removed_at__lt=before)
    count = 0
    for row in rows if model is Photo else _once(rows):
        try:
            with transaction.atomic():
                told = row.delete()
            count += int(told[1].get(model._meta.label, 0))
        except ProtectedError:  # a frame was drawn on it
            continue
    return count


def _once(rows: Any) -> Iterable[Any]:
    """All rows as one, where nothing can rest on any of them."""
    return (rows,)


def _unnamed_discard() -> tuple[int, int]:
    files = photo_files()
    there = set(files.iterate())
    count = size_bytes = 0
    for digest in there - set(named_digests()) if there else ():
        size = files.path_of(digest).stat().st_size
        if files.discard(digest, idle_s=_IDLE_S):
            count, size_bytes = count + 1, size_bytes + size
    files.tidy()
    return count, size_bytes


def _check_kept(row: Any) -> None:
    if not isinstance(row, Kept):
        raise InputError("the row to take away", str(row), "a row that can be brought back", "Change it instead.")


def _trial_of(row: Any) -> Trial | None:
    if isinstance(row, Trial):
        return row
    trial: Trial | None = getattr(row, "trial", None)
    return trial


def _tables(row: Any) -> tuple[str, ...]:
    return tuple(field for field, kind in KINDS.items() if isinstance(row, kind.model))


def _called(row: Any) -> str:
    return f"the {row._meta.verbose_name} “{row}”"
