"""Frames: where the glass lies in the photos of a unit, how large it is, and which parts of it count."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError, InputError
from fairtank.records.models import Frame, Photo, Trial, Unit, Zone
from fairtank.records.selectors.photos import photo_in
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.framing import FrameDrawn, ZoneDrawn, frame_and_zones_store, frame_copy, frame_remove, in_order
from fairtank.web.going import told
from fairtank.web.said import refusal_lines
from fairtank.web.views.photo import picture_address
from fairtank.web.visitors import needs, trial_for, trial_page, visitor
from fairtank.web.whole import whole_of

CORNER_WORDS = (gettext_lazy("Top left"), gettext_lazy("Top right"), gettext_lazy("Bottom right"), gettext_lazy("Bottom left"))
MODE_WORDS = (
    ("registered", gettext_lazy("The camera stands nearly still: the frame is found again in every photo by itself")),
    ("fixed", gettext_lazy("The camera never moves: the frame lies at the same place in every photo")),
    ("by_hand", gettext_lazy("The camera is held by hand: each photo gets its own four corners")),
)
VIEW_WORDS = (("front", gettext_lazy("through the front glass")), ("top", gettext_lazy("from above")))
KIND_WORDS = (
    ("static", gettext_lazy("Equipment or stone that never changes: does not count")),
    ("ignore", gettext_lazy("Ignore: reflections, rim, the strip of the bed at the glass")),
    ("water", gettext_lazy("Open water that is told on its own")), ("floor", gettext_lazy("The floor, for carpets")),
    ("plant", gettext_lazy("One plant that is told on its own")),
    ("backdrop", gettext_lazy("The back wall seen through the water, for haze")),
    ("patch", gettext_lazy("A light patch that never changes, for colour")),
)  # fmt: skip

LONGEST_ZONES = 20_000


@dataclass(frozen=True)
class Typed:
    """What stands in the fields of a frame, as text."""

    corners: tuple[str, ...]
    width_cm: str
    height_cm: str
    mode: str
    view: str


@require_safe
@needs("manage")
def frames(request: HttpRequest, slug: str) -> HttpResponseBase:
    """Every unit with what is known of its frame."""
    trial = trial_for(request, slug)
    units = list(Unit.objects.filter(trial=trial))
    drawn = {frame.unit_id: frame for frame in Frame.objects.filter(trial=trial).order_by("-pk")}
    first: dict[int, Photo] = {}
    for photo in Photo.objects.filter(trial=trial).order_by("-taken_at", "-pk").defer("reasons", "verdicts"):
        first[photo.unit_id] = photo
    zones: dict[int, int] = {}
    for key in Zone.objects.filter(trial=trial).values_list("unit", flat=True):
        zones[key] = zones.get(key, 0) + 1
    rows = [{"unit": unit, "frame": drawn.get(unit.pk), "zones": zones.get(unit.pk, 0),
             "picture": picture_address(trial, first[unit.pk], "320") if unit.pk in first else ""} for unit in units]
    left = sum(row["frame"] is None and bool(row["picture"]) for row in rows)
    return trial_page(request, "frame/frames.html", trial, "frame", {"rows": rows, "left": left, "has_photos": bool(first)})


@require_safe
@needs("manage")
def frame_unit(request: HttpRequest, slug: str, unit: int) -> HttpResponseBase:
    """The frame of one unit, drawn on one of its photos."""
    trial = trial_for(request, slug)
    own = _unit(trial, unit)
    return _page(request, trial, own, _photo(trial, own, request.GET.get("photo", "")))


def _page(request: HttpRequest, trial: Trial, unit: Unit, photo: Photo | None, *, typed: Typed | None = None, refusal: str = "",
          zone_text: str | None = None, status: int = 200) -> HttpResponse:
    drawn = list(Frame.objects.filter(trial=trial, unit=unit).select_related("reference_photo"))
    frame = next((one for one in drawn if photo is not None and one.reference_photo_id == photo.pk), None)
    zones = list(Zone.objects.filter(trial=trial, unit=unit))
    shown = typed or _typed(trial, unit, frame, drawn)
    others = list(Unit.objects.filter(trial=trial).exclude(pk=unit.pk).exclude(frames__isnull=False))
    photos = Photo.objects.filter(trial=trial, unit=unit).order_by("taken_at", "pk").values_list("pk", "day", "path")
    return trial_page(request, "frame/frame.html", trial, "frame", {
        "unit": unit, "photo": photo, "frame": frame, "frames": drawn, "typed": shown, "refusal": refusal, "modes": MODE_WORDS,
        "views": VIEW_WORDS, "kinds": KIND_WORDS, "fields": list(zip(CORNER_WORDS, shown.corners[::2], shown.corners[1::2], strict=True)),
        "others": others, "photos": list(photos), "zones": zones, "zone_text": zones_as_text(zones) if zone_text is None else zone_text,
        "large": picture_address(trial, photo, "1600") if photo else "", "full": picture_address(trial, photo, "full") if photo else "",
        "next": _next_unit(trial, unit),
    }, status=status)


def _typed(trial: Trial, unit: Unit, frame: Frame | None, drawn: list[Frame]) -> Typed:
    """What the fields begin with: the frame, the size of an earlier one, or that of the tank."""
    if frame is not None:
        return Typed(tuple(f"{part:g}" for part in frame.corners), f"{frame.width_cm:g}", f"{frame.height_cm:g}", frame.mode, frame.view)
    if drawn:
        return Typed(("",) * 8, f"{drawn[0].width_cm:g}", f"{drawn[0].height_cm:g}", drawn[0].mode, drawn[0].view)
    width, height = _tank_size(trial, unit)
    return Typed(("",) * 8, width, height, "registered", "front")


def _tank_size(trial: Trial, unit: Unit) -> tuple[str, str]:
    """Width and height of the front glass of a unit's tank in cm, where it is known."""
    tank: Any = unit.tank
    setup = papers_of(trial).setup if tank is None else None
    if setup is not None:
        tank = next((one for one in setup.tanks if one.key == dict(setup.places).get(unit.key)), None)
    return ("", "") if tank is None else (f"{tank.length_mm / 10:g}", f"{tank.height_mm / 10:g}")


