"""A whole trial folder, written: tables from nouns, pictures from whoever has them; nothing half-written is left behind."""

import csv
import io
import os
import shutil
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Unpack

from fairtank.build import Setup
from fairtank.chore import Chore, Slip
from fairtank.errors import InputError
from fairtank.lot import Draw
from fairtank.records.folder.draw_json import DRAW_FILE, text_from_draws
from fairtank.records.folder.nouns import FIELDS, Tables, values_from_nouns
from fairtank.records.folder.paths import check_path
from fairtank.records.folder.plan_writer import text_from_plan
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.schedule_toml_writer import text_from_schedule
from fairtank.records.folder.seal import SEAL_FILE, text_from_seal
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.setup_toml_writer import text_from_setup
from fairtank.records.folder.tables import Table
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.writing import bytes_write, text_write
from fairtank.seal import Seal
from fairtank.trial import Label, Plan

Cells = Mapping[str, Sequence[Mapping[str, str]]]


def write_folder(root: Path, plan: Plan, *, picture: Callable[[str], bytes] | None = None, labels: Iterable[Label] = (),
                 unknown_cells: Cells | None = None, setup: Setup | None = None, seal: Seal | None = None, chores: Sequence[Chore] = (),
                 slips: Sequence[Slip] = (), draws: tuple[Draw, ...] = (), **tables: Unpack[Tables]) -> None:
    """A complete trial folder on disk, written beside its place and then moved there as one step.

    Parameters
    ----------
    root : Path
        Where the folder shall lie; nothing, or an empty folder, may be there.
    plan : Plan
        The plan.
    picture : function from path to bytes, optional
        Called once for each photo, then once for each label, in their order; it may render the picture at that moment, so that no
        more than one is held in memory. Needed when photos or labels are given.
    labels : iterable of Label
        The stroke pictures to write.
    unknown_cells : mapping, optional
        Further columns by file, one mapping per row, as `TrialFolder.unknown_cells` holds them.
    setup : Setup, optional
        What is to be built; its units stand in their tanks as the plan says.
    seal : Seal, optional
        The plan's seal, written as it was read, with the lists of its stamps: a copy of a sealed folder stays sealed.
    chores, slips : sequences, optional
        The schedule, and what slipped.
    draws : tuple of Draw, optional
        Every draw, written with the digests that they had.
    tables : Tables
        photos, frames, zones, label_classes, audit, scores, pairs, readings, events, series, spread, build, cards, lens, factors.

    Raises
    ------
    InputError
        If something lies at that place already, a path leads out of the folder, or pictures are wanted and none are given.
    """
    root, labels = Path(root), tuple(labels)
    if root.is_symlink() or (root.exists() and not (root.is_dir() and not any(root.iterdir()))):
        raise InputError("the folder to write", root, "a new or an empty folder", "Choose another name; nothing was written.")
    paths = [_checked(path) for path in (*(photo.path for photo in tables.get("photos", ())), *(label.path for label in labels))]
    if paths and picture is None:
        raise InputError("picture", "left out", "a function that gives the bytes of each photo and label")
    root.parent.mkdir(parents=True, exist_ok=True)
    partial = root.parent / f".{root.name}.{os.urandom(4).hex()}.partial"
    partial.mkdir()
    try:
        write_tables(partial, plan, unknown_cells=unknown_cells, setup=setup, seal=seal, chores=chores, slips=slips, draws=draws,
                     **tables)
        for path in dict.fromkeys(paths):
            place = partial / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(picture(path))  # type: ignore[misc]
        if root.exists():
            root.rmdir()
        partial.rename(root)
    finally:
        shutil.rmtree(partial, ignore_errors=True)


def write_tables(root: Path, plan: Plan, *, unknown_cells: Cells | None = None, setup: Setup | None = None, seal: Seal | None = None,
                 chores: Sequence[Chore] = (), slips: Sequence[Slip] = (), draws: tuple[Draw, ...] = (),
                 **tables: Unpack[Tables]) -> None:
    """trial.toml, every table that has rows, and setup.toml and seal.json where there are any, beside pictures that may lie there already.

    Parameters are those of `write_folder`. All texts are made before the first one is written, and each file is
    replaced as one step. Tables without rows are not written.

    Raises
    ------
    InputError
        If trial.toml or a table that is to be written lies there already, or a path leads out of the folder.
    """
    root, kept = Path(root), unknown_cells or {}
    rows_by_field: Mapping[str, Any] = tables
    plan_cells = kept.get(PLAN_FILE) or ({},)
    texts = {PLAN_FILE: text_from_plan(plan, dict(plan_cells[0]))}
    if setup is not None:
        own = dict((kept.get(SETUP_FILE) or ({},))[0])
        texts[SETUP_FILE] = text_from_setup(setup, own, usual_weeks=plan.days / 7 if plan.days else None)
    if draws:
        texts[DRAW_FILE] = text_from_draws(draws)
    if chores or slips:
        texts[SCHEDULE_FILE] = text_from_schedule(chores, slips, dict((kept.get(SCHEDULE_FILE) or ({},))[0]))
    if seal is not None:
        texts[SEAL_FILE] = text_from_seal(seal)
    listings = seal.listings if seal is not None else {}
    for path in listings:
        _checked(path)
    for photo in tables.get("photos", ()):
        _checked(photo.path)
    for field, table in FIELDS.items():
        nouns = tuple(rows_by_field.get(field, ()))
        if nouns:
            texts[table.file] = table_text(table, values_from_nouns(field, nouns), kept.get(table.file, ()))
    there = [file for file in (*texts, *listings) if (root / file).exists()]
    if there:
        raise InputError("the folder to write", root, f"a folder without {there[0]}", "Nothing was written.")
    for file, text in texts.items():
        text_write(root / file, text)
    for path, content in listings.items():
        bytes_write(root / path, content)


def text_of(field: str, nouns: Sequence[Any]) -> str:
    """One table of the folder, named by its field of `TrialFolder`, as CSV text."""
    return table_text(FIELDS[field], values_from_nouns(field, nouns), ())


def table_text(table: Table, rows: Sequence[Mapping[str, Any]], extra: Sequence[Mapping[str, str]]) -> str:
    """One table as CSV text; further columns follow the known ones."""
    names = tuple(dict.fromkeys(name for cells in extra for name in cells))
    if extra and len(extra) != len(rows):
        raise InputError(f"unknown_cells of {table.file}", f"{len(extra)} rows", f"{len(rows)} rows, one for each row of the table")
    file = io.StringIO(newline="")
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow([*(column.name for column in table.columns), *names])
    for number, values in enumerate(rows):
        cells = [
            "" if values[column.name] in (None, "", ()) else column.cell.write(values[column.name]) for column in table.columns
        ]
        writer.writerow([*cells, *(extra[number].get(name, "") for name in names)])
    return file.getvalue()


def _checked(path: str) -> str:
    try:
        return check_path(path)
    except Refusal as refusal:
        raise InputError("a path", shown(path), refusal.accepted) from refusal
