"""The strip wall: one row for each unit, one column for each day, photos in line, so that one day is one column."""

import base64
import functools
import io
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any
from xml.etree import ElementTree

from fairtank.publish.arms import ArmLook, arm_words
from fairtank.publish.charts import FONT, INK, QUIET_INK, tidy_svg
from fairtank.publish.content import UnitPictures
from fairtank.publish.numbers import shortened
from fairtank.trial import Event, PhotoQuality, Plan

SCREEN_DAYS, PAPER_DAYS = 14, 10
MANY_DAYS = 70
_CELL, _LABEL, _HEAD, _GAP = 66, 92, 24, 4
_AT_ONCE = 2


def wall_days(pictures: Sequence[UnitPictures]) -> list[int]:
    """The days that are columns: every day from the first photo to the last, or, in a long trial, the days with a photo only."""
    days = sorted({day for own in pictures for day, _ in own.thumbnails})
    if not days or days[-1] - days[0] >= MANY_DAYS:
        return days
    return list(range(days[0], days[-1] + 1))


def left_out(plan: Plan, events: Sequence[Event], qualities: Sequence[PhotoQuality]) -> dict[tuple[str, int], str]:
    """Which (unit, day) the analysis did not use, with the word that the wall prints over it."""
    words: dict[tuple[str, int], str] = {}
    usable = {(quality.unit, quality.day) for quality in qualities if quality.quality != "not usable"}
    for quality in qualities:
        if quality.quality == "not usable" and (quality.unit, quality.day) not in usable:
            words[quality.unit, quality.day] = "not used"
    for event in events:
        for unit in event.units or tuple(unit.key for unit in plan.units):
            if event.effect == "exclude_unit":
                words.update({(unit, day): "left out" for day in range(plan.days + 1)})
            elif event.effect == "exclude_window":
                words.update({(unit, day): "left out" for day in range(event.day_from, event.day_until + 1)})
    return words


def strip_wall(plan: Plan, pictures: Sequence[UnitPictures], looks: dict[str, ArmLook], unused: dict[tuple[str, int], str], *,
               days_per_block: int = SCREEN_DAYS) -> list[tuple[str, str]]:
    """The wall in blocks of so many days, each an SVG with one JPEG strip for each row, and its description.

    Parameters
    ----------
    plan : Plan
        For the order of the units and their arms.
    pictures : sequence of UnitPictures
        Thumbnails by unit; a day without one stays blank paper.
    looks : dict of str to ArmLook
        How each arm is drawn.
    unused : dict of (unit, day) to str
        Photos that the analysis did not use: they are hatched and carry the word.
    days_per_block : int
        Columns before the next row of blocks begins.

    Returns
    -------
    list of (str, str)
        SVG and description of each block; empty without a photo.
    """
    days = wall_days(pictures)
    by_unit = {own.unit: dict(own.thumbnails) for own in pictures if own.thumbnails}
    units = sorted((unit.key for unit in plan.units if unit.key in by_unit), key=lambda key: list(looks).index(plan.arm_of(key).key))
    height = _cell_height(by_unit)
    blocks = []
    for index in range(0, len(days), days_per_block):
        own_days = days[index: index + days_per_block]
        words = _description(plan, units, own_days, by_unit, looks, unused)
        svg = _block(plan, units, own_days, by_unit, looks, unused, height, days_per_block)
        blocks.append((tidy_svg(svg, key=f"wall{index // days_per_block}", description=words), words))
    return blocks


def _block(plan: Plan, units: list[str], days: list[int], by_unit: dict[str, dict[int, bytes]], looks: dict[str, ArmLook],
           unused: dict[tuple[str, int], str], height: int, columns: int) -> str:
    width, whole = _LABEL + columns * _CELL, _HEAD + len(units) * (height + _GAP) + 2
    root = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "xmlns:xlink": "http://www.w3.org/1999/xlink",
                                       "width": str(width),
                                       "height": str(whole), "viewBox": f"0 0 {width} {whole}", "font-family": FONT, "font-size": "13"})
    pattern = ElementTree.SubElement(ElementTree.SubElement(root, "defs"), "pattern", {
        "id": "hatch", "width": "7", "height": "7", "patternUnits": "userSpaceOnUse", "patternTransform": "rotate(45)"})
    ElementTree.SubElement(pattern, "rect", {"width": "3.4", "height": "7", "fill": "#ffffff", "fill-opacity": "0.9"})
    for column, day in enumerate(days):
        _words(root, _LABEL + column * _CELL + _CELL / 2, 15, f"day {day}" if column == 0 else str(day), anchor="middle", fill=QUIET_INK)
    with ThreadPoolExecutor(_AT_ONCE) as pool:  # the picture library holds no lock of Python's while it works
        strips = list(pool.map(lambda unit: _strip([by_unit[unit].get(day) for day in days], height), units))
    for row, unit in enumerate(units):
        top = _HEAD + row * (height + _GAP)
        look = looks[plan.arm_of(unit).key]
        _words(root, 0, top + height / 2 - 1, f"{look.letter}  {shortened(unit, 9)}", weight="bold")
        ElementTree.SubElement(root, "line", {"x1": "0", "x2": str(_LABEL - 16), "y1": str(top + height / 2 + 9),
                                              "y2": str(top + height / 2 + 9),
                                              "stroke": look.colour, "stroke-width": "3",
                                              "stroke-dasharray": " ".join(str(part) for part in look.dash)})
        if strips[row]:
            ElementTree.SubElement(root, "image", {"x": str(_LABEL), "y": str(top), "width": str(len(days) * _CELL), "height": str(height),
                                                   "preserveAspectRatio": "none", "xlink:href": strips[row]})
        for column, day in enumerate(days):
            _cell(root, _LABEL + column * _CELL, top, height, present=day in by_unit[unit], word=unused.get((unit, day)))
    return ElementTree.tostring(root, encoding="unicode")


