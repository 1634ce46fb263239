"""The keeper's tanks: what each holds, whether its glass was screened as strong enough, and which trials it served."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.db.models import Prefetch, QuerySet

from fairtank import build
from fairtank.build import Setup
from fairtank.planning.building.boxes import pane_cautions
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.sheet import TankFacts, UnitFacts
from fairtank.publish.level_ruler import Picture, level_ruler
from fairtank.records.folder.setup_toml_checks import places_alone
from fairtank.records.models import Tank, TankNote, Trial, Unit


@dataclass(frozen=True)
class TankShown:
    """A tank full of water and nothing else.

    litres: of each compartment; weight_kg: on the stand; picture: its level ruler; cautions: what must be said about its glass.
    """

    tank: build.Tank
    litres: float
    facts: TankFacts
    picture: Picture
    cautions: tuple[str, ...]


@lru_cache(maxsize=256)
def tank_shown(tank: build.Tank, *, with_us: bool = False) -> TankShown:
    """What a tank holds, how heavy it is, how its glass was screened; with_us: its ruler has inches and gallons too.

    Raises
    ------
    DesignError, InputError
        If it cannot be built so.
    """
    unit, box = facts_of_tank(tank)
    ruler = level_ruler(tank, unit, key="ruler", with_us=with_us)
    return TankShown(tank, unit.gross_l, box, ruler, pane_cautions(tank.title or tank.key, tank, box.panes))


def facts_of_tank(tank: build.Tank) -> tuple[UnitFacts, TankFacts]:
    """The facts of its first compartment and of the whole, filled with water alone."""
    sheet = build_sheet(Setup(tanks=(tank,), places=places_alone((tank,)), weeks=1.0))
    return sheet.units[0], sheet.tanks[0]


def tanks_of(user: Any, *, taken_away: bool = False) -> QuerySet[Tank]:
    """The tanks of an account, or of the keeper where there are no accounts, each with the trials that it served."""
    tanks = Tank.everything.exclude(removed_at=None) if taken_away else Tank.objects.all()
    units = Unit.objects.filter(trial__removed_at=None).select_related("trial").order_by("-trial__start", "place")
    return tanks.filter(owner=user).prefetch_related(Prefetch("units", queryset=units, to_attr="served"))


def served_by(tank: Any) -> list[tuple[Trial, list[str]]]:
    """The trials in which a tank of `tanks_of` stood, the latest first, and as which units."""
    found: dict[int, tuple[Trial, list[str]]] = {}
    for unit in tank.served:
        found.setdefault(unit.trial_id, (unit.trial, []))[1].append(unit.key)
    return list(found.values())


def notes_of(tank: Tank) -> QuerySet[TankNote]:
    """Its history, the latest first."""
    return TankNote.objects.filter(tank=tank)
