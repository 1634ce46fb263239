"""Algae: a dusty film on glass, walls, floor and hardscape, and spots on the front glass.

A film takes its surface in a fixed order, so that it spreads from the same places every day and a time-lapse does not flicker.
"""

from dataclasses import dataclass

import numpy as np

from fairtank.simulation.camera import TANK_WIDTH_CM, View
from fairtank.simulation.light import WATER_LINE_CM, albedo, bytes_from_linear
from fairtank.simulation.substrate import FRONT_CM
from fairtank.simulation.texture import clouds, level_of_share, order_of_cover, steps

# How the algae that the model asks for are spread over the surfaces (shares; the rest are tufts on leaves). Invented.
FILM_SHARES = {"glass": 0.32, "walls": 0.20, "floor": 0.20, "hardscape": 0.20}

# Film counts as visible algae from this opacity on: a thinner one is still the surface behind it, to the eye and to the truth.
HALF_HIDDEN = 0.5


@dataclass(frozen=True)
class Film:
    """The film of one set of surfaces inside the tank box: order of cover (uint8) by surface, area of each [share of the box], look."""

    order: dict[str, np.ndarray]
    area: dict[str, float]
    colour: np.ndarray
    grain: np.ndarray


def film(view: View, chance: np.random.Generator, regions: dict[str, np.ndarray]) -> Film:
    """Film over regions (bool masks of the tank box), with its own speckle.

    Parameters
    ----------
    view : View
        The nominal view.
    chance : numpy.random.Generator
        Where the numbers come from.
    regions : dict of str to array of shape (rows, columns), bool
        The surfaces `glass`, `walls`, `floor`, `hardscape`.

    Returns
    -------
    Film
        Orders, areas and look.
    """
    import cv2

    shape = next(iter(regions.values())).shape
    height = np.linspace(36, 0, shape[0], dtype=np.float32)[:, None]
    x = np.linspace(0, TANK_WIDTH_CM, shape[1], dtype=np.float32)[None]
    side = np.minimum(x, TANK_WIDTH_CM - x)
    fine = clouds(chance, shape, 22 * view.scale, octaves=3)
    speck = cv2.GaussianBlur(chance.standard_normal(shape, dtype=np.float32), (0, 0), 1.3 * view.scale)
    speck = speck / speck.std()
    bias = {
        "glass": 3.4 * np.exp(-side / 2.2) + 2.2 * np.exp(-np.abs(height - FRONT_CM) / 1.3) + 1.3 * np.exp(-(WATER_LINE_CM - height) / 1.6),
        "walls": 2.6 * np.exp(-np.abs(side - 3.2) / 1.4) + 1.6 * np.exp(-np.abs(height - 10.5) / 3.0),
        "floor": np.zeros(shape, np.float32),
        "hardscape": 0.035 * (height - 10),
    }
    grain_cm = {"glass": 6.0, "walls": 5.0, "floor": 1.6, "hardscape": 1.8}
    order, area = {}, {}
    for name, region in regions.items():
        field = clouds(chance, shape, grain_cm[name] * view.px_per_cm, octaves=5) + 0.22 * fine + 0.16 * speck + bias[name]
        order[name], area[name] = order_of_cover(field, region), float(region.mean())
    dust = clouds(chance, shape, 4.2 * view.scale, octaves=2)
    dust = cv2.GaussianBlur(dust + 0.7 * chance.standard_normal(shape, dtype=np.float32), (0, 0), 0.8 * view.scale)
    dust = dust / dust.std()
    hue = np.clip(0.5 + 0.5 * clouds(chance, shape, 3.0 * view.px_per_cm, octaves=3), 0, 1)[..., None]
    light = (0.42 + 0.60 * np.clip(height / 33, 0, 1) ** 1.2)[..., None] * np.exp(0.20 * dust)[..., None]
    linear = (albedo(130, 110, 56) * hue + albedo(108, 115, 52) * (1 - hue)) * light
    colour = bytes_from_linear(linear)
    return Film(order, area, colour, np.clip(208 + 34 * dust, 120, 255).astype(np.uint8))


