"""What is known of a trial where readings are read: its units, its quantities with their units of measure, and what is there already."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from fairtank.chore import Chore
from fairtank.planning.drift.watched import BY_QUANTITY
from fairtank.planning.evenness.wording import flat, is_same_factor, quantity_factor
from fairtank.records.folder.checks_measures import own_measures
from fairtank.records.readings import unit_of
from fairtank.trial import Plan, Reading, TrialFolder


@dataclass(frozen=True)
class KnownQuantity:
    """A quantity that the trial reads: its key in readings, its words for readers, the unit in which it is told, why it is known."""

    key: str
    title: str
    unit_of_measure: str
    reason: str


@dataclass(frozen=True)
class TrialFacts:
    """A trial as the readers of readings see it: the plan, the readings that are there, the chores that ask for tests."""

    plan: Plan
    readings: Sequence[Reading] = ()
    chores: Sequence[Chore] = ()

    @cached_property
    def units(self) -> tuple[str, ...]:
        """Keys of the units."""
        return tuple(unit.key for unit in self.plan.units)

    @cached_property
    def quantities(self) -> tuple[KnownQuantity, ...]:
        """Quantities of the plan's measures, of the chores that ask for tests and of the readings, each once, in this order."""
        found: dict[str, KnownQuantity] = {}
        units = _units_there(self.readings)
        photo_measures = own_measures()
        for choice in self.plan.measures:
            if choice.key not in photo_measures:
                _add(found, choice.key, choice.title, unit_of(choice) or units.get(choice.key, ""), "the plan judges it")
        for chore in self.chores:
            names = [name.strip() for name in chore.quantity.split(",")] if chore.kind == "test" else []
            for name in names:
                asked = chore.unit_of_measure if len(names) == 1 else ""  # of several quantities it would be said of none
                _add(found, name, "", units.get(name, asked or usual_unit(name)), "the schedule asks for it")
        for name, unit in units.items():
            _add(found, name, "", unit, "there are readings of it")
        return tuple(found.values())

    @cached_property
    def there(self) -> dict[tuple[str, object, str], list[tuple[float, bool, str]]]:
        """Readings that are there, by unit, time and quantity: value, whether it is a limit, unit of measure."""
        found: dict[tuple[str, object, str], list[tuple[float, bool, str]]] = {}
        for reading in self.readings:
            key = reading.unit, reading.taken_at, reading.quantity
            found.setdefault(key, []).append((reading.value, reading.below_detection, reading.unit_of_measure))
        return found

    def quantity(self, key: str) -> KnownQuantity | None:
        """The known quantity of that key."""
        return next((known for known in self.quantities if known.key == key), None)

    def unit_named(self, written: str) -> tuple[str, str]:
        """The key of the unit that a name means, and why; two empty texts where it means none or several.

        A unit's own key counts first, then one in other capitals or marks, its tank, compartment or place, and a number that only one has.
        """
        if written in self.units:
            return written, "it is the unit's own name"
        word = flat(written)
        if not word:
            return "", ""
        for what, named in (("its name in other letters", "key"), ("its tank", "tank"), ("its compartment", "compartment"),
                            ("its place", "position")):
            own = [unit.key for unit in self.plan.units if flat(getattr(unit, named)) == word]
            if len(own) == 1:
                return own[0], f"it is {what}"
        number = _number_in(written)
        own = [key for key in self.units if number and _number_in(key) == number]
        return (own[0], f"only {own[0]} has the number {number}") if len(own) == 1 and _names_a_tank(word, number) else ("", "")

    def quantity_named(self, written: str) -> tuple[str, str]:
        """The key of the quantity that a name means, and why; empty where fairtank knows none such."""
        word, factor = flat(written), quantity_factor(written)
        for known in self.quantities:
            if written == known.key:
                return known.key, known.reason
        for known in self.quantities:
            if word and word in (flat(known.key), flat(known.title)):
                return known.key, known.reason
        for known in self.quantities:
            if factor and quantity_factor(known.key) == factor:
                return known.key, f"{written} is another word for {known.key}"
        return (factor, "a quantity that fairtank knows") if factor else ("", "")


def facts_of(folder: TrialFolder) -> TrialFacts:
    """What the readers of readings need to know of a trial folder."""
    return TrialFacts(folder.plan, folder.readings, folder.chores)


def usual_unit(quantity: str) -> str:
    """The unit in which a quantity is usually told; empty where that depends on what is counted, as with mg/L of a nutrient.

    >>> usual_unit("temperature"), usual_unit("nitrate")
    ('°C', '')
    """
    watched = BY_QUANTITY.get(quantity.casefold())
    return watched.unit if watched is not None and watched.unit != "mg/L" else ""


def _add(found: dict[str, KnownQuantity], key: str, title: str, unit: str, reason: str) -> None:
    if key and not any(flat(key) == flat(other) or is_same_factor(key, other) for other in found):
        found[key] = KnownQuantity(key, title or key, unit, reason)


def _units_there(readings: Sequence[Reading]) -> dict[str, str]:
    """The unit of measure most often written for each quantity."""
    counted: dict[str, Counter[str]] = {}
    for reading in readings:
        counted.setdefault(reading.quantity, Counter())[reading.unit_of_measure] += 1
    return {quantity: units.most_common(1)[0][0] for quantity, units in counted.items()}


def _number_in(text: str) -> str:
    """The only number in a name, without zeros in front."""
    numbers = "".join(mark if mark in "0123456789" else " " for mark in text).split()
    return numbers[0].lstrip("0") if len(numbers) == 1 else ""


# Words before a number that mean a tank. Common practice, no source.
_TANK_WORDS = ("", "tank", "unit", "aquarium", "box", "vessel", "bucket", "jar", "compartment", "becken")


def _names_a_tank(word: str, number: str) -> bool:
    return word.rstrip("0123456789") in _TANK_WORDS and word.endswith(number)
