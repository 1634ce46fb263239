"""What is to be built, worked out from the texts of a trial: sheet, shopping list, what the change brings along; no photo is read."""

import tempfile
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from fairtank.build import Setup
from fairtank.errors import DesignError
from fairtank.planning.buildsheet import build_lines, build_sheet
from fairtank.planning.costs import Shopping, shopping_list
from fairtank.planning.effects.side_effect import SideEffect
from fairtank.planning.sheet import BuildSheet, SheetLine, UnitFacts
from fairtank.planning.side_effects import side_effects
from fairtank.publish.level_ruler import Picture, level_ruler
from fairtank.records.build_rows import rows_with_plan
from fairtank.records.by_round import by_round
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.tables import BUILD
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import with_arms
from fairtank.records.models import BuildLine, Document, Trial
from fairtank.records.rows.door import text_of_rows
from fairtank.records.services.building import ROUNDS_CAUTION, trial_build
from fairtank.records.services.shelf_setup import SetUp
from fairtank.trial import BuildLine as Line
from fairtank.trial import Plan


@dataclass(frozen=True)
class Built:
    """A setup worked out. refusal: why it cannot be built as it is described; then nothing else is there."""

    setup: Setup | None = None
    sheet: BuildSheet | None = None
    shopping: Shopping | None = None
    effects: tuple[SideEffect, ...] = ()
    refusal: str = ""


@dataclass(frozen=True)
class Alike:
    """Units that are built the same: their keys, the facts of the first of them, its level ruler and its lines."""

    units: tuple[str, ...]
    facts: UnitFacts
    picture: Picture
    lines: tuple[SheetLine, ...]


def built_of(found: SetUp) -> Built:
    """The sheet and what follows from it; the same setup is worked out once."""
    return Built() if found.setup is None else _built(found.setup, found.plan)


@lru_cache(maxsize=64)
def _built(setup: Setup, plan: Plan | None) -> Built:
    own = by_round(setup, plan)
    try:
        sheet = build_sheet(own)
        if own is not setup:
            sheet = replace(sheet, cautions=(*sheet.cautions, ROUNDS_CAUTION))
        return Built(own, sheet, shopping_list(own, sheet), side_effects(own, sheet))
    except DesignError as error:
        return Built(refusal=str(error))


@lru_cache(maxsize=64)
def _alike(setup: Setup, sheet: BuildSheet, with_us: bool) -> tuple[Alike, ...]:
    groups: dict[object, list[str]] = {}
    for facts in sheet.units:
        lines = tuple(replace(line, unit="", material="" if line.part == "glass" else line.material) for line in sheet.lines_of(facts.unit))
        glass = replace(setup.tank_of(facts.unit), key="", title="")
        groups.setdefault((replace(facts, unit="", tank=""), glass, lines), []).append(facts.unit)
    made = []
    for place, units in enumerate(groups.values()):
        facts = sheet.facts_of(units[0])
        change = next((water.change_fraction for water in setup.water if setup.holds(water.scope, units[0])), 0.0)
        picture = level_ruler(setup.tank_of(units[0]), facts, key=f"ruler{place}", change_fraction=change, with_us=with_us)
        made.append(Alike(tuple(units), facts, picture, sheet.lines_of(units[0])))
    return tuple(made)


def alike_of(built: Built, *, with_us: bool = False) -> tuple[Alike, ...]:
    """Units by how they are built, each sort with its picture; with_us: which has inches and gallons too."""
    return () if built.setup is None or built.sheet is None else _alike(built.setup, built.sheet, with_us)


# what was weighed ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Weighing:
    """One thing to weigh into one unit. row: where it is kept, None before anything was entered. tolerance: how far it may be off."""

    line: Line
    sheet: SheetLine | None
    row: BuildLine | None

    @property
    def weighed(self) -> float | None:
        """What was weighed."""
        return self.line.weighed

    @property
    def batch(self) -> str:
        """Of what was weighed; before, of what is planned."""
        return self.line.batch if self.row is None else self.row.batch

    @property
    def note(self) -> str:
        """The keeper's own words; what only the plan says of the line is none of them."""
        return "" if self.row is None or (self.sheet is not None and self.row.note == self.sheet.note) else self.row.note

    @property
    def was(self) -> str:
        """The same to the last digit, as a form carries it along; empty for nothing."""
        return "" if self.weighed is None else repr(self.weighed)

    @property
    def tolerance(self) -> float | None:
        """How far the weighed amount may be off; None where no line of the sheet asks for it in this unit of measure."""
        return self.sheet.tolerance if self.sheet is not None and self.sheet.unit_of_measure == self.line.unit_of_measure else None


