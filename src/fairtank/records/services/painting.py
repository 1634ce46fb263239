"""Strokes asked for blind: which photos to paint next, copies of them under names that tell nothing, and what was painted taken back."""

import csv
import hashlib
import json
import random
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import InputError
from fairtank.records.arms import arm_on
from fairtank.records.folder import read_folder, text_of
from fairtank.records.services.painted_pictures import painted_problem, strokes_png
from fairtank.records.writing import bytes_write, text_write
from fairtank.trial import LabelClass, Photo, TrialFolder
from fairtank.vision.load import load_photo
from fairtank.vision.measure import jpeg

FIRST_PHOTOS = 6
DEFAULT_CLASSES = (
    LabelClass("plant", (0, 158, 115), "plant"),
    LabelClass("algae", (213, 94, 0), "algae"),
    LabelClass("background", (86, 180, 233), "background"),
)
CLASSES_FILE = "labels/classes.csv"
TO_PAINT = "to-paint"
_STAGES = 3
_PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".bmp", ".gif", ".tif", ".tiff", ".heic")
_QUALITY_FILE = "photos_quality.csv"
_NEWNESS = ("uncertain_fraction", "new_fraction")


@dataclass(frozen=True)
class ToPaint:
    """What was laid out for painting. names: of the copies. place: their folder. key: the file that tells which photo each one is."""

    names: tuple[str, ...]
    place: Path
    key: Path
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class TakenStrokes:
    """Which stroke pictures were laid into labels/, and what to think of."""

    labels: tuple[str, ...]
    cautions: tuple[str, ...]


def photos_to_paint(folder: TrialFolder, count: int, doubts: dict[str, float]) -> tuple[Photo, ...]:
    """The photos to paint next: as many of each arm, from its tanks in turn, early, middle and late.

    Where earlier results tell how much of a photo was doubtful or in new colours, the most doubtful photo of a tank and stage is
    taken; else the one in the middle of the stage.

    Parameters
    ----------
    folder : TrialFolder
    count : int
        How many; as many as that are given, unless there are not so many photos.
    doubts : dict from photo to share
        From the last results; may be empty.

    Returns
    -------
    tuple of Photo
        In an order that tells nothing of arm or day.

    References
    ----------
    common_practice (keys from sources.py).
    """
    painted = {label.photo for label in folder.labels}
    arms = _arms(folder)
    photos = [photo for photo in folder.photos if photo.path in arms]
    done = [photo for photo in photos if photo.path in painted]
    by_arm = Counter(arms[photo.path] for photo in done)
    by_unit = Counter(photo.unit for photo in done)
    by_stage = Counter((arms[photo.path], _stage(photo, folder)) for photo in done)
    left = [photo for photo in photos if photo.path not in painted]
    chosen: list[Photo] = []

    def rank(photo: Photo) -> tuple[float, ...]:
        arm, stage = arms[photo.path], _stage(photo, folder)
        middle = (stage + 0.5) * (folder.plan.days + 1) / _STAGES - 0.5
        return by_arm[arm], by_stage[arm, stage], by_unit[photo.unit], -doubts.get(photo.path, 0.0), abs(photo.day - middle)

    while left and len(chosen) < count:
        best = min(left, key=lambda photo: (rank(photo), _scrambled(photo.path)))
        left.remove(best)
        chosen.append(best)
        arm = arms[best.path]
        by_arm[arm] += 1
        by_unit[best.unit] += 1
        by_stage[arm, _stage(best, folder)] += 1
    random.Random(_scrambled("".join(photo.path for photo in chosen))).shuffle(chosen)
    return tuple(chosen)


