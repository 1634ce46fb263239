"""Factors of the glass box and of where it stands."""

import re

from fairtank.build import Setup
from fairtank.planning.evenness.known import PLAN, SETUP, Known
from fairtank.planning.evenness.told import PLANNED, Told
from fairtank.planning.evenness.wording import spaced
from fairtank.registry import Tolerance, factor
from fairtank.trial import BuildLine, Unit
from fairtank.units import convert, unit_from_text

_SHELF = re.compile(r"\b(?:shelf|shelves|rack|stand|tier|row|board|level|storey|cabinet|bench|table)\s*(\w+)?")
_PLACE = re.compile(r"\b(?:place|position|pos|spot|slot|seat)\s*(\w+)")
_UP_AND_DOWN = ("top", "bottom", "upper", "lower", "ground")


@factor(key="tank_length", title="Length of the glass", unit="cm", tolerance=Tolerance(0.5), sources=("common_practice",),
        algae=1, plants=1,
        moves="A longer tank has more glass for algae and more water and floor for each dose and each plant.",
        remedy="use boxes of one make and size, or compare within pairs of equal boxes")
def tank_length(known: Known) -> tuple[Told, ...]:
    """Outer length of the glass box."""
    return (*known.of_setup(lambda setup, unit: setup.tank_of(unit).length_mm / 10), *known.written("tank_length"))


@factor(key="tank_width", title="Width of the glass", unit="cm", tolerance=Tolerance(0.5), sources=("common_practice",), algae=1, plants=1,
        moves="A deeper box from front to back has more water and floor behind each cm² of front glass.",
        remedy="use boxes of one make and size, or compare within pairs of equal boxes")
def tank_width(known: Known) -> tuple[Told, ...]:
    """Outer width of the glass box, from front to back."""
    return (*known.of_setup(lambda setup, unit: setup.tank_of(unit).width_mm / 10), *known.written("tank_width"))


@factor(key="water_level", title="Water level", unit="cm", tolerance=Tolerance(0.5), sources=("common_practice",), algae=1, plants=1,
        moves="Under more water less light reaches the bed, and each dose is thinner.",
        remedy="mark one water line on all tanks and top up to it")
def water_level(known: Known) -> tuple[Told, ...]:
    """Water line above the bottom."""
    return (*known.readings("water_level", "cm"), *known.of_setup(lambda setup, unit: setup.tank_of(unit).water_mm / 10),
            *known.written("water_level"))


@factor(key="water_volume", title="Net water", unit="L", tolerance=Tolerance(0.2, 0.04), sources=("common_practice",), algae=2, plants=2,
        moves="In less water the same doses, leaves and dirt make a stronger solution, which feeds algae and plants alike.",
        remedy="fill to the same litres, with a blank of the same volume where something takes up room")
def water_volume(known: Known) -> tuple[Told, ...]:
    """Water in the unit, less what stands in it."""
    return (*known.readings("water_volume", "L"), *known.of_build("water", _litres), *known.of_sheet(lambda facts: facts.net_l),
            *known.written("water_volume"))


def _litres(lines: list[BuildLine]) -> float | None:
    """Water that was poured in, where all of it is told in a unit of volume."""
    total = 0.0
    for line in lines:
        amount = line.weighed if line.weighed is not None else line.planned
        unit = line.unit_of_measure.casefold()
        if amount is None or unit not in ("l", "ml", "litres", "liters", "litre", "kg"):
            return None
        total += amount if unit == "kg" else convert(amount, unit_from_text(unit), "L")
    return total or None


@factor(key="glass_kind", title="Make and kind of glass box", unit="word", sources=("common_practice",), algae=1, plants=1,
        moves="Clearer or older, scratched glass lets through more or less light and gives algae more or less hold.",
        remedy="use boxes of one make and age, or deal the makes out evenly to the arms")
def glass_kind(known: Known) -> tuple[Told, ...]:
    """Make and kind of the box."""
    return known.written("glass_kind")


