"""Where a trial stands, from its rows and the texts of its plan, without reading a photo: what is there, what is missing, what is next."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from fairtank.build import Setup
from fairtank.chore import Chore, Slip
from fairtank.errors import FairtankError
from fairtank.lot import Draw
from fairtank.records.folder.chore_rows import rows_of_units
from fairtank.records.folder.draw_json import DRAW_FILE, draws_from_text
from fairtank.records.folder.nouns import FIELDS, nouns_from_rows, sort_series
from fairtank.records.folder.plan_toml import draft_from_text
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.rows import rows_from_text
from fairtank.records.folder.schedule_toml import schedule_from_text
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.seal import SEAL_FILE, seal_from_text
from fairtank.records.folder.seal_changes import changes_between
from fairtank.records.folder.seal_parts import parts_of
from fairtank.records.folder.setup_toml import setup_from_text
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.undrawn import units_without_arm, with_arms
from fairtank.records.models import BuildLine, Card, ChoreDone, Document, Event, Photo, Reading, SeriesValue, Trial
from fairtank.records.plan_answers import ANSWERS_FILE, KeptAnswers, answers_from_text
from fairtank.records.rows.door import text_of_rows
from fairtank.records.rows.texts import texts_of
from fairtank.seal import Seal, SealChange
from fairtank.trial import Photo as PhotoNoun
from fairtank.trial import Plan, TrialFolder

_PAPERS = (PLAN_FILE, SETUP_FILE, SCHEDULE_FILE, DRAW_FILE, SEAL_FILE, ANSWERS_FILE)


@dataclass(frozen=True)
class Papers:
    """The texts of a trial's plan, each read when it is asked for.

    trial: whose. texts: by the name of the file; only those that are there.
    """

    trial: Trial
    texts: dict[str, str]

    @cached_property
    def draft(self) -> Any:
        """As much of the plan as can be read."""
        return draft_from_text(with_arms(self.texts.get(PLAN_FILE, "")), Problems())

    @property
    def plan(self) -> Plan | None:
        """The plan; None where none is there yet."""
        return self.draft.plan if PLAN_FILE in self.texts else None

    @cached_property
    def open_units(self) -> frozenset[str]:
        """Units that were given no arm yet."""
        return units_without_arm(self.texts.get(PLAN_FILE, ""))

    @cached_property
    def setup(self) -> Setup | None:
        """What goes into the glass, where it was said."""
        text = self.texts.get(SETUP_FILE)
        return None if text is None else setup_from_text(text, self.plan, Problems()).setup

    @cached_property
    def schedule(self) -> tuple[tuple[Chore, ...], tuple[Slip, ...]]:
        """Chores and slips."""
        text = self.texts.get(SCHEDULE_FILE)
        if text is None:
            return (), ()
        found = schedule_from_text(text, self.draft, Problems(), Problems())
        return found.chores, found.slips

    @property
    def has_schedule(self) -> bool:
        """Whether one was written."""
        return SCHEDULE_FILE in self.texts

    @cached_property
    def draws(self) -> tuple[Draw, ...]:
        """Every draw on record, the one that counts last."""
        text = self.texts.get(DRAW_FILE)
        return () if text is None else draws_from_text(text, Problems())

    @cached_property
    def seal(self) -> Seal | None:
        """The seal, where there is one that can be read."""
        text = self.texts.get(SEAL_FILE)
        return None if text is None else seal_from_text(text, Problems())

    @property
    def changes_since_seal(self) -> tuple[SealChange, ...]:
        """What the plan says otherwise than it was sealed last."""
        if self.seal is None or self.plan is None:
            return ()
        return changes_between(self.seal.last.plan, parts_of(self.plan), self.seal.last.at)

    @cached_property
    def kept(self) -> KeptAnswers:
        """The answers that were kept; none where there are none that can be read."""
        try:
            return answers_from_text(self.texts.get(ANSWERS_FILE, ""), ANSWERS_FILE)
        except FairtankError:
            return KeptAnswers()


def papers_of(trial: Trial) -> Papers:
    """The texts of a trial's plan, in one query."""
    there = Document.objects.filter(trial=trial, path__in=_PAPERS)
    return Papers(trial, {paper.path: paper.text for paper in there})


def folder_of_rows(trial: Trial, only: tuple[str, ...] | None = None) -> TrialFolder:
    """A trial as a folder that was read, made from its rows: the same nouns, without opening a photo.

    What is stored was checked when it was stored, so nothing is checked again. Digests are left out: whoever needs them reads the folder.

    Parameters
    ----------
    trial : Trial
        With a plan.
    only : tuple of str, optional
        Tables to read, by the field of `TrialFolder`; all of them where left out.

    Returns
    -------
    TrialFolder

    Raises
    ------
    FolderError
        If there is no plan that can be read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    papers, problems = papers_of(trial), Problems()
    if only is None:
        texts = {path: content.decode("utf-8-sig") for path, content in texts_of(trial).items() if path.endswith((".toml", ".csv"))}
    else:
        texts = {**papers.texts, **{FIELDS[field].file: text for field in only if (text := text_of_rows(trial, field))}}
    plan = draft_from_text(with_arms(texts.get(PLAN_FILE, "")), problems).plan
    if plan is None:
        raise problems.as_error()
    tables: dict[str, Any] = {}
    for field, table in FIELDS.items():
        if field == "photos" or table.file not in texts:
            continue
        rows = rows_from_text(table, texts[table.file], problems)
        if field == "chores_done":
            rows = rows_of_units(rows, plan, papers.schedule[0])
        tables[field] = nouns_from_rows(field, sort_series(rows, plan) if field == "series" else rows, plan)
    taken = Photo.objects.filter(trial=trial).order_by("pk").values_list("path", "unit__key", "taken_at", "day") if only is None else ()
    chores, slips = papers.schedule
    return TrialFolder(root=Path(trial.slug), plan=plan, digest="", photos=tuple(PhotoNoun(*row) for row in taken), setup=papers.setup,
                       seal=papers.seal, chores=chores, slips=slips, draws=papers.draws, **tables)


@dataclass(frozen=True)
class Counts:
    """How much was recorded: photos, readings, chores done, events, ready-made values, lines of the build sheet, cards."""

    photos: int = 0
    readings: int = 0
    chores: int = 0
    events: int = 0
    values: int = 0
    build: int = 0
    cards: int = 0

    @property
    def has_data(self) -> bool:
        """Whether anything that is judged is there."""
        return bool(self.photos or self.readings or self.values)


_COUNTED: dict[str, Any] = {"photos": Photo, "readings": Reading, "chores": ChoreDone, "events": Event, "values": SeriesValue,
                            "build": BuildLine, "cards": Card}


def counts_of(trial: Trial) -> Counts:
    """How much was recorded of a trial, a query for each sort of row."""
    return Counts(**{name: model._default_manager.filter(trial=trial).count() for name, model in _COUNTED.items()})
