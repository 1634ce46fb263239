"""Small trial folders with made-up photos, and ways to change or spoil them."""

import csv
import os
import shutil
import signal
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import numpy as np
from PIL import Image
from tests.vision.pictures import CORNERS, encoded, tank_picture

from fairtank.records.folder import read_folder, write_tables
from fairtank.trial import Arm, AuditPoint, Frame, LabelClass, MeasureChoice, Photo, Plan, TrialFolder, Unit, Zone

START = date(2026, 3, 1)
CLASSES = (
    LabelClass("plant", (0, 158, 115), "plant"),
    LabelClass("algae", (213, 94, 0), "algae"),
    LabelClass("background", (86, 180, 233), "background"),
)
# Where the made-up picture surely shows each class, whatever the plants' height: first and last row, first and last column [px].
PAINTED = {"plant": (580, 588, 320, 700), "algae": (530, 550, 310, 390), "background": (140, 148, 180, 820)}
FLOOR = ((0.0, 40.0), (70.0, 40.0), (70.0, 50.0), (0.0, 50.0))


@dataclass(frozen=True)
class Shape:
    """What a made-up trial looks like: days with a photo, tanks, how frames are given, which photos were painted, how photos are saved."""

    days: tuple[int, ...] = (0, 7, 14)
    units: tuple[str, ...] = ("T1", "T2")
    mode: str = "registered"
    painted: tuple[tuple[str, int], ...] = (("T1", 7), ("T2", 14))
    suffix: str = "jpg"
    shrink: int = 1
    zones: bool = False
    audited: int = 0


def photo_path(unit: str, day: int, shape: Shape = Shape()) -> str:
    """Where the photo of a tank on a day lies in the folder."""
    return f"photos/{unit}-{day:02d}.{shape.suffix}"


def picture_of(unit: str, day: int, *, plant_top: int | None = None) -> np.ndarray:
    """The made-up picture of a tank on a day: the tank's own wall and specks, plants that rise 5 px a day."""
    return tank_picture(int(unit[1:]), plant_top=480 - 5 * day if plant_top is None else plant_top)


def saved(picture: np.ndarray, shape: Shape = Shape()) -> bytes:
    """The picture as the file that the shape asks for."""
    small = picture[:: shape.shrink, :: shape.shrink]
    return encoded(small, "PNG", compress_level=1) if shape.suffix == "png" else encoded(small, "JPEG", quality=92)


@lru_cache(maxsize=64)
def _photo_file(unit: str, day: int, suffix: str, shrink: int) -> bytes:
    """The file of a photo; many tests write the same ones."""
    return saved(picture_of(unit, day), Shape(suffix=suffix, shrink=shrink))


@lru_cache(maxsize=8)
def _strokes_file(shrink: int) -> bytes:
    return encoded(strokes_picture()[::shrink, ::shrink], compress_level=1)


def strokes_picture() -> np.ndarray:
    """Strokes on black, in the colours of CLASSES, where PAINTED says."""
    strokes = np.zeros((750, 1000, 3), np.uint8)
    for part in CLASSES:
        top, bottom, left, right = PAINTED[part.key]
        strokes[top:bottom, left:right] = part.rgb
    return strokes


