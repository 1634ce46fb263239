"""A film of two tanks and few days: each photo is a plain wall with a white square, whose place tells the tank and never moves."""

from dataclasses import replace
from datetime import datetime

import numpy as np
from tests.publish.judged_trials import found, trial

from fairtank.publish.film.content import FilmContent, UnitPhotos
from fairtank.publish.film.making import film_of
from fairtank.publish.film.wishes import FilmWishes
from fairtank.trial import Event

DAYS = {"R1": (0, 1, 4), "C1": (0, 4)}
CODES = {"R1": "wren", "C1": "moth"}
WALLS = {"R1": (60, 120, 90), "C1": (120, 90, 60)}
TINY = FilmWishes(short_side_px=180, frames_per_second=24)


def picture(unit, day, width_px, height_px):
    """A wall that brightens by the day."""
    wall = np.full((height_px, width_px, 3), np.array(WALLS[unit]) + 8 * day, np.uint8)
    across, down = width_px // 5, height_px // 4
    wall[down:2 * down, across:2 * across] = 240
    return wall


def content(kind="side_by_side", *, days=DAYS, last_day=4, **more):
    """What a film of the first days of an invented trial is made from."""
    plan, series = trial(kind, n=(1, 1) if len(days) == 2 else (3, 3))
    plan = replace(plan, days=last_day, question="Does a dark break change how much algae grows?", **more)
    short = tuple(replace(one, days=one.days[:last_day + 1], values=one.values[:last_day + 1]) for one in series)
    photos = tuple(UnitPhotos(unit, own, 45.0, 36.0) for unit, own in days.items())
    events = (Event((), datetime(2026, 3, 2, 19), None, 1, 1, "water change"), Event(("C1",), datetime(2026, 3, 5, 9), None, 4, 4, "trim"))
    return FilmContent(plan, (found(n=(3, 3)),), short, photos, picture, events, seal_code="ABCDE-12345", codes=CODES)


def film(wishes=TINY, **more):
    """A film that is settled."""
    return film_of(content(**more), wishes)


def texts_of(items):
    """Every text among items."""
    return [item.text for item in items if hasattr(item, "text")]