def rows_of(trial: Trial) -> list[BuildLine]:
    """What is kept of the build, in the order of the rows."""
    return list(BuildLine.objects.filter(trial=trial).select_related("unit").order_by("pk"))


def weighings(trial: Trial, built: Built) -> list[Weighing]:
    """Everything that is to be weighed, with what was; rows that are no longer planned stand there too.

    Raises
    ------
    FolderError
        If two rows answer to the same line, or something was weighed in a unit that cannot be told in the planned one.
    """
    rows = rows_of(trial)
    there = [Line(row.unit.key, row.material, row.kind, row.planned, row.weighed, row.unit_of_measure, row.batch, row.note) for row in rows]
    sheet = built.sheet
    lines = rows_with_plan(build_lines(sheet) if sheet else (), there).lines
    asked = {(line.unit, _folded(line.title)): line for line in (sheet.lines if sheet else ())}
    kept = {(row.unit.key, row.material): row for row in rows}
    return [Weighing(line, asked.get((line.unit, _folded(line.material))), kept.get((line.unit, line.material))) for line in lines]


def _folded(title: str) -> str:
    return " ".join(title.casefold().split())


@dataclass(frozen=True)
class Apart:
    """Units of which something was weighed unequally although it is planned equal: how far the least and the most are apart."""

    material: str
    unit_of_measure: str
    tolerance: float
    least: tuple[str, float]
    most: tuple[str, float]

    @property
    def difference(self) -> float:
        """Between the two."""
        return round(self.most[1] - self.least[1], 9)


def unequal(found: list[Weighing]) -> list[Apart]:
    """Everything that is planned equal and was weighed further apart than a scale may be off."""
    groups: dict[tuple[str, float | None, str], list[Weighing]] = {}
    for one in found:
        if one.weighed is not None and one.tolerance is not None:
            groups.setdefault((_folded(one.line.material), one.line.planned, one.line.unit_of_measure), []).append(one)
    told = []
    for group in groups.values():
        ordered = sorted(group, key=lambda one: one.weighed or 0.0)
        least, most = ordered[0], ordered[-1]
        apart = Apart(least.line.material, least.line.unit_of_measure, least.tolerance or 0.0, (least.line.unit, least.weighed or 0.0),
                      (most.line.unit, most.weighed or 0.0))
        if apart.difference > apart.tolerance + 1e-9:
            told.append(apart)
    return told


def is_weighable(one: Weighing) -> bool:
    """The glass and the settings of lamps are not weighed in; nor is what is given again and again."""
    return one.sheet is None or (one.sheet.part not in ("glass", "light", "doses") and one.sheet.times == 1)


# files ---------------------------------------------------------------------------------------------------------------


def build_file(trial: Trial, name: str) -> bytes:
    """One of the files that `fairtank build` writes: build-sheets.pdf, shopping.pdf, shopping.csv, or build.csv brought up to the plan.

    Raises
    ------
    FolderError, DesignError
        If it cannot be built as it is described.
    """
    texts = {row.path: row.text for row in Document.objects.filter(trial=trial, path__in=[PLAN_FILE, SETUP_FILE])}
    with tempfile.TemporaryDirectory(prefix="fairtank-build-") as place:
        root, out = Path(place) / trial.slug, Path(place) / "out"
        root.mkdir()
        for path, text in {**texts, BUILD.file: text_of_rows(trial, "build")}.items():
            if text:
                (root / path).write_text(with_arms(text) if path == PLAN_FILE else text, encoding="utf-8")
        trial_build(root=root, out=out)
        return ((root if name == BUILD.file else out) / name).read_bytes()
