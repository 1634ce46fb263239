"""A calculator's answer in sentences: the number with its interval, what the interval rests on, and which reading to improve."""

import math
import re
from dataclasses import dataclass
from typing import Any

from fairtank.publish.numbers import NO_BREAK, decimals_for, decimals_of, end, in_a_row, interval, number, plain_number, trimmed, unit_words
from fairtank.registry import Entry, Input, Output, ReadingError
from fairtank.science.calling import is_number, parts_of
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.science.uncertainty import Uncertain
from fairtank.sources import source

# Without the reading that causes this share of the variance the interval would be a tenth narrower: 1 - sqrt(1 - 0.19).
_HARDLY = 0.19
# A reading that causes at least this part of what the first one causes matters about as much.
_ALIKE = 0.67
# A label longer than this many letters is cut where it begins to run on.
_LONG, _RUNNING_ON = 24, "from|between|above|below|under|with|before|after|where|that|than|in the"
_PRINTED = {
    "1/h": "per hour", "1/d": "per day", "1/week": "per week", "1/m": "per m", "degF": "°F", "m3": "m³", "kN/m2": "kN/m²",
    "umol/m2/s": "µmol m⁻² s⁻¹", "mol/m2/d": "mol m⁻² d⁻¹",
}  # fmt: skip
_FAR = 20  # from here on the ends of a band are too far apart to share their decimals
_NOTHING = 1e-12  # what is left of differences between equal numbers
FROM_MEMORY = "literature value, from memory"


@dataclass(frozen=True)
class Answer:
    """What a calculator gave.

    given: the inputs by name. result: as the calculator gave it. errors: of the readings that count. uncertain: the interval of each part
    of the result that they move.
    """

    entry: Entry
    given: dict[str, Any]
    result: Any
    errors: dict[str, ReadingError]
    uncertain: dict[str, Uncertain]


def output_of(entry: Entry, name: str) -> Output:
    """Label and unit of a part of a calculator's result; a part that is not declared goes by its name.

    >>> from types import SimpleNamespace
    >>> output_of(SimpleNamespace(outputs=(), unit="mg/L", title="Gain"), "NO3_N")
    Output(name='NO3_N', label='NO3 N', unit='mg/L')
    """
    for output in entry.outputs:
        if output.name == name:
            return output
    return Output(name, name.replace("_", " ") if name else entry.title, entry.unit)


def short_labels(entry: Entry) -> dict[str, str]:
    """The label of each input inside a sentence: by its short form where it has one, without what follows a colon or comma.

    Of a long one only what stands before the first `from`, `between` and the like is kept, unless two inputs would then be called alike.

    >>> from types import SimpleNamespace
    >>> kh, height = Input("kh", "carbonate hardness (KH) of the tap water"), Input("height", "height of the pane from seam to top edge")
    >>> list(short_labels(SimpleNamespace(inputs=(kh, height))).values())
    ['KH of the tap water', 'height of the pane']
    """
    whole = {declared.name: re.sub(r"^[a-z ]+ \(([A-Z]{2,})\)", r"\1", re.split("[:;,]", declared.label)[0]) for declared in entry.inputs}
    short = {name: re.split(f" (?:{_RUNNING_ON}) ", label)[0] if len(label) > _LONG else label for name, label in whole.items()}
    alike = {label for label in short.values() if list(short.values()).count(label) > 1}
    full = {declared.name: declared.label for declared in entry.inputs}
    return {name: full[name] if label in alike else label for name, label in short.items()}


@dataclass(frozen=True)
class AnswerWords:
    """An answer in its parts, for pages that set them apart.

    parts: label and text of each part of the result, in their order; the label is empty where the result is one number. reasons: whole
    sentences: the interval and what it rests on, what cannot be told, which reading to improve.
    """

    title: str
    parts: tuple[tuple[str, str], ...]
    reasons: tuple[str, ...]


