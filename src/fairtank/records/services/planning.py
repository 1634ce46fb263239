"""A plan made by questions: what was answered is kept after every answer, and at the end becomes the files of a trial folder."""

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from fairtank.build import Setup
from fairtank.chore import Chore
from fairtank.errors import DesignError, InputError, JobError, plain_reason
from fairtank.inference.foresight.showing import Showing, show
from fairtank.planning.schedule.proposing import default_chores
from fairtank.planning.wizard.asking import STEPS, Standing, standing
from fairtank.planning.wizard.designs import Proposal, proposals
from fairtank.planning.wizard.making import factors_of, margin_for, plan_of
from fairtank.planning.wizard.making_setup import is_alike, setup_of
from fairtank.planning.wizard.reading import proposal, read_answer
from fairtank.planning.wizard.step import Choice, Step, Told, Value
from fairtank.planning.wizard.steps_measure import measures, scale_of, unit_of
from fairtank.planning.wizard.steps_question import BUILT_IN
from fairtank.planning.wizard.templates import template_of
from fairtank.publish.cover_sheet import cover_sheet
from fairtank.publish.plan_words import design_shows, margin_words, showing_sentences
from fairtank.records.folder import read_folder
from fairtank.records.folder.digest import digest_of_bytes
from fairtank.records.folder.problems import shown
from fairtank.records.folder.schedule_toml_section import SCHEDULE_FILE
from fairtank.records.folder.seal import SEAL_FILE
from fairtank.records.folder.setup_toml_section import SETUP_FILE
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.writer import write_tables
from fairtank.records.litres import tank_litres_of
from fairtank.records.plan_answers import KeptAnswers, answers_from_text, answers_in, answers_write
from fairtank.records.services.drawing import DrawnTrial, DrawRequest, trial_draw
from fairtank.records.services.worth import worth_told
from fairtank.records.writing import bytes_write
from fairtank.simulation.cover_pictures import SHOWN_PCT, cover_picture
from fairtank.trial import Plan, TrialFolder

PICTURES = "plan-pictures"
FACTORS_FILE = "factors.csv"
MADE_FILES = (PLAN_FILE, SETUP_FILE, SCHEDULE_FILE, FACTORS_FILE)
BEFORE = " before"
PHOTO_RULES = {"daily": "FREQ=DAILY", "third": "FREQ=DAILY;INTERVAL=3", "weekly": "FREQ=WEEKLY"}


@dataclass(frozen=True)
class Planning:
    """How far the plan of a folder is. root: the folder, which may not be there yet. kept: what is in plan-answers.toml."""

    root: Path
    kept: KeptAnswers
    standing: Standing
    today: date
    proposes: Mapping[str, Value] = field(default_factory=dict)

    @property
    def told(self) -> Told:
        """The answers that hold."""
        return self.standing.told

    @property
    def step(self) -> Step | None:
        """The question that is asked next; None once all are answered."""
        return self.standing.step


@dataclass(frozen=True)
class MadePlan:
    """A plan that was written. folder: as it reads back. showing: what it could show, None where nobody knows how far like tanks differ.
    margin: the smallest difference that matters, as a sentence. takes: what it takes, in sentences. files: what was written."""

    folder: TrialFolder
    showing: Showing | None
    margin: str
    takes: tuple[str, ...]
    files: tuple[Path, ...]

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.folder.plan

    @property
    def is_change_missing(self) -> bool:
        """Whether setup.toml holds the same for all tanks although the change belongs into it; plants are told in factors.csv."""
        setup = self.folder.setup
        return setup is not None and is_alike(setup) and "plant_stock" not in self.plan.change_factors

    @property
    def can_show(self) -> tuple[str, ...]:
        """What the plan could show and what not, in sentences."""
        is_built_in = any(key in BUILT_IN for key in self.plan.change_factors)
        return showing_sentences(self.showing, can_begin_later=not is_built_in)


