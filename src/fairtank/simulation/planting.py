"""Where plants, stones and wood stand: one planting plan for all tanks of a scenario, set by hand and so never quite alike."""

from dataclasses import dataclass

import numpy as np

from fairtank.simulation.carpet import Carpet, sown_carpet
from fairtank.simulation.chance import generator
from fairtank.simulation.hardscape import Branch, Stone
from fairtank.simulation.plants import FINE_STEM, GREEN_STEM, RED_STEM, RIBBON, ROSETTE, Form, Plant

_STONES = (Stone(30.0, 13.0, 13.0, 9.4), Stone(21.8, 11.0, 7.6, 5.2), Stone(37.4, 9.0, 4.8, 3.0), Stone(18.2, 8.4, 3.2, 1.9))
_BRANCHES = (
    Branch(15.0, ((28.5, 2.0), (25.0, 8.5), (20.5, 12.5), (17.0, 17.5)), 0.85),
    Branch(15.0, ((30.0, 3.0), (31.0, 10.0), (35.0, 14.5), (36.5, 19.0)), 0.70),
    Branch(14.5, ((27.5, 2.0), (24.0, 6.0), (19.0, 7.5), (14.5, 9.5)), 0.55),
    Branch(14.6, ((24.9, 8.4), (24.8, 12.0), (26.6, 15.5), (26.2, 18.0)), 0.34),
)
# Groups: form, how many, middle x and depth, half width and half depth, full height from and to [cm].
_BACK = (
    (RIBBON, 5, 39.4, 25.0, 3.0, 1.2, 14.0, 19.5),
    (GREEN_STEM, 11, 9.6, 21.5, 6.2, 3.6, 17.0, 24.0),
    (FINE_STEM, 9, 26.0, 23.0, 5.6, 2.4, 14.0, 21.0),
)
_MIDDLE = (
    (RED_STEM, 8, 38.2, 15.2, 3.6, 2.4, 13.0, 19.0),
    (ROSETTE, 2, 14.0, 12.0, 2.6, 1.0, 6.0, 8.5),
    (ROSETTE, 1, 34.2, 8.8, 0.3, 0.4, 5.0, 6.5),
)
_CARPET = ((11.5, 5.0, 11.5, 5.2), (26.5, 3.2, 9.0, 3.4), (37.0, 4.0, 7.5, 4.2))


@dataclass(frozen=True)
class Planting:
    """What stands in one tank: hardscape, plants of the back and the middle (each back to front), carpet."""

    stones: tuple[Stone, ...]
    branches: tuple[Branch, ...]
    back: tuple[Plant, ...]
    middle: tuple[Plant, ...]
    carpet: Carpet


def _group(chance: np.random.Generator, group: tuple[Form, int, float, float, float, float, float, float]) -> list[Plant]:
    """Individuals of a group, spread evenly with a little disorder."""
    form, count, x, depth, wide, deep, low, high = group
    places = np.linspace(-1, 1, count) if count > 1 else np.zeros(1)
    places = places + 0.45 / count * chance.standard_normal(count)
    depths = np.where(np.arange(count) % 2 == 0, 0.6, -0.6) + 0.35 * chance.standard_normal(count)
    heights, numbers = chance.uniform(low, high, count), chance.integers(1, 2**31, count)
    return [
        Plant(form, float(x + wide * p), float(np.clip(depth + deep * d, 1, 27)), float(h), int(n))
        for p, d, h, n in zip(places, depths, heights, numbers, strict=True)
    ]


def _bent(branch: Branch, moves: np.ndarray) -> Branch:
    """A branch with its points moved a little."""
    points = tuple((x + float(dx), y + float(dy)) for (x, y), (dx, dy) in zip(branch.points, moves, strict=True))
    return Branch(branch.depth_cm, points, branch.radius_cm)


def planting(seed: int, unit: str) -> Planting:
    """The planting of one tank: the plan of the scenario with the small differences of a keeper's hand.

    >>> len(planting(1, "T1").middle) == len(planting(1, "T2").middle)
    True
    """
    chance = generator(seed, unit, "planting")
    shift = chance.normal(0, 0.35, (len(_STONES), 2))
    stones = tuple(
        Stone(s.x_cm + dx, s.depth_cm + dd, s.width_cm * chance.uniform(0.92, 1.08), s.height_cm * chance.uniform(0.92, 1.08))
        for s, (dx, dd) in zip(_STONES, shift, strict=True)
    )
    branches = tuple(_bent(branch, chance.normal(0, 0.45, (4, 2))) for branch in _BRANCHES)
    back = [plant for group in _BACK for plant in _group(chance, group)]
    middle = [plant for group in _MIDDLE for plant in _group(chance, group)]
    return Planting(
        stones,
        branches,
        tuple(sorted(back, key=lambda plant: -plant.depth_cm)),
        tuple(sorted(middle, key=lambda plant: -plant.depth_cm)),
        sown_carpet(chance, _CARPET),
    )
