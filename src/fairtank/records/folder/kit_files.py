"""The files of a kit besides the trial's own: their names, the list of digests, and whether every file is as the list says."""

import csv
import hashlib
import io
import json
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import FolderError, InputError, Problem
from fairtank.publish.kit.facts import ABSENT, FORM, MADE, REDUCED, WHATS, KitFile
from fairtank.publish.kit.words import KitFault, fault_words
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, check_path, is_there, read_bytes, text_from_bytes
from fairtank.records.folder.pictures import EXTENSIONS
from fairtank.records.folder.problems import Refusal, shown

PACKAGE, CRATE, MIAPPE, DIGESTS, SOFTWARE = "datapackage.json", "ro-crate-metadata.json", "miappe.json", "digests.csv", "software.json"
README, README_BESIDE, CITATION, LICENCE = "README.md", "README-of-the-kit.md", "CITATION.cff", "LICENCE.txt"
ABOUT_PHOTOS, CARRIED = "about-the-photos.txt", "carried.json"
RESULTS, AS_MEASURED = "results", "as-measured"
ABOUT_FILES = (PACKAGE, CRATE, MIAPPE, DIGESTS, SOFTWARE, README, README_BESIDE, CITATION, ABOUT_PHOTOS)
COLUMNS = ("file", "bytes", "sha256", "what", "original_bytes", "original_sha256")
RENAMED = "original_file"  # one column more, where a photo has another name than the one that was measured
OWN_ROOM = "fairtank"  # what the package's own properties stand under
_PIECE_BYTES = 1 << 20
_SHA256 = re.compile(r"[0-9a-f]{64}")
_PHOTO_ENDS = tuple(end for ends in EXTENSIONS.values() for end in ends)
_NOT_LISTED = ("out",)  # results that were worked out after the kit was unpacked


@dataclass(frozen=True)
class KitState:
    """What a look at a kit's own list gave. form: of the kit. files: as listed. faults: what is otherwise than listed."""

    form: int
    files: tuple[KitFile, ...]
    faults: tuple[KitFault, ...] = ()


def digests_text(files: Iterable[KitFile]) -> str:
    """digests.csv: every file of the kit but itself, with its length and SHA-256."""
    files = tuple(files)
    columns = columns_of(files)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for one in files:
        there = one.what not in ABSENT
        cells = [one.path, one.size_bytes if there else "", one.sha256, one.what, one.original_bytes or "", one.original_sha256,
                 one.original_path]
        writer.writerow(cells[:len(columns)])
    return out.getvalue()


def columns_of(files: Iterable[KitFile]) -> tuple[str, ...]:
    """The columns of digests.csv: the last one only where a photo has another name, so that any fairtank reads the list of other kits."""
    return (*COLUMNS, RENAMED) if any(one.original_path for one in files) else COLUMNS


def files_from_text(text: str) -> tuple[KitFile, ...]:
    """digests.csv read; ValueError with the reason where it is not as a kit writes it."""
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except csv.Error as error:
        raise ValueError("it cannot be parted into cells") from error
    if not rows or tuple(rows[0]) not in (COLUMNS, (*COLUMNS, RENAMED)):
        raise ValueError(f"its first row is not {', '.join(COLUMNS)}")
    return tuple(_file(number, row, len(rows[0])) for number, row in enumerate(rows[1:], start=2))


def _file(number: int, row: list[str], width: int) -> KitFile:
    fits = len(row) == width and row[3] in WHATS and all(not text or _SHA256.fullmatch(text) for text in (row[2], row[5])) \
        and all(not text or (row[3] == REDUCED and text.lower().endswith(_PHOTO_ENDS)) for text in row[6:]) \
        and all(not text or (text.isascii() and text.isdecimal() and len(text) < 16) for text in (row[1], row[4]))
    if not fits or (row[3] not in ABSENT and not (row[1] and row[2])):
        raise ValueError(f"row {number} is not as a kit writes it")
    try:
        path = check_path(row[0])
        original = check_path(row[6]) if row[6:] and row[6] else ""
    except Refusal as refusal:
        raise ValueError(f"row {number}: {refusal.read}") from None
    return KitFile(path, row[3], int(row[1] or 0), row[2], int(row[4] or 0), row[5], original)


def _own_room(root: Path) -> dict[str, object] | None:
    """What datapackage.json holds of ours; None where it is not there, or another program's."""
    try:
        document = json.loads(read_bytes(root, PACKAGE, CSV_LIMIT_BYTES))
        room = document.get(OWN_ROOM)
    except (Refusal, ValueError, AttributeError, RecursionError):
        return None
    return room if isinstance(room, dict) else None


