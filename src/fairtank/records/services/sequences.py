"""What only the photos of a unit together tell: rows of the measures that are taken over photos, once all photos are measured."""

from collections.abc import Callable
from datetime import datetime, time

from fairtank.records.services.epochs import frame_of, unit_epochs
from fairtank.trial import Event, Frame, Measured, Photo, TrialFolder
from fairtank.vision.measure import PhotoResult
from fairtank.vision.quality.verdicts import NOT_USABLE
from fairtank.vision.sequence import Moment, sequence_measures


def sequence_rows(
    folder: TrialFolder, results: dict[str, PhotoResult], whole: Callable[[Photo], PhotoResult | None]
) -> dict[str, tuple[Measured, ...]]:
    """Rows of all measures over photos, by photo.

    A further row in frames.csv begins a new sequence: the tank was laid out anew or its camera moved, and what stands at one place
    before and after is not the same thing.

    Parameters
    ----------
    folder : TrialFolder
    results : dict
        Photo path -> its result; spots may have been left out.
    whole : callable
        Gives a photo's whole result, with its spots; None where it was not kept.

    Returns
    -------
    dict
        Photo path -> its rows.

    References
    ----------
    common_practice (keys from sources.py).
    """
    found: dict[str, tuple[Measured, ...]] = {}
    epochs = unit_epochs(folder)
    sequences: dict[tuple[str, Frame | None], list[Photo]] = {}
    for photo in sorted(folder.photos, key=lambda photo: (photo.taken_at, photo.path)):
        if results[photo.path].quality.quality != NOT_USABLE:
            frame = frame_of(photo, epochs[photo.unit]) if photo.unit in epochs else None
            sequences.setdefault((photo.unit, frame), []).append(photo)
    for (unit, _), photos in sequences.items():
        events = tuple(event for event in folder.events if not event.units or unit in event.units)
        for row in sequence_measures(_moments(photos, events, results, whole)):
            found[row.photo] = (*found.get(row.photo, ()), row)
    return found


def _ends(event: Event) -> datetime:
    """When an event is over at the latest: one that is given by its date alone may have been before or after that day's photo."""
    if event.until is not None:
        return event.until
    return datetime.combine(event.at, time.max) if event.at.time() == time.min else event.at


def _moments(
    photos: list[Photo], events: tuple[Event, ...], results: dict[str, PhotoResult], whole: Callable[[Photo], PhotoResult | None]
) -> tuple[Moment, ...]:
    """Usable photos of one sequence in the order of time, each with what happened, or may have happened, until the next one."""
    moments = []
    for place, photo in enumerate(photos):
        result = whole(photo) or results[photo.path]
        until = photos[place + 1].taken_at if place + 1 < len(photos) else None
        between = tuple(event for event in events if _ends(event) >= photo.taken_at and (until is None or event.at < until))
        values = {(row.measure, row.zone): row.value for row in result.measured}
        moments.append(Moment(photo, result.quality.quality, result.quality.version, values, result.spots, between))
    return tuple(moments)
