"""Where photos, curve and words lie on the film: of all ways to lay out the tanks, the one that shows the photos largest."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.publish.film.content import UnitPhotos
from fairtank.publish.film.items import Rect

# Parts of the picture's short side.
_MARGIN, _GAP, _LABEL, _FOOT = 0.030, 0.024, 0.050, 0.052
_HEAD, _HEAD_TWO_ROWS = 0.090, 0.160
# The curve takes at least this share of the room beside or below the photos; beside them also this part of the short side.
_CURVE_BELOW, _CURVE_BESIDE, _NARROWEST_CURVE = 0.20, 0.19, 0.33


@dataclass(frozen=True)
class Cell:
    """One unit's place: its photo, and the line of words above it."""

    unit: str
    photo: Rect
    label: Rect


@dataclass(frozen=True)
class Layout:
    """Where everything lies. size_px: width and height of the picture. small_px: size of the smallest letters; other sizes follow it.

    curve: None where there is none. head_rows: 1 where question and day stand beside each other, 2 where below.
    """

    size_px: tuple[int, int]
    small_px: int
    margin_px: int
    head: Rect
    cells: tuple[Cell, ...]
    curve: Rect | None
    foot: Rect
    head_rows: int


def layout_of(photos: Sequence[UnitPhotos], size_px: tuple[int, int], *, with_curve: bool, groups: int = 0) -> Layout:
    """The layout that shows the photos largest.

    Parameters
    ----------
    photos : sequence of UnitPhotos
        In the order in which they stand.
    size_px : (int, int)
        Width and height of the picture. [px, even]
    with_curve : bool
    groups : int
        As many equally large groups of tanks follow each other, such as arms; 0 for none. Where there are as many columns, each takes one.

    Returns
    -------
    Layout
        All tanks are drawn to one scale: a px is the same part of a cm in each.
    """
    width, height = size_px
    short = min(size_px)
    head_rows = 1 if width > height else 2
    margin, head_px = _even(short * _MARGIN), _even(short * (_HEAD if head_rows == 1 else _HEAD_TWO_ROWS))
    foot = Rect(margin, height - _even(short * _FOOT), width - 2 * margin, _even(short * _FOOT))
    room = Rect(margin, head_px, width - 2 * margin, foot.y - head_px)
    tries = []
    for columns in range(1, len(photos) + 1):
        for beside in ((False, True) if with_curve else (False,)):
            tries.append(_tried(photos, room, short, columns, beside if with_curve else None, groups))
    _, cells, curve = max(tries, key=lambda tried: tried[0])
    head = Rect(margin, 0, width - 2 * margin, head_px)
    return Layout(size_px, max(round(short * 0.022), 6), margin, head, cells, curve, foot, head_rows)


def _tried(photos: Sequence[UnitPhotos], room: Rect, short: int, columns: int, beside: bool | None, groups: int
           ) -> tuple[float, tuple[Cell, ...], Rect | None]:
    """px per cm of one way to lay them out, with the places; beside: whether the curve stands beside the photos, None without a curve."""
    gap, label = _even(short * _GAP), _even(short * _LABEL)
    rows = -(-len(photos) // columns)
    width_cm, height_cm = max(one.width_cm for one in photos), max(one.height_cm for one in photos)
    wide = room.width - (_even(max(room.width * _CURVE_BESIDE, short * _NARROWEST_CURVE)) + gap if beside else 0)
    high = room.height - (_even(room.height * _CURVE_BELOW) + gap if beside is False else 0)
    scale = min((wide - (columns - 1) * gap) / columns / width_cm, (high - rows * label - (rows - 1) * gap) / rows / height_cm)
    across, down = _even(scale * width_cm), _even(scale * height_cm)
    used_wide, used_high = columns * across + (columns - 1) * gap, rows * (down + label) + (rows - 1) * gap
    left = room.x if beside else room.x + _even((room.width - used_wide) / 2)
    top = room.y + (0 if beside is False else _even((room.height - used_high) / 2))
    cells = []
    for place, one in enumerate(photos):
        column, row = (place // rows, place % rows) if groups == columns else (place % columns, place // columns)
        x, y = left + column * (across + gap), top + row * (down + label + gap)
        own_wide, own_high = _even(scale * one.width_cm), _even(scale * one.height_cm)
        photo = Rect(x + _even((across - own_wide) / 2), y + label + down - own_high, own_wide, own_high)
        cells.append(Cell(one.unit, photo, Rect(x, y, across, label)))
    if beside is None:
        return scale, tuple(cells), None
    if beside:
        at = left + used_wide + 2 * gap
        return scale, tuple(cells), Rect(at, top + label, room.right - at, used_high - label)
    return scale, tuple(cells), Rect(room.x, top + used_high + gap, room.width, room.bottom - top - used_high - gap)


def _even(value: float) -> int:
    """Down to an even whole number: colour is stored for two px at a time."""
    return int(value) // 2 * 2
