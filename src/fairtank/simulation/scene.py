"""The front door of the renderer: one photo of one tank on one day, with the exact truth of what is visible in it.

The still parts of a tank are painted once and kept; a photo then lays films, plants in depth bands with their contact shadows,
glass and spots over them, and is developed by the camera. The scene is planar behind the lens: no parallax between days,
no lens distortion, no refraction at the surface.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fairtank.errors import InputError
from fairtank.simulation import algae, camera, fish, hardscape, room, substrate
from fairtank.simulation.card import paint_paper
from fairtank.simulation.carpet import paint_carpet
from fairtank.simulation.chance import generator
from fairtank.simulation.growth import TankState
from fairtank.simulation.leaves import TUFT_MASK, Easel
from fairtank.simulation.photo import RenderedPhoto
from fairtank.simulation.planting import Planting, planting
from fairtank.simulation.plants import Plant
from fairtank.simulation.rosettes import paint_rosette
from fairtank.simulation.scenario import Scenario
from fairtank.simulation.stems import paint_stem
from fairtank.simulation.truth import Glass, truth_of
from fairtank.simulation.water import Water, through_water, water_on

PHOTO_SIZE = (2048, 1536)
# Algae mask: 255 where tufts were drawn in the present band, this where algae are known to be visible.
_SEEN = 200


@dataclass(frozen=True)
class StillScene:
    """What does not change from day to day; canvases are uint8, masks of the tank box too (255 = yes).

    ground: room, water, floor, equipment. strip: mask of the substrate against the front glass. hardscape and its alpha.
    receives: where contact shadows fall. sides: mask of the side panes. coat: film. dots: spots on the front glass.
    """

    view: camera.View
    ground: np.ndarray
    strip: np.ndarray
    hardscape: np.ndarray
    hardscape_alpha: np.ndarray
    receives: np.ndarray
    sides: np.ndarray
    coat: algae.Film
    dots: algae.Spots
    planting: Planting
    lid: bool


@lru_cache(maxsize=2)
def still_scene(seed: int, unit: str, lid: bool, size: tuple[int, int]) -> StillScene:
    """The still parts of one tank."""
    view = camera.View(*size)
    rows, columns = view.tank_box
    plan = planting(seed, unit)
    ground = room.paint_room(view, generator(seed, unit, "room"))
    room.paint_interior(ground, view, generator(seed, unit, "water"))
    floor = substrate.paint_floor(ground, view, generator(seed, unit, "floor"))
    equipment = np.zeros(view.canvas, np.uint8)
    room.paint_equipment(ground, equipment, view)
    wood_and_stone, alpha = ground.copy(), np.zeros(view.canvas, np.uint8)
    chance = generator(seed, unit, "hardscape")
    for branch in plan.branches:
        hardscape.paint_branch(wood_and_stone, alpha, view, branch, chance)
    for stone in sorted(plan.stones, key=lambda stone: -stone.depth_cm):
        hardscape.paint_stone(wood_and_stone, alpha, view, stone, chance)
    strip = substrate.paint_front_strip(ground, view, generator(seed, unit, "strip"))
    box = np.s_[rows, columns]
    height = np.linspace(camera.TANK_HEIGHT_CM, 0, rows.stop - rows.start)[:, None]
    wet: np.ndarray = (height < room.WATER_LINE_CM - 0.3) & (height > substrate.FRONT_CM)
    open_glass = wet & ~strip[box] & (height > substrate.FRONT_CM + 0.1)
    walls = wet & ~strip[box] & ~floor[box] & (equipment[box] == 0)
    regions = {
        "glass": open_glass,
        "walls": walls,
        "floor": floor[box] & ~strip[box] & (alpha[box] < 128),
        "hardscape": (alpha[box] > 128) & ~strip[box],
    }
    receives = np.maximum((floor[box] & ~strip[box]) * np.uint8(255), np.where(walls, np.uint8(30), np.uint8(0)))
    coat = algae.film(view, generator(seed, unit, "film"), regions)
    dots = algae.spots(view, generator(seed, unit, "spots"))
    part = wood_and_stone[box].copy()
    from_middle = np.abs(np.arange(columns.stop - columns.start) - (columns.stop - columns.start) / 2)
    sides = walls & (from_middle > (camera.TANK_WIDTH_CM / 2) * view.px_per_cm * view.shrink(camera.TANK_DEPTH_CM))
    return StillScene(view, ground, strip[box] * np.uint8(255), part, alpha[box].copy(), receives, sides, coat, dots, plan, lid)


def render_photo(
    scenario: Scenario, unit_key: str, day: int, size: tuple[int, int] = PHOTO_SIZE, *, taken: camera.Shot | None = None
) -> RenderedPhoto:
    """The photo of one tank on one day, and its truth: a pure function of the scenario's seed, the tank and the day.

    Parameters
    ----------
    scenario : Scenario
        Seed, plan and growth.
    unit_key : str
        Which tank.
    day : int
        Whole days since the start. [d], 0 or more
    size : (int, int)
        Width and height of the photo, 4 to 3. [px], at least 512 wide
    taken : camera.Shot or None
        How the phone stood and how it exposed; None for what the scenario's seed gives.

    Returns
    -------
    RenderedPhoto
        The picture (uint8 RGB, upright) and its truth.

    Raises
    ------
    InputError
        If the tank is not one of the scenario's, the day is negative, or the size is too small.

    References
    ----------
    iec61966 (encoding of light); everything else is invented.
    """
    units = [unit.key for unit in scenario.plan.units]
    if unit_key not in units:
        raise InputError("unit_key", unit_key, ", ".join(units))
    if day < 0:
        raise InputError("day", day, "0 or more")
    if size[0] < 512 or abs(size[0] * 3 - size[1] * 4) > 8:
        raise InputError("size", f"{size[0]} x {size[1]}", "a 4 to 3 picture, at least 512 px wide")
    import cv2

    cv2.setNumThreads(1)
    lid = scenario.lid_on_changed and scenario.plan.arm_of(unit_key).role == "changed"
    still = still_scene(scenario.seed, unit_key, lid, size)
    canvas, plants, algae_seen, hidden = _paint_day(still, scenario, unit_key, day)
    stuck_over = paint_paper(canvas, still.view, scenario, unit_key)
    if stuck_over is not None:
        plants, algae_seen, hidden = plants & ~stuck_over, algae_seen & ~stuck_over, hidden | stuck_over
    exposure = taken or camera.shot(still.view, scenario.seed, unit_key, day)
    image = camera.develop(canvas, still.view, exposure, generator(scenario.seed, unit_key, "noise", day))
    label = np.zeros(still.view.canvas, np.uint8)
    label[still.view.tank_box] = np.where(algae_seen, 2, np.where(plants, 1, 0))
    spots = np.column_stack(algae.spots_seen(still.view, still.dots, scenario.state(unit_key, day).algae_pct))
    first, now = (water_on(scenario.water_course, moment) for moment in (0, day))
    glass = Glass(spots, hidden, still.ground[still.view.tank_box], first, now)
    return RenderedPhoto(image, truth_of(label, still.view, exposure, glass), scenario.taken_at(unit_key, day))


def truth_rows(scenario: Scenario, size: tuple[int, int] = PHOTO_SIZE) -> Iterator[dict[str, str | int | float | None]]:
    """The truth of every photo of a scenario, one row each (photo, unit, day, then measures), rendered tank by tank."""
    for photo in sorted(scenario.photos, key=lambda photo: (photo.unit, photo.day)):
        truth = render_photo(scenario, photo.unit, photo.day, size).truth
        yield {"photo": photo.path, "unit": photo.unit, "day": photo.day, **truth.row()}


def _paint_day(still: StillScene, scenario: Scenario, unit: str, day: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """The canvas of a day (RGB), where plants and algae are visible in the tank box, and where they hide the open water (bool)."""
    import cv2

    view, box = still.view, still.view.tank_box
    state = scenario.state(unit, day)
    share = state.algae_pct / 100
    ground = still.ground.copy()
    part = np.ascontiguousarray(ground[box])
    water = water_on(scenario.water_course, day)
    film_seen = algae.film_on(part, still.coat, "walls", share, 0.66) | algae.film_on(part, still.coat, "floor", share, 0.80, relief=True)
    _fill(part, view, water)
    ground[box] = part
    easel = Easel(cv2.cvtColor(ground, cv2.COLOR_RGB2RGBA), np.zeros(view.canvas, np.uint8), view)
    easel.canvas[..., 3] = 0
    algae_mask = easel.algae[box]
    algae_mask[film_seen] = _SEEN
    plants, receives = np.zeros(film_seen.shape, np.uint8), still.receives.copy()
    _paint_band(easel, still.planting.back, state, plants, receives, 0.5)
    fish.paint_fish(easel, scenario.seed, unit, day)
    _take_fish(easel, plants)
    _fill(easel.canvas[box], view, water)
    _lay_hardscape(easel, still, share, plants, receives)
    _paint_band(easel, still.planting.middle, state, plants, receives, 0.6)
    paint_carpet(easel, still.planting.carpet, state.carpet_fraction)
    _close_band(easel, plants, receives, 0.65)
    inner = ground
    strip = still.strip > 0
    part = cv2.cvtColor(np.ascontiguousarray(easel.canvas[box]), cv2.COLOR_RGBA2RGB)
    _fill(part, view, water)
    _mirror_in_sides(part, still.sides, (plants | algae_mask) > 0)
    part[strip] = still.ground[box][strip]
    plants[strip], algae_mask[strip] = 0, 0
    algae_mask[algae.film_on(part, still.coat, "glass", share, 0.82)] = _SEEN
    inner[box] = part
    hidden = (plants > 127) | (easel.algae[box] > 0)
    algae.paint_spots(inner, easel.algae, still.dots, state.algae_pct)
    room.paint_glass(inner, view, still.lid)
    return inner, plants > 127, easel.algae[box] > 0, hidden


def _fill(part: np.ndarray, view: camera.View, water: Water) -> None:
    """Lay one layer of the day's water over the tank box below the water line, in place."""
    if not water.is_clear:
        wet = part[round((camera.TANK_HEIGHT_CM - room.WATER_LINE_CM) * view.px_per_cm) :, :, :3]
        wet[...] = through_water(np.ascontiguousarray(wet), water)


