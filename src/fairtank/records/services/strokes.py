"""Strokes painted in the pages: kept as the same pictures that a trial folder holds, at the size of the upright photo."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path, PurePosixPath

import numpy as np
from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from fairtank.errors import InputError, PhotoError
from fairtank.records.folder.cells import key_checked
from fairtank.records.folder.problems import Refusal
from fairtank.records.folder.tables import COUNTS_AS
from fairtank.records.models import LabelClass, Photo, Stroke, Trial
from fairtank.records.services.painted_pictures import FEWEST_PX, MOST_PAINTED, strokes_png
from fairtank.records.services.painting import DEFAULT_CLASSES
from fairtank.records.services.trail import By, noted
from fairtank.records.services.versions import text_digest
from fairtank.records.shelf_photos import photo_files
from fairtank.records.writing import bytes_write
from fairtank.trial import LabelClass as ClassNoun
from fairtank.vision.classes.strokes import UNPAINTED, load_strokes

# A photo is painted at most at this size: every second, third ... px where it is larger, so that painting again loses nothing.
PAINTED_LONG_SIDE_PX = 2048
MOST_CLASSES = 20
_MOST_RUNS = 400_000


@dataclass(frozen=True)
class Painted:
    """How much was painted with one class: strokes (patches that hang together) and photos in which they are."""

    key: str
    strokes: int
    photos: int


def classes_of(trial: Trial) -> tuple[ClassNoun, ...]:
    """The classes of a trial's strokes; the usual three as long as none were chosen."""
    own = tuple(ClassNoun(row.key, (row.r, row.g, row.b), row.counts_as or row.key) for row in LabelClass.objects.filter(trial=trial))
    return own or DEFAULT_CLASSES


