"""What is known of a trial's units: the records of its folder and the sheet of its build, by unit, ready to be asked by every factor."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from fairtank.build import Setup
from fairtank.chore import ChoreDone
from fairtank.errors import InputError
from fairtank.planning.evenness.conversion import in_factor_unit, led_by_number
from fairtank.planning.evenness.told import MEASURED, PLANNED, WRITTEN, Told, Value
from fairtank.planning.evenness.wording import build_kind, kind_of, quantity_factor, spaced
from fairtank.planning.sheet import BuildSheet, UnitFacts
from fairtank.trial import BuildLine, Event, Plan, Reading, TrialFolder, Unit

READINGS, BUILD, FACTORS, SETUP, PLAN, CHORES, EVENTS = ("readings.csv", "build.csv", "factors.csv", "setup.toml", "trial.toml",
                                                         "chores.csv", "events.csv")
SHEET = "setup.toml"  # worked out from it by the build sheet


@dataclass(frozen=True)
class Care:
    """One thing done in one unit: kind as in wording.kind_of, day, hour of the clock, what it was told with."""

    unit: str
    kind: str
    day: int
    hour: float
    where: str
    quantity: str = ""
    amount: float | None = None
    unit_of_measure: str = ""
    minutes: float | None = None
    by: str = ""
    note: str = ""


@dataclass(frozen=True)
class Known:
    """All that is known of a trial before it is judged.

    folder: as it was read. sheet: the build sheet of its setup, None where there is no setup or it cannot be built. window: first and last
    day that records may come from; None: all.
    """

    folder: TrialFolder
    sheet: BuildSheet | None = None
    window: tuple[int, int] | None = None

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.folder.plan

    @property
    def setup(self) -> Setup | None:
        """What is to be built; None where setup.toml does not say."""
        return self.folder.setup

    @cached_property
    def units(self) -> tuple[str, ...]:
        """Keys of the units, in the order of the plan."""
        return tuple(unit.key for unit in self.plan.units)

    def within(self, first: int, last: int) -> "Known":
        """The same, with the records of these days only."""
        return replace(self, window=(first, last))

    def has_day(self, day: int) -> bool:
        """Whether records of that day count."""
        return self.window is None or self.window[0] <= day <= self.window[1]

    # what was written down and measured ------------------------------------------------------------------------------

    @cached_property
    def _written(self) -> dict[str, dict[tuple[str, str], dict[str, list[Value]]]]:
        """Factor -> (part, unit of measure) -> unit (empty: all) -> values."""
        found: dict[str, dict[tuple[str, str], dict[str, list[Value]]]] = {}
        for cell in self.folder.factors:
            is_dose = cell.factor == "doses"
            part = cell.note if is_dose and len(cell.note.split()) == 1 else ""
            own = cell.unit_of_measure if is_dose and cell.unit_of_measure != "mg/L a week" else ""
            held = found.setdefault(cell.factor, {}).setdefault((part, own), {})
            held.setdefault(cell.unit, []).append(cell.value)
        return found

    def written(self, key: str) -> tuple[Told, ...]:
        """What factors.csv says of a factor; a row for all units gives way to one for a unit."""
        told = []
        for (part, unit_of_measure), held in self._written.get(key, {}).items():
            for unit in self.units:
                values = held.get(unit) or held.get("") or []
                if values:
                    told.append(Told(unit, _joined(values), FACTORS, WRITTEN, part, unit_of_measure=unit_of_measure))
        return tuple(told)

    @cached_property
    def _readings(self) -> dict[str, list[Reading]]:
        found: dict[str, list[Reading]] = defaultdict(list)
        keys: dict[str, str] = {}
        measured = {choice.key for choice in self.plan.measures}
        for reading in self.folder.readings:
            key = keys.setdefault(reading.quantity, quantity_factor(reading.quantity))
            if key and reading.quantity not in measured and self.has_day(reading.day):
                found[key].append(reading)
        return found

    def readings(self, key: str, unit: str) -> tuple[Told, ...]:
        """The mean of each unit's readings of a factor, in the factor's unit; what cannot be turned into it keeps its own, as a part."""
        values: dict[tuple[str, str], list[float]] = defaultdict(list)
        for reading in self._readings.get(key, ()):
            written = reading.unit_of_measure
            if key == "light_at_bed" and reading.quantity.casefold() == "lux" and not written:
                written = "lux"
            try:
                value, part = in_factor_unit(reading.value, written, key, unit), ""
            except InputError:
                value, part = reading.value, written
            values[reading.unit, part].append(value)
        return tuple(Told(name, sum(own) / len(own), READINGS, MEASURED, part, True, part) for (name, part), own in values.items())

    # what was planned ------------------------------------------------------------------------------------------------

    def of_units(self, find: Callable[[Unit], Value | None], where: str = PLAN) -> tuple[Told, ...]:
        """A fact of each unit of the plan; nothing for units of which it is None or empty."""
        return tuple(Told(unit.key, value, where, PLANNED) for unit in self.plan.units
                     if (value := find(unit)) is not None and value != "")

    def of_sheet(self, find: Callable[[UnitFacts], Value | None]) -> tuple[Told, ...]:
        """A fact of each unit that the build sheet works out."""
        if self.sheet is None:
            return ()
        return tuple(Told(facts.unit, value, SHEET, PLANNED) for facts in self.sheet.units if (value := find(facts)) is not None)

    def of_setup(self, find: Callable[[Setup, str], Value | None]) -> tuple[Told, ...]:
        """A fact of each unit that setup.toml says."""
        setup = self.setup
        if setup is None:
            return ()
        return tuple(Told(unit, value, SETUP, PLANNED) for unit in setup.units
                     if (value := find(setup, unit)) is not None and value != "")

    @cached_property
    def _build(self) -> dict[str, dict[str, list[BuildLine]]]:
        """Part of a tank -> unit -> its rows of build.csv."""
        found: dict[str, dict[str, list[BuildLine]]] = defaultdict(lambda: defaultdict(list))
        for line in self.folder.build:
            found[build_kind(line.kind, line.material)][line.unit].append(line)
        return found

    def build_lines(self, part: str) -> Mapping[str, list[BuildLine]]:
        """Unit -> its rows of build.csv that belong to a part of the tank."""
        return self._build.get(part, {})

    def of_build(self, part: str, find: Callable[[list[BuildLine]], Value | None], rank: int = MEASURED) -> tuple[Told, ...]:
        """A fact of each unit from its rows of build.csv."""
        return tuple(Told(unit, value, BUILD, rank) for unit, lines in self.build_lines(part).items()
                     if (value := find(lines)) is not None and value != "")

    # what was done ---------------------------------------------------------------------------------------------------

    @cached_property
    def care(self) -> tuple[Care, ...]:
        """Every chore done and every event, one entry for each unit, in order of their days."""
        found = [care for done in self.folder.chores_done if self.has_day(done.day) for care in (_of_chore(done),)]
        # Of a kind that chores.csv holds, the events are the same things told again.
        doubled = {care.kind for care in found}
        for event in self.folder.events:
            kind = kind_of(event.kind) or ("" if event.kind else kind_of(event.note))
            if kind not in doubled and self.has_day(event.day_from):
                found += [_of_event(event, unit, kind) for unit in event.units or self.units]
        return tuple(sorted(found, key=lambda care: care.day))

    def care_of(self, *kinds: str) -> tuple[Care, ...]:
        """What was done of these kinds."""
        return tuple(care for care in self.care if care.kind in kinds)

    def first_days(self, *kinds: str) -> tuple[Told, ...]:
        """The first day of each unit on which something of these kinds was done."""
        days: dict[str, Care] = {}
        for care in self.care_of(*kinds):
            days.setdefault(care.unit, care)
        return tuple(Told(unit, float(care.day), care.where, MEASURED, dated=True) for unit, care in days.items())

    @cached_property
    def weeks(self) -> float:
        """How long the records run, at least a week."""
        if self.window is not None:
            first, last = self.window
        else:
            first, last = 0, self.plan.days
        days = (*(care.day for care in self.care), *(photo.day for photo in self.folder.photos),
                *(reading.day for reading in self.folder.readings))
        last = min(last, max((day for day in days if self.has_day(day)), default=last))
        return max(last - first + 1, 7) / 7

    def each_unit(self, values: Mapping[str, float], where: str, part: str = "", unit_of_measure: str = "") -> tuple[Told, ...]:
        """A sum of what was done in each unit; a unit without any has 0, since others have some."""
        if not values:
            return ()
        return tuple(Told(unit, values.get(unit, 0.0), where, MEASURED, part, True, unit_of_measure) for unit in self.units)

    def net_l(self, unit: str) -> float | None:
        """Water of a unit [L]: net where the build sheet knows it, else what trial.toml says."""
        if self.sheet is not None:
            return self.sheet.facts_of(unit).net_l
        return self.plan.tank_litres


def shares_told(known: Known, entries: Iterable[tuple[str, str]], where: str) -> tuple[Told, ...]:
    """The share [%] of each person in each unit, from (unit, person) pairs; persons are parts."""
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for unit, person in entries:
        if person:
            counts[unit][" ".join(person.split())] += 1
    people = sorted({person for own in counts.values() for person in own})
    return tuple(Told(unit, 100 * own[person] / sum(own.values()), where, MEASURED, person, True, "%")
                 for person in people for unit, own in counts.items() if unit in known.units)


def _joined(values: list[Value]) -> Value:
    """One value of several rows: words in a row, the last of several numbers."""
    if len(values) == 1 or not all(isinstance(value, str) for value in values):
        return values[-1]
    return "; ".join(sorted(str(value) for value in values))


def _of_chore(done: ChoreDone) -> Care:
    kind = done.kind if done.kind not in ("other", "") else kind_of(f"{done.quantity} {done.chore} {done.note}")
    return Care(done.unit, kind, done.day, done.done_at.hour + done.done_at.minute / 60, CHORES, done.quantity, done.amount,
                done.unit_of_measure, done.minutes, done.by, done.note)


def _of_event(event: Event, unit: str, kind: str) -> Care:
    led = led_by_number(event.note)
    amount, unit_of_measure = (led[0], _first_unit(led[1])) if led else (None, "")
    return Care(unit, kind, event.day_from, event.at.hour + event.at.minute / 60, EVENTS, "", amount, unit_of_measure, None, "", event.note)


def _first_unit(text: str) -> str:
    """The word right behind a number, where it is a unit."""
    word = (text.split() or [""])[0].rstrip(",.;")
    return word if spaced(word) in ("l", "ml", "mg", "g", "litres", "liters", "litre") or word == "%" else ""
