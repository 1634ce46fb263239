"""Readings: a value of one tank, with what it was read with."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from fairtank.errors import InputError
from fairtank.planning.evenness.wording import quantity_factor
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.folder.rows import Row
from fairtank.records.folder.tables import READINGS
from fairtank.records.importers.amounts import COMMA, POINT, Amount, amount_of
from fairtank.records.importers.doubts import doubt_of
from fairtank.records.models import PairChoice, Reading, Score, SeriesValue, Unit
from fairtank.records.planned import Planned
from fairtank.records.services.entries import (
    DoubtfulError,
    Entering,
    EntryError,
    Stored,
    check_open,
    check_when,
    checked_values,
    open_plan,
    plain,
    put,
)
from fairtank.units import in_unit

# A step from one reading to the next that is more often a slip than a change: in the unit of the reading. common practice, no source
_STEPS = {"temperature": 6.0, "room_temperature": 15.0, "ph": 1.5}
_TIMES = 5.0  # of anything else: so many times as much or as little. common practice, no source


def reading_add(*, who: Entering, unit: str, quantity: str, value: str, unit_of_measure: str = "", method: str = "",
                taken_at: datetime, sure: bool = False) -> Stored:  # fmt: skip
    """Store a reading.

    value: as it was typed: with a point or a comma, and `<0.5` for one below what the test can tell. sure: the keeper was asked about a
    doubtful value and meant it.

    Raises
    ------
    EntryError
        With a sentence for each thing that a trial folder would be refused for.
    DoubtfulError
        If the value was probably not meant, and nobody said that it was.
    DesignError
        If the trial is finished, or has no plan.
    """
    planned = open_plan(who.trial)
    quantity, measured_in = plain(quantity), plain(unit_of_measure)
    amount = amount_in(value, measured_in)
    measured_in = measured_in or amount.unit
    cells = {"unit": unit, "taken_at": taken_at.isoformat(timespec="seconds"), "quantity": quantity, "value": number_text(amount.value),
             "unit_of_measure": measured_in, "method": method, "below_detection": "true" if amount.is_below else "false"}
    with transaction.atomic():
        check_open(who.trial)
        check_when(who, taken_at)
        values = checked_values(planned, "readings", cells, _there(who, planned, quantity))
        if not sure and not _is_there(who, amount.value):
            asked = reading_doubt(who=who, unit=unit, quantity=quantity, value=amount.value, unit_of_measure=measured_in, taken_at=taken_at)
            if asked:
                raise DoubtfulError(asked)
        told = f"{quantity} {number_text(amount.value)} {measured_in}".rstrip() + f" in {unit}"
        return put(who, "readings", values, planned.plan.start, said=f"Read {told}.", changed=f"Put right: {told}.", beside=beside_reading)


def amount_typed(text: str) -> Amount:
    """What was typed as a value; a comma is a decimal comma."""
    words = plain(text)
    if not words:
        raise EntryError([("value", "A value is missing; accepted: a number such as 24.9, or one below detection such as <0.5.")])
    try:
        return amount_of(words, COMMA if "," in words and "." not in words else POINT)
    except Refusal as refusal:
        raise EntryError([("value", f"{refusal.read[0].upper()}{refusal.read[1:]}; accepted: {refusal.accepted}.")]) from refusal


def amount_in(text: str, unit_of_measure: str) -> Amount:
    """What was typed, in the unit of its field; a unit behind the number is turned into that one, and refused where it cannot be."""
    amount = amount_typed(text)
    if not amount.unit or amount.unit == unit_of_measure:
        return amount
    try:
        return Amount(in_unit(amount.value, amount.unit, unit_of_measure or amount.unit), amount.is_below, unit_of_measure or amount.unit)
    except InputError:
        wanted = f"a number in {unit_of_measure}" if unit_of_measure else "a number such as 24.9"
        raise EntryError([("value", f"{shown(plain(text))} cannot be taken as a value; accepted: {wanted}.")]) from None


def reading_doubt(*, who: Entering, unit: str, quantity: str, value: float, unit_of_measure: str, taken_at: datetime) -> str:
    """Whether a value was probably not meant, asked in a sentence; empty where it is usual."""
    last = (Reading.objects.filter(trial=who.trial, unit__key=unit, quantity=quantity, unit_of_measure=unit_of_measure,
                                   taken_at__lt=taken_at, below_detection=False)
            .exclude(entry=who.entry or "").order_by("-taken_at").first())
    said = f"{number_text(value)} {unit_of_measure}".rstrip()
    usual = doubt_of(quantity, value, unit_of_measure)
    if last is not None and is_far(quantity, value, last.value):
        return f"{said}? The last was {number_text(last.value)}, on day {last.day}."
    return f"{said}? {usual}." if usual else ""


def is_far(quantity: str, value: float, last: float) -> bool:
    """Whether a value lies so far from the last one that a slip is likelier than a change."""
    step = _STEPS.get(quantity_factor(quantity))
    if step is not None:
        return abs(value - last) > step
    return last > 0 and value > 0 and not 1 / _TIMES <= value / last <= _TIMES


def beside_reading(row: Any) -> Iterable[Any]:
    """Other entries of the same quantity in the same tank on the same day, from the last hours: of another phone, most often."""
    near = timedelta(hours=6)
    return Reading.objects.filter(trial=row.trial_id, unit=row.unit_id, quantity=row.quantity, day=row.day,
                                  taken_at__range=(row.taken_at - near, row.taken_at + near)).exclude(pk=row.pk).exclude(
                                      round__isnull=False, round=row.round_id)[:3]


def _is_there(who: Entering, value: float) -> bool:
    """Whether this very entry is stored already, so that nothing needs to be asked."""
    return bool(who.entry) and Reading.everything.filter(trial=who.trial, entry=who.entry, value=value).exists()


def _there(who: Entering, planned: Planned, quantity: str) -> dict[str, list[Row]]:
    """Where the quantity is a measure of the plan: one row of each source that holds it, and one reading of each unit of measure."""
    if quantity not in {choice.key for choice in planned.plan.measures}:
        return {}
    found: dict[str, list[Row]] = {}
    for field, model in (("series", SeriesValue), ("scores", Score), ("pairs", PairChoice)):
        if model._default_manager.filter(trial=who.trial, measure=quantity).exists():
            found[field] = [Row(2, {"measure": quantity}, {})]
    kept = Reading.objects.filter(trial=who.trial, quantity=quantity).exclude(entry=who.entry or "").values_list(
        "unit_of_measure", flat=True).distinct()
    found["readings"] = [Row(1, {"quantity": quantity, "unit_of_measure": unit}, {}) for unit in kept]
    return found


READING_COLUMNS = tuple(column.name for column in READINGS.columns)


def readings_row_add(*, who: Entering, quantity: str, unit_of_measure: str, values: dict[str, str], taken_at: datetime,
                     sure: frozenset[str] = frozenset()) -> dict[str, Stored | Exception]:  # fmt: skip
    """One value in each of several tanks, as a table's row is filled; by tank, what was stored or why not. Empty ones are left out."""
    found: dict[str, Stored | Exception] = {}
    known = set(Unit.objects.filter(trial=who.trial).values_list("key", flat=True))
    for unit, text in values.items():
        if not text.strip() or unit not in known:
            continue
        own = Entering(who.trial, who.by, who.now, f"{who.entry}-{len(found)}" if who.entry else None, who.round, who.late_reason)
        try:
            found[unit] = reading_add(who=own, unit=unit, quantity=quantity, value=text, unit_of_measure=unit_of_measure, taken_at=taken_at,
                                      sure=unit in sure)
        except (EntryError, DoubtfulError) as error:
            found[unit] = error
    return found
