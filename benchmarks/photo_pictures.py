"""The pictures of docs/methods/photos.md and the numbers that stand below them, from rendered photos through the real chain.

`scripts/photos --pictures` calls this; it renders some thirty photos, which takes a minute or two of one core.
"""

import dataclasses
import hashlib
import io
import sys
import tempfile
from itertools import pairwise
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from few_photos import few_photos_write
from PIL import Image, ImageDraw, ImageFont
from recording import circumstances, told

ROOT = Path(__file__).resolve().parent.parent
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))
from tests.vision.card_pictures import card_corners, developed, laid, page_pictures  # noqa: E402 - after the path was set

from fairtank import card as layout  # noqa: E402
from fairtank.publish.card_pages import PrintedCard, card_sheets  # noqa: E402
from fairtank.publish.page import FONTS  # noqa: E402
from fairtank.records.folder import read_folder  # noqa: E402
from fairtank.records.services.maps import scenes_of  # noqa: E402
from fairtank.records.services.measuring import folder_measure  # noqa: E402
from fairtank.records.store import Store  # noqa: E402
from fairtank.simulation import render_photo, scenario  # noqa: E402
from fairtank.trial import Photo  # noqa: E402
from fairtank.vision.card.finding import cards_found  # noqa: E402
from fairtank.vision.overlay import overlay, unsure_map  # noqa: E402
from fairtank.vision.scene import Scene  # noqa: E402

LIMIT_BYTES = 200_000
TRIAL, SHOWN, WIDTH_PX = "midday", ("T1", 20), 1000
DAYS, TANKS = tuple(range(16, 22)), ("T1", "T4")
SHEET = tuple(PrintedCard(number, code) for number, code in ((0, "WUM"), (7, "KAL"), (13, "TIV"), (18, "REB"), (24, "NOL"), (30, "ZUP")))
_PAPER, _INK, _FOUND = (253, 252, 249), (36, 40, 44), (204, 0, 153)


@dataclasses.dataclass(frozen=True)
class Pose:
    """How a printed card stands in a photo. middle [px of a photo 2016 px wide]; hidden: share of the card that paper covers, from "
    "above."""

    words: str
    card: int
    middle: tuple[float, float]
    px_per_mm: float
    tilt: float = 0.0
    turn_deg: float = 0.0
    exposure: float = 1.0
    hidden: float = 0.0


POSES = (
    Pose("beside the tank, upright", 0, (1895, 1180), 3.2),
    Pose("farther off", 7, (1895, 1225), 2.1),
    Pose("tilted and turned", 13, (1700, 1100), 3.0, tilt=-0.12, turn_deg=8),
    Pose("a fifth of the light", 18, (1885, 1160), 3.2, exposure=0.2),
    Pose("four times the light", 24, (130, 1180), 3.2, exposure=4.0),
    Pose("lying, half of it hidden", 30, (1800, 1150), 3.2, turn_deg=90, hidden=0.5),
)


def pictures_write(place: Path, cache: Path | None = None) -> dict[str, Any]:
    """Draw all pictures into a folder and record what they show; returns the recorded row. cache: where rendered photos are kept."""
    before = circumstances()
    with tempfile.TemporaryDirectory() as temporary:
        root = cache or Path(temporary) / "trial"
        few_photos_write(root, [(unit, day) for unit in TANKS for day in DAYS], TRIAL)
        row, drawn = chain_pictures(root)
    sheet, row["poses"] = card_picture()
    drawn["photos-cards.jpg"] = sheet
    for name, picture in drawn.items():
        (place / name).write_bytes(jpeg_below(picture))
    row["files"] = {name: digest_of(place / name) for name in sorted(drawn)}
    told("photo_pictures", before, row, record=True)
    return row


