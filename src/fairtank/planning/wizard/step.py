"""The nouns of the questions: a step, its choices, what was answered so far, and how an answer is read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

Value = str | int | float | bool | date | tuple[str, ...] | tuple[float, ...]
KINDS = ("text", "choice", "several", "whole", "number", "numbers", "date", "yes_no")
NONE = "none"


@dataclass(frozen=True)
class Choice:
    """One answer that may be given: key as it is kept, words for readers, told what follows from it (may be empty)."""

    key: str
    words: str
    told: str = ""


@dataclass(frozen=True)
class Part:
    """One number of several: words for readers, unit (may be empty), and from low to high what is accepted."""

    words: str
    unit: str
    low: float
    high: float


@dataclass(frozen=True)
class Told:
    """What was answered so far. answers: by key of the step. template: answers that a template proposes. today: for dates proposed."""

    answers: Mapping[str, Value] = field(default_factory=dict)
    template: Mapping[str, Value] = field(default_factory=dict)
    today: date = date(2026, 1, 1)

    def text(self, key: str) -> str:
        """An answer as text; empty where there is none yet."""
        return str(self.answers.get(key, ""))

    def number(self, key: str, other: float = 0.0) -> float:
        """An answer as a number; the other one where there is none yet."""
        value = self.answers.get(key, other)
        return float(value) if isinstance(value, (int, float)) else other

    def names(self, key: str) -> tuple[str, ...]:
        """An answer as several keys; `none` stands for none of them."""
        value = self.answers.get(key, ())
        return tuple(str(one) for one in value if one != NONE) if isinstance(value, tuple) else ()

    def numbers(self, key: str) -> tuple[float, ...]:
        """An answer as several numbers."""
        value = self.answers.get(key, ())
        return tuple(float(one) for one in value) if isinstance(value, tuple) else ()

    def says(self, key: str) -> bool:
        """Whether a yes-or-no step was answered with yes."""
        return self.answers.get(key) is True


def _always(told: Told) -> bool:
    return True


def _no_choices(told: Told) -> tuple[Choice, ...]:
    return ()


def _nothing(told: Told) -> Value | None:
    return None


def _no_refusal(value: Value, told: Told) -> str:
    return ""


def _no_picture(told: Told) -> str:
    return ""


def _no_parts(told: Told) -> tuple[Part, ...]:
    return ()


@dataclass(frozen=True)
class Step:
    """One question.

    key: under which the answer is kept. section: the heading it stands under. question: in plain words; `{...}` is filled in by fill.
    kind is one of KINDS. help: what `?` tells. choices, default: from what was answered before. low, high, unit: of numbers. longest: of a
    text. most_shown: how many choices stand beside the question; the others are told where more is asked for. counts: how many numbers
    may be given. parts: what each of several numbers is, in their order; it stands in the place of counts, low and high. span: low and high
    that follow from what was answered before, in the place of theirs. may_be_empty: no answer is an answer. check: a sentence where the
    value is refused, else empty. asked_when: whether it is asked at all. picture: the measure whose picture belongs to it, empty where
    none does. fill: what stands for the braces.
    """

    key: str
    section: str
    question: str
    kind: str
    help: str = ""
    choices: Callable[[Told], tuple[Choice, ...]] = _no_choices
    default: Callable[[Told], Value | None] = _nothing
    low: float = 0.0
    high: float = 1e6
    unit: Callable[[Told], str] = lambda told: ""
    longest: int = 400
    most_shown: int = 20
    counts: Callable[[Told], tuple[int, ...]] = lambda told: (1,)
    parts: Callable[[Told], tuple[Part, ...]] = _no_parts
    span: Callable[[Told], tuple[float, float]] | None = None
    may_be_empty: bool = False
    check: Callable[[Value, Told], str] = _no_refusal
    asked_when: Callable[[Told], bool] = _always
    picture: Callable[[Told], str] = _no_picture
    fill: Callable[[Told], Mapping[str, str]] = lambda told: {}

    def span_for(self, told: Told) -> tuple[float, float]:
        """From where to where a number is accepted."""
        return self.span(told) if self.span else (self.low, self.high)

    def question_for(self, told: Told) -> str:
        """The question with what was answered before put in."""
        text = self.question
        for name, value in self.fill(told).items():
            text = text.replace("{" + name + "}", value)
        return text