def _next_unit(trial: Trial, unit: Unit) -> Unit | None:
    """The next unit with photos and no frame."""
    open_units = Unit.objects.filter(trial=trial, photos__removed_at=None, photos__isnull=False, frames__isnull=True).exclude(pk=unit.pk)
    return open_units.distinct().first()


def _unit(trial: Trial, key: int) -> Unit:
    found = Unit.objects.filter(trial=trial, pk=key).select_related("tank").first()
    if found is None:
        raise Http404(_("There is no such tank in this trial."))
    return found


def _photo(trial: Trial, unit: Unit, key: str) -> Photo | None:
    """The photo that was asked for, else the one the frame was drawn on, else the first."""
    number = whole_of(key)
    asked = None if number is None else photo_in(trial, number)
    if asked is not None and asked.unit_id == unit.pk:
        return asked
    frame = Frame.objects.filter(trial=trial, unit=unit).select_related("reference_photo").first()
    return frame.reference_photo if frame else Photo.objects.filter(trial=trial, unit=unit).order_by("taken_at", "pk").first()


def zones_as_text(zones: list[Zone]) -> str:
    """Zones as lines: kind, name and corners in cm."""
    return "\n".join(f"{zone.kind} | {zone.key} | " + "; ".join(f"{x:g} {y:g}" for x, y in zone.polygon) for zone in zones)


