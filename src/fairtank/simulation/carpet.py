"""The carpet: thousands of small leaves that spread from planted clumps and thicken where they came first."""

from dataclasses import dataclass

import numpy as np

from fairtank.simulation.leaves import Easel, Leaves, paint_leaves
from fairtank.simulation.light import lamp_light, seen_through_water
from fairtank.simulation.plants import CARPET, eased
from fairtank.simulation.substrate import surface_cm
from fairtank.simulation.texture import clouds

_LEAVES_PER_CM2 = 13.0


@dataclass(frozen=True)
class Carpet:
    """Places of a carpet's leaves, back to front, arrays of shape (n,) except lots (4, n).

    reached: the share of the carpet's growth at which a place is overgrown. level: how high in the cushion a leaf sits, 0 to 1.
    mound: how thick the cushion is there, about 1. lots: standard normal numbers of each leaf.
    """

    x_cm: np.ndarray
    depth_cm: np.ndarray
    reached: np.ndarray
    level: np.ndarray
    mound: np.ndarray
    lots: np.ndarray


def sown_carpet(chance: np.random.Generator, patches: tuple[tuple[float, float, float, float], ...]) -> Carpet:
    """A carpet on elliptic patches (x, depth, half width, half depth in cm), planted in small clumps from which it spreads."""
    xs, depths = [], []
    for middle, middle_depth, wide, deep in patches:
        count = int(_LEAVES_PER_CM2 * np.pi * wide * deep)
        turn, reach = chance.uniform(0, 2 * np.pi, count), np.sqrt(chance.random(count))
        edge = 1 + 0.10 * np.sin(3 * turn + middle) + 0.06 * np.sin(7 * turn + 2 * middle)
        xs.append(middle + wide * reach * edge * np.cos(turn))
        depths.append(middle_depth + deep * reach * edge * np.sin(turn))
    x, depth = np.concatenate(xs), np.concatenate(depths)
    inside = (depth > 0.25) & (x > 0.7) & (x < 44.3)
    x, depth = x[inside], depth[inside]
    clumps = chance.choice(len(x), max(4, len(x) // 330), replace=False)
    gap = np.min(np.hypot(x[:, None] - x[clumps], 1.15 * (depth[:, None] - depth[clumps])), 1)
    gap = gap + 0.22 * np.abs(chance.standard_normal(len(x)))
    field = clouds(chance, (60, 90), 9, octaves=2)
    mound = np.clip(1 + 0.28 * field[(depth * 2).astype(int).clip(0, 59), (x * 2).astype(int).clip(0, 89)], 0.4, 1.7)
    level = chance.random(len(x))
    order = np.lexsort((level, -np.round(depth / 0.7)))
    reached = np.argsort(np.argsort(gap)) / len(gap)
    return Carpet(x[order], depth[order], reached[order], level[order], mound[order], chance.standard_normal((4, len(x)))[:, order])


def paint_carpet(easel: Easel, carpet: Carpet, overgrown: float) -> None:
    """Paint the part of a carpet that has grown: low leaves dark, top leaves bright, thicker where it was reached early."""
    form, view = CARPET, easel.view
    lead = overgrown * 1.04 - carpet.reached
    here = lead > 0
    x, depth, level, mound, lead = (part[here] for part in (carpet.x_cm, carpet.depth_cm, carpet.level, carpet.mound, lead))
    a, b, c, d = carpet.lots[:, here]
    size = 0.35 + 0.65 * eased(lead / 0.10)
    height = surface_cm(x, depth) + (0.25 + 1.25 * eased(lead / 0.5) * mound) * level
    px = view.px_per_cm * view.shrink(depth)
    light = lamp_light(x, height, depth) * (0.16 + 0.95 * level**1.6) * mound**0.6 * np.exp(0.16 * c) * 1.35
    colour = form.colour((0.25 + 0.75 * level) * np.exp(-0.05 * np.abs(d))) * light[:, None]
    angle = np.where(d > 0, 0.5 + 0.55 * a, np.pi - 0.5 - 0.55 * a)
    length = form.leaf_cm * px * size * (1 + 0.16 * b)
    leaves = Leaves(
        foot=view.point(x, height, depth) - np.stack([np.cos(angle), -np.sin(angle)], -1) * (length / 2)[:, None],
        angle=angle,
        bend=0.3 * b,
        length=length,
        width=form.leaf_width_cm * px * size * (0.72 + 0.16 * np.sin(5 * a)),
        colour=seen_through_water(colour, depth, height),
        fold=0.64 + 0.08 * c.clip(-2, 2),
        tuft=np.zeros(len(x)),
    )
    paint_leaves(easel, leaves, form.profile, rib=0)
