"""What goes wrong with photos, done to a finished picture: blur, exposure, light on the glass, things in front of it, a lowered water line.
Also what a keeper may do to a tank any day, and is nothing wrong with its photo: a heater, floating plants, a corner planted anew.

Every function takes an upright sRGB picture (array of shape (h, w, 3), uint8), where it matters the corners of the front glass in it
[px], and a strength; it gives a new picture. Light is added and taken away in linear light, as it would be in front of a lens.
"""

import math

import numpy as np

from fairtank.simulation.camera import EYE_DISTANCE_CM, TANK_DEPTH_CM, TANK_HEIGHT_CM, TANK_WIDTH_CM, WATER_INDEX
from fairtank.simulation.light import WATER_LINE_CM, bytes_from_linear, linear_from_srgb
from fairtank.simulation.texture import clouds
from fairtank.trial import Corners

_LEVELS = linear_from_srgb(np.arange(256) / 255).astype(np.float32)
# Noise of a dark photo in linear light: what the sensor reads without any light, and how it grows with light.
_READ_NOISE, _SHOT_NOISE = 0.0015, 0.010


def defocused(picture: np.ndarray, radius_px: float) -> np.ndarray:
    """Out of focus: every point of light becomes a disc of this radius [px]."""
    import cv2

    side = 2 * math.ceil(radius_px) + 1
    y, x = np.mgrid[:side, :side] - side // 2
    disc = np.clip(radius_px + 0.5 - np.hypot(x, y), 0, 1)
    blurred: np.ndarray = cv2.filter2D(_LEVELS[picture], -1, (disc / disc.sum()).astype(np.float32), borderType=cv2.BORDER_REPLICATE)
    return bytes_from_linear(blurred)


def shaken(picture: np.ndarray, length_px: float, angle_deg: float = 20.0) -> np.ndarray:
    """The phone moved during the exposure: every point becomes a line of this length [px]."""
    import cv2

    side = 2 * math.ceil(length_px / 2) + 3
    line = np.zeros((side, side), np.float32)
    half = np.array([math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))]) * length_px / 2
    middle = side // 2
    for step in np.linspace(-1, 1, 8 * side):
        x, y = middle + step * half
        line[round(y), round(x)] += 1
    blurred: np.ndarray = cv2.filter2D(_LEVELS[picture], -1, line / line.sum(), borderType=cv2.BORDER_REPLICATE)
    return bytes_from_linear(blurred)


def exposed(picture: np.ndarray, times: float, chance: np.random.Generator) -> np.ndarray:
    """This many times the light on the sensor: burnt out above 1, dark and noisy below."""
    return _noisy(_LEVELS[picture] * np.float32(times), chance, max(1.0, 1 / times) ** 0.5 if times < 1 else 0.5)


def glare_spot(
    picture: np.ndarray, corners: Corners, radius_cm: float, strength: float, at: tuple[float, float] = (0.35, 0.4)
) -> np.ndarray:
    """A lamp mirrored in the front glass, a soft bright patch. strength: light it adds in its middle; at: shares of width and height."""
    x, y = _places_cm(picture, corners)
    away = np.hypot(x - at[0] * TANK_WIDTH_CM, y - at[1] * TANK_HEIGHT_CM) / radius_cm
    return _lit(picture, strength * np.exp(-(away**4)), (1.0, 0.97, 0.90), _in_glass(x, y))


def window_reflection(
    picture: np.ndarray, corners: Corners, width_cm: float, strength: float, at: tuple[float, float] = (0.2, 0.15)
) -> np.ndarray:
    """A window of the room mirrored in the front glass: two bright panes with a bar between them, of daylight's colour."""
    x, y = _places_cm(picture, corners)
    u, v = (x - at[0] * TANK_WIDTH_CM) / width_cm, (y - at[1] * TANK_HEIGHT_CM + 0.06 * x) / (1.3 * width_cm)
    inside = _ramp(u, 0.0, 0.02) * _ramp(1 - u, 0.0, 0.02) * _ramp(v, 0.0, 0.02) * _ramp(1 - v, 0.0, 0.02)
    bar = _ramp(np.abs(u - 0.5), 0.02, 0.02)
    return _lit(picture, strength * inside * bar * (1.05 - 0.3 * v), (0.90, 0.97, 1.0), _in_glass(x, y))