def strokes_ask(*, root: Path, out: Path | None = None, count: int | None = None) -> ToPaint:
    """Lay out photos to paint: copies under neutral names, a picture of the colours, and apart from them the key.

    Parameters
    ----------
    root : Path
        A trial folder.
    out : Path or None
        Where the copies go; None for `to-paint` in the trial folder. Nothing, or an empty folder, may be there.
    count : int or None
        How many photos; None for 6, or three per arm where that is more.

    Returns
    -------
    ToPaint

    Raises
    ------
    InputError
        If the folder has no photos left to paint, or something lies at the place.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    place = out if out is not None else root / TO_PAINT
    if place.exists() and any(place.iterdir()):
        raise InputError("the folder for painting", place, "a new or an empty folder",
                         f"Take back what was painted there: fairtank strokes {root} --take {place}")
    arms = {unit.arm for unit in folder.plan.units}
    chosen = photos_to_paint(folder, count or max(FIRST_PHOTOS, 3 * len(arms)), _doubts(root))
    if not chosen:
        raise InputError("the trial folder", root, "a folder with photos that were not painted yet", "Add photos to photos.csv first.")
    copies: dict[str, dict[str, object]] = {}
    for number, photo in enumerate(chosen, start=1):
        loaded = load_photo(root / photo.path)
        name = f"paint-{number}"
        # A fresh encoding: a copied file would tell its time, its camera and maybe its place.
        bytes_write(place / f"{name}.jpg", jpeg(loaded.pixels, loaded.pixels.shape[1], 95))
        copies[name] = {"photo": photo.path, "width": loaded.full_width_px, "height": loaded.full_height_px}
    key = _key_path(place)
    text_write(key, json.dumps({"copies": copies}, indent=1))
    classes = folder.label_classes or DEFAULT_CLASSES
    text_write(place / "how-to-paint.txt", _how_to(classes))
    return ToPaint(tuple(f"{name}.jpg" for name in copies), place, key, _cautions(folder, [photo.path for photo in chosen]))


def strokes_take(*, root: Path, place: Path) -> TakenStrokes:
    """Take painted pictures back into labels/, once every one of them is in order; else nothing is written.

    Parameters
    ----------
    root : Path
        The trial folder.
    place : Path
        The folder with paint-1.png and so on, as it was laid out; its key lies beside it.

    Returns
    -------
    TakenStrokes

    Raises
    ------
    InputError
        If a picture has another size, no strokes, one colour only, strokes that cannot be meant, or was painted over another photo;
        every such picture is named.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    classes = folder.label_classes or DEFAULT_CLASSES
    copies = _key(place)
    painted, passed_over = _pictures(place, copies)
    if not painted:
        raise InputError("the folder with painted photos", place, "a folder with paint-1.png and so on",
                         " ".join(("Save each painted photo as PNG under its own name beside the copy.", *passed_over)))
    problems, found, shown = [], dict[str, bytes](), set[str]()
    for file in painted:
        copy = copies[file.stem]
        label = f"labels/{Path(str(copy['photo'])).stem}.png"
        if (root / label).exists():
            problems.append(f"{file.name}: this photo was painted before. Move its picture out of labels/ first, or leave this one out.")
            continue
        reason, numbers = painted_problem(file, place / f"{file.stem}.jpg", classes, (int(str(copy["width"])), int(str(copy["height"]))))
        if reason or numbers is None:
            problems.append(reason if reason.startswith(file.name) else f"{file.name}: {reason}")
            continue
        shown |= {classes[number].counts_as for number in range(len(classes)) if (numbers == number).any()}
        found[label] = strokes_png(numbers, classes)
    before = bool(folder.labels)
    if not problems and not before and ("background" not in shown or not shown & {"plant", "algae"}):
        problems.append(f"The pictures hold strokes of {' and '.join(sorted(shown))} only; background and plant or algae are needed.")
    if problems:
        raise InputError("the folder with painted photos", place, "pictures with strokes of several classes in exactly the given colours",
                         "Nothing was taken:\n" + "\n".join((*problems, *passed_over)))
    for label, content in found.items():
        bytes_write(root / label, content)
    if not (root / CLASSES_FILE).exists():
        text_write(root / CLASSES_FILE, text_of("label_classes", classes))
    taken = read_folder(root)
    return TakenStrokes(tuple(found), (*passed_over, *_cautions(taken, [])))


