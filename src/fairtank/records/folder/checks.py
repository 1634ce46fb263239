"""What only several files together can show: references, frames for photos, and things listed twice."""

from collections.abc import Mapping
from typing import Any

from fairtank.records.folder.nouns import units_named
from fairtank.records.folder.plan_toml import Draft
from fairtank.records.folder.problems import Problems, listed, shown
from fairtank.records.folder.rows import Row, Rows
from fairtank.records.folder.tables import CLASSES, COUNTS_AS, OWN_CLASSES, UNSURE

RowSets = Mapping[str, Rows]
# Rows of one unit may give the size of its glass this far apart: it was measured again.
FRAME_OFF_CM = 0.5
_FURTHER_ROW = "for a further row the first photo of the new layout or camera place, or mode by_hand with a row for each photo"


def check_references(row_sets: RowSets, draft: Draft, meant: frozenset[str], problems: Problems) -> None:
    """Every unit, measure, photo and class that a table names must be one that the folder knows.

    Where the list itself could not be read, what refers to it is not judged. meant holds measures that trial.toml misspells.
    """
    known: dict[str, tuple[tuple[str, ...] | None, str]] = {
        "unit": (draft.units, "a unit of trial.toml"),
        "measure": (None if draft.measures is None else tuple(choice.key for choice in draft.measures), "a measure of trial.toml"),
        "photo": (photos_listed(row_sets) if has_photo_list(row_sets) else None, "a photo that photos.csv lists"),
        "class": (classes_listed(row_sets) if row_sets["label_classes"].is_sure("class") else None, f"a class of {CLASSES.file}"),
    }
    for rows in row_sets.values():
        for column in rows.table.columns:
            keys, what = known.get(column.refers_to, (None, ""))
            if keys is None:
                continue
            if column.refers_to == "class":  # what a person saw at a point: one of the strokes' classes, one of the three, or not known
                keys = tuple(dict.fromkeys((*keys, *OWN_CLASSES, UNSURE)))
            accepted = what if column.refers_to == "photo" else listed(keys)
            allowed = {*keys, *(meant if column.refers_to == "measure" else ())}
            for row in rows.rows:
                key = row.values.get(column.name)
                if key is not None and key not in allowed:
                    problems.add(rows.table.file, row.number, column.name, f"{shown(key)} is not {what}", accepted)


def has_photo_list(row_sets: RowSets) -> bool:
    """Whether photos.csv is there, lists photos, and every one of its rows could be read."""
    return bool(row_sets["photos"].rows) and row_sets["photos"].is_sure("photo")


def photos_listed(row_sets: RowSets) -> tuple[str, ...]:
    """Photos that photos.csv lists, each once."""
    return tuple(dict.fromkeys(row.values["photo"] for row in row_sets["photos"].rows if "photo" in row.values))


def classes_listed(row_sets: RowSets) -> tuple[str, ...]:
    """Classes that labels/classes.csv lists; fairtank's own three where it lists none."""
    return tuple(dict.fromkeys(row.values["class"] for row in row_sets["label_classes"].rows if "class" in row.values)) or OWN_CLASSES


def check_events(rows: Rows, draft: Draft, problems: Problems) -> None:
    """An event names units that there are, and does not end before it begins."""
    for row in rows.rows:
        at, until = row.values.get("at"), row.values.get("until")
        if at is not None and until is not None and until < at:
            problems.add(rows.table.file, row.number, "until", f"{until:%Y-%m-%dT%H:%M} lies before the event begins",
                         f"a time after {at:%Y-%m-%dT%H:%M}, or nothing")
        if draft.units is not None:
            wrong = tuple(dict.fromkeys(units_named(row.values.get("units", ""), draft.units)[1]))
            if wrong:
                read = f"{listed(wrong, most=3)} {'is not a unit' if len(wrong) == 1 else 'are no units'} of trial.toml"
                problems.add(rows.table.file, row.number, "units", read,
                             f"{listed(draft.units)}, parted by ; where there are several, or * for all")


def check_pairs(rows: Rows, problems: Problems) -> None:
    """A photo is not compared with itself."""
    for row in rows.rows:
        photo = row.values.get("photo_a")
        if photo is not None and photo == row.values.get("photo_b"):
            problems.add(rows.table.file, row.number, "photo_b", f"{shown(photo)} is also photo_a", "two different photos")


def check_classes(rows: Rows, problems: Problems) -> None:
    """The three classes count as themselves; every other one says which of them it counts as."""
    for row in rows.rows:
        name, counts_as = row.values.get("class"), row.values.get("counts_as")
        if name is None or counts_as is None:
            continue
        if name in OWN_CLASSES and counts_as not in ("", name):
            read = f"{shown(name)} counts as itself, not as {counts_as}"
            problems.add(rows.table.file, row.number, "counts_as", read, f"{name}, or nothing")
        elif name not in OWN_CLASSES and not counts_as:
            problems.add(rows.table.file, row.number, "counts_as", f"nothing says what {shown(name)} counts as", listed(COUNTS_AS))