def digest_named(root: Path) -> str:
    """The digest over everything that was judged, as the kit names it; empty where it names none."""
    named = (_own_room(root) or {}).get("inputs_digest")
    return named if isinstance(named, str) and re.fullmatch(r"sha256:[0-9a-f]{64}", named) else ""


def check_form(root: Path) -> int:
    """The form of a kit, 0 where the folder is none; InputError for one that a later fairtank wrote."""
    room = _own_room(root)
    if room is None:
        return FORM if is_there(root, DIGESTS) else 0
    form = room.get("form")
    if type(form) is not int or not 0 < form <= FORM:
        by = shown(str(room.get("software") or "another fairtank"), 40)
        raise InputError("the kit", f"of form {shown(str(form), 20)}, written by {by}", f"a kit of form {FORM} or earlier",
                         "Use the fairtank that wrote it, or a later one. Nothing was taken in.")
    return form


def kit_state(root: Path) -> KitState | None:
    """Every file of an unpacked kit held against the kit's own list; None where the folder is no kit.

    Raises
    ------
    InputError
        If it was written in a form that this fairtank does not know.
    """
    form = check_form(root)
    if not form:
        return None
    try:
        text, _, fault = text_from_bytes(read_bytes(root, DIGESTS, CSV_LIMIT_BYTES, called="the list"))
        if text is None:
            raise ValueError(fault.read if fault else "it is no text")
        files = files_from_text(text)
    except (Refusal, ValueError) as error:
        reason = error.read if isinstance(error, Refusal) else str(error)
        return KitState(form, (), (KitFault("list", DIGESTS, reason),))
    return KitState(form, files, tuple(_faults(root, files)))


def _faults(root: Path, files: tuple[KitFile, ...]) -> Iterator[KitFault]:
    listed: set[str] = set()
    for one in files:
        if one.path in listed:
            yield KitFault("twice", one.path)
        listed.add(one.path)
        place = root / one.path
        if one.what in ABSENT:
            if is_there(root, one.path):
                yield KitFault("added", one.path)
        elif place.is_symlink() or not place.is_file():
            yield KitFault("missing", one.path)
        elif place.stat().st_size != one.size_bytes or _sha256(place) != one.sha256:
            yield KitFault("altered", one.path)
    for path in sorted(paths_in(root) - listed - {DIGESTS}):
        yield KitFault("added", path)


def _sha256(place: Path) -> str:
    whole = hashlib.sha256()
    with place.open("rb") as file:
        while piece := file.read(_PIECE_BYTES):
            whole.update(piece)
    return whole.hexdigest()


def paths_in(root: Path) -> set[str]:
    """Every file of a folder but hidden ones and the results in out/."""
    found = set()
    for folder, folders, names in os.walk(root):
        here = Path(folder)
        folders[:] = [name for name in folders if not name.startswith(".") and not (here == root and name in _NOT_LISTED)]
        found |= {(here / name).relative_to(root).as_posix() for name in names if not name.startswith(".")}
    return found


def check_kit(root: Path) -> None:
    """Refuse a kit in which anything is otherwise than its list says; a folder that is no kit passes.

    Raises
    ------
    FolderError
        With every file that was altered, is missing or was added.
    InputError
        If the kit was written in a form that this fairtank does not know.
    """
    state = kit_state(root)
    if state is not None and state.faults:
        hint = f"To take it as it is, as a folder that nobody vouches for, delete {DIGESTS} and {PACKAGE} in it"
        problems = [Problem(DIGESTS, None, None, fault_words(one).rstrip("."), "") for one in state.faults[:50]]
        raise FolderError((*problems, Problem(DIGESTS, None, None, hint, "")))


def made_files(root: Path) -> frozenset[str]:
    """The files in a folder that a kit made about itself: they are made anew with the next kit and are no part of the trial."""
    try:
        text, _, _ = text_from_bytes(read_bytes(root, DIGESTS, CSV_LIMIT_BYTES))
        files = files_from_text(text or "")
    except (Refusal, ValueError):
        return frozenset()
    made = {one.path for one in files if one.what in MADE and (one.path in ABOUT_FILES or one.path.startswith(f"{RESULTS}/"))}
    return frozenset({DIGESTS, *made})


def measured_files(root: Path) -> tuple[str, ...]:
    """The files of as-measured/: tables and strokes as they were before photos were made smaller or left out."""
    return tuple(sorted(path for path in paths_in(root) if path.startswith(f"{AS_MEASURED}/") and not (root / path).is_symlink()))
