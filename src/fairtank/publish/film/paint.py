"""Items as px."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import hypot

import numpy as np

from fairtank.publish.film import lettering
from fairtank.publish.film.content import PictureOf
from fairtank.publish.film.items import PAPER, SHEET, Dot, Fill, Item, Photo, Rgb, Stroke, Words

# A photo of another day than the one that is told is mixed with this much paper.
VEIL = 0.55
_SUBPIXEL = 4  # bits of a px to which lines are placed


def blank(size_px: tuple[int, int]) -> np.ndarray:
    """An empty picture."""
    picture = np.empty((size_px[1], size_px[0], 3), np.uint8)
    clear(picture)
    return picture


def clear(picture: np.ndarray) -> None:
    """Make a picture empty paper again; row by row, which is several times as fast as px by px."""
    height, width = picture.shape[:2]
    picture.reshape(height, width * 3)[:] = np.tile(np.array(PAPER, np.uint8), width)


def paint(picture: np.ndarray, items: Iterable[Item], picture_of: PictureOf) -> None:
    """Paint items onto a picture, in their order.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
        Is changed.
    items : iterable of Item
    picture_of : callable
        The way to a photo; see `content.PictureOf`.
    """
    for item in items:
        if isinstance(item, Photo):
            _photo(picture, item, picture_of)
        elif isinstance(item, Fill):
            _fill(picture, item)
        elif isinstance(item, Words):
            _words(picture, item)
        elif isinstance(item, Stroke):
            _stroke(picture, item)
        else:
            _dot(picture, item)


def _photo(picture: np.ndarray, item: Photo, picture_of: PictureOf) -> None:
    import cv2

    place = item.place
    shown = picture_of(item.unit, item.day, place.width, place.height)
    if item.is_veiled:
        shown = cv2.transform(shown, np.column_stack([np.eye(3) * (1 - VEIL), VEIL * np.array(SHEET)]))
    picture[place.y:place.bottom, place.x:place.right] = shown


def _fill(picture: np.ndarray, item: Fill) -> None:
    place = item.place
    here = picture[max(place.y, 0):place.bottom, max(place.x, 0):place.right]
    if item.opacity >= 1:
        here[:] = item.colour
    else:
        here[:] = np.round(here * (1 - item.opacity) + np.array(item.colour) * item.opacity).astype(np.uint8)


def _words(picture: np.ndarray, item: Words) -> None:
    if not item.text:
        return
    drawn = lettering.mask(item.text, item.size_px, item.bold)
    share = {"left": 0.0, "middle": 0.5, "right": 1.0}[item.anchor]
    left, top = item.x - round(share * lettering.width_px(item.text, item.size_px, item.bold)), item.y
    shown = drawn[max(-top, 0):, max(-left, 0):]
    here = picture[max(top, 0):max(top, 0) + shown.shape[0], max(left, 0):max(left, 0) + shown.shape[1]]
    shown = shown[:here.shape[0], :here.shape[1], None].astype(np.uint16)
    here[:] = ((here * (255 - shown) + np.array(item.colour, np.uint16) * shown + 127) // 255).astype(np.uint8)


def _stroke(picture: np.ndarray, item: Stroke) -> None:
    import cv2

    lines = [np.round(np.array(part) * 2**_SUBPIXEL).astype(np.int32) for part in dashed(item.points, item.dash) if len(part) > 1]
    cv2.polylines(picture, lines, False, item.colour, item.width_px, cv2.LINE_AA, _SUBPIXEL)


def _dot(picture: np.ndarray, item: Dot) -> None:
    import cv2

    at, radius = (round(item.x * 2**_SUBPIXEL), round(item.y * 2**_SUBPIXEL)), round(item.radius_px * 2**_SUBPIXEL)
    cv2.circle(picture, at, radius, item.colour, -1, cv2.LINE_AA, _SUBPIXEL)


def dashed(points: Sequence[tuple[float, float]], dash: Sequence[int]) -> list[list[tuple[float, float]]]:
    """A line through points cut into its dashes.

    Parameters
    ----------
    points : sequence of (x, y)
    dash : sequence of int
        Lengths drawn and left out, in turn [px]; empty, or with nothing left out, for a solid line.

    Returns
    -------
    list of list of (x, y)

    Examples
    --------
    >>> dashed([(0.0, 0.0), (10.0, 0.0)], (6, 2))
    [[(0.0, 0.0), (6.0, 0.0)], [(8.0, 0.0), (10.0, 0.0)]]
    """
    if not dash or not any(dash[1::2]):
        return [list(points)]
    parts: list[list[tuple[float, float]]] = [[points[0]]] if points else []
    turn, left = 0, float(dash[0])
    for (x0, y0), (x1, y1) in pairwise(points):
        whole = hypot(x1 - x0, y1 - y0)
        gone = 0.0
        while whole - gone > left:
            gone += left
            at = (x0 + (x1 - x0) * gone / whole, y0 + (y1 - y0) * gone / whole)
            if turn % 2 == 0:
                parts[-1].append(at)
            else:
                parts.append([at])
            turn, left = turn + 1, float(dash[(turn + 1) % len(dash)])
        left -= whole - gone
        if turn % 2 == 0:
            parts[-1].append((x1, y1))
    return parts


def as_bytes(picture: np.ndarray, form: str, quality: int = 88) -> bytes:
    """A picture as the bytes of a JPEG or WebP file, without anything that tells when or by whom.

    Parameters
    ----------
    picture : array of shape (h, w, 3), uint8
    form : str
        `JPEG` or `WEBP`.
    quality : int

    Returns
    -------
    bytes
    """
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(picture).save(out, form, quality=quality, **({"method": 4} if form == "WEBP" else {"subsampling": 0}))
    return out.getvalue()


def ink_on(colour: Rgb) -> Rgb:
    """Black or white, whichever is better read on a colour."""
    return (255, 255, 255) if 0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2] < 140 else (0, 0, 0)