def answer_text(answer: Answer) -> tuple[str, ...]:
    """The answer in lines: the number or the numbers, how far they may be off, and what would narrow the interval.

    Parameters
    ----------
    answer : Answer
        What the calculator gave.

    Returns
    -------
    tuple of str
        The first line names the quantity and tells it where it is one number; units stand behind no-break spaces.

    References
    ----------
    gum2008, 7.2.6: figures by the interval (keys from sources.py).

    Examples
    --------
    See `tests/publish/test_calc_words.py`.
    """
    words = answer_words(answer)
    if list(parts_of(answer.result)) == [""]:
        return (f"{words.title}: {words.parts[0][1]}", *words.reasons)
    if not answer.entry.outputs and not answer.uncertain:
        return (f"{words.title}: {', '.join(f'{label} {text}' for label, text in words.parts)}",)
    return (words.title, *(f"  {label}: {text}" for label, text in words.parts), *words.reasons)


def answer_words(answer: Answer) -> AnswerWords:
    """The same answer in its parts."""
    entry, parts, told = answer.entry, parts_of(answer.result), answer.uncertain
    if list(parts) == [""]:
        return AnswerWords(entry.title, (("", _part_text(answer, "", parts[""])),), _reasons(answer, ("",)))
    if not entry.outputs and not told:
        named = tuple((output_of(entry, name).label, _part_text(answer, name, part)) for name, part in parts.items())
        return AnswerWords(entry.title, named, ())
    lines = []
    banded = [] if told else [name for name in parts if "_low_" in name and name.replace("_low_", "_high_") in parts]
    within_bands = {name.replace("_low_", between) for name in banded for between in ("_high_", "_")}
    for name, part in parts.items():
        if name in banded:
            lines.append(_band_text(entry, name, parts))
        if name in banded or name in within_bands:
            continue
        text = _part_text(answer, name, part)
        if name in told:
            text += f" ({_interval(told[name])})" if told[name].value is not None else ""
            text += _cause(entry, told[name], "; {} comes from {}")
        lines.append((output_of(entry, name).label.split(":")[0], text))
    return AnswerWords(entry.title, tuple(lines), _reasons(answer, tuple(name for name in parts if name in told)))


def _band_text(entry: Entry, low_name: str, parts: dict[str, Any]) -> tuple[str, str]:
    """A result that comes as the two ends of a band, with the value between them by usual numbers: its label and its text."""
    low, high, label = parts[low_name], parts[low_name.replace("_low_", "_high_")], output_of(entry, low_name).label.rpartition(", ")[0]
    decimals, unit, usual = decimals_for((high - low) / 2), output_of(entry, low_name).unit, low_name.replace("_low_", "_")

    def shown(value: float) -> str:
        return plain_number(value) if 0 < _FAR * low < high else number(value, decimals)

    text = f"{shown(low)} to {_with(shown(high), unit)}"
    if usual in parts:
        text += f" ({_with(shown(parts[usual]), unit)} {output_of(entry, usual).label.rpartition(', ')[2]})"
    return label, text


def value_text(value: Any, unit: str = "", name: str = "") -> str:
    """A part of a result without an interval: four figures at most, words as words, shares in percent too.

    >>> value_text(55.884, "L"), value_text(True), value_text("free_top"), value_text([1.0, 2.5])
    ('55.88\\xa0L', 'yes', 'free top', '(1, 2.5)')
    >>> value_text(0.34783, "", "tap_share")
    '0.3478 (34.8\\xa0%)'
    """
    if isinstance(value, str):
        return value.replace("_", " ")
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if is_number(value):
        if not math.isfinite(value):
            return "not known"
        text = number(value, 0) if isinstance(value, int) else plain_number(value) if abs(value) > _NOTHING else "0"
        share = f" ({_with(trimmed(number(100 * value, 1)), '%')})" if not unit and is_share_name(name) and 0 <= value <= 1 else ""
        return _with(text, unit) + share
    if isinstance(value, (list, tuple)):
        return _with(f"({', '.join(value_text(part) for part in value)})", unit)
    return "not known" if value is None else str(value)


