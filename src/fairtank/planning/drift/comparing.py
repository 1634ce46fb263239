"""Which units are compared with which: arms inside their blocks, and each tank with the others of its arm."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairtank.planning.drift.control import Contrast
from fairtank.planning.drift.diary import Record
from fairtank.planning.drift.scatter import Values, baseline_weights
from fairtank.planning.drift.watched import LEVEL
from fairtank.trial import Plan, Unit

USUAL_BASELINE_D = 14
_FEWEST_BASELINE = 2


@dataclass(frozen=True, eq=False)
class Table:
    """A record as arrays: its units and their arms, values with NaN where there is none, presence as 0 and 1, and baseline weights.

    baseline_until: last day of the baseline; -1 for sums. days: of the periods.
    """

    units: tuple[Unit, ...]
    values: Values
    present: Values
    baseline: Values
    days: tuple[int, ...]
    baseline_until: int

    def rows_of(self, arm: str) -> tuple[int, ...]:
        """Rows of the units of an arm."""
        return tuple(row for row, unit in enumerate(self.units) if unit.arm == arm)


def table_of(record: Record, plan: Plan) -> Table | None:
    """A record as arrays; a level's units without a baseline reading are left out. None where nothing is left."""
    units = tuple(unit for unit in plan.units if unit.key in record.values)
    if not units or not record.days:
        return None
    values = np.array([[np.nan if value is None else value for value in record.values[unit.key]] for unit in units], dtype=float)
    present = np.isfinite(values).astype(float)
    if record.watched.kind != LEVEL:
        return Table(units, values, present, np.zeros_like(present), record.days, -1)
    until = baseline_until(plan, record.days)
    weights = baseline_weights(present, (np.asarray(record.days) <= until).astype(float))
    kept = np.flatnonzero(weights.sum(axis=1) > 0)
    if not len(kept):
        return None
    return Table(tuple(units[row] for row in kept), values[kept], present[kept], weights[kept], record.days, until)


def baseline_until(plan: Plan, days: Sequence[int]) -> int:
    """Last day of the baseline: of the run-in, else of the first two weeks or the first third of a shorter trial; later where fewer than
    two readings fell into it."""
    usual = plan.run_in_days if plan.run_in_days > 0 else min(USUAL_BASELINE_D, max(plan.days // 3, 1))
    inside = [day for day in days if day < usual]
    if len(inside) >= _FEWEST_BASELINE or len(days) <= _FEWEST_BASELINE:
        return usual - 1
    return days[_FEWEST_BASELINE - 1]


def arm_contrast(table: Table, plan: Plan, arm: str, reference: str, without: frozenset[str] = frozenset()) -> Contrast:
    """One arm less the reference: inside pairs, rounds or blocks where each of them holds both, else over all units."""
    blocks = blocks_of(plan, table.units, arm, reference)
    weights = np.zeros_like(table.present)
    for period in range(len(table.days)):
        sides = []
        for block in blocks:
            rows = [row for row in block if table.present[row, period] and table.units[row].key not in without]
            changed = [row for row in rows if table.units[row].arm == arm]
            others = [row for row in rows if table.units[row].arm == reference]
            if changed and others:
                sides.append((changed, others))
        for changed, others in sides:
            weights[changed, period] = 1.0 / len(changed) / len(sides)
            weights[others, period] = -1.0 / len(others) / len(sides)
    return Contrast(weights, table.days, table.baseline, table.baseline_until)


def blocks_of(plan: Plan, units: Sequence[Unit], arm: str, reference: str) -> list[list[int]]:
    """Rows of the units inside which two arms are compared."""
    def name(unit: Unit) -> str:
        return {"pairs": unit.pair, "rounds": unit.round}.get(plan.kind, unit.block)

    rows = [row for row, unit in enumerate(units) if unit.arm in (arm, reference)]
    named: dict[str, list[int]] = {}
    for row in rows:
        named.setdefault(name(units[row]), []).append(row)
    whole = all({units[row].arm for row in block} == {arm, reference} for block in named.values())
    return list(named.values()) if whole and "" not in named else [rows]


def tank_contrast(table: Table, row: int, others: Sequence[int]) -> Contrast:
    """One tank less the mean of others, on the days on which it and at least one of them have a value."""
    weights = np.zeros_like(table.present)
    there = table.present[list(others)]
    count = there.sum(axis=0)
    told = ((table.present[row] > 0) & (count > 0)).astype(float)
    weights[row] = told
    weights[list(others)] = -told * there / np.maximum(count, 1.0)
    return Contrast(weights, table.days, table.baseline, table.baseline_until)
