"""The strip wall of the public page: for each block of days one picture a unit, fetched when it comes into sight."""

import io
from collections.abc import Sequence
from dataclasses import dataclass, field

from fairtank.publish.arms import ArmLook, arm_words
from fairtank.publish.content import UnitPictures
from fairtank.publish.numbers import shown
from fairtank.publish.strip_wall import SCREEN_DAYS, wall_days
from fairtank.trial import Plan

CELL_PX, HEIGHT_LIMIT_PX, DENSITY = 66, 96, 2
_QUALITY = 72


@dataclass(frozen=True)
class Strip:
    """A unit's photos of a block of days side by side: file name, WebP bytes, what it shows in words, and its cells.

    cells: of each day the word that stands over it: empty over a photo that was used, `none` where there is no photo.
    """

    unit: str
    name: str
    webp: bytes = field(repr=False)
    description: str = ""
    cells: tuple[str, ...] = ()


@dataclass(frozen=True)
class WallBlock:
    """Some days of the wall: the days, and a strip for each unit, None for one without a photo in them. height_px: of a cell."""

    days: tuple[int, ...]
    strips: tuple[Strip, ...]
    height_px: int


def wall_blocks(plan: Plan, pictures: Sequence[UnitPictures], looks: dict[str, ArmLook],
                unused: dict[tuple[str, int], str]) -> tuple[WallBlock, ...]:
    """The wall in blocks of so many days as a screen has room for.

    Parameters
    ----------
    plan : Plan
        For the order of the units and their arms.
    pictures : sequence of UnitPictures
        Thumbnails by unit.
    looks : dict of str to ArmLook
        How each arm is called.
    unused : dict of (unit, day) to str
        Photos that the analysis did not use, with the word that stands over them.

    Returns
    -------
    tuple of WallBlock
        None without a photo.

    References
    ----------
    common_practice (keys from sources.py).
    """
    days = wall_days(pictures)
    by_unit = {own.unit: dict(own.thumbnails) for own in pictures if own.thumbnails}
    order = list(looks)
    units = sorted((unit for unit in plan.units if unit.key in by_unit), key=lambda unit: order.index(unit.arm))
    numbers = {unit.key: number for number, unit in enumerate(units)}
    height = _height(by_unit)
    blocks = []
    for place in range(0, len(days), SCREEN_DAYS):
        own = tuple(days[place:place + SCREEN_DAYS])
        strips = []
        for unit in units:
            there = by_unit[unit.key]
            cells = tuple("none" if day not in there else unused.get((unit.key, day), "") for day in own)
            words = _words(f"{shown(unit.key)}, {arm_words(looks[unit.arm], is_swap=plan.kind == 'swap')}", own, cells)
            strips.append(Strip(unit.key, f"wall/{place // SCREEN_DAYS}-{numbers[unit.key]}.webp",
                                _strip([there.get(day) for day in own], height), words, cells))
        blocks.append(WallBlock(own, tuple(strips), height))
    return tuple(blocks)


def _words(who: str, days: tuple[int, ...], cells: tuple[str, ...]) -> str:
    taken = sum(cell != "none" for cell in cells)
    hidden = [str(day) for day, cell in zip(days, cells, strict=True) if cell not in ("", "none")]
    text = f"{who}, days {days[0]} to {days[-1]}: {taken} of {len(days)} days photographed"
    return text + (f", not used on day {', '.join(hidden)}" if hidden else "")


def _height(by_unit: dict[str, dict[int, bytes]]) -> int:
    """Of a cell, from the shape of the first thumbnail. [px]"""
    from PIL import Image

    first = next((picture for own in by_unit.values() for picture in own.values()), None)
    if first is None:
        return 40
    with Image.open(io.BytesIO(first)) as image:
        return min(max(round((CELL_PX - 2) * image.height / image.width), 24), HEIGHT_LIMIT_PX)


def _strip(pictures: list[bytes | None], height: int) -> bytes:
    from PIL import Image

    sheet = Image.new("RGB", (len(pictures) * CELL_PX * DENSITY, height * DENSITY), (120, 120, 120))
    for column, picture in enumerate(pictures):
        if picture is not None:
            with Image.open(io.BytesIO(picture)) as image:
                sheet.paste(image.convert("RGB").resize((CELL_PX * DENSITY, height * DENSITY)), (column * CELL_PX * DENSITY, 0))
    held = io.BytesIO()
    sheet.save(held, "WEBP", quality=_QUALITY, method=4)
    return held.getvalue()
