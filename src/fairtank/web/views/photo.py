"""One photo: its page, the pictures that are made of it, and taking it away."""

import hashlib
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, PhotoError
from fairtank.records.folder.pictures import kind_of
from fairtank.records.gps import MEDIA_TYPES, without_place
from fairtank.records.jobs.class_maps import classes_drawn
from fairtank.records.models import Frame, Measurement, Photo, Stroke, Trial
from fairtank.records.models.photos import STAMP_SIGNS
from fairtank.records.selectors.photos import beside, frame_corners, lens_of, photo_in, values_of
from fairtank.records.selectors.results import answer_of
from fairtank.records.services.photo_removal import photo_bring_back, photo_remove
from fairtank.records.services.teaching import class_overlay
from fairtank.records.shelf_photos import photo_files
from fairtank.records.thumbnails import SCREEN_PX, WALL_PX, SmallPictures
from fairtank.vision.framing.straight import framed_jpeg
from fairtank.web.going import told
from fairtank.web.said import in_pages, refusal_lines
from fairtank.web.security import FILE_POLICY
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

SIZES = {"320": WALL_PX, "1600": SCREEN_PX}
# The address holds the head of the digest: what it leads to never changes.
KEPT = {"Cache-Control": "private, max-age=31536000, immutable", "Content-Security-Policy": FILE_POLICY}


def small_pictures() -> SmallPictures:
    """Where the small pictures of the shelf's photos lie."""
    return SmallPictures(Path(settings.DATA) / "derived")


def photo_for(trial: Trial, key: int, *, also_away: bool = False) -> Photo:
    """A photo of a trial, or the page that there is none."""
    found = photo_in(trial, key, also_away=also_away)
    if found is None:
        raise Http404(_("There is no such photo in this trial."))
    return found


def picture_address(trial: Trial, photo: Photo, size: str) -> str:
    """Where a picture of a photo lies: `320`, `1600` or `full`."""
    return reverse("photo_picture", args=[trial.slug, photo.pk, size, photo.stamp])


def framed_stamp(photo: Photo, corners: list[list[float]], size_cm: tuple[float, float]) -> str:
    """What a photo's picture in its frame depends on."""
    return hashlib.sha256(f"{photo.sha256} {corners} {size_cm}".encode()).hexdigest()[:STAMP_SIGNS]


def framed_of(trial: Trial, photo: Photo) -> tuple[list[list[float]], tuple[float, float]] | None:
    """Corners of the frame in a photo, and its size in cm; None where that is not known."""
    frames = list(Frame.objects.filter(trial=trial, unit=photo.unit))
    corners = frame_corners(photo, frames)
    return None if corners is None or not frames else (corners, (frames[0].width_cm, frames[0].height_cm))


def framed_address(trial: Trial, photo: Photo) -> str:
    """Where the picture of a photo in its frame lies; empty where the frame is not known."""
    known = framed_of(trial, photo)
    return "" if known is None else reverse("photo_framed", args=[trial.slug, photo.pk, framed_stamp(photo, *known)])


@require_safe
@needs("look")
def picture(request: HttpRequest, slug: str, key: int, size: str, stamp: str) -> HttpResponseBase:
    """A picture of a photo: small, for a screen, or whole and without its place."""
    found = photo_for(trial_for(request, slug), key, also_away=True)
    if stamp != found.stamp or size not in (*SIZES, "full"):
        raise Http404(_("There is no such picture."))
    if size == "full" and not visitor(request).may("export"):
        raise PermissionDenied(_("You may look at this here, and not take it away as a file."))
    place = photo_files().path_of(found.sha256)
    try:
        if size in SIZES:
            return FileResponse(small_pictures().of(found.sha256, place, SIZES[size]).open("rb"), content_type="image/jpeg", headers=KEPT)
        content = place.read_bytes()
        media = MEDIA_TYPES[kind_of(content) or "JPEG"]
        return HttpResponse(without_place(content, media), content_type=media, headers=KEPT)
    except (FairtankError, OSError) as error:
        raise Http404(_("This photo cannot be shown: its file is missing or damaged.")) from error


