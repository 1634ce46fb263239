"""A setup as it is built in a design of rounds: every round has boxes of its own."""

from dataclasses import replace

from fairtank.build import Setup
from fairtank.trial import Plan


def by_round(setup: Setup, plan: Plan | None) -> Setup:
    """In a design of rounds a tank comes back: it becomes a box of its own in each round, so that no box holds two builds at once."""
    if plan is None or plan.kind != "rounds":
        return setup
    rounds = {unit.key: unit.round for unit in plan.units}
    named = {(key, rounds[unit]): f"{key}, round {rounds[unit]}" for unit, key in setup.places}
    tanks = tuple(replace(next(tank for tank in setup.tanks if tank.key == key), key=name) for (key, _), name in named.items())
    return replace(setup, tanks=tanks, places=tuple((unit, named[key, rounds[unit]]) for unit, key in setup.places))
