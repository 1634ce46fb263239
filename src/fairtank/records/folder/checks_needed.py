"""Tables that others lean on and that are missing or bare: said once, with a file of nearly the same name that lies there."""

import difflib
from pathlib import Path

from fairtank.records.folder.checks import RowSets
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.tables import CLASSES, FRAMES, MEASURED_FIELDS, PHOTOS, TABLES
from fairtank.records.folder.toml_section import FILE as PLAN_FILE

PLAN_ACCEPTED = "the plan of the trial (docs/guide/trial-folder.md shows how to write one, fairtank demo makes an example)"
_ALIKE = 0.8
_KNOWN = {PLAN_FILE, SETUP_FILE, *(table.file for table in TABLES)}


def check_plan_is_there(root: Path, problems: Problems) -> None:
    """Say what a missing trial.toml is, and how to come by one."""
    problems.add(PLAN_FILE, None, None, missing(root, PLAN_FILE), PLAN_ACCEPTED)


def check_needed(root: Path, row_sets: RowSets, draft: Draft, holds_strokes: bool, problems: Problems, *,
                 frames_may_wait: bool = False) -> None:
    """Photos, frames and classes are there, with rows, wherever another file leans on them."""
    photos, frames, classes = row_sets["photos"], row_sets["frames"], row_sets["label_classes"]
    leaning = [rows.table.file for rows in row_sets.values()
               if rows.rows and any(column.refers_to == "photo" for column in rows.table.columns)]
    leaning += ["labels"] if holds_strokes else []
    if not photos.is_there and leaning:
        problems.add(PHOTOS.file, None, None, missing(root, PHOTOS.file, f"and {listed(tuple(leaning))} speak of photos"),
                     "a row for each photo")
    elif not photos.is_there and _waits_for_photos(row_sets, draft) and near_name(root, PHOTOS.file):
        problems.add(PHOTOS.file, None, None, missing(root, PHOTOS.file), "a row for each photo")
    elif photos.is_bare:
        problems.add(PHOTOS.file, None, None, "the file holds no photo, only a header", "a row for each photo, or no photos.csv at all")
    needs_frames = bool(photos.rows) and not frames_may_wait and (holds_strokes or _needs_measuring(row_sets, draft))
    if not frames.is_there and needs_frames:
        problems.add(FRAMES.file, None, None, missing(root, FRAMES.file, "and photos.csv lists photos"), "a row for each unit with photos")
    elif not frames.is_there and row_sets["zones"].rows:
        problems.add(FRAMES.file, None, None, missing(root, FRAMES.file, "and zones.csv draws zones in frames"),
                     "a row for each unit with zones")
    elif frames.is_bare and (needs_frames or row_sets["zones"].rows):
        problems.add(FRAMES.file, None, None, "the file holds no frame, only a header", "a row for each unit with photos or zones")
    if holds_strokes and not classes.is_there:
        problems.add(CLASSES.file, None, None, missing(root, CLASSES.file, "and labels holds pictures"), "the classes and their colours")
    elif holds_strokes and classes.is_bare:
        problems.add(CLASSES.file, None, None, "the file names no class, only a header", "the classes and their colours")


def missing(root: Path, file: str, reason: str = "") -> str:
    """That a file is missing, why it matters, and which other file may be meant."""
    near = near_name(root, file)
    return f"the file is missing{', ' + reason if reason else ''}{f' ({shown(near)} lies there: rename it if it is meant)' if near else ''}"


def near_name(root: Path, file: str) -> str | None:
    """A file that lies where `file` should, under a name that differs by a letter or two, by capitals or by its ending."""
    place = root / file
    folder = file.rpartition("/")[0]
    try:
        names = sorted(entry.name for entry in place.parent.iterdir())
    except OSError:
        return None
    by_name = {name.lower(): name for name in names if (f"{folder}/{name}" if folder else name) not in _KNOWN}
    near = difflib.get_close_matches(place.name, by_name, 1, _ALIKE)
    return by_name[near[0]] if near else None


def _waits_for_photos(row_sets: RowSets, draft: Draft) -> bool:
    """Whether no value of the primary measure was given."""
    ready = {row.values.get("measure") for row in row_sets["series"].rows}
    return any(measure.role == "primary" and measure.key not in ready for measure in draft.measures or ())


def _needs_measuring(row_sets: RowSets, draft: Draft) -> bool:
    """Whether a measure of the plan can only come from photos: those that people score or compare need no frames."""
    given = {row.values.get(column) for field, column in MEASURED_FIELDS for row in row_sets[field].rows}
    judged_by_eye = any(row_sets[field].rows for field in ("scores", "pairs"))
    return not judged_by_eye or draft.measures is None or any(measure.key not in given for measure in draft.measures)
