"""How the arms lie over the tanks: which tanks are compared with which, and inside which blocks."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fairtank.trial import Arm, Plan, Unit


@dataclass(frozen=True)
class Cell:
    """One tank that counts once: its units, its arm, the blocks it belongs to."""

    units: tuple[str, ...]
    arm: str
    blocks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Contrast:
    """One comparison of the plan: how far each arm stands in it, from 0 (the side it is compared with) to 1.

    sides: the arms on either end, the lower first. Arms that take no part are not in `places`.
    """

    places: Mapping[str, float]
    sides: tuple[tuple[str, ...], tuple[str, ...]]
    is_trend: bool = False

    def both_sides(self, cells: Sequence["Cell"]) -> bool:
        """Whether there are tanks on both of its sides."""
        return len({self.places[cell.arm] for cell in cells if cell.arm in self.places}) > 1


@dataclass(frozen=True)
class Layout:
    """Cells, comparisons, and what else the design says.

    others: of two changes, the comparisons that stand beside each other and are taken out of each other. is_swap: what belongs to a tank
    for the whole time meets both arms. sees_before: the days before the change show part of how unlike the tanks were.
    """

    cells: tuple[Cell, ...]
    contrasts: tuple[Contrast, ...]
    is_drawn: bool
    is_swap: bool = False
    sees_before: bool = False
    adjusts: bool = False

    def within(self, contrast: Contrast) -> tuple[Cell, ...]:
        """The cells that take part in a comparison."""
        return tuple(cell for cell in self.cells if cell.arm in contrast.places)

    def is_single(self, contrast: Contrast) -> bool:
        """Whether every arm of a comparison has one tank only, so that any difference goes along with the arms."""
        return not contrast.is_trend and all(count == 1 for count in Counter(cell.arm for cell in self.within(contrast)).values()) \
            and not self.adjusts


def layout_of(plan: Plan) -> Layout:
    """The layout of a plan.

    Parameters
    ----------
    plan : Plan
        Any design.

    Returns
    -------
    Layout
        Compartments that share their water and have one arm are one cell.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    cells = _cells(plan)
    contrasts = tuple(one for one in _contrasts(plan) if one.both_sides(cells))
    return Layout(cells, contrasts, plan.drawn, plan.kind == "swap",
                  plan.run_in_days > 0 or plan.kind in ("run_in", "drawn_start"), plan.kind == "two_changes")


def _cells(plan: Plan) -> tuple[Cell, ...]:
    tanks: dict[tuple[str, str], list[Unit]] = {}
    for unit in plan.units:
        tanks.setdefault((unit.in_tank, unit.round if plan.kind == "rounds" else ""), []).append(unit)
    cells = []
    for (tank, _), own in tanks.items():
        arms = {_arm(plan, unit) for unit in own}
        if plan.shared_water and len(own) > 1 and len(arms) == 1:
            cells.append(Cell(tuple(unit.key for unit in own), _arm(plan, own[0]), _blocks(plan, own[0], "")))
        else:
            inside = f"tank {tank}" if len(own) > 1 and len(arms) > 1 else ""
            cells += [Cell((unit.key,), _arm(plan, unit), _blocks(plan, unit, inside)) for unit in own]
    return tuple(cells)


def _arm(plan: Plan, unit: Unit) -> str:
    return (unit.first_arm or unit.arm) if plan.kind == "swap" else unit.arm


def _blocks(plan: Plan, unit: Unit, inside: str) -> tuple[str, ...]:
    """The finest block a unit is compared in: its tank where that holds both arms, its pair, its round, its block."""
    named = (inside, unit.pair and f"pair {unit.pair}", unit.round and f"round {unit.round}", unit.block and f"block {unit.block}")
    return tuple(name for name in named[:1] if name) or tuple(name for name in named[1:] if name)[:1]


def _contrasts(plan: Plan) -> list[Contrast]:
    arms = plan.arms
    if plan.kind == "two_changes":
        names = dict.fromkeys(name for arm in arms for name in arm.changes)
        return [_by_change(arms, name) for name in names] or _pairs(plan)
    if plan.kind == "ladder" and len(arms) > 2:
        doses = [index if arm.dose is None else arm.dose for index, arm in enumerate(arms)]
        low, high = min(doses), max(doses)
        if high > low:
            places = {arm.key: (dose - low) / (high - low) for arm, dose in zip(arms, doses, strict=True)}
            ends = tuple(tuple(key for key, place in places.items() if place == end) for end in (0.0, 1.0))
            trend = Contrast(places, (ends[0], ends[1]), is_trend=True)
            # Where every dose has several tanks, one dose may stand apart from the others without any trend.
            counts = Counter(unit.arm for unit in plan.units)
            return [trend, *(_pairs(plan) if min((counts[arm.key] for arm in arms), default=0) > 1 else [])]
    return _pairs(plan)


def _by_change(arms: Sequence[Arm], name: str) -> Contrast:
    places = {arm.key: float(name in arm.changes) for arm in arms}
    without, with_it = (tuple(key for key, place in places.items() if place == side) for side in (0.0, 1.0))
    return Contrast(places, (without, with_it))


def arm_pairs(plan: Plan) -> tuple[Contrast, ...]:
    """Each changed arm with the reference, or all pairs of arms, whatever the design compares."""
    return tuple(_pairs(plan))


def _pairs(plan: Plan) -> list[Contrast]:
    """Each changed arm with the reference, or all pairs of arms."""
    ordered = sorted(plan.arms, key=lambda arm: arm.role != "reference")
    first = ordered if plan.compare == "all" else ordered[:1]
    return [Contrast({one.key: 0.0, other.key: 1.0}, ((one.key,), (other.key,)))
            for index, one in enumerate(first) for other in ordered[index + 1:]]
