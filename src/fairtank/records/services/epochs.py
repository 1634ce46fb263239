"""Which frame holds for a photo: a tank that was laid out anew, or whose camera got another place, has a further row in frames.csv."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from fairtank.trial import Frame, Photo, TrialFolder


@dataclass(frozen=True)
class Epoch:
    """One row of frames.csv and when it begins to hold.

    frame: the row. since: when its reference photo was taken; None for the unit's first row, which also holds for earlier photos.
    """

    frame: Frame
    since: datetime | None


def unit_epochs(folder: TrialFolder) -> dict[str, tuple[Epoch, ...]]:
    """The frames of each unit in order of time; in mode `by_hand` the first row alone, which sets the size.

    Parameters
    ----------
    folder : TrialFolder
        A checked trial folder.

    Returns
    -------
    dict
        Unit key -> its epochs, first to last; units without a frame are left out.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    times = {photo.path: photo.taken_at for photo in folder.photos}
    rows: dict[str, list[Frame]] = {}
    for frame in folder.frames:
        rows.setdefault(frame.unit, []).append(frame)
    return {unit: _in_order(frames[:1] if frames[0].mode == "by_hand" else frames, times) for unit, frames in rows.items()}


def frame_of(photo: Photo, epochs: tuple[Epoch, ...]) -> Frame:
    """The frame that holds for a photo: the last one whose reference photo was taken no later.

    Parameters
    ----------
    photo : Photo
    epochs : tuple of Epoch
        Of the photo's unit, as `unit_epochs` gives them; at least one.

    Returns
    -------
    Frame

    References
    ----------
    arithmetic (keys from sources.py).
    """
    return next(epoch.frame for epoch in reversed(epochs) if epoch.since is None or epoch.since <= photo.taken_at)


def _in_order(frames: Iterable[Frame], times: dict[str, datetime]) -> tuple[Epoch, ...]:
    """Epochs by the times of their reference photos; rows of one time keep their order, so that the later row holds."""
    ordered = sorted(frames, key=lambda frame: times.get(frame.reference_photo, datetime.min))
    return tuple(Epoch(frame, times.get(frame.reference_photo) if number else None) for number, frame in enumerate(ordered))
