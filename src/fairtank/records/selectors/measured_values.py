"""The values of all photos as the table that `fairtank measure` writes, a piece at a time."""

from collections.abc import Iterator
from itertools import islice

from fairtank.records.exporters.measures import measures_text
from fairtank.records.models import Measurement, Trial
from fairtank.trial import Measured

_AT_ONCE = 5000


def has_values(trial: Trial) -> bool:
    """Whether any value was taken from a photo."""
    return Measurement.objects.filter(trial=trial).exists()


def measures_pieces(trial: Trial, *, until: int | None = None) -> Iterator[bytes]:
    """measures.csv, in the order of the photos.

    Parameters
    ----------
    trial : Trial
    until : int, optional
        The last day whose values are told.

    Returns
    -------
    iterator of bytes

    References
    ----------
    common_practice (keys from sources.py).
    """
    rows = Measurement.objects.filter(trial=trial, photo__removed_at=None).select_related("photo__unit").order_by("photo_id", "pk")
    if until is not None:
        rows = rows.filter(photo__day__lte=until)
    found = (Measured(row.photo.path, row.photo.unit.key, row.photo.taken_at, row.photo.day, row.measure, row.zone, row.value,
                      row.unit_of_measure, row.se, row.quality, row.version) for row in rows.iterator(chunk_size=_AT_ONCE))
    head = measures_text(())
    yield head.encode()
    while piece := tuple(islice(found, _AT_ONCE)):
        yield measures_text(piece).removeprefix(head).encode()
