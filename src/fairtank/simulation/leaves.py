"""Leaves on the canvas: two half-leaves with different light, a mid-rib, and tufts of algae on the edges of old leaves."""

from dataclasses import dataclass

import numpy as np

from fairtank.simulation.camera import View
from fairtank.simulation.light import albedo, bytes_from_linear

# Half width of a leaf along its length, as shares of its greatest half width.
PROFILES = {
    "lance": np.array([0.10, 0.72, 1.0, 0.90, 0.56, 0.0]),
    "oval": np.array([0.22, 0.88, 1.0, 0.98, 0.70, 0.0]),
    "round": np.array([0.25, 1.0, 1.0, 0.25]),
    "needle": np.array([0.8, 1.0, 0.7, 0.0]),
    "leaf": np.array([0.10, 0.14, 0.70, 1.0, 0.94, 0.78, 0.46, 0.0]),
    "strap": np.array([0.55, 0.85, 1.0, 1.0, 0.95, 0.85, 0.6, 0.0]),
}
# Value of the mask channel under plants, and under tufts of algae on them.
PLANT_MASK, TUFT_MASK = 255, 128
_TUFT_TONES = tuple((*bytes_from_linear(albedo(64, 74, 50) * shade).tolist(), TUFT_MASK) for shade in (0.50, 1.25))
_MOST_HAIRS = 22


@dataclass(frozen=True)
class Easel:
    """What a photo is painted on: canvas (rows, columns, 4) uint8, its fourth channel the plants of the present band; algae mask; view."""

    canvas: np.ndarray
    algae: np.ndarray
    view: View


@dataclass(frozen=True)
class Leaves:
    """Leaves in the order of painting, all arrays of shape (n,) or (n, 2) and (n, 3).

    foot: where the leaf starts [canvas px]. angle: its heading there [rad, 0 to the right, counter-clockwise]. bend: how far the heading
    turns up to the tip [rad]. length, width [px]. colour: linear light of the lit half. fold: light of the other half relative to it.
    tuft: 0 (clean) to 1, how far tufts of algae on its edge have grown.
    """

    foot: np.ndarray
    angle: np.ndarray
    bend: np.ndarray
    length: np.ndarray
    width: np.ndarray
    colour: np.ndarray
    fold: np.ndarray
    tuft: np.ndarray

    def taken(self, order: np.ndarray) -> "Leaves":
        """The leaves at these indices, in this order."""
        return Leaves(*(getattr(self, name)[order] for name in self.__dataclass_fields__))


def paint_leaves(easel: Easel, leaves: Leaves, profile: str, *, rib: float = 1.25) -> None:
    """Paint leaves in their order; rib is the light of the mid-rib relative to the lit half, 0 for none."""
    import cv2

    if not len(leaves.length):
        return
    shape = PROFILES[profile]
    t = np.linspace(0, 1, len(shape))
    heading = leaves.angle[:, None] + leaves.bend[:, None] * t
    ahead = np.stack([np.cos(heading), -np.sin(heading)], -1)
    step = (ahead[:, 1:] + ahead[:, :-1]) / 2 * (leaves.length / (len(t) - 1))[:, None, None]
    middle = leaves.foot[:, None] + np.concatenate([np.zeros_like(step[:, :1]), np.cumsum(step, 1)], 1)
    up = np.stack([-ahead[..., 1], ahead[..., 0]], -1)
    up *= np.where(np.cos(leaves.angle) > 0, -1, 1)[:, None, None]
    half = (leaves.width / 2)[:, None, None] * shape[:, None] * up
    upper = ((np.concatenate([middle, (middle + half)[:, ::-1]], 1)) * 16).astype(np.int32)
    lower = ((np.concatenate([middle, (middle - half)[:, ::-1]], 1)) * 16).astype(np.int32)
    lit, dim = (_with_mask(leaves.colour * f) for f in (1.0, leaves.fold[:, None]))
    ribs = _with_mask(leaves.colour * rib)
    spine = (middle[:, :-1] * 16).astype(np.int32)
    wide = leaves.width > 7 * easel.view.scale
    tufted = np.flatnonzero(leaves.tuft > 0.05)
    hairs = dict(zip(tufted.tolist(), _hairs(middle[tufted], half[tufted], leaves.tuft[tufted], easel.view.scale), strict=True))
    canvas = easel.canvas
    for i in range(len(lit)):
        cv2.fillPoly(canvas, [lower[i]], dim[i], cv2.LINE_AA, 4)
        cv2.fillPoly(canvas, [upper[i]], lit[i], cv2.LINE_AA, 4)
        if rib and wide[i]:
            cv2.polylines(canvas, [spine[i]], False, ribs[i], 1, cv2.LINE_AA, 4)
        if i in hairs:
            _paint_tuft(easel, hairs[i], float(leaves.tuft[i]))


def _with_mask(linear: np.ndarray) -> list[tuple[int, ...]]:
    colours = bytes_from_linear(linear)
    return [tuple(row) for row in np.concatenate([colours, np.full((len(colours), 1), PLANT_MASK, np.uint8)], 1).tolist()]


def _hairs(middle: np.ndarray, half: np.ndarray, grown: np.ndarray, scale: float) -> np.ndarray:
    """Hairs of tufts (tufts, hairs, 3 points, 2) in sixteenths of a px, rooted on the outer edges of leaves; more grown means longer."""
    number, k = np.arange(len(middle))[:, None], np.arange(_MOST_HAIRS)[None]
    place = (0.35 + 0.62 * ((k * 0.618 + number * 0.37) % 1)) * (middle.shape[1] - 1)
    i = np.minimum(place.astype(int), middle.shape[1] - 2)
    u, side = (place - i)[..., None], np.where(k % 2, 1, -1)[..., None]
    rows = np.broadcast_to(number, i.shape)
    edges = [middle[rows, at] + side * half[rows, at] for at in (i, i + 1)]
    root = edges[0] * (1 - u) + edges[1] * u
    sway = np.stack([np.sin(k * 2.1 + number), -0.55 + 0.5 * np.cos(k * 1.7 + number)], -1)
    sway = sway * ((3.0 + 7.0 * grown) * scale)[:, None, None]
    return (np.stack([root, root + 0.55 * sway, root + sway * (1.0, 1.2)], 2) * 16).astype(np.int32)


def _paint_tuft(easel: Easel, hairs: np.ndarray, grown: float) -> None:
    """Short dark hairs with a few pale ones, on the canvas and on the algae mask."""
    import cv2

    count = 8 + int((_MOST_HAIRS - 8) * grown)
    width = max(1, round(1.0 * easel.view.scale))
    dark, pale = list(hairs[: 2 * count // 3]), list(hairs[2 * count // 3 : count])
    cv2.polylines(easel.canvas, dark, False, _TUFT_TONES[0], width, cv2.LINE_AA, 4)
    cv2.polylines(easel.canvas, pale, False, _TUFT_TONES[1], width, cv2.LINE_AA, 4)
    cv2.polylines(easel.algae, dark + pale, False, 255, width + 1, cv2.LINE_8, 4)
