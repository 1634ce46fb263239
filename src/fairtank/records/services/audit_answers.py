"""Audit points asked in the pages: drawn at random, shown one at a time without arm and day, each answer kept as it is given."""

import csv
import io
import zlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from django.conf import settings
from django.db import transaction
from django.utils import timezone

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.records.arms import arm_on
from fairtank.records.audit_files import KeyPoint, draw_code, key_text
from fairtank.records.audited import judged_days
from fairtank.records.folder.tables import OWN_CLASSES, UNSURE
from fairtank.records.models import AuditPoint, Document, Photo, Trial
from fairtank.records.selectors.photos import lens_of
from fairtank.records.selectors.trial_state import folder_of_rows
from fairtank.records.services.auditing import MOST_POINTS
from fairtank.records.services.lens import lens_of_unit
from fairtank.records.services.strokes import classes_of
from fairtank.records.services.trail import By, noted
from fairtank.records.shelf_photos import photo_files
from fairtank.records.writing import bytes_write
from fairtank.trial import TrialFolder
from fairtank.vision.audit_points import Site, counted_part, points_allotted, points_placed
from fairtank.vision.crops import point_crop, whole_photo
from fairtank.vision.quality.verdicts import NOT_USABLE

POINTS_FILE = "audit/points.csv"
FIRST_POINTS = 200
_THIRDS = 3


@dataclass(frozen=True)
class Asked:
    """Where one person stands: all points, how many this person has answered, the next one and the one after it; None at the end."""

    points: int
    answered: int
    next: KeyPoint | None
    after: KeyPoint | None


def points_of(trial: Trial) -> tuple[KeyPoint, ...]:
    """All points that were drawn for a trial in the pages; none where the list is damaged."""
    kept = Document.objects.filter(trial=trial, path=POINTS_FILE).first()
    if kept is None:
        return ()
    rows = list(csv.reader(io.StringIO(kept.text.partition("\n")[2])))[1:]
    points = tuple(KeyPoint(draw, int(number), photo, float(x), float(y)) for draw, number, photo, x, y in rows)
    for code in {point.draw for point in points}:
        if draw_code([(point.number, point.photo, point.x, point.y) for point in points if point.draw == code]) != code:
            raise InputError("the list of audit points", "changed since the points were drawn", "the list as it was drawn")
    return points


