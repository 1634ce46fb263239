"""Plan a trial by questions: what is asked, what decides, which design, what could spoil it; the answers become the trial's files.

Every answer is kept in plan-answers.toml in the folder at once, so that the questions can be stopped and taken up again. At the end
trial.toml, setup.toml, schedule.toml and factors.csv are written. --template proposes answers for a common question, --list lists them.

Example: fairtank plan my-trial --template light
"""

import sys
from datetime import date
from pathlib import Path

import click

from fairtank.cli.options import OneOf, json_option
from fairtank.cli.plan_lines import (
    DRAW_QUESTION,
    INTRO,
    drawn_lines,
    go_on_lines,
    help_lines,
    made_lines,
    next_lines,
    question_lines,
    section_lines,
    wrapped,
)
from fairtank.errors import InputError, plain_reason
from fairtank.planning.wizard.step import Step
from fairtank.planning.wizard.templates import template_names, template_of
from fairtank.records.exporters.plan_json import plan_json
from fairtank.records.folder.paths import TOML_LIMIT_BYTES
from fairtank.records.services.planning import (
    MadePlan,
    Planning,
    answer_keep,
    answer_take_back,
    answers_take,
    margin_told,
    picture_make,
    plan_begin,
    plan_draw,
    plan_make,
)

BACK, MORE = "back", "?"
ALL_ANSWERED = "Every question is answered. An empty line makes the plan again; back goes to the last question."


@click.command("plan", help=__doc__)
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--template", type=OneOf(list(template_names())), help="Propose the answers of one of the templates; all of them invented.")
@click.option("--list", "is_listed", is_flag=True, help="List the templates and stop.")
@click.option("--answers", type=click.Path(path_type=Path), help="Ask nothing: take the answers of this TOML file, and what is proposed.")
@json_option
def command(folder: Path | None, template: str | None, is_listed: bool, answers: Path | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.planning.plan_begin` and `plan_make`; --json without --answers tells steps and state only."""
    if is_listed:
        for name in template_names():
            click.echo(f"{name.ljust(max(map(len, template_names())))}  {template_of(name).title}")
        return
    if folder is None:
        raise click.UsageError("A folder to plan in is needed, such as: fairtank plan my-trial")
    planning = plan_begin(root=folder, template=template, today=date.today())
    made = None
    if answers is not None:
        planning = answers_take(planning, _text_of(answers), str(answers))
        made = plan_make(planning)
    elif not as_json:
        planning = _asked(planning)
        made = plan_make(planning)
    if as_json:
        sys.stdout.write(plan_json(planning, made))
    elif made is not None:
        _end_tell(made, folder, can_ask=answers is None)


def _end_tell(made: MadePlan, folder: Path, *, can_ask: bool) -> None:
    """The plan on one screen; then, where somebody is there to answer, whether the lot shall be drawn; then what to do next."""
    _lines_tell(made_lines(made))
    is_drawn = can_ask and _draw_wanted()
    if is_drawn:
        _lines_tell(drawn_lines(plan_draw(folder)))
    _lines_tell(next_lines(str(folder), is_drawn=is_drawn))


def _draw_wanted() -> bool:
    """Whether to draw at once: only a plain yes draws."""
    _lines_tell(["", *wrapped(DRAW_QUESTION), "[no]"])
    while (typed := _line()) is not None:
        word = typed.strip().casefold()
        if word in ("", "n", "no"):
            return False
        if word in ("y", "yes"):
            return True
        _lines_tell(wrapped("Type yes or no."))
    click.echo()
    return False


def _asked(planning: Planning) -> Planning:
    """Ask until every question is answered; each answer is kept at once."""
    reconfigure = getattr(sys.stdin, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
    is_new = not planning.standing.asked
    for line in wrapped(INTRO if is_new else f"Going on after {len(planning.standing.asked)} answers. {INTRO}"):
        click.echo(line)
    if planning.standing.refusal:
        for line in wrapped(f"An answer no longer fits: {planning.standing.refusal}"):
            click.echo(line)
    try:
        if planning.step is None:
            _lines_tell(["", *wrapped(ALL_ANSWERED)])
            if (_line() or "").strip().casefold() == BACK:
                planning = answer_take_back(planning)
        section = ""
        while planning.step is not None:
            if planning.step.section != section:
                section = planning.step.section
                _lines_tell(section_lines(planning.step))
            planning = _one_asked(planning, planning.step)
    except (KeyboardInterrupt, click.Abort):
        _lines_tell(["", *go_on_lines(str(planning.root))])
        raise
    return planning


def _one_asked(planning: Planning, step: Step) -> Planning:
    """Ask one question until it is answered, or one was gone back."""
    _lines_tell(question_lines(planning, step))
    measure = step.picture(planning.told)
    if measure:
        click.echo(f"Picture: {picture_make(planning.root, measure)}")
    while True:
        typed = _line()
        if typed is None:
            click.echo()
            raise InputError("the input", "at its end", "an answer to every question", " ".join(go_on_lines(str(planning.root))))
        word = typed.strip().casefold()
        if word == MORE:
            _lines_tell(help_lines(planning, step))
        elif word == BACK:
            if planning.standing.asked:
                return answer_take_back(planning)
            click.echo("This is the first question.")
        else:
            planning, refusal = answer_keep(planning, typed)
            if not refusal:
                _lines_tell(wrapped(margin_told(planning.told)) if step.key == "margin" else [])
                return planning
            _lines_tell(wrapped(refusal))


def _line() -> str | None:
    """One line as it was typed; None where the input ends."""
    click.echo("> ", nl=False)
    line = sys.stdin.readline()
    return line.rstrip("\r\n") if line else None


def _lines_tell(lines: list[str]) -> None:
    for line in lines:
        click.echo(line)


def _text_of(path: Path) -> str:
    """The text of a file of answers."""
    try:
        content = path.read_bytes() if path.stat().st_size <= TOML_LIMIT_BYTES else b""
    except OSError as error:
        raise InputError("--answers", path, "a TOML file with answers", f"It could not be read: {plain_reason(error)}.") from error
    if not content:
        raise InputError("--answers", path, f"a TOML file with answers, of at most {TOML_LIMIT_BYTES} bytes")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError("--answers", path, "a text in UTF-8") from error
