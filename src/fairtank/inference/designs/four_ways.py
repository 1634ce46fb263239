"""The four ways of two changes at once: neither, each alone, both."""

from collections.abc import Sequence

from fairtank.errors import DesignError
from fairtank.inference.designs.allotment import check_units_have_arms
from fairtank.trial import Plan

Cell = tuple[bool, bool]
CELLS: tuple[Cell, ...] = ((False, False), (True, False), (False, True), (True, True))


def names_of(plan: Plan) -> tuple[str, str]:
    """The two changes in the order in which the arms name them."""
    names = tuple(dict.fromkeys(name for arm in plan.arms for name in arm.changes))
    if len(names) != 2:
        listed = ", ".join(names) or "none"
        raise DesignError(f"The arms name {len(names)} changes ({listed}); two changes at once need exactly two, such as "
                          'changes = ["light"], ["co2"] and ["light", "co2"].')
    return names[0], names[1]


def cell_of(names: tuple[str, str], changes: Sequence[str]) -> Cell:
    """Which of the two changes an arm has."""
    return names[0] in changes, names[1] in changes


def way_words(names: tuple[str, str], cell: Cell) -> str:
    """One of the four ways in words.

    >>> way_words(("light", "co2"), (True, False)), way_words(("light", "co2"), (False, False))
    ('light alone', 'neither light nor co2')
    """
    if cell == (True, True):
        return f"{names[0]} and {names[1]}"
    if cell == (False, False):
        return f"neither {names[0]} nor {names[1]}"
    return f"{names[0] if cell[0] else names[1]} alone"


def check_two_changes(plan: Plan) -> None:
    """Refuse a plan that has not each of the four ways once, or whose units do not fit.

    Raises
    ------
    DesignError
        With the way that is missing or doubled.
    """
    names = names_of(plan)
    arms: dict[Cell, str] = {}
    for arm in plan.arms:
        cell = cell_of(names, arm.changes)
        if cell in arms:
            raise DesignError(f"The arms {arms[cell]} and {arm.key} are treated alike: {way_words(names, cell)}. Put their units into one "
                              "arm.")
        arms[cell] = arm.key
    missing = [way_words(names, cell) for cell in CELLS if cell not in arms]
    if missing:
        raise DesignError(f"Two changes at once need four arms; missing: {'; '.join(missing)}. With fewer arms plan the trial side by "
                          "side.")
    if plan.arm(arms[CELLS[0]]).role != "reference" or [arm.role for arm in plan.arms].count("reference") != 1:
        raise DesignError(f"The one arm with the role reference is that with {way_words(names, CELLS[0])}: {arms[CELLS[0]]}.")
    check_units_have_arms(plan)
    for cell, key in arms.items():
        if not any(unit.arm == key for unit in plan.units):
            raise DesignError(f"No unit is allotted to the arm {key} ({way_words(names, cell)}). Draw the lot, or allot at least two to "
                              "it.")