def zones_from_text(text: str) -> list[ZoneDrawn]:
    """Zones from such lines; refuses what is none."""
    zones = []
    for line in text.splitlines():
        if not line.strip():
            continue
        parts = [part.strip() for part in line.split("|")]
        try:
            kind, key, corners = parts
            points = [tuple(float(word.replace(",", ".")) for word in point.split()) for point in corners.split(";") if point.strip()]
            zones.append(ZoneDrawn(kind, key, tuple((x, y) for x, y in points)))
        except ValueError as error:
            raise InputError(_("a zone"), f"“{line.strip()[:60]}”", _("a line such as: static | heater | 5 3; 7 3; 7 22; 5 22")) from error
    return zones


@require_POST
@needs("manage")
def store(request: HttpRequest, slug: str, unit: int) -> HttpResponseBase:
    """Keep the frame and the zones."""
    trial, sent = trial_for(request, slug), request.POST
    own = _unit(trial, unit)
    photo = _photo(trial, own, sent.get("photo", ""))
    typed = Typed(tuple(sent.get(f"{axis}{place}", "").strip() for place in range(1, 5) for axis in "xy"), sent.get("width_cm", "").strip(),
                  sent.get("height_cm", "").strip(), sent.get("mode", ""), sent.get("view", ""))
    try:
        if photo is None:
            raise InputError(_("the photo"), _("not there"), _("a photo of %(unit)s") % {"unit": own.key})
        zones = zones_from_text(sent.get("zones", "")[:LONGEST_ZONES])
        frame_and_zones_store(trial=trial, unit=own, drawn=_drawn(photo, typed), zones=zones, by=visitor(request).by)
    except FairtankError as error:
        return _page(request, trial, own, photo, typed=typed, refusal=" ".join(refusal_lines(error)), zone_text=sent.get("zones", ""),
                     status=422)
    return told(request, _("The frame of %(unit)s is kept. The next measuring looks at its photos anew.") % {"unit": own.key},
                "frame_unit", slug, own.pk)


def _drawn(photo: Photo, typed: Typed) -> FrameDrawn:
    numbers = []
    for name, text in ((_("a corner"), part) for part in typed.corners):
        numbers.append(_number(name, text, "px"))
    corners = in_order(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return FrameDrawn(photo, typed.mode, typed.view, corners, _number(_("the width"), typed.width_cm, "cm"),
                      _number(_("the height"), typed.height_cm, "cm"))


def _number(name: str, text: str, unit: str) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError as error:
        raise InputError(name, f"“{text[:20]}”" if text else _("empty"), _("a number of %(unit)s") % {"unit": unit}) from error
    if not -1e6 < value < 1e6:
        raise InputError(name, text[:20], _("a number of %(unit)s") % {"unit": unit})
    return value


@require_POST
@needs("manage")
def copy(request: HttpRequest, slug: str, unit: int) -> HttpResponseBase:
    """Give other units this frame as a start."""
    trial = trial_for(request, slug)
    own = _unit(trial, unit)
    keys = [key for text in request.POST.getlist("to") if (key := whole_of(text)) is not None]
    try:
        given, left_out = frame_copy(trial=trial, unit=own, to=list(Unit.objects.filter(trial=trial, pk__in=keys)), by=visitor(request).by)
    except FairtankError as error:
        return told(request, " ".join(refusal_lines(error)), "frame_unit", slug, own.pk)
    said = _("Copied to %(units)s. Look at each of them and pull the corners into place.") % {"units": ", ".join(given)} if given else \
        _("Nothing was copied.")
    return told(request, " ".join([said, *left_out]), "frame", slug)


@require_POST
@needs("manage")
def remove(request: HttpRequest, slug: str, unit: int, key: int) -> HttpResponseBase:
    """Take a frame away."""
    trial = trial_for(request, slug)
    own = _unit(trial, unit)
    found = Frame.objects.filter(trial=trial, unit=own, pk=key).select_related("reference_photo", "unit").first()
    if found is None:
        raise Http404(_("There is no such frame."))
    frame_remove(trial=trial, frame=found, by=visitor(request).by)
    return told(request, _("The frame is gone. What it said is kept in the trail of changes."), "frame_unit", slug, own.pk)
