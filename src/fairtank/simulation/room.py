"""What stands still around the water: wall, lamp, stand, lit back wall, sides, water surface, glass edges and equipment."""

import numpy as np

from fairtank.simulation.camera import TANK_DEPTH_CM, TANK_HEIGHT_CM, TANK_WIDTH_CM, View
from fairtank.simulation.light import WATER_LINE_CM, albedo, bytes_from_linear, bytes_of_lit
from fairtank.simulation.texture import clouds

LAMP_HEIGHT_CM = 41.2
BOARD_CM = -0.5  # upper face of the stand at the front glass
_WALL = albedo(206, 198, 184)
_WOOD = albedo(134, 96, 66)
# Linear light of the lit back wall, of the sides relative to it, and of the water surface from below.
_MILK, _SIDE, _SURFACE = (np.array(colour, np.float32) for colour in ((0.66, 0.79, 0.86), (0.90, 1.0, 0.98), (0.70, 0.86, 0.92)))
# Heater and inlet pipe: x from the left, half width, lower and upper end above the outer bottom, depth [cm].
HEATER = (3.3, 0.75, 13.5, 34.6, 23.0)
INLET = (42.2, 0.62, 15.0, 36.0, 23.0)


def _grid(view: View) -> tuple[np.ndarray, np.ndarray]:
    """Canvas coordinates in cm on the front glass: x from its left, height above its bottom; float32."""
    rows, columns = view.canvas
    x = (np.arange(columns, dtype=np.float32) + 0.5 - view.left_px) / view.px_per_cm
    height = TANK_HEIGHT_CM - (np.arange(rows, dtype=np.float32) + 0.5 - view.top_px) / view.px_per_cm
    return x[None], height[:, None]


def paint_room(view: View, chance: np.random.Generator) -> np.ndarray:
    """The room without the tank: plaster wall lit by the lamp, lamp, board of the stand; uint8 RGB canvas."""
    import cv2

    x, height = _grid(view)
    edge = int(np.argmax(height[:, 0] < BOARD_CM))
    room = np.empty((*view.canvas, 3), np.uint8)
    room[:edge] = bytes_of_lit(_WALL, _wall_light(view, chance, x, height[:edge]))
    room[edge:] = bytes_of_lit(_WOOD, _board_light(view, chance, x, height[edge:]))
    _paint_lamp(room, view)
    return cv2.GaussianBlur(room, (0, 0), 0.7 * view.scale)


def _wall_light(view: View, chance: np.random.Generator, x: np.ndarray, height: np.ndarray) -> np.ndarray:
    """Light on the wall: a pool behind the lamp, and the plaster's fine and broad unevenness."""
    shape = len(height), x.shape[1]
    uneven = 0.012 * clouds(chance, shape, 9 * view.scale, octaves=3) + 0.03 * clouds(chance, shape, 500 * view.scale, octaves=2)
    light: np.ndarray = room_light(x, height) * (1 + uneven)
    return light


def room_light(x: np.ndarray, height: np.ndarray) -> np.ndarray:
    """Light that falls on what stands upright beside the tank or behind it: a pool around the lamp, dimmer further off."""
    from_lamp = np.hypot((x - 22.5) * 0.75, height - LAMP_HEIGHT_CM)
    light: np.ndarray = 0.30 + 0.62 * np.exp(-((from_lamp / 11) ** 1.1)) + 0.0012 * (height - 10)
    return light


