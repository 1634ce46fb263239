"""A few small fish: they swim elsewhere every day, so a picture is never quite still. They are neither plants nor algae."""

import numpy as np

from fairtank.simulation.chance import generator
from fairtank.simulation.leaves import Easel
from fairtank.simulation.light import albedo, bytes_from_linear, lamp_light, seen_through_water

_BACK, _SIDE, _BELLY, _STRIPE = albedo(96, 92, 72), albedo(176, 168, 140), albedo(222, 214, 196), albedo(40, 150, 190)
# Upper and lower outline of the body from nose to tail, as shares of the length.
_TOP = np.array([[0.0, 0.0], [0.10, 0.055], [0.28, 0.11], [0.48, 0.115], [0.68, 0.07], [0.80, 0.035]])
_LOW = np.array([[0.0, 0.0], [0.10, -0.05], [0.28, -0.115], [0.48, -0.12], [0.66, -0.07], [0.80, -0.03]])


def paint_fish(easel: Easel, seed: int, unit: str, day: int, count: int = 6) -> None:
    """Paint a loose shoal somewhere in the open water, on the canvas and its mask channel."""
    chance = generator(seed, unit, "fish", day)
    heading = 1.0 if chance.random() < 0.5 else -1.0
    middle = np.array([chance.uniform(10, 33), chance.uniform(15, 27)])
    for _ in range(count):
        x, height = middle + chance.normal(0, (4.2, 1.9))
        depth = chance.uniform(8, 20)
        side = heading if chance.random() < 0.85 else -heading
        _paint_one(easel, (float(np.clip(x, 4, 41)), float(np.clip(height, 12, 30)), depth), side, chance)


def _paint_one(easel: Easel, place: tuple[float, float, float], side: float, chance: np.random.Generator) -> None:
    """One fish at (x, height, depth) in cm; side +1 swims to the right."""
    import cv2

    x, height, depth = place
    turn, length_cm = chance.normal(0, 0.12), chance.uniform(1.9, 2.5)
    view = easel.view
    size = length_cm * view.px_per_cm * float(view.shrink(depth))
    at = view.point(x, height, depth)
    short = chance.uniform(0.75, 1.0)  # not all are seen square from the side
    light = float(lamp_light(x, height, depth))

    def placed(shape: np.ndarray) -> np.ndarray:
        px = np.stack([(shape[:, 0] - 0.45) * -side * short, -shape[:, 1]], -1) * size
        turned = px @ np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        return ((at + turned) * 16).astype(np.int32)

    def tone(linear: np.ndarray, shade: float) -> tuple[int, ...]:
        return (*bytes_from_linear(seen_through_water(linear * light * shade, np.array(depth), height)).tolist(), 255)

    tail = np.array([[0.78, 0.02], [0.98, 0.10], [0.92, 0.0], [0.98, -0.10], [0.78, -0.02]])
    fin = np.array([[0.42, 0.10], [0.52, 0.20], [0.60, 0.08]])
    for shape in (tail, fin, fin * (1, -0.9)):
        cv2.fillPoly(easel.canvas, [placed(shape)], tone(_SIDE, 0.75), cv2.LINE_AA, 4)
    cv2.fillPoly(easel.canvas, [placed(np.concatenate([_TOP, _LOW[::-1]]))], tone(_SIDE, 1.0), cv2.LINE_AA, 4)
    cv2.fillPoly(easel.canvas, [placed(np.concatenate([_TOP, (_TOP * (1, 0.35))[::-1]]))], tone(_BACK, 1.0), cv2.LINE_AA, 4)
    cv2.fillPoly(easel.canvas, [placed(np.concatenate([_LOW * (1, 0.5), _LOW[::-1]]))], tone(_BELLY, 1.0), cv2.LINE_AA, 4)
    stripe = np.array([[0.14, 0.012], [0.45, 0.03], [0.80, 0.008], [0.45, 0.0]])
    cv2.fillPoly(easel.canvas, [placed(stripe)], tone(_STRIPE, 1.25), cv2.LINE_AA, 4)
    eye = placed(np.array([[0.085, 0.012]]))[0].tolist()
    cv2.circle(easel.canvas, eye, round(size * 0.032 * 16), tone(_BELLY, 0.9), -1, cv2.LINE_AA, 4)
    cv2.circle(easel.canvas, eye, round(size * 0.020 * 16), (14, 14, 16, 255), -1, cv2.LINE_AA, 4)
