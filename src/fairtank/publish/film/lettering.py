"""Words as px: each text is drawn once and kept, since the same words stand on hundreds of frames."""

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from fairtank.publish.cover_sheet import BOLD_FILE, FONT_FILE

if TYPE_CHECKING:
    from PIL import ImageFont

# Distance of two lines' tops, in parts of the letters' size.
LINE_HEIGHT = 1.32


@lru_cache(maxsize=64)
def _font(size_px: int, bold: bool) -> "ImageFont.FreeTypeFont":
    from PIL import ImageFont

    return ImageFont.truetype(str(BOLD_FILE if bold else FONT_FILE), size_px, layout_engine=ImageFont.Layout.BASIC)


@lru_cache(maxsize=4096)
def width_px(text: str, size_px: int, bold: bool = False) -> int:
    """How wide a line of text is. [px]"""
    return round(_font(size_px, bold).getlength(text))


@lru_cache(maxsize=512)
def mask(text: str, size_px: int, bold: bool = False) -> np.ndarray:
    """How much each px is covered by a line of text.

    Parameters
    ----------
    text : str
    size_px : int
    bold : bool

    Returns
    -------
    array of shape (height, width), uint8
        Its top is the top of the line, whatever letters stand in it.
    """
    from PIL import Image, ImageDraw

    font = _font(size_px, bold)
    ascent, descent = font.getmetrics()
    picture = Image.new("L", (max(width_px(text, size_px, bold) + 2, 1), ascent + descent))
    ImageDraw.Draw(picture).text((0, 0), text, fill=255, font=font)
    drawn = np.asarray(picture)
    drawn.setflags(write=False)
    return drawn


def wrapped(text: str, room_px: int, size_px: int, bold: bool = False) -> list[str]:
    """The text in lines that fit; a word that is longer than the room is broken.

    Parameters
    ----------
    text : str
        Words that are held together by no-break spaces stay together.
    room_px : int
        How wide a line may be. [px]
    size_px : int
    bold : bool

    Returns
    -------
    list of str
    """
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if width_px(longer, size_px, bold) <= room_px:
            line = longer
            continue
        lines += [line] if line else []
        *whole, line = _broken(word, room_px, size_px, bold)
        lines += whole
    return [*lines, line] if line else lines


def _broken(word: str, room_px: int, size_px: int, bold: bool) -> list[str]:
    parts = [""]
    for sign in word:
        if parts[-1] and width_px(parts[-1] + sign, size_px, bold) > room_px:
            parts.append("")
        parts[-1] += sign
    return parts


def fitted(text: str, room_px: int, size_px: int, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it is wider than the room."""
    if width_px(text, size_px, bold) <= room_px:
        return text
    kept = text
    while kept and width_px(kept.rstrip() + "…", size_px, bold) > room_px:
        kept = kept[:-1]
    return kept.rstrip() + "…"
