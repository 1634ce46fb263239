"""Photos taken in: looked at, freed of their place, kept once, and written down with their tank and time."""

from datetime import datetime
from typing import Any

from django.db import transaction

from fairtank.errors import PhotoError
from fairtank.records.folder.tables import PHOTOS
from fairtank.records.models import Photo, Unit
from fairtank.records.photo_facts import facts_of
from fairtank.records.photo_intake import TakenIn, photo_take_in
from fairtank.records.rows.door import row_values
from fairtank.records.rows.kinds import KINDS
from fairtank.records.services.entries import (
    Entering,
    EntryError,
    Stored,
    check_free,
    check_open,
    check_unit,
    check_when,
    checked_values,
    open_plan,
    plain,
    put,
    said_of,
)
from fairtank.records.services.trail import By, noted
from fairtank.records.shelf_photos import photo_files

_TIME = next(column.cell for column in PHOTOS.columns if column.name == "taken_at")


def photo_add(*, who: Entering, unit: str, content: bytes, name: str, taken_at: datetime | None = None, camera_clock: bool = True,
              keep_place: bool = False, decoded_later: bool = False) -> Stored:  # fmt: skip
    """Keep a photo of one tank.

    name: what the upload is called in an error. taken_at: used where the photo does not say when it was taken, or where its camera's clock
    is not to be believed (camera_clock False). keep_place: the keeper wants the position to stay in it. decoded_later: see `photo_take_in`.

    Raises
    ------
    PhotoError
        If it is no photo that can be taken in, or these very bytes are a photo of this trial already.
    EntryError
        If its tank or its time cannot be.
    DesignError
        If the trial is finished, or has no plan.
    """
    planned = open_plan(who.trial)
    facts = facts_of(content, name)
    when = facts.taken_at if camera_clock and facts.taken_at is not None else taken_at
    if when is None:
        raise EntryError([("taken_at", f"{plain(name)} does not say when it was taken. Choose the day and the time.")])
    taken = photo_take_in(content, name, files=photo_files(), keep_place=keep_place, facts=facts, decoded_later=decoded_later)
    stored = taken.stored
    with transaction.atomic():
        check_open(who.trial)
        there = Photo.everything.filter(trial=who.trial, entry=who.entry).first() if who.entry else None
        if there is not None and there.sha256 == stored.sha256:
            return Stored(there, "same")
        _check_new(who, stored.sha256, name, there)
        check_unit(who.trial, unit)
        if when == taken_at:
            check_when(who, when)
        else:
            check_when(Entering(who.trial, who.by, who.now, who.entry, who.round, "taken earlier"), when)  # the photo itself proves its day
        day = (when.date() - planned.plan.start).days
        path = free_path(who, unit, day, facts.extension)
        values = checked_values(planned, "photos", {"photo": path, "unit": unit, "taken_at": _TIME.write(when)})
        return put(who, "photos", values, planned.plan.start, said=f"Took a photo of {unit}, day {day}.", changed="",
                   more=_more(taken))


def _more(taken: TakenIn) -> dict[str, Any]:
    return {"sha256": taken.stored.sha256, "size_bytes": taken.stored.size_bytes, "width_px": taken.facts.width_px,
            "height_px": taken.facts.height_px}


def _check_new(who: Entering, sha256: str, name: str, there: Photo | None) -> None:
    """Refuse bytes that are a photo of this trial already, and a second photo under a key that is taken (there: by that one)."""
    twin = Photo.objects.filter(trial=who.trial, sha256=sha256).values_list("unit__key", "day").first()
    if twin is not None:
        raise PhotoError(f"{plain(name)} is in this trial already, as the photo of {twin[0]} on day {twin[1]}. It is kept once; take "
                         "that one back first if it stands under the wrong tank.")
    if there is not None:
        raise PhotoError(f"{plain(name)} came under the key of another photo. Choose it once more; nothing was lost.")


def free_path(who: Entering, unit: str, day: int, extension: str) -> str:
    """A name in the trial's folder that no photo has or had: `photos/<tank>-<day>-<number>.<ending>`."""
    stem = f"photos/{plain(unit)}-{day}-"
    paths = Photo.everything.filter(trial=who.trial, path__startswith=stem).values_list("path", flat=True)
    taken = {path.rpartition(".")[0] for path in paths}
    return next(f"{stem}{number}{extension}" for number in range(1, len(taken) + 2) if f"{stem}{number}" not in taken)


def photo_change(*, row: Photo, by: By, unit: str, taken_at: datetime, reason: str = "") -> Photo:
    """Put a photo under another tank or time; its file is renamed so that its name stays true."""
    planned, trial = open_plan(row.trial), row.trial
    with transaction.atomic():
        check_open(trial)
        row = Photo.objects.select_for_update().select_related("unit").get(pk=row.pk)
        who, before = Entering(trial, by, taken_at), said_of(KINDS["photos"], row)
        if unit != row.unit.key:
            check_free(row)
            check_unit(trial, unit)
        day = (taken_at.date() - planned.plan.start).days
        moved = unit != row.unit.key or day != row.day
        path = free_path(who, unit, day, f".{row.path.rpartition('.')[2]}") if moved and row.path.startswith("photos/") else row.path
        values = checked_values(planned, "photos", {"photo": path, "unit": unit, "taken_at": _TIME.write(taken_at)})
        units = {one.key: one for one in Unit.objects.filter(trial=trial, key=unit)}
        for name, value in row_values(KINDS["photos"], values, planned.plan.start, units, {}).items():
            setattr(row, name, value)
        row.save()
        said = f"Put the photo under {unit}, day {day}{': ' + plain(reason) if reason else '.'}"
        noted(by=by, verb="change", said=said, trial=trial, tables=("photos",), row=row, before=before)
    return row