def is_share_name(name: str) -> bool:
    """Whether a result of this name is a share from 0 to 1, which people read in percent.

    >>> is_share_name("tap_share"), is_share_name("setting_fraction"), is_share_name("share"), is_share_name("ph")
    (True, True, True, False)
    """
    return re.search(r"(^|_)(share|fraction)$", name) is not None


def error_words(declared: Input, error: ReadingError) -> str:
    """How far a reading may be off, as the end of `if pH ...`.

    >>> error_words(Input("ph", "pH"), ReadingError(0.1)), error_words(Input("lux", "light", "lux"), ReadingError(0.3, "standard", True))
    ('is right to ±0.1', 'scatters by 30\\xa0%')
    >>> error_words(Input("total", "ammonia", "mg/L N"), ReadingError(0.25, relative=True, least=0.25)).replace("\\xa0", " ")
    'is right to ±0.25 mg/L N, or 25 % where that is more'
    """
    size = _with(plain_number(100 * error.size), "%") if error.relative else _with(plain_number(error.size), declared.unit)
    if error.least:
        size = f"{_with(plain_number(error.least), declared.unit)}, or {size} where that is more"
    return f"is right to ±{size}" if error.kind == "within" else f"scatters by {size}"


def condition_words(entry: Entry, errors: dict[str, ReadingError], names: tuple[str, ...]) -> str:
    """Under which reading errors the intervals hold: `if pH is right to ±0.1 and KH to ±0.5 dKH`."""
    inputs, labels = {declared.name: declared for declared in entry.inputs}, short_labels(entry)
    said, before = [], ""
    for name in sorted(names, key=lambda name: errors[name].kind, reverse=True):  # those that are right to something first
        words = error_words(inputs[name], errors[name])
        verb = "is right " if words.startswith("is right ") else "scatters "
        said.append(f"{labels[name]} {words.removeprefix(verb) if verb == before else words}")
        before = verb
    return f"if {in_a_row(said)}"


def advice_words(entry: Entry, errors: dict[str, ReadingError], shares: tuple[tuple[str, float], ...], what: str = "it") -> str:
    """Which reading to improve: the one that narrows the interval most, and those that would hardly help.

    Parameters
    ----------
    entry : Entry
        The calculator.
    errors : dict of str to ReadingError
        The errors that count.
    shares : tuple of (str, float)
        Shares of the variance, largest first.
    what : str
        What would be narrowed.

    Returns
    -------
    str
        One sentence.
    """
    labels = short_labels(entry)

    def reading(name: str) -> str:
        instrument = errors[name].instrument.split(",")[0]
        return f"{labels[name]} ({instrument})" if instrument else labels[name]

    if len(shares) == 1:
        return f"A better reading of {reading(shares[0][0])} would narrow {what}."
    top = [reading(name) for name, share in shares if share >= _ALIKE * shares[0][1]]
    idle = [reading(name) for name, share in shares if share < _HARDLY and share < _ALIKE * shares[0][1]]
    middle = [reading(name) for name, share in shares if _HARDLY <= share < _ALIKE * shares[0][1]]
    text = f"A better reading of {top[0]} would narrow {what} most"
    if len(top) > 1:
        text = f"Better readings of {in_a_row(top)} would narrow {what} most, each about as much"
    text += f", then one of {in_a_row(middle)}" if middle else ""
    if idle:
        text += f"; a better one of {idle[0]} would hardly help" if len(idle) == 1 else "; better ones of the rest would hardly help"
    return text + "."


def notes_text(entry: Entry) -> tuple[str, ...]:
    """The cautions of a calculator and then its sources, each in a line; sources that were recalled and not read say so.

    >>> from types import SimpleNamespace
    >>> notes_text(SimpleNamespace(cautions=(), sources=("arithmetic",)))
    ('Source: Arithmetic from definitions; no outside source is needed.',)
    """
    cautions = [f"Caution: {CAUTIONS[key].title}. {CAUTIONS[key].text}" for key in entry.cautions]
    return (*cautions, *([LAST_WORD] if cautions else []), *sources_text(entry.sources))