def _paint_band(easel: Easel, band: tuple[Plant, ...], state: TankState, plants: np.ndarray, receives: np.ndarray, depth: float) -> None:
    """Paint the plants of one depth band and what they shade."""
    for plant in band:
        paint = paint_rosette if plant.form.habit == "rosette" else paint_stem
        paint(easel, plant, state.plant_fraction, state.algae_pct / 100)
    _close_band(easel, plants, receives, depth)


def _close_band(easel: Easel, plants: np.ndarray, receives: np.ndarray, strength: float) -> None:
    """End a depth band: contact shadow on what lies behind, then its plants join those already there."""
    import cv2

    box = easel.view.tank_box
    part = np.ascontiguousarray(easel.canvas[box])
    here = np.ascontiguousarray(part[..., 3])
    rows, columns = here.shape
    small = cv2.resize(here, (columns // 8, rows // 8), interpolation=cv2.INTER_AREA)
    near = cv2.GaussianBlur(small, (0, 0), 1.3 * easel.view.scale)
    wide = cv2.GaussianBlur(small, (0, 0), 4.5 * easel.view.scale)
    fall = max(1, round(0.10 * easel.view.px_per_cm))
    shade = np.roll(cv2.addWeighted(near, 0.55, wide, 0.60, 0), fall, axis=0)
    shade[:fall] = 0
    shade = cv2.resize(shade, (columns, rows), interpolation=cv2.INTER_LINEAR)
    shade = cv2.multiply(cv2.multiply(shade, receives, scale=strength / 255), cv2.bitwise_not(here), scale=1 / 255)
    algae_mask = easel.algae[box]
    tufts = (algae_mask == 255) & (here > TUFT_MASK - 34) & (here < TUFT_MASK + 34)
    algae_mask[algae_mask == 255] = 0
    algae_mask[here > 127] = 0
    algae_mask[tufts] = _SEEN
    light = cv2.bitwise_not(shade)
    part = cv2.multiply(part, cv2.merge([light, light, light, np.full_like(light, 255)]), scale=1 / 255)
    part[..., 3] = 0
    easel.canvas[box] = part
    np.maximum(plants, np.where(tufts, np.uint8(0), here), out=plants)
    np.maximum(receives, here, out=receives)


def _mirror_in_sides(part: np.ndarray, sides: np.ndarray, taken: np.ndarray) -> None:
    """The bare sides, seen at a grazing angle, faintly mirror what stands beside them; part is the tank box, in place."""
    for left in (True, False):
        view, mask, hidden = (a if left else a[:, ::-1] for a in (part, sides, taken))
        width = int(np.count_nonzero(mask[: len(mask) // 3, : mask.shape[1] // 2].any(0)))
        bare = mask[:, :width] & ~hidden[:, :width]
        panel, beside = view[:, :width], view[:, width : 2 * width][:, ::-1]
        panel[bare] = panel[bare] * 0.72 + beside[bare] * 0.20


def _take_fish(easel: Easel, plants: np.ndarray) -> None:
    """Where fish were painted, neither plants nor algae are seen."""
    box = easel.view.tank_box
    here = easel.canvas[box][..., 3] > 127
    plants[here] = 0
    easel.algae[box][here] = 0
    easel.canvas[..., 3] = 0


def _lay_hardscape(easel: Easel, still: StillScene, share: float, plants: np.ndarray, receives: np.ndarray) -> None:
    """Stones and wood with their film over what stands behind them."""
    box, alpha = easel.view.tank_box, still.hardscape_alpha
    stone = still.hardscape.copy()
    seen = algae.film_on(stone, still.coat, "hardscape", share, 0.80, relief=True)
    part = np.ascontiguousarray(easel.canvas[box][..., :3])
    algae.mix(part, stone, alpha)
    easel.canvas[box][..., :3] = part
    solid = alpha > 127
    plants[solid], receives[solid] = 0, 255
    easel.algae[box][solid] = 0
    easel.algae[box][seen & solid] = _SEEN