def plan_begin(*, root: Path, template: str | None = None, today: date | None = None) -> Planning:
    """Begin to plan in a folder, or go on where the answers in it end.

    Parameters
    ----------
    root : Path
        The trial folder; it is made with the first answer.
    template : str or None
        Name of a template; None goes on with the one that the answers name.
    today : date or None
        For the start that is proposed.

    Returns
    -------
    Planning

    Raises
    ------
    InputError
        If the folder holds a plan that was not made here, or was changed since, or is sealed; or the answers cannot be read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if root.exists() and not root.is_dir():
        raise InputError("the folder to plan in", root, "a folder, or a name that is free")
    kept = answers_in(root)
    check_is_own(root, kept)
    kept = replace(kept, template=template if template is not None else kept.template)
    proposes = template_of(kept.template).answers if kept.template else {}
    day = today or date.today()
    return Planning(root, kept, standing(kept.answers, template=proposes, today=day), day, proposes)


def check_is_own(root: Path, kept: KeptAnswers) -> None:
    """Refuse a folder whose files were not made from these answers: nothing that somebody wrote, drew or sealed is written over."""
    if (root / SEAL_FILE).exists():
        raise InputError("the plan", f"sealed already ({root / SEAL_FILE})", "a folder without a seal",
                         "Change trial.toml itself and seal it again with --reason, or plan in a new folder.")
    for file in MADE_FILES:
        place = root / file
        made = {kept.made.get(file), kept.made.get(f"{file}{BEFORE}")}
        if place.exists() and (not place.is_file() or digest_of_bytes(place.read_bytes()) not in made):
            why = "changed since (by hand, or by the draw)" if file in kept.made else "not made by these questions"
            raise InputError(str(place), why, "a folder whose plan was made here and not changed since",
                             "Nothing was written. Change the file itself, or plan in a new folder.")


def answer_keep(planning: Planning, text: str) -> tuple[Planning, str]:
    """Take an answer as it was typed and keep it in the folder; the sentence says why it was refused, or is empty.

    Parameters
    ----------
    planning : Planning
        With a question that is asked next.
    text : str
        The answer; empty takes what is proposed.

    Returns
    -------
    tuple of (Planning, str)

    Raises
    ------
    JobError
        If the folder cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    step = planning.step
    if step is None:
        return planning, "Every question is answered."
    read = read_answer(step, text, planning.told)
    if read.value is None:
        return planning, read.refusal
    return _with(planning, {**planning.kept.answers, step.key: read.value}), ""


def answer_take_back(planning: Planning) -> Planning:
    """Go one question back: the answer that was given last is taken out; at the first question nothing changes."""
    if not planning.standing.asked:
        return planning
    last = planning.standing.asked[-1].key
    return _with(planning, {key: value for key, value in planning.told.answers.items() if key != last})


def _with(planning: Planning, answers: Mapping[str, Value]) -> Planning:
    """With other answers, kept in the folder."""
    order = [step.key for step in STEPS]
    kept = replace(planning.kept, answers=dict(sorted(answers.items(), key=lambda one: order.index(one[0]) if one[0] in order else 99)))
    answers_write(planning.root, kept)
    return replace(planning, kept=kept, standing=standing(answers, template=planning.proposes, today=planning.today))


def answers_take(planning: Planning, text: str, name: str) -> Planning:
    """All answers at once from the text of a file; what it leaves out takes what is proposed. Nothing is written.

    Parameters
    ----------
    planning : Planning
        Begun in a folder.
    text : str
        The content of the file.
    name : str
        What the file is called in a refusal.

    Raises
    ------
    InputError
        If an answer is refused, or one is missing and nothing is proposed for it.

    References
    ----------
    common_practice (keys from sources.py).
    """
    given = answers_from_text(text, name)
    proposes = template_of(given.template).answers if given.template else planning.proposes
    template = given.template or planning.kept.template
    answers = dict(given.answers)
    while True:
        found = standing(answers, template=proposes, today=planning.today)
        step = found.step
        if step is None:
            kept = replace(planning.kept, answers=dict(found.told.answers), template=template)
            return replace(planning, kept=kept, standing=found, proposes=proposes)
        if step.key in answers:
            raise InputError(f"{step.key} in {name}", shown(str(answers[step.key])), "what the question asks for", found.refusal)
        read = read_answer(step, "", found.told)
        if read.value is None:
            question = step.question_for(found.told).rstrip("?.")
            raise InputError(f"{step.key} in {name}", "left out", f"an answer to: {question}", read.refusal)
        answers[step.key] = read.value


def choices_of(planning: Planning, step: Step) -> tuple[Choice, ...]:
    """The answers that a step offers; beside designs stands what each could show."""
    choices = step.choices(planning.told)
    if step.key != "design":
        return choices
    shows = {one.key: design_shows(shown_by(planning.told, one)) for one in proposals(planning.told)}
    return tuple(replace(one, told=f"{shows[one.key]}. {one.told}") for one in choices)


def proposed(planning: Planning, step: Step) -> Value | None:
    """What an empty answer gives."""
    return proposal(step, planning.told)


