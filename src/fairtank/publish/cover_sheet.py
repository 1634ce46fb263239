"""A sheet of rendered tanks with their cover written below each, to choose a difference by."""

import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np

FONT_FILE = Path(__file__).parent / "fonts" / "AtkinsonHyperlegibleNext-Regular.ttf"
BOLD_FILE = FONT_FILE.with_name("AtkinsonHyperlegibleNext-Bold.ttf")
COLUMNS = 2
_GAP, _LABEL, _HEAD, _FOOT = 16, 44, 56, 40
_PAPER, _INK = (250, 248, 243), (28, 28, 28)
NOTE = "Rendered, invented tanks. Counted in the picture itself: the glass under water, without the bed's edge."


def cover_sheet(title: str, pictures: Sequence[tuple[np.ndarray, str]], *, quality: int = 88) -> bytes:
    """The pictures in two columns, each with its label, as a JPEG file.

    Parameters
    ----------
    title : str
        Stands above.
    pictures : sequence of (array (h, w, 3) uint8 sRGB, str)
        All of one size, with their labels.
    quality : int
        JPEG quality. [none], 1 to 95

    Returns
    -------
    bytes

    References
    ----------
    common_practice (keys from sources.py).
    """
    from PIL import Image, ImageDraw, ImageFont

    height, width = pictures[0][0].shape[:2]
    rows = -(-len(pictures) // COLUMNS)
    size = COLUMNS * width + (COLUMNS + 1) * _GAP, _HEAD + rows * (height + _LABEL + _GAP) + _FOOT
    sheet = Image.new("RGB", size, _PAPER)
    pen = ImageDraw.Draw(sheet)
    heading, label, note = (ImageFont.truetype(str(file), px) for file, px in ((BOLD_FILE, 30), (BOLD_FILE, 26), (FONT_FILE, 20)))
    pen.text((_GAP, 12), title, fill=_INK, font=heading)
    for number, (picture, words) in enumerate(pictures):
        x = _GAP + (number % COLUMNS) * (width + _GAP)
        y = _HEAD + (number // COLUMNS) * (height + _LABEL + _GAP)
        sheet.paste(Image.fromarray(picture), (x, y))
        pen.text((x, y + height + 6), words, fill=_INK, font=label)
    pen.text((_GAP, size[1] - _FOOT + 6), NOTE, fill=_INK, font=note)
    out = io.BytesIO()
    sheet.save(out, "JPEG", quality=quality)
    return out.getvalue()
