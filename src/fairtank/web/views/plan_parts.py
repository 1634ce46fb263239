"""A question of the plan as a page shows it: its field, what may be chosen, what is proposed, and what was answered so far."""

from dataclasses import dataclass, replace
from itertools import groupby

from fairtank.planning.wizard.asking import STEPS, Standing
from fairtank.planning.wizard.making import plan_of
from fairtank.planning.wizard.reading import proposal, text_of, understood
from fairtank.planning.wizard.step import Choice, Step, Told, Value
from fairtank.publish.phrases import capital
from fairtank.records.services.planning import choices_of, margin_told
from fairtank.records.services.shelf_planning import Asked
from fairtank.trial import Plan
from fairtank.web.said import in_pages, worked_out

SECTIONS = tuple(dict.fromkeys(step.section for step in STEPS))
YES_NO = (Choice("yes", "yes"), Choice("no", "no"))
_LONG = 150  # characters from which a text gets several lines


@dataclass(frozen=True)
class Option:
    """One answer to choose. key as it is sent; words, told for readers; is_chosen: it is what stands there."""

    key: str
    words: str
    told: str
    is_chosen: bool


@dataclass(frozen=True)
class Question:
    """One question on its page.

    words: the question; more: what is said with it. shape: `one` and `several` of options, `lines` for long texts, else the type of the
    input. text: what stands in the field. part, parts: which part of the questions it belongs to. pictured: the measure whose picture
    belongs to it.
    """

    step: Step
    words: str
    more: str
    help: str
    shape: str
    text: str
    options: tuple[Option, ...]
    unit: str
    part: int
    parts: int
    pictured: str
    is_answered: bool


def question_of(asked: Asked, step: Step, typed: str | None = None) -> Question:
    """A question with what was answered, or is proposed; typed: what was refused just now, which stays in the field."""
    told = asked.told_before(step.key)
    value = asked.planning.told.answers.get(step.key)
    is_answered = value is not None
    if value is None:
        value = proposal(step, told)
    text = typed if typed is not None else "" if value is None else text_of(value)
    options = _options(asked, step, told, text)
    shape = "several" if step.kind == "several" else "one" if options else "lines" if step.kind == "text" and step.longest > _LONG else \
        {"date": "date"}.get(step.kind, "text")
    asks, mark, more = worked_out(step.question_for(told)).partition("? ")
    return Question(step, f"{asks}?" if mark else asks, more, in_pages(step.help), shape, text, options, step.unit(told),
                    SECTIONS.index(step.section) + 1, len(SECTIONS), step.picture(told), is_answered)


def _options(asked: Asked, step: Step, told: Told, text: str) -> tuple[Option, ...]:
    choices: tuple[Choice, ...] = ()
    if step.kind == "yes_no":
        choices = YES_NO
    elif step.kind in ("choice", "several"):
        choices = choices_of(replace(asked.planning, standing=Standing(told, step, ())), step)
    chosen = {part.strip() for part in text.split(",")}
    return tuple(Option(one.key, one.words, capital(worked_out(one.told)), one.key in chosen) for one in choices)


def answer_typed(step: Step, sent: list[str]) -> str:
    """What a form sent for a question, as it would be typed."""
    if step.kind == "several":
        return ", ".join(sent) if sent else "none"
    return sent[0] if sent else ""


@dataclass(frozen=True)
class Answered:
    """One answer that was given: key of its question, the question and the answer in words."""

    key: str
    words: str
    answer: str


def answered_of(asked: Asked) -> list[tuple[str, list[Answered]]]:
    """Every answer so far, part by part."""
    told = asked.planning.told
    rows = [(step.section, Answered(step.key, worked_out(step.question_for(told)), answer_words(step, told.answers[step.key], told)))
            for step in asked.standing.asked]
    return [(section, [row for _, row in group]) for section, group in groupby(rows, key=lambda row: row[0])]


def answer_words(step: Step, value: Value, told: Told) -> str:
    """An answer as its reader would say it."""
    words = {one.key: one.words for one in step.choices(told)} if step.kind in ("choice", "several") else {}
    if isinstance(value, tuple) and words:
        return ", ".join(words.get(str(one), str(one)) for one in value) or "none of them"
    text = understood(step, value, told) or words.get(str(value), text_of(value))
    unit = step.unit(told)
    return f"{text} {unit}" if unit and text else text or "–"


def margin_line(asked: Asked, made: Plan | None = None) -> str:
    """What the smallest difference means on both scales; empty before it was answered, and where the plan that was made says another."""
    told = asked.planning.told
    if "margin" not in told.answers or (made is not None and _first_of(made) != _first_of(plan_of(told))):
        return ""
    return worked_out(margin_told(told))


def _first_of(plan: Plan) -> tuple[tuple[str, str, float | None], ...]:
    return tuple((one.key, one.summary, one.margin) for one in plan.measures if one.role == "primary")