def points_draw(*, trial: Trial, count: int, by: By, seed: int | None = None) -> int:
    """Draw further points, as many in each arm: over tanks, thirds of the trial and photos as evenly as can be.

    Parameters
    ----------
    trial : Trial
    count : int
        New points in all; rounded up so that every arm gets as many. [-], 2 to 5000
    by : By
    seed : int, optional
        Of the draw; the same trial and seed give the same points. Without one it is made from the trial.

    Returns
    -------
    int
        How many points were drawn.

    Raises
    ------
    InputError
        If so many cannot be drawn.
    NotEnoughDataError
        If there is no usable photo on a judged day.

    References
    ----------
    olofsson2014 (keys from sources.py).
    """
    if not 2 <= count <= MOST_POINTS:
        raise InputError("how many points", count, f"2 to {MOST_POINTS}")
    before, folder = points_of(trial), folder_of_rows(trial)
    usable = {photo.path: photo for photo in Photo.objects.filter(trial=trial).exclude(quality__in=("", NOT_USABLE)).select_related("unit")
              if photo.corners}
    sites = _sites(folder, usable, Counter(point.photo for point in before))
    arms = len({site.arm for site in sites})
    rng = np.random.default_rng([zlib.crc32(str(trial.uid).encode()) if seed is None else seed, len(before)])
    allotted = Counter(points_allotted(sites, -(-count // arms) * arms, rng))
    points = _placed(folder, usable, allotted, before, rng)
    with transaction.atomic():
        Document.objects.update_or_create(trial=trial, path=POINTS_FILE, defaults={"content": key_text((*before, *points)).encode()})
        noted(by=by, verb="draw", said=f"Drew {len(points)} audit points in {len(allotted)} photos.", trial=trial, row=trial)
    return len(points)


def _sites(folder: TrialFolder, usable: dict[str, Photo], taken: Counter[str]) -> tuple[Site, ...]:
    """Usable photos on judged days, each with its arm, its third of the trial and the points it has already."""
    first, last = judged_days(folder.plan)
    sites = []
    for photo in folder.photos:
        arm = arm_on(folder.plan, photo.unit, photo.day)
        if photo.path in usable and arm is not None and first <= photo.day <= last:
            sites.append(Site(photo.path, photo.unit, arm, (photo.day - first) * _THIRDS // (last - first + 1), taken[photo.path]))
    if not sites:
        raise NotEnoughDataError(f"No point can be drawn: there is no usable photo on a judged day (day {first} to {last}). Measure the "
                                 "photos first; the strip wall tells why a photo could not be used.")
    return tuple(sites)


def _placed(folder: TrialFolder, usable: dict[str, Photo], allotted: Counter[str], before: Sequence[KeyPoint], rng: np.random.Generator
            ) -> tuple[KeyPoint, ...]:  # fmt: skip
    """The new points, numbered in shuffled order."""
    sizes = {frame.unit: (frame.width_cm, frame.height_cm) for frame in reversed(folder.frames)}
    counted = {unit: counted_part([zone for zone in folder.zones if zone.unit == unit], *size) for unit, size in sizes.items()}
    there, taken = {(point.photo, point.x, point.y) for point in before}, Counter(point.photo for point in before)
    made: list[tuple[str, float, float]] = []
    for path in sorted(allotted):
        photo = usable[path]
        unit, size = photo.unit.key, (photo.width_px, photo.height_px)
        corners: Any = tuple(tuple(corner) for corner in photo.corners)
        spots = points_placed(counted[unit], corners, size, allotted[path] + taken[path], rng, lens_of_unit(folder, unit)).tolist()
        made += [(path, x, y) for x, y in spots if (path, x, y) not in there][:allotted[path]]
    start = max((point.number for point in before), default=0) + 1
    order = rng.permutation(len(made)).tolist()
    rows = [(start + place, *made[which]) for place, which in enumerate(order)]
    code = draw_code(rows)
    return tuple(KeyPoint(code, number, photo, x, y) for number, photo, x, y in rows)


def asked_of(trial: Trial, by: By) -> Asked:
    """Where a person stands with the points of a trial."""
    points = points_of(trial)
    done = _answered(trial, by.name)
    left = [point for point in points if (point.photo, point.x, point.y) not in done]
    return Asked(len(points), len(points) - len(left), left[0] if left else None, left[1] if len(left) > 1 else None)


def answers_in(trial: Trial) -> int:
    """How many answers there are in all, from whomever."""
    return int(AuditPoint.objects.filter(trial=trial).count())


def _answered(trial: Trial, rater: str) -> set[tuple[str, float, float]]:
    return set(AuditPoint.objects.filter(trial=trial, rater=rater).values_list("photo__path", "x", "y"))


def accepted_answers(trial: Trial) -> tuple[str, ...]:
    """What may be said at a point: plant, algae, background, that one cannot tell, and the trial's own classes."""
    return tuple(dict.fromkeys((*OWN_CLASSES, UNSURE, *(kind.key for kind in classes_of(trial)))))


def answer_give(*, trial: Trial, number: int, answer: str, by: By) -> None:
    """Keep what a person sees at a point; a second answer of the same person takes the place of the first.

    Parameters
    ----------
    trial : Trial
    number : int
        Of the point.
    answer : str
        One of `accepted_answers`.
    by : By

    Raises
    ------
    InputError
        If there is no such point or answer.

    References
    ----------
    olofsson2014 (keys from sources.py).
    """
    point = point_of(trial, number)
    if answer not in accepted_answers(trial):
        raise InputError("the answer", answer[:60], ", ".join(accepted_answers(trial)))
    photo = Photo.objects.filter(trial=trial, path=point.photo).first()
    if photo is None:
        raise InputError("the point", point.name, "a point of a photo that is still there")
    with transaction.atomic():
        there = AuditPoint.objects.filter(trial=trial, photo=photo, x=point.x, y=point.y, rater=by.name)
        if not there.update(answer=answer):
            AuditPoint.objects.create(trial=trial, photo=photo, x=point.x, y=point.y, rater=by.name, answer=answer)
        noted(by=by, verb="answer", said=f"Answered audit {point.name}.", trial=trial, tables=("audit",))


def answer_undo(*, trial: Trial, by: By) -> int | None:
    """Take back the last answer of a person; returns the number of its point, None where there is none to take back."""
    last = AuditPoint.objects.filter(trial=trial, rater=by.name).select_related("photo").order_by("-pk").first()
    if last is None:
        return None
    place = (last.photo.path, last.x, last.y)
    number = next((point.number for point in points_of(trial) if (point.photo, point.x, point.y) == place), None)
    if number is None:  # it came with a folder, not from these pages
        return None
    with transaction.atomic():
        AuditPoint.objects.filter(pk=last.pk).update(removed_at=timezone.now())
        noted(by=by, verb="answer", said=f"Took back the answer to audit point-{number:04d}.", trial=trial, tables=("audit",))
    return number


def point_of(trial: Trial, number: int) -> KeyPoint:
    """One point by its number."""
    found = next((point for point in points_of(trial) if point.number == number), None)
    if found is None:
        raise InputError("the point", number, "the number of a point that was drawn")
    return found


def point_picture(trial: Trial, point: KeyPoint) -> bytes:
    """The surroundings of a point with its cross-hair; nothing in it tells the photo.

    Raises
    ------
    InputError
        If its photo was taken away.
    """
    photo = Photo.objects.filter(trial=trial, path=point.photo).select_related("unit").first()
    if photo is None or not photo.corners:
        raise InputError("the point", point.name, "a point of a photo that is still there and was measured")
    place = Path(settings.DATA) / "derived" / "points" / photo.sha256[:2] / f"{photo.sha256}-{point.x:.1f}-{point.y:.1f}.jpg"
    if place.is_file():
        return place.read_bytes()
    corners: Any = tuple(tuple(corner) for corner in photo.corners)
    lens = lens_of(trial, photo.unit.key)
    picture = point_crop(whole_photo(photo_files().path_of(photo.sha256)), point.x, point.y, corners, lens)
    bytes_write(place, picture)
    return picture

