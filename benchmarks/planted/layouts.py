"""Plans of the usual designs, and which tanks of them get something else: one arm, or as many in either."""

from dataclasses import replace
from datetime import date

import numpy as np

from fairtank.trial import Arm, MeasureChoice, Plan, Unit

START, DAYS = date(2026, 3, 1), 42
LAYOUTS = ("side_1", "side_2", "side_3", "side_4", "run_in_2", "run_in_3", "pairs_4", "swap_2", "rounds_4", "three_arms_2", "ladder_2")
_TITLE = "A pinch of humus powder"


def plan_of(layout: str, chance: np.random.Generator) -> Plan:
    """The plan of that layout; the lot, where there are several tanks, is balanced inside blocks of neighbours."""
    kind, _, count = layout.rpartition("_")
    tanks = int(count)
    keys = {"three_arms": "RCD", "ladder": "RLH"}.get(kind, "RC")
    arms = [Arm(key, "reference" if key == "R" else "changed") for key in keys]
    if kind == "ladder":
        arms = [replace(arm, dose=dose) for arm, dose in zip(arms, (0.0, 5.0, 10.0), strict=True)]
    units = _units(kind, keys, tanks, chance)
    design = {"side": "side_by_side", "three_arms": "side_by_side"}.get(kind, kind)
    measure = MeasureChoice("algae_cover", "primary", {"swap": "swap", "run_in": "change"}.get(design, "mean"))
    return Plan(
        _TITLE, START, DAYS, design, tuple(arms), units, (measure,), change="humus powder", reference="none", drawn=tanks > 1, seed=7,
        run_in_days=14 if design == "run_in" else 0, swap_day=21 if design == "swap" else 0, dose_unit="mg/L" if design == "ladder" else "",
    )


def _units(kind: str, keys: str, tanks: int, chance: np.random.Generator) -> tuple[Unit, ...]:
    """Tanks in turn, the arms drawn inside each turn."""
    found: list[Unit] = []
    for turn in range(tanks):
        for key in chance.permutation(list(keys)):
            number = f"T{len(found) + 1}"
            own = Unit(number, str(key), tank=number)
            if kind == "pairs":
                own = replace(own, pair=f"P{turn + 1}")
            if kind == "rounds":
                own = replace(own, tank=f"T{1 + len(found) % 2}", round=f"W{turn + 1}")
            if kind == "swap":
                own = replace(own, first_arm=str(key))
            found.append(own)
    return tuple(found)


def aligned_units(plan: Plan) -> set[str]:
    """All tanks of the changed arms; of a ladder those of its highest dose; of three arms those of the last."""
    last = plan.arms[-1].key
    return {unit.key for unit in plan.units if unit.arm == last}


def crossed_units(plan: Plan, chance: np.random.Generator) -> set[str]:
    """As many tanks in every arm, whole pairs and rounds: half of them, or one less where the number is odd."""
    if plan.kind in ("pairs", "rounds"):
        names = sorted({unit.pair or unit.round for unit in plan.units})
        chosen = set(chance.permutation(names)[: len(names) // 2])
        return {unit.key for unit in plan.units if (unit.pair or unit.round) in chosen}
    found: set[str] = set()
    for arm in plan.arms:
        keys = [unit.key for unit in plan.units if unit.arm == arm.key]
        found |= set(chance.permutation(keys)[: max(len(keys) // 2, 1)])
    return found