def photo_trial(root: Path, shape: Shape = Shape()) -> Path:
    """Write the folder; photos of one tank differ by the height of its plants only."""
    photos = tuple(
        Photo(photo_path(unit, day, shape), unit, datetime.combine(START + timedelta(days=day), datetime.min.time().replace(hour=18)), day)
        for day in shape.days
        for unit in shape.units
    )
    arms = (Arm("R", "reference", "plain"), Arm("C", "changed", "dimmed"))
    units = tuple(Unit(unit, "RC"[number % 2]) for number, unit in enumerate(shape.units))
    measures = (MeasureChoice("plant_cover", "primary", "mean", margin=0.5), MeasureChoice("algae_cover"))
    question = "Does less light slow the plants?"
    plan = Plan("A made-up trial", START, max(shape.days), "side_by_side", arms, units, measures, question=question)
    corners = tuple((x / shape.shrink, y / shape.shrink) for x, y in CORNERS)
    framed = photos if shape.mode == "by_hand" else tuple(next(photo for photo in photos if photo.unit == unit) for unit in shape.units)
    frames = tuple(Frame(photo.unit, photo.path, shape.mode, "front", corners, 70.0, 50.0) for photo in framed)
    for photo in photos:
        place = root / photo.path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(_photo_file(photo.unit, photo.day, shape.suffix, shape.shrink))
    for unit, day in shape.painted:
        place = root / "labels" / f"{Path(photo_path(unit, day)).stem}.png"
        place.parent.mkdir(exist_ok=True)
        place.write_bytes(_strokes_file(shape.shrink))
    write_tables(
        root, plan, photos=photos, frames=frames, label_classes=CLASSES if shape.painted else (),
        zones=tuple(Zone(unit, "bed", "floor", FLOOR) for unit in shape.units) if shape.zones else (),
        audit=audit_points(photos[0].path, shape.audited),
    )  # fmt: skip
    return root


def audit_points(photo: str, count: int) -> tuple[AuditPoint, ...]:
    """Random points of a day-0 photo, answered by what was drawn there; every tenth answer is a slip."""
    chance = np.random.default_rng(3)
    points = []
    for number, (x, y) in enumerate(zip(chance.uniform(160, 840, count), chance.uniform(130, 610, count), strict=True)):
        answer = "plant" if 250 <= x < 750 and y >= 480 else "background"
        if number % 10 == 9:
            answer = "background" if answer == "plant" else "plant"
        points.append(AuditPoint(photo, round(float(x), 1), round(float(y), 1), answer, "one"))
    return tuple(points)


def row_changed(root: Path, file: str, number: int, **cells: str) -> None:
    """Change cells of one row (0 is the first below the header) of a table."""
    with (root / file).open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    rows[number].update(cells)
    with (root / file).open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def copied(root: Path, to: Path) -> Path:
    """A copy of the folder without the results that lie in it."""
    return Path(shutil.copytree(root, to, ignore=shutil.ignore_patterns(".fairtank", "out")))


def listing(root: Path) -> list[tuple[str, int, int]]:
    """Every file and folder with size and time, to see that nothing was written."""
    return sorted((str(path.relative_to(root)), path.lstat().st_size, path.lstat().st_mtime_ns) for path in root.rglob("*"))


def damaged_png(picture: np.ndarray) -> bytes:
    """A PNG whose header and end are in order and whose middle is not: only decoding it shows that."""
    content = bytearray(encoded(picture))
    middle = len(content) // 2
    content[middle : middle + 400] = bytes(400)
    return bytes(content)


class DeadlyRoot(type(Path())):  # type: ignore[misc]
    """A folder one of whose photos stops any worker process that reaches for it, as a photo does for which memory does not suffice."""

    DEADLY = "photos/T2-07.jpg"

    def __truediv__(self, other):  # type: ignore[no-untyped-def]
        if other == self.DEADLY and is_worker():
            os.kill(os.getpid(), signal.SIGKILL)
        return super().__truediv__(other)


def deadly(folder: TrialFolder) -> TrialFolder:
    """The same folder, with a photo that stops whoever opens it."""
    return replace(folder, root=DeadlyRoot(folder.root))


def is_worker() -> bool:
    """Whether this process was started by another Python."""
    import multiprocessing

    return multiprocessing.parent_process() is not None


def read(root: Path) -> TrialFolder:
    """The folder, read and found in order."""
    return read_folder(root)


def pixels_of(jpeg: bytes) -> np.ndarray:
    """The pixels of JPEG bytes."""
    import io

    return np.asarray(Image.open(io.BytesIO(jpeg)))

