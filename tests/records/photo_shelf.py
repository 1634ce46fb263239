"""A trial with photos on a shelf, as if it had been measured: two tanks, four small photos, frames; no photo is measured for it."""

import json
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import numpy as np
from tests.web.conftest import PLAN

CORNERS = [[20, 20], [620, 20], [620, 460], [20, 460]]
DAYS = (1, 8)


def picture(unit: str, day: int, *, place: bool = False) -> bytes:
    """A small photo; each another one. place: with a position in it."""
    from PIL import Image

    rng = np.random.default_rng([ord(unit[-1]), day])
    small = Image.fromarray(rng.integers(60, 190, (12, 16, 3), np.uint8)).resize((640, 480))
    out, exif = BytesIO(), Image.Exif()
    if place:
        exif[0x8825] = {1: "N", 2: (52.0, 30.0, 0.0), 3: "E", 4: (13.0, 24.0, 0.0)}
    small.save(out, "JPEG", quality=80, exif=exif)
    return out.getvalue()


def folder_write(root: Path, *, plan: str = PLAN) -> Path:
    """The folder of the trial: two units, photographed on days 1 and 8."""
    (root / "photos").mkdir(parents=True)
    (root / "trial.toml").write_text(plan, encoding="utf-8")
    photos, framed = ["photo,unit,taken_at"], ["unit,reference_photo,mode,view,x1,y1,x2,y2,x3,y3,x4,y4,width_cm,height_cm"]
    for unit in ("T1", "T2"):
        for day in DAYS:
            (root / f"photos/{unit}-{day:02}.jpg").write_bytes(picture(unit, day, place=unit == "T2"))
            photos.append(f"photos/{unit}-{day:02}.jpg,{unit},2026-03-{day + 1:02}T12:00:00")
        framed.append(f"{unit},photos/{unit}-01.jpg,fixed,front,20,20,620,20,620,460,20,460,60,44")
    (root / "photos.csv").write_text("\n".join(photos) + "\n", encoding="utf-8")
    (root / "frames.csv").write_text("\n".join(framed) + "\n", encoding="utf-8")
    (root / "events.csv").write_text("units,at,until,kind,note,effect\n,2026-03-05T19:00:00,,water change,30 %,keep\n"
                                     "T2,2026-03-09T09:00:00,2026-03-10,,Lamp off,exclude_window\n", encoding="utf-8")
    return root


def trial_take_in(root: Path):
    """The folder on the shelf, its photos as if measured: all usable but the last, which is blurred."""
    from fairtank.records.models import Measurement, Photo
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    trial = trial_import(root=root, by=KEEPER)
    for place, photo in enumerate(Photo.objects.filter(trial=trial)):
        is_last = place == 3
        Photo.objects.filter(pk=photo.pk).update(quality="not usable" if is_last else "usable", corners=None if is_last else CORNERS,
                                                 reasons=["The photo is blurred. Rest the phone on something."] if is_last else [])
        if not is_last:
            Measurement.objects.create(trial=trial, photo=photo, measure="plant_cover", value=12.345 + place, se=0.42,
                                       unit_of_measure="%", quality="usable", version="1-abc")
    return trial


def runs_of(width: int, height: int, *lines: tuple[int, int, int, int, int]) -> list[int]:
    """A painting of straight bars: class, left, top, right, bottom of each."""
    numbers = np.full((height, width), -1)
    for kind, left, top, right, bottom in lines:
        numbers[top:bottom, left:right] = kind
    flat = numbers.ravel()
    starts = [0, *(np.flatnonzero(np.diff(flat)) + 1).tolist(), flat.size]
    return [part for begin, stop in pairwise(starts) for part in (int(flat[begin]), stop - begin)]


def body_of(runs: list[int]) -> str:
    """As the page sends it."""
    return json.dumps({"runs": runs})
