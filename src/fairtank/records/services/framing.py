"""Frames and zones drawn in the pages: where the glass lies in a photo, how large it is, and which parts count."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from fairtank.errors import InputError, PhotoError
from fairtank.records.folder.checks_geometry import EDGE_CM, EDGE_PX, is_convex, is_in_order
from fairtank.records.models import Frame, Photo, Trial, Unit, Zone
from fairtank.records.services.trail import By, noted
from fairtank.trial import FRAME_MODES, VIEWS, ZONE_KINDS

Points = Sequence[tuple[float, float]]
SMALLEST_SIDE_PX = 60
_LEAST_CM, _MOST_CM = 1.0, 500.0
MOST_POINTS, MOST_ZONES = 200, 60
_WITHOUT_AREA_CM2 = 0.01


@dataclass(frozen=True)
class FrameDrawn:
    """A frame as somebody drew it: on which photo, how it holds for others, from where it was taken, four corners in px, size in cm."""

    photo: Photo
    mode: str
    view: str
    corners: tuple[tuple[float, float], ...]
    width_cm: float
    height_cm: float


@dataclass(frozen=True)
class ZoneDrawn:
    """A zone as somebody drew it; polygon in cm from the frame's top-left corner."""

    kind: str
    key: str
    polygon: tuple[tuple[float, float], ...]


def in_order(corners: Points) -> tuple[tuple[float, float], ...]:
    """Four corners, clicked in any order, as top-left, top-right, bottom-right, bottom-left.

    >>> in_order([(90, 60), (10, 12), (8, 58), (92, 10)])
    ((10, 12), (92, 10), (90, 60), (8, 58))
    """
    middle_x = sum(x for x, _y in corners) / len(corners)
    middle_y = sum(y for _x, y in corners) / len(corners)
    round_about = sorted(corners, key=lambda point: math.atan2(point[1] - middle_y, point[0] - middle_x))
    first = min(range(len(round_about)), key=lambda place: sum(round_about[place]))
    return tuple((x, y) for x, y in (*round_about[first:], *round_about[:first]))


def corners_fault(corners: Points, width_px: int, height_px: int) -> str:
    """Why four corners can be no frame, a sentence; empty when they can: the same that a trial folder is asked."""
    if len(corners) != 4:
        return _("Four corners are needed; %(count)d are there.") % {"count": len(corners)}
    for x, y in corners:
        if not (-EDGE_PX <= x <= width_px + EDGE_PX and -EDGE_PX <= y <= height_px + EDGE_PX):
            return _("The corner at %(x).0f, %(y).0f lies outside the photo, which has %(width)d x %(height)d px.") % {
                "x": x, "y": y, "width": width_px, "height": height_px}
    if not is_in_order(corners):
        return _("The corners do not go round the frame: top left, top right, bottom right, bottom left.")
    if not is_convex(corners):
        return _("The corners form a shape with a dent or without an area. Put each on a corner of the front glass.")
    sides = [math.dist(corners[place], corners[(place + 1) % 4]) for place in range(4)]
    if min(sides) < SMALLEST_SIDE_PX:
        return _("One side of the frame is only %(side).0f px long; at least %(least)d px are needed to see anything.") % {
            "side": min(sides), "least": SMALLEST_SIDE_PX}
    return ""


def frame_fault(drawn: FrameDrawn) -> str:
    """Why a frame cannot be taken, a sentence; empty when it can."""
    for name, value in ((_("width"), drawn.width_cm), (_("height"), drawn.height_cm)):
        if not _LEAST_CM <= value <= _MOST_CM:
            return _("The %(name)s is %(value)g cm; accepted: %(low)g to %(high)g cm.") % {
                "name": name, "value": value, "low": _LEAST_CM, "high": _MOST_CM}
    if drawn.mode not in FRAME_MODES or drawn.view not in VIEWS:
        return _("How the frame is found, or from where it is seen, was not chosen.")
    return corners_fault(drawn.corners, drawn.photo.width_px, drawn.photo.height_px)


