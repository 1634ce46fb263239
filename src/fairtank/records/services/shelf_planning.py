"""The questions of a plan, asked on the shelf: each answer is kept, any of them can be changed, and at the end they become the plan."""

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils.text import slugify

from fairtank.errors import InputError
from fairtank.planning.wizard.asking import STEPS, Standing, standing
from fairtank.planning.wizard.reading import Read, proposal, read_answer
from fairtank.planning.wizard.step import Step, Told, Value
from fairtank.planning.wizard.templates import template_of
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.paths import TOML_LIMIT_BYTES
from fairtank.records.folder.seal import SEAL_FILE
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.models import Document, Trial
from fairtank.records.plan_answers import ANSWERS_FILE, KeptAnswers, answers_from_text, answers_write
from fairtank.records.rows.plan import plan_from_text
from fairtank.records.services.importing import free_slug
from fairtank.records.services.planning import BEFORE, MADE_FILES, MadePlan, Planning, picture_make, plan_begin, plan_make
from fairtank.records.services.shelf_trials import NAMELESS, trial_begin
from fairtank.records.services.trail import By, noted
from fairtank.records.services.working import changing
from fairtank.records.writing import text_write

NOT_OURS = ("The plan was written or changed elsewhere since: as a text, by the lot, or by what was written down of the units. These "
            "questions no longer change it, so that nothing is written over. Change the text of the plan, or begin a new trial from these "
            "answers.")
SEALED = "The plan is sealed. Change its text with a reason and seal it again, or begin a new trial from these answers."
NAMELESS_SLUG = slugify(NAMELESS)


@dataclass(frozen=True)
class Asked:
    """The questions of a trial as they stand. closed: why they no longer change the plan; empty where they do."""

    trial: Trial
    planning: Planning
    closed: str = ""

    @property
    def standing(self) -> Standing:
        """How far they are."""
        return self.planning.standing

    def told_before(self, key: str) -> Told:
        """What was answered before a question."""
        order = [step.key for step in STEPS]
        earlier = {one: value for one, value in self.planning.told.answers.items() if order.index(one) < order.index(key)}
        return replace(self.planning.told, answers=earlier)

    def step(self, key: str) -> Step | None:
        """A question that was answered, or the one that is asked next; the next one where the key names neither."""
        open_now = [*self.standing.asked, *([self.standing.step] if self.standing.step else [])]
        return next((step for step in open_now if step.key == key), self.standing.step)


def questions_of(trial: Trial, today: date | None = None) -> Asked:
    """The questions of a trial with the answers that were kept.

    Parameters
    ----------
    trial : Trial
    today : date, optional
        For the start that is proposed.

    Returns
    -------
    Asked

    Raises
    ------
    InputError
        If the answers cannot be read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    papers = Document.objects.filter(trial=trial, path__in=[ANSWERS_FILE, SEAL_FILE, *MADE_FILES])
    files = {paper.path: bytes(paper.content) for paper in papers}
    kept = answers_from_text(files.get(ANSWERS_FILE, b"").decode("utf-8-sig"), "the answers")
    return Asked(trial, _planning(trial, kept, today or date.today()), _closed(files, kept))


def _planning(trial: Trial, kept: KeptAnswers, today: date) -> Planning:
    proposes = template_of(kept.template).answers if kept.template else {}
    return Planning(Path(trial.slug), kept, standing(kept.answers, template=proposes, today=today), today, proposes)


def _closed(files: Mapping[str, bytes], kept: KeptAnswers) -> str:
    if SEAL_FILE in files:
        return SEALED
    made = {file: {kept.made.get(file), kept.made.get(f"{file}{BEFORE}")} for file in MADE_FILES}
    return NOT_OURS if any(digest_of_bytes(files[file]) not in made[file] for file in MADE_FILES if file in files) else ""


def answer_store(*, asked: Asked, key: str, text: str, by: By) -> str:
    """Keep an answer as it was typed, to the next question or in place of an earlier one; the sentence says why it was refused.

    Parameters
    ----------
    asked : Asked
    key : str
        Of the question.
    text : str
        Empty takes what is proposed.
    by : By

    Returns
    -------
    str

    Raises
    ------
    InputError
        If the questions no longer change the plan, or the key names none that is asked.

    References
    ----------
    common_practice (keys from sources.py).
    """
    step = _open_step(asked, key)
    told = asked.told_before(step.key)
    read: Read = read_answer(step, text, told)
    if read.value is None:
        return read.refusal
    answers = {**asked.planning.kept.answers, step.key: read.value}
    _kept_store(asked, answers, by, f"Answered: {step.question_for(told)}")
    return ""


def _open_step(asked: Asked, key: str) -> Step:
    if asked.closed:
        raise InputError("The plan", "no longer changed by these questions", "a change of its text", asked.closed)
    step = asked.step(key)
    if step is None or step.key != key:
        raise InputError("The question", "not asked now", "the question that is asked next, or one that was answered",
                         "Load the page again.")
    return step


def part_take(*, asked: Asked, by: By) -> str:
    """Take what is proposed for the questions that are left in the part at hand; tells the first that has no proposal, or nothing."""
    first = asked.standing.step
    if first is None:
        return ""
    _open_step(asked, first.key)
    planning, found, answers = asked.planning, asked.standing, dict(asked.planning.kept.answers)
    while found.step is not None and found.step.section == first.section:
        step, value = found.step, proposal(found.step, found.told)
        if value is None and not step.may_be_empty:
            break
        answers[step.key] = "" if value is None else value
        after = standing(answers, template=planning.proposes, today=planning.today)
        if after.step is not None and after.step.key == step.key:
            break
        found = after
    if found.step is not first:
        _kept_store(asked, answers, by, f"Took what is proposed in “{first.section}”.")
    return "" if found.step is None or found.step.section != first.section else "For this one nothing can be proposed: it is yours to say."


def template_take(*, asked: Asked, name: str, by: By) -> None:
    """Let a template propose answers from now on; an empty name takes it away again."""
    if asked.closed:
        raise InputError("The plan", "no longer changed by these questions", "a change of its text", asked.closed)
    title = template_of(name).title if name else "none"
    planning = replace(asked.planning, kept=replace(asked.planning.kept, template=name))
    _kept_store(replace(asked, planning=planning), asked.planning.kept.answers, by, f"Took a template: {title}.")


def _kept_store(asked: Asked, answers: Mapping[str, Value], by: By, said: str) -> None:
    """The answers in the order of the questions, as the trial's own text."""
    order = [step.key for step in STEPS]
    places = {key: order.index(key) if key in order else len(order) for key in answers}
    kept = replace(asked.planning.kept, answers={key: answers[key] for key in sorted(answers, key=lambda key: places[key])})
    with tempfile.TemporaryDirectory(prefix="fairtank-answers-") as place:
        answers_write(Path(place), kept)
        content = (Path(place) / ANSWERS_FILE).read_bytes()
    with transaction.atomic():
        Document.objects.update_or_create(trial=asked.trial, path=ANSWERS_FILE, defaults={"content": content, "is_table": False})
        title = str(answers.get("title", "")) or str(answers.get("change", ""))
        if title and not asked.trial.planned:
            told = {name: str(answers.get(name, "")) for name in ("question", "change")}
            Trial.objects.filter(pk=asked.trial.pk).update(title=title[:1].upper() + title[1:120], **told)
        noted(by=by, verb="answer", said=said, trial=asked.trial, row=asked.trial)


