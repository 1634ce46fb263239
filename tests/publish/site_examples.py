"""A public page of an invented trial, made once for all tests of this room."""

import io
from dataclasses import replace
from datetime import datetime
from functools import cache

import numpy as np
from tests.publish.invented_trials import dark_break, one_cover_glass, pictures_of

from fairtank.publish.site.content import Beside, Film, LargePicture, SiteContent
from fairtank.publish.site.pages import site_files
from fairtank.trial import Photo, PhotoQuality

NOON = datetime(2026, 3, 1, 12)
ADDRESS = "https://trials.example/dark-break/"


@cache
def small_trial():
    """Two measures of six tanks, every fourth day: as much as the tests of this room need."""
    content = dark_break(with_photos=False)
    findings = content.findings[:2]
    kept = [one for one in content.series if one.measure in {finding.measure for finding in findings}]
    series = tuple(replace(one, days=one.days[::4], values=one.values[::4]) for one in kept)
    return replace(content, findings=findings, series=series)


@cache
def photographed():
    """The report's content of a trial with a few photos, of which one was not used."""
    content, rng = small_trial(), np.random.default_rng(3)
    units, days = content.folder.plan.units, (0, 1, 15)
    shots = {unit.key: {day: Photo(f"photos/{unit.key}-{day}.jpg", unit.key, NOON, day) for day in days} for unit in units}
    qualities = tuple(PhotoQuality(photo.path, photo.unit, day, "not usable" if (photo.unit, day) == ("T3", 1) else "usable", (), None, 0.4,
                                   0.01, 45.0, 0.1, "frame 1") for own in shots.values() for day, photo in own.items())
    pictures = tuple(pictures_of(unit.key, shots[unit.key], unit.arm == "D", rng) for unit in units)
    return replace(content, qualities=qualities, pictures=pictures)


def large_pictures(content):
    """First and last picture of each unit as WebP."""
    from PIL import Image

    found = []
    for own in content.pictures:
        for day, jpeg in ((own.first_day, own.first), (own.last_day, own.last)):
            held = io.BytesIO()
            with Image.open(io.BytesIO(jpeg)) as picture:
                picture.resize((380, 214)).save(held, "WEBP", quality=60, method=0)
            found.append(LargePicture(own.unit, day, held.getvalue(), 380, 214))
    return tuple(found)


def full():
    """A trial with everything beside its page."""
    content = photographed()
    files = (Beside("report.html", "The whole report.", 4_600_000), Beside("findings.json", "Every number.", 19_000))
    kit = Beside("kit/dark break.zip", "The kit.", 2_300_000, "ab" * 32)
    forms = ("film/film-wide.mp4", "video/mp4"), ("film/film-wide.webm", "video/webm")
    film = Film(forms, "film/film-wide.webp", "film/film-wide.vtt", 9_000_000)
    return SiteContent(content, large_pictures(content), files, kit, film, ADDRESS)


@cache
def full_site():
    """The files of the page with everything."""
    return dict(site_files(full()))


@cache
def bare_site():
    """The files of the page of two tanks without a photo, an address or anything beside it."""
    return dict(site_files(SiteContent(one_cover_glass())))
