"""Answers at the blind table: each stored at once and once however often it comes, the last one taken back, and the pictures shown."""

import hashlib
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from fairtank.errors import DesignError, FairtankError, InputError
from fairtank.records.models import Frame, Photo, Seat
from fairtank.records.selectors.photos import frame_corners, lens_of
from fairtank.records.selectors.seats import MORE, ROWS, SCORE, TENTHS, Standing, Task, answers_of, entry_of, standing_of, tasks_of
from fairtank.records.services.entries import check_open
from fairtank.records.services.trail import By, noted
from fairtank.records.shelf_photos import photo_files
from fairtank.records.thumbnails import SCREEN_PX, SmallPictures
from fairtank.records.writing import bytes_write
from fairtank.vision.framing.straight import framed_jpeg

_TABLES = {SCORE: ("scores",), "pairs": ("pairs",)}


def steps_of(seat: Seat) -> tuple[int, ...]:
    """The steps of a seat's scale."""
    return tuple(step * seat.top // TENTHS for step in range(TENTHS + 1))


def answer_give(*, seat: Seat, token: str, answer: str, by: By) -> Standing:
    """Store what a person says to one task, and tell how far they are now.

    The same answer again changes nothing; another one to the same task takes the place of the first.

    Parameters
    ----------
    seat : Seat
    token : str
        The task's word.
    answer : str
        A step of the scale, or `a`, `b` or `same`.
    by : By

    Raises
    ------
    InputError
        If there is no such task or answer.
    DesignError
        If the seat was ended, or the trial is finished.

    References
    ----------
    common_practice (keys from sources.py).
    """
    with transaction.atomic():
        seat = _locked(seat)
        standing = standing_of(seat)
        task = next((task for task in standing.tasks if task.token == token), None)
        if task is None:
            raise InputError("what was answered", "not asked here", "what the page shows", "Open the page again.")
        fields = _fields(seat, answer)
        if standing.answers.get(token) == next(iter(fields.values())):
            return standing
        _put(seat, task, fields, by)
        _forget_gone(seat, standing)
    return Standing(seat, standing.tasks, {**standing.answers, token: next(iter(fields.values()))})


def _locked(seat: Seat) -> Seat:
    check_open(seat.trial)
    found: Seat = Seat.objects.select_for_update().select_related("trial").get(pk=seat.pk)
    if found.closed_at:
        raise DesignError("This seat was ended, so no more answers are taken. What was answered is kept.")
    return found


def _fields(seat: Seat, answer: str) -> dict[str, Any]:
    """The answer as a row holds it."""
    if seat.way != SCORE:
        if answer not in MORE:
            raise InputError("the answer", "none that is known", "the first photo, the second photo, or the same")
        return {"more": answer}
    step = int(answer) if answer.isascii() and answer.isdigit() and len(answer) <= 3 else -1
    if step not in steps_of(seat):
        raise InputError("the answer", "none that is known", f"a step from 0 to {seat.top}")
    return {"value": float(step)}


def _put(seat: Seat, task: Task, fields: dict[str, Any], by: By) -> None:
    """The row of a task: a new one, or the one that is there, also if it was taken back."""
    model, entry = ROWS[seat.way], entry_of(seat, task.token)
    row = model.everything.filter(trial=seat.trial, entry=entry).first()
    what = "Scored a photo" if seat.way == SCORE else "Chose between two photos"
    verb = "change" if row is not None and row.removed_at is None else "add"
    if row is None:
        names = ("photo_id",) if seat.way == SCORE else ("photo_a_id", "photo_b_id")
        row = model(trial=seat.trial, entry=entry, measure=seat.measure, rater=seat.rater, **dict(zip(names, task.photos, strict=True)))
    for name, value in fields.items():
        setattr(row, name, value)
    row.removed_at = None
    row.save()
    noted(by=by, verb=verb, said=f"{what} at the blind table." if verb == "add" else f"{what} anew at the blind table.", trial=seat.trial,
          tables=_TABLES[seat.way], row=row)


def _forget_gone(seat: Seat, standing: Standing) -> None:
    """Photos that were taken away meanwhile are not asked for any more, so that nobody is waited for in vain."""
    if len(standing.tasks) < len(seat.tasks):
        kept = {task.token for task in standing.tasks}
        seat.tasks = [task for task in seat.tasks if task[0] in kept]
        seat.save(update_fields=["tasks"])


def answer_undo(*, seat: Seat, by: By) -> Standing:
    """Take the last answer of a person back, so that the task is asked again; without one nothing changes."""
    with transaction.atomic():
        seat = _locked(seat)
        standing = standing_of(seat)
        last = standing.last
        if last is None:
            return standing
        row = answers_of(seat).get(entry=entry_of(seat, last.token))
        row.removed_at = timezone.now()
        row.save(update_fields=["removed_at"])
        said = "Took back the last answer at the blind table."
        noted(by=by, verb="remove", said=said, trial=seat.trial, tables=_TABLES[seat.way], row=row)
    return Standing(seat, standing.tasks, {token: given for token, given in standing.answers.items() if token != last.token})


def seen_of(standing: Standing) -> Standing:
    """The same without the tasks to come whose photos cannot be shown, so that a damaged file does not hold up a person.

    They stay among the seat's tasks: once the photo is put back it is asked for. Only what comes next is looked at, and its picture is
    kept.
    """
    blank: set[str] = set()
    for task in standing.open:
        if all(_can_be_shown(standing.seat, task, which) for which in range(len(task.photos))):
            break
        blank.add(task.token)
    return standing if not blank else Standing(standing.seat, tuple(task for task in standing.tasks if task.token not in blank),
                                               standing.answers)


def _can_be_shown(seat: Seat, task: Task, which: int) -> bool:
    try:
        task_picture(seat, task.token, which)
    except (FairtankError, OSError):
        return False
    return True


def task_picture(seat: Seat, token: str, which: int) -> bytes:
    """The picture of a task: what the photo's frame shows where that is known, else the photo made small; a JPEG without anything else.

    which: 0 for the first photo, 1 for the second.

    Raises
    ------
    InputError
        If there is no such task, or its photo was taken away.
    """
    task = next((task for task in tasks_of(seat) if task.token == token and which < len(task.photos)), None)
    photo = None if task is None else Photo.objects.filter(trial=seat.trial_id, pk=task.photos[which]).select_related("unit").first()
    if photo is None:
        raise InputError("the picture", "not there", "one that the page shows")
    return _picture(photo)


def _picture(photo: Photo) -> bytes:
    frames = list(Frame.objects.filter(trial=photo.trial_id, unit=photo.unit))
    corners = frame_corners(photo, frames)
    derived = Path(settings.DATA) / "derived"
    small = SmallPictures(derived).of(photo.sha256, photo_files().path_of(photo.sha256), SCREEN_PX)
    if corners is None or not frames:
        return small.read_bytes()
    lens = lens_of(photo.trial, photo.unit.key)
    size_cm = (frames[0].width_cm, frames[0].height_cm)
    name = hashlib.sha256(f"{photo.sha256} {corners} {size_cm} {lens}".encode()).hexdigest()
    place = derived / "blind" / name[:2] / f"{name}.jpg"
    if place.is_file() and place.stat().st_size:
        return place.read_bytes()
    content = framed_jpeg(small.read_bytes(), corners, (photo.width_px, photo.height_px), size_cm, lens)
    bytes_write(place, content)
    return content
