"""Factors of plants, animals and what lives in the filter, and of the days on which they came."""

from fairtank.build import Planting, Setup
from fairtank.errors import InputError
from fairtank.planning.evenness.conversion import DAY_UNIT
from fairtank.planning.evenness.factors.bed import batches
from fairtank.planning.evenness.known import Care, Known
from fairtank.planning.evenness.told import MEASURED, PLANNED, Told
from fairtank.registry import Tolerance, factor
from fairtank.trial import BuildLine
from fairtank.units import convert, unit_from_text

_STOCK_WORDS = {"in_vitro": "in vitro", "potted": "potted", "bunched": "bunched", "own": "own"}


def _plantings(setup: Setup, unit: str) -> list[Planting]:
    return [planting for planting in setup.plantings if setup.holds(planting.scope, unit)]


@factor(key="plant_kinds", title="Kinds of plants", unit="word", sources=("common_practice",), algae=2, plants=3,
        moves="Fast plants take more food from the water than slow ones, and cover more glass.",
        remedy="plant the same kinds in all tanks")
def plant_kinds(known: Known) -> tuple[Told, ...]:
    """Which plants the unit has."""
    return (*known.of_build("plant", lambda lines: ", ".join(sorted({line.material for line in lines})), PLANNED),
            *known.of_setup(lambda setup, unit: ", ".join(sorted({setup.material(one.material).label for one in _plantings(setup, unit)}))),
            *known.written("plant_kinds"))


@factor(key="plant_stock", title="Stock of the plants", unit="word", sources=("common_practice",), algae=2, plants=3,
        moves="Plants that grew out of water lose leaves first, which feeds algae; another batch may carry algae or be weaker.",
        remedy="buy one lot, mix it, and deal the portions out by lot")
def plant_stock(known: Known) -> tuple[Told, ...]:
    """Where the plants are from, how they were grown, which batch."""
    return (*known.of_build("plant", batches), *known.of_setup(_stocks), *known.written("plant_stock"))


def _stocks(setup: Setup, unit: str) -> str:
    words = {f"{_STOCK_WORDS.get(one.stock, one.stock)} {setup.material(one.material).batch}".strip() for one in _plantings(setup, unit)}
    return " and ".join(sorted(words))


@factor(key="plant_portions", title="Portions of plants", unit="pieces", tolerance=Tolerance(0.5, 0.05), sources=("common_practice",),
        algae=2, plants=3,
        moves="More plugs at the start close the carpet earlier and leave less to algae.",
        remedy="count out equal portions, and deal them out by lot")
def plant_portions(known: Known) -> tuple[Told, ...]:
    """Plugs, stems and pots at planting."""
    return (*known.of_build("plant", _pieces), *known.of_setup(_counts), *known.written("plant_portions"))


def _amounts(lines: list[BuildLine]) -> list[tuple[float, str]]:
    return [(line.weighed if line.weighed is not None else line.planned or 0.0, line.unit_of_measure.casefold().strip()) for line in lines]


def _is_mass(unit: str) -> bool:
    return unit in ("g", "kg", "mg", "oz", "lb")


def _pieces(lines: list[BuildLine]) -> float | None:
    counted = [amount for amount, unit in _amounts(lines) if not _is_mass(unit)]
    return sum(counted) if counted else None


def _counts(setup: Setup, unit: str) -> float | None:
    counted = [one.count for one in _plantings(setup, unit)]
    return float(sum(count for count in counted if count is not None)) if counted and None not in counted else None


@factor(key="plant_mass", title="Fresh mass of the plants", unit="g", tolerance=Tolerance(0.5, 0.1), sources=("common_practice",),
        algae=2, plants=3,
        moves="Plants grow from what is there: a tenth more mass at the start is about a tenth more for weeks.",
        remedy="weigh the portions, drained alike, and even them out before planting")
def plant_mass(known: Known) -> tuple[Told, ...]:
    """Fresh mass at planting."""
    return (*known.readings("plant_mass", "g"), *known.of_build("plant", _grams), *known.written("plant_mass"))


def _grams(lines: list[BuildLine]) -> float | None:
    try:
        grams = [convert(amount, unit_from_text(unit), "g") for amount, unit in _amounts(lines) if _is_mass(unit)]
    except InputError:
        return None
    return sum(grams) if grams else None


@factor(key="planted_on", title="Day of planting", unit=DAY_UNIT, tolerance=Tolerance(1.0), sources=("common_practice",), algae=2, plants=3,
        moves="A tank planted a week later is a week behind on every photo.",
        remedy="plant all tanks within one day, in an order drawn by lot; else compare by days since planting")
def planted_on(known: Known) -> tuple[Told, ...]:
    """Day of the trial on which the unit was planted."""
    return (*known.first_days("planting"), *known.written("planted_on"))


@factor(key="fauna", title="Animals", unit="word", sources=("common_practice",), algae=3, plants=1,
        moves="Snails, shrimps and fish eat algae, and feed them with what they leave behind.",
        remedy="put the same kinds and numbers into all tanks on one day, or none")
def fauna(known: Known) -> tuple[Told, ...]:
    """Animals, by kind and number."""
    return (*_noted(known, "fauna"), *known.written("fauna"))


@factor(key="inoculum", title="Living start", unit="word", sources=("common_practice",), algae=3, plants=1,
        moves="Mud from an old filter brings the bacteria that take up ammonia, and with them spores of algae.",
        remedy="stir one lot and give every tank the same cup of it")
def inoculum(known: Known) -> tuple[Told, ...]:
    """What living start the unit was given."""
    return (*_noted(known, "inoculum"), *known.written("inoculum"))


def _noted(known: Known, kind: str) -> tuple[Told, ...]:
    """What the events of a kind say of each unit; `none` for units without any, where others have one."""
    found: dict[str, list[Care]] = {}
    for care in known.care_of(kind):
        found.setdefault(care.unit, []).append(care)
    if not found:
        return ()
    where = next(iter(found.values()))[0].where
    return tuple(Told(unit, "; ".join(_words(care, kind) for care in found[unit]) if unit in found else "none", where, MEASURED)
                 for unit in known.units)


def _words(care: Care, kind: str) -> str:
    """What was put in, and how much of it."""
    amount = "" if care.amount is None or care.note else f"{care.amount:g} {care.unit_of_measure}".strip()
    return " ".join((care.note or f"{amount} {care.quantity}".strip() or kind).split())


@factor(key="started_on", title="Day of filling", unit=DAY_UNIT, tolerance=Tolerance(1.0), sources=("common_practice",), algae=3, plants=2,
        moves="A tank's first weeks are its worst for algae: one filled a week later has them a week later.",
        remedy="fill all tanks on one day; else compare by days since filling")
def started_on(known: Known) -> tuple[Told, ...]:
    """Day of the trial on which the unit was filled."""
    return (*known.first_days("start"), *known.written("started_on"))
