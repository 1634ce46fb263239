"""Stones and wood: stones as height fields cut from random planes and roughened, wood as shaded branches."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fairtank.simulation.camera import View
from fairtank.simulation.light import albedo, bytes_from_linear, lamp_light, seen_through_water
from fairtank.simulation.substrate import surface_cm
from fairtank.simulation.texture import clouds

_STONE = albedo(150, 138, 124)
_VEIN = albedo(196, 188, 174)
_WOOD = albedo(112, 78, 52)


@dataclass(frozen=True)
class Stone:
    """A stone: where its middle stands, its width and height above the ground."""

    x_cm: float
    depth_cm: float
    width_cm: float
    height_cm: float


@dataclass(frozen=True)
class Branch:
    """A branch: from a foot on the ground over two bends to a tip [(x, height above ground) in cm], and its radius at the foot."""

    depth_cm: float
    points: tuple[tuple[float, float], ...]
    radius_cm: float


def stone_relief(chance: np.random.Generator, rows: int, columns: int) -> np.ndarray:
    """Height field of a stone in -inf..1: the lowest of random slanting planes, roughened; the stone is where it is above 0."""
    y, x = np.mgrid[1 : -1 : rows * 1j, -1 : 1 : columns * 1j].astype(np.float32)
    relief = np.full((rows, columns), 1.0, np.float32)
    for turn in np.linspace(0, 2 * np.pi, 9, endpoint=False):
        turn = turn + chance.uniform(-0.25, 0.25)
        reach, steep = chance.uniform(0.78, 0.98), chance.uniform(1.4, 3.6)
        relief = np.minimum(relief, steep * (reach - (np.cos(turn) * x + np.sin(turn) * y)))
    for _ in range(7):
        turn, tilt = chance.uniform(0, 2 * np.pi), chance.uniform(0.25, 0.9)
        relief = np.minimum(relief, chance.uniform(0.62, 0.95) - tilt * (np.cos(turn) * x + np.sin(turn) * y - 0.1))
    rough = clouds(chance, (rows, columns), rows / 3, octaves=6)
    ridges = 1 - np.abs(clouds(chance, (rows, columns), rows / 2.5, octaves=6, stretch=1.3))
    pits = np.minimum(clouds(chance, (rows, columns), rows / 8, octaves=3) + 0.9, 0)
    grit = clouds(chance, (rows, columns), 9 * columns / 400, octaves=3)
    return relief + 0.009 * grit + 0.05 * rough + 0.10 * ridges + 0.07 * pits - 0.05


def paint_stone(canvas: np.ndarray, alpha: np.ndarray, view: View, stone: Stone, chance: np.random.Generator) -> None:
    """Paint a stone on canvas and alpha."""
    import cv2

    size = view.px_per_cm * float(view.shrink(stone.depth_cm))
    columns, rows = int(stone.width_cm * size), int(stone.height_cm * 1.25 * size)
    relief = cv2.GaussianBlur(stone_relief(chance, rows, columns), (0, 0), 0.5 * view.scale)
    foot = view.point(stone.x_cm, surface_cm(stone.x_cm, stone.depth_cm), stone.depth_cm)
    left, top = int(foot[0] - columns / 2), int(foot[1] - rows * 0.86)
    slope_y, slope_x = np.gradient(relief * 0.42 * columns)
    length = np.sqrt(slope_x**2 + slope_y**2 + 1)
    towards_lamp = (0.30 * slope_x + 0.86 * slope_y + 0.36) / length
    hollow = relief - cv2.GaussianBlur(relief, (0, 0), columns / 40)
    light = 0.14 + 1.05 * np.clip(towards_lamp, 0, None) ** 1.1 + 2.2 * np.clip(hollow, -0.09, 0.06)
    y = np.linspace(1, 0, rows)[:, None]
    speck = np.exp(0.10 * chance.standard_normal(relief.shape))
    light = light * speck * (0.36 + 0.64 * np.clip((y - 0.08) / 0.5, 0, 1))
    vein = np.clip(1 - np.abs(clouds(chance, relief.shape, rows / 2, octaves=5, stretch=0.8)) * 9, 0, 1)[..., None] * 0.5
    tone = np.exp(0.20 * clouds(chance, relief.shape, rows / 4, octaves=6))[..., None]
    warm = clouds(chance, relief.shape, rows / 2, octaves=3)[..., None] * np.array([0.07, 0.0, -0.08])
    tone = tone * (1 + warm)
    height_cm = surface_cm(stone.x_cm, stone.depth_cm) + (y - 0.14) * stone.height_cm * 1.25
    lamp = lamp_light(stone.x_cm, height_cm, stone.depth_cm)[..., None]
    linear = (_STONE * (1 - vein) + _VEIN * vein) * tone * np.clip(light, 0.03, None)[..., None] * lamp * 1.15
    heights = np.broadcast_to(height_cm, relief.shape)
    colours = bytes_from_linear(seen_through_water(linear * 1.12, np.full(relief.shape, stone.depth_cm), heights))
    solid = np.clip(relief * columns * 0.10, 0, 1)
    _paste(canvas, alpha, colours, solid, top, left)


def _paste(canvas: np.ndarray, alpha: np.ndarray, colours: np.ndarray, solid: np.ndarray, top: int, left: int) -> None:
    """Lay a small coloured patch with opacities 0..1 on canvas and alpha."""
    part = np.s_[top : top + colours.shape[0], left : left + colours.shape[1]]
    mix = solid[..., None]
    canvas[part] = (canvas[part] * (1 - mix) + colours * mix + 0.5).astype(np.uint8)
    alpha[part] = np.maximum(alpha[part], (solid * 255).astype(np.uint8))


def _smooth(points: np.ndarray, count: int) -> np.ndarray:
    """A curve of count points through the given ones (Catmull-Rom)."""
    padded = np.concatenate([2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]])
    t = np.linspace(0, len(points) - 1 - 1e-6, count)
    k, u = t.astype(int), (t % 1)[:, None]
    a, b, c, d = (padded[k + i] for i in range(4))
    curve: np.ndarray = 0.5 * (2 * b + (c - a) * u + (2 * a - 5 * b + 4 * c - d) * u**2 + (3 * b - a - 3 * c + d) * u**3)
    return curve


def paint_branch(canvas: np.ndarray, alpha: np.ndarray, view: View, branch: Branch, chance: np.random.Generator) -> None:
    """Paint a branch as strips along its length, darker on its lower side, with bark streaks."""
    import cv2

    curve = _smooth(np.array(branch.points, float), 70)
    ground = surface_cm(curve[0, 0], branch.depth_cm)
    height = ground + curve[:, 1]
    line = view.point(curve[:, 0], height, branch.depth_cm)
    along = np.gradient(line, axis=0)
    normal = np.stack([along[:, 1], -along[:, 0]], -1) / np.linalg.norm(along, axis=1)[:, None]
    taper = np.linspace(1, 0.22, 70) ** 0.8 * (1 + 0.10 * np.sin(np.linspace(0, 9, 70) + chance.uniform(0, 6)))
    radius = branch.radius_cm * view.px_per_cm * float(view.shrink(branch.depth_cm)) * taper
    lamp = lamp_light(curve[:, 0], height, branch.depth_cm)
    knots = np.exp(0.12 * np.interp(np.arange(70), np.arange(0, 70, 3), chance.standard_normal(24)))
    hull = np.concatenate([line + normal * radius[:, None], (line - normal * radius[:, None])[::-1]])
    cv2.fillPoly(alpha, [(hull * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    strips = 11
    for k, (low, high) in enumerate(pairwise(np.linspace(-1.15, 1.15, strips + 1))):
        faces_lamp = (normal @ (-0.30, -0.80)) * (low + high) / 2
        round_off = np.sqrt(max(0.0, 1 - ((low + high) / 2) ** 2 * 0.9))
        shade = 0.10 + 0.95 * np.clip(0.22 + 0.75 * faces_lamp + 0.40 * round_off, 0, 1) ** 1.2
        streak = np.exp(0.14 * chance.standard_normal())
        linear = _WOOD * (shade * streak * lamp * knots)[:, None] * 1.15
        colours = bytes_from_linear(seen_through_water(linear, np.full(70, branch.depth_cm), height)).tolist()
        lower, upper = line + normal * (radius * low)[:, None], line + normal * (radius * (high + 0.1))[:, None]
        for i in range(69):
            quad = (np.array([lower[i], lower[i + 1], upper[i + 1], upper[i]]) * 16).astype(np.int32)
            cv2.fillConvexPoly(canvas, quad, colours[i], cv2.LINE_AA if k in (0, strips - 1) else cv2.LINE_8, 4)
    for _ in range(14):
        offset, start, stop = chance.uniform(-0.8, 0.8), *np.sort(chance.integers(0, 70, 2))
        if stop - start > 4:
            path = ((line + normal * (radius * offset)[:, None])[start:stop] * 16).astype(np.int32)
            tone = bytes_from_linear(_WOOD * chance.uniform(0.15, 0.45) * lamp[start]).tolist()
            cv2.polylines(canvas, [path], False, tone, 1, cv2.LINE_AA, 4)
