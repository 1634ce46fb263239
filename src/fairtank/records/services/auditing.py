"""The map checked by a person: points drawn and put on a sheet, and the answers taken back into audit.csv."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from fairtank.errors import InputError, JobError, NotEnoughDataError, plain_reason
from fairtank.publish.audit_sheet import SheetPoint, sheet_text
from fairtank.records.arms import arm_on
from fairtank.records.audit_files import (
    ANSWERS_FILE,
    KEY_FILE,
    SHEET_FILE,
    KeyPoint,
    answers_read,
    answers_text,
    audit_text,
    draw_code,
    key_read,
    key_text,
)
from fairtank.records.audited import audit_results, judged_days
from fairtank.records.folder import read_folder
from fairtank.records.folder.tables import AUDIT
from fairtank.records.services.lens import lens_of_unit
from fairtank.records.services.measuring import Progress, folder_measure
from fairtank.records.services.trials import place_check
from fairtank.records.store import store_of
from fairtank.records.writing import bytes_write, text_write
from fairtank.trial import PhotoQuality, TrialFolder
from fairtank.vision.audit import AuditResult
from fairtank.vision.audit_points import Site, counted_part, points_allotted, points_placed
from fairtank.vision.crops import point_crop, whole_photo
from fairtank.vision.quality.verdicts import NOT_USABLE

AUDIT_FOLDER = "audit"
MOST_POINTS = 5000


@dataclass(frozen=True)
class DrawnAudit:
    """What a draw did. place: the audit's folder; new: points drawn now; points: all of them; by_arm: new and old, by the arm's label;
    photos: in how many photos they lie."""

    place: Path
    new: int
    points: int
    photos: int
    by_arm: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class TakenAudit:
    """What taking answers did. new, replaced: rows of audit.csv; empty: rows without an answer; open: points nobody has answered yet.
    results: by measure; labels: names of the arms."""

    place: Path
    new: int
    replaced: int
    empty: int
    open: int
    results: dict[str, AuditResult]
    labels: dict[str, str]


def audit_draw(*, root: Path, out: Path | None = None, points: int, seed: int = 1, workers: int | None = None,
               progress: Progress | None = None, cropping: Progress | None = None) -> DrawnAudit:  # fmt: skip
    """Measure what is not measured yet, draw further points and write crops, sheet, empty answers and key.

    Parameters
    ----------
    root : Path
        The trial folder.
    out : Path or None
        Where the audit lies; None: `audit` inside the trial folder. Points that were drawn there before stay.
    points : int
        New points in all; rounded up so that every arm gets as many.
    seed : int
        Of the draw; the same folder and seed give the same points.
    workers : int or None
        Processes that measure.
    progress, cropping : callable or None
        Told how far measuring, and cutting out the points, has come.

    Returns
    -------
    DrawnAudit

    Raises
    ------
    FolderError
        If the folder, or a key that lies there, cannot be read.
    NotEnoughDataError
        If there is no usable photo on a judged day.
    JobError
        If a file cannot be written.

    References
    ----------
    olofsson2014 (keys from sources.py).
    """
    folder = read_folder(root)
    place = _place(root, out, folder)
    before = key_read(place / KEY_FILE)
    measured = folder_measure(folder=folder, store=store_of(root, place), workers=workers, progress=progress)
    usable = {row.photo: row for row in measured.qualities if row.quality != NOT_USABLE and row.corners is not None}
    sites = _sites(folder, usable, before)
    arms = sorted({site.arm for site in sites})
    rng = np.random.default_rng([seed, len(before)])
    allotted = Counter(points_allotted(sites, -(-points // max(len(arms), 1)) * max(len(arms), 1), rng))
    drawn = _drawn(folder, usable, allotted, before, rng, place, cropping)
    everything = (*before, *drawn)
    _files_write(place, everything, drawn)
    arm_of = {site.photo: site.arm for site in sites}
    counts = Counter(arm_of.get(point.photo, "") for point in everything)
    by_arm = tuple((folder.plan.arm(arm).label, counts[arm]) for arm in arms)
    return DrawnAudit(place, len(drawn), len(everything), len({point.photo for point in everything}), by_arm)


def _place(root: Path, out: Path | None, folder: TrialFolder) -> Path:
    place = out if out is not None else root / AUDIT_FOLDER
    place_check(place, folder.root, tuple(photo.path for photo in folder.photos))
    return place


def _sites(folder: TrialFolder, usable: dict[str, PhotoQuality], before: Sequence[KeyPoint]) -> tuple[Site, ...]:
    """Usable photos on judged days, each with its arm, its third of the trial and the points it has already."""
    first, last = judged_days(folder.plan)
    taken = Counter(point.photo for point in before)
    sites = []
    for photo in folder.photos:
        arm = arm_on(folder.plan, photo.unit, photo.day)
        if photo.path in usable and arm is not None and first <= photo.day <= last:
            sites.append(Site(photo.path, photo.unit, arm, (photo.day - first) * 3 // (last - first + 1), taken[photo.path]))
    if not sites:
        reason = "no photo of it could be used" if folder.photos and folder.frames else "the folder has no photos with frames"
        raise NotEnoughDataError(f"No point can be drawn, because {reason} on a judged day (day {first} to {last}). Points are drawn in "
                                 "usable photos: see photos_quality.csv, which fairtank measure writes.")
    return tuple(sites)


def _drawn(folder: TrialFolder, usable: dict[str, PhotoQuality], allotted: Counter[str], before: Sequence[KeyPoint],
           rng: np.random.Generator, place: Path, cropping: Progress | None) -> tuple[KeyPoint, ...]:  # fmt: skip
    """The new points, numbered in shuffled order, with their crops written."""
    units = {photo.path: photo.unit for photo in folder.photos}
    sizes = {frame.unit: (frame.width_cm, frame.height_cm) for frame in reversed(folder.frames)}
    counted = {unit: counted_part([zone for zone in folder.zones if zone.unit == unit], *size) for unit, size in sizes.items()}
    there, taken = {(point.photo, point.x, point.y) for point in before}, Counter(point.photo for point in before)
    made: list[tuple[str, float, float]] = []
    order = sorted(allotted)
    crops: list[bytes] = []
    for done, photo in enumerate(order, start=1):
        corners = usable[photo].corners
        assert corners is not None
        pixels = whole_photo(folder.root / photo)
        size = pixels.shape[1], pixels.shape[0]
        lens = lens_of_unit(folder, units[photo])
        placed = points_placed(counted[units[photo]], corners, size, allotted[photo] + taken[photo], rng, lens).tolist()
        fresh = [(x, y) for x, y in placed if (photo, x, y) not in there][: allotted[photo]]
        made += [(photo, x, y) for x, y in fresh]
        crops += [point_crop(pixels, x, y, corners, lens) for x, y in fresh]
        if cropping:
            cropping(done, len(order), 0)
    shuffled = rng.permutation(len(made))
    start = max((point.number for point in before), default=0) + 1
    rows = [(start + number, made[which][0], made[which][1], made[which][2]) for number, which in enumerate(shuffled.tolist())]
    code = draw_code(rows)
    points = tuple(KeyPoint(code, number, photo, x, y) for number, photo, x, y in rows)
    for point, which in zip(points, shuffled.tolist(), strict=True):
        _write(place / f"{point.name}.jpg", crops[which])
    return points


def _files_write(place: Path, points: Sequence[KeyPoint], new: Sequence[KeyPoint]) -> None:
    """Sheet, answers and last of all the key: a run that was stopped leaves no key of points that were never shown."""
    try:
        shown = [SheetPoint(point.name, point.draw, (place / f"{point.name}.jpg").read_bytes()) for point in points]
    except OSError as error:
        raise JobError(f"{error.filename} is missing, though it was drawn before. Put it back, or draw anew elsewhere (--out).") from error
    _write(place / SHEET_FILE, sheet_text(shown).encode())
    answers = place / ANSWERS_FILE
    kept = answers.read_text(encoding="utf-8-sig") if answers.exists() else ""
    _write(answers, answers_text(new, kept).encode())
    _write(place / KEY_FILE, key_text(points).encode())


def _write(path: Path, content: bytes) -> None:
    try:
        bytes_write(path, content)
    except OSError as error:
        raise JobError(f"{path} cannot be written: {plain_reason(error)}. Choose another folder with --out.") from error


def audit_take(*, root: Path, answers: Path, out: Path | None = None, workers: int | None = None,
               progress: Progress | None = None) -> TakenAudit:  # fmt: skip
    """Join answers with the key, write them into the folder's audit.csv and say what they tell about the map.

    Parameters
    ----------
    root : Path
        The trial folder.
    answers : Path
        Saved by the sheet, or answers.csv filled by hand; half of it may be empty.
    out : Path or None
        Where the audit lies; None: `audit` inside the trial folder.
    workers : int or None
    progress : callable or None

    Returns
    -------
    TakenAudit

    Raises
    ------
    FolderError
        If the folder, the key or the answers cannot be used, with a sentence for each reason.
    InputError
        If no points were drawn yet.
    JobError
        If audit.csv cannot be written.

    References
    ----------
    olofsson2014 (keys from sources.py).
    """
    folder = read_folder(root)
    place = out if out is not None else root / AUDIT_FOLDER
    key = key_read(place / KEY_FILE)
    if not key:
        raise InputError("the answers", answers, f"answers to points that were drawn, with their key in {place / KEY_FILE}",
                         f"Draw points first: fairtank audit {root}")
    taken, empty = answers_read(answers, key, tuple(one.key for one in folder.label_classes))
    file = root / AUDIT.file
    kept = file.read_text(encoding="utf-8-sig") if file.exists() else ""
    text, new, replaced = audit_text(kept, taken)
    if new or replaced:
        try:
            text_write(file, text)
        except OSError as error:
            raise JobError(f"{file} cannot be written: {plain_reason(error)}. No answer was taken.") from error
        folder = read_folder(root)
    measured = folder_measure(folder=folder, store=store_of(root, place), workers=workers, progress=progress)
    answered = {(point.photo, point.x, point.y) for point in folder.audit}
    still_open = sum((point.photo, point.x, point.y) not in answered for point in key)
    results = {measure: result for measure, result in audit_results(folder, measured).items() if measure.endswith("_cover")}
    return TakenAudit(file, new, replaced, empty, still_open, results, {arm.key: arm.label for arm in folder.plan.arms})

