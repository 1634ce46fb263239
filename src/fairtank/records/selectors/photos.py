"""Photos as pages show them: the wall of a trial, one photo with its values, and the photo to set beside it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from fairtank.lens import Lens as LensNoun
from fairtank.publish.arms import ArmLook, arm_looks
from fairtank.publish.numbers import decimals_for, figures, number, unit_words
from fairtank.publish.spread_words import measure_title
from fairtank.records.models import ChoreDone, Event, Lens, Measurement, Photo, Trial, Unit
from fairtank.records.models.photos import STAMP_SIGNS
from fairtank.records.selectors.trial_state import papers_of
from fairtank.trial import Plan

UNDO_DAYS = 30
# As the wall's script gets it: nothing was measured yet, usable, doubtful, not usable.
_QUALITY_CODES = {"": 0, "usable": 1, "doubtful": 2, "not usable": 3}
_SHOWN_CHORES = ("water_change", "trim")


@dataclass(frozen=True)
class WallUnit:
    """One row of the wall. look: of its arm; None where the lot has not spoken or nobody is to know."""

    unit: Unit
    look: ArmLook | None


@dataclass(frozen=True)
class Shot:
    """The photo that stands for one unit and day. stamp: the head of its digest; code: of its quality; count: photos of that day."""

    key: int
    day: int
    stamp: str
    code: int
    count: int


@dataclass(frozen=True)
class Mark:
    """What happened on a day. kind: `change`, `water`, `trim` or `event`; short: for the head of a column; words: a sentence."""

    day: int
    kind: str
    short: str
    words: str


@dataclass(frozen=True)
class LeftOut:
    """Days on which units do not count: places of the units, first and last day, and why."""

    units: tuple[int, ...]
    first: int
    last: int
    words: str


@dataclass(frozen=True)
class Wall:
    """All photos of a trial, a row for each unit.

    hides_arms: the plan is blinded and nobody asked to see the arms. shots: by the unit's key, in the order of days. reasons: by photo,
    where one was not used or is doubtful. taken_away: photos that can be brought back.
    """

    trial: Trial
    units: tuple[WallUnit, ...]
    hides_arms: bool
    is_blinded: bool
    shots: Mapping[str, tuple[Shot, ...]]
    reasons: Mapping[int, str]
    marks: tuple[Mark, ...]
    left_out: tuple[LeftOut, ...]
    taken_away: tuple[Photo, ...]

    @property
    def days(self) -> tuple[int, int]:
        """First and last day with a photo, and day 0 at the latest as the first; (0, -1) without a photo."""
        found = [shot.day for own in self.shots.values() for shot in (own[0], own[-1])]
        return (min(0, *found), max(found)) if found else (0, -1)


def wall_of(trial: Trial, *, sees_arms: bool = False) -> Wall:
    """The wall of a trial, in as many queries however many photos there are.

    Parameters
    ----------
    trial : Trial
    sees_arms : bool
        Whether arms are told although the plan is blinded.

    Returns
    -------
    Wall

    References
    ----------
    common_practice (keys from sources.py).
    """
    plan = papers_of(trial).plan
    is_blinded = plan is not None and plan.blinded
    hides = is_blinded and not sees_arms
    units = list(Unit.objects.filter(trial=trial).select_related("arm"))
    looks = looks_of(plan)
    shown = tuple(WallUnit(unit, None if hides or unit.arm is None else looks.get(unit.arm.key)) for unit in units)
    shots, reasons = _shots(trial)
    places = {unit.key: place for place, unit in enumerate(units)}
    events = list(Event.objects.filter(trial=trial).order_by("day", "pk"))
    since = timezone.now() - timedelta(days=UNDO_DAYS)
    away = Photo.everything.filter(trial=trial, removed_at__gte=since).select_related("unit").order_by("-removed_at")[:50]
    return Wall(trial, shown, hides, is_blinded, shots, reasons, _marks(trial, plan, events),
                tuple(_left_out(events, places, trial)), tuple(away))


def looks_of(plan: Plan | None) -> dict[str, ArmLook]:
    """How each arm is drawn; none where there is no plan."""
    return {} if plan is None else arm_looks(plan)


def _shots(trial: Trial) -> tuple[dict[str, tuple[Shot, ...]], dict[int, str]]:
    """The photos that stand on the wall: of several of a day the last one that can be used."""
    rows = Photo.objects.filter(trial=trial).order_by("unit__place", "day", "taken_at", "pk")
    found: dict[str, dict[int, Shot]] = defaultdict(dict)
    reasons = {}
    for key, unit, day, sha256, quality, why in rows.values_list("pk", "unit__key", "day", "sha256", "quality", "reasons").iterator():
        before, code = found[unit].get(day), _QUALITY_CODES[quality]
        count = 1 if before is None else before.count + 1
        if before is not None and code == 3 and before.code != 3:
            found[unit][day] = Shot(before.key, day, before.stamp, before.code, count)
            continue
        found[unit][day] = Shot(key, day, sha256[:STAMP_SIGNS], code, count)
        if code > 1:
            reasons[key] = why[0] if why else _("It was judged so when it was measured.")
    return {unit: tuple(own.values()) for unit, own in found.items()}, reasons


def _marks(trial: Trial, plan: Plan | None, events: Iterable[Event]) -> tuple[Mark, ...]:
    marks = [] if plan is None else [_start_mark(plan)]
    chores: dict[tuple[int, str], set[str]] = defaultdict(set)
    rows = ChoreDone.objects.filter(trial=trial, kind__in=_SHOWN_CHORES).values_list("day", "kind", "unit__key")
    for day, kind, unit in rows.iterator():
        chores[day, kind].add(unit)
    for (day, kind), units in chores.items():
        short = _("water") if kind == "water_change" else _("trim")
        said = _("Water change") if kind == "water_change" else _("Trim")
        marks.append(Mark(day, "water" if kind == "water_change" else "trim", short, f"{said}: {', '.join(sorted(units))}."))
    for event in events:
        said = ": ".join(part for part in (event.kind, event.note) if part) or _("Something was noted.")
        plain = event.kind.casefold()
        kind = "water" if plain.startswith("water") else "trim" if plain.startswith("trim") else "event"
        short = {"water": _("water"), "trim": _("trim")}.get(kind, event.kind[:12] or _("note"))
        marks.append(Mark(event.day, kind, short, said + (f" ({', '.join(event.units)})" if event.units else "")))
    return tuple(sorted(marks, key=lambda mark: (mark.day, mark.kind != "change")))


def _start_mark(plan: Plan) -> Mark:
    """Where the change begins, by the design; in a swap where the tanks change places."""
    if plan.kind == "swap":
        return Mark(plan.swap_day, "change", _("swap"), _("The arms change places."))
    day = plan.run_in_days if plan.kind == "run_in" else plan.drawn_day or 0 if plan.kind == "drawn_start" else 0
    return Mark(day, "change", _("change"), _("The change starts: %(change)s.") % {"change": plan.change} if plan.change
                else _("The change starts."))


def _left_out(events: Iterable[Event], places: Mapping[str, int], trial: Trial) -> Iterable[LeftOut]:
    for event in events:
        if event.effect == "keep":
            continue
        units = tuple(places[unit] for unit in event.units if unit in places) or tuple(places.values())
        words = event.note or event.kind or _("left out by the diary")
        if event.effect == "exclude_unit" or trial.start is None:
            yield LeftOut(units, -10_000, 10_000, words)
        else:
            until = event.until or event.at
            yield LeftOut(units, event.day, (until.date() - trial.start).days, words)


@dataclass(frozen=True)
class ValueRow:
    """One measure of some photos. name: of the measure, with its zone; unit: of the values; values: a text for each photo, with its
    standard error; empty where the photo has none."""

    name: str
    unit: str
    values: tuple[str, ...]


def value_words(value: float, se: float | None) -> str:
    """A value with its standard error, no more figures than that supports.

    >>> value_words(12.345, 0.42), value_words(12.345, None)
    ('12.35 ± 0.42', '12.3')
    """
    if se is None or se <= 0:
        return figures(value, 3)
    decimals = decimals_for(se)
    return f"{number(value, decimals)} ± {number(se, decimals)}"


def values_of(photos: Sequence[Photo]) -> tuple[ValueRow, ...]:
    """What was read off some photos, measure by measure, in one query."""
    found: dict[tuple[str, str, str], dict[int, str]] = defaultdict(dict)
    rows = Measurement.objects.filter(photo__in=photos).order_by("pk")
    for row in rows:
        found[row.measure, row.zone, row.unit_of_measure][row.photo_id] = value_words(row.value, row.se)
    return tuple(ValueRow(f"{measure_title(measure)}{f', {zone}' if zone else ''}", unit_words(unit),
                          tuple(own.get(photo.pk, "") for photo in photos))
                 for (measure, zone, unit), own in found.items())


def photo_in(trial: Trial, key: int, *, also_away: bool = False) -> Photo | None:
    """One photo of a trial."""
    rows = Photo.everything if also_away else Photo.objects
    found: Photo | None = rows.filter(trial=trial, pk=key).select_related("unit__arm").first()
    return found


def beside(trial: Trial, photo: Photo) -> tuple[Photo | None, Photo | None]:
    """The photos of the same unit before and after one."""
    own = Photo.objects.filter(trial=trial, unit=photo.unit)
    order = ("taken_at", "pk")
    before = own.filter(taken_at__lt=photo.taken_at).order_by("-taken_at", "-pk").first()
    after = own.filter(taken_at__gt=photo.taken_at).order_by(*order).first()
    return before, after


def photo_on(trial: Trial, unit: str, day: int) -> Photo | None:
    """The photo of a unit nearest to a day; of several the last one that can be used."""
    own = list(Photo.objects.filter(trial=trial, unit__key=unit).values_list("pk", "day", "quality"))
    if not own:
        return None
    key, _day, _quality = min(own, key=lambda row: (abs(row[1] - day), row[2] == "not usable", -row[0]))
    return photo_in(trial, key)


def partner_of(trial: Trial, photo: Photo) -> Photo | None:
    """A photo to set beside one: of the same day and another arm if there is one, else of another unit, else the unit's first."""
    rows = list(Photo.objects.filter(trial=trial, day=photo.day).exclude(pk=photo.pk).exclude(unit=photo.unit).select_related("unit"))
    if rows:
        return photo_in(trial, min(rows, key=lambda row: (row.unit.arm_id == photo.unit.arm_id, row.quality == "not usable",
                                                         abs(row.unit.place - photo.unit.place), row.pk)).pk)
    first = Photo.objects.filter(trial=trial, unit=photo.unit).exclude(pk=photo.pk).order_by("day", "pk").first()
    return None if first is None else photo_in(trial, first.pk)


def frame_corners(photo: Photo, frames: Iterable[Any]) -> list[list[float]] | None:
    """Where the frame lies in a photo: where it was found, else where it stays by the keeper's word; None where that is not known."""
    if photo.corners:
        return [list(map(float, corner)) for corner in photo.corners]
    own = [frame for frame in frames if frame.unit_id == photo.unit_id]
    for frame in own:
        if frame.reference_photo_id == photo.pk or (frame.mode == "fixed" and len(own) == 1):
            return [[float(frame.corners[place]), float(frame.corners[place + 1])] for place in range(0, 8, 2)]
    return None


def lens_of(trial: Trial, unit: str) -> LensNoun | None:
    """The lens of the camera that photographs a unit, where it is known."""
    row = next((row for row in Lens.objects.filter(trial=trial) if not row.units or unit in row.units), None)
    return None if row is None else LensNoun(row.camera, row.focal_px, row.k1, row.k2, row.residual_px, row.pictures, tuple(row.units))
