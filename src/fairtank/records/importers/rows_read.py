"""The cells of a sheet as rows of readings.csv, as the matching says; every cell that cannot be read is named."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from fairtank.errors import InputError
from fairtank.records.folder.checks_instruments import UNITS_ACCEPTED
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.folder.rows import Row
from fairtank.records.folder.tables import DAYS_AWAY, READINGS
from fairtank.records.importers import amounts, times
from fairtank.records.importers.facts import TrialFacts, usual_unit
from fairtank.records.importers.matching import ColumnUse, Matching
from fairtank.records.importers.sheet import Sheet
from fairtank.units import in_unit

_CELLS = {column.name: column.cell for column in READINGS.columns}
_DIGITS = 10  # of a converted value; what comes after them is the arithmetic of the conversion
_WORD_ROLES = ("unit", "quantity", "unit_of_measure", "method", "below")
# What to do about a cell, by what its column is.
TO_DO = {
    "time": "Correct the cell, or choose another column for the time.", "clock": "Correct the cell, or leave this column out.",
    "day": "Correct the cell, or choose another column for the time.", "unit": "Choose the tank that is meant, or correct the cell.",
    "quantity": "Write what was read, or choose it for the whole file.", "value": "Correct the cell, or leave the row out.",
    "unit_of_measure": "Choose the unit of measure in which it was read.", "method": "Shorten the text.",
    "below": "Write true or false, or leave this column out.", "row": "Correct the row, or save the file with semicolons between cells.",
}


@dataclass(frozen=True, slots=True)
class Refused:
    """One cell, or row, that cannot be taken: row as a spreadsheet counts, heading, what was read, what is accepted, what to do."""

    row: int
    column: str
    read: str
    accepted: str
    to_do: str

    def __str__(self) -> str:
        place = f"Row {self.row}, {self.column}" if self.column else f"Row {self.row}"
        return f"{place}: {self.read}; accepted: {self.accepted}. {self.to_do}"


@dataclass
class Group:
    """The rows that come from one column of values; written holds each row's cell as it stood there; told_for and told: the last
    quantity with its unit as written, and how it is turned into the quantity's own."""

    use: ColumnUse
    rows: list[Row] = field(default_factory=list)
    written: list[str] = field(default_factory=list)
    told_for: tuple[str, str] | None = None
    told: Any = None


@dataclass
class RowsRead:
    """All groups, all refusals, how many cells were empty, and what could not be read without an answer (by field of the form)."""

    groups: list[Group]
    refused: list[Refused] = field(default_factory=list)
    empty: int = 0
    asked: dict[str, str] = field(default_factory=dict)
    unit_assumed: dict[str, str] = field(default_factory=dict)


def rows_read(sheet: Sheet, matching: Matching, facts: TrialFacts) -> RowsRead:
    """Every value of the sheet as a row of readings.csv, in the quantity's own unit."""
    reader = _Reader(sheet, matching, facts)
    limit = len(sheet.rows[sheet.header]) if sheet.header is not None else sheet.width
    used = max((use.column for use in matching.columns if use.role != "ignore"), default=0) + 1
    for number, cells in sheet.data:
        if len(cells) > limit and any(cells[max(limit, used) :]):
            reader.refuse(number, "", "row", Refusal(f"the row has {len(cells)} cells", f"{limit} cells, as there are headings "
                          "(does a number have a decimal comma?)"))
        else:
            reader.take(number, cells)
    return reader.found


