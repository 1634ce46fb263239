"""Strokes: which photo to paint next, painting it, and what that teaches. Nothing here tells the tank, its arm or the day."""

import json
from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.records.models import Photo, Stroke, Trial
from fairtank.records.services.painting import photos_to_paint, unbalanced_strokes
from fairtank.records.services.strokes import (
    class_add,
    classes_of,
    numbers_from_runs,
    painted_of,
    painting_of,
    painting_size,
    runs_from_numbers,
    strokes_keep,
)
from fairtank.records.services.teaching import folder_with_photos, taught_classes
from fairtank.web.going import see, told
from fairtank.web.said import refusal_lines
from fairtank.web.telling import tell
from fairtank.web.views.photo import photo_for, picture_address
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

COUNTS_WORDS = (("plant", gettext_lazy("plant")), ("algae", gettext_lazy("algae")), ("background", gettext_lazy("background")),
                ("static", gettext_lazy("static: equipment or stone that does not count")))  # fmt: skip
# Colours that are offered for new classes: they differ from one another and from the usual three.
OFFERED = ("#e69f00", "#0072b2", "#cc79a7", "#f0e442", "#8b5a2b", "#ffffff", "#7f3fbf", "#40e0d0", "#ff5aa0", "#b0b000")
MANY = 60


@require_safe
@needs("manage")
def labels(request: HttpRequest, slug: str) -> HttpResponseBase:
    """What was painted so far, and the way to the next photo."""
    trial = trial_for(request, slug)
    return _overview(request, trial)


def _overview(request: HttpRequest, trial: Trial, *, refusal: str = "", typed: dict[str, Any] | None = None, status: int = 200
              ) -> HttpResponse:
    painted = [(stroke.photo_id, picture_address(trial, stroke.photo, "320"))
               for stroke in Stroke.objects.filter(trial=trial).select_related("photo").order_by("sha256")[:MANY]]
    classes = classes_of(trial)
    taken = {"#" + bytes(one.rgb).hex() for one in classes}
    return trial_page(request, "labels/labels.html", trial, "labels", {
        "painted": painted, "classes": [(one, "#" + bytes(one.rgb).hex()) for one in classes], "counts_words": COUNTS_WORDS,
        "free_colour": next((colour for colour in OFFERED if colour not in taken), OFFERED[0]), "refusal": refusal, "typed": typed or {},
        "has_photos": Photo.objects.filter(trial=trial).exists(), **(_counted(trial) if "counts" in request.GET else {}),
    }, status=status)


@require_safe
@needs("manage")
def painted(request: HttpRequest, slug: str) -> HttpResponseBase:
    """How much was painted, class by class, and whether evenly: a part of the page, since counting takes a moment the first time."""
    trial = trial_for(request, slug)
    return render(request, "labels/painted.html", _counted(trial))


def _counted(trial: Trial) -> dict[str, Any]:
    counts = painted_of(trial)
    uneven = unbalanced_strokes(folder_with_photos(trial)) if trial.planned and any(one.strokes for one in counts) else None
    return {"counts": counts, "uneven": (uneven or "").partition(" What is told apart")[0]}


@require_safe
@needs("manage")
def next_photo(request: HttpRequest, slug: str) -> HttpResponseBase:
    """To the photo that is to be painted next."""
    trial = trial_for(request, slug)
    try:
        key = next_key(trial)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "labels", slug)
    if key is None:
        return told(request, _("There is no photo left to paint."), "labels", slug)
    return see("labels_photo", slug, key)


def next_key(trial: Trial) -> int | None:
    """The photo with most that is new, as many of each arm, early, middle and late; the choice tells nothing of arm or day."""
    rows = Photo.objects.filter(trial=trial).exclude(quality="not usable").values_list("path", "pk", "new_fraction")
    keys = {path: key for path, key, _new in rows}
    folder = folder_with_photos(trial)
    usable = [photo for photo in folder.photos if photo.path in keys]
    doubts = {path: new for path, _key, new in rows if new is not None}
    chosen = photos_to_paint(replace(folder, photos=tuple(usable)), 1, doubts)
    return keys[chosen[0].path] if chosen else None


