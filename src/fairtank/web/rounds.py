"""A round as its page shows it: every field with its name, the key under which it is stored, and what was typed, asked or refused."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fairtank.errors import InputError
from fairtank.planning.evenness.wording import quantity_factor
from fairtank.planning.schedule.tasks import Task
from fairtank.publish.numbers import with_unit
from fairtank.records.importers.doubts import USUAL
from fairtank.records.models import Photo
from fairtank.records.selectors.rounds import Asked, Last, RoundSheet, ToTick, UnitSheet
from fairtank.units import in_unit
from fairtank.web.amounts import own_number, own_unit, reading


@dataclass
class Outcome:
    """What became of one field that was sent: what was typed, a question about it, or why it was refused."""

    typed: str = ""
    asked: str = ""
    fault: str = ""


@dataclass(frozen=True)
class ReadingField:
    """One reading of one tank; key: under which it is stored, behind that of the round."""

    key: str
    name: str
    quantity: str
    title: str
    unit_of_measure: str
    is_due: bool
    last: str
    last_value: str
    low: str
    high: str
    there: tuple[str, ...]
    outcome: Outcome = field(default_factory=Outcome)


@dataclass(frozen=True)
class TickField:
    """One chore of one tank."""

    key: str
    name: str
    chore: str
    due_day: int
    words: str
    more: str
    is_done: bool
    fault: str = ""


@dataclass(frozen=True)
class UnitFields:
    """One tank of the round."""

    number: int
    key: str
    sheet: UnitSheet
    readings: tuple[ReadingField, ...]
    chores: tuple[TickField, ...]
    note_key: str
    note: Outcome
    photo_key: str
    photo_faults: tuple[str, ...]
    photos: tuple[Photo, ...]
    next: str = ""


def key_of(kind: str, unit: str, name: str = "") -> str:
    """The part of an entry's key that says which field of which tank it is; the same however often the page is made.

    The page's script makes the same one (`fieldKey` in round.js) for a quantity that is new to it: two plain sums, since a page without
    TLS has no digests.
    """
    low, high = 0x811C9DC5, 0x01000193
    for letter in "\0".join((kind, unit, name)):
        low = ((low ^ ord(letter)) * 0x01000193) % 2**32
        high = ((high + ord(letter)) * 0x85EBCA6B) % 2**32
    return f"n{low:08x}{high:08x}"


def fields_of(sheet: RoundSheet, outcomes: Mapping[str, Outcome] | None = None) -> list[UnitFields]:
    """Every tank with its fields; outcomes: of what was sent just now, by the fields' keys."""
    told = outcomes or {}
    keys = [unit.key for unit in sheet.units]
    return [_unit(number, unit, sheet, told, keys[number + 1] if number + 1 < len(keys) else "") for number, unit in enumerate(sheet.units)]


def _unit(number: int, unit: UnitSheet, sheet: RoundSheet, told: Mapping[str, Outcome], following: str) -> UnitFields:
    readings = tuple(_reading(number, place, unit.key, asked, told) for place, asked in enumerate(unit.asked))
    chores = tuple(_tick(number, place, unit.key, tick, told) for place, tick in enumerate(unit.chores))
    note_key, photo_key = key_of("note", unit.key), key_of("photo", unit.key)
    faults = told.get(photo_key, Outcome()).fault
    return UnitFields(number, unit.key, unit, readings, chores, note_key, told.get(note_key, Outcome()), photo_key,
                      tuple(faults.split("\n")) if faults else (), unit.photos, following)


def _reading(number: int, place: int, unit: str, asked: Asked, told: Mapping[str, Outcome]) -> ReadingField:
    key = key_of("reading", unit, asked.quantity)
    limits = usual_limits(asked.quantity, asked.unit_of_measure)
    low, high = (own_number(end, asked.unit_of_measure) for end in limits) if limits else ("", "")
    there = tuple(_("%(value)s at %(time)s") % {"value": value_words(one.value, one.unit_of_measure, one.below_detection),
                                                "time": f"{one.taken_at:%H:%M}"} for one in asked.there)
    last = "" if asked.last is None or asked.last.below_detection else own_number(asked.last.value, asked.last.unit_of_measure)
    return ReadingField(key, f"{number}-{place}", asked.quantity, asked.title, own_unit(asked.unit_of_measure), asked.is_due,
                        last_words(asked.last), last, low, high, there,
                        told.get(key, Outcome()))


def _tick(number: int, place: int, unit: str, tick: ToTick, told: Mapping[str, Outcome]) -> TickField:
    key = key_of("chore", unit, f"{tick.task.chore.key} {tick.task.day}")
    more = _("was due on day %(day)d") % {"day": tick.task.day} if tick.is_late else ""
    return TickField(key, f"{number}-{place}", tick.task.chore.key, tick.task.day, chore_words(tick.task), more, tick.is_done,
                     told.get(key, Outcome()).fault)


def last_words(last: Last | None) -> str:
    """The last value and its day; empty where there is none."""
    if last is None:
        return ""
    value = value_words(last.value, last.unit_of_measure, last.below_detection)
    return _("%(value)s on day %(day)d") % {"value": value, "day": last.day}


def value_words(value: float, unit_of_measure: str, below: bool = False) -> str:
    """A value with its unit, as the keeper wants it."""
    return f"{'< ' if below else ''}{reading(value, unit_of_measure)}"


def chore_words(task: Task) -> str:
    """A chore with how much of it."""
    chore = task.chore
    if chore.amount is None:
        return chore.title
    is_share = chore.kind == "water_change" and not chore.unit_of_measure
    amount = f"{chore.amount * 100:g} %" if is_share else with_amount(chore.amount, chore.unit_of_measure)
    return chore.title if amount in chore.title else f"{chore.title}, {amount}"


def with_amount(amount: float, unit_of_measure: str) -> str:
    """An amount with its unit."""
    return with_unit(own_number(float(f"{amount:g}"), unit_of_measure), own_unit(unit_of_measure)) if unit_of_measure else f"{amount:g}"


def day_words(day: int, days: int, on: date) -> str:
    """The head of a round: which day of the trial it is."""
    if day < 0:
        return ngettext("%(n)d day before the trial starts", "%(n)d days before the trial starts", -day) % {"n": -day}
    if day > days:
        return ngettext("%(n)d day after the last day", "%(n)d days after the last day", day - days) % {"n": day - days}
    return _("day %(day)d of %(days)d") % {"day": day, "days": days}


def day_asked(text: str, now: datetime) -> date:
    """The date that an address asks for, else today's."""
    try:
        return date.fromisoformat(text) if len(text) == 10 else now.date()
    except ValueError:
        return now.date()


def moment_on(on: date, now: datetime) -> datetime:
    """This time of day on a date."""
    return datetime.combine(on, now.time())


def ago_words(days: int) -> str:
    """How long ago, or how soon, in words."""
    if days == 0:
        return _("today")
    if days == 1:
        return _("yesterday")
    if days == -1:
        return _("tomorrow")
    if days < 0:
        return _("in %(n)d days") % {"n": -days}
    return _("%(n)d days ago") % {"n": days}



def usual_limits(quantity: str, unit_of_measure: str) -> tuple[float, float] | None:
    """Between which values a quantity usually lies, so that a page can ask before it is sent; the service asks again."""
    usual = USUAL.get(quantity_factor(quantity))
    if usual is None:
        return None
    try:
        return in_unit(usual.low, usual.unit, unit_of_measure), in_unit(usual.high, usual.unit, unit_of_measure)
    except InputError:
        return None
