"""An answer as a person typed it, read as what its step asks for; what cannot be used is refused in a sentence."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from fairtank.planning.wizard.step import NONE, Part, Step, Told, Value

LONGEST_ECHO = 40
LAST_YEAR = 2199
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069]")
_NUMBER = re.compile(r"[+-]?([0-9]{1,9}([.,][0-9]{0,9})?|[.,][0-9]{1,9})", re.ASCII)
_LED = re.compile(r"[+-]?([0-9]{1,9}([.][0-9]{0,9})?|[.][0-9]{1,9})", re.ASCII)  # a comma parts the numbers of a list
_YES, _NO = ("yes", "y", "true"), ("no", "n", "false")


@dataclass(frozen=True)
class Read:
    """An answer after reading. value: None where it was refused. refusal: the sentence that says why, empty where it was not."""

    value: Value | None
    refusal: str = ""


def read_answer(step: Step, text: str, told: Told) -> Read:
    """What a person typed as the answer that a step asks for; an empty text takes what the step proposes.

    Parameters
    ----------
    step : Step
        The question.
    text : str
        As it was typed, or as `text_of` wrote it.
    told : Told
        What was answered before.

    Returns
    -------
    Read
        With the value, or with the sentence that says why it is refused and what may be typed.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> weeks = Step("weeks", "", "How many weeks?", "whole", low=1, high=26)
    >>> read_answer(weeks, "6", Told()).value, read_answer(weeks, "six", Told()).refusal
    (6, '“six” is not a whole number. Type one from 1 to 26.')
    """
    control = _CONTROL.search(text)
    if control:
        return Read(None, "The answer holds a character that cannot be printed. Type it again without it.")
    typed = " ".join(text.split())
    if not typed:
        proposed = proposal(step, told)
        if proposed is None:
            return Read("") if step.may_be_empty else Read(None, f"An answer is needed here. {accepted(step, told)}")
        typed = text_of(proposed)
        if not typed:
            return Read("")
    return _read(step, typed, told)


def proposal(step: Step, told: Told) -> Value | None:
    """The answer that an empty line gives: the template's where it fits what was answered before, else the step's own, else None."""
    for value in (told.template.get(step.key), step.default(told)):
        if value is not None and (value == "" or _read(step, text_of(value), told).value is not None):
            return value
    return None


def _read(step: Step, typed: str, told: Told) -> Read:
    read = _READERS[step.kind](step, typed, told)
    if read.refusal or read.value is None:
        return read
    refusal = step.check(read.value, told)
    return Read(None, refusal) if refusal else read


def text_of(value: Value) -> str:
    """An answer as the text that reads back the same.

    >>> text_of((3.0, 12.5)), text_of(True), text_of(())
    ('3, 12.5', 'yes', 'none')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(text_of(one) for one in value) if value else NONE
    if isinstance(value, float):
        return f"{value:.10g}"
    return value.isoformat() if isinstance(value, date) else str(value)


def accepted(step: Step, told: Told) -> str:
    """What may be typed, as a sentence."""
    span, parts = _span_words(*step.span_for(told), step.unit(told)), step.parts(told)
    if step.kind == "choice":
        return f"Type a number from 1 to {len(step.choices(told))}, or the word itself."
    if step.kind == "several":
        return f"Type numbers from 1 to {len(step.choices(told))} with commas between them, or {NONE}."
    if parts:
        each = ", ".join(f"{part.words} {_span_words(part.low, part.high, part.unit)}" for part in parts)
        return f"Type {len(parts)} numbers with commas between them: {each}."
    if step.kind == "numbers":
        return f"Type {_counts_words(step.counts(told))}, each {span}, with commas between them."
    return {
        "whole": f"Type one {span}.", "number": f"Type one {span}, with a decimal point.",
        "date": "Type a date such as 2026-03-01.", "yes_no": "Type yes or no.",
    }.get(step.kind, f"Type a text of at most {step.longest} characters.")


def understood(step: Step, value: Value, told: Told) -> str:
    """Several numbers with what each of them is and its unit, as they were read; empty for any other answer.

    >>> size = Step("size", "", "How large?", "numbers", parts=lambda told: (Part("length", "cm", 10, 300), Part("glass", "mm", 2, 15)))
    >>> understood(size, (45.0, 6.0), Told())
    'length 45 cm, glass 6 mm'
    """
    parts = step.parts(told)
    if not parts or not isinstance(value, tuple) or len(value) != len(parts):
        return ""
    return ", ".join(f"{part.words} {number:.10g} {part.unit}".rstrip() for part, number in zip(parts, value, strict=True))


def _span_words(low: float, high: float, unit: str) -> str:
    return f"from {low:.10g} to {high:.10g} {unit}".rstrip()


def echo(text: str) -> str:
    """What was typed, short enough to stand in a sentence."""
    return f"“{text[:LONGEST_ECHO] + '…' if len(text) > LONGEST_ECHO else text}”"


def _counts_words(counts: tuple[int, ...]) -> str:
    return " or ".join("one number" if count == 1 else f"{count} numbers" for count in dict.fromkeys(counts))


