"""Lines of a sheet: made from an amount, put in the order of building, told apart by title, marked where units differ."""

from collections import Counter, defaultdict
from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from fairtank.build import Device, Dose, Layer, Piece, Planting, Setup
from fairtank.planning.building.rounding import tolerance, weighable
from fairtank.planning.sheet import PARTS, SheetLine


@dataclass(frozen=True)
class Placed:
    """A line of a sheet and its place among the setup's lines of its part; where it comes from none, among the unit's of its title."""

    line: SheetLine
    place: int


def sheet_line(unit: str, part: str, material: str, title: str, amount: float, unit_of_measure: str, *, note: str = "",
               batch: str = "", times: int = 1, share: float | None = None) -> SheetLine:
    """A line with its amount rounded to what can be weighed; share is the tolerance as a share, where it is not that of the unit."""
    planned = weighable(amount, unit_of_measure)
    return SheetLine(unit, part, material, title, planned, unit_of_measure, tolerance(planned, unit_of_measure, share), note,
                     batch=batch, times=times)


def in_order(lines: Iterable[SheetLine]) -> tuple[SheetLine, ...]:
    """The lines of one unit in the order of building."""
    return tuple(sorted(lines, key=lambda line: PARTS.index(line.part)))


def told_apart(setup: Setup, lines: Mapping[str, Sequence[SheetLine]]) -> list[Placed]:
    """The lines of all units, each with a title that no other line of its unit has: a second one of a name is numbered.

    The number belongs to the line of the setup and not to the unit, so that what all units receive has one title in all of them. Lines
    of the setup of which no unit has both (more of a material in one arm than in the other) keep one title: their amounts compare.
    """
    placed = [one for unit, own in lines.items() for one in _placed(setup, unit, own)]
    holders: dict[tuple[int, int, str], set[str]] = defaultdict(set)
    for one in placed:
        holders[_origin(one)].add(one.line.unit)
    taken: dict[str, set[str]] = defaultdict(set)
    titles = {}
    for origin in sorted(holders):
        units, title = holders[origin], origin[-1]
        titles[origin] = next(name for name in (_numbered(title, number) for number in count(1)) if not taken[name] & units)
        taken[titles[origin]] |= units
    return [replace(one, line=replace(one.line, title=titles[_origin(one)])) for one in placed]


def _placed(setup: Setup, unit: str, lines: Sequence[SheetLine]) -> Iterable[Placed]:
    """The lines of one unit with their places; each line of the setup that a unit has makes one line of its sheet, in the same order."""
    sources: dict[str, tuple[Layer | Piece | Device | Planting | Dose, ...]] = {
        "bed": setup.layers, "hardscape": (*setup.rocks, *setup.woods), "equipment": setup.devices, "plants": setup.plantings,
        "doses": setup.doses,
    }
    for part in PARTS:
        own = [line for line in lines if line.part == part]
        if part in sources:
            places = [place for place, source in enumerate(sources[part]) if setup.holds(source.scope, unit)]
            yield from (Placed(line, place) for line, place in zip(own, places, strict=True))
        else:
            seen: Counter[str] = Counter()
            for line in own:
                yield Placed(line, seen[line.title])
                seen[line.title] += 1


def _origin(one: Placed) -> tuple[int, int, str]:
    return PARTS.index(one.line.part), one.place, one.line.title


def _numbered(title: str, number: int) -> str:
    return title if number == 1 else f"{title} ({number})"


def marked(placed: Sequence[Placed], likeness: Mapping[str, Hashable], unlike_doses: Collection[int] = ()) -> tuple[SheetLine, ...]:
    """The lines, with those marked that are not the same in all units.

    likeness says of each unit what its size is; units of one size can be compared. A line differs if another unit does not have it, or
    if a unit of the same size has another amount of it. Lamps and devices do not follow the size, and are compared over all units. So are
    doses per litre: unlike_doses holds the places of those that come to unlike amounts for each litre.
    """
    lines = [one.line for one in placed]
    holders: dict[tuple[str, str], set[str]] = defaultdict(set)
    amounts: dict[tuple[str, str, Hashable], set[tuple[float, str, int]]] = defaultdict(set)
    for line in lines:
        holders[line.part, line.title].add(line.unit)
        amounts[line.part, line.title, _group(line, likeness)].add((line.planned, line.unit_of_measure, line.times))
    return tuple(replace(line, differs=(line.part != "glass" and len(holders[line.part, line.title]) < len(likeness))
                         or len(amounts[line.part, line.title, _group(line, likeness)]) > 1
                         or (line.part == "doses" and one.place in unlike_doses)) for one, line in zip(placed, lines, strict=True))


def _group(line: SheetLine, likeness: Mapping[str, Hashable]) -> Hashable:
    return "all" if line.part in ("equipment", "light") else likeness[line.unit]
