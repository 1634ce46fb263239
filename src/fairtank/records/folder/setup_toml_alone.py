"""A folder that holds setup.toml and no trial.toml: what is to be built, before there is a plan."""

from dataclasses import dataclass
from pathlib import Path

from fairtank.build import Setup
from fairtank.records.folder.checks_needed import missing
from fairtank.records.folder.paths import CSV_LIMIT_BYTES, TOML_LIMIT_BYTES, is_there, read_bytes, text_from_bytes
from fairtank.records.folder.problems import Problems, Refusal, check_is_folder, listed, shown
from fairtank.records.folder.rows import Rows, rows_from_text
from fairtank.records.folder.setup_toml import SetupDraft, setup_from_text
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.tables import BUILD
from fairtank.records.folder.unknown_keys import unknown_place
from fairtank.trial import BuildLine

ACCEPTED = "what is to be built (docs/guide/trial-folder.md shows how to write it, fairtank demo makes an example)"


@dataclass(frozen=True)
class LoneSetup:
    """A setup without a plan: the folder, what is to be built, the rows of build.csv with their unknown cells, and unknown keys."""

    root: Path
    setup: Setup
    build: tuple[BuildLine, ...] = ()
    build_cells: tuple[dict[str, str], ...] = ()
    unknown_columns: tuple[tuple[str, str], ...] = ()


def read_lone_setup(root: Path) -> LoneSetup:
    """setup.toml, and build.csv where it is there; nothing else in the folder is looked at.

    Every tank is a unit, or every compartment of one, named like T1a, T1b.

    Raises
    ------
    FolderError
        If anything is wrong; it carries every problem.
    """
    check_is_folder(root, SETUP_FILE)
    problems = Problems((SETUP_FILE, BUILD.file))
    draft = SetupDraft()
    if not is_there(root, SETUP_FILE):
        problems.add(SETUP_FILE, None, None, missing(root, SETUP_FILE), ACCEPTED)
    else:
        text = _text(root, SETUP_FILE, TOML_LIMIT_BYTES, problems)
        if text is not None:
            draft = setup_from_text(text, None, problems, is_alone=True)
    text = _text(root, BUILD.file, CSV_LIMIT_BYTES, problems) if is_there(root, BUILD.file) else None
    rows = Rows(BUILD) if text is None else rows_from_text(BUILD, text, problems)
    if draft.setup is not None:
        _check_units(rows, draft.setup.units, problems)
    if problems or draft.setup is None:
        raise problems.as_error()
    unknown = [(SETUP_FILE, unknown_place(place, key)) for place, key, _ in draft.unknown]
    unknown += [(BUILD.file, name) for name in rows.unknown]
    lines = tuple(BuildLine(**row.values) for row in rows.rows)
    return LoneSetup(root, draft.setup, lines, tuple(row.extra for row in rows.rows) if rows.unknown else (), tuple(unknown))


def _check_units(rows: Rows, units: tuple[str, ...], problems: Problems) -> None:
    """build.csv names units that setup.toml describes."""
    for row in rows.rows:
        unit = row.values.get("unit")
        if unit is not None and unit not in units:
            problems.add(BUILD.file, row.number, "unit", f"{shown(unit)} is not a unit of {SETUP_FILE}", listed(units))


def _text(root: Path, file: str, limit_bytes: int, problems: Problems) -> str | None:
    """The text of one file; None after a problem was noted."""
    try:
        content = read_bytes(root, file, limit_bytes, called="the file")
    except Refusal as refusal:
        problems.refuse(file, None, None, refusal)
        return None
    text, row, fault = text_from_bytes(content)
    if fault:
        problems.refuse(file, row, None, fault)
    return text
