"""The phone and its rough holder: where the tank falls in the picture, and what lens, sensor and phone do to the light."""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairtank.simulation.chance import generator
from fairtank.simulation.light import linear_from_srgb, srgb_from_linear
from fairtank.trial import Corners

TANK_WIDTH_CM, TANK_DEPTH_CM, TANK_HEIGHT_CM = 45.0, 28.0, 36.0
EYE_DISTANCE_CM, EYE_HEIGHT_CM = 112.0, 22.0
WATER_INDEX = 1.333
# Widest nominal picture [px] and its scale on the front glass.
_NOMINAL_WIDTH_PX, _NOMINAL_PX_PER_CM = 2048, 33.0
_MARGIN = 48  # px around the nominal picture, so that a shaken camera never looks past the painted scene


@dataclass(frozen=True)
class View:
    """Nominal view: a canvas slightly larger than the photo, with the front glass as an upright rectangle on it."""

    width_px: int
    height_px: int

    @property
    def scale(self) -> float:
        """Size relative to the nominal 2048 px wide picture."""
        return self.width_px / _NOMINAL_WIDTH_PX

    @property
    def px_per_cm(self) -> float:
        """Scale on the front glass [px/cm]."""
        return _NOMINAL_PX_PER_CM * self.scale

    @property
    def margin_px(self) -> int:
        """Canvas margin on each side [px]."""
        return math.ceil(_MARGIN * self.scale)

    @property
    def canvas(self) -> tuple[int, int]:
        """Rows and columns of the canvas."""
        return self.height_px + 2 * self.margin_px, self.width_px + 2 * self.margin_px

    @property
    def left_px(self) -> float:
        """Canvas x of the front glass's left edge."""
        return (self.canvas[1] - TANK_WIDTH_CM * self.px_per_cm) / 2

    @property
    def top_px(self) -> float:
        """Canvas y of the front glass's top edge."""
        return self.margin_px + 0.575 * (self.height_px - TANK_HEIGHT_CM * self.px_per_cm)

    @property
    def tank_box(self) -> tuple[slice, slice]:
        """Rows and columns of the canvas that hold the front glass."""
        top, left = round(self.top_px), round(self.left_px)
        return slice(top, top + round(TANK_HEIGHT_CM * self.px_per_cm)), slice(left, left + round(TANK_WIDTH_CM * self.px_per_cm))

    def point(self, x_cm: np.ndarray | float, height_cm: np.ndarray | float, depth_cm: np.ndarray | float = 0.0) -> np.ndarray:
        """Canvas px (..., 2) of a point behind the front glass: x from the left, height above the outer bottom, depth into the water."""
        shrink = 1 / (1 + np.asarray(depth_cm, float) / WATER_INDEX / EYE_DISTANCE_CM)
        x = TANK_WIDTH_CM / 2 + (np.asarray(x_cm, float) - TANK_WIDTH_CM / 2) * shrink
        height = EYE_HEIGHT_CM + (np.asarray(height_cm, float) - EYE_HEIGHT_CM) * shrink
        x, height = np.broadcast_arrays(x, height)
        return np.stack([self.left_px + x * self.px_per_cm, self.top_px + (TANK_HEIGHT_CM - height) * self.px_per_cm], -1)

    def shrink(self, depth_cm: np.ndarray | float) -> np.ndarray:
        """How much smaller a thing looks at that depth."""
        return 1 / (1 + np.asarray(depth_cm, float) / WATER_INDEX / EYE_DISTANCE_CM)


@dataclass(frozen=True)
class Shot:
    """One exposure: the homography from canvas to photo, the gains of the channels in linear light, and the noise."""

    homography: np.ndarray
    gains: tuple[float, float, float]
    noise: float


