"""Printed cards and stickers as pictures, by the sheets that people print, and photos of them with known corners."""

import io
import json
import tempfile
from functools import lru_cache
from pathlib import Path

import numpy as np
from PIL import Image

from fairtank import card as layout
from fairtank.publish.card_pages import CARD_TEMPLATE, PrintedCard, card_sheets, sticker_sheets
from fairtank.publish.pdf import FONTS, TEMPLATES

PX_PER_MM = 12
PRINTED = tuple(PrintedCard(card, code) for card, code in ((0, "WUM"), (7, "KAL"), (13, "TIV"), (18, "REB"), (24, "NOL"), (30, "ZUP")))
PHOTO_SIZE = (2016, 1512)


def page_pictures(data, px_per_mm: float = PX_PER_MM) -> list[np.ndarray]:
    """Every page of some sheets, set by Typst: uint8 RGB."""
    import typst

    with tempfile.TemporaryDirectory() as name:
        source = Path(name) / CARD_TEMPLATE
        source.write_bytes((TEMPLATES / CARD_TEMPLATE).read_bytes())
        pages = typst.compile(str(source), root=name, font_paths=[str(FONTS)], ignore_system_fonts=True,
                              sys_inputs={"report": json.dumps(data)}, format="png", ppi=25.4 * px_per_mm)
    return [np.asarray(Image.open(io.BytesIO(page)).convert("RGB")) for page in (pages if isinstance(pages, list) else [pages])]


@lru_cache(maxsize=1)
def _card_page():
    data = card_sheets(PRINTED)
    return data["pages"][0], page_pictures(data)[0]


@lru_cache(maxsize=1)
def _sticker_page():
    data = sticker_sheets(PRINTED)
    return data["pages"][0], page_pictures(data)[0]


def printed_card(number: int) -> np.ndarray:
    """One card cut out of the printed sheet."""
    items, page = _card_page()
    item = next(item for item in items if item["number"] == number)
    return _cut(page, item["x"], item["y"], layout.CARD_WIDTH_MM, layout.CARD_HEIGHT_MM)


def printed_stickers(number: int) -> list[np.ndarray]:
    """The four stickers of a card, cut out with their tabs off: top-left, top-right, bottom-right, bottom-left."""
    items, page = _sticker_page()
    place = [one.card for one in PRINTED].index(number)
    four = items[4 * place : 4 * place + 4]
    side = layout.STICKER_PAPER_MM
    return [_cut(page, item["x"], item["y"] + (0 if item["is_top"] else item["tab"]), side, side) for item in four]


def _cut(page, x_mm, y_mm, width_mm, height_mm):
    left, top, width, height = (round(value * PX_PER_MM) for value in (x_mm, y_mm, width_mm, height_mm))
    return page[top : top + height, left : left + width]


def background(size=PHOTO_SIZE, seed: int = 0) -> np.ndarray:
    """A wall with broad and fine unevenness."""
    import cv2

    rng = np.random.default_rng(seed)
    broad = cv2.resize(rng.uniform(110, 170, (6, 8)).astype(np.float32), size, interpolation=cv2.INTER_CUBIC)
    return np.repeat((broad + rng.normal(0, 2, broad.shape)).clip(0, 255).astype(np.uint8)[..., None], 3, axis=2)


_LEVELS = np.arange(256) / 255
LINEAR = np.where(_LEVELS <= 0.04045, _LEVELS / 12.92, ((_LEVELS + 0.055) / 1.055) ** 2.4).astype(np.float32)


def encoded(linear: np.ndarray) -> np.ndarray:
    """sRGB values 0 to 255 of linear light, as uint8 (IEC 61966-2-1)."""
    linear = np.clip(linear, 0, 1)
    values = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055)
    return (values * 255 + 0.5).astype(np.uint8)


def laid(photo: np.ndarray, paper: np.ndarray, corners, blur_px: float = 0.6) -> np.ndarray:
    """The photo with a piece of paper whose corners lie at these continuous px, averaged and a little soft in linear light."""
    import cv2

    corners, finer = np.asarray(corners, float), 4
    tall, wide = paper.shape[:2]
    left, top = np.maximum(np.floor(corners.min(0)).astype(int) - 4, 0)
    right, bottom = np.minimum(np.ceil(corners.max(0)).astype(int) + 4, photo.shape[1::-1])
    source = np.array([[0, 0], [wide, 0], [wide, tall], [0, tall]], np.float32) - np.float32(0.5)
    matrix = cv2.getPerspectiveTransform(source, ((corners - (left, top)) * finer - 0.5).astype(np.float32))
    size, fine = (right - left, bottom - top), ((right - left) * finer, (bottom - top) * finer)
    seen = cv2.resize(cv2.warpPerspective(LINEAR[paper], matrix, fine, borderMode=cv2.BORDER_REPLICATE), size, interpolation=cv2.INTER_AREA)
    share = cv2.warpPerspective(np.ones(paper.shape[:2], np.float32), matrix, fine)
    share = cv2.resize(share, size, interpolation=cv2.INTER_AREA)[..., None]
    mixed = LINEAR[photo[top:bottom, left:right]] * (1 - share) + seen * share
    out = photo.copy()
    out[top:bottom, left:right] = encoded(cv2.GaussianBlur(mixed, (0, 0), blur_px))
    return out


def card_corners(middle, px_per_mm, *, turn_deg=0.0, tilt=0.0) -> np.ndarray:
    """Corners of a card in a photo [px]: turned, and tilted so that one side is `tilt` larger than the other."""
    flat = np.array([[0, 0], [layout.CARD_WIDTH_MM, 0], [layout.CARD_WIDTH_MM, layout.CARD_HEIGHT_MM], [0, layout.CARD_HEIGHT_MM]], float)
    flat = (flat - flat.mean(0)) * px_per_mm
    flat = flat / (1 + tilt * flat[:, :1] / (layout.CARD_WIDTH_MM * px_per_mm))
    angle = np.deg2rad(turn_deg)
    return flat @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]]) + middle


@lru_cache(maxsize=1)
def _noise() -> np.ndarray:
    return np.random.default_rng(1).normal(0, 2, (1600, 2100, 3)).round().astype(np.int16)


def developed(photo: np.ndarray, exposure: float = 1.0, *, quality: int | None = 80) -> np.ndarray:
    """The photo as a phone stores it: exposed in linear light, with noise, as JPEG."""
    import cv2

    table = encoded(LINEAR * exposure)
    noise = _noise()[: photo.shape[0], : photo.shape[1]]
    noisy = cv2.add(cv2.LUT(photo, table), noise, dtype=cv2.CV_8U)
    if quality is None:
        return noisy
    _, file = cv2.imencode(".jpg", noisy[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return np.ascontiguousarray(cv2.imdecode(file, cv2.IMREAD_COLOR)[..., ::-1])