class _Reader:
    """One sheet as it is read, with everything that is the same in many cells read once."""

    def __init__(self, sheet: Sheet, matching: Matching, facts: TrialFacts) -> None:
        self.matching, self.facts = matching, facts
        self.found = RowsRead([Group(use) for use in matching.values])
        self.by_role = {role: use for role in ("time", "clock", "day", "unit", "quantity", "unit_of_measure", "method", "below")
                        if (use := matching.one(role)) is not None}
        self.places = {role: use.column for role, use in self.by_role.items()}
        self.units, self.quantities = dict(matching.units), dict(matching.quantities)
        self.points_are_decimal = sheet.is_workbook
        self._known: dict[tuple[str, str], Any] = {}
        self._last: tuple[str, str, Any] = ("", "", None)
        # What no column says is the same in all rows.
        self._same = {role: self._whole(role) for role in _WORD_ROLES if role not in self.places}
        self._unit_in_rows = "unit_of_measure" in self.places
        self._values = tuple((group, group.use.column) for group in self.found.groups)
        self._told = tuple((role, self.places[role]) for role in _WORD_ROLES if role in self.places)

    def _whole(self, role: str) -> Any:
        try:
            return self._word_read(role, "")
        except Refusal as refusal:
            raise InputError(role, refusal.read, refusal.accepted) from refusal

    def refuse(self, number: int, column: str, role: str, refusal: Refusal) -> None:
        """Note a refusal."""
        self.found.refused.append(Refused(number, column, refusal.read, refusal.accepted, TO_DO[role]))

    def take(self, number: int, cells: tuple[str, ...]) -> None:
        """One row: its time and words once, then each of its values."""
        width = len(cells)
        held = [(group, cells[place]) for group, place in self._values if place < width and not amounts.is_missing(cells[place])]
        self.found.empty += len(self._values) - len(held)
        if not held:
            return
        moment = self._moment(number, cells)
        words = self._same
        if self._told:
            words = {**words, **{role: self._word(number, role, cells[place] if place < width else "") for role, place in self._told}}
            if None in words.values():
                return
        if moment is not None:
            for group, text in held:
                self._value(number, group, text, moment, words)

    def _moment(self, number: int, cells: tuple[str, ...]) -> datetime | None:
        if "time" not in self.places:
            return self._day(number, cells)
        place, clock = self.places["time"], self.places.get("clock")
        text = cells[place] if place < len(cells) else ""
        at = cells[clock] if clock is not None and clock < len(cells) else ""
        if self._last[0] != text or self._last[1] != at:
            self._last = text, at, self._moment_read(text, at)
        moment = self._last[2]
        if isinstance(moment, tuple):
            role, refusal = moment
            self.refuse(number, self.by_role[role].heading, role, refusal)
            if not self.matching.date_order and times.order_seen(text.split(" ")[0]) == times.ASK:
                self.found.asked.setdefault("date_order", refusal.read)
            return None
        return moment

    def _moment_read(self, text: str, at: str) -> datetime | tuple[str, Refusal]:
        role = "time"
        try:
            if not text:
                raise Refusal("the cell is empty", times.TIME_ACCEPTED)
            moment = times.moment_of(text, self.matching.date_order)
            role = "clock"
            return datetime.combine(moment.date(), times.clock_of(at)) if at else moment
        except Refusal as refusal:
            return role, refusal

    def _day(self, number: int, cells: tuple[str, ...]) -> datetime | None:
        """The first minute of a day of the trial."""
        use, plan = self.by_role["day"], self.facts.plan
        text = cells[use.column] if use.column < len(cells) else ""
        first, last = -DAYS_AWAY, plan.days + DAYS_AWAY
        try:
            day = amounts.VALUE.read(text)
            if not (day == int(day) and first <= day <= last):
                raise Refusal(f"{shown(text)} is no day of the trial", "")
        except (Refusal, OverflowError) as error:
            read = error.read if isinstance(error, Refusal) else f"{shown(text)} is no day of the trial"
            self.refuse(number, use.heading, "day", Refusal(read, f"a whole number of days since day 0, from {first} to {last}"))
            return None
        return datetime(plan.start.year, plan.start.month, plan.start.day) + timedelta(days=int(day))

    def _word(self, number: int, role: str, text: str) -> Any:
        """What a cell of words says, in the trial's own names; None after it was refused."""
        key = role, text
        if key not in self._known:
            try:
                self._known[key] = self._word_read(role, text)
            except Refusal as refusal:
                self._known[key] = refusal
        known = self._known[key]
        if isinstance(known, Refusal):
            self.refuse(number, self.by_role[role].heading, role, known)
            return None
        return known

    def _word_read(self, role: str, text: str) -> Any:
        whole = getattr(self.matching, role, "")
        if role == "below":
            return _CELLS["below_detection"].read(text) if text else False
        if role == "unit":
            text = self.units.get(text, "") or (self.facts.unit_named(text)[0] if text not in self.units else "") or text or whole
            if not text and "unit" in self.places and not whole:
                raise Refusal("the cell is empty", ", ".join(self.facts.units))
            return _CELLS["unit"].read(text) if text else ""
        if role == "quantity":
            text = self.quantities.get(text, "") or text or whole
            if not text and "quantity" in self.places:
                raise Refusal("the cell is empty", ", ".join(known.key for known in self.facts.quantities) or "what was read")
        text = text or whole
        return _CELLS[role].read(text) if text else ""

    def _value(self, number: int, group: Group, text: str, moment: datetime, words: dict[str, Any]) -> None:
        use = group.use
        try:
            amount = amounts.amount_of(text, self.matching.decimal, use.limit, points_are_decimal=self.points_are_decimal)
        except Refusal as refusal:
            self.refuse(number, use.heading, "value", refusal)
            if not self.matching.decimal and amounts.decimal_seen(text) == amounts.ASK:
                self.found.asked.setdefault("decimal", refusal.read)
            elif amounts.is_not_detected(text) and not use.limit:
                self.found.asked.setdefault(f"column-{use.column}-limit", refusal.read)
            return
        quantity = use.quantity or words["quantity"]
        # Nearest first: behind the number, in the row, in the heading, for the whole file.
        in_row = words["unit_of_measure"] if self._unit_in_rows else ""
        written = amount.unit or in_row or use.unit_of_measure or words["unit_of_measure"]
        if group.told_for != (quantity, written):
            group.told_for, group.told = (quantity, written), self._unit_told(quantity, written)
        told = group.told
        if isinstance(told, Refusal):
            column = self.by_role["unit_of_measure"].heading if "unit_of_measure" in self.by_role else use.heading
            self.refuse(number, column, "unit_of_measure", told)
            return
        convert, unit = told
        try:
            value = amount.value if convert is None else amounts.VALUE.read(f"{convert(amount.value):.{_DIGITS}g}")
        except Refusal as refusal:
            self.refuse(number, use.heading, "value", refusal)
            return
        group.rows.append(Row(number, {
            "unit": use.unit or words["unit"], "taken_at": moment, "quantity": quantity, "value": value, "unit_of_measure": unit,
            "method": use.method or words["method"], "below_detection": amount.is_below or words["below"],
        }, {}))
        group.written.append(text)

    def _unit_told(self, quantity: str, written: str) -> tuple[Callable[[float], float] | None, str] | Refusal:
        """How a value is turned into the quantity's own unit, and that unit; None: it is taken as it stands."""
        known = self.facts.quantity(quantity)
        wanted = known.unit_of_measure if known else ""
        if known and wanted and not written:
            self.found.unit_assumed[quantity] = wanted
            return None, wanted
        usual = wanted or usual_unit(quantity)
        if not known and usual and not written:
            self.found.unit_assumed[quantity] = usual
            return None, usual
        if not usual or written == usual:
            return None, written
        try:
            in_unit(1.0, written, usual)
        except InputError as error:
            if wanted:
                hint = f" ({error.hint.rstrip('.')})" if error.hint else ""
                return Refusal(f"{shown(written)} cannot be turned into {shown(wanted)}, the unit of {shown(quantity)}",
                               f"{UNITS_ACCEPTED}{hint}")
            return None, written
        return partial(_in_unit, written=written, wanted=usual), usual


def _in_unit(value: float, written: str, wanted: str) -> float:
    return in_unit(value, written, wanted)
