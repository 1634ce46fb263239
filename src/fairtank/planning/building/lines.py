"""Lines of a sheet: made from an amount, put in the order of building, told apart by title, marked where units differ."""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import replace

from fairtank.planning.building.rounding import tolerance, weighable
from fairtank.planning.sheet import PARTS, SheetLine


def sheet_line(unit: str, part: str, material: str, title: str, amount: float, unit_of_measure: str, *, note: str = "",
               batch: str = "", times: int = 1, share: float | None = None) -> SheetLine:
    """A line with its amount rounded to what can be weighed; share is the tolerance as a share, where it is not that of the unit."""
    planned = weighable(amount, unit_of_measure)
    return SheetLine(unit, part, material, title, planned, unit_of_measure, tolerance(planned, unit_of_measure, share), note,
                     batch=batch, times=times)


def in_order(lines: Iterable[SheetLine]) -> list[SheetLine]:
    """The lines of one unit in the order of building, each with a title of its own: a second one of a name is numbered."""
    ordered = sorted(lines, key=lambda line: PARTS.index(line.part))
    seen: Counter[str] = Counter()
    named = []
    for line in ordered:
        seen[line.title] += 1
        named.append(line if seen[line.title] == 1 else replace(line, title=f"{line.title} ({seen[line.title]})"))
    return named


def marked(lines: Iterable[SheetLine], likeness: Mapping[str, Hashable]) -> tuple[SheetLine, ...]:
    """The lines, with those marked that are not the same in all units.

    likeness says of each unit what its size is; units of one size can be compared. A line differs if another unit does not have it, or
    if a unit of the same size has another amount of it. Lamps and devices do not follow the size, and are compared over all units.
    """
    lines = tuple(lines)
    holders: dict[tuple[str, str], set[str]] = defaultdict(set)
    amounts: dict[tuple[str, str, Hashable], set[tuple[float, str, int]]] = defaultdict(set)
    for line in lines:
        holders[line.part, line.title].add(line.unit)
        amounts[line.part, line.title, _group(line, likeness)].add((line.planned, line.unit_of_measure, line.times))
    return tuple(replace(line, differs=(line.part != "glass" and len(holders[line.part, line.title]) < len(likeness))
                         or len(amounts[line.part, line.title, _group(line, likeness)]) > 1) for line in lines)


def _group(line: SheetLine, likeness: Mapping[str, Hashable]) -> Hashable:
    return "all" if line.part in ("equipment", "light") else likeness[line.unit]