@factor(key="shelf", title="Shelf", unit="word", sources=("common_practice",), algae=2, plants=2,
        moves="A higher shelf is warmer and often brighter; both speed up algae and plants.",
        remedy="give every shelf the same number of tanks of each arm, by a draw in blocks, or let the arms change places")
def shelf(known: Known) -> tuple[Told, ...]:
    """Which shelf or stand the tank is on."""
    return (*known.of_units(_shelf), *known.written("shelf"))


def _shelf(unit: Unit) -> str:
    for text in (unit.position, unit.block):
        words = spaced(text)
        found = _SHELF.search(words)
        if found:
            before = words[: found.start()].split()
            return f"shelf {found[1]}" if found[1] else " ".join((*before[-1:], "shelf"))
        high = next((word for word in words.split() if word in _UP_AND_DOWN), "")
        if high:
            return high
    return unit.block


@factor(key="place", title="Place on the shelf", unit="word", tolerance=Tolerance(1.0), sources=("common_practice",), algae=2, plants=2,
        moves="One end of a shelf is nearer to the window, a door or a heater: lighter, warmer or cooler than the other.",
        remedy="draw the arms in blocks of neighbours, or let the tanks change places half-way")
def place(known: Known) -> tuple[Told, ...]:
    """Place on the shelf, counted or in words."""
    return (*known.of_units(_place), *known.written("place"))


def _place(unit: Unit) -> str:
    words = spaced(unit.position)
    found = _PLACE.search(words)
    if found:
        return found[1]
    return " ".join(word for word in _SHELF.sub("", words).split() if word not in _UP_AND_DOWN)


@factor(key="window_side", title="Side to the window", unit="word", tolerance=Tolerance(0.0, 0.2), sources=("common_practice",),
        algae=3, plants=2,
        moves="Daylight from a window adds to the lamps for hours; it is the usual cause of green water and algae on one side.",
        remedy="shade the window, turn all tanks alike to it, or deal both sides out evenly to the arms")
def window_side(known: Known) -> tuple[Told, ...]:
    """Towards or away from the window, or how far from it."""
    return known.written("window_side")


@factor(key="cover", title="Cover", unit="word", sources=("common_practice",), algae=1, plants=2,
        moves="A lid or cover glass takes light, keeps water warmer and slows the exchange of gases.",
        remedy="cover all tanks alike, or none")
def cover(known: Known) -> tuple[Told, ...]:
    """Lid or cover glass."""
    return (*known.of_setup(_cover), *known.written("cover"))


def _cover(setup: Setup, unit: str) -> str | None:
    """The covers of a unit; `none` only where setup.toml lists devices at all."""
    if not setup.devices:
        return None
    return " and ".join(device.label for device in setup.devices if device.kind == "cover" and setup.holds(device.scope, unit)) or "none"


@factor(key="shared_water", title="Shared water or filter", unit="word", sources=("common_practice",), algae=3, plants=2,
        moves="What is dosed, eaten or grown in one part reaches the others through the water: such tanks are not apart.",
        remedy="give every tank its own water and filter, or count those that share as one tank")
def shared_water(known: Known) -> tuple[Told, ...]:
    """Whether units share one body of water or one filter."""
    told = []
    for unit in known.plan.units:
        tank = unit.tank or unit.key
        mates = [other.key for other in known.plan.units if (other.tank or other.key) == tank and other.round == unit.round]
        if known.plan.shared_water and len(mates) > 1:
            told.append(Told(unit.key, f"with {len(mates) - 1} in its tank", PLAN, PLANNED))
        elif known.setup is not None or known.plan.shared_water or len(mates) > 1:
            told.append(Told(unit.key, _shared_filter(known.setup, unit.key), SETUP if known.setup else PLAN, PLANNED))
    return (*told, *known.written("shared_water"))


def _shared_filter(setup: Setup | None, unit: str) -> str:
    devices = setup.devices if setup is not None else ()
    shared = [device for device in devices if device.kind in ("filter", "pump") and device.shared_by > 1
              and setup is not None and setup.holds(device.scope, unit)]
    return f"{shared[0].label} for {shared[0].shared_by}" if shared else "own"