def hand_before(picture: np.ndarray, corners: Corners, size_cm: float, chance: np.random.Generator) -> np.ndarray:
    """A hand and a forearm in front of the lower right part of the glass, too near to be sharp."""
    import cv2

    x, y = _places_cm(picture, corners)
    middle = np.array([0.62 * TANK_WIDTH_CM, 0.5 * TANK_HEIGHT_CM])
    shape = np.zeros(picture.shape[:2], np.float32)
    palm = np.hypot((x - middle[0]) / 1.0, (y - middle[1]) / 1.15) < size_cm * 0.5
    arm = (np.abs((x - middle[0]) * 0.8 + (y - middle[1]) * -0.6) < size_cm * 0.33) & ((x - middle[0]) * 0.6 + (y - middle[1]) * 0.8 > 0)
    shape[palm | arm] = 1
    for finger in range(4):
        lean = (finger - 1.5) * 0.22
        along = -(y - middle[1]) * math.cos(lean) + (x - middle[0]) * math.sin(lean)
        beside = (x - middle[0]) * math.cos(lean) + (y - middle[1]) * math.sin(lean) - (finger - 1.5) * size_cm * 0.22
        shape[(along > 0) & (along < size_cm * 1.0) & (np.abs(beside) < size_cm * 0.09)] = 1
    soft = 0.006 * picture.shape[1]
    alpha = cv2.GaussianBlur(shape, (0, 0), soft)[..., None]
    round_light = cv2.GaussianBlur(shape, (0, 0), 7 * soft)[..., None]
    skin = linear_from_srgb(np.array([205, 150, 122]) / 255).astype(np.float32)
    uneven = 1 + 0.05 * clouds(chance, picture.shape[:2], 0.12 * picture.shape[1], octaves=3)[..., None]
    return bytes_from_linear(_LEVELS[picture] * (1 - alpha) + alpha * skin * (0.45 + 0.6 * round_light) * uneven)


def condensation(picture: np.ndarray, corners: Corners, share: float, chance: np.random.Generator) -> np.ndarray:
    """Fog on the upper part of the front glass down to this share of its height, thinning out below, with runs of drops."""
    import cv2

    x, y = _places_cm(picture, corners)
    edge = share * TANK_HEIGHT_CM + 1.2 * clouds(chance, picture.shape[:2], 0.10 * picture.shape[1], octaves=4, stretch=0.4)
    alpha = (0.92 * _ramp(edge - y, 0.0, 2.5) * _in_glass(x, y)).astype(np.float32)
    runs = clouds(chance, picture.shape[:2], 0.012 * picture.shape[1], octaves=3, stretch=0.12)
    alpha = (alpha * np.clip(1.05 - 0.22 * np.clip(runs, 0, 2), 0.4, 1))[..., None]
    light = _LEVELS[picture]
    small = cv2.resize(light, None, fx=1 / 8, fy=1 / 8, interpolation=cv2.INTER_AREA)
    scattered = cv2.resize(cv2.GaussianBlur(small, (0, 0), 0.006 * picture.shape[1]), picture.shape[1::-1])
    fog = 0.75 * scattered + np.float32(0.10) + 0.15 * scattered.mean((0, 1))
    return bytes_from_linear(light * (1 - alpha) + fog * alpha)


def lid_closed(picture: np.ndarray, corners: Corners, share: float, chance: np.random.Generator) -> np.ndarray:
    """A closed lid, or a cloth, before this share of the frame from the top: grey plastic of even light."""
    x, y = _places_cm(picture, corners)
    alpha = (_ramp(share * TANK_HEIGHT_CM - y, 0.0, 0.1) * _in_glass(x, y))[..., None].astype(np.float32)
    grey = 0.16 * (1 - 0.004 * y) * (1 + 0.01 * clouds(chance, picture.shape[:2], 0.2 * picture.shape[1], octaves=3))
    plastic = grey[..., None].astype(np.float32) * np.array([1.0, 0.98, 0.95], np.float32)
    return bytes_from_linear(_LEVELS[picture] * (1 - alpha) + plastic * alpha)


