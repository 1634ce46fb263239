"""Rosettes and tufts of ribbons: leaves born one by one from one foot, rising, lengthening and bowing outwards."""

import numpy as np

from fairtank.simulation.leaves import Easel, Leaves, paint_leaves
from fairtank.simulation.light import lamp_light, seen_through_water
from fairtank.simulation.plants import ROSETTE, Plant, eased, tufts
from fairtank.simulation.substrate import surface_cm


def paint_rosette(easel: Easel, plant: Plant, grown: float, algae_share: float) -> None:
    """Paint one rosette. grown: its growth, 0 to 1; algae_share: algae cover as a share, for tufts on old leaves."""
    form, view = plant.form, easel.view
    low = form is ROSETTE
    most = 26 if low else 16
    chance = np.random.default_rng(plant.number)
    turns, lifts, tones, sizes, bends = chance.standard_normal((5, most))
    ready, tint = chance.random(most), np.exp(0.06 * chance.standard_normal(3))
    age = np.clip((grown - np.arange(most) / most * 0.85) / 0.30, 0, 1.6)
    azimuth = np.arange(most) * form.turn + 0.25 * turns + chance.uniform(0, 6)
    lift = 1.45 - (1.45 - form.lift) * np.clip(age, 0, 1) - 0.10 * np.abs(lifts)
    across, towards = np.cos(azimuth) * np.cos(lift), np.sin(azimuth) * np.cos(lift)
    rise = np.sin(lift) - 0.20 * towards
    px = view.px_per_cm * float(view.shrink(plant.depth_cm))
    length = plant.full_cm * (0.15 + 0.85 * eased(age)) * (0.55 + 0.45 * min(1.0, grown * 1.5)) * (1 + 0.12 * sizes)
    ground = float(surface_cm(plant.x_cm, plant.depth_cm))
    height = ground + length * 0.6 * np.sin(lift)
    light = lamp_light(plant.x_cm, height, plant.depth_cm) * np.where(towards < 0, 0.62, 1.0) * np.exp(0.13 * tones) * 1.30
    colour = form.colour(np.clip(1.2 - age, 0, 1)) * tint * light[:, None]
    leaves = Leaves(
        foot=view.point(plant.x_cm + 0.35 * across, ground - 0.1, plant.depth_cm),
        angle=np.arctan2(rise, across),
        bend=-np.sign(across) * (0.75 + 0.3 * bends) * np.clip(age, 0.1, 1.2) * (1 if low else 0.35),
        length=length * np.maximum(np.hypot(across, rise), 0.3) * px,
        width=form.leaf_width_cm * px * (0.4 + 0.6 * eased(age)) * (0.55 + 0.45 * np.abs(np.sin(azimuth))),
        colour=seen_through_water(colour, np.full(most, plant.depth_cm), height),
        fold=np.full(most, 0.66),
        tuft=tufts(ready, age / 0.9, algae_share),
    )
    order = np.argsort(np.where(towards < 0, 0, 10) - lift, kind="stable")
    paint_leaves(easel, leaves.taken(order[age[order] > 0.02]), form.profile, rib=form.rib)
