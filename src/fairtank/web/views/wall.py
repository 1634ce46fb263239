"""The strip wall, and two photos side by side."""

from datetime import timedelta
from itertools import groupby
from typing import Any

from django.http import Http404, HttpRequest, HttpResponseBase
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from fairtank.publish.arms import PALETTE, ArmLook
from fairtank.records.models import Photo, Trial, Unit
from fairtank.records.selectors.photos import Wall, partner_of, photo_in, photo_on, values_of, wall_of
from fairtank.records.selectors.results import answer_of
from fairtank.web.said import in_pages
from fairtank.web.views.photo import framed_address, picture_address
from fairtank.web.visitors import needs, trial_for, trial_page
from fairtank.web.whole import whole_of

PLAIN_DAYS = 14
_ADDRESS_KEY, _ADDRESS_STAMP = 987654321, "stamp"


@require_safe
@needs("look")
def wall(request: HttpRequest, slug: str) -> HttpResponseBase:
    """All photos of a trial: one row for each unit, one column for each day."""
    trial = trial_for(request, slug)
    found = wall_of(trial, sees_arms=request.GET.get("arms") == "shown")
    measured = answer_of(trial, "measure")
    first, last = found.days
    until = _day(request.GET.get("until", ""), last)
    return trial_page(request, "wall/wall.html", trial, "wall", {
        "wall": found, "data": wall_data(found), "plain": _plain_rows(found, until), "plain_days": _plain_days(found, until),
        "earlier": until - PLAIN_DAYS if until - PLAIN_DAYS >= first else None,
        "later": min(until + PLAIN_DAYS, last) if until < last else None,
        "measured": measured, "has_photos": last >= first, "legend": legend_of(found), "counts": _counts(found),
    })


def wall_data(found: Wall) -> dict[str, Any]:
    """What the wall's script draws: rows, photos as short lists, marks of days."""
    trial, (first, last) = found.trial, found.days
    rows = [[[shot.day, shot.key, shot.stamp, shot.code, shot.count] for shot in found.shots.get(row.unit.key, ())] for row in found.units]
    said = {reason: place for place, reason in enumerate(dict.fromkeys(found.reasons.values()))}
    address = reverse("photo_picture", args=[trial.slug, _ADDRESS_KEY, "320", _ADDRESS_STAMP])
    return {
        "first": first, "last": last, "start": trial.start.isoformat() if trial.start else "",
        "units": [{"name": row.unit.key, "position": row.unit.position, "arm": arm_place(row.look),
                   "letter": row.look.letter if row.look else "", "label": row.look.label if row.look else ""} for row in found.units],
        "rows": rows, "reasons": [in_pages(reason) for reason in said], "why": {key: said[why] for key, why in found.reasons.items()},
        "marks": [[mark.day, mark.kind, mark.short, mark.words] for mark in found.marks if first <= mark.day <= last],
        "left": [[list(one.units), one.first, one.last, one.words] for one in found.left_out],
        "picture": address.replace(str(_ADDRESS_KEY), "{key}").replace(_ADDRESS_STAMP, "{stamp}"),
        "compare": reverse("compare", args=[trial.slug]), "photo": reverse("photo", args=[trial.slug, _ADDRESS_KEY]).replace(
            str(_ADDRESS_KEY), "{key}"),
    }


def arm_place(look: ArmLook | None) -> int:
    """The place of an arm's colour and line in the house's order; -1 without an arm."""
    return -1 if look is None else PALETTE.index(look.colour)


def legend_of(found: Wall) -> list[tuple[ArmLook, int]]:
    """The arms that the wall tells, each once."""
    looks = {row.look.key: row.look for row in found.units if row.look is not None}
    return [(look, arm_place(look)) for look in sorted(looks.values(), key=lambda look: look.letter)]


def _counts(found: Wall) -> dict[str, int]:
    shots = [shot for own in found.shots.values() for shot in own]
    return {"photos": sum(shot.count for shot in shots), "doubtful": sum(shot.code == 2 for shot in shots),
            "unusable": sum(shot.code == 3 for shot in shots), "open": sum(shot.code == 0 for shot in shots)}


def _plain_days(found: Wall, until: int) -> list[tuple[int, str, str]]:
    """Day, date and marks of the columns of the table without script."""
    first, _last = found.days
    start = found.trial.start
    marks = {day: "; ".join(mark.words for mark in group) for day, group in groupby(found.marks, key=lambda mark: mark.day)}
    return [(day, (start + timedelta(days=day)).isoformat() if start else "", marks.get(day, ""))
            for day in range(max(first, until - PLAIN_DAYS + 1), until + 1)]


def _plain_rows(found: Wall, until: int) -> list[dict[str, Any]]:
    days = [day for day, _date, _marks in _plain_days(found, until)]
    rows = []
    for row in found.units:
        own = {shot.day: shot for shot in found.shots.get(row.unit.key, ())}
        rows.append({"unit": row.unit, "look": row.look, "cells": [(own.get(day), found.reasons.get(own[day].key, "") if day in own else "")
                                                                  for day in days]})
    return rows


@require_safe
@needs("look")
def compare(request: HttpRequest, slug: str) -> HttpResponseBase:
    """Two photos, framed alike where their frames are known, with their values beneath."""
    trial = trial_for(request, slug)
    left, right = _two(request, trial)
    framed = (framed_address(trial, left), framed_address(trial, right))
    sides = [(photo, both if all(framed) else picture_address(trial, photo, "1600"))
             for photo, both in zip((left, right), framed, strict=True)]
    days = Photo.objects.filter(trial=trial).order_by("day").values_list("day", flat=True)
    return trial_page(request, "wall/compare.html", trial, "wall", {
        "sides": sides, "is_framed": all(framed), "values": values_of([left, right]), "units": list(Unit.objects.filter(trial=trial)),
        "days": sorted(set(days)), "same_day": left.day == right.day,
        "reasons": [[in_pages(reason) for reason in photo.reasons] for photo in (left, right)], "before": _moved(trial, left, right, -1),
        "after": _moved(trial, left, right, 1),
    })


def _two(request: HttpRequest, trial: Trial) -> tuple[Photo, Photo]:
    """The photos that were asked for: by their keys, or by unit and day."""
    sent = request.GET
    left = _one(trial, sent.get("left", ""), sent.get("left_unit", ""), sent.get("left_day", ""))
    if left is None:
        raise Http404(_("There is no photo of that unit to compare. Choose one on the strip wall."))
    right = _one(trial, sent.get("right", ""), sent.get("right_unit", ""), sent.get("right_day", "") or str(left.day))
    right = right or partner_of(trial, left)
    return left, right or left


def _one(trial: Trial, key: str, unit: str, day: str) -> Photo | None:
    if unit:
        return photo_on(trial, unit, _day(day, 0))
    number = whole_of(key)
    return None if number is None else photo_in(trial, number)


def _moved(trial: Trial, left: Photo, right: Photo, step: int) -> dict[str, str] | None:
    """The same two units a day with a photo earlier or later."""
    own = Photo.objects.filter(trial=trial, unit=left.unit)
    near = own.filter(day__lt=left.day).order_by("-day").first() if step < 0 else own.filter(day__gt=left.day).order_by("day").first()
    if near is None:
        return None
    return {"left_unit": left.unit.key, "left_day": str(near.day), "right_unit": right.unit.key,
            "right_day": str(near.day if left.day == right.day else right.day)}


def _day(text: str, otherwise: int) -> int:
    """A day as somebody typed it in the address."""
    found = whole_of(text, -99_999, 999_999)  # further away there are no dates
    return otherwise if found is None else found