def check_twice(row_sets: RowSets, problems: Problems) -> None:
    """Photos, classes, colours of classes, zones and build lines stand once."""
    for field, names, what in (("photos", ("photo",), "the photo"), ("label_classes", ("class",), "the class"),
                               ("label_classes", ("r", "g", "b"), "the colour"), ("zones", ("unit", "zone"), "the zone")):
        rows = row_sets[field]
        first: dict[tuple[Any, ...], int] = {}
        for row in rows.rows:
            key = tuple(row.values.get(name) for name in names)
            if None in key or key[-1] == "":
                continue
            if first.setdefault(key, row.number) != row.number:
                words = " ".join(str(part) for part in key)
                read = f"{what} {shown(words)} is already in row {first[key]}"
                problems.add(rows.table.file, row.number, names[-1], read, "each one once")


def check_frames(row_sets: RowSets, draft: Draft, problems: Problems, *, may_wait: bool = False) -> None:
    """Frames of one unit fit each other; every unit with photos has one, in mode by_hand one for each photo, unless they may wait."""
    photos, frames = row_sets["photos"], row_sets["frames"]
    if not frames.rows:
        return
    unit_of: dict[str, str] = {row.values["photo"]: row.values["unit"] for row in photos.rows if {"photo", "unit"} <= row.values.keys()}
    if draft.units is not None:
        unit_of = {photo: unit for photo, unit in unit_of.items() if unit in draft.units}
    first_frame, framed = _check_frames_of_units(frames, unit_of, draft, problems)
    if may_wait:
        return
    names_units = frames.is_sure("unit") and (draft.units is None or first_frame.keys() <= set(draft.units))
    for unit in dict.fromkeys(unit_of.values()):
        if unit not in first_frame and names_units:
            problems.add(frames.table.file, None, "unit", f"no frame is given for {shown(unit)}, which has photos",
                         "a row for each unit that has photos")
    for row in photos.rows:
        unit, photo = row.values.get("unit", ""), row.values.get("photo")
        by_hand = unit in first_frame and first_frame[unit].values.get("mode") == "by_hand"
        if by_hand and photo is not None and (unit, photo) not in framed and frames.is_sure("unit", "reference_photo"):
            problems.add(photos.table.file, row.number, "photo", f"{shown(photo)} has no row in frames.csv",
                         "a row for each photo of a unit whose mode is by_hand")


def _check_frames_of_units(frames: Rows, unit_of: Mapping[str, str], draft: Draft,
                           problems: Problems) -> tuple[dict[str, Row], set[tuple[str, str]]]:
    """The first row of each unit, and all (unit, photo) with a frame, after the rows of one unit were checked against each other."""
    first_frame: dict[str, Row] = {}
    framed: set[tuple[str, str]] = set()
    for row in frames.rows:
        unit, photo, mode = row.values.get("unit"), row.values.get("reference_photo", ""), row.values.get("mode")
        if unit is None:
            continue
        if unit_of.get(photo, unit) != unit and (draft.units is None or unit in draft.units):
            problems.add(frames.table.file, row.number, "reference_photo", f"{shown(photo)} is a photo of {shown(unit_of[photo])}",
                         f"a photo of {shown(unit)}")
        if unit in first_frame and mode is not None:
            _check_second_frame(frames.table.file, row, first_frame[unit], problems)
        if (unit, photo) in framed and photo:
            accepted = "one row for each photo" if mode == "by_hand" else _FURTHER_ROW
            problems.add(frames.table.file, row.number, "reference_photo", f"{shown(photo)} already has a frame", accepted)
        first_frame.setdefault(unit, row)
        framed.add((unit, photo))
    return first_frame, framed


def _check_second_frame(file: str, row: Row, first: Row, problems: Problems) -> None:
    """A further row of one unit has the mode of the first; where frames are found again or stay, it also shows the same glass."""
    mode, mode_before = row.values.get("mode"), first.values.get("mode")
    if mode != mode_before and mode_before is not None:
        read = f"{mode} differs from row {first.number} of the same unit"
        problems.add(file, row.number, "mode", read, f"{mode_before}, one mode for each unit")
    if mode == "by_hand":
        return
    for name, off in (("view", 0.0), ("width_cm", FRAME_OFF_CM), ("height_cm", FRAME_OFF_CM)):
        value, before = row.values.get(name), first.values.get(name)
        if value is None or before is None or value == before:
            continue
        if name == "view" or abs(value - before) > off:
            said, before_said = (value, before) if name == "view" else (f"{value:g}", f"{before:g}")
            read = f"{said} differs from row {first.number} of the same unit"
            problems.add(file, row.number, name, read, f"{before_said}, since all rows of a unit show the same glass")
