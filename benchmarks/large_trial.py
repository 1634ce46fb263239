"""A trial folder of one rendered tank at 12 megapixels, a photo card beside it, with the exact truth: what bench_photo.py measures.

It holds 24 photos of one tank, strokes on three of them, and truth/<stem>.png (0 other, 1 plant, 2 algae, at the photo's own size).
"""

import csv
import dataclasses
import shutil
from pathlib import Path

from PIL import Image

from fairtank.records.folder import write_tables
from fairtank.simulation import render_photo, scenario, strokes_on
from fairtank.trial import Photo

UNIT, SIZE, JPEG_QUALITY = "T1", (4032, 3024), 92
STROKE_DAYS = (2, 19, 36)
REFERENCE_DAY, MEASURED_DAYS = 0, (6, 13, 18, 25, 30, 37)
_TRUTH_COLUMNS = ("photo", "day", "plant_cover", "algae_cover", "carpet_cover", "canopy_height")


def large_trial(cache: Path) -> Path:
    """The folder, rendered when it is not there yet (about two minutes)."""
    root = cache / f"{UNIT}-{SIZE[0]}x{SIZE[1]}-q{JPEG_QUALITY}-card"
    if root.is_dir():
        return root
    partial = cache / f".{root.name}.partial"
    shutil.rmtree(partial, ignore_errors=True)
    for folder in ("photos", "labels", "truth"):
        (partial / folder).mkdir(parents=True)
    planned = dataclasses.replace(scenario("midday"), photo_size=SIZE, cards=True)
    photos = tuple(photo for photo in planned.photos if photo.unit == UNIT and (photo.day % 3 < 2 or photo.day in STROKE_DAYS))
    rows = []
    for photo in photos:
        rendered = render_photo(planned, UNIT, photo.day, SIZE)
        (partial / photo.path).write_bytes(rendered.jpeg_bytes(quality=JPEG_QUALITY))
        Image.fromarray(rendered.truth.label).save(partial / "truth" / f"{Path(photo.path).stem}.png")
        if photo.day in STROKE_DAYS:
            strokes = strokes_on(planned, rendered.truth, photo, 1)
            Image.fromarray(strokes).save(partial / "labels" / f"{Path(photo.path).stem}.png")
        truth = rendered.truth.row()
        rows.append((photo.path, photo.day, *(truth[key] for key in _TRUTH_COLUMNS[2:])))
    with (partial / "truth" / "truth.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, lineterminator="\n").writerows([_TRUTH_COLUMNS, *rows])
    write_tables(
        partial, planned.plan, photos=photos, frames=[frame for frame in planned.frames if frame.unit == UNIT],
        zones=[zone for zone in planned.zones if zone.unit == UNIT], label_classes=planned.label_classes,
        cards=[card for card in planned.cards_of_units if card.unit == UNIT],
    )  # fmt: skip
    partial.rename(root)
    return root


def true_values(root: Path) -> dict[str, dict[str, float]]:
    """Photo path to its true values by measure key."""
    with (root / "truth" / "truth.csv").open(encoding="utf-8") as file:
        return {row["photo"]: {key: float(row[key]) for key in _TRUTH_COLUMNS[2:]} for row in csv.DictReader(file)}


def measured_photos(photos: tuple[Photo, ...]) -> list[Photo]:
    """The photos that are timed one by one."""
    return [photo for photo in photos if photo.day in MEASURED_DAYS]