@require_safe
@needs("look")
def framed(request: HttpRequest, slug: str, key: int, stamp: str) -> HttpResponseBase:
    """What the frame of a photo shows, seen straight on."""
    trial = trial_for(request, slug)
    found = photo_for(trial, key)
    known = framed_of(trial, found)
    if known is None or stamp != framed_stamp(found, *known):
        raise Http404(_("The frame of this photo is not known, or was changed."))
    try:
        small = small_pictures().of(found.sha256, photo_files().path_of(found.sha256), SCREEN_PX).read_bytes()
        content = framed_jpeg(small, known[0], (found.width_px, found.height_px), known[1], lens_of(trial, found.unit.key))
    except (PhotoError, OSError) as error:
        raise Http404(_("This photo cannot be shown: its file is missing or damaged.")) from error
    return HttpResponse(content, content_type="image/jpeg", headers=KEPT)


@require_safe
@needs("look")
def class_map(request: HttpRequest, slug: str, key: int, version: str) -> HttpResponseBase:
    """What was counted as what, to lay over the photo."""
    trial = trial_for(request, slug)
    found = photo_for(trial, key)
    known = Measurement.objects.filter(photo=found, version=version).exists()
    classes = classes_drawn(trial, found.sha256, version) if known and found.corners else None
    if classes is None:
        raise Http404(_("What was counted as what was not drawn for this photo."))
    content = class_overlay(classes, found.corners, (found.width_px, found.height_px), lens_of(trial, found.unit.key))
    return HttpResponse(content, content_type="image/png", headers=KEPT)


@require_safe
@needs("look")
def photo(request: HttpRequest, slug: str, key: int) -> HttpResponseBase:
    """One photo: how good it is and why, what was read off it, and what was counted as what."""
    trial = trial_for(request, slug)
    found = photo_for(trial, key, also_away=True)
    return trial_page(request, "wall/photo.html", trial, "wall", _content(trial, found))


def _content(trial: Trial, found: Photo) -> dict[str, Any]:
    version = Measurement.objects.filter(photo=found).values_list("version", flat=True).first() or ""
    has_map = bool(version) and classes_drawn(trial, found.sha256, version) is not None
    before, after = beside(trial, found)
    return {
        "photo": found, "large": picture_address(trial, found, "1600"), "full": picture_address(trial, found, "full"),
        "reasons": [in_pages(reason) for reason in found.reasons], "values": values_of([found]), "before": before, "after": after,
        "map": reverse("photo_map", args=[trial.slug, found.pk, version]) if has_map else "",
        "can_be_drawn": bool(version) and not has_map, "maps": answer_of(trial, "maps"),
        "is_painted": Stroke.objects.filter(photo=found).exists(), "is_away": found.removed_at is not None,
    }


@require_POST
@needs("manage")
def remove(request: HttpRequest, slug: str, key: int) -> HttpResponse:
    """Take a photo away."""
    trial = trial_for(request, slug)
    found = photo_for(trial, key)
    try:
        photo_remove(trial=trial, photo=found, by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "photo", slug, key)
    return told(request, _("The photo of %(unit)s, day %(day)d, was taken away. It can be brought back for 30 days.") % {
        "unit": found.unit.key, "day": found.day}, "photo", slug, key)


@require_POST
@needs("manage")
def bring_back(request: HttpRequest, slug: str, key: int) -> HttpResponse:
    """Bring a photo back."""
    trial = trial_for(request, slug)
    found = photo_for(trial, key, also_away=True)
    if found.removed_at is None:
        return redirect("photo", slug, key)
    photo_bring_back(trial=trial, photo=found, by=visitor(request).by)
    return told(request, _("The photo is back."), "photo", slug, key)
