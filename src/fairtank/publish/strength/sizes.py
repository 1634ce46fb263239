"""Numbers in a text held against a finding: are they its own, are they inside its interval, does the interval stand beside them?"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.finding import Finding, UnitSummary
from fairtank.publish.amounts import estimate_words
from fairtank.publish.numbers import unit_words
from fairtank.publish.printed import factor, natural_unit
from fairtank.publish.scales import natural_value
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.strength.number_words import ARTICLES, NUMBER_WORDS
from fairtank.trial import Series

_NUMBER = re.compile(r"(?<![\w.,/-])-?\d+(?:[.,]\d+)?(?![\w/]*-)")
_DAY = re.compile(r"(?<!\w)(?:day|tag)\s(\d+)", re.IGNORECASE)
_COUNTED = re.compile(r"(?<!\w)(?:days?|weeks?|tag|look)\s$", re.IGNORECASE)
_PAIR = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*(?:[^\W\d]{1,3}[²³]?|%|°C)?\s*(?:less|more)?\s*(?:to|and|bis|und|-|–|…|,)\s*(-?\d+(?:[.,]\d+)?)")
_UNITS = {"%": r"%|per\s?cent|prozent", "percentage points": r"percentage points?|prozentpunkte?", "cm2": r"cm²|cm2", "": r"(?!x)x"}
# Numbers in per cent that are no effect: levels of intervals, shares of false alarms, of cases, of water.
_NO_EFFECT = re.compile(r"^\s*(?:%|per\s?cent|prozent)\s*[-]?\s*(?:interval|intervall|confidence|level|of (?:cases|choices|trials|draws|"
                        r"false|the (?:time|"
                        r"water))|water|wasser|humidity|sure|chance|co2)|^\s*(?:%|per\s?cent)\s*ci\b", re.IGNORECASE)
_WORDS = {word: value for word, value in NUMBER_WORDS.items() if word not in ARTICLES}
_COUNT = r"(\d+(?:[.,]\d+)?|" + "|".join(sorted(_WORDS, key=len, reverse=True)) + ")"
_ABOUT = r"(?:about |up to |some |nearly |over |more than |almost |rund |fast |über |mehr als |bis zu |etwa )?"
_PERCENT = r"\s?(?:%|per cent|percent|prozent)"
_DOWN = r"(?:less|fewer|lower|slower|smaller|weniger|langsamer|geringer|niedriger)"
_PARTS = {"third": 3, "quarter": 4, "fifth": 5, "tenth": 10, "half": 2, "drittel": 3, "viertel": 4, "fünftel": 5, "zehntel": 10}
_NAMED_PART = "|".join(_PARTS)


@dataclass(frozen=True)
class Size:
    """A relative size that a text tells: how many times the reference's value, and where it stands."""

    times: float
    start: int
    end: int


def _value(text: str) -> float:
    return float(_WORDS.get(text.lower(), text.replace(",", ".")))


