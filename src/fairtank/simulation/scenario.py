"""A scenario: everything about an invented trial, so that its photos can be rendered and its folder written."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from fairtank.build import Setup
from fairtank.card import cards_of_plan
from fairtank.simulation import camera
from fairtank.simulation.chance import generator
from fairtank.simulation.growth import GrowthParameters, TankState, tank_state
from fairtank.simulation.truth import zones_cm
from fairtank.trial import BuildLine, CardOfUnit, Event, Frame, LabelClass, Photo, Plan, Reading, Zone

LABEL_CLASSES = (
    LabelClass("plant", (0, 158, 115), "plant"),
    LabelClass("algae", (213, 94, 0), "algae"),
    LabelClass("background", (86, 180, 233), "background"),
)


@dataclass(frozen=True)
class Scenario:
    """One invented trial.

    name: its key. seed: of everything random in its pictures. growth: what drives the tanks. clock: when photos are taken.
    missed: (day, unit key or "" for all) without a photo. labelled: (unit, day) of the photos that get brush strokes.
    water_course: how the water turns, knots of (day, tint, haze), see `simulation.water`. lid_on_changed: the changed tanks carry a
    visible cover glass. cards: a photo card stands beside each tank. stickers: each glass carries its corner stickers. setup: what
    was to be built. The other fields are nouns of `fairtank.trial`.
    """

    name: str
    seed: int
    plan: Plan
    growth: GrowthParameters
    clock: time
    missed: frozenset[tuple[int, str]]
    labelled: tuple[tuple[str, int], ...]
    events: tuple[Event, ...]
    readings: tuple[Reading, ...]
    build: tuple[BuildLine, ...]
    setup: Setup
    lid_on_changed: bool = False
    photo_size: tuple[int, int] = (2048, 1536)
    cards: bool = False
    stickers: bool = False
    water_course: tuple[tuple[float, float, float], ...] = ()

    def taken_at(self, unit: str, day: int) -> datetime:
        """When the photo of a tank was taken on a day: one after the other, a little early or late."""
        keys = [candidate.key for candidate in self.plan.units]
        late = generator(self.seed, "round", day).integers(-9, 14)
        seconds = int(generator(self.seed, unit, "moment", day).integers(0, 50))
        moment = datetime.combine(self.plan.start + timedelta(days=day), self.clock)
        return moment + timedelta(minutes=int(late) + 2 * keys.index(unit), seconds=seconds)

    def photo(self, unit: str, day: int) -> Photo:
        """The photo of a tank on a day, whether or not it was missed."""
        date = self.plan.start + timedelta(days=day)
        return Photo(f"photos/{unit}-{date:%Y-%m-%d}.jpg", unit, self.taken_at(unit, day), day)

    @property
    def photos(self) -> tuple[Photo, ...]:
        """All photos, day by day."""
        return tuple(
            self.photo(unit.key, day)
            for day in range(self.plan.days + 1)
            for unit in self.plan.units
            if not {(day, ""), (day, unit.key)} & self.missed
        )

    @property
    def frames(self) -> tuple[Frame, ...]:
        """One frame per tank: the corners of the front glass in its first photo."""
        view = camera.View(*self.photo_size)
        first = {unit.key: next(photo for photo in self.photos if photo.unit == unit.key) for unit in self.plan.units}
        return tuple(
            Frame(
                unit,
                photo.path,
                "registered",
                "front",
                camera.corners_in_photo(view, camera.shot(view, self.seed, unit, photo.day).homography),
                camera.TANK_WIDTH_CM,
                camera.TANK_HEIGHT_CM,
            )
            for unit, photo in first.items()
        )

    @property
    def zones(self) -> tuple[Zone, ...]:
        """Zones of every tank: equipment, floor, and what does not count."""
        found = zones_cm(camera.View(*self.photo_size))
        return tuple(Zone(unit.key, key, kind, polygon) for unit in self.plan.units for key, (kind, polygon) in found.items())

    @property
    def cards_of_units(self) -> tuple[CardOfUnit, ...]:
        """The card of each tank, drawn by lot; none where the scenario has no cards."""
        return cards_of_plan(self.plan) if self.cards or self.stickers else ()

    @property
    def label_photos(self) -> tuple[Photo, ...]:
        """The photos that get brush strokes."""
        return tuple(self.photo(unit, day) for unit, day in self.labelled)

    @property
    def label_classes(self) -> tuple[LabelClass, ...]:
        """The stroke colours."""
        return LABEL_CLASSES

    def state(self, unit: str, day: int) -> TankState:
        """Plants and algae of a tank on a day."""
        changed = self.plan.arm_of(unit).role == "changed"
        since = self.plan.run_in_days if self.plan.kind == "run_in" else 0
        return tank_state(self.growth, self.seed, unit, day, changed_since=since if changed else None)