def _text(step: Step, typed: str, told: Told) -> Read:
    if len(typed) > step.longest:
        return Read(None, f"That text has {len(typed)} characters; accepted: at most {step.longest}. Say it in fewer words.")
    return Read(typed)


def _choice(step: Step, typed: str, told: Told) -> Read:
    found = _key(step, typed, told)
    return Read(found) if found else Read(None, f"{echo(typed)} is none of the answers. {accepted(step, told)}")


def _several(step: Step, typed: str, told: Told) -> Read:
    if typed.casefold() == NONE:
        return Read(())
    parts = [part.strip() for part in typed.split(",") if part.strip()]
    keys = [_key(step, part, told) for part in parts]
    wrong = next((part for part, key in zip(parts, keys, strict=True) if not key), "" if parts else typed)
    if wrong:
        return Read(None, f"{echo(wrong)} is none of the answers. {accepted(step, told)}")
    if NONE in keys and len(set(keys)) > 1:
        return Read(None, f"That says {NONE} and something else at once. {accepted(step, told)}")
    return Read(tuple(dict.fromkeys(key for key in keys if key != NONE)))


def _key(step: Step, typed: str, told: Told) -> str:
    """The key of the choice that was typed as a number, as its key or as its words; empty where there is none."""
    choices = step.choices(told)
    if typed.isascii() and typed.isdecimal() and len(typed) < 4 and 1 <= int(typed) <= len(choices):
        return choices[int(typed) - 1].key
    wanted = typed.casefold()
    return next((one.key for one in choices if wanted in (one.key.casefold(), one.words.casefold())), "")


def _within(step: Step, number: float, typed: str, told: Told) -> Read:
    low, high = step.span_for(told)
    if not low <= number <= high:
        return Read(None, f"{echo(typed)} is out of range. {accepted(step, told)}")
    return Read(number)


def _whole(step: Step, typed: str, told: Told) -> Read:
    if not re.fullmatch("[+-]?[0-9]{1,9}", typed, re.ASCII):
        return Read(None, f"{echo(typed)} is not a whole number. {accepted(step, told)}")
    read = _within(step, int(typed), typed, told)
    return read if read.value is None else Read(int(typed))


def _number(step: Step, typed: str, told: Told) -> Read:
    if not _NUMBER.fullmatch(typed):
        return Read(None, f"{echo(typed)} is not a number. {accepted(step, told)}")
    return _within(step, float(typed.replace(",", ".")), typed, told)


def _numbers(step: Step, typed: str, told: Told) -> Read:
    parts = step.parts(told)
    read = _with_units(typed, {part.unit for part in parts} or {step.unit(told)})
    if not read:
        return Read(None, f"{echo(typed)} is not a list of numbers. {accepted(step, told)}")
    if len(read) not in ((len(parts),) if parts else step.counts(told)):
        return Read(None, f"There {'is 1 number' if len(read) == 1 else f'are {len(read)} numbers'}. {accepted(step, told)}")
    low, high = step.span_for(told)
    for (text, unit), part in zip(read, parts or (Part("", step.unit(told), low, high),) * len(read), strict=True):
        of_what = f" for {part.words}" if part.words else ""
        if unit not in ("", part.unit):
            return Read(None, f"{echo(f'{text} {unit}')} is in another unit than is asked{of_what}. {accepted(step, told)}")
        if not part.low <= float(text) <= part.high:
            return Read(None, f"{echo(text)} is out of range{of_what}. {accepted(step, told)}")
    return Read(tuple(float(text) for text, _ in read))


def _with_units(typed: str, units: set[str]) -> list[tuple[str, str]]:
    """Numbers with the unit that stands behind each, empty where none does; nothing where there is anything else."""
    found = list[tuple[str, str]]()
    for word in re.split(r"[,;x×*\s]+", typed):
        number = _LED.match(word)
        rest = word[number.end():] if number else word
        if rest and rest not in units:
            return []
        if number:
            found.append((number[0], rest))
        elif rest and found and not found[-1][1]:
            found[-1] = found[-1][0], rest
        elif rest:
            return []
    return found


def _date(step: Step, typed: str, told: Told) -> Read:
    try:
        found = date.fromisoformat(typed) if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", typed, re.ASCII) else None
    except ValueError:
        return Read(None, f"{echo(typed)} is no day of the calendar. {accepted(step, told)}")
    if found is None or not 1970 <= found.year <= LAST_YEAR:
        return Read(None, f"{echo(typed)} is not a date of this time. {accepted(step, told)}")
    return Read(found)


def _yes_no(step: Step, typed: str, told: Told) -> Read:
    word = typed.casefold()
    if word not in (*_YES, *_NO):
        return Read(None, f"{echo(typed)} is neither yes nor no. {accepted(step, told)}")
    return Read(word in _YES)


_READERS: dict[str, Callable[[Step, str, Told], Read]] = {
    "text": _text, "choice": _choice, "several": _several, "whole": _whole, "number": _number, "numbers": _numbers, "date": _date,
    "yes_no": _yes_no,
}