def film_on(part: np.ndarray, coat: Film, name: str, algae_share: float, opacity: float, *, relief: bool = False) -> np.ndarray:
    """Lay the film of one surface on the tank box (uint8 RGB, in place); returns where it is visible (bool): where
    it hides at least half of what lies behind, on every surface alike.

    relief: the film follows light and shade of what it lies on, as on stone and ground.
    """
    import cv2

    share = algae_share * FILM_SHARES[name] / max(coat.area[name], 1e-6)
    table = steps(level_of_share(min(share, 0.97)), 12.0)
    cover = cv2.LUT(coat.order[name], (table * 255 * opacity).astype(np.uint8))
    cover = cv2.multiply(cover, coat.grain, scale=1 / 240)
    colour = coat.colour
    if relief:
        shade = cv2.cvtColor(part, cv2.COLOR_RGB2GRAY)
        colour = cv2.multiply(colour, cv2.merge([cv2.add(shade, np.full_like(shade, 28))] * 3), scale=1 / 92)
    mix(part, colour, cover)
    return cv2.LUT(coat.order[name], (table * opacity > HALF_HIDDEN).astype(np.uint8)) > 0


def mix(part: np.ndarray, over: np.ndarray, alpha: np.ndarray) -> None:
    """Lay a picture over a part of another one with an opacity map; all uint8, in place."""
    import cv2

    weight = cv2.merge([alpha, alpha, alpha])
    below = cv2.multiply(part, cv2.bitwise_not(weight), scale=1 / 255)
    cv2.add(below, cv2.multiply(over, weight, scale=1 / 255), dst=below)
    part[...] = below


@dataclass(frozen=True)
class Spots:
    """Round spots on the front glass: canvas px, full radius [px], the algae cover [%] at which each appears."""

    centre: np.ndarray
    radius: np.ndarray
    from_pct: np.ndarray


def spots(view: View, chance: np.random.Generator, count: int = 90) -> Spots:
    """Where spots will appear on the front glass."""
    x = chance.uniform(0.9, TANK_WIDTH_CM - 0.9, count)
    height = FRONT_CM + 0.5 + (WATER_LINE_CM - FRONT_CM - 1.5) * chance.random(count)
    return Spots(view.point(x, height), chance.uniform(0.045, 0.105, count) * view.px_per_cm, 1.5 + 22 * chance.random(count) ** 0.8)


def spots_seen(view: View, seen: Spots, algae_pct: float) -> tuple[np.ndarray, np.ndarray]:
    """The spots that `paint_spots` paints: middles (n, 2) from the frame's top-left, and radii [cm]."""
    grown = np.clip((algae_pct - seen.from_pct) / 4, 0, 1) ** 0.5
    there = grown > 0.1
    places = (seen.centre[there] - (view.left_px, view.top_px)) / view.px_per_cm
    radius: np.ndarray = (seen.radius[there] * grown[there] + 0.8) / view.px_per_cm
    return places, radius


def paint_spots(canvas: np.ndarray, algae: np.ndarray, seen: Spots, algae_pct: float) -> None:
    """Paint the spots that have appeared, on the canvas and on the algae mask."""
    import cv2

    grown = np.clip((algae_pct - seen.from_pct) / 4, 0, 1) ** 0.5
    dark, body = (bytes_from_linear(albedo(84, 128, 52) * f).tolist() for f in (0.72, 1.0))
    for i in np.flatnonzero(grown > 0.1):
        at = tuple((seen.centre[i] * 16).astype(int).tolist())
        radius = float(seen.radius[i] * grown[i])
        cv2.circle(canvas, at, round((radius + 0.8) * 16), dark, -1, cv2.LINE_AA, 4)
        cv2.circle(canvas, at, round(radius * 0.8 * 16), body, -1, cv2.LINE_AA, 4)
        cv2.circle(algae, at, round((radius + 0.8) * 16), 255, -1, cv2.LINE_8, 4)
