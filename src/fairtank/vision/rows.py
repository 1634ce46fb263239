"""One value taken from a photo, as the row that is written down."""

from fairtank.registry import Entry
from fairtank.trial import Measured, Photo


def measured_row(
    photo: Photo, entry: Entry, zone: str, value: float, *, quality: str, version: str, se: float | None = None
) -> Measured:
    """A value of a declared measure with all that it is known by.

    Parameters
    ----------
    photo : Photo
    entry : Entry
        Of the measure.
    zone : str
        Empty for the whole frame.
    value : float
    quality, version : str
        Of the photo's result.
    se : float or None
        Standard error of the measurement.

    Returns
    -------
    Measured

    References
    ----------
    arithmetic (keys from sources.py).
    """
    place = (photo.path, photo.unit, photo.taken_at, photo.day)
    return Measured(*place, entry.key, zone, rounded(value), entry.unit, se, quality, version)


def rounded(value: float) -> float:
    """Six significant digits: more than any photo supports, few enough to be the same on every machine.

    Parameters
    ----------
    value : float

    Returns
    -------
    float

    References
    ----------
    arithmetic (keys from sources.py).

    Examples
    --------
    >>> rounded(1 / 3)
    0.333333
    """
    return float(f"{value:.6g}")
