"""The substrate: a floor of grains seen at a low angle, and the strip of it that stands against the front glass."""

import numpy as np

from fairtank.simulation.camera import TANK_DEPTH_CM, TANK_WIDTH_CM, View
from fairtank.simulation.light import albedo, bytes_from_linear, lamp_light, seen_through_water
from fairtank.simulation.texture import clouds

FRONT_CM, BACK_CM = 5.6, 8.0
BASE_CM = 2.2
_CAP = albedo(92, 78, 64)
_CAP_KINDS = np.array([albedo(104, 86, 68), albedo(78, 66, 56), albedo(120, 104, 84), albedo(66, 58, 52)])
_BASE_KINDS = np.array([albedo(58, 46, 38), albedo(44, 37, 33), albedo(72, 56, 44), albedo(36, 31, 29)])


def surface_cm(x_cm: np.ndarray | float, depth_cm: np.ndarray | float) -> np.ndarray:
    """Height of the substrate's surface above the outer bottom: level along the front glass, banked towards the back. [cm]"""
    share = np.clip(np.asarray(depth_cm, float) / TANK_DEPTH_CM, 0, 1)
    swell = 0.5 * np.sin(np.asarray(x_cm, float) / 7.0) * share
    return FRONT_CM + (BACK_CM - FRONT_CM) * share**0.8 + swell


def _grains(
    canvas: np.ndarray, centres: np.ndarray, radii: np.ndarray, colours: np.ndarray, flat: float, chance: np.random.Generator
) -> None:
    """Paint grains in order: a dark rim, the body, a highlight towards the lamp; flat is their height relative to their width."""
    import cv2

    count = len(centres)
    turns = np.linspace(0, 2 * np.pi, 7, endpoint=False)[None] + chance.uniform(0, 6.3, (count, 1))
    ragged = radii[:, None] * chance.uniform(0.72, 1.12, (count, 7))
    outline = np.stack([np.cos(turns) * ragged, np.sin(turns) * ragged * flat], -1)
    body = ((centres[:, None] + outline) * 16).astype(np.int32)
    rim = ((centres[:, None] + outline * 1.25 + np.array([0, 1.0]) * (radii * 0.22)[:, None, None]) * 16).astype(np.int32)
    shine = ((centres[:, None] + outline * 0.5 - np.stack([radii * 0.12, radii * flat * 0.34], -1)[:, None]) * 16).astype(np.int32)
    dark, mid, bright = (bytes_from_linear(colours * f).tolist() for f in (0.28, 1.0, 1.75))
    for i in range(count):
        cv2.fillConvexPoly(canvas, rim[i], dark[i], cv2.LINE_8, 4)
        cv2.fillConvexPoly(canvas, body[i], mid[i], cv2.LINE_8, 4)
        cv2.fillConvexPoly(canvas, shine[i], bright[i], cv2.LINE_8, 4)


def paint_floor(canvas: np.ndarray, view: View, chance: np.random.Generator) -> np.ndarray:
    """Paint the floor on the canvas; returns its mask (bool, canvas size)."""
    import cv2

    across = np.linspace(0, TANK_WIDTH_CM, 60)
    front, back = view.point(across, surface_cm(across, 0)), view.point(across, surface_cm(across, TANK_DEPTH_CM), TANK_DEPTH_CM)
    outline = np.concatenate([front, back[::-1]]).astype(np.int32)
    mask = np.zeros(canvas.shape[:2], np.uint8)
    cv2.fillPoly(mask, [outline], 255)
    cv2.fillPoly(canvas, [outline], bytes_from_linear(_CAP * 0.25).tolist())
    count = 15_000
    depth = np.sort(chance.uniform(0, TANK_DEPTH_CM, count))[::-1]
    x = chance.uniform(0.3, TANK_WIDTH_CM - 0.3, count)
    height = surface_cm(x, depth) + chance.uniform(-0.05, 0.06, count)
    radius = chance.uniform(0.07, 0.15, count) * view.px_per_cm * view.shrink(depth)
    patch = clouds(chance, (60, 90), 18)[(depth / TANK_DEPTH_CM * 59).astype(int), (x / TANK_WIDTH_CM * 89).astype(int)]
    shade = np.exp(0.20 * chance.standard_normal(count) + 0.09 * patch) * lamp_light(x, height, depth) * 1.45
    linear = _CAP_KINDS[chance.integers(0, 4, count)] * shade[:, None]
    colours = seen_through_water(linear, depth, height)
    _grains(canvas, view.point(x, height, depth), radius, colours, 0.62, chance)
    return mask > 0


def paint_front_strip(canvas: np.ndarray, view: View, chance: np.random.Generator) -> np.ndarray:
    """Paint the strip against the front glass: fine dark base below, cap above; returns its mask (bool, canvas size)."""
    import cv2

    left, right = 0.5, TANK_WIDTH_CM - 0.5
    across = np.linspace(left, right, 300)
    rough = 0.05 * chance.standard_normal(300) + 0.06 * np.sin(across * 1.3)
    top, floor = view.point(across, FRONT_CM + rough), view.point(across[::-1], 0.5)
    outline = np.concatenate([top, floor]).astype(np.int32)
    mask = np.zeros(canvas.shape[:2], np.uint8)
    cv2.fillPoly(mask, [outline], 255)
    below = np.array([0.0, 0.16 * view.px_per_cm])
    cv2.fillPoly(canvas, [outline], bytes_from_linear(_CAP * 0.30).tolist())
    cv2.fillPoly(canvas, [np.concatenate([top + below, floor]).astype(np.int32)], bytes_from_linear(_BASE_KINDS[1] * 0.4).tolist())
    border = BASE_CM + 0.35 * np.sin(across / 5.3 + 1) + 0.25 * np.sin(across / 2.1)
    for kinds, count, size in ((_BASE_KINDS, 9000, (0.04, 0.10)), (_CAP_KINDS, 5200, (0.08, 0.17))):
        x = chance.uniform(left, right, count)
        edge = np.interp(x, across, border)
        low, high = (0.45, edge) if kinds is _BASE_KINDS else (edge - 0.15, FRONT_CM + 0.02)
        height = low + (high - low) * chance.random(count)
        radius = chance.uniform(*size, count) * view.px_per_cm
        light = 0.30 + 0.48 * np.clip(height / FRONT_CM, 0, 1) ** 2
        linear = kinds[chance.integers(0, 4, count)] * (np.exp(0.22 * chance.standard_normal(count)) * light)[:, None]
        _grains(canvas, view.point(x, height), radius, linear, 0.85, chance)
    return mask > 0
