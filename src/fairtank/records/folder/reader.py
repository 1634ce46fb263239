"""A whole trial folder, read: either every file is in order, or every problem is named at once."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from fairtank.records.folder import (
    checks,
    checks_cards,
    checks_clock,
    checks_dates,
    checks_doubts,
    checks_factors,
    checks_geometry,
    checks_instruments,
    checks_lens,
    checks_measures,
    checks_needed,
    checks_readings,
    tables,
)
from fairtank.records.folder.carried_json import carried_from_text
from fairtank.records.folder.chore_rows import check_chores, rows_of_units
from fairtank.records.folder.digest import digest_of_bytes, digest_of_files
from fairtank.records.folder.draw_json import DRAW_FILE, draws_from_text
from fairtank.records.folder.kit_files import CARRIED, DIGESTS
from fairtank.records.folder.labels import labels_in_folder, strokes_in_folder
from fairtank.records.folder.nouns import FIELDS, nouns_from_rows, sort_series
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, PICTURE_LIMIT_BYTES, TOML_LIMIT_BYTES, is_there, read_bytes, text_from_bytes
from fairtank.records.folder.pictures import Picture, picture_from_bytes
from fairtank.records.folder.plan_toml import Draft, draft_from_text
from fairtank.records.folder.problems import Problems, Refusal, check_is_folder, on_one_line
from fairtank.records.folder.rows import Rows, rows_from_text
from fairtank.records.folder.schedule_toml import ScheduleDraft, schedule_from_text
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.seal import SEAL_FILE, seal_from_text
from fairtank.records.folder.seal_stamp import listings_in
from fairtank.records.folder.setup_toml import SetupDraft, setup_from_text
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.unknown_keys import unknown_cells_from_keys, unknown_place
from fairtank.seal import Seal
from fairtank.trial import TrialFolder

Part = TypeVar("Part")


def read_folder(root: Path, *, reworded: Callable[[str], str] | None = None, frames_may_wait: bool = False) -> TrialFolder:
    """A trial folder as nouns, after every file in it was checked; reading writes nothing.

    The plan, the setup, all tables, the headers of all photos and all stroke pictures are read. Columns and keys that fairtank does
    not know are kept and reported in `unknown_columns`; one that is near a known name is misspelt and refused. What was probably not meant
    stands in `cautions`. An offset from UTC in a time is set aside: days follow the
    keeper's own clock.

    Parameters
    ----------
    root : Path
        The folder that holds trial.toml.
    reworded : function from text to text, optional
        What is to be read in place of the text of trial.toml, such as one in which arms are filled in that are not drawn yet.
    frames_may_wait : bool
        Take photos of which nobody said yet how they map to centimetres; they cannot be measured.

    Returns
    -------
    TrialFolder
        The plan and everything recorded. Series are ordered by unit, measure and day; all else stands as in its file.

    Raises
    ------
    FolderError
        If anything is wrong; it carries every problem with file, row, column, what was read and what is accepted.
    """
    root = Path(root)
    check_is_folder(root, PLAN_FILE)
    order = PLAN_FILE, SETUP_FILE, SCHEDULE_FILE, DRAW_FILE, SEAL_FILE, *(table.file for table in tables.TABLES)
    problems, doubts, digests = Problems(order), Problems(order), dict[str, str]()
    draft = _plan(root, digests, problems, reworded)
    setup = _setup(root, draft, digests, problems)
    schedule = _schedule(root, draft, digests, problems, doubts)
    seal = _seal(root, digests, problems)
    draws = _parts(root, DRAW_FILE, draws_from_text, digests, problems)
    carried = _parts(root, CARRIED, carried_from_text, digests, problems)
    row_sets = {field: _rows(root, table, digests, problems) for field, table in FIELDS.items()}
    pictures = _photos(root, row_sets["photos"], digests, problems)
    strokes = strokes_in_folder(root, problems)
    checks_needed.check_needed(root, row_sets, draft, bool(strokes.names), problems, frames_may_wait=frames_may_wait)
    meant = checks_measures.check_measure_keys(root, row_sets, draft, problems)
    _check_rows(row_sets, draft, meant, schedule, pictures, problems, doubts)
    checks.check_frames(row_sets, draft, problems, may_wait=frames_may_wait)
    labels = labels_in_folder(root, strokes.names, row_sets, pictures, digests, problems)
    if problems or draft.plan is None:
        raise problems.as_error()
    row_sets["series"] = sort_series(row_sets["series"], draft.plan)
    row_sets["chores_done"] = rows_of_units(row_sets["chores_done"], draft.plan, schedule.chores)
    nouns: dict[str, Any] = {field: nouns_from_rows(field, rows, draft.plan) for field, rows in row_sets.items()}
    folder = TrialFolder(root=root, plan=draft.plan, digest=digest_of_files(digests), labels=labels, unread_files=_unread(root),
                         file_digests=digests, setup=setup.setup, seal=seal, cautions=doubts.sentences(), chores=schedule.chores,
                         slips=schedule.slips, draws=draws, carried=carried, **nouns)
    return _with_unknown(folder, draft, setup, schedule, row_sets)


def _check_rows(row_sets: dict[str, Rows], draft: Draft, meant: frozenset[str], schedule: ScheduleDraft, pictures: dict[str, Picture],
                problems: Problems, doubts: Problems) -> None:
    """Everything that is asked of the tables beyond their cells: what they refer to, days, sizes, places."""
    checks_measures.check_series(row_sets["series"], draft, problems)
    checks_doubts.check_decimal_commas(row_sets["series"], problems, doubts)
    checks_doubts.check_spread_classes(row_sets["spread"], doubts)
    checks_doubts.check_drawn_day(row_sets["series"], draft, PLAN_FILE, problems)
    checks.check_references(row_sets, draft, meant, problems)
    checks_dates.check_dates(row_sets, draft, problems)
    checks_clock.check_clock(row_sets["photos"], pictures, doubts)
    checks_readings.check_readings(row_sets["readings"], problems)
    checks_instruments.check_instruments(row_sets, draft, problems)
    checks.check_events(row_sets["events"], draft, problems)
    checks.check_pairs(row_sets["pairs"], problems)
    checks_cards.check_cards(row_sets["cards"], draft, problems)
    checks_lens.check_lens(row_sets["lens"], draft, problems)
    checks_factors.check_factors(row_sets["factors"], draft, problems)
    check_chores(row_sets["chores_done"], draft, schedule.keys, problems, doubts)
    checks.check_classes(row_sets["label_classes"], problems)
    checks.check_twice(row_sets, problems)
    checks_geometry.check_corners(row_sets, pictures, problems)
    checks_geometry.check_zones(row_sets, draft, problems)
    checks_geometry.check_audit(row_sets, pictures, problems)


def _plan(root: Path, digests: dict[str, str], problems: Problems, reworded: Callable[[str], str] | None) -> Draft:
    """trial.toml, as much of it as can be read."""
    if not is_there(root, PLAN_FILE):
        checks_needed.check_plan_is_there(root, problems)
        return Draft()
    text = _text(root, PLAN_FILE, TOML_LIMIT_BYTES, digests, problems)
    return Draft() if text is None else draft_from_text(reworded(text) if reworded else text, problems)


def _setup(root: Path, draft: Draft, digests: dict[str, str], problems: Problems) -> SetupDraft:
    """setup.toml, where there is one, against the plan."""
    if not is_there(root, SETUP_FILE):
        return SetupDraft()
    text = _text(root, SETUP_FILE, TOML_LIMIT_BYTES, digests, problems)
    return SetupDraft() if text is None else setup_from_text(text, draft.plan, problems)


def _schedule(root: Path, draft: Draft, digests: dict[str, str], problems: Problems, doubts: Problems) -> ScheduleDraft:
    """schedule.toml, where there is one, against the plan."""
    if not is_there(root, SCHEDULE_FILE):
        return ScheduleDraft()
    text = _text(root, SCHEDULE_FILE, TOML_LIMIT_BYTES, digests, problems)
    return ScheduleDraft() if text is None else schedule_from_text(text, draft, problems, doubts)


def _seal(root: Path, digests: dict[str, str], problems: Problems) -> Seal | None:
    """seal.json, where there is one, once its digests fit its content."""
    if not is_there(root, SEAL_FILE):
        return None
    text = _text(root, SEAL_FILE, TOML_LIMIT_BYTES, digests, problems)
    seal = None if text is None else seal_from_text(text, problems)
    return None if seal is None else replace(seal, listings=listings_in(root, seal.document))


def _parts(root: Path, file: str, parts_from_text: Callable[[str, Problems], tuple[Part, ...]], digests: dict[str, str],
           problems: Problems) -> tuple[Part, ...]:
    """What a JSON file holds that need not be there, such as the draws, once its digests fit its content."""
    if not is_there(root, file):
        return ()
    text = _text(root, file, TOML_LIMIT_BYTES, digests, problems)
    return () if text is None else parts_from_text(text, problems)


def _rows(root: Path, table: tables.Table, digests: dict[str, str], problems: Problems) -> Rows:
    """One table; without rows when the file is not there."""
    if not is_there(root, table.file):
        return Rows(table)
    if table.if_empty and (root / table.file).is_file() and not (root / table.file).stat().st_size:
        return rows_from_text(table, "", problems)  # with what to do about it
    text = _text(root, table.file, CSV_LIMIT_BYTES, digests, problems)
    return Rows(table, is_there=True, is_lost=True) if text is None else rows_from_text(table, text, problems)


def _text(root: Path, file: str, limit_bytes: int, digests: dict[str, str], problems: Problems) -> str | None:
    """The text of one file; None after a problem was noted."""
    try:
        content = read_bytes(root, file, limit_bytes, called="the file")
    except Refusal as refusal:
        problems.refuse(file, None, None, refusal)
        return None
    digests[file] = digest_of_bytes(content)
    text, row, fault = text_from_bytes(content)
    if fault:
        problems.refuse(file, row, None, fault)
    return text


def _photos(root: Path, rows: Rows, digests: dict[str, str], problems: Problems) -> dict[str, Picture]:
    """The header of every photo that is in order; a time missing from photos.csv is taken from it."""
    pictures: dict[str, Picture] = {}
    seen: set[str] = set()
    for row in rows.rows:
        path = row.values.get("photo")
        if path is None:
            continue
        if path not in seen:
            seen.add(path)
            try:
                content = read_bytes(root, path, PICTURE_LIMIT_BYTES)
                digests[path] = digest_of_bytes(content)
                pictures[path] = picture_from_bytes(path, content)
            except Refusal as refusal:
                problems.refuse(rows.table.file, row.number, "photo", refusal)
        if path in pictures and "taken_at" in row.values and row.values["taken_at"] is None:
            row.values["taken_at"] = pictures[path].taken_at
            if row.values["taken_at"] is None:
                problems.add(rows.table.file, row.number, "taken_at", "the cell is empty, and the photo carries no time of its own",
                             "an ISO 8601 time such as 2026-03-01T18:30")
    return pictures


def _unread(root: Path) -> tuple[str, ...]:
    """Tables at the top of the folder whose names fairtank does not know."""
    known = {PLAN_FILE, SETUP_FILE, SCHEDULE_FILE, DIGESTS, *(table.file for table in tables.TABLES)}
    names = (path.name for path in root.iterdir() if path.suffix.lower() in (".csv", ".toml") and path.name not in known)
    return tuple(sorted(on_one_line(name) for name in names))


def _with_unknown(folder: TrialFolder, draft: Draft, setup: SetupDraft, schedule: ScheduleDraft,
                  row_sets: dict[str, Rows]) -> TrialFolder:
    """The folder with its unknown keys and columns noted, and their cells kept row by row as the nouns stand."""
    columns = [(PLAN_FILE, unknown_place(place, key)) for place, key, _ in draft.unknown]
    columns += [(SETUP_FILE, unknown_place(place, key)) for place, key, _ in setup.unknown]
    columns += [(SCHEDULE_FILE, unknown_place(place, key)) for place, key, _ in schedule.unknown]
    cells = {**unknown_cells_from_keys(draft.unknown), **unknown_cells_from_keys(setup.unknown, SETUP_FILE),
             **unknown_cells_from_keys(schedule.unknown, SCHEDULE_FILE)}
    for rows in row_sets.values():
        columns += [(rows.table.file, name) for name in rows.unknown]
        if rows.unknown:
            cells[rows.table.file] = tuple(row.extra for row in rows.rows)
    return replace(folder, unknown_columns=tuple(columns), unknown_cells=cells)