def shot(view: View, seed: int, unit: str, day: int) -> Shot:
    """How the phone stood and how it exposed on that day; the holder keeps it within a few mm."""
    import cv2

    height, width = view.canvas
    place = generator(seed, unit, "holder")
    shake = generator(seed, unit, "shake", day)
    s, margin = view.scale, view.margin_px
    corners = np.array([[margin, margin], [width - margin, margin], [width - margin, height - margin], [margin, height - margin]], float)
    middle = corners.mean(0)
    angle = math.radians(0.25 * place.standard_normal() + 0.16 * np.clip(shake.standard_normal(), -2, 2))
    zoom = 1 + 0.004 * np.clip(shake.standard_normal(), -2, 2) - 0.004
    turn = zoom * np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    move = s * (5 * np.clip(place.standard_normal(2), -2, 2) + 5 * np.clip(shake.standard_normal(2), -2, 2))
    keystone = s * (4 * np.clip(place.standard_normal((4, 2)), -2, 2) + 2.5 * np.clip(shake.standard_normal((4, 2)), -2, 2))
    target = (corners - middle) @ turn.T + (view.width_px / 2, view.height_px / 2) + move + keystone
    homography = cv2.getPerspectiveTransform(corners.astype(np.float32), target.astype(np.float32))
    light = generator(seed, unit, "exposure", day)
    exposure = math.exp(0.030 * light.standard_normal())
    balance = np.exp(0.018 * light.standard_normal(3))
    gains = exposure * balance / balance.mean()
    return Shot(homography, (float(gains[0]), float(gains[1]), float(gains[2])), float(0.9 + 0.2 * light.random()))


def corners_in_photo(view: View, homography: np.ndarray) -> Corners:
    """The four corners of the front glass in px of the photo: top-left, top-right, bottom-right, bottom-left."""
    x0, y0 = view.left_px, view.top_px
    x1, y1 = x0 + TANK_WIDTH_CM * view.px_per_cm, y0 + TANK_HEIGHT_CM * view.px_per_cm
    flat = np.array([[x0, y0, 1], [x1, y0, 1], [x1, y1, 1], [x0, y1, 1]]) @ homography.T
    points = flat[:, :2] / flat[:, 2:]
    a, b, c, d = ((float(x), float(y)) for x, y in points)
    return a, b, c, d


@lru_cache(maxsize=2)
def _lens_and_sensor(width_px: int, height_px: int) -> tuple[np.ndarray, np.ndarray]:
    """Vignetting (uint8, 255 = none) and a tile of standard noise (int16, 64 = one standard deviation), grain of about 1.3 px."""
    import cv2

    y, x = np.mgrid[-1 : 1 : height_px * 1j, -1 : 1 : width_px * 1j].astype(np.float32)
    fall = 255 * (1 - 0.13 * np.clip((x * x + 0.7 * y * y) / 1.7, 0, 1) ** 1.5)
    shape = (height_px + 257, width_px + 257, 3)
    chance = np.random.default_rng(20260301)
    part = cv2.GaussianBlur(chance.standard_normal((1024, 1024, 3), dtype=np.float32), (0, 0), 0.55)
    part = (part * (64 / part.std())).astype(np.int16)
    tile = np.tile(part, (-(-shape[0] // 1024), -(-shape[1] // 1024), 1))[: shape[0], : shape[1]]
    return cv2.merge([fall.astype(np.uint8)] * 3), np.ascontiguousarray(tile)


def develop(canvas: np.ndarray, view: View, exposure: Shot, chance: np.random.Generator) -> np.ndarray:
    """The photo as the phone stores it: placed, exposed, with sensor noise, sharpened; uint8 RGB."""
    import cv2

    size = (view.width_px, view.height_px)
    photo: np.ndarray = cv2.warpPerspective(canvas, exposure.homography, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    vignette, tile = _lens_and_sensor(*size)
    photo = cv2.multiply(photo, vignette, scale=1 / 255)
    levels = linear_from_srgb(np.arange(256) / 255)
    table = np.stack([srgb_from_linear(_shoulder(levels * gain)) * 255 + 0.5 for gain in exposure.gains], -1)
    photo = cv2.LUT(photo, table.astype(np.uint8)[None])
    top, left = chance.integers(0, 257, 2)
    part = tile[top : top + size[1], left : left + size[0]]
    # Shot noise: variance in linear light grows with light; the sRGB curve turns that into a little more noise in the shadows.
    shadow = np.clip(1.9 - 0.9 * np.arange(256) / 150, 0.75, 1.9) * exposure.noise
    size_of_noise = cv2.LUT(photo, (shadow * 60).astype(np.uint8))
    noise = cv2.multiply(part, size_of_noise.astype(np.int16), scale=1.6 / (64 * 60), dtype=cv2.CV_16S)
    photo = cv2.add(photo, noise, dtype=cv2.CV_8U)
    soft = cv2.GaussianBlur(photo, (0, 0), 1.3 * view.scale)
    return cv2.addWeighted(photo, 1.55, soft, -0.55, 0)


def _shoulder(linear: np.ndarray) -> np.ndarray:
    """Highlights roll off above 0.85 instead of clipping hard."""
    return np.where(linear <= 0.85, linear, 0.85 + 0.15 * np.tanh((linear - 0.85) / 0.15))