@require_safe
@needs("manage")
def labels_photo(request: HttpRequest, slug: str, key: int) -> HttpResponseBase:
    """Paint one photo."""
    trial = trial_for(request, slug)
    photo = photo_for(trial, key)
    numbers = painting_of(trial, photo)
    width, height = painting_size(photo)
    data = {
        "width": width, "height": height, "runs": runs_from_numbers(numbers) if numbers is not None else [],
        "classes": [{"key": one.key, "rgb": list(one.rgb), "counts_as": one.counts_as} for one in classes_of(trial)],
        "store": reverse("labels_store", args=[slug, key]), "teach": reverse("labels_teach", args=[slug, key]),
        "overview": reverse("labels", args=[slug]), "next": reverse("labels_next", args=[slug]),
    }
    return trial_page(request, "labels/paint.html", trial, "labels", {
        "photo": photo, "data": data, "large": picture_address(trial, photo, "1600"), "classes": classes_of(trial),
        "is_painted": numbers is not None})


@require_POST
@needs("manage")
def store(request: HttpRequest, slug: str, key: int) -> HttpResponseBase:
    """Keep what was painted."""
    trial = trial_for(request, slug)
    photo = photo_for(trial, key)
    try:
        numbers = _sent(request, trial, photo)
        strokes_keep(trial=trial, photo=photo, numbers=numbers, by=visitor(request).by)
    except FairtankError as error:
        return _refused(error)
    said = _("The strokes are kept.") if Stroke.objects.filter(photo=photo).exists() else _("This photo has no strokes now.")
    if request.GET.get("then"):
        tell(request, said)
    return JsonResponse({"said": said})


@require_POST
@needs("manage")
def teach(request: HttpRequest, slug: str, key: int) -> HttpResponseBase:
    """What all strokes with these make of this photo."""
    trial = trial_for(request, slug)
    photo = photo_for(trial, key)
    try:
        content = taught_classes(trial=trial, photo=photo, numbers=_sent(request, trial, photo))
    except FairtankError as error:
        return _refused(error)
    return HttpResponse(content, content_type="image/png")


def _sent(request: HttpRequest, trial: Trial, photo: Photo) -> Any:
    """The painting out of a request."""
    try:
        runs = json.loads(request.body)["runs"]
        if not isinstance(runs, list) or not all(type(one) is int and abs(one) < 2**40 for one in runs):
            raise ValueError
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise InputError(_("the painting"), _("not as this page sends it"), _("strokes from this page"),
                         _("Load the page again.")) from error
    return numbers_from_runs(runs, photo, len(classes_of(trial)))


def _refused(error: FairtankError) -> JsonResponse:
    return JsonResponse({"error": " ".join(refusal_lines(error))}, status=422)


@require_POST
@needs("manage")
def class_new(request: HttpRequest, slug: str) -> HttpResponseBase:
    """Add a class of strokes."""
    trial, sent = trial_for(request, slug), request.POST
    colour = sent.get("colour", "")
    try:
        rgb = tuple(bytes.fromhex(colour.removeprefix("#")))
        if len(rgb) != 3:
            raise ValueError
    except ValueError:
        rgb = ()
    try:
        if len(rgb) != 3:
            raise InputError(_("the colour of the class"), f"“{colour[:20]}”", _("a colour such as #e69f00"))
        added = class_add(trial=trial, key=sent.get("name", ""), rgb=(rgb[0], rgb[1], rgb[2]), counts_as=sent.get("counts_as", ""),
                          by=visitor(request).by)
    except FairtankError as error:
        return _overview(request, trial, refusal=" ".join(refusal_lines(error)), typed=sent.dict(), status=422)
    return told(request, _("The class %(name)s is there to be painted.") % {"name": added.key}, "labels", slug)