def digest_of(path: Path) -> str:
    """Of a file's bytes."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def jpeg_below(picture: np.ndarray) -> bytes:
    """The picture as a JPEG of at most LIMIT_BYTES: with full colour where that fits."""
    for quality, sampling in ((90, 0), (84, 0), (78, 0), (72, 0), (66, 0), (60, 2), (50, 2), (40, 2)):
        out = io.BytesIO()
        Image.fromarray(picture).save(out, "JPEG", quality=quality, subsampling=sampling, optimize=True)
        if out.tell() <= LIMIT_BYTES:
            return out.getvalue()
    raise ValueError(f"the picture stays above {LIMIT_BYTES} bytes")


def chain_pictures(root: Path) -> tuple[dict[str, Any], dict[str, np.ndarray]]:
    """Photo, map and close calls of the shown photo, and the maps of successive days; with what was found and what is true."""
    folder = read_folder(root)
    with tempfile.TemporaryDirectory() as place:
        store = Store(Path(place))
        measured = folder_measure(folder=folder, store=store, workers=1)
        scenes = {(photo.unit, photo.day): scene for photo, scene in scenes_of(folder, store, measured)}
    shown = scenes[SHOWN]
    photo = next(photo for photo in folder.photos if (photo.unit, photo.day) == SHOWN)
    truth = render_photo(scenario(TRIAL), *SHOWN).truth.row()
    found = {row.measure: row.value for row in measured.measured if row.photo == photo.path and row.zone == ""}
    pixels = np.asarray(Image.open(root / photo.path).convert("RGB"))
    small = cv2.resize(pixels, (WIDTH_PX, round(WIDTH_PX * pixels.shape[0] / pixels.shape[1])), interpolation=cv2.INTER_AREA)
    row = {
        "shown": {"unit": SHOWN[0], "day": SHOWN[1], "unsure_fraction": shown.unsure_fraction, "painted": SHOWN in scenario(TRIAL).labelled,
                  "found": {key: found[key] for key in truth if key in found}, "true": {key: truth[key] for key in truth if key in found}},
        "days": {"days": DAYS, "tanks": {unit: flicker(scenes, unit, folder.photos) for unit in TANKS}},
    }  # fmt: skip
    return row, {
        "photos-photo.jpg": small,
        "photos-map.jpg": overlay(shown, WIDTH_PX),
        "photos-unsure.jpg": unsure_map(shown, WIDTH_PX),
        "photos-days.jpg": days_picture(scenes),
    }


def flicker(scenes: dict[tuple[str, int], Scene], unit: str, photos: tuple[Photo, ...]) -> dict[str, float]:
    """How far the map of a tank changes from one photo to the next, and how much of that is taken back by the one after. [% of what "
    "counts]"""
    days = [day for day in DAYS if (unit, day) in scenes]
    classes = [scenes[unit, day].classes for day in days]
    counted = scenes[unit, days[0]].view.counted
    changed = [float((a != b)[counted].mean()) for a, b in pairwise(classes)]
    back = [float(((a != b) & (c == a))[counted].mean()) for a, b, c in zip(classes, classes[1:], classes[2:], strict=False)]
    return {"photos": len(days), "changed_pct": 100 * float(np.mean(changed)), "back_pct": 100 * float(np.mean(back))}


def _font(size: int, bold: bool = False) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONTS / f"AtkinsonHyperlegibleNext-{'Bold' if bold else 'Regular'}.ttf"), size)