def shown_by(told: Told, one: Proposal | None = None, litres: float | None = None) -> Showing | None:
    """What a layout could show for the primary measure; None where nobody knows how far like tanks differ, or it cannot be laid out."""
    try:
        return show(plan_of(told, one), reference=told.number("level") if "level" in told.answers else None, tank_litres=litres)
    except (DesignError, InputError):
        return None


def margin_told(told: Told) -> str:
    """The smallest difference that matters, as a sentence on both scales; empty before it was answered."""
    margin = margin_for(told)
    if margin is None:
        return ""
    return margin_words(margin, scale=scale_of(told), level=told.number("level"), unit=unit_of(told), expect=told.text("expect"))


def picture_make(root: Path, measure: str) -> Path:
    """The sheet of rendered tanks for a measure, made where it is not there yet.

    Parameters
    ----------
    root : Path
        The trial folder; the sheet lies in its folder `plan-pictures`.
    measure : str
        `algae_cover` or `plant_cover`.

    Returns
    -------
    Path

    Raises
    ------
    JobError
        If the place cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    place = root / PICTURES / f"{measure.replace('_', '-')}.jpg"
    if place.is_file():
        return place
    title = measures()[measure].title
    noun = title[:1].lower() + title[1:]
    pictures = [cover_picture(measure, wanted) for wanted in SHOWN_PCT[measure]]
    content = cover_sheet(f"What {noun} looks like", [(one.tank, f"{one.cover_pct:.0f} % {noun}") for one in pictures])
    try:
        bytes_write(place, content)
    except OSError as error:
        raise JobError(f"{place} cannot be written: {plain_reason(error)}.") from error
    return place


def plan_make(planning: Planning) -> MadePlan:
    """Write trial.toml, setup.toml, schedule.toml and factors.csv from the answers, once they read back without a problem.

    Parameters
    ----------
    planning : Planning
        With every question answered.

    Returns
    -------
    MadePlan

    Raises
    ------
    InputError
        If a question is still open, or the folder holds a plan that was not made here.
    FolderError
        If what was answered makes no folder that can be read.
    JobError
        If the place cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if planning.step is not None:
        raise InputError("the plan", "not finished", "an answer to every question", f"Next: {planning.step.question_for(planning.told)}")
    root = planning.root
    check_is_own(root, planning.kept)
    told = planning.told
    plan = plan_of(told)
    with tempfile.TemporaryDirectory(prefix="fairtank-plan-") as place:
        draft = Path(place) / "plan"
        draft.mkdir()
        setup = setup_of(told, plan)
        write_tables(draft, plan, setup=setup, chores=chores_of(told, plan, setup), factors=factors_of(told))
        read_folder(draft)
        texts = {path.name: path.read_bytes() for path in sorted(draft.iterdir())}
    made = {name: digest_of_bytes(content) for name, content in texts.items()}
    # A stop half-way through leaves files of this plan and of the one before it: both count as made here.
    before = {f"{name}{BEFORE}": digest for name, digest in planning.kept.made.items() if not name.endswith(BEFORE)}
    answers_write(root, replace(planning.kept, answers=told.answers, made=made | before))
    try:
        for name, content in texts.items():
            bytes_write(root / name, content)
        for name in MADE_FILES:
            if name not in texts:
                (root / name).unlink(missing_ok=True)
    except OSError as error:
        raise JobError(f"{root} cannot be written: {plain_reason(error)}.") from error
    answers_write(root, replace(planning.kept, answers=told.answers, made=made))
    folder = read_folder(root)
    return MadePlan(folder, shown_by(told, litres=tank_litres_of(folder)), margin_told(told), tuple(worth_told(folder)),
                    tuple(root / name for name in texts))


def chores_of(told: Told, plan: Plan, setup: Setup | None) -> tuple[Chore, ...]:
    """The first schedule, with photos as often as was answered."""
    rule = PHOTO_RULES.get(told.text("photo_rule"), PHOTO_RULES["daily"])
    return tuple(replace(one, rule=rule) if one.kind == "photo" else one for one in default_chores(plan, setup))


def plan_draw(root: Path) -> DrawnTrial:
    """Let the lot give out the arms of a plan that was just made; the seed comes from this computer's randomness.

    Parameters
    ----------
    root : Path
        The trial folder.

    Returns
    -------
    DrawnTrial

    Raises
    ------
    DesignError
        If the units cannot be divided, or a draw was made already.

    References
    ----------
    fisher1935 (keys from sources.py).
    """
    return trial_draw(root=root, request=DrawRequest(), out=root / "out")
