"""The photo card beside the rendered tank, and the stickers on the corners of its glass, painted from their layout in millimetres."""

import math

import numpy as np

from fairtank import card as layout
from fairtank.simulation.camera import TANK_HEIGHT_CM, TANK_WIDTH_CM, View
from fairtank.simulation.chance import generator
from fairtank.simulation.light import bytes_from_linear, linear_from_srgb
from fairtank.simulation.room import BOARD_CM, room_light
from fairtank.simulation.scenario import Scenario
from fairtank.trial import CardOfUnit, Corners

# Where the card stands: its left edge beside the glass, its foot on the board [cm].
CARD_LEFT_CM, CARD_FOOT_CM = -7.3, BOARD_CM
_PAPER = 0.88  # of the light that white paper gives back
_FLAT_PX_PER_MM = 12  # of the picture of a card before it is laid into the scene; a module of either marker is then whole px
_FINER = 4  # canvas px are this many px wide while paper is laid into the scene
_CODE_MM = 5.2  # height of the letters of a code
_LEVELS = linear_from_srgb(np.arange(256) / 255)  # a picture has no other levels: looked up, not worked out px by px
_PAPER_LEVELS = np.asarray(_LEVELS * _PAPER, np.float32)


def paint_paper(canvas: np.ndarray, view: View, scenario: Scenario, unit: str) -> np.ndarray | None:
    """Paint what the scenario has of paper into the canvas, in place: the card of a tank, the stickers on its glass.

    Returns where stickers hide the tank box (bool), or None where there are none.
    """
    own = next((one for one in scenario.cards_of_units if one.unit == unit), None)
    if own is None:
        return None
    if scenario.cards:
        _shade_foot(canvas, view, scenario.seed, unit)
        _lay(canvas, view, _flat_card(own), card_corners_cm(scenario.seed, unit))
    if not scenario.stickers:
        return None
    covered = np.zeros(view.canvas, bool)
    side = layout.STICKER_PAPER_MM / 10
    for corner in range(4):
        left = 0.0 if corner in (0, 3) else TANK_WIDTH_CM - side
        top = TANK_HEIGHT_CM if corner in (0, 1) else side
        corners = np.array([[left, top], [left + side, top], [left + side, top - side], [left, top - side]])
        covered |= _lay(canvas, view, _flat_sticker(own.card, corner), corners)
    return covered[view.tank_box]


def card_corners_cm(seed: int, unit: str) -> np.ndarray:
    """Corners of a tank's card, top-left first, clockwise: x from the left of the front glass, height above its bottom [cm]; (4, 2).

    It leans a little, differently beside each tank and always alike beside the same one.
    """
    chance = generator(seed, unit, "card")
    turn = math.radians(0.5 * float(np.clip(chance.standard_normal(), -2, 2)))
    width, height = layout.CARD_WIDTH_MM / 10, layout.CARD_HEIGHT_MM / 10
    flat = np.array([[0, height], [width, height], [width, 0], [0, 0]]) - (width / 2, 0)
    turned = flat @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    return np.asarray(turned - (0, turned[:, 1].min()) + (CARD_LEFT_CM + width / 2, CARD_FOOT_CM))


def card_corners_in_photo(view: View, homography: np.ndarray, seed: int, unit: str) -> Corners:
    """Corners of a tank's card in px of the photo: top-left, top-right, bottom-right, bottom-left."""
    lifted = np.column_stack([_on_canvas(view, card_corners_cm(seed, unit)), np.ones(4)]) @ homography.T
    a, b, c, d = ((float(x), float(y)) for x, y in lifted[:, :2] / lifted[:, 2:])
    return a, b, c, d


def _on_canvas(view: View, places_cm: np.ndarray) -> np.ndarray:
    """Canvas px of places in the plane of the front glass."""
    return np.asarray(view.point(places_cm[:, 0], places_cm[:, 1]))


def _flat_card(own: CardOfUnit) -> np.ndarray:
    """The card as printed, uint8 RGB, seen flat."""
    import cv2

    scale = _FLAT_PX_PER_MM
    flat = np.full((round(layout.CARD_HEIGHT_MM * scale), round(layout.CARD_WIDTH_MM * scale), 3), 255, np.uint8)
    for number, (x, y) in zip(layout.marker_numbers(own.card), layout.MARKER_PLACES_MM, strict=True):
        _put(flat, _marker(number, layout.MARKER_MM), x, y)
    for patch in layout.PATCHES:
        rows = slice(round(patch.y_mm * scale), round((patch.y_mm + patch.height_mm) * scale))
        flat[rows, round(patch.x_mm * scale) : round((patch.x_mm + patch.width_mm) * scale)] = patch.srgb
    for tick in range(layout.RULER_MM + 1):
        reach = 3.4 if tick % 10 == 0 else 2.6 if tick % 5 == 0 else 1.7
        column, row = round((layout.RULER_X_MM + tick) * scale), round(layout.RULER_Y_MM * scale)
        flat[row : round(row + reach * scale), column - 1 : column + 1] = 0
    x, y, width, height = layout.CODE_ROOM_MM
    font, thick = cv2.FONT_HERSHEY_DUPLEX, round(0.7 * scale)
    size = _CODE_MM * scale / cv2.getTextSize(own.code, font, 1.0, thick)[0][1]
    (wide, tall), _ = cv2.getTextSize(own.code, font, size, thick)
    shrink = min(1.0, (width - 1) * scale / wide)
    place = round((x + width / 2) * scale - wide * shrink / 2), round((y + height / 2) * scale + tall * shrink / 2)
    cv2.putText(flat, own.code, place, font, size * shrink, (36, 40, 44), thick, cv2.LINE_AA)
    return flat


