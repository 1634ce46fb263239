"""The whole draw: places, arms, the day of the start, and the orders of planting and scoring, from one seed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.errors import DesignError
from fairtank.lot import Draw, Pairs
from fairtank.planning.drawing.allocation import drawn_block, drawn_odd, odd_places, possible_count
from fairtank.planning.drawing.latin import drawn_square, square_count
from fairtank.planning.drawing.numbers import Lot

PROCEDURE = "fairtank lot 1"


@dataclass(frozen=True)
class LotInputs:
    """What a draw is made from, besides the seed; everything stands in the order of the plan.

    kind: of the trial. units, arms: their keys. blocks: unit and block, empty where there are none. tanks: in rounds, unit and tank.
    rows, columns: unit and row, unit and column of a Latin square. window: first and last day for the start. places: unit and place,
    where the places are to be drawn; the blocks then belong to the places.
    """

    kind: str
    units: tuple[str, ...]
    arms: tuple[str, ...]
    blocks: Pairs = ()
    tanks: Pairs = ()
    rows: Pairs = ()
    columns: Pairs = ()
    window: tuple[int, int] | None = None
    places: Pairs = ()


@dataclass(frozen=True)
class Drawn:
    """What came out of a draw.

    arms: unit and arm. possible: how many different draws of the arms and the start there were. lots: every row of numbers that was used,
    in order. moved: unit and the unit whose place it took, where places were drawn. blocks: unit and block, after the places were drawn.
    tries: how often the odd places were drawn until the arms were as even as can be, 0 where the blocks left none.
    """

    arms: Pairs
    possible: int
    lots: tuple[Lot, ...]
    blocks: Pairs
    planting: tuple[str, ...]
    scoring: tuple[str, ...]
    drawn_day: int | None = None
    moved: Pairs = ()
    places: Pairs = ()
    tries: int = 0


def drawn_lots(seed: int, inputs: LotInputs) -> Drawn:
    """Everything that is drawn, from one seed: the same seed and the same plan give the same draw on every machine.

    Parameters
    ----------
    seed : int
        0 or more.
    inputs : LotInputs
        Units, arms and blocks in the order of the plan.

    Returns
    -------
    Drawn

    Raises
    ------
    DesignError
        If the units cannot be divided among the arms as the design asks.

    References
    ----------
    fisher1935, fisher1938, fips180 (keys from sources.py).

    Examples
    --------
    >>> drawn = drawn_lots(7, LotInputs("side_by_side", ("T1", "T2"), ("R", "C")))
    >>> drawn.arms, drawn.possible
    ((('T1', 'R'), ('T2', 'C')), 2)
    """
    if len(inputs.units) < len(inputs.arms):
        raise DesignError(f"There are {len(inputs.units)} units and {len(inputs.arms)} arms: every arm needs a unit of its own.")
    lots: list[Lot] = []
    moved = _moved(seed, inputs, lots)
    source = dict(moved) or {unit: unit for unit in inputs.units}
    blocks = tuple((unit, dict(inputs.blocks)[source[unit]]) for unit in inputs.units) if inputs.blocks else ()
    tries = 0
    if inputs.kind == "rounds":
        arms, possible = _to_and_fro(seed, inputs, lots)
    elif inputs.rows:
        arms, possible = _square(seed, inputs, lots)
    else:
        arms, possible, tries = _in_blocks(seed, inputs, blocks, lots)
    day = None
    if inputs.kind == "drawn_start" and inputs.window:
        first, last = inputs.window
        lots.append(Lot(seed, "start day"))
        day = first + lots[-1].one_of(last - first + 1)
        possible *= last - first + 1
    orders = [Lot(seed, "planting order"), Lot(seed, "scoring order")]
    planting, scoring = (lot.shuffled(inputs.units) for lot in orders)
    places = tuple((unit, dict(inputs.places)[source[unit]]) for unit in inputs.units) if inputs.places else ()
    return Drawn(arms, possible, (*lots, *orders), blocks, planting, scoring, day, moved, places, tries)


def inputs_of(draw: Draw) -> LotInputs:
    """What a recorded draw was made from, so that it can be drawn again.

    Parameters
    ----------
    draw : Draw

    Returns
    -------
    LotInputs

    References
    ----------
    arithmetic (keys from sources.py).
    """
    blocks = draw.blocks
    if draw.places:
        before = {place: unit for unit, place in draw.places_before}
        own = {before[place]: dict(draw.blocks)[unit] for unit, place in draw.places} if draw.blocks else {}
        blocks = tuple((unit, own[unit]) for unit, _ in draw.places_before) if own else ()
    units = tuple(unit for unit, _ in draw.arms)
    return LotInputs(draw.kind, units, draw.arm_keys, blocks, draw.tanks, draw.rows, draw.columns, draw.window, draw.places_before)


def _moved(seed: int, inputs: LotInputs, lots: list[Lot]) -> Pairs:
    """Which unit takes whose place; empty where places are not drawn."""
    if not inputs.places:
        return ()
    lots.append(Lot(seed, "places"))
    return tuple(zip(inputs.units, lots[-1].shuffled(inputs.units), strict=True))


def _in_blocks(seed: int, inputs: LotInputs, blocks: Pairs, lots: list[Lot]) -> tuple[Pairs, int, int]:
    """Arms in equal numbers inside every block, or as equal as can be."""
    held = units_by_block(inputs.units, blocks)
    sizes, count = [len(units) for units in held.values()], len(inputs.arms)
    if len(sizes) > 1 and max(sizes) == 1:
        raise DesignError("Each block has one unit only, so there is nothing to even out inside a block. Name blocks of two units and "
                          "more.")
    odd, spread = drawn_odd(odd_places(sizes, count), count, seed)
    lots += spread
    arms: dict[str, int] = {}
    for number, (units, extra) in enumerate(zip(held.values(), odd, strict=True), start=1):
        lots.append(Lot(seed, f"arms {number}"))
        arms.update(zip(units, drawn_block(len(units), count, extra, lots[-1]), strict=True))
    return tuple((unit, inputs.arms[arms[unit]]) for unit in inputs.units), possible_count(sizes, count), len(spread)


def units_by_block(units: Sequence[str], blocks: Pairs) -> dict[str, list[str]]:
    """The units of each block, in the order of the plan; without blocks all of them together.

    >>> units_by_block(("T1", "T2", "T3"), (("T1", "a"), ("T2", "b"), ("T3", "a")))
    {'a': ['T1', 'T3'], 'b': ['T2']}
    """
    own = dict(blocks)
    held: dict[str, list[str]] = {}
    for unit in units:
        held.setdefault(own.get(unit, ""), []).append(unit)
    return held


def _to_and_fro(seed: int, inputs: LotInputs, lots: list[Lot]) -> tuple[Pairs, int]:
    """Rounds: in each of them one of the same two tanks has the change, either tank in half of the rounds."""
    tank, held = dict(inputs.tanks), units_by_block(inputs.units, inputs.blocks)
    tanks = sorted(set(tank.values()), key=[tank[unit] for unit in inputs.units].index)
    if len(tanks) != 2 or len(inputs.arms) != 2 or any(sorted(tank[unit] for unit in units) != sorted(tanks) for units in held.values()):
        raise DesignError("Rounds are drawn for the same two tanks and two arms, one unit of each tank in every round. "
                          "Give every [[unit]] its tank and its round.")
    rounds = len(held)
    if rounds < 2:
        raise DesignError("With one round the change cannot go to and fro. Plan two rounds or more.")
    fewer, odd = divmod(rounds, 2)
    row = [0] * fewer + [1] * fewer
    if odd:
        lots.append(Lot(seed, "odd 1"))
        row.append(lots[-1].one_of(2))
    lots.append(Lot(seed, "arms 1"))
    arms = {}
    for units, first in zip(held.values(), lots[-1].shuffled(row), strict=True):
        for unit in units:
            arms[unit] = inputs.arms[first if tank[unit] == tanks[0] else 1 - first]
    return tuple((unit, arms[unit]) for unit in inputs.units), math.comb(rounds, fewer) * (2 if odd else 1)


def _square(seed: int, inputs: LotInputs, lots: list[Lot]) -> tuple[Pairs, int]:
    """Each arm once in every row and once in every column."""
    row, column = dict(inputs.rows), dict(inputs.columns)
    rows, columns = list(dict.fromkeys(row.values())), list(dict.fromkeys(column.values()))
    size, cells = len(inputs.arms), {(row[unit], column[unit]) for unit in inputs.units}
    if len(rows) != size or len(columns) != size or len(cells) != size * size or len(inputs.units) != size * size:
        raise DesignError(f"A Latin square of {size} arms needs {size} rows and {size} columns with one unit at each crossing; this plan "
                          f"has "
                          f"{len(rows)} rows, {len(columns)} columns and {len(inputs.units)} units. Name one of them as blocks instead.")
    own = Lot(seed, "square"), Lot(seed, "columns"), Lot(seed, "rows")
    square = drawn_square(size, own)
    lots += own
    arms = tuple((unit, inputs.arms[square[rows.index(row[unit])][columns.index(column[unit])]]) for unit in inputs.units)
    return arms, square_count(size)
