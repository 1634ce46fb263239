"""The plan's own days as things to do: the trial begins, the change starts, the arms change places, a planned look, the last day.

They stand in the schedule beside the chores and never move with them: which days are judged is said by the plan, and a plan that is to
have other days must be changed, and sealed again with the reason.
"""

from datetime import time

from fairtank.chore import Chore
from fairtank.planning.schedule.rules import ONCE
from fairtank.trial import Plan

PLAN_KEY = "plan"
_PLAN_SIGN = f"{PLAN_KEY}:"
START, DRAW, CHANGE, SWAP, COUNTS_AGAIN, ROUND, LOOK, LAST = ("start", "draw", "change", "swap", "counts", "round", "look", "last")
_AT = time(8, 0)  # before the day's chores


def plan_chores(plan: Plan) -> tuple[Chore, ...]:
    """The plan's own days, each as a chore that falls once.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    tuple of Chore
        In the order of the days; keys begin with `plan:`.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    found = [*_opening(plan), *_middle(plan)]
    found += [_day(LOOK, day, "planned look", "Judge the trial as the plan says for this day, and write down what it says, whatever it is.")
              for day in plan.looks.days]
    if plan.days:
        found.append(_day(LAST, plan.days, "last day that counts", "Last photos and tests. What is measured later does not count."))
    order = (START, DRAW, ROUND, CHANGE, SWAP, COUNTS_AGAIN, LOOK, LAST)
    return tuple(sorted(found, key=lambda chore: (chore.from_day, order.index(chore.key.split(":")[1]))))


def is_plan_chore(chore: Chore) -> bool:
    """Whether a chore is one of the plan's own days."""
    return chore.key.startswith(_PLAN_SIGN)


def change_day(plan: Plan) -> int | None:
    """The day from which a tank can have the change (of a swap: day 0, in half of them); None where the lot still has to draw it."""
    if plan.kind == "drawn_start":
        return plan.drawn_day
    return plan.run_in_days if plan.kind == "run_in" else 0


def _opening(plan: Plan) -> list[Chore]:
    """How the trial begins and when the change starts."""
    if plan.kind == "swap":
        return [_day(START, 0, "the trial starts, each tank in its first arm", "Day 0. From today the tanks differ as the plan says.")]
    day = change_day(plan)
    if day == 0:
        return [_day(CHANGE, 0, "the trial starts, and the change with it",
                     "Day 0. From today the changed arms have the change, and nothing else differs.")]
    told = [_day(START, 0, "the trial starts, all tanks alike", "Day 0. Nothing differs between the arms until the change starts.")]
    if day is not None:
        told.append(_day(CHANGE, day, "the change starts", "From today the changed arms have the change, and nothing else differs."))
    elif plan.start_window is not None:
        first, last = plan.start_window
        told.append(_day(DRAW, first, f"the lot must be drawn by today: the change starts on a day from {first} to {last}",
                         "Draw the day by lot, write it into trial.toml as drawn_day, and start the change on that day."))
    return told


def _middle(plan: Plan) -> list[Chore]:
    """Swaps and rounds."""
    if plan.kind == "swap" and plan.swap_day:
        told = [_day(SWAP, plan.swap_day, "the arms change places today", "Each tank goes over to its other arm.")]
        if plan.washout_days:
            told.append(_day(COUNTS_AGAIN, plan.swap_day + plan.washout_days, "the days count again from today",
                             f"The {plan.washout_days} days after the swap do not count."))
        return told
    rounds = tuple(dict.fromkeys(unit.round for unit in plan.units if unit.round))
    if plan.kind == "rounds" and plan.round_days:
        return [_day(ROUND, place * plan.round_days, f"round {name} starts", "The tanks of this round begin.", name)
                for place, name in enumerate(rounds) if place]
    return []


def _day(what: str, day: int, title: str, note: str, more: str = "") -> Chore:
    key = f"{PLAN_KEY}:{what}:{more or day}" if what in (LOOK, ROUND) else f"{PLAN_KEY}:{what}"
    return Chore(key, title, "other", ONCE, from_day=day, until_day=day, at=_AT, note=note)
