"""Stem plants: nodes that come one by one at the tip, stretch, and carry leaves that widen and sink as they age."""

from dataclasses import dataclass

import numpy as np

from fairtank.simulation.leaves import PLANT_MASK, Easel, Leaves, paint_leaves
from fairtank.simulation.light import albedo, bytes_from_linear, lamp_light, seen_through_water
from fairtank.simulation.plants import Plant, eased, tufts
from fairtank.simulation.substrate import surface_cm

_MOST_NODES = 90


@dataclass(frozen=True)
class _Character:
    """What makes a stem an individual; the arrays (nodes, leaves of a node) are standard normal, ready is uniform."""

    vigour: float
    size: float
    lean: float
    sway: float
    phase: float
    tint: np.ndarray
    stretch: np.ndarray
    turns: np.ndarray
    lifts: np.ndarray
    tones: np.ndarray
    hues: np.ndarray
    bends: np.ndarray
    ready: np.ndarray


def _character(plant: Plant) -> _Character:
    chance = np.random.default_rng(plant.number)
    vigour, size, lean = chance.uniform(0.75, 1.3), chance.uniform(0.82, 1.15), 0.07 * chance.standard_normal()
    sway, phase = chance.uniform(0, 1, 2)
    tint = np.exp(0.07 * chance.standard_normal(3) + 0.06 * chance.standard_normal())
    shape = (_MOST_NODES, plant.form.per_node)
    stretch, turns, lifts, tones, hues, bends = chance.standard_normal((6, *shape))
    return _Character(vigour, size, lean, sway, phase, tint, stretch, turns, lifts, tones, hues, bends, chance.random(shape))


@dataclass(frozen=True)
class _Stem:
    """A stem on a day: age of each node [nodes], its way up the stem, x and height [cm], and canvas px."""

    age: np.ndarray
    way_cm: np.ndarray
    x_cm: np.ndarray
    height_cm: np.ndarray
    line: np.ndarray


def _grown_stem(easel: Easel, plant: Plant, own: _Character, grown: float) -> _Stem:
    """The stem on a day; the youngest internodes are still short."""
    spacing = plant.form.spacing_cm
    nodes = plant.full_cm * grown**own.vigour / spacing + 2.1
    age = nodes - np.arange(min(_MOST_NODES, int(nodes) + 1))
    way = np.cumsum(spacing * np.clip(age / 5, 0.16, 1) * (1 + 0.10 * own.stretch[: len(age), 0]))
    bow = 0.35 * (own.sway + 0.3) * np.sin(way / 3.4 + 2 * np.pi * own.phase) * np.clip(way / 6, 0, 1)
    x = plant.x_cm + own.lean * way + bow
    height = surface_cm(plant.x_cm, plant.depth_cm) - 0.2 + way
    return _Stem(age, way, x, height, easel.view.point(x, height, plant.depth_cm))


def _leaf_colours(plant: Plant, own: _Character, stem: _Stem, towards: np.ndarray, lift: np.ndarray) -> np.ndarray:
    """Linear colours (nodes, leaves, 3): light at the tip, shaded lower down and on the far side, each leaf a little its own."""
    n = len(stem.age)
    youth = np.broadcast_to(np.exp(-stem.age / 5.5)[:, None], towards.shape)
    below_tip = (0.36 + 0.64 * np.exp(-(stem.way_cm[-1] - stem.way_cm) / 7))[:, None]
    shade = below_tip * np.where(towards < -0.1, 0.62, 1.0) * (0.82 + 0.3 * np.abs(np.sin(lift)))
    light = lamp_light(stem.x_cm, stem.height_cm, plant.depth_cm)[:, None] * shade * np.exp(0.17 * own.tones[:n]) * 1.34
    hue = 1 + 0.07 * own.hues[:n, :, None] * np.array([1.0, -0.2, -0.8])
    colour = plant.form.colour(youth) * own.tint * light[..., None] * hue
    height = np.broadcast_to(stem.height_cm[:, None], light.shape)
    return seen_through_water(colour, np.full(light.shape, plant.depth_cm), height)


def paint_stem(easel: Easel, plant: Plant, grown: float, algae_share: float) -> None:
    """Paint one stem plant. grown: its growth, 0 to 1; algae_share: algae cover as a share, for tufts on old leaves."""
    import cv2

    form, own = plant.form, _character(plant)
    stem = _grown_stem(easel, plant, own, grown)
    n, age = len(stem.age), stem.age
    px = easel.view.px_per_cm * float(easel.view.shrink(plant.depth_cm))
    around = 2 * np.pi * (np.arange(form.per_node) / form.per_node + own.phase)
    azimuth = (np.arange(n) * form.turn)[:, None] + around + 0.28 * own.turns[:n]
    lift = form.lift + (1.15 - form.lift) * np.exp(-age / 3.2)[:, None] + 0.22 * own.lifts[:n]
    across, towards = np.cos(azimuth) * np.cos(lift), np.sin(azimuth) * np.cos(lift)
    rise = np.sin(lift) - 0.20 * towards
    length = form.leaf_cm * own.size * (0.16 + 0.84 * eased(age / 7)) * np.clip((np.arange(n) + 3) / 6, 0, 1)
    length = length[:, None] * np.maximum(np.hypot(across, rise), 0.25) * px * (1 + 0.11 * own.tones[:n])
    width = (form.leaf_width_cm * own.size * (0.3 + 0.7 * eased(age / 7)))[:, None] * px
    width = width * (0.62 + 0.38 * np.abs(np.sin(azimuth))) * (1 + 0.08 * own.hues[:n])
    parts = (
        np.broadcast_to(stem.line[:, None], (*across.shape, 2)),
        np.arctan2(rise, across),
        -np.sign(across) * (0.55 + 0.25 * own.bends[:n]) * np.clip(age / 8, 0.1, 1)[:, None],
        length,
        width,
        _leaf_colours(plant, own, stem, towards, lift),
        0.62 + 0.12 * np.sin(azimuth * 2),
        tufts(own.ready[:n], age[:, None] / 9, algae_share),
    )
    leaves = Leaves(*(np.ascontiguousarray(part).reshape(-1, *part.shape[2:]) for part in parts))
    behind = (towards < -0.1).ravel()
    paint_leaves(easel, leaves.taken(np.flatnonzero(behind)), form.profile, rib=0)
    bark = seen_through_water(albedo(*form.old) * own.tint * 0.50, np.array(plant.depth_cm))
    tone = (*bytes_from_linear(bark).tolist(), PLANT_MASK)
    cv2.polylines(easel.canvas, [(stem.line * 16).astype(np.int32)], False, tone, max(1, round(0.11 * px)), cv2.LINE_AA, 4)
    paint_leaves(easel, leaves.taken(np.flatnonzero(~behind)), form.profile, rib=form.rib)
