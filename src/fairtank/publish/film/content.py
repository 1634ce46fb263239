"""What a film is made from: the trial, its findings, and a way to each photo in its frame; and where its files lie."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from fairtank.chore import ChoreDone
from fairtank.finding import Finding
from fairtank.publish.film.timeline import Timeline
from fairtank.trial import Event, Plan, Series


@dataclass(frozen=True)
class UnitPhotos:
    """The photos of one unit that may be shown.

    days: with a usable photo, ascending. width_cm, height_cm: of its frame. anew: days from which on it is seen in another frame, since it
    was laid out anew or its camera got another place.
    """

    unit: str
    days: tuple[int, ...]
    width_cm: float
    height_cm: float
    anew: frozenset[int] = frozenset()


# Unit, day, width and height [px] -> the photo in its frame and in the colours of the trial: array (height, width, 3), uint8.
PictureOf = Callable[[str, int, int, int], np.ndarray]


@dataclass(frozen=True, eq=False)
class FilmContent:
    """Everything that a film shows.

    findings: those of the whole trial. series: of all measures. seal_code: of the sealed plan; empty where it is not sealed. codes: what
    each unit is called while its arm is hidden. picture: the way to a photo.
    """

    plan: Plan
    findings: tuple[Finding, ...]
    series: tuple[Series, ...]
    photos: tuple[UnitPhotos, ...]
    picture: PictureOf
    events: tuple[Event, ...] = ()
    chores_done: tuple[ChoreDone, ...] = ()
    seal_code: str = ""
    codes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class FilmFiles:
    """Where a film and what belongs to it were written.

    film: the film. timeline_file: when each day is shown, as JSON. timeline: the same. poster_jpg, poster_webp: the picture that stands for
    it. before_after: first and last day of every tank shown, in one picture. pairs: unit and its own picture of both days. size_px: width
    and height of the film.
    """

    film: Path
    timeline_file: Path
    timeline: Timeline
    poster_jpg: Path
    poster_webp: Path
    before_after: Path
    pairs: tuple[tuple[str, Path], ...]
    size_px: tuple[int, int]
