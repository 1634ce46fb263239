"""Plans of invented trials, bare of words: one function for each way of laying out a trial."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from fairtank.trial import Arm, MeasureChoice, Plan, Unit

REFERENCE, CHANGED = "R", "C"
ARMS = (Arm(REFERENCE, "reference"), Arm(CHANGED, "changed"))
START = date(2026, 3, 1)
LITRES = 54.0


def plan_with(kind: str, arms: Sequence[Arm], units: Sequence[Unit], *, days: int, summary: str = "mean",
              threshold: float | None = None) -> Plan:
    """A plan of so many days (day 0 to days - 1) whose primary measure is algae cover; the lot counts as drawn."""
    choice = MeasureChoice("algae_cover", "primary", summary, "logit", threshold=threshold)
    return Plan("An invented trial", START, days - 1, kind, tuple(arms), tuple(units), (choice,), drawn=True, tank_litres=LITRES)


def in_arms(sizes: Sequence[tuple[str, int]]) -> tuple[Unit, ...]:
    """Units T1, T2 ... in order of their arms, so many in each.

    >>> [(unit.key, unit.arm) for unit in in_arms([("R", 1), ("C", 2)])]
    [('T1', 'R'), ('T2', 'C'), ('T3', 'C')]
    """
    arms = [arm for arm, count in sizes for _ in range(count)]
    return tuple(Unit(f"T{place + 1}", arm, tank=f"T{place + 1}", position=str(place + 1)) for place, arm in enumerate(arms))


def side_by_side_plan(n_reference: int, n_changed: int, *, days: int = 42, summary: str = "mean", threshold: float | None = None) -> Plan:
    """Two arms from the first day on."""
    units = in_arms([(REFERENCE, n_reference), (CHANGED, n_changed)])
    return plan_with("side_by_side", ARMS, units, days=days, summary=summary, threshold=threshold)


def run_in_plan(n_reference: int, n_changed: int, *, days: int = 56, run_in_days: int = 14) -> Plan:
    """All alike at first, then two arms; the change since the run-in is compared."""
    units = in_arms([(REFERENCE, n_reference), (CHANGED, n_changed)])
    return replace(plan_with("run_in", ARMS, units, days=days, summary="change"), run_in_days=run_in_days)


def swap_plan(n_reference: int, n_changed: int, *, days: int = 42, swap_day: int = 21, washout_days: int = 0) -> Plan:
    """Both arms in every tank, one after the other; the numbers say how many had the reference and the change first."""
    units = tuple(Unit(unit.key, unit.arm, tank=unit.tank, position=unit.position, first_arm=unit.arm)
                  for unit in in_arms([(REFERENCE, n_reference), (CHANGED, n_changed)]))
    return replace(plan_with("swap", ARMS, units, days=days, summary="swap"), swap_day=swap_day, washout_days=washout_days)


def pairs_plan(pairs: int, *, days: int = 42) -> Plan:
    """Neighbours in pairs, one of each arm."""
    units = tuple(Unit(f"T{2 * pair + side + 1}", arm, tank=f"T{2 * pair + side + 1}", position=str(2 * pair + side + 1),
                       pair=f"P{pair + 1}") for pair in range(pairs) for side, arm in enumerate((REFERENCE, CHANGED)))
    return plan_with("pairs", ARMS, units, days=days)


def rounds_plan(rounds: int, *, round_days: int = 28, washout_days: int = 0) -> Plan:
    """Two tanks again and again, one round after the other, the change alternating between them."""
    units = tuple(Unit(f"T{tank + 1}-{number + 1}", (REFERENCE, CHANGED)[(tank + number) % 2], tank=f"T{tank + 1}",
                       round=str(number + 1)) for number in range(rounds) for tank in range(2))
    return replace(plan_with("rounds", ARMS, units, days=rounds * round_days), round_days=round_days, washout_days=washout_days)


def several_arms_plan(sizes: Sequence[int], *, days: int = 42, compare: str = "reference") -> Plan:
    """A reference and two or more other arms."""
    keys = [REFERENCE, *(f"{CHANGED}{place}" for place in range(1, len(sizes)))]
    arms = [Arm(key, "reference" if key == REFERENCE else "changed") for key in keys]
    return replace(plan_with("side_by_side", arms, in_arms(list(zip(keys, sizes, strict=True))), days=days), compare=compare)


def ladder_plan(doses: Sequence[float], each: int, *, days: int = 42, dose_unit: str = "mg/L") -> Plan:
    """Steps of a dose, so many tanks on each; the lowest step is the reference."""
    arms = [Arm(f"D{place}", "changed" if place else "reference", dose=dose) for place, dose in enumerate(sorted(doses))]
    return replace(plan_with("ladder", arms, in_arms([(arm.key, each) for arm in arms]), days=days), dose_unit=dose_unit)


def two_changes_plan(each: int, *, days: int = 42, changes: tuple[str, str] = ("first", "second"),
                     keys: tuple[str, str] = ("F", "S")) -> Plan:
    """Two changes at once: neither (N), one, the other, both (B); so many tanks of each. keys: of the arms with one change alone."""
    first, second = changes
    arms = (Arm("N", "reference"), Arm(keys[0], "changed", changes=(first,)), Arm(keys[1], "changed", changes=(second,)),
            Arm("B", "changed", changes=(first, second)))
    return plan_with("two_changes", arms, in_arms([(arm.key, each) for arm in arms]), days=days)


def drawn_start_plan(start_window: tuple[int, int], drawn_day: int, changed_tank: int, *, days: int = 56, expect: str = "less",
                     summary: str = "change") -> Plan:
    """Two tanks; the lot has named the tank (0 or 1) and the day on which the change starts in it."""
    units = in_arms([((CHANGED, REFERENCE)[changed_tank], 1), ((REFERENCE, CHANGED)[changed_tank], 1)])
    plan = plan_with("drawn_start", ARMS, units, days=days, summary=summary)
    return replace(plan, start_window=start_window, drawn_day=drawn_day, expect=expect)
