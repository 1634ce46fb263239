"""build.csv brought up to the plan: planned amounts come from the build sheet, what a keeper wrote stays.

A row belongs to a line of the sheet if unit and material are the same words. Its weighed amount, batch, note, kind and further cells are
never touched; rows that are no longer planned are kept and told of.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from fairtank.errors import FolderError, InputError, Problem
from fairtank.records.folder.cells import number_text
from fairtank.records.folder.problems import MOST_PER_FILE, shown
from fairtank.records.folder.setup_toml_parts import PIECE_WORDS
from fairtank.records.folder.tables import BUILD
from fairtank.trial import BuildLine
from fairtank.units import convert, unit_from_text

Cells = Mapping[str, str]


@dataclass(frozen=True)
class BuildRows:
    """The rows of build.csv after the plan was laid over them.

    cells: further cells, one mapping for each row. added, changed: how many rows are new, or say something else than before: another
    planned amount, or what a keeper had left empty.
    unplanned: unit and material of the rows that no line of the sheet asks for.
    """

    lines: tuple[BuildLine, ...]
    cells: tuple[Cells, ...]
    added: int
    changed: int
    unplanned: tuple[tuple[str, str], ...]


def rows_with_plan(planned: Sequence[BuildLine], there: Sequence[BuildLine], cells: Sequence[Cells] = ()) -> BuildRows:
    """The rows that are there with the planned amounts of today, and a row for each line that has none.

    Rows keep their order; a new row stands after the last one of its unit.

    Raises
    ------
    FolderError
        If two rows answer to the same line, or something was weighed in a unit that cannot be told in the planned one; it names all.
    """
    kept: list[Cells] = [*cells] or [{} for _ in there]
    lines, problems = list(there), list[Problem]()
    new: list[BuildLine] = []
    met: set[int] = set()
    for line, own in zip(planned, _own_rows(planned, there), strict=True):
        met.update(own)
        if len(own) > 1:
            problems.append(_problem("material", f"{len(own)} rows of {shown(line.unit)} say {shown(line.material)}",
                                     "one row for each material of a unit: weigh amounts together, or give one of them another name"))
        elif own:
            lines[own[0]] = _joined(line, there[own[0]], problems)
        else:
            new.append(line)
    if problems:
        raise FolderError(tuple(problems[:MOST_PER_FILE]))
    changed = sum(after != before for before, after in zip(there, lines, strict=True))
    unplanned = tuple((row.unit, row.material) for place, row in enumerate(there) if place not in met)
    for line in new:
        after = max((place for place, row in enumerate(lines) if row.unit == line.unit), default=len(lines) - 1) + 1
        lines.insert(after, line)
        kept.insert(after, {})
    return BuildRows(tuple(lines), tuple(kept) if any(kept) else (), len(new), changed, unplanned)


def _own_rows(planned: Sequence[BuildLine], there: Sequence[BuildLine]) -> list[list[int]]:
    """For each line the rows that answer to it: those of exactly its words, else those that differ in capitals and blanks only."""
    exact: dict[tuple[str, str], list[int]] = defaultdict(list)
    alike: dict[tuple[str, str], list[int]] = defaultdict(list)
    names = {(line.unit, line.material) for line in planned}
    for place, row in enumerate(there):
        exact[row.unit, row.material].append(place)
        if (row.unit, row.material) not in names:
            alike[_folded(row)].append(place)
    taken: set[tuple[str, str]] = set()
    found = []
    for line in planned:
        own = exact.get((line.unit, line.material), [])
        if not own and _folded(line) not in taken:
            own = alike.get(_folded(line), [])
            taken.add(_folded(line))
        found.append(own)
    return found


def _folded(row: BuildLine) -> tuple[str, str]:
    """Unit and material without capitals and double blanks."""
    return row.unit, " ".join(row.material.casefold().split())


def _joined(line: BuildLine, row: BuildLine, problems: list[Problem]) -> BuildLine:
    """The keeper's row with the planned amount of the line, told in the row's own unit."""
    if row.unit_of_measure == line.unit_of_measure:
        planned, unit = line.planned, row.unit_of_measure
    else:
        told = _told_in(line, row.unit_of_measure)
        if told is None and row.weighed is not None:
            weighed = f"{number_text(row.weighed)} {shown(row.unit_of_measure) if row.unit_of_measure else 'without a unit'}"
            problems.append(_problem("unit_of_measure", f"{shown(row.material)} of {shown(line.unit)} was weighed as {weighed}, and it is "
                                     f"planned in {line.unit_of_measure}",
                                     f"the weighed amount and its unit in {line.unit_of_measure}"))
        planned, unit = (line.planned, line.unit_of_measure) if told is None else (told, row.unit_of_measure)
    return replace(row, planned=planned, unit_of_measure=unit, kind=row.kind or line.kind, batch=row.batch or line.batch,
                   note=row.note or line.note)


def _told_in(line: BuildLine, unit: str) -> float | None:
    """A planned amount in another unit; pots, stems and pieces are all counts. None where it cannot be told."""
    if line.planned is None:
        return None
    if line.unit_of_measure == "piece":
        return line.planned if unit.casefold() in PIECE_WORDS else None
    try:
        return round(convert(line.planned, line.unit_of_measure, unit_from_text(unit)), 9)
    except InputError:
        return None


def _problem(column: str, read: str, accepted: str) -> Problem:
    return Problem(BUILD.file, None, column, read, accepted)