def plan_store(*, trial: Trial, by: By, today: date | None = None) -> MadePlan:
    """Make the plan from the answers: its text, the setup, the schedule and what was told of the units.

    Raises
    ------
    InputError
        If a question is open, or the plan was changed elsewhere.
    FolderError
        If the answers make no plan that can be read.
    """
    with changing(trial=trial, by=by, verb="plan", said="Made the plan from the answers.") as root:
        made = plan_make(plan_begin(root=root, today=today))
    _slug_settle(trial)
    return made


def _slug_settle(trial: Trial) -> None:
    """The word in the address follows the title once a plan gives it one; a word that was chosen before stays."""
    if trial.slug.startswith(NAMELESS_SLUG):
        trial.slug = free_slug(trial.title)
        trial.save(update_fields=["slug"])


def plan_text_store(*, trial: Trial, by: By, text: str, reason: str = "") -> None:
    """Take a plan that was typed or uploaded as the text of trial.toml.

    Parameters
    ----------
    trial : Trial
    by : By
    text : str
        The whole text.
    reason : str
        Why, for the trail; may be empty.

    Raises
    ------
    FolderError
        With every problem of the text, or of what was recorded beside it.
    InputError
        If the text is too long.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if len(text.encode()) > TOML_LIMIT_BYTES:
        raise InputError("The plan", f"{len(text.encode())} bytes long", f"a text of at most {TOML_LIMIT_BYTES} bytes")
    plain = text.replace("\r\n", "\n").rstrip("\n") + "\n"
    plan_from_text(plain)
    why = " ".join(reason.split())
    said = ("Changed the text of the plan" if trial.planned else "Took the plan as a text") + (f": {why}." if why else ".")
    with changing(trial=trial, by=by, verb="plan", said=said) as root:
        root.mkdir(parents=True, exist_ok=True)
        text_write(root / PLAN_FILE, plain)
    _slug_settle(trial)


def trial_from_answers(*, trial: Trial, by: By) -> Trial:
    """A new trial that begins with the answers of another one."""
    kept = questions_of(trial).planning.kept
    with transaction.atomic():
        new = trial_begin(by=by, owner=by.user)
        asked = Asked(new, _planning(new, replace(kept, made={}), date.today()))
        _kept_store(asked, asked.planning.kept.answers, by, f"Took the answers of “{trial.title}”.")
    new.refresh_from_db()
    return new


def picture_of(measure: str) -> Path:
    """The sheet of rendered tanks for a measure, made once for all trials."""
    return picture_make(Path(settings.DATA) / "derived", measure)