def days_picture(scenes: dict[tuple[str, int], Scene]) -> np.ndarray:
    """Maps in line: one row for each tank, three days side by side, twice."""
    width, gap, head = 300, 6, 26
    height = overlay(scenes[TANKS[0], DAYS[0]], width).shape[0]
    across, down = 3, len(TANKS) * -(-len(DAYS) // 3)
    page = Image.new("RGB", (across * (width + gap) - gap, down * (height + head)), _PAPER)
    draw = ImageDraw.Draw(page)
    for number, (unit, day) in enumerate((unit, day) for unit in TANKS for day in DAYS):
        left, top = number % across * (width + gap), number // across * (height + head)
        draw.text((left, top + 3), f"{unit}, day {day}", _INK, _font(18))
        page.paste(Image.fromarray(overlay(scenes[unit, day], width)), (left, top + head))
    return np.asarray(page)


def card_picture() -> tuple[np.ndarray, list[dict[str, Any]]]:
    """A printed sheet, and its cards in photos at several poses with what was read from each below it."""
    sheet, px_per_mm = card_sheets(SHEET), 12
    page = page_pictures(sheet, px_per_mm)[0]
    papers = {item["number"]: _cut(page, item, px_per_mm) for item in sheet["pages"][0]}
    bare = dataclasses.replace(scenario(TRIAL), cards=False)
    photo = render_photo(bare, "T2", 22, (2016, 1512)).image
    panels, rows = [], []
    for pose in POSES:
        picture, row = posed(photo, papers[pose.card], pose)
        panels.append(picture)
        rows.append(row)
    x, y = (round(value) for value in POSES[1].middle)
    return contact_sheet(page, panels, rows, panels[1][y - 108 : y + 112, x - 190 : x + 110]), rows


def _cut(page: np.ndarray, item: dict[str, Any], px_per_mm: float) -> np.ndarray:
    left, top, width, height = (round(px_per_mm * value) for value in (item["x"], item["y"], layout.CARD_WIDTH_MM, layout.CARD_HEIGHT_MM))
    return page[top : top + height, left : left + width]


def posed(photo: np.ndarray, paper: np.ndarray, pose: Pose) -> tuple[np.ndarray, dict[str, Any]]:
    """The photo with the card in it, what was read of it drawn in, and the same as numbers."""
    if pose.hidden:
        paper = paper.copy()
        paper[: round(pose.hidden * paper.shape[0])] = (188, 160, 130)
    corners = card_corners(pose.middle, pose.px_per_mm, turn_deg=pose.turn_deg, tilt=pose.tilt)
    picture = developed(laid(photo, paper, corners), pose.exposure, quality=90)
    found = cards_found(picture)
    row: dict[str, Any] = {"pose": pose.words, "card": pose.card, "read": [reading.card for reading in found]}
    picture = picture.copy()
    for reading in found[:1]:
        x, y = corners.T
        area = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
        true_scale = float(np.sqrt(area / (layout.CARD_WIDTH_MM * layout.CARD_HEIGHT_MM)))
        row |= {"markers": reading.markers_read, "corner_px": float(np.hypot(*(reading.corners - corners).T).max()),
                "px_per_mm": reading.px_per_mm, "true_px_per_mm": true_scale, "fields": int((~reading.clipped).sum())}
        outline = np.round((reading.corners - 0.5) * 16).astype(np.int32)
        cv2.polylines(picture, [outline], True, _FOUND, 4, cv2.LINE_AA, shift=4)
    return picture, row


def contact_sheet(page: np.ndarray, panels: list[np.ndarray], rows: list[dict[str, Any]], near_by: np.ndarray) -> np.ndarray:
    """The printed sheet and one card px by px on the left, the photos on the right, each with its words below."""
    width, gap, foot = 400, 14, 50
    height = round(width * 0.75)
    left = 560
    tall = 3 * (height + foot + gap)
    out = Image.new("RGB", (left + gap + 2 * (width + gap), tall), _PAPER)
    draw = ImageDraw.Draw(out)
    sheet = cv2.resize(page, (left - 2 * gap, round((left - 2 * gap) * page.shape[0] / page.shape[1])), interpolation=cv2.INTER_AREA)
    out.paste(Image.fromarray(sheet), (gap, gap))
    draw.rectangle((gap, gap, left - gap, gap + sheet.shape[0]), outline=(200, 196, 188))
    top = gap + sheet.shape[0] + 4
    draw.text((gap, top), "The printed sheet (A4)", _INK, _font(18, True))
    near = Image.fromarray(near_by)
    out.paste(near, (gap, top + 36))
    draw.text((gap, top + 40 + near.height), "The card farther off, px by px", _INK, _font(18, True))
    draw.text((gap, top + 63 + near.height), "as much as a photo 2016 px wide shows of it", _INK, _font(16))
    for number, (picture, row) in enumerate(zip(panels, rows, strict=True)):
        x, y = left + gap + number % 2 * (width + gap), gap + number // 2 * (height + foot + gap)
        out.paste(Image.fromarray(cv2.resize(picture, (width, height), interpolation=cv2.INTER_AREA)), (x, y))
        draw.text((x, y + height + 2), row["pose"], _INK, _font(18, True))
        draw.text((x, y + height + 25), read_words(row), _INK, _font(16))
    return np.asarray(out)


def read_words(row: dict[str, Any]) -> str:
    """What was read of a card, in a line."""
    if not row["read"]:
        return "no card read"
    numbers = ", ".join(str(number) for number in row["read"])
    return f"card {numbers}, {row['markers']} of 4 markers, {row['px_per_mm']:.2f} px/mm, {row['fields']} of 12 fields"