_TIMES = (
    (re.compile(r"\b(?:half (?:as (?:much|many|high|tall|fast)|the (?:algae|amount|cover|growth|height))|halv(?:e|es|ed|ing)|by half|"
                r"die hälfte|halb so "
                r"(?:viele?|hoch)|halbiert)\b", re.IGNORECASE), lambda match: 0.5),
    (re.compile(r"\b(?:twice (?:as (?:much|many|high|tall|fast)|the (?:algae|amount|cover|growth|height))|doubl(?:es?|ed|ing)|"
                r"doppelt so)\b",
                re.IGNORECASE), lambda match: 2.0),
    (re.compile(r"\btripl(?:es?|ed|ing)\b", re.IGNORECASE), lambda match: 3.0),
    (re.compile(rf"\ba ({_NAMED_PART}) of (?:the|what|that)\b|\bein ({_NAMED_PART}) (?:der|so)\b|\bto an? ({_NAMED_PART})\b|"
                rf"\bauf ein ({_NAMED_PART})\b", re.IGNORECASE),
     lambda match: 1.0 / _PARTS[(match[1] or match[2] or match[3] or match[4]).lower()]),
    (re.compile(rf"\b(?:by )?an? ({_NAMED_PART}) {_DOWN}\b|{_DOWN} by an? ({_NAMED_PART})\b|(?:cut|reduced?|lowered|dropped|fell|"
                rf"decreased|slowed)"
                rf"[^.;,]{{0,24}} by an? ({_NAMED_PART})\b", re.IGNORECASE),
     lambda match: 1.0 - 1.0 / _PARTS[(match[1] or match[2] or match[3]).lower()]),
    (re.compile(rf"\b(?:{_DOWN}|down|(?:cut|reduced|lowered|dropped|fell)[^.;,]{{0,24}}? by) (?:by |about |nearly |over )?"
                rf"(two|three)[ -](thirds|quarters)\b|"
                rf"\b(two|three)[ -](thirds|quarters) {_DOWN}\b", re.IGNORECASE),
     lambda match: 1.0 - _WORDS[(match[1] or match[3]).lower()] / _PARTS[(match[2] or match[4]).lower().rstrip("s")]),
    (re.compile(r"\b(two|three)[ -](thirds|quarters) of (?:the|what|that)\b", re.IGNORECASE),
     lambda match: _WORDS[match[1].lower()] / _PARTS[match[2].lower().rstrip("s")]),
    (re.compile(rf"\b{_COUNT}[ -]?(?:times|x|mal|fold) {_DOWN}\b", re.IGNORECASE), lambda match: 1.0 / max(_value(match[1]), 1e-9)),
    (re.compile(rf"\b{_COUNT}[ -]?(?:times (?:as|more|higher|faster|larger|what|the)|fold|x more|mal so)\b", re.IGNORECASE),
     lambda match: _value(match[1])),
    (re.compile(rf"\b{_COUNT}{_PERCENT} (?:{_DOWN}|reduction|drop|decrease|cut)(?!\w)", re.IGNORECASE),
     lambda match: 1.0 - _value(match[1]) / 100),
    (re.compile(rf"\b(?:grew|rose|rises?|increas\w+|rais\w+|boost\w+|more|up|stieg\w*|wuchs\w*)[^.;,]{{0,30}}?"
                rf"\b(?:by|um) {_ABOUT}{_COUNT}{_PERCENT}",
                re.IGNORECASE), lambda match: 1.0 + _value(match[1]) / 100),
    (re.compile(rf"\b(?:by|um) {_ABOUT}{_COUNT}{_PERCENT}(?:\s(?:erhöht|gesteigert|mehr|höher)\b)", re.IGNORECASE),
     lambda match: 1.0 + _value(match[1]) / 100),
    (re.compile(rf"\b(?:by|um) {_ABOUT}{_COUNT}{_PERCENT}", re.IGNORECASE), lambda match: 1.0 - _value(match[1]) / 100),
    (re.compile(rf"\b{_COUNT}{_PERCENT} (?:more|higher|faster|larger|increase|mehr|höher)\b", re.IGNORECASE),
     lambda match: 1.0 + _value(match[1]) / 100),
)


def sizes_in(text: str) -> list[Size]:
    """The relative sizes that a text tells, each once."""
    found: list[Size] = []
    for pattern, times in _TIMES:
        for match in pattern.finditer(text):
            if not any(one.start < match.end() and match.start() < one.end for one in found):
                found.append(Size(times(match), match.start(), match.end()))
    return found


def ratio_interval(finding: Finding) -> tuple[float, float] | None:
    """Between how many times the reference's value the changed arm's lies; None where the finding tells no ratio."""
    natural = finding.natural
    if finding.low is None or finding.high is None or finding.grade in ("spoilt", "alone"):
        return None
    if finding.summary == "slope" or finding.scale == "log":
        return (factor(finding.low), factor(finding.high)) if finding.scale != "identity" else None
    if natural is None or natural.low is None or natural.high is None or natural.reference <= 0:
        return None
    return natural.low / natural.reference, natural.high / natural.reference


