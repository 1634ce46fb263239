"""Blocks from what is known of the units: what the plan says, the shelf or neighbours by their places, or any factor of factors.csv."""

import re
from collections.abc import Sequence

from fairtank.errors import DesignError, InputError
from fairtank.factor import FactorValue
from fairtank.lot import Pairs
from fairtank.trial import Plan, Unit

FIELDS = ("block", "pair", "round", "tank", "compartment", "position")
NEIGHBOURS, SHELF, PLACE, NONE = "neighbours", "shelf", "place", "none"
OF_PLACES = ("block", "pair", "position", NEIGHBOURS, SHELF, PLACE)
_SIDES = {"left": 0, "middle": 1, "centre": 1, "center": 1, "right": 2}


def shelf_and_place(position: str) -> tuple[str, str]:
    """The words before the first comma, and those behind it: `shelf 2, place 1`. Without a comma there is only the place.

    >>> shelf_and_place("shelf 2, place 1"), shelf_and_place("left")
    (('shelf 2', 'place 1'), ('', 'left'))
    """
    shelf, comma, place = position.partition(",")
    return (shelf.strip(), place.strip()) if comma else ("", position.strip())


def place_order(position: str) -> tuple[tuple[int, str], ...]:
    """What sorts places from the first shelf on, left to right: numbers as numbers, left before middle before right.

    >>> sorted(["place 10", "place 2"], key=place_order), sorted(["right", "left"], key=place_order)
    (['place 2', 'place 10'], ['left', 'right'])
    """
    words = re.findall(r"\d+|[^\W\d]+", position.casefold())
    return tuple((int(word), "") if word.isdecimal() else (_SIDES.get(word, 0), "" if word in _SIDES else word) for word in words)


def usual_columns(plan: Plan) -> tuple[str, ...]:
    """What a plan is blocked by when nobody names anything: its pairs or rounds, else its blocks where every unit has one."""
    if plan.kind in ("pairs", "rounds"):
        return ("pair" if plan.kind == "pairs" else "round",)
    return ("block",) if all(unit.block for unit in plan.units) else ()


def blocks_by(plan: Plan, columns: Sequence[str], factors: Sequence[FactorValue] = (), *, together: int = 0) -> Pairs:
    """Unit and block, the block being what the unit has in all of the named columns.

    Parameters
    ----------
    plan : Plan
        Its units with what is known of their places.
    columns : sequence of str
        `block`, `pair`, `round`, `tank`, `compartment`, `position`, `shelf`, `place`, `neighbours`, or a factor of factors.csv.
    factors : sequence of FactorValue
        Cells of factors.csv.
    together : int
        How many neighbours make a block; 0: as many as there are arms.

    Returns
    -------
    tuple of pairs
        Empty where no column is named.

    Raises
    ------
    InputError
        If a column is not known here.
    DesignError
        If a unit has nothing in a column.

    References
    ----------
    fisher1935 (keys from sources.py).
    """
    if not columns:
        return ()
    cells = [values_of(plan, column, factors, together=together) for column in columns]
    return tuple((unit.key, ", ".join(own[unit.key] for own in cells)) for unit in plan.units)


def values_of(plan: Plan, column: str, factors: Sequence[FactorValue] = (), *, together: int = 0) -> dict[str, str]:
    """What each unit has in one column; see `blocks_by`.

    Parameters
    ----------
    plan : Plan
    column : str
    factors : sequence of FactorValue
    together : int
        How many neighbours make a block; 0: as many as there are arms.

    Returns
    -------
    dict from unit to str

    Raises
    ------
    InputError
        If the column is not known here.
    DesignError
        If a unit has nothing in it.

    References
    ----------
    fisher1935 (keys from sources.py).
    """
    told = {one.unit: str(one.value) for one in factors if one.factor == column}
    if column == NEIGHBOURS:
        found = _neighbours(plan.units, together or len(plan.arms))
    elif column in FIELDS:
        found = {unit.key: getattr(unit, column) for unit in plan.units}
    elif column in (SHELF, PLACE):
        found = {unit.key: shelf_and_place(unit.position)[column == PLACE] or told.get(unit.key, "") for unit in plan.units}
    elif told:
        found = {unit.key: told.get(unit.key, told.get("", "")) for unit in plan.units}
    else:
        known = ", ".join((*FIELDS, SHELF, PLACE, NEIGHBOURS, *sorted({one.factor for one in factors})))
        raise InputError("a column to block by", column, known, "Factors such as hands or lamp_age are taken from factors.csv.")
    empty = [key for key, value in found.items() if not value]
    if empty:
        where = "position in trial.toml, such as \"shelf 2, place 1\"," if column in (SHELF, PLACE, NEIGHBOURS, "position") else \
            f"{column} in trial.toml" if column in FIELDS else f"{column} in factors.csv"
        raise DesignError(f"The draw cannot be blocked by {column}: {', '.join(empty[:6])} {'has' if len(empty) == 1 else 'have'} none. "
                          f"Write {where} for every unit.")
    return found


def _neighbours(units: Sequence[Unit], together: int) -> dict[str, str]:
    """Units in groups of so many neighbours along each shelf, from the first place on; a last one of fewer stays by itself."""
    if any(not unit.position for unit in units):
        return {unit.key: unit.position for unit in units}
    shelves: dict[str, list[Unit]] = {}
    for unit in sorted(units, key=lambda unit: place_order(unit.position)):
        shelves.setdefault(shelf_and_place(unit.position)[0], []).append(unit)
    groups = [row[start : start + together] for row in shelves.values() for start in range(0, len(row), together)]
    return {unit.key: f"neighbours {number}" for number, group in enumerate(groups, start=1) for unit in group}