def frame_store(*, trial: Trial, unit: Unit, drawn: FrameDrawn, by: By) -> Frame:
    """Keep a frame of a unit: in the place of the one that was drawn on the same photo, else as one more that holds from there on.

    Parameters
    ----------
    trial : Trial
    unit : Unit
    drawn : FrameDrawn
    by : By

    Returns
    -------
    Frame

    Raises
    ------
    InputError
        If the photo is another unit's.
    PhotoError
        If the corners or the size can be no frame.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if drawn.photo.unit_id != unit.pk or drawn.photo.removed_at is not None:
        raise InputError("the photo of the frame", drawn.photo.path, f"a photo of {unit.key}")
    fault = frame_fault(drawn)
    if fault:
        raise PhotoError(fault)
    flat = [round(part, 2) for corner in drawn.corners for part in corner]
    told = {"mode": drawn.mode, "view": drawn.view, "corners": flat, "width_cm": drawn.width_cm, "height_cm": drawn.height_cm}
    with transaction.atomic():
        before = Frame.objects.filter(trial=trial, unit=unit, reference_photo=drawn.photo).first()
        if before is None:
            frame = Frame.objects.create(trial=trial, unit=unit, reference_photo=drawn.photo, **told)
            noted(by=by, verb="add", said=f"Drew the frame of {unit.key} on {drawn.photo.path}.", trial=trial, tables=("frames",),
                  row=frame)
            return frame
        earlier = {name: getattr(before, name) for name in told}
        for name, value in told.items():
            setattr(before, name, value)
        before.save()
        noted(by=by, verb="change", said=f"Changed the frame of {unit.key} on {drawn.photo.path}.", trial=trial, tables=("frames",),
              row=before, before=earlier)
    return before


def frame_remove(*, trial: Trial, frame: Frame, by: By) -> None:
    """Take a frame away; what it said is kept in the trail."""
    told = {name: getattr(frame, name) for name in ("mode", "view", "corners", "width_cm", "height_cm", "reference_photo_id", "unit_id")}
    with transaction.atomic():
        noted(by=by, verb="remove", said=f"Took away the frame of {frame.unit.key} on {frame.reference_photo.path}.", trial=trial,
              tables=("frames",), row=frame, before=told)
        frame.delete()


def zone_fault(zone: ZoneDrawn, width_cm: float, height_cm: float) -> str:
    """Why a zone cannot be taken, a sentence; empty when it can."""
    name = zone.key or zone.kind
    if zone.kind not in ZONE_KINDS:
        return _("“%(kind)s” is no kind of zone; accepted: %(kinds)s.") % {"kind": zone.kind[:40], "kinds": ", ".join(ZONE_KINDS)}
    if len(zone.key) > 80 or any(sign in zone.key for sign in ";*") or not zone.key.isprintable():
        return _("The name of a zone has at most 80 signs, and no ; or *.")
    if not 3 <= len(zone.polygon) <= MOST_POINTS:
        return _("The zone %(name)s has %(count)d corners; accepted: 3 to %(most)d.") % {
            "name": name, "count": len(zone.polygon), "most": MOST_POINTS}
    beside = max(width_cm, height_cm) if zone.kind == "patch" else EDGE_CM
    for x, y in zone.polygon:
        if not (-beside <= x <= width_cm + beside and -beside <= y <= height_cm + beside):
            return _("The zone %(name)s reaches outside the frame, at %(x).1f, %(y).1f cm.") % {"name": name, "x": x, "y": y}
    if _area_cm2(zone.polygon) < _WITHOUT_AREA_CM2:
        return _("The zone %(name)s has no area.") % {"name": name}
    return ""


def _area_cm2(polygon: Points) -> float:
    turned = (*polygon[1:], polygon[0])
    return abs(sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(polygon, turned, strict=True))) / 2


def zone_names(zones: Sequence[ZoneDrawn]) -> list[str]:
    """A name for each zone: its own, else its kind, with a number where that is taken.

    >>> zone_names([ZoneDrawn("static", "", ()), ZoneDrawn("static", "", ()), ZoneDrawn("water", "open", ())])
    ['static', 'static 2', 'open']
    """
    names: list[str] = []
    for zone in zones:
        wanted = " ".join(zone.key.split()) or zone.kind
        names.append(next(name for number in range(1, len(zones) + 2)
                          if (name := wanted if number == 1 else f"{wanted} {number}") not in names))
    return names


def zones_store(*, trial: Trial, unit: Unit, zones: Sequence[ZoneDrawn], by: By) -> None:
    """Keep the zones of a unit in the place of those that were there.

    Raises
    ------
    InputError
        If the unit has no frame yet.
    PhotoError
        If one of the zones cannot be taken.
    """
    frames = list(Frame.objects.filter(trial=trial, unit=unit))
    if not frames and zones:
        raise InputError("the zones", f"{len(zones)}", "zones of a unit with a frame", f"Draw the frame of {unit.key} first.")
    width, height = max((frame.width_cm for frame in frames), default=0), max((frame.height_cm for frame in frames), default=0)
    if len(zones) > MOST_ZONES:
        raise InputError("the zones", f"{len(zones)}", f"at most {MOST_ZONES}")
    for zone in zones:
        fault = zone_fault(zone, width, height)
        if fault:
            raise PhotoError(fault)
    before = [(zone.kind, zone.key, [list(point) for point in zone.polygon]) for zone in Zone.objects.filter(trial=trial, unit=unit)]
    now = [(zone.kind, name, [[round(x, 2), round(y, 2)] for x, y in zone.polygon])
           for zone, name in zip(zones, zone_names(zones), strict=True)]
    if before == now:
        return
    with transaction.atomic():
        Zone.objects.filter(trial=trial, unit=unit).delete()
        Zone.objects.bulk_create([Zone(trial=trial, unit=unit, kind=kind, key=key, polygon=polygon) for kind, key, polygon in now])
        said = f"Drew the zones of {unit.key}: {', '.join(key or kind for kind, key, _polygon in now) or 'none'}."
        noted(by=by, verb="change", said=said, trial=trial, tables=("zones",), row=unit, before={"zones": before})


def frame_and_zones_store(*, trial: Trial, unit: Unit, drawn: FrameDrawn, zones: Sequence[ZoneDrawn], by: By) -> Frame:
    """Keep a frame and the zones of its unit, both or none; see `frame_store` and `zones_store`."""
    with transaction.atomic():
        frame = frame_store(trial=trial, unit=unit, drawn=drawn, by=by)
        zones_store(trial=trial, unit=unit, zones=zones, by=by)
    return frame


def frame_copy(*, trial: Trial, unit: Unit, to: Sequence[Unit], by: By) -> tuple[list[str], list[str]]:
    """Give other units the frame and the zones of one, on the first photo of each: a start, to be checked in each of them.

    Returns
    -------
    (list of str, list of str)
        Units that got it, and sentences about those that did not.
    """
    frame = Frame.objects.filter(trial=trial, unit=unit).select_related("reference_photo").first()
    if frame is None:
        raise InputError("the frame to copy", unit.key, "a unit with a frame")
    corners = tuple((frame.corners[place], frame.corners[place + 1]) for place in range(0, 8, 2))
    zones = [ZoneDrawn(zone.kind, zone.key, tuple((x, y) for x, y in zone.polygon)) for zone in Zone.objects.filter(trial=trial, unit=unit)]
    given, left_out = [], []
    with transaction.atomic():
        for other in to:
            photo = Photo.objects.filter(trial=trial, unit=other).order_by("taken_at", "pk").first()
            if photo is None or Frame.objects.filter(trial=trial, unit=other).exists():
                left_out.append(_("%(unit)s has no photo yet.") % {"unit": other.key} if photo is None
                                else _("%(unit)s has a frame already.") % {"unit": other.key})
                continue
            across, down = photo.width_px / frame.reference_photo.width_px, photo.height_px / frame.reference_photo.height_px
            moved = tuple((x * across, y * down) for x, y in corners)
            frame_store(trial=trial, unit=other, by=by,
                        drawn=FrameDrawn(photo, frame.mode, frame.view, moved, frame.width_cm, frame.height_cm))
            zones_store(trial=trial, unit=other, zones=zones, by=by)
            given.append(other.key)
    return given, left_out
