"""Who receives what on which day: a plan read as the course of its trial."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from fairtank.trial import Plan, Unit


@dataclass(frozen=True, eq=False)
class Course:
    """A trial as it happens to its units.

    units: their keys. changes: what can be changed, by name. received: how much of each change each unit receives on each day, 0 for
    none and 1 for the whole (in a ladder: the dose), shape (changes, units, days). period: 0 in a run-in, 1, and 2 after a swap, shape
    (days,). resets: days on which all tanks are cleaned. tank, place, time: which units share a tank, a place (a pair), and calendar days
    (a round), each as numbers from 0, shape (units,). is_changed: the units that carry a change at first, shape (units,). later: days by
    which a unit's own day 0 lies after the trial's, shape (units,).
    """

    units: tuple[str, ...]
    changes: tuple[str, ...]
    received: np.ndarray
    period: np.ndarray
    resets: tuple[int, ...]
    tank: np.ndarray
    place: np.ndarray
    time: np.ndarray
    is_changed: np.ndarray
    later: np.ndarray

    @property
    def days(self) -> int:
        """How many days one unit is followed."""
        return int(self.received.shape[2])


def changes_of(plan: Plan) -> tuple[str, ...]:
    """What can be changed: the named changes of a trial with two of them, the dose of a ladder, else one for each changed arm."""
    if plan.kind == "two_changes":
        return tuple(dict.fromkeys(change for arm in plan.arms for change in arm.changes))
    if plan.kind == "ladder":
        return ("dose",)
    return tuple(arm.key for arm in plan.arms if arm.role == "changed")


def _strength(plan: Plan, arm: str, change: str) -> float:
    """How much of a change an arm receives."""
    one = plan.arm(arm)
    if plan.kind == "ladder":
        return one.dose or 0.0
    return float(change in one.changes) if plan.kind == "two_changes" else float(arm == change)


def _other_arm(plan: Plan, arm: str) -> str:
    return next(one.key for one in plan.arms if one.key != arm)


def _starts_on(plan: Plan) -> int:
    """The first day with the change."""
    return {"run_in": plan.run_in_days, "drawn_start": plan.drawn_day or 0}.get(plan.kind, plan.run_in_days)


def _received(plan: Plan, unit: Unit, change: str, days: int) -> np.ndarray:
    first = unit.first_arm or unit.arm
    amount = np.full(days, _strength(plan, first, change))
    amount[: _starts_on(plan)] = 0.0
    if plan.kind == "swap":
        amount[plan.swap_day:] = _strength(plan, _other_arm(plan, first), change)
    return amount


def _numbered(words: list[str]) -> np.ndarray:
    order = list(dict.fromkeys(words))
    return np.array([order.index(word) for word in words])


def course_of(plan: Plan) -> Course:
    """The course of a plan.

    Parameters
    ----------
    plan : Plan
        Every unit allotted; of any kind. A drawn start needs its drawn_day.

    Returns
    -------
    Course
        Days are those of a unit: in rounds, of its own round.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> from fairtank.simulation.trials.plans import swap_plan
    >>> course_of(swap_plan(1, 1, days=6, swap_day=3)).received.astype(int).tolist()
    [[[0, 0, 0, 1, 1, 1], [1, 1, 1, 0, 0, 0]]]
    """
    days = plan.round_days if plan.kind == "rounds" and plan.round_days else plan.days + 1
    changes = changes_of(plan)
    received = np.array([[_received(plan, unit, change, days) for unit in plan.units] for change in changes])
    period = np.ones(days, dtype=int)
    period[: plan.run_in_days] = 0
    if plan.kind == "swap":
        period[plan.swap_day:] = 2
    rounds = _numbered([unit.round for unit in plan.units])
    return Course(
        tuple(unit.key for unit in plan.units), changes, received, period, (plan.swap_day,) if plan.kind == "swap" else (),
        _numbered([unit.tank or unit.key for unit in plan.units]), _numbered([unit.pair or unit.key for unit in plan.units]), rounds,
        np.array([plan.arm(unit.first_arm or unit.arm).role == "changed" for unit in plan.units]), rounds * plan.round_days,
    )


def all_receiving(course: Course, amounts: Mapping[str, float]) -> Course:
    """The same course with every unit receiving so much of each change on every day on which anybody receives any.

    With two sets of amounts it answers what a change does: the same tanks, once with it and once without.
    """
    treated = course.received.any(axis=(0, 1))
    received = np.array([[amounts.get(change, 0.0) * treated for _ in course.units] for change in course.changes])
    return replace(course, received=received)
