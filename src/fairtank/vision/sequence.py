"""Measures that need the photos before or after: what one unit's photos say together, in the order of time."""

from dataclasses import dataclass

from fairtank import registry
from fairtank.trial import Event, Measured, Photo
from fairtank.vision.rows import measured_row
from fairtank.vision.spots import SpotNote


@dataclass(frozen=True, eq=False)
class Moment:
    """One usable photo of a unit. values: by (measure, zone). events: of the unit, after this photo and up to its next one."""

    photo: Photo
    quality: str
    version: str
    values: dict[tuple[str, str], float]
    spots: SpotNote | None
    events: tuple[Event, ...] = ()


def sequence_measures(moments: tuple[Moment, ...]) -> tuple[Measured, ...]:
    """Every measure that is taken over photos, for one unit.

    Parameters
    ----------
    moments : tuple of Moment
        Usable photos of one unit, in the order of time.

    Returns
    -------
    tuple of Measured

    References
    ----------
    common_practice (keys from sources.py).
    """
    rows = []
    for entry in registry.entries("measure"):
        if entry.over != "sequence":
            continue
        for moment, values in zip(moments, entry.function(moments), strict=True):
            for zone, value in values.items():
                rows.append(measured_row(moment.photo, entry, zone, value, quality=moment.quality, version=moment.version))
    return tuple(rows)