def _flat_sticker(card: int, corner: int) -> np.ndarray:
    """A corner sticker as it was cut, uint8 RGB, seen flat, its triangle at the corner that counts."""
    import cv2

    side = round(layout.STICKER_PAPER_MM * _FLAT_PX_PER_MM)
    flat = np.full((side, side, 3), 255, np.uint8)
    _put(flat, _marker(layout.sticker_numbers(card)[corner], layout.STICKER_MM), layout.STICKER_MARGIN_MM, layout.STICKER_MARGIN_MM)
    x, y = (0 if corner in (0, 3) else side - 1), (0 if corner in (0, 1) else side - 1)
    leg = round(1.1 * _FLAT_PX_PER_MM)
    cv2.fillConvexPoly(flat, np.array([[x, y], [abs(x - leg), y], [x, abs(y - leg)]], np.int32), (0, 0, 0))
    return flat


def _marker(number: int, side_mm: float) -> np.ndarray:
    """A marker as OpenCV draws it, one channel."""
    import cv2

    known = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, layout.DICTIONARY))
    return np.asarray(cv2.aruco.generateImageMarker(known, number, round(side_mm * _FLAT_PX_PER_MM)))


def _put(flat: np.ndarray, part: np.ndarray, x_mm: float, y_mm: float) -> None:
    """Put a picture of one channel at its place, in place."""
    left, top = round(x_mm * _FLAT_PX_PER_MM), round(y_mm * _FLAT_PX_PER_MM)
    flat[top : top + part.shape[0], left : left + part.shape[1]] = part[..., None]


def _lay(canvas: np.ndarray, view: View, flat: np.ndarray, corners_cm: np.ndarray) -> np.ndarray:
    """Lay a flat picture into the scene, in place, averaged in linear light; returns the canvas px it covers by half or more."""
    import cv2

    corners = _on_canvas(view, corners_cm)
    left, top = np.floor(corners.min(0)).astype(int) - 1
    right, bottom = np.ceil(corners.max(0)).astype(int) + 1
    box = np.s_[max(0, top) : bottom, max(0, left) : right]
    left, top = max(0, left), max(0, top)
    rows, columns = canvas[box].shape[:2]
    tall, wide = flat.shape[:2]
    source = np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]], np.float32) - np.float32(0.5)
    target = ((corners - (left, top)) * _FINER - 0.5).astype(np.float32)
    matrix = cv2.getPerspectiveTransform(source, target)
    fine = columns * _FINER, rows * _FINER
    linear = _PAPER_LEVELS[flat]
    shrink = _FLAT_PX_PER_MM * 10 / (view.px_per_cm * _FINER)
    if shrink > 1:  # so that no px of the flat picture is passed over
        linear = np.asarray(cv2.GaussianBlur(linear, (0, 0), 0.4 * shrink), np.float32)
    paper = cv2.resize(cv2.warpPerspective(linear, matrix, fine, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), (columns, rows),
                       interpolation=cv2.INTER_AREA)
    inside = cv2.warpPerspective(np.ones((tall, wide), np.float32), matrix, fine, flags=cv2.INTER_LINEAR)
    share = cv2.resize(inside, (columns, rows), interpolation=cv2.INTER_AREA)
    x = (np.arange(columns, dtype=np.float32) + left + 0.5 - view.left_px) / view.px_per_cm
    height = TANK_HEIGHT_CM - (np.arange(rows, dtype=np.float32) + top + 0.5 - view.top_px) / view.px_per_cm
    lit = paper * room_light(x[None], height[:, None])[..., None].astype(np.float32)
    behind = _LEVELS[canvas[box]]
    canvas[box] = bytes_from_linear(behind * (1 - share[..., None]) + lit * share[..., None])
    covered = np.zeros(view.canvas, bool)
    covered[box] = share >= 0.5
    return covered


def _shade_foot(canvas: np.ndarray, view: View, seed: int, unit: str) -> None:
    """The card's own shadow on the board right below its foot, in place."""
    corners = _on_canvas(view, card_corners_cm(seed, unit))
    left, right = round(float(corners[3, 0])), round(float(corners[2, 0]))
    top = round(float(corners[:, 1].max()))
    reach = max(2, round(0.35 * view.px_per_cm))
    fall = 1 - 0.5 * np.exp(-3 * (np.arange(reach) + 0.5) / reach)
    part = canvas[top : top + reach, max(0, left) : right]
    part[...] = (part * fall[: len(part), None, None]).astype(np.uint8)