def lights_off(picture: np.ndarray, corners: Corners, left: float, chance: np.random.Generator) -> np.ndarray:
    """The tank's lamp is off and the room is lit: this share of the light is left in the tank, and the lamp's pool on the wall is gone."""
    x, y = _places_cm(picture, corners)
    inside = _in_glass(x, y)
    pool = 0.62 * np.exp(-((np.hypot((x - 22.5) * 0.75, y + 10) / 11) ** 1.1))
    room = 0.36 / (0.30 + pool)
    light = _LEVELS[picture] * (inside * left + (1 - inside) * np.minimum(room, 1))[..., None].astype(np.float32)
    light = np.minimum(light, 0.5)  # the lamp itself
    return _noisy(light * np.array([1.06, 1.0, 0.90], np.float32), chance, 1.5)


def water_lowered(picture: np.ndarray, corners: Corners, share: float) -> np.ndarray:
    """The water line lowered by this share of the tank's height, as during a water change: above it the glass is dry and darker.

    The picture's own band around the water line moves down; what stood in the uncovered band is seen without water, dimmer and less blue.
    """
    import cv2

    size = (900, 720)
    per_cm = size[1] / TANK_HEIGHT_CM
    matrix = _matrix(corners, size)
    flat = cv2.warpPerspective(picture, matrix, size, flags=cv2.INTER_AREA)
    line, drop = round((TANK_HEIGHT_CM - WATER_LINE_CM) * per_cm), round(share * TANK_HEIGHT_CM * per_cm)
    band = round(1.4 * per_cm)
    low = flat.copy()
    dry = _LEVELS[flat[line : line + drop]] * np.array([0.62, 0.58, 0.52], np.float32)
    wall = _LEVELS[flat[2 + line // 3 : line - 4]].mean((0, 1))
    low[line - 6 : line - 6 + drop] = bytes_from_linear(0.55 * dry + 0.45 * wall)
    low[line + drop - 6 : line + drop + band] = flat[line - 6 : line + band]
    back = cv2.warpPerspective(low, np.linalg.inv(matrix), picture.shape[1::-1], flags=cv2.INTER_LINEAR)
    mask = np.zeros(size[::-1], np.uint8)
    side = round(0.5 * per_cm)
    mask[line - 6 : line + drop + band, side:-side] = 255
    alpha = cv2.warpPerspective(mask, np.linalg.inv(matrix), picture.shape[1::-1], flags=cv2.INTER_LINEAR)[..., None] / 255.0
    return np.round(picture * (1 - alpha) + back * alpha).astype(np.uint8)


def camera_moved(picture: np.ndarray, corners: Corners, sideways_cm: float) -> np.ndarray:
    """The camera stood this far to the right of its place: the glass is seen askew, and the inside shifts against it.

    A flat picture does not know how deep each leaf stood. The bed is taken as a plane that rises to the back wall, and all above it as
    standing two thirds of the way back: the shift of what is in the middle of a tank is right, that of single plants is not.
    """
    import cv2

    size = (1350, 1080)
    per_cm = size[0] / TANK_WIDTH_CM
    matrix = _matrix(corners, size)
    flat = cv2.warpPerspective(picture, matrix, size, flags=cv2.INTER_AREA)
    height = TANK_HEIGHT_CM - (np.arange(size[1], dtype=np.float32) + 0.5) / per_cm
    back = (2 / 3) * TANK_DEPTH_CM
    depth = np.clip((height - 3.0) / 5.0, 0, 1) * back / WATER_INDEX
    shift = sideways_cm * depth / (EYE_DISTANCE_CM + depth)
    x = np.arange(size[0], dtype=np.float32)[None] - (shift * per_cm)[:, None].astype(np.float32)
    y = np.repeat(np.arange(size[1], dtype=np.float32)[:, None], size[0], axis=1)
    inside = cv2.remap(flat, x.astype(np.float32), y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    rim = round(0.6 * per_cm)
    flat[rim:-rim, rim:-rim] = inside[rim:-rim, rim:-rim]
    whole = cv2.warpPerspective(flat, np.linalg.inv(matrix), picture.shape[1::-1], dst=picture.copy(), borderMode=cv2.BORDER_TRANSPARENT)
    turned: np.ndarray = cv2.warpPerspective(
        whole, _seen_from(picture, corners, sideways_cm), picture.shape[1::-1], borderMode=cv2.BORDER_REPLICATE)
    return turned


def heater_added(picture: np.ndarray, corners: Corners, at: float = 0.8) -> np.ndarray:
    """A heater hung in at this share of the width: a dark upright tube 2.4 cm thick, with a lighter glass part and its cable."""
    x, y = _places_cm(picture, corners)
    middle = at * TANK_WIDTH_CM
    away = np.abs(x - middle)
    tube = _ramp(1.2 - away, 0.0, 0.08) * _ramp(y - 5.0, 0.0, 0.1) * _ramp(25.0 - y, 0.0, 0.1)
    cable = _ramp(0.3 - np.abs(x - middle - 0.2), 0.0, 0.08) * _ramp(y - 0.5, 0.0, 0.1) * _ramp(5.0 - y, 0.0, 0.1)
    light = 0.02 + 0.10 * ((y > 8) & (y < 20)) + 0.10 * np.exp(-(((x - middle + 0.5) / 0.25) ** 2)) * (y > 8)
    alpha = np.maximum(tube, cable)[..., None].astype(np.float32)
    glass = light[..., None].astype(np.float32) * np.array([0.95, 1.0, 1.05], np.float32)
    return bytes_from_linear(_LEVELS[picture] * (1 - alpha) + glass * alpha)


def floating_plants(picture: np.ndarray, corners: Corners, share: float, chance: np.random.Generator) -> np.ndarray:
    """Floating plants over this share of the water surface, from the front: leaves at the water line, roots below it, less light."""
    import cv2

    size = (900, 720)
    per_cm = size[1] / TANK_HEIGHT_CM
    matrix = _matrix(corners, size)
    line = (TANK_HEIGHT_CM - WATER_LINE_CM) * per_cm
    shape, colour = np.zeros(size[::-1], np.float32), np.zeros((*size[::-1], 3), np.float32)
    for _ in range(round(150 * share)):
        x, y = chance.uniform(0.02, 0.02 + 0.96 * share) * size[0], line + per_cm * chance.uniform(-0.1, 0.6)
        for _ in range(4):
            bend = x + np.cumsum(chance.normal(0, 2.0, 12))
            root = np.column_stack([bend, y + np.linspace(0, per_cm * chance.uniform(0.8, 3.0), 12)]).round().astype(np.int32)
            cv2.polylines(shape, [root], False, 0.6, 1, cv2.LINE_AA)
            cv2.polylines(colour, [root], False, (0.12, 0.10, 0.06), 2)
        leaf = (round(x), round(y)), (round(per_cm * chance.uniform(0.5, 1.0)), round(per_cm * 0.28)), float(chance.normal(0, 12))
        green = np.array([0.10, 0.26, 0.05]) * chance.uniform(0.6, 1.3)
        cv2.ellipse(shape, leaf[0], leaf[1], leaf[2], 0, 360, 1.0, -1, cv2.LINE_AA)
        cv2.ellipse(colour, leaf[0], leaf[1], leaf[2], 0, 360, [float(part) for part in green], -1)
    back = [cv2.warpPerspective(part, np.linalg.inv(matrix), picture.shape[1::-1], flags=cv2.INTER_LINEAR) for part in (shape, colour)]
    across, down = _places_cm(picture, corners)
    shade = 1 - 0.25 * share * _in_glass(across, down) * (down > TANK_HEIGHT_CM - WATER_LINE_CM)
    alpha = back[0][..., None]
    return bytes_from_linear((_LEVELS[picture] * shade[..., None].astype(np.float32)) * (1 - alpha) + back[1] * alpha)


def replanted(picture: np.ndarray, corners: Corners, other: np.ndarray, other_corners: Corners, share: float = 0.35) -> np.ndarray:
    """The lower left corner, this share of width and height, planted anew: as it stands in the picture of another such tank."""
    import cv2

    source, target = np.array(other_corners, np.float32), np.array(corners, np.float32)
    there = cv2.warpPerspective(other, cv2.getPerspectiveTransform(source, target), picture.shape[1::-1], flags=cv2.INTER_LINEAR)
    x, y = _places_cm(picture, corners)
    inside = _ramp(x - 0.6, 0.0, 1.0) * _ramp(share * TANK_WIDTH_CM - x, 0.0, 2.0)
    alpha = inside * _ramp(y - (1 - share) * TANK_HEIGHT_CM, 0.0, 2.0) * _ramp(TANK_HEIGHT_CM - 0.6 - y, 0.0, 0.3)
    share_there = alpha[..., None].astype(np.float32)
    return bytes_from_linear(_LEVELS[picture] * (1 - share_there) + _LEVELS[there] * share_there)


def cut_off(content: bytes, share: float) -> bytes:
    """A file of which only this share was copied."""
    return content[: int(share * len(content))]


def _seen_from(picture: np.ndarray, corners: Corners, sideways_cm: float) -> np.ndarray:
    """The homography of the glass plane when the camera moves sideways and is turned back to the glass's middle."""
    import cv2

    turn = math.atan2(sideways_cm, EYE_DISTANCE_CM)
    source, target = np.array(corners, np.float32), []
    centre = source.mean(0)
    per_cm = float(np.hypot(*(source[1] - source[0]))) / TANK_WIDTH_CM
    for x, y in (source - centre) / per_cm:
        along, away = x * math.cos(turn), x * math.sin(turn)
        nearer = math.hypot(EYE_DISTANCE_CM, sideways_cm) / (math.hypot(EYE_DISTANCE_CM, sideways_cm) + away)
        target.append(centre + per_cm * np.array([along * nearer, y * nearer * EYE_DISTANCE_CM / math.hypot(EYE_DISTANCE_CM, sideways_cm)]))
    found: np.ndarray = cv2.getPerspectiveTransform(source, np.array(target, np.float32))
    return found


def _matrix(corners: Corners, size: tuple[int, int]) -> np.ndarray:
    """The homography from the photo to the glass as an upright picture of this size."""
    import cv2

    target = np.array([[0, 0], [size[0], 0], size, [0, size[1]]], np.float32)
    found: np.ndarray = cv2.getPerspectiveTransform(np.array(corners, np.float32), target)
    return found


def _places_cm(picture: np.ndarray, corners: Corners) -> tuple[np.ndarray, np.ndarray]:
    """Where every px of the photo lies on the plane of the front glass: cm from its top-left, to the right and down."""
    matrix = _matrix(corners, (TANK_WIDTH_CM, TANK_HEIGHT_CM)).astype(np.float32)  # type: ignore[arg-type]
    x = np.arange(picture.shape[1], dtype=np.float32)[None]
    y = np.arange(picture.shape[0], dtype=np.float32)[:, None]
    depth = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    return (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / depth, (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / depth


def _in_glass(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """1 inside the front glass, 0 outside."""
    inside: np.ndarray = ((x > 0) & (x < TANK_WIDTH_CM) & (y > 0) & (y < TANK_HEIGHT_CM)).astype(np.float32)
    return inside


def _ramp(value: np.ndarray, start: float, width: float) -> np.ndarray:
    """From 0 at start to 1 a width further on, smoothly."""
    part = np.clip((value - start) / width, 0, 1)
    smooth: np.ndarray = part * part * (3 - 2 * part)
    return smooth


def _lit(picture: np.ndarray, added: np.ndarray, colour: tuple[float, float, float], where: np.ndarray) -> np.ndarray:
    """Linear light of a colour added where the mask is 1."""
    return bytes_from_linear(_LEVELS[picture] + (added * where)[..., None].astype(np.float32) * np.array(colour, np.float32))


def _noisy(light: np.ndarray, chance: np.random.Generator, gain: float) -> np.ndarray:
    """Stored px of linear light with the noise of a sensor whose signal was raised this much."""
    spread = gain * np.sqrt(_READ_NOISE**2 + _SHOT_NOISE**2 * np.clip(light, 0, 1))
    return bytes_from_linear(light + spread * chance.standard_normal(light.shape, dtype=np.float32))