def _cell(root: ElementTree.Element, left: float, top: float, height: int, *, present: bool, word: str | None) -> None:
    """Blank paper where no photo was taken; a hatch and a word over a photo that was not used."""
    box = {"x": str(left), "y": str(top), "width": str(_CELL - 2), "height": str(height)}
    if not present:
        ElementTree.SubElement(root, "rect", {**box, "x": str(left - 1), "width": str(_CELL), "fill": "#ffffff"})
        ElementTree.SubElement(root, "rect", {**box, "fill": "none", "stroke": "#c9c6bf", "stroke-width": "1"})
    elif word:
        ElementTree.SubElement(root, "rect", {**box, "fill": "url(#hatch)"})
        ElementTree.SubElement(root, "rect", {"x": str(left + 1), "y": str(top + height / 2 - 9), "width": str(_CELL - 4), "height": "18",
                                              "fill": "#ffffff"})
        _words(root, left + _CELL / 2 - 1, top + height / 2 + 4.5, word, anchor="middle")


def _words(root: ElementTree.Element, x: float, y: float, text: str, *, anchor: str = "start", weight: str = "normal",
           fill: str = INK) -> None:
    element = ElementTree.SubElement(root, "text", {"x": str(x), "y": str(y), "text-anchor": anchor, "font-weight": weight, "fill": fill})
    element.text = text


def _cell_height(by_unit: dict[str, dict[int, bytes]]) -> int:
    """Height of a cell from the shape of the first thumbnail, so that nothing is cut off."""
    from PIL import Image

    for own in by_unit.values():
        for picture in own.values():
            with Image.open(io.BytesIO(picture)) as image:
                return min(max(round((_CELL - 2) * image.height / image.width), 24), 96)
    return 40


def _strip(pictures: list[bytes | None], height: int) -> str:
    """One JPEG of a row's photos side by side, at twice the size of a cell, as a data address; empty where there are none."""
    from PIL import Image

    if not any(pictures):
        return ""
    sheet = Image.new("RGB", (len(pictures) * _CELL * 2, height * 2), (255, 255, 255))
    for column, picture in enumerate(pictures):
        if picture is not None:
            sheet.paste(_cell_picture(picture, height), (column * _CELL * 2, 0))
    held = io.BytesIO()
    sheet.save(held, "JPEG", quality=82, optimize=True)
    return "data:image/jpeg;base64," + base64.b64encode(held.getvalue()).decode("ascii")


@functools.lru_cache(maxsize=1024)
def _cell_picture(picture: bytes, height: int) -> Any:
    """A photo in the size of its cell; kept, because the walls of the screen and of the paper show the same ones."""
    from PIL import Image

    with Image.open(io.BytesIO(picture)) as image:
        return image.convert("RGB").resize(((_CELL - 2) * 2, height * 2))


def _description(plan: Plan, units: list[str], days: list[int], by_unit: dict[str, dict[int, bytes]], looks: dict[str, ArmLook],
                 unused: dict[tuple[str, int], str]) -> str:
    rows = []
    for unit in units:
        taken = [day for day in days if day in by_unit[unit]]
        hidden = [str(day) for day in taken if (unit, day) in unused]
        arm = arm_words(looks[plan.arm_of(unit).key], is_swap=plan.kind == "swap")
        rows.append(f"{shortened(unit, 30)}, {arm}: {len(taken)} of {len(days)} days photographed"
                    + (f", not used on day {', '.join(hidden)}" if hidden else ""))
    return f"Strip wall of days {days[0]} to {days[-1]}, one row for each tank. " + "; ".join(rows) + "."
