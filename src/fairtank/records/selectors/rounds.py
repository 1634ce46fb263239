"""What a round needs to know of each tank: the last values, what is wanted today, what is there already."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from types import SimpleNamespace
from typing import Any

from django.db.models import Count, F, Window
from django.db.models.functions import RowNumber

from fairtank.planning.evenness.wording import is_same_factor
from fairtank.planning.schedule.doing import is_quantity
from fairtank.planning.schedule.plan_days import change_day
from fairtank.planning.schedule.tasks import Task
from fairtank.records.arms import arm_held
from fairtank.records.importers.facts import KnownQuantity, TrialFacts, usual_unit
from fairtank.records.models import ChoreDone, Event, Photo, Reading, Round, Trial, Unit
from fairtank.records.planned import Planned
from fairtank.records.selectors.due import DueTrial, due_in, due_of

# Words of quantities that are written in another way than their keys. Common practice, no source.
WORDS = {"ph": "pH", "kh": "KH", "gh": "GH", "co2": "CO₂", "no3": "NO₃", "po4": "PO₄", "no2": "NO₂", "nh4": "NH₄", "ec": "conductivity"}
MOST_SHOWN = 6  # quantities that were read before and that nothing asks for today


@dataclass(frozen=True)
class Last:
    """The last value of a quantity in a tank before this round."""

    value: float
    unit_of_measure: str
    day: int
    below_detection: bool


@dataclass(frozen=True)
class Asked:
    """One quantity in one tank. is_due: the schedule asks for it today. last: before this day; there: of this day already."""

    quantity: str
    title: str
    unit_of_measure: str
    is_due: bool
    last: Last | None
    there: tuple[Reading, ...] = ()


@dataclass(frozen=True)
class ToTick:
    """A chore of one tank: what and how much, whether it is done, and the day for which it was due."""

    task: Task
    is_done: bool
    is_late: bool


@dataclass(frozen=True)
class UnitSheet:
    """Everything that a round shows of one tank.

    arm: of that day; empty where nobody may know it, where the lot has not spoken, and while all tanks are alike. alike_until: the day on
    which the change starts, while all tanks are alike and the arms may be known.
    """

    key: str
    position: str
    arm: str
    wants_photo: bool
    asked: tuple[Asked, ...]
    more: tuple[KnownQuantity, ...]
    chores: tuple[ToTick, ...]
    photos: tuple[Photo, ...] = ()
    notes: tuple[Event, ...] = ()
    alike_until: int | None = None


@dataclass(frozen=True)
class RoundSheet:
    """A round of one day. due: what the day asks for. rounds: begun on that day."""

    planned: Planned
    day: int
    due: DueTrial
    units: tuple[UnitSheet, ...]
    quantities: tuple[KnownQuantity, ...]
    rounds: tuple[Round, ...] = ()


@dataclass
class _Found:
    last: dict[tuple[str, str], Last] = field(default_factory=dict)
    readings: dict[tuple[str, str], list[Reading]] = field(default_factory=dict)
    photos: dict[str, list[Photo]] = field(default_factory=dict)
    notes: dict[str, list[Event]] = field(default_factory=dict)


def round_sheet(trial: Trial, on: date) -> RoundSheet | None:
    """The round of a trial on a date; None where there is no plan."""
    due = next(iter(due_of([trial], on)), None)
    if due is None:
        return None
    planned, quantities = due.planned, known_quantities(trial, due.planned)
    found = _found(trial, due.day, last_values(trial, due.day, planned.order, [known.key for known in quantities]))
    units = {unit.key: unit for unit in Unit.objects.filter(trial=trial).select_related("arm")}
    order = [*(key for key in planned.order if key in units), *(key for key in units if key not in planned.order)]
    standing = _standing(planned, due.day, order)
    sheets = tuple(_unit_sheet(units[key], due, quantities, found) for key in standing)
    return RoundSheet(planned, due.day, due, sheets, quantities, due.rounds)


def _standing(planned: Planned, day: int, order: list[str]) -> list[str]:
    """The tanks that stand on a day: where rounds of the trial follow one another, those of the round that runs."""
    plan = planned.plan
    if not plan.round_days:
        return order
    rounds = tuple(dict.fromkeys(unit.round for unit in plan.units))
    runs = rounds[min(max(day // plan.round_days, 0), len(rounds) - 1)]
    now = {unit.key for unit in plan.units if unit.round == runs}
    return [key for key in order if key in now]


def known_quantities(trial: Trial, planned: Planned) -> tuple[KnownQuantity, ...]:
    """The quantities that the plan judges, the schedule asks for or somebody has read, with the unit in which each is told."""
    counted = (Reading.objects.filter(trial=trial).values_list("quantity", "unit_of_measure").annotate(n=Count("pk"))
               .order_by("-n", "quantity", "unit_of_measure"))
    written: list[Any] = [SimpleNamespace(quantity=quantity, unit_of_measure=unit) for quantity, unit, _ in counted]
    chores = [] if planned.is_proposed else planned.chores
    return TrialFacts(planned.plan, written, chores).quantities


_LAST = ("unit__key", "quantity", "value", "unit_of_measure", "day", "below_detection")
_LATEST = 400  # readings among which most last values are: forty tanks with ten quantities each


def last_values(trial: Trial, before_day: int, units: Sequence[str], quantities: Sequence[str]) -> dict[tuple[str, str], Last]:
    """The last value of these quantities in these tanks before a day, of others where it is at hand.

    The latest few hundred readings are looked at one by one; all of a trial, which may be tens of thousands, only for the quantities of
    which some tank has none among them.
    """
    before = Reading.objects.filter(trial=trial, day__lt=before_day)
    latest = list(before.order_by("-day", "-taken_at", "-pk").values_list(*_LAST)[:_LATEST])
    found = {(unit, quantity): Last(*rest) for unit, quantity, *rest in reversed(latest)}
    older = [] if len(latest) < _LATEST else [one for one in quantities if any((unit, one) not in found for unit in units)]
    if older:
        place = Window(RowNumber(), partition_by=[F("unit_id"), F("quantity")], order_by=[F("taken_at").desc(), F("pk").desc()])
        rows = before.filter(quantity__in=older).annotate(place=place).filter(place=1).values_list(*_LAST).order_by()
        found |= {(unit, quantity): Last(*rest) for unit, quantity, *rest in rows}
    return found


def _found(trial: Trial, day: int, last: dict[tuple[str, str], Last]) -> _Found:
    """Everything that is there of a day, by tank."""
    found = _Found(last)
    for reading in Reading.objects.filter(trial=trial, day=day).select_related("unit").order_by("taken_at", "pk"):
        found.readings.setdefault((reading.unit.key, reading.quantity), []).append(reading)
    for photo in Photo.objects.filter(trial=trial, day=day).select_related("unit").order_by("taken_at", "pk"):
        found.photos.setdefault(photo.unit.key, []).append(photo)
    for event in Event.objects.filter(trial=trial, day=day).order_by("pk"):
        for unit in event.units or ("",):
            found.notes.setdefault(unit, []).append(event)
    return found


def _unit_sheet(unit: Unit, due: DueTrial, quantities: tuple[KnownQuantity, ...], found: _Found) -> UnitSheet:
    tasks = due_in(due, unit.key)
    tests = [task for task, _, _ in tasks if task.chore.kind == "test"]
    wanted = _wanted(tests, quantities)
    judged = {one.key for one in due.planned.plan.measures if one.unit_of_measure}  # has its field before anybody has read it
    own = [known for known in quantities if known.key in judged or (unit.key, known.key) in found.last
           or (unit.key, known.key) in found.readings]
    shown = [*wanted, *(known for known in own if known not in wanted)][: len(wanted) + MOST_SHOWN]
    asked = tuple(Asked(known.key, title_of(known), known.unit_of_measure, known in wanted, found.last.get((unit.key, known.key)),
                        tuple(found.readings.get((unit.key, known.key), ()))) for known in shown)
    chores = tuple(ToTick(task, is_done, is_late) for task, is_done, is_late in tasks if task.chore.kind not in ("photo", "test"))
    arm, alike_until = _arm_today(unit, due)
    wants_photo = any(task.chore.kind == "photo" for task, _, _ in tasks)
    return UnitSheet(unit.key, unit.position, arm, wants_photo, asked, tuple(known for known in quantities if known not in shown), chores,
                     tuple(found.photos.get(unit.key, ())), tuple(found.notes.get(unit.key, ())), alike_until)


def _arm_today(unit: Unit, due: DueTrial) -> tuple[str, int | None]:
    """What a tank gets on the day of the round, and up to which day all tanks are alike: an arm that has not begun is not told."""
    plan = due.planned.plan
    if plan.blinded or unit.arm is None:
        return "", None
    if plan.kind in ("run_in", "drawn_start"):
        starts = change_day(plan)
        if starts is None or due.day < starts:
            return "", starts
    return plan.arm(arm_held(plan, unit.key, due.day)).label, None


def _wanted(tests: Iterable[Task], quantities: tuple[KnownQuantity, ...]) -> list[KnownQuantity]:
    """The quantities that today's tests ask for, in the words of the trial's readings."""
    wanted: list[KnownQuantity] = []
    for task in tests:
        for name in filter(None, (part.strip() for part in task.chore.quantity.split(","))):
            same = [known for known in quantities if is_quantity(known.key, name) or is_same_factor(known.key, name)]
            known = same[0] if same else KnownQuantity(name, name, usual_unit(name), "")
            if known not in wanted:
                wanted.append(known)
    return wanted


def title_of(known: KnownQuantity) -> str:
    """A quantity in words for people."""
    return known.title if known.title != known.key else words_of_quantity(known.key)


def words_of_quantity(key: str) -> str:
    """A quantity's key as people write it."""
    return WORDS.get(key.casefold(), key.replace("_", " "))


def counts_of(found: Round) -> dict[str, int]:
    """How many readings, photos, chores and notes belong to a round."""
    kinds: tuple[tuple[str, Any], ...] = (("reading", Reading), ("photo", Photo), ("chore", ChoreDone), ("note", Event))
    return {kind: model.objects.filter(round=found).count() for kind, model in kinds}