def sources_text(keys: tuple[str, ...]) -> tuple[str, ...]:
    """Sources in full, one a line.

    >>> sources_text(("en572",))[0].endswith("(literature value, from memory)")
    True
    """
    found = [source(key) for key in keys]
    return tuple(f"Source: {one.reference}{f' ({FROM_MEMORY})' if one.from_memory else ''}" for one in found)


def _part_text(answer: Answer, name: str, part: Any) -> str:
    """One part with its unit, rounded to what its interval supports; the interval alone where a figure would say too much."""
    unit, known = output_of(answer.entry, name).unit, answer.uncertain.get(name)
    if known is None:
        return value_text(part, unit, name or answer.entry.key)
    if known.value is None:
        decimals = decimals_for((known.high - known.low) / 2)
        return f"between {end(known.low, decimals)} and {_with(end(known.high, decimals), unit)}"
    return _with(number(known.value, decimals_of(known.value, known.low, known.high)), unit)


def _interval(known: Uncertain, unit: str = "") -> str:
    value = (known.low + known.high) / 2 if known.value is None else known.value
    return _with(interval(known.low, known.high, decimals_of(value, known.low, known.high)), unit)


def _cause(entry: Entry, known: Uncertain, text: str) -> str:
    """Which reading causes most of an interval; empty where only one counts."""
    if len(_moving(known)) < 2:
        return ""
    name, share = known.shares[0]
    return text.format(f"{_with(f'{100 * share:.0f}', '%')} of that", short_labels(entry)[name])


def _moving(known: Uncertain) -> tuple[str, ...]:
    """The readings that count for an interval."""
    return tuple(name for name, share in known.shares if share >= 0.0005)


def _reasons(answer: Answer, names: tuple[str, ...]) -> tuple[str, ...]:
    """What the intervals rest on, and what would narrow the one that is widest for its number."""
    told = {name: answer.uncertain[name] for name in names if name in answer.uncertain and _moving(answer.uncertain[name])}
    if not told:
        return ()
    entry = answer.entry
    wide = widest(told)
    known = told[wide]
    counting = tuple(dict.fromkeys(name for one in (known, *told.values()) for name in _moving(one)))
    condition = condition_words(entry, answer.errors, counting)
    cases = "in 19 cases of 20" if known.level == 0.95 else f"in {100 * known.level:g} cases of 100"
    if list(told) == [""] and known.value is not None:
        text = f"{_interval(known, output_of(entry, '').unit)} {cases}, {condition}{_cause(entry, known, '; {} comes from {}')}."
    else:
        text = f"{'The interval holds' if len(told) == 1 else 'The intervals hold'} {cases}, {condition}."
    what = "it" if len(told) == 1 else f"the interval of {output_of(entry, wide).label.split(':')[0]}"
    shares = tuple(pair for pair in known.shares if pair[0] in _moving(known))
    return (*_coarse(entry, answer, list(told.values())), text, advice_words(entry, answer.errors, shares, what))


def widest(told: dict[str, Uncertain]) -> str:
    """The part whose interval is the widest beside its value: the one that the advice is about."""
    return max(told, key=lambda name: (told[name].high - told[name].low) / (abs(told[name].high) + abs(told[name].low) or 1.0))


def _coarse(entry: Entry, answer: Answer, told: list[Uncertain]) -> list[str]:
    """Why a figure is not told: one sentence for each reading that is below where it can carry one."""
    moving = {name for one in told if one.value is None for name, _ in one.shares}
    labels = short_labels(entry)
    return [f"{labels[declared.name]} below {_with(plain_number(declared.figure_from), declared.unit)} is too coarse for a figure."
            for declared in entry.inputs
            if declared.name in moving and declared.figure_from is not None and answer.given[declared.name] < declared.figure_from]


def _with(text: str, unit: str) -> str:
    return f"{text}{NO_BREAK}{printed_unit(unit)}" if unit else text


def printed_unit(unit: str) -> str:
    """A unit from the table as it is printed.

    >>> printed_unit("degF"), printed_unit("m3"), printed_unit("mg/L")
    ('°F', 'm³', 'mg/L')
    """
    return _PRINTED.get(unit, unit_words(unit))
