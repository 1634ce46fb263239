"""Hand-labelled field photos as a real trial folder, with strokes such as a keeper would paint cut from the labels of a few of them.

The photos' folder holds images/*.jpg and labels/*.png of the same size: green = crop, red = weed, black = background. The crop stands
for plants and the weed for algae: two greens that colour alone does not tell apart.
"""

import io
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path

import cv2
import numpy as np
from PIL import Image

from fairtank.records.folder import write_folder
from fairtank.trial import Arm, Frame, Label, LabelClass, MeasureChoice, Photo, Plan, Unit

CLASSES = (
    LabelClass("plant", (0, 158, 115), "plant"),
    LabelClass("weed", (213, 94, 0), "algae"),
    LabelClass("background", (86, 180, 233), "background"),
)
STROKE_PHOTOS = 3
_WIDTH_PX, _SHARE, _SMALLEST_THING_PX = 5, 0.016, 60
# How the strokes are shared between the classes; a class too small for its share gets what it has.
_PART = {"background": 0.45, "plant": 0.33, "weed": 0.22}
_START = date(2026, 3, 1)
_CM_PER_PX = 0.1


def truth_masks(path: Path) -> dict[str, np.ndarray]:
    """Where a label picture says crop, weed and background."""
    red, green, _ = np.moveaxis(np.asarray(Image.open(path).convert("RGB")), -1, 0)
    plant, weed = green > 127, (red > 127) & (green <= 127)
    return {"plant": plant, "weed": weed, "background": ~plant & ~weed}


def names_of(source: Path) -> list[str]:
    """Stems of the photos that have a label picture."""
    return [path.stem for path in sorted((source / "images").glob("*.jpg")) if (source / "labels" / f"{path.stem}.png").is_file()]


def drawn_names(source: Path, seed: int, count: int = STROKE_PHOTOS) -> list[str]:
    """The photos to paint strokes on, drawn by lot among those with more than 1 % of both greens."""
    shares = {name: truth_masks(source / "labels" / f"{name}.png") for name in names_of(source)}
    rich = [name for name, masks in shares.items() if min(masks["plant"].mean(), masks["weed"].mean()) > 0.01]
    return sorted(np.random.default_rng(seed).choice(rich, count, replace=False).tolist())


def field_trial_write(source: Path, root: Path, seed: int, count: int = STROKE_PHOTOS) -> list[str]:
    """Write the trial folder of one draw; returns the photos that were painted."""
    names, painted = names_of(source), drawn_names(source, seed, count)
    units = (Unit("F1", "R"), Unit("F2", "C"))
    photos = []
    for number, name in enumerate(names):
        day = number // 2
        moment = datetime.combine(_START + timedelta(days=day), time(9))
        photos.append(Photo(f"photos/{name}.jpg", units[number % 2].key, moment, day))
    plan = Plan(
        title="Field photos with hand labels", start=_START, days=photos[-1].day, kind="side_by_side",
        arms=(Arm("R", "reference"), Arm("C", "changed")), units=units,
        measures=(MeasureChoice("plant_cover", "primary", "mean"), MeasureChoice("algae_cover", "secondary", "mean")),
    )  # fmt: skip
    write_folder(
        root, plan, picture=lambda path: _picture(source, path, seed), photos=photos,
        frames=[_frame(source, photo) for photo in photos], label_classes=CLASSES,
        labels=[Label(f"photos/{name}.jpg", f"labels/{name}.png") for name in painted],
    )  # fmt: skip
    return painted


def _frame(source: Path, photo: Photo) -> Frame:
    """The whole picture, one centimetre per ten px; set for each photo, since each shows another place."""
    with Image.open(source / "images" / Path(photo.path).name) as picture:
        width, height = picture.size
    corners = ((0.0, 0.0), (float(width), 0.0), (float(width), float(height)), (0.0, float(height)))
    return Frame(photo.unit, photo.path, "by_hand", "top", corners, width * _CM_PER_PX, height * _CM_PER_PX)


def _picture(source: Path, path: str, seed: int) -> bytes:
    """The bytes of a photo or of a stroke picture of the trial folder."""
    name = Path(path).stem
    if path.startswith("photos/"):
        return (source / "images" / f"{name}.jpg").read_bytes()
    numbers = stroke_numbers(source, name, seed)
    picture = np.zeros((*numbers.shape, 3), np.uint8)
    for number, kind in enumerate(CLASSES):
        picture[numbers == number] = kind.rgb
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "PNG")
    return out.getvalue()


def stroke_numbers(source: Path, name: str, seed: int) -> np.ndarray:
    """The strokes of a photo in one draw: place in CLASSES, 255 elsewhere."""
    masks = truth_masks(source / "labels" / f"{name}.png")
    numbers = np.full(masks["plant"].shape, 255, np.uint8)
    for number, kind in enumerate(CLASSES):
        chance = np.random.default_rng([seed, names_of(source).index(name)])
        numbers[_strokes(masks[kind.key], chance, _SHARE * _PART[kind.key], by_thing=kind.key != "background")] = number
    return numbers


def _strokes(mask: np.ndarray, chance: np.random.Generator, share: float, *, by_thing: bool) -> np.ndarray:
    """Wandering lines that never leave the mask, until about that share of the picture is painted.

    By thing: each line starts in a connected piece drawn by lot, so that small plants get their lines too. Else anywhere in the mask.
    """
    painted = np.zeros(mask.shape, np.uint8)
    for start in _starts(mask, chance, by_thing):
        line = np.zeros_like(painted)
        cv2.polylines(line, [np.array([*_walk(mask, start, chance)], np.int32)], False, 1, _WIDTH_PX)
        painted |= line & mask
        if painted.mean() >= share:
            break
    return painted > 0


def _starts(mask: np.ndarray, chance: np.random.Generator, by_thing: bool) -> Iterator[tuple[int, int]]:
    """Where lines begin, 400 of them at most; specks are no things."""
    _, numbers, facts, _ = cv2.connectedComponentsWithStats(mask.astype(np.uint8))
    things = [number for number in range(1, len(facts)) if facts[number, cv2.CC_STAT_AREA] >= _SMALLEST_THING_PX]
    for _ in range(400 if things else 0):
        ys, xs = np.nonzero(numbers == chance.choice(things) if by_thing else mask)
        place = chance.integers(len(ys))
        yield int(xs[place]), int(ys[place])


def _walk(mask: np.ndarray, start: tuple[int, int], chance: np.random.Generator) -> Iterator[tuple[int, int]]:
    """A path that keeps its heading, wanders, and turns away from the mask's border."""
    (x, y), heading = start, chance.uniform(0, 2 * np.pi)
    yield x, y
    for _ in range(int(chance.integers(8, 30))):
        for turn in (0.3 * chance.standard_normal(), 0.8, -0.8, 1.6, -1.6):
            there = round(x + 6 * np.cos(heading + turn)), round(y + 6 * np.sin(heading + turn))
            if 0 <= there[0] < mask.shape[1] and 0 <= there[1] < mask.shape[0] and mask[there[1], there[0]]:
                (x, y), heading = there, heading + turn
                yield x, y
                break
        else:
            return
