"""A photo is taken away, with what refers to it, and brought back."""

from typing import Any

from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError
from fairtank.records.models import AuditPoint, Change, Frame, PairChoice, Photo, Score, Stroke, Trial
from fairtank.records.services.trail import By, noted

_TABLES = ("photos", "audit", "scores", "pairs")
_REMOVE = "remove"


def photo_remove(*, trial: Trial, photo: Photo, by: By) -> None:
    """Take a photo out of a trial, and with it its strokes, audit answers, scores and choices; it can be brought back for 30 days.

    Parameters
    ----------
    trial : Trial
    photo : Photo
    by : By

    Raises
    ------
    InputError
        If the frame of its unit was drawn on it.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if Frame.objects.filter(trial=trial, reference_photo=photo).exists():
        raise InputError("the photo to take away", photo.path, "a photo on which no frame was drawn",
                         f"Draw the frame of {photo.unit.key} on another photo first.")
    now = timezone.now()
    with transaction.atomic():
        strokes = [{"path": one.path, "sha256": one.sha256} for one in Stroke.objects.filter(photo=photo)]
        Stroke.objects.filter(photo=photo).delete()
        for rows in _referring(photo):
            rows.filter(removed_at=None).update(removed_at=now)
        Photo.objects.filter(pk=photo.pk).update(removed_at=now)
        noted(by=by, verb=_REMOVE, said=f"Took away the photo {photo.path}.", trial=trial, tables=_TABLES, row=photo,
              before={"strokes": strokes})
    photo.refresh_from_db()


def photo_bring_back(*, trial: Trial, photo: Photo, by: By) -> None:
    """Bring a photo back that was taken away, with all that went with it."""
    with transaction.atomic():
        if photo.removed_at is None:
            return
        last = Change.objects.filter(trial=trial, kind="photo", row=photo.pk, verb=_REMOVE).first()
        for stroke in last.before.get("strokes", []) if last else []:
            Stroke.objects.create(trial=trial, photo=photo, **stroke)
        for rows in _referring(photo):
            rows.filter(removed_at=photo.removed_at).update(removed_at=None)
        Photo.everything.filter(pk=photo.pk).update(removed_at=None)
        noted(by=by, verb="bring back", said=f"Brought back the photo {photo.path}.", trial=trial, tables=_TABLES, row=photo)
    photo.refresh_from_db()


def _referring(photo: Photo) -> tuple[Any, ...]:
    """Rows that refer to a photo."""
    return (AuditPoint.everything.filter(photo=photo), Score.everything.filter(photo=photo),
            PairChoice.everything.filter(photo_a=photo), PairChoice.everything.filter(photo_b=photo))
