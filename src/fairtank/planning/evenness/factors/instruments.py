"""Factors of how the trial is looked at: cameras, times of the photos, and who scores."""

import re
from collections import defaultdict
from pathlib import PurePosixPath

from fairtank.planning.evenness.conversion import CLOCK_UNIT
from fairtank.planning.evenness.factors.people import LIKE_SHARE_PCT
from fairtank.planning.evenness.known import Known, shares_told
from fairtank.planning.evenness.told import MEASURED, Told
from fairtank.registry import Tolerance, factor

_LENS, _PHOTOS, _SCORES, _AUDIT = "lens.csv", "photos.csv", "scores.csv", "audit.csv"


@factor(key="camera", title="Camera", unit="word", sources=("common_practice",), algae=3, plants=3,
        moves="Another camera or setting gives other greens: the difference is then in the pictures and not in the tanks.",
        remedy="photograph all tanks with one camera and one setting, with a photo card beside each")
def camera(known: Known) -> tuple[Told, ...]:
    """Which camera, and which setting."""
    named: dict[str, set[str]] = defaultdict(set)
    for lens in known.folder.lens:
        for unit in lens.units or known.units:
            named[unit].add(lens.camera)
    told = tuple(Told(unit, " and ".join(sorted(own)), _LENS, MEASURED) for unit, own in named.items())
    return (*told, *known.written("camera"))


@factor(key="photo_time", title="Time of the photos", unit=CLOCK_UNIT, tolerance=Tolerance(1.0), sources=("common_practice",),
        algae=2, plants=2,
        moves="Leaves open and close, bubbles come and the light of the room changes over a day.",
        remedy="photograph all tanks in one round, in an order drawn by lot")
def photo_time(known: Known) -> tuple[Told, ...]:
    """Clock time of the photos; times of midnight exactly are dates without a time."""
    hours: dict[str, list[float]] = defaultdict(list)
    for photo in known.folder.photos:
        at = photo.taken_at
        if known.has_day(photo.day) and (at.hour, at.minute, at.second) != (0, 0, 0):
            hours[photo.unit].append(at.hour + at.minute / 60)
    told = tuple(Told(unit, sum(own) / len(own), _PHOTOS, MEASURED, dated=True) for unit, own in hours.items())
    return (*told, *known.written("photo_time"))


@factor(key="photos_per_week", title="Number of photos", unit="per week", tolerance=Tolerance(0.5, 0.1), sources=("common_practice",),
        algae=2, plants=2,
        moves="A tank that is photographed less often, or only on good days, is known less well.",
        remedy="photograph all tanks on the same days")
def photos_per_week(known: Known) -> tuple[Told, ...]:
    """How many photos a week."""
    counts: dict[str, float] = defaultdict(float)
    for photo in known.folder.photos:
        if known.has_day(photo.day):
            counts[photo.unit] += 1 / known.weeks
    return (*known.each_unit(counts, _PHOTOS), *known.written("photos_per_week"))


@factor(key="scorer", title="Who scored", unit="word", tolerance=Tolerance(LIKE_SHARE_PCT), sources=("common_practice",), algae=3, plants=3,
        moves="People see more or less in one photo: whoever scores only one arm puts their own eye into the difference.",
        remedy="let everybody score photos of all tanks, in an order drawn by lot and without knowing the arm")
def scorer(known: Known) -> tuple[Told, ...]:
    """Who scored or audited how large a share of a unit's photos."""
    units = {photo.path: photo.unit for photo in known.folder.photos}
    seen = (*((score.photo, score.rater) for score in known.folder.scores), *((point.photo, point.rater) for point in known.folder.audit))
    entries = [(units.get(photo) or _from_name(known, photo), rater) for photo, rater in seen]
    where = _SCORES if known.folder.scores else _AUDIT
    return (*shares_told(known, ((unit, rater) for unit, rater in entries if unit), where), *known.written("scorer"))


def _from_name(known: Known, path: str) -> str:
    """The unit whose key stands in a photo's name, where photos.csv does not list it; empty where none does."""
    words = re.split(r"[^\w]+|_", PurePosixPath(path).stem)
    return next((unit for unit in known.units if unit in words), "")