class Numbers:
    """The numbers that some findings have, as they are printed and as they are."""

    def __init__(self, findings: Sequence[Finding], series: Sequence[Series] = ()) -> None:
        self._recorded = [(one.unit, day, value) for one in series for day, value in zip(one.days, one.values, strict=True)]
        self.units = {unit for one in findings for unit in (natural_unit(one), one.unit_of_measure)}
        texts = [text.replace("−", "-").replace("\u00a0", " ") for one in findings
                 for text in (sentence(one), estimate_words(one), settling_words(one))]
        self._printed = {_plain(match.group()) for text in texts for match in self.effects_in(text)}
        self._printed |= {_plain(end) for text in texts for pair in _PAIR.finditer(text) if self._has_unit(text[pair.end():])
                          for end in pair.groups()}
        self._values = [value for one in findings for value in _values_of(one)]
        self._of_units = [value for one in findings for unit in one.units for value in _unit_values(one, unit)]
        keys = {re.escape(unit.unit) for one in findings for unit in one.units}
        self._names_unit = re.compile(rf"(?<!\w)(?:{'|'.join(sorted(keys, key=len, reverse=True)) or '(?!)'})(?!\w)")
        self._ends = [(low, high) for one in findings for low, high in _intervals_of(one)]
        self._shares = [100 * share for one in findings for end in ratio_interval(one) or () for share in (end, 1 - end)]
        self._estimates = [value for one in findings for value in _estimates_of(one)]
        self.has_interval = any(one.low is not None and one.grade not in ("spoilt", "alone") for one in findings)
        self.is_judged = any(one.grade != "spoilt" for one in findings)

    def effects_in(self, text: str) -> list[re.Match[str]]:
        """Numbers that carry a unit of the findings and so speak of the measure."""
        return [match for match in _NUMBER.finditer(text) if self._has_unit(text[match.end():])
                and not _NO_EFFECT.match(text[match.end():]) and not _COUNTED.search(text[:match.start()])]

    def _has_unit(self, rest: str) -> bool:
        for unit in self.units:
            pattern = _UNITS.get(unit, re.escape(unit_words(unit)) + "|" + re.escape(unit) if unit else "")
            if pattern and re.match(rf"\s?(?:(?:to|and|bis|-|–)\s?-?\d+(?:[.,]\d+)?\s?)?(?:{pattern})(?!\w)", rest, re.IGNORECASE):
                return True
        return False

    def knows(self, number: str, text: str) -> bool:
        """Whether the findings have this number, printed or rounded to its decimals; one of a single unit where the text names units."""
        if any(_rounds_to(value, number) for value in self._of_units) and self._names_unit.search(text):
            return True
        return _plain(number) in self._printed or any(_rounds_to(value, number) for value in (*self._values, *self._shares))

    def knows_of_day(self, number: str, text: str) -> bool:
        """Whether it is the value of a tank on a day, both of which the text names."""
        days = {int(day) for day in _DAY.findall(text)}
        return bool(days) and any(day in days and _rounds_to(value, number) and re.search(rf"(?<!\w){re.escape(unit)}(?!\w)", text)
                                  for unit, day, value in self._recorded)

    def is_estimate(self, number: str) -> bool:
        """Whether it is an estimate, which needs its interval beside it."""
        return any(_rounds_to(value, number) for value in self._estimates)

    def has_interval_beside(self, text: str) -> bool:
        """Whether both ends of an interval of the findings stand in a text."""
        for first, second in _PAIR.findall(text):
            for low, high in self._ends:
                if _near(low, first) and _near(high, second):
                    return True
            if {_plain(first), _plain(second)} <= self._printed and not (self.is_estimate(first) or self.is_estimate(second)):
                return True
        return False


def _plain(number: str) -> str:
    """A number's digits without sign and empty zeros.

    >>> _plain("-7,0"), _plain("12")
    ('7', '12')
    """
    text = number.lstrip("-").replace(",", ".")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _rounds_to(value: float, number: str) -> bool:
    text = number.lstrip("-").replace(",", ".")
    decimals = len(text.partition(".")[2])
    return math.isfinite(value) and abs(abs(value) - float(text)) <= 0.5 * 10.0**-decimals * (1 + 1e-9)


def _near(value: float, number: str) -> bool:
    """An end as it may be printed: rounded, or with one figure less."""
    return _rounds_to(value, number) or math.isclose(abs(value), float(number.lstrip("-").replace(",", ".")), rel_tol=0.06)


def _values_of(finding: Finding) -> list[float]:
    """Levels, ends, the margin and what single units had."""
    natural = finding.natural
    on_scale = (finding.estimate, finding.low, finding.high, finding.margin, finding.tipping_spread)
    found = [value for value in on_scale if value is not None] if natural is None or finding.scale == "identity" else []
    if natural is not None:
        found += [value for value in (natural.reference, natural.changed, natural.low, natural.high) if value is not None]
    return found


def _unit_values(finding: Finding, unit: UnitSummary) -> list[float]:
    """What a single unit had, in the measure's own unit."""
    found = [natural_value(unit.z, finding.scale)] if finding.summary == "mean" and unit.z is not None else []
    if unit.treated_mean is not None:
        shift = unit.z if unit.z is not None and finding.summary in ("change", "swap") else 0.0
        found += [natural_value(unit.treated_mean + step, finding.scale) for step in (0.0, shift, -shift)]
    return found


def _estimates_of(finding: Finding) -> list[float]:
    if finding.low is None or finding.grade in ("spoilt", "alone"):
        return []
    return [] if finding.natural is None else [finding.natural.changed]


def _intervals_of(finding: Finding) -> list[tuple[float, float]]:
    found = []
    if finding.low is not None and finding.high is not None:
        found.append((finding.low, finding.high))
        if finding.scale == "log" or finding.summary == "slope":
            found.append((factor(finding.low), factor(finding.high)))
    if finding.natural is not None and finding.natural.low is not None and finding.natural.high is not None:
        found.append((finding.natural.low, finding.natural.high))
    return found
