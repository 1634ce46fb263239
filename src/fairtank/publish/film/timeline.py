"""When each day of the trial is shown: the shots of a film, in frames, and the time at which a day is reached.

Everything else that speaks of times (captions, chapter marks) reads them here, so that it cannot disagree with the film.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any

from fairtank.errors import NotEnoughDataError

SHOT_KINDS = ("open", "day", "gap", "hold", "reveal", "close")
# A trial of any length takes about this long, unless a day would then be too short to be seen, or long enough to bore. [s]
DAYS_TOGETHER_S, SHORTEST_DAY_S, LONGEST_DAY_S = 10.0, 0.15, 0.6
HOLD_S, SHORTEST_GAP_S, REVEAL_S = 2.0, 0.8, 3.0
# Share of a day's frames in which it leads over to the next one; cards have a time of their own.
DISSOLVE_SHARE, CARD_DISSOLVE_S = 0.25, 0.4


@dataclass(frozen=True)
class Shot:
    """One stretch of a film that shows one thing.

    kind: `open` and `close` (cards), `hold` (the first and the last day), `day`, `gap` (days on which no tank was photographed), `reveal`
    (the arms are named). first_frame: its first frame, counted from 0. frames: how many. day: the day of the trial that it shows; of a gap
    its first day; None for cards. until: of a gap its last day. dissolve: how many of its frames, at its end, lead over to the next shot.
    """

    kind: str
    first_frame: int
    frames: int
    day: int | None = None
    until: int | None = None
    dissolve: int = 0

    @property
    def end_frame(self) -> int:
        """The frame after its last one."""
        return self.first_frame + self.frames


@dataclass(frozen=True)
class Timeline:
    """The shots of a film in order, without a hole between them."""

    frames_per_second: int
    shots: tuple[Shot, ...]

    @property
    def frames(self) -> int:
        """How many frames the film has."""
        return self.shots[-1].end_frame

    @property
    def seconds(self) -> float:
        """How long the film is. [s]"""
        return self.frames / self.frames_per_second

    @property
    def days(self) -> tuple[int, ...]:
        """The days of the trial that have a picture, in order."""
        return tuple(shot.day for shot in self.shots if shot.kind in ("day", "hold") and shot.day is not None)

    def seconds_of(self, shot: Shot) -> float:
        """When a shot begins. [s from the beginning of the film]"""
        return shot.first_frame / self.frames_per_second

    def seconds_of_day(self, day: int) -> float:
        """When the film reaches a day of the trial. [s from the beginning of the film]

        A day in a gap is reached when the gap begins; a day before the first photo with the first photo, one after the last with the last.

        Parameters
        ----------
        day : int
            Of the trial.

        Returns
        -------
        float
        """
        shown = [shot for shot in self.shots if shot.kind in ("day", "hold", "gap")]
        reached = [shot for shot in shown if shot.day is not None and shot.day <= day]
        return self.seconds_of(reached[-1] if reached else shown[0])


def usual_seconds_per_day(days: Sequence[int]) -> float:
    """How long a day is shown where the keeper does not say it. [s]

    Parameters
    ----------
    days : sequence of int
        Days with a photo, ascending.

    Returns
    -------
    float

    Examples
    --------
    >>> round(usual_seconds_per_day(range(43)), 2), usual_seconds_per_day(range(4)), usual_seconds_per_day(range(400))
    (0.24, 0.6, 0.15)
    """
    steps = max(days[-1] - days[0], 1) if days else 1
    return min(max(DAYS_TOGETHER_S / steps, SHORTEST_DAY_S), LONGEST_DAY_S)


def timeline_of(days: Sequence[int], *, frames_per_second: int, seconds_per_day: float | None = None, open_s: Sequence[float] = (),
                close_s: Sequence[float] = (), has_reveal: bool = False) -> Timeline:
    """The shots of a film.

    Parameters
    ----------
    days : sequence of int
        Days on which at least one tank was photographed, ascending, each once.
    frames_per_second : int
    seconds_per_day : float or None
        How long a day is shown; None for what is usual for that many days. [s]
    open_s, close_s : sequence of float
        How long each card before and after the days is shown. [s]
    has_reveal : bool
        Whether the arms are named after the last day only.

    Returns
    -------
    Timeline

    Raises
    ------
    NotEnoughDataError
        If there is no day to show.

    Examples
    --------
    >>> film = timeline_of((0, 1, 4), frames_per_second=10, seconds_per_day=0.5, open_s=(1.0,))
    >>> [(shot.kind, shot.first_frame, shot.frames, shot.day, shot.until) for shot in film.shots]
    [('open', 0, 10, None, None), ('hold', 10, 20, 0, None), ('day', 30, 5, 1, None), ('gap', 35, 10, 2, 3), ('hold', 45, 20, 4, None)]
    >>> film.seconds_of_day(3)
    3.5
    """
    if not days:
        raise NotEnoughDataError("No usable photo lies inside the days of the trial, so there is nothing to show in a film. Photograph the "
                                 "tanks, set their frames and measure the photos first.")
    day_s = seconds_per_day or usual_seconds_per_day(days)
    card, usual = max(1, round(CARD_DISSOLVE_S * frames_per_second)), max(1, round(DISSOLVE_SHARE * day_s * frames_per_second))
    shots = [_Length("open", seconds, dissolve=card) for seconds in open_s]
    shots += [_Length("hold", HOLD_S, days[0], dissolve=usual)]
    for before, day in pairwise(days):
        if day - before > 1:
            gap_s = max(SHORTEST_GAP_S, min(day - before - 1, 2) * day_s)
            shots.append(_Length("gap", gap_s, before + 1, day - 1, dissolve=usual))
        is_last = day == days[-1]
        shots.append(_Length("hold" if is_last else "day", HOLD_S if is_last else day_s, day, dissolve=usual))
    shots += [_Length("reveal", REVEAL_S, days[-1], dissolve=card)] if has_reveal else []
    shots += [_Length("close", seconds, dissolve=card) for seconds in close_s]
    return Timeline(frames_per_second, _laid(shots, frames_per_second, card))


@dataclass(frozen=True)
class _Length:
    """A shot before it has its place."""

    kind: str
    seconds: float
    day: int | None = None
    until: int | None = None
    dissolve: int = 0


def _laid(lengths: Sequence[_Length], frames_per_second: int, card_dissolve: int) -> tuple[Shot, ...]:
    """One after the other; the last one leads to nothing, and what stands before a card or the reveal leads to it as cards do."""
    shots: list[Shot] = []
    for place, one in enumerate(lengths):
        frames = max(2, round(one.seconds * frames_per_second))
        following = lengths[place + 1].kind if place + 1 < len(lengths) else ""
        dissolve = card_dissolve if following in ("open", "reveal", "close") else one.dissolve
        shots.append(Shot(one.kind, shots[-1].end_frame if shots else 0, frames, one.day, one.until,
                          min(dissolve, frames - 1) if following else 0))
    return tuple(shots)


def timeline_text(timeline: Timeline) -> str:
    """The timeline as JSON, to be kept beside its film.

    Parameters
    ----------
    timeline : Timeline

    Returns
    -------
    str
    """
    return json.dumps(timeline_json(timeline), indent=1, sort_keys=True) + "\n"


def timeline_json(timeline: Timeline) -> dict[str, Any]:
    """The timeline in what JSON knows."""
    return {"frames_per_second": timeline.frames_per_second, "shots": [asdict(shot) for shot in timeline.shots]}


def timeline_from(told: Mapping[str, Any]) -> Timeline:
    """The timeline that `timeline_json` wrote down.

    Examples
    --------
    >>> film = timeline_of((0, 3), frames_per_second=25)
    >>> timeline_from(timeline_json(film)) == film
    True
    """
    return Timeline(told["frames_per_second"], tuple(Shot(**shot) for shot in told["shots"]))