def step_of(photo: Photo) -> int:
    """How many px of the photo, across and down, are one px of the painting."""
    return -(-max(photo.width_px, photo.height_px) // PAINTED_LONG_SIDE_PX)


def painting_size(photo: Photo) -> tuple[int, int]:
    """Width and height of the painting. [px]"""
    step = step_of(photo)
    return -(-photo.width_px // step), -(-photo.height_px // step)


def numbers_from_runs(runs: Sequence[int], photo: Photo, classes: int) -> np.ndarray:
    """A painting from its runs: class, length, class, length ... row by row; class -1 where nothing was painted.

    Raises
    ------
    InputError
        If they do not fill the painting, or name a class that is not there.
    """
    width, height = painting_size(photo)
    told = np.asarray(runs[:2 * _MOST_RUNS], np.int64).reshape(-1, 2) if len(runs) % 2 == 0 else np.empty((0, 2), np.int64)
    kinds, lengths = told[:, 0], told[:, 1]
    if len(runs) > 2 * _MOST_RUNS or not len(told) or lengths.min() < 0 or lengths.sum() != width * height:
        raise InputError("the painting", "not of the photo's size", f"{width} x {height} px", "Load the page again.")
    if kinds.min() < -1 or kinds.max() >= classes:
        raise InputError("the painting", "one with a class that is not there", "strokes of the classes that are listed",
                         "Load the page again.")
    codes = np.where(kinds < 0, UNPAINTED, kinds).astype(np.uint8)
    return np.repeat(codes, lengths).reshape(height, width)


def runs_from_numbers(numbers: np.ndarray) -> list[int]:
    """The runs of a painting; see `numbers_from_runs`.

    >>> runs_from_numbers(np.array([[255, 255, 0], [0, 1, 255]], np.uint8))
    [-1, 2, 0, 2, 1, 1, -1, 1]
    """
    flat = numbers.ravel()
    starts = np.concatenate([[0], np.flatnonzero(np.diff(flat)) + 1, [flat.size]])
    told: list[int] = []
    for begin, stop in pairwise(starts.tolist()):
        kind = int(flat[begin])
        told += [-1 if kind == UNPAINTED else kind, stop - begin]
    return told


def at_full_size(numbers: np.ndarray, photo: Photo) -> np.ndarray:
    """A painting at the size of the upright photo."""
    step = step_of(photo)
    return numbers.repeat(step, axis=0).repeat(step, axis=1)[:photo.height_px, :photo.width_px] if step > 1 else numbers


def painting_of(trial: Trial, photo: Photo) -> np.ndarray | None:
    """What was painted on a photo, at the size of the painting; None where nothing was."""
    stroke = Stroke.objects.filter(trial=trial, photo=photo).first()
    if stroke is None:
        return None
    step = step_of(photo)
    return load_strokes(photo_files().path_of(stroke.sha256), classes_of(trial))[::step, ::step]


def strokes_keep(*, trial: Trial, photo: Photo, numbers: np.ndarray, by: By) -> None:
    """Keep what was painted on a photo, in the place of what was there; an empty painting takes it away.

    Parameters
    ----------
    trial : Trial
    photo : Photo
    numbers : array of shape (h, w), uint8
        At the size of the painting: place of the class, UNPAINTED elsewhere.
    by : By

    Raises
    ------
    PhotoError
        If too little or too much is painted.
    InputError
        If another photo's file has the same name.

    References
    ----------
    common_practice (keys from sources.py).
    """
    before = Stroke.objects.filter(trial=trial, photo=photo).first()
    if not (numbers != UNPAINTED).any():
        _take_away(trial, before, by)
        return
    full = at_full_size(numbers, photo)
    fault = painting_fault(full)
    if fault:
        raise PhotoError(fault)
    path = f"labels/{PurePosixPath(photo.path).stem}.png"
    if Stroke.objects.filter(trial=trial, path=path).exclude(photo=photo).exists() or _has_twin(trial, photo):
        raise InputError("the photo's name", photo.path, "a name that no other photo of the trial has, whatever its folder")
    with transaction.atomic():
        tables = () if LabelClass.objects.filter(trial=trial).exists() else _defaults_keep(trial)
        stored = photo_files().put(iter([strokes_png(full, classes_of(trial))]))
        told = {"path": before.path, "sha256": before.sha256} if before else {}
        now = {"path": before.path if before else path, "sha256": stored.sha256}
        Stroke.objects.update_or_create(trial=trial, photo=photo, defaults=now)
        noted(by=by, verb="change" if before else "add", said=f"Painted strokes on {photo.path}.", trial=trial, tables=tables, row=photo,
              before=told)


def painting_fault(numbers: np.ndarray) -> str:
    """Why a painting cannot be taken, a sentence; empty when it can: what painted pictures of a folder are asked, too."""
    painted = np.count_nonzero(numbers != UNPAINTED)
    if painted < FEWEST_PX:
        return _("Only %(count)d px are painted; at least %(least)d are needed. Paint a few short lines.") % {
            "count": painted, "least": FEWEST_PX}
    if painted > MOST_PAINTED * numbers.size:
        return _("%(share).0f %% of the photo is painted. Paint lines over what you are sure of, not whole areas.") % {
            "share": 100 * painted / numbers.size}
    return ""


def _take_away(trial: Trial, before: Stroke | None, by: By) -> None:
    if before is None:
        return
    with transaction.atomic():
        noted(by=by, verb="remove", said=f"Took away the strokes of {before.photo.path}.", trial=trial, row=before.photo,
              before={"path": before.path, "sha256": before.sha256})
        before.delete()


def _has_twin(trial: Trial, photo: Photo) -> bool:
    """Whether another photo's strokes would have the same name."""
    stem = PurePosixPath(photo.path).stem
    paths = Photo.objects.filter(trial=trial, path__contains=stem).exclude(pk=photo.pk).values_list("path", flat=True)
    return any(PurePosixPath(path).stem == stem for path in paths)


def _defaults_keep(trial: Trial) -> tuple[str, ...]:
    for kind in DEFAULT_CLASSES:
        LabelClass.objects.create(trial=trial, key=kind.key, r=kind.rgb[0], g=kind.rgb[1], b=kind.rgb[2], counts_as=kind.counts_as)
    return ("label_classes",)


def class_add(*, trial: Trial, key: str, rgb: tuple[int, int, int], counts_as: str, by: By) -> LabelClass:
    """Add a class of strokes, such as one kind of plant.

    Parameters
    ----------
    trial : Trial
    key : str
        Its name.
    rgb : three int
        Its colour, which no other class has. [0 to 255]
    counts_as : str
        One of plant, algae, background and static.
    by : By

    Returns
    -------
    LabelClass

    Raises
    ------
    InputError
        If the name or the colour is taken or cannot be used.

    References
    ----------
    common_practice (keys from sources.py).
    """
    there = classes_of(trial)
    name = " ".join(key.split())
    try:
        key_checked(name)
    except Refusal as refusal:
        raise InputError("the name of the class", refusal.read, refusal.accepted) from refusal
    if len(name) > 60 or name.casefold() in {one.key.casefold() for one in there}:
        raise InputError("the name of the class", name[:60], "a name of at most 60 signs that no other class has")
    if counts_as not in COUNTS_AS:
        raise InputError("what it counts as", counts_as[:40], ", ".join(COUNTS_AS))
    if rgb in {one.rgb for one in there}:
        raise InputError("the colour of the class", "#" + bytes(rgb).hex(), "a colour that no other class has")
    if len(there) >= MOST_CLASSES:
        raise InputError("the classes", f"{len(there)}", f"at most {MOST_CLASSES}")
    with transaction.atomic():
        if not LabelClass.objects.filter(trial=trial).exists():
            _defaults_keep(trial)
        added = LabelClass.objects.create(trial=trial, key=name, r=rgb[0], g=rgb[1], b=rgb[2], counts_as=counts_as)
        noted(by=by, verb="add", said=f"Added the class of strokes {name}, which counts as {counts_as}.", trial=trial,
              tables=("label_classes",), row=added)
    return added


def painted_of(trial: Trial) -> tuple[Painted, ...]:
    """How much was painted so far, class by class.

    Parameters
    ----------
    trial : Trial

    Returns
    -------
    tuple of Painted
        In the order of the classes.

    References
    ----------
    common_practice (keys from sources.py).
    """
    classes = classes_of(trial)
    counts = [_strokes_in(photo_files().path_of(digest), classes)
              for digest in Stroke.objects.filter(trial=trial).values_list("sha256", flat=True)]
    return tuple(Painted(kind.key, *_summed(own[place] for own in counts)) for place, kind in enumerate(classes))


def _summed(counts: Iterable[int]) -> tuple[int, int]:
    known = [count for count in counts if count]
    return sum(known), len(known)


@lru_cache(maxsize=256)
def _strokes_in(path: Path, classes: tuple[ClassNoun, ...]) -> tuple[int, ...]:
    """Patches of each class that hang together; kept in a file, since the name of a picture is the digest of its content."""
    place = Path(settings.DATA) / "derived" / "strokes" / f"{path.name}-{text_digest([*map(repr, classes)])[:12]}.json"
    try:
        return tuple(int(count) for count in json.loads(place.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        counts = _counted(load_strokes(path, classes), len(classes))
        bytes_write(place, json.dumps(counts).encode())
        return counts


def _counted(numbers: np.ndarray, classes: int) -> tuple[int, ...]:
    """How many patches of each class there are."""
    import cv2

    rows, columns = np.nonzero(numbers != UNPAINTED)
    if not len(rows):
        return (0,) * classes
    piece = numbers[rows.min():rows.max() + 1, columns.min():columns.max() + 1]
    found = [(piece == place).astype(np.uint8) for place in range(classes)]
    return tuple(cv2.connectedComponents(mask)[0] - 1 if mask.any() else 0 for mask in found)
