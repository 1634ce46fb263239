"""One calculator on its page: its fields, its answer in words, its picture, its sources, and the commands that ask the same."""

import time
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fairtank.bench.answers import answer_of
from fairtank.bench.asking import Asked, asked
from fairtank.bench.commands import command_of
from fairtank.errors import FairtankError
from fairtank.planning.claiming.claim import Claim
from fairtank.publish.blocks import Figure
from fairtank.publish.calc_words import FROM_MEMORY, Answer, answer_words, error_words, short_labels, value_text
from fairtank.publish.claim_chart import claim_figure
from fairtank.publish.claim_words import ClaimWords, claim_words
from fairtank.publish.numbers import shortened
from fairtank.registry import Entry
from fairtank.science.cautions import CAUTIONS, LAST_WORD, Caution
from fairtank.sources import source
from fairtank.web.drawing import MOST_ROWS, Drawing, drawing_of
from fairtank.web.fields import Field, Form, fields_of, form_of, refusals_of, sentence
from fairtank.web.notes import Note, Piece, notes_of, pieces_of

# From here on an answer counts as slow. Without reading errors the slow calculators take some ten times as long, all others a tenth of it;
# with them it is the draws that take time, most of it where many of them are refused.
_SLOW_S, _SLOW_DRAWS_S = 0.02, 0.15
# Along a range slow answers may take so long together; a picture needs three of them at least, and more than a dozen help little.
_TOGETHER_S, _FEWEST, _ENOUGH = 2.0, 3, 12
_LONGEST = 60


@dataclass(frozen=True)
class Told:
    """The answer in words.

    parts: label (empty where the result is one number), number and the rest of the text for each part of the result. reasons: whole
    sentences about the interval. given: what it was worked out for. claim, figure: of a claim check, which has no parts of this kind.
    """

    parts: tuple[tuple[str, str, str], ...]
    reasons: tuple[str, ...]
    given: str
    claim: ClaimWords | None = None
    figure: Figure | None = None


@dataclass(frozen=True)
class Sheet:
    """All that the page of a calculator shows.

    refusals: sentences that belong to no single field. told: None where there is no answer. command, table_command: lines for a terminal;
    empty without one. notes: what the calculator leaves out and when not to use it, from its docstring.
    """

    entry: Entry
    summary: tuple[Piece, ...]
    is_example: bool
    fields: tuple[Field, ...]
    refusals: tuple[str, ...]
    told: Told | None
    drawing: Drawing | None
    command: str
    table_command: str
    notes: tuple[Note, ...]
    cautions: tuple[Caution, ...]
    last_word: str
    sources: tuple[tuple[str, str], ...]

    @property
    def refused(self) -> tuple[Field, ...]:
        """The fields at which something is said."""
        return tuple(field for field in self.fields if field.refusal)


def sheet_of(entry: Entry, query: Mapping[str, str], start: str) -> Sheet:
    """The page of a calculator for what was typed; start: how commands begin on this machine."""
    form = form_of(entry, query)
    refusals, others = refusals_of(form), []
    told, drawing, question = None, None, None
    if not refusals:
        try:
            question = asked(form.known)
            with np.errstate(all="ignore"):  # numbers at the end of what a computer holds are told as not known, not in the terminal
                told, drawing = _answered(form, question, query)
        except FairtankError as error:
            name, text = sentence(entry, error)
            told, question = None, None
            if name:
                refusals[name] = text
            else:
                others.append(text)
    return Sheet(
        entry=entry, summary=pieces_of(entry.summary), is_example=form.is_example, fields=fields_of(form, refusals),
        refusals=tuple(others), told=told, drawing=drawing,
        command=command_of(entry, form.texts, start=start) if question else "", table_command=_table_command(entry, drawing, start),
        notes=notes_of(entry), cautions=tuple(CAUTIONS[key] for key in entry.cautions), last_word=LAST_WORD if entry.cautions else "",
        sources=tuple((source(key).reference, FROM_MEMORY if source(key).from_memory else "") for key in entry.sources),
    )  # fmt: skip


def _answered(form: Form, question: Asked, query: Mapping[str, str]) -> tuple[Told, Drawing | None]:
    """The answer in words, and its picture; a claim check has one of its own."""
    answer, spent = _timed(question)
    limit = _SLOW_DRAWS_S if question.errors else _SLOW_S
    if spent > limit:  # the first answer of all also makes what the others share
        spent = _timed(question)[1]
    most = min(max(int(_TOGETHER_S / spent), _FEWEST), _ENOUGH) if spent > limit else MOST_ROWS
    told = _told(question, answer)
    return told, None if told.claim else drawing_of(form, question, answer, query, most)


def _timed(question: Asked) -> tuple[Answer, float]:
    """The answer, and the seconds that it took this thread; whoever else is busy does not make an answer slow."""
    begun = time.thread_time()
    return answer_of(question), time.thread_time() - begun


def _told(question: Asked, answer: Answer) -> Told:
    given = _given(question)
    if isinstance(answer.result, Claim):
        return Told((), (), given, claim_words(answer.result), claim_figure(answer.result))
    words = answer_words(answer)
    return Told(tuple((label, *_parted(text)) for label, text in words.parts), words.reasons, given)


def _parted(text: str) -> tuple[str, str]:
    """A result as its number, and what is said of it in brackets or after a semicolon."""
    place = min((place for sign in (" (", "; ") if (place := text.find(sign)) > 0), default=len(text))
    return text[:place], text[place:]


def _given(question: Asked) -> str:
    """What the answer was worked out for, in a sentence: it stands on paper too, where the fields do not."""
    labels, said = short_labels(question.entry), []
    for declared in question.entry.inputs:
        if declared.name in question.given:
            value = shortened(value_text(question.given[declared.name], declared.unit), _LONGEST)
            error = question.errors.get(declared.name)
            said.append(f"{labels[declared.name]} {value}{f' ({_error(error_words(declared, error))})' if error else ''}")
    return f"Worked out for {', '.join(said)}." if said else ""


def _error(words: str) -> str:
    """`is right to ±0.1` in brackets behind a value: ±0.1."""
    return words.removeprefix("is right to ")


def _table_command(entry: Entry, drawing: Drawing | None, start: str) -> str:
    if drawing is None or drawing.texts is None:
        return ""
    part = next((option.value for option in drawing.parts if option.is_chosen), "")
    rest = "" if not drawing.wide else f"--plot picture.svg{f' --part {part}' if part else ''}"
    return command_of(entry, drawing.texts, start=start, rest=rest)
