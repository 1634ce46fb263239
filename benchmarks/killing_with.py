"""The small trial folders, photos and rows with which bench_kills.py works."""

import random
from datetime import timedelta
from pathlib import Path
from typing import Any

BACKED_UP_MB = 60


def folder_made(root: Path, days: tuple[int, ...]) -> Path:
    """A trial of two made-up tanks with a photo on each day."""
    from tests.records.photo_trials import Shape, photo_trial

    return photo_trial(root, Shape(days=days, painted=(("T1", days[-1]), ("T2", days[0])), shrink=2))


def pictures_made(count: int) -> list[bytes]:
    """Photos that differ."""
    from tests.records.photo_trials import Shape, picture_of, saved

    return [saved(picture_of(f"T{number % 2 + 1}", 0, plant_top=470 - 5 * number), Shape(shrink=2)) for number in range(count)]


def shelf_filled(trial: Any) -> None:
    """Photos enough that a backup takes a while: their rows belong to one more trial."""
    from fairtank.records.models import Document, Photo
    from fairtank.records.shelf_photos import photo_files

    files = photo_files()
    first = Photo.objects.filter(trial=trial).first()
    assert first is not None
    drawn = random.Random(5)
    for number in range(BACKED_UP_MB):
        stored = files.put(iter([drawn.randbytes(10**6)]))
        Photo.objects.create(trial=trial, unit=first.unit, path=f"photos/filler-{number}.jpg", sha256=stored.sha256, size_bytes=10**6,
                             taken_at=first.taken_at + timedelta(minutes=number), day=first.day, width_px=500, height_px=375)
    Document.objects.filter(trial=trial, path="photos.csv").delete()  # the table is made of the rows from now on
