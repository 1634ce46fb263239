"""What is to be built: planned, priced, looked at for what it brings along, and put on paper; build.csv is brought up to the plan."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from fairtank.build import Setup
from fairtank.errors import FolderError, JobError, Problem
from fairtank.planning.buildsheet import build_lines, build_sheet
from fairtank.planning.costs import Shopping, shopping_list
from fairtank.planning.effects.side_effect import SideEffect
from fairtank.planning.sheet import BuildSheet
from fairtank.planning.side_effects import side_effects
from fairtank.publish.build_pages import BuildContent, Place, sheets_pdf
from fairtank.publish.pdf import pdf_bytes
from fairtank.publish.shopping_pages import shopping_document
from fairtank.records.build_rows import BuildRows, rows_with_plan
from fairtank.records.by_round import by_round
from fairtank.records.exporters.shopping import shopping_text
from fairtank.records.folder import read_folder
from fairtank.records.folder.checks_needed import missing
from fairtank.records.folder.nouns import values_from_nouns
from fairtank.records.folder.paths import is_there
from fairtank.records.folder.setup_toml_alone import ACCEPTED, read_lone_setup
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.tables import BUILD
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.writer import table_text
from fairtank.records.services.trials import place_check, result_write
from fairtank.records.writing import text_write
from fairtank.trial import BuildLine, Plan, Unit

SHEETS_FILE, SHOPPING_FILE, SHOPPING_TABLE = "build-sheets.pdf", "shopping.pdf", "shopping.csv"
ROUNDS_CAUTION = ("The boxes of each round are counted by themselves, in weights, costs and electricity, as if the rounds stood side by "
                  "side.")
_LEFT_TO_RIGHT = {"left": 0, "middle": 1, "centre": 1, "center": 1, "right": 2}


@dataclass(frozen=True)
class BuildFiles:
    """Where everything was written; build_table: build.csv in the trial folder."""

    sheets: Path
    shopping: Path
    shopping_table: Path
    build_table: Path


@dataclass(frozen=True)
class PlannedBuild:
    """A build before it is weighed in.

    title: of the trial, else of the folder. setup: as it was planned; with rounds, each has boxes of its own. rows: build.csv as it will
    be. is_new: there was no build.csv. unknown_columns: kept and not used, by file. files: None where nothing was written.
    """

    title: str
    setup: Setup
    sheet: BuildSheet
    shopping: Shopping
    effects: tuple[SideEffect, ...]
    rows: BuildRows
    is_new: bool
    unknown_columns: tuple[tuple[str, str], ...] = ()
    files: BuildFiles | None = None


@dataclass(frozen=True)
class _Source:
    """What a folder holds of a build, with a plan or before there is one."""

    title: str
    setup: Setup
    plan: Plan | None
    build: tuple[BuildLine, ...]
    build_cells: Sequence[Mapping[str, str]]
    unknown_columns: tuple[tuple[str, str], ...]
    photos: tuple[str, ...] = ()


def trial_build(*, root: Path, out: Path | None = None) -> PlannedBuild:
    """Plan a build; with `out`, write the sheets, the shopping list and build.csv.

    Parameters
    ----------
    root : Path
        A folder with setup.toml, and trial.toml where there is a plan already.
    out : Path or None
        Where sheets and shopping list go; None writes nothing at all.

    Raises
    ------
    FolderError
        If anything in the folder is wrong, or build.csv cannot be brought up to the plan without guessing.
    DesignError
        If the build cannot be made as it is described.

    References
    ----------
    common_practice (keys from sources.py).
    """
    source = _source(root)
    if out is not None:
        place_check(out, root, source.photos)
    setup = by_round(source.setup, source.plan)
    sheet = build_sheet(setup)
    if setup is not source.setup:
        sheet = replace(sheet, cautions=(*sheet.cautions, ROUNDS_CAUTION))
    planned = PlannedBuild(
        title=source.title, setup=setup, sheet=sheet, shopping=shopping_list(setup, sheet), effects=side_effects(setup, sheet),
        rows=rows_with_plan(build_lines(sheet), source.build, source.build_cells), is_new=not is_there(root, BUILD.file),
        unknown_columns=source.unknown_columns,
    )
    return planned if out is None else replace(planned, files=_written(planned, source, root, out))


def _source(root: Path) -> _Source:
    """The folder read, with its plan where it has one."""
    if not root.is_dir() or not is_there(root, PLAN_FILE):
        alone = read_lone_setup(root)
        return _Source(root.resolve().name, alone.setup, None, alone.build, alone.build_cells, alone.unknown_columns)
    folder = read_folder(root)
    if folder.setup is None:
        raise FolderError((Problem(SETUP_FILE, None, None, missing(root, SETUP_FILE), ACCEPTED),))
    return _Source(folder.plan.title or root.resolve().name, folder.setup, folder.plan, folder.build,
                   folder.unknown_cells.get(BUILD.file, ()), folder.unknown_columns, tuple(photo.path for photo in folder.photos))


def _written(planned: PlannedBuild, source: _Source, root: Path, out: Path) -> BuildFiles:
    """Everything made first, then written; build.csv comes last and only where it changes."""
    content = BuildContent(planned.title, planned.setup, planned.sheet, planned.effects, _places(planned, source.plan))
    shopping = shopping_document(planned.shopping, title=planned.title, units=len(planned.setup.units), weeks=planned.setup.weeks)
    sheets, list_pdf = sheets_pdf(content), pdf_bytes(shopping)
    rows = planned.rows
    table = table_text(BUILD, values_from_nouns("build", rows.lines), rows.cells)
    files = BuildFiles(out / SHEETS_FILE, out / SHOPPING_FILE, out / SHOPPING_TABLE, root / BUILD.file)
    result_write(files.sheets, sheets)
    result_write(files.shopping, list_pdf)
    result_write(files.shopping_table, shopping_text(planned.shopping))
    if rows.lines != source.build:
        _table_write(files.build_table, table)
    return files


def _table_write(path: Path, text: str) -> None:
    """Write build.csv whole, beside nothing that could be chosen instead."""
    try:
        text_write(path, text)
    except OSError as error:
        raise JobError(f"{path} cannot be written: {error.strerror}. Sheets and shopping list were written.") from error


def _places(planned: PlannedBuild, plan: Plan | None) -> dict[str, Place]:
    """Where each unit stands: words of the plan, never its arm, and the units of its tank from left to right."""
    units = {unit.key: unit for unit in plan.units} if plan is not None else {}
    places = {}
    for box in planned.sheet.tanks:
        neighbours = _left_to_right([units[key] for key in box.units]) if units else box.units
        for key in box.units:
            own = units.get(key)
            words = () if own is None else (own.compartment and f"compartment {own.compartment}", own.position,
                                            own.block and f"block {own.block}")
            places[key] = Place(", ".join(word for word in words if word), neighbours)
    return places


def _left_to_right(units: Sequence[Unit]) -> tuple[str, ...]:
    """The units of a tank by what the plan calls their compartments, else in the order of the plan."""
    words = [unit.compartment.casefold() for unit in units]
    if len(set(words)) < len(words) or not all(words):
        return tuple(unit.key for unit in units)
    is_named = all(word in _LEFT_TO_RIGHT for word in words)
    ordered = sorted(units, key=lambda unit: (_LEFT_TO_RIGHT[unit.compartment.casefold()], "") if is_named else
                     (int(unit.compartment) if unit.compartment.isdecimal() else 0, unit.compartment.casefold()))
    return tuple(unit.key for unit in ordered)