def _pictures(place: Path, copies: Mapping[str, object]) -> tuple[list[Path], list[str]]:
    """The painted pictures of a folder, and a sentence about each other picture that may have been meant as one."""
    files = sorted(file for file in place.iterdir() if file.is_file()) if place.is_dir() else []
    painted = [file for file in files if file.suffix.lower() == ".png" and file.stem in copies]
    others = [file.name for file in files if file not in painted and file.suffix.lower() in _PICTURES
              and not (file.stem in copies and file.suffix == ".jpg")]
    return painted, [f"{name} was passed over: only PNG pictures named as their copies (paint-1.png) are taken." for name in others]


def unbalanced_strokes(folder: TrialFolder, further: tuple[str, ...] = ()) -> str | None:
    """A sentence where the painted photos are spread unevenly over the arms; it names no arm.

    Parameters
    ----------
    folder : TrialFolder
    further : tuple of str
        Photos that are to be counted as painted.

    Returns
    -------
    str or None

    References
    ----------
    common_practice (keys from sources.py).
    """
    arms = _arms(folder)
    counts = {unit.arm: 0 for unit in folder.plan.units}
    for photo in {*(label.photo for label in folder.labels), *further}:
        if arms.get(photo) in counts:
            counts[arms[photo]] += 1
    most, fewest = max(counts.values()), min(counts.values())
    if most - fewest <= 1 or not most:
        return None
    return (f"Strokes are spread unevenly over the arms: {most} painted photos in one, {fewest} in another. What is told apart better in "
            "one arm than in the other can pass for an effect; let fairtank strokes name the next photos.")


def _arms(folder: TrialFolder) -> dict[str, str]:
    """The arm of each photo inside the trial: that of its day, in a swap; before a change starts, the one that its unit will have."""
    own = {unit.key: unit.arm for unit in folder.plan.units}
    inside = (photo for photo in folder.photos if photo.unit in own and 0 <= photo.day <= folder.plan.days)
    return {photo.path: arm_on(folder.plan, photo.unit, photo.day) or own[photo.unit] for photo in inside}


def _cautions(folder: TrialFolder, further: list[str]) -> tuple[str, ...]:
    said = unbalanced_strokes(folder, tuple(further))
    return (said,) if said else ()


def _stage(photo: Photo, folder: TrialFolder) -> int:
    """0 early, 1 middle, 2 late."""
    return min(_STAGES * photo.day // (folder.plan.days + 1), _STAGES - 1)


def _scrambled(text: str) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8])


def _doubts(root: Path) -> dict[str, float]:
    """How doubtful each photo was in the last results; nothing where there are none that can be read."""
    found = {}
    try:
        with (root / "out" / _QUALITY_FILE).open(encoding="utf-8", newline="") as lines:
            for row in csv.DictReader(lines):
                found[row["photo"]] = sum(float(row.get(name) or 0) for name in _NEWNESS)
    except (OSError, ValueError, KeyError, csv.Error):
        return {}
    return found


def _key_path(place: Path) -> Path:
    return place.with_name(f"{place.name}-key.json")


def _key(place: Path) -> dict[str, dict[str, object]]:
    key = _key_path(place)
    try:
        copies = json.loads(key.read_text(encoding="utf-8"))["copies"].items()
        return {name: {"photo": str(one["photo"]), "width": int(one["width"]), "height": int(one["height"])} for name, one in copies}
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError("the key of the painted photos", key, "the file that fairtank strokes wrote beside the folder",
                         "Without it nobody can tell which photo is which.") from error


def _how_to(classes: tuple[LabelClass, ...]) -> str:
    lines = ["  {:12} red {:3}  green {:3}  blue {:3}   #{}".format(kind.key, *kind.rgb, bytes(kind.rgb).hex()) for kind in classes]
    return "\n".join((
        "Open each photo in any paint program and paint lines over it, in exactly these colours, with a hard brush without smoothing:", "",
        *lines, "",
        "A dozen short lines per colour and photo are plenty. Every kind of leaf, of algae and of ground wants some: also the dark ones.",
        "Stay inside: a line must not leave what it stands for. Leave out what you cannot tell.",
        "Save each as PNG under its own name (paint-1.jpg becomes paint-1.png) in this folder.",
        "Do not look at the key, and do not guess which tank it is: that is what keeps the strokes fair.", "",
    ))
