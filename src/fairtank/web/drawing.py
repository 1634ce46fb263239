"""The picture of an answer along one of its inputs: which input, from where to where, and what is drawn."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from fairtank.bench.asking import Asked, asked, read
from fairtank.bench.inputs import units_taken
from fairtank.bench.pictures import drawable, picture_of
from fairtank.bench.spans import STEPS, Span, can_range, number_in, span_round, usual_along
from fairtank.bench.tables import Column, Table, columns_of, remarks_of, table_of
from fairtank.bench.typed import Typed
from fairtank.errors import FairtankError, InputError
from fairtank.publish.calc_chart import Picture, picture_spec
from fairtank.publish.calc_words import Answer, printed_unit, short_labels, widest
from fairtank.publish.charts import NARROW_PX, WIDE_PX, svg_of
from fairtank.publish.numbers import shown
from fairtank.registry import Entry, Input, ReadingError
from fairtank.science.calling import is_number, parts_of
from fairtank.units import quantity_from_text
from fairtank.web.fields import Form, Option, sentence

ALONG, FIRST, LAST, STEP, PART = "range-along", "range-from", "range-to", "range-step", "range-part"
# So many rows a page bears; a range of its own choice has about a third of them.
MOST_ROWS = 60
_NUMBER = re.compile(r"\s*[-+−]?[\d.]+(?:[eE][-+]?\d+)?\s*")


@dataclass(frozen=True)
class Drawing:
    """The fields of a picture along a range, and the picture.

    along, parts: the inputs and the parts of the result to choose from. first, last, step: what was typed; usual: what stands in for each
    that was left empty. unit: of the three. refusal: a sentence where nothing could be drawn. wide, narrow: the SVG for desks and for
    phones. columns, rows, remarks: the same numbers as a table. texts: the question along the range, for the command.
    """

    along: tuple[Option, ...]
    parts: tuple[Option, ...]
    first: str
    last: str
    step: str
    usual: tuple[str, str, str]
    unit: str
    refusal: str = ""
    wide: str = ""
    narrow: str = ""
    columns: tuple[Column, ...] = ()
    remarks: tuple[str, ...] = ()
    texts: Mapping[str, str] | None = None

    @property
    def ends(self) -> tuple[tuple[str, str, str], ...]:
        """From, to and step: what it is, what was typed, what stands in for it."""
        return tuple(zip(("from", "to", "step"), (self.first, self.last, self.step), self.usual, strict=True))

    @property
    def rows(self) -> tuple[tuple[str, ...], ...]:
        """The table, row by row."""
        return tuple(zip(*(column.cells for column in self.columns), strict=True))


def drawing_of(form: Form, question: Asked, answer: Answer, query: Mapping[str, str], most: int) -> Drawing | None:
    """The picture along a range of one input, of so many answers at most; None where no input can be one or no result is a number."""
    entry = form.entry
    declared = _along(entry, answer, query)
    if declared is None or not any(map(is_number, parts_of(answer.result).values())):
        return None
    found = form.known.found.get(declared.name)
    typed = tuple(shown(query.get(name, "")) for name in (FIRST, LAST, STEP))
    unit = _unit(declared, typed) or ("" if found is None else found.shown_unit)
    steps = max(min(STEPS, most // 2), 1)
    span = span_round(declared, _value(declared, found), question.errors.get(declared.name), unit, steps)
    labels = short_labels(entry)
    drawing = Drawing(
        along=tuple(Option(own.name, labels[own.name], own.name == declared.name) for own in entry.inputs if can_range(entry, own)),
        parts=(), first=typed[0], last=typed[1], step=typed[2], usual=span.texts, unit=printed_unit(unit or declared.unit),
    )  # fmt: skip
    ends = tuple(own or usual for own, usual in zip(typed, span.texts, strict=True))
    try:
        if any(typed):
            texts = _texts(form, declared, ends, unit)
            table = table_of(_question(entry, texts, most))
        else:
            texts, table, span = _usual_table(form, declared, span, unit)
            drawing = replace(drawing, usual=span.texts)
        return _drawn(drawing, table, answer, query.get(PART, ""), texts, _here(declared, found, unit))
    except FairtankError as error:
        return replace(drawing, refusal=sentence(entry, error)[1])


def _along(entry: Entry, answer: Answer, query: Mapping[str, str]) -> Input | None:
    wanted = query.get(ALONG, "")
    asked_for = next((declared for declared in entry.inputs if declared.name == wanted and can_range(entry, declared)), None)
    return usual_along(answer) if asked_for is None else asked_for


def _value(declared: Input, found: Typed | None) -> float | None:
    value = declared.default if found is None else found.value
    return float(value) if is_number(value) else None  # type: ignore[arg-type]


def _here(declared: Input, found: Typed | None, unit: str) -> float | None:
    """Where the answer stands along the range, in the unit of the range."""
    value = _value(declared, found)
    return value if value is None or not unit else number_in(declared, value, unit)


def _unit(declared: Input, typed: tuple[str, ...]) -> str:
    """The unit that stands behind one of the ends or the step; those that were left empty are then meant in it too."""
    for text in reversed(typed):
        try:
            unit = quantity_from_text(text)[1]
        except InputError:
            continue
        if unit in units_taken(declared):
            return unit
    return ""


def _texts(form: Form, declared: Input, ends: tuple[str, ...], unit: str) -> dict[str, str]:
    """The texts of the question with the range in place of the one value; its reading error stays behind it."""
    text = ":".join(ends)
    if unit and _NUMBER.fullmatch(ends[2]):
        text = f"{text} {unit}"
    error = form.known.found[declared.name].error if declared.name in form.known.found else None
    return {**form.texts, declared.name: text if error is None else f"{text} {_error_text(error, declared, unit)}"}


def _error_text(error: ReadingError, declared: Input, unit: str) -> str:
    """A typed reading error as it is typed behind a range."""
    if not error.size:
        return "exact"
    sign = "sd" if error.kind == "standard" else "±"
    if error.relative or (unit == "%" and not declared.unit):
        return f"{sign} {100 * error.size:.12g} %"
    return f"{sign} {error.size:.12g} {declared.unit}".rstrip()


def _question(entry: Entry, texts: Mapping[str, str], most: int) -> Asked:
    question = asked(read(entry, texts))
    for name, found in question.ranges.items():
        if len(found.value) > most:
            raise InputError(name, f"{len(found.value)} values", f"at most {most} on a page",
                             "Take a larger step; fairtank calc makes longer tables.")
    return question


def _usual_table(form: Form, declared: Input, span: Span, unit: str) -> tuple[dict[str, str], Table, Span]:
    """The table along the usual range, cut to where the calculator answers."""
    texts = _texts(form, declared, span.texts, unit)
    question = _question(form.entry, texts, MOST_ROWS)
    try:
        return texts, table_of(question), span
    except FairtankError:
        cut = _answered(question, declared, span, _value(declared, form.known.found.get(declared.name)))
        if cut is None:
            raise
    texts = _texts(form, declared, cut.texts, unit)
    return texts, table_of(_question(form.entry, texts, MOST_ROWS)), cut


def _answered(question: Asked, declared: Input, span: Span, value: float | None) -> Span | None:
    """The part of a range round the value in which the calculator answers; None where that is fewer than two places."""
    places = question.ranges[declared.name]
    answers = []
    for place in places.value:
        try:
            question.entry.function(**question.given, **{declared.name: place})
            answers.append(True)
        except FairtankError:
            answers.append(False)
    near = np.abs(np.array(places.value) - (places.value[0] if value is None else value)) + np.where(answers, 0.0, np.inf)
    if not np.isfinite(near).any():
        return None
    first = last = int(near.argmin())
    while first and answers[first - 1]:
        first -= 1
    while last + 1 < len(answers) and answers[last + 1]:
        last += 1
    return Span(places.shown[first], places.shown[last], span.step) if last > first else None


def _drawn(drawing: Drawing, table: Table, answer: Answer, wanted: str, texts: Mapping[str, str], here: float | None) -> Drawing:
    """The drawing with its picture and its table."""
    choices = drawable(table)
    if not choices:
        return replace(drawing, columns=columns_of(table), remarks=remarks_of(table), texts=texts)
    usual = widest(answer.uncertain) if answer.uncertain else ""
    chosen = next((one for name in (wanted, usual) if name for one in choices if name in one.names), choices[0])
    picture = picture_of(table, chosen.key)
    value = _figure(answer, chosen.line)
    if here is not None and value is not None and picture.lines[0].places[0] <= here <= picture.lines[0].places[-1]:
        picture = replace(picture, here=(here, value))
    return replace(
        drawing, parts=tuple(Option(one.key, one.label, one is chosen) for one in choices) if len(choices) > 1 else (),
        wide=_svg(picture, WIDE_PX), narrow=_svg(picture, NARROW_PX), columns=columns_of(table), remarks=remarks_of(table), texts=texts,
    )  # fmt: skip


def _figure(answer: Answer, name: str | None) -> float | None:
    """A part of the answer as a number; None where it is none, or where the readings are too coarse for a figure."""
    value = None if name is None else parts_of(answer.result).get(name)
    known = answer.uncertain.get(name or "")
    if value is None or not is_number(value) or not math.isfinite(value) or (known is not None and known.value is None):
        return None
    return float(value)


@lru_cache(maxsize=128)
def _svg(picture: Picture, width_px: int) -> str:
    """The picture as SVG; the same one is drawn once."""
    return svg_of(picture_spec(picture, width_px=width_px), key="wide" if width_px == WIDE_PX else "narrow")

