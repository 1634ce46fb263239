"""Answers that were worked out, and values taken from photos, kept as rows.

All of it can be made again from the record, so that keeping it is no change of the trial: its revision stays.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.db import transaction

from fairtank import __version__
from fairtank.records.models import Measurement, Photo, Result, Trial
from fairtank.trial import Measured, PhotoQuality

_BATCH = 300  # photos whose rows are written in one transaction, so that pages wait for none
_FIELDS = ("measure", "zone", "value", "se", "unit_of_measure", "quality", "version")
_OF_PHOTO = ("quality", "verdicts", "reasons", "corners", "new_fraction")


def answer_keep(*, trial: Trial, kind: str, revision: int, content: dict[str, Any], digest: str = "") -> Result:
    """Keep an answer in the place of the one before.

    Parameters
    ----------
    trial : Trial
    kind : str
        Such as `judge`.
    revision : int
        Of the trial, when its folder was read.
    content : mapping
        What pages show, fit for JSON; numbers without end become null.
    digest : str
        Over the inputs.

    Returns
    -------
    Result

    References
    ----------
    common_practice (keys from sources.py).
    """
    told = {"revision": revision, "content": _finite(content), "digest": digest, "software": f"fairtank {__version__}"}
    kept, _made = Result.objects.update_or_create(trial=trial, kind=kind, defaults=told)
    return kept


def measured_keep(*, trial: Trial, measured: Iterable[Measured], qualities: Sequence[PhotoQuality]) -> int:
    """Bring the rows of photos in step with what was measured; only what differs is written.

    Parameters
    ----------
    trial : Trial
    measured : iterable of Measured
        All values of the photos that `qualities` tell of.
    qualities : sequence of PhotoQuality
        One for each photo. Photos that the shelf does not know any more are passed over.

    Returns
    -------
    int
        Of how many photos something was written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    rows: dict[str, dict[tuple[str, str], tuple[Any, ...]]] = defaultdict(dict)
    for one in measured:
        rows[one.photo][one.measure, one.zone] = tuple(getattr(one, name) for name in _FIELDS)
    found, written = list({one.photo: one for one in qualities}.values()), 0
    for start in range(0, len(found), _BATCH):
        with transaction.atomic():
            written += _batch_keep(trial, rows, found[start : start + _BATCH])
    return written


def _batch_keep(trial: Trial, rows: dict[str, dict[tuple[str, str], tuple[Any, ...]]], qualities: Sequence[PhotoQuality]) -> int:
    photos = {photo.path: photo for photo in Photo.everything.filter(trial=trial, path__in=[one.photo for one in qualities])}
    there: dict[int, set[tuple[Any, ...]]] = defaultdict(set)
    for photo_id, *row in Measurement.objects.filter(photo__in=photos.values()).values_list("photo_id", *_FIELDS):
        there[photo_id].add(tuple(row))
    known = [(photos[one.photo], one) for one in qualities if one.photo in photos]
    moved = [photo for photo, one in known if there[photo.pk] != set(rows[one.photo].values())]
    Measurement.objects.filter(photo__in=moved).delete()
    Measurement.objects.bulk_create(Measurement(trial=trial, photo=photo, **dict(zip(_FIELDS, row, strict=True)))
                                    for photo in moved for row in rows[photo.path].values())
    told = [photo for photo, one in known if _told(photo, one)]
    Photo.everything.bulk_update(told, _OF_PHOTO)
    return len({photo.pk for photo in (*moved, *told)})


def _told(photo: Photo, found: PhotoQuality) -> bool:
    """Put what was found onto the row, not stored yet; whether anything differs."""
    corners = None if found.corners is None else [list(corner) for corner in found.corners]
    values = (found.quality, list(found.verdicts), list(found.reasons), corners, found.new_fraction)
    before = tuple(getattr(photo, name) for name in _OF_PHOTO)
    for name, value in zip(_OF_PHOTO, values, strict=True):
        setattr(photo, name, value)
    return before != values


def _finite(value: Any) -> Any:
    """Numbers without end have no place in JSON."""
    if isinstance(value, dict):
        return {name: _finite(item) for name, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_finite(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