def _board_light(view: View, chance: np.random.Generator, x: np.ndarray, height: np.ndarray) -> np.ndarray:
    """Light on the stand's board: its upper face in the tank's spill and shadow, its bright edge, its dim front, all with grain."""
    lip = BOARD_CM - 2.1
    shape = (len(height), x.shape[1])
    grain = clouds(chance, shape, 26 * view.scale, octaves=5, stretch=22.0)
    fine = clouds(chance, shape, 5 * view.scale, octaves=3, stretch=60.0)
    top = np.clip(0.62 - 0.5 * np.abs((x - 22.5) / 50) ** 2, 0.05, 1) * (0.55 + 0.45 * np.clip((BOARD_CM - height) / 1.6, 0, 1))
    shadow = np.where((x > -0.6) & (x < 45.6), 1 - 0.55 * np.exp(-np.clip(BOARD_CM - height, 0, None) / 0.35), 1)
    front = 0.20 * np.exp(-np.clip(lip - height, 0, None) / 14)
    stand = np.where(height > lip, top * shadow * 0.75, front) + 0.25 * np.exp(-(((height - lip) / 0.09) ** 2))
    light: np.ndarray = np.exp(0.16 * grain + 0.09 * fine) * stand
    return light


def _paint_lamp(room: np.ndarray, view: View) -> None:
    """A slim lamp on two feet above the tank, its glow on what is around it."""
    import cv2

    glow = np.zeros(room.shape[:2], np.uint8)
    low, high, depth = LAMP_HEIGHT_CM, LAMP_HEIGHT_CM + 1.3, 14.0
    for x in (0.25, 44.75):  # feet clipped to the rims of the sides
        a, b = view.point(x - 0.25, high - 0.2, depth), view.point(x + 0.25, TANK_HEIGHT_CM - 0.9, depth)
        cv2.rectangle(room, _whole(a), _whole(b), (58, 58, 60), -1, cv2.LINE_AA)
        cv2.line(room, _whole(a), (_whole(a)[0], _whole(b)[1]), (120, 120, 122), 1, cv2.LINE_AA)
    a, b = view.point(-0.2, high, depth), view.point(45.2, low, depth)
    rows = np.arange(int(a[1]), int(b[1]))
    for row in rows:
        tone = 46 + 70 * np.exp(-((row - a[1]) / (3 * view.scale)) ** 2) - 12 * (row - a[1]) / (b[1] - a[1])
        room[row, int(a[0]) : int(b[0])] = (tone, tone, tone + 2)
    for canvas, colour in ((room, (255, 255, 255)), (glow, 255)):
        cv2.rectangle(canvas, _whole(view.point(1.5, low, depth)), _whole(view.point(43.5, low - 0.24, depth)), colour, -1)
    small = cv2.resize(glow, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    halo = cv2.GaussianBlur(small, (0, 0), 9 * view.scale).astype(np.float32) * 0.8 + cv2.GaussianBlur(small, (0, 0), 36 * view.scale) * 1.0
    halo = cv2.resize(halo, (room.shape[1], room.shape[0]))
    halo = halo.clip(0, 255).astype(np.uint8)
    tinted = cv2.merge([cv2.convertScaleAbs(halo, alpha=share) for share in (0.85, 0.95, 1.0)])
    cv2.add(room, tinted, dst=room)


def _whole(point: np.ndarray) -> tuple[int, int]:
    return round(float(point[0])), round(float(point[1]))


def paint_interior(canvas: np.ndarray, view: View, chance: np.random.Generator) -> None:
    """Inside the front glass: lit frosted back wall, darker sides, the water surface from below, the dry rim above it."""
    x, height = _grid(view)
    rows, columns = view.tank_box
    x, height = x[:, columns], height[rows]
    shape = (rows.stop - rows.start, columns.stop - columns.start)
    corner = view.point(0, WATER_LINE_CM, TANK_DEPTH_CM) - (view.left_px, view.top_px)
    edge, back_line = float(corner[0]) / view.px_per_cm, TANK_HEIGHT_CM - float(corner[1]) / view.px_per_cm
    below = np.clip(WATER_LINE_CM - height, 0, None)
    glow = (0.20 + 0.80 * np.exp(-below / 15)) * (1 - 0.34 * np.abs((x - 22.5) / 22.5) ** 1.8)
    beam = np.exp(-(((x - 22.5) / (9 + 0.55 * below)) ** 2)) * np.exp(-below / 12) * 0.22
    inward = np.minimum(x, TANK_WIDTH_CM - x) / edge
    corners = 1 - 0.20 * np.exp(-np.abs(inward - 1) * edge / 0.25)
    light = (glow + beam) * corners * (1 + 0.010 * clouds(chance, shape, 220 * view.scale, octaves=4))
    # Sides: seen at a grazing angle they mirror the inside, dimmer.
    inside = bytes_of_lit(_MILK, light)
    panel = np.minimum(inward, 1)
    dimmed = bytes_of_lit(_MILK * _SIDE, light * (0.40 + 0.22 * panel))
    side = np.broadcast_to(inward < 1, shape)
    inside[side] = dimmed[side]
    # The surface from below mirrors the inside, broken up by small waves; it ends lower at the back than at the front.
    surface = (height > back_line + 0.25 * (1 - panel) * (WATER_LINE_CM - back_line)) & (height <= WATER_LINE_CM)
    waves = clouds(chance, shape, 16 * view.scale, octaves=3, stretch=9.0)
    ripple = clouds(chance, shape, 7 * view.scale, octaves=2, stretch=14.0)
    mirror = (0.66 + 0.07 * waves + 0.05 * ripple) * (1 - 0.25 * np.abs((x - 22.5) / 22.5) ** 2)
    inside[surface] = bytes_from_linear(_SURFACE * np.clip(mirror[surface], 0.15, 1.3)[:, None])
    dry = np.broadcast_to(height > WATER_LINE_CM, shape)
    inside[dry] = (canvas[rows, columns][dry] * np.array([0.90, 0.955, 0.94], np.float32) + 8).astype(np.uint8)
    canvas[rows, columns] = inside
    _paint_far_rims(canvas, view)


def _paint_far_rims(canvas: np.ndarray, view: View) -> None:
    """The upper edges of the back and of the sides, seen through the front glass."""
    import cv2

    left, right = view.point(np.array([0.0, TANK_WIDTH_CM]), TANK_HEIGHT_CM, TANK_DEPTH_CM)
    front_left, front_right = view.point(np.array([0.0, TANK_WIDTH_CM]), TANK_HEIGHT_CM)
    for a, b, width in ((left, right, 2.5), (front_left, left, 4.0), (front_right, right, 4.0)):
        cv2.line(canvas, _whole(a), _whole(b), (170, 204, 192), max(1, round(width * view.scale)), cv2.LINE_AA)
        cv2.line(canvas, _whole(a), _whole(b), (222, 240, 234), max(1, round(width / 3 * view.scale)), cv2.LINE_AA)


def paint_equipment(canvas: np.ndarray, alpha: np.ndarray, view: View) -> None:
    """A heater tube on the left and an inlet pipe on the right, both near the back, as shaded upright cylinders."""
    for (x, half, low, high, depth), tone, clear in ((HEATER, (44, 46, 48), 0.9), (INLET, (150, 164, 164), 0.55)):
        a, b = view.point(x - half, high, depth), view.point(x + half, low, depth)
        left, right, top, bottom = int(a[0]), int(b[0]), int(a[1]), int(b[1])
        u = np.linspace(-1, 1, right - left)
        shade = 0.55 + 0.55 * np.sqrt(1 - u**2 * 0.96) + 1.1 * np.exp(-(((u + 0.45) / 0.13) ** 2)) * 0.6
        v = np.linspace(0, 1, bottom - top)[:, None]
        colour = albedo(*tone) * (shade * (1.15 - 0.6 * v))[..., None] + 0.03
        solid = np.broadcast_to(np.clip(clear + 0.5 * u**4, 0, 1), shade.shape) * np.ones_like(v)
        if clear < 0.8:  # slots at the inlet's lower end
            slots = (np.sin(v * (bottom - top) / (3.0 * view.scale)) > 0.1) & (v > 0.86)
            colour, solid = np.where(slots[..., None], 0.03, colour), np.where(v > 0.86, 0.95, solid)
        else:  # a red mark and a lighter cap
            colour = np.where(((v > 0.94) & (v < 0.96))[..., None], albedo(190, 60, 40), colour)
            colour = np.where((v < 0.10)[..., None], colour * 2.4, colour)
        part = np.s_[top:bottom, left:right]
        mix = solid[..., None]
        canvas[part] = (canvas[part] * (1 - mix) + bytes_from_linear(colour) * mix).astype(np.uint8)
        alpha[part] = 255


def equipment_outline_cm(view: View, part: tuple[float, float, float, float, float]) -> tuple[tuple[float, float], ...]:
    """The rectangle around a piece of equipment on the front glass, with a little room [cm from the frame's top-left, y down]."""
    x, half, low, high, depth = part
    a, b = view.point(x - half, high, depth), view.point(x + half, low, depth)
    left, right = ((float(p[0]) - view.left_px) / view.px_per_cm for p in (a, b))
    top, bottom = ((float(p[1]) - view.top_px) / view.px_per_cm for p in (a, b))
    left, right, top, bottom = (round(v, 2) for v in (left - 0.25, right + 0.25, max(0.0, top - 0.25), bottom + 0.25))
    return (left, top), (right, top), (right, bottom), (left, bottom)


def paint_glass(canvas: np.ndarray, view: View, lid: bool) -> None:
    """The front glass's own edges, water line and rim; a cover glass on top if there is one."""
    import cv2

    s = view.scale
    rows, columns = view.tank_box
    top, bottom, left, right = rows.start, rows.stop - 1, columns.start, columns.stop - 1
    thick = round(0.5 * view.px_per_cm)
    for x0, x1 in ((left, left + thick), (right - thick, right)):
        part = canvas[top:bottom, x0:x1].astype(np.float32)
        u = np.linspace(0, 1, x1 - x0, dtype=np.float32)[None, :, None]
        u = u if x0 == left else 1 - u
        tone = np.array([150, 196, 182], np.float32) * (0.62 + 0.38 * np.cos(u * 9) ** 2)
        canvas[top:bottom, x0:x1] = np.clip(part * (0.55 + 0.3 * u) + tone * (0.40 - 0.26 * u), 0, 255).astype(np.uint8)
    base = canvas[bottom - thick : bottom, left:right].astype(np.float32)
    v = np.linspace(0, 1, thick, dtype=np.float32)[:, None, None]
    base = base[-1:] * 0.1 + base.mean(0, keepdims=True) * 0.15
    canvas[bottom - thick : bottom, left:right] = base + np.array([116, 156, 144], np.float32) * (0.42 + 0.34 * np.cos(v * 7) ** 2)
    line = round(top + (TANK_HEIGHT_CM - WATER_LINE_CM) * view.px_per_cm)
    for offset, light, weight in ((0, 245, 0.65), (round(2 * s), 60, 0.25), (round(-2 * s), 70, 0.18)):
        streak = canvas[line + offset : line + offset + max(1, round(1.6 * s)), left + thick : right - thick]
        streak[:] = streak * (1 - weight) + light * weight
    cv2.rectangle(canvas, (left, top), (right, top + max(2, round(0.14 * view.px_per_cm))), (186, 226, 212), -1)
    cv2.line(canvas, (left, top), (right, top), (236, 250, 246), max(1, round(1.2 * s)), cv2.LINE_AA)
    cv2.line(canvas, (left, top), (left, bottom), (176, 206, 198), max(1, round(1.4 * s)), cv2.LINE_AA)
    cv2.line(canvas, (right, top), (right, bottom), (150, 184, 176), max(1, round(1.4 * s)), cv2.LINE_AA)
    cv2.rectangle(canvas, (left - round(4 * s), bottom + 1), (right + round(4 * s), bottom + round(9 * s)), (26, 25, 25), -1)
    if lid:
        a = (left + round(10 * s), top - round(0.42 * view.px_per_cm))
        cv2.rectangle(canvas, a, (right - round(10 * s), top - round(2 * s)), (164, 210, 196), -1)
        cv2.line(canvas, a, (right - round(10 * s), a[1]), (226, 246, 238), max(1, round(1.5 * s)), cv2.LINE_AA)
