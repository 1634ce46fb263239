"""What of a sentence is asserted: questions, quotations, conditions, hopes, hedges and admissions assert nothing; negation turns a claim.

A chain of parts opens a silent stretch, and a mark at which a new main clause begins ends it.
"""

import functools
import re
from dataclasses import dataclass
from itertools import pairwise

from fairtank.publish.strength.reading import Reading

_CLAUSE = re.compile(r"[;:]|\s-+\s|\s?[–—]\s?|,?\s(?=(?:but|yet|while|whereas|although|though|however|aber|doch|während|"
                     r"obwohl|sondern)\s)", re.IGNORECASE)
# Where a silent stretch ends: a new main clause begins.
_STOP = re.compile(r";|:\s(?=it's|it is|es ist|es war|the answer)"
                   r"|\s[-–—]+\s|[!?.](?=\s)|,?\s(?:but|yet|however|aber|doch|sondern)\s|,\s(?:and|so|und)\s(?:it|we|they|the answer|yes|"
                   r"the|this|es|das|i)\s"
                   r"|\sand (?:it|yes)\s|,\sund\s", re.IGNORECASE)
_STOP_IF = re.compile(rf"[,:]|{_STOP.pattern}", re.IGNORECASE)
_QUOTED = re.compile(r'"[^"]*"')
# Chains that open a silent stretch, with what they make of it and where it ends.
_OPENINGS = (("asking", "told", _STOP), ("hoping", "told", _STOP), ("saying", "told", _STOP), ("if", "told", _STOP_IF),
             ("'neither/weder' ~~3 'that/dass'", "admits", re.compile(r"$")),
             ("'how/wie' ~4 works", "told", _STOP),
             ("not ~3 know", "admits", _STOP), ("know ~4 not", "admits", _STOP), ("unknown", "admits", _STOP),
             ("not ~2 show", "admits", _STOP), ("show ~4 'nicht/kein/keine/nichts'", "admits", _STOP), ("fits", "admits", _STOP))
_TASTES = ("we/you 'like/liked/prefer' ~7 win", "'gefiel/gefällt/gefielen' ~5 win")  # what somebody likes claims nothing
_DESIGNS = ("design", "thing 'of' number", "thing 'of' 'about' number", "number 'times' 'in' number")
_SUBORDINATE = re.compile(r"^(?:how|whether|why|what|which|where|if|that|wie|ob|warum|was|dass|wer|woran|worauf)\s", re.IGNORECASE)
_REACH = 6  # words over which a negation reaches
ALWAYS_READ = frozenset({"significant", "advice", "number", "interval", "size"})
FIRM = frozenset({"certainty", "general", "winner", "absolute"})  # a hedge beside them takes nothing back
DESIGN_KINDS = frozenset({"difference", "direction", "matters", "small", "absence", "part", "headline", "winner", "cause", "other"})


@dataclass(frozen=True)
class Silence:
    """A stretch of a sentence that does not assert what stands in it. kind: `told`, `quoted`, `admits`, `design` or `hedge`."""

    start: int
    end: int
    kind: str


@functools.lru_cache(maxsize=256)
def clauses_of(text: str) -> tuple[tuple[int, int], ...]:
    """The clauses of a sentence, from and to."""
    places = [0, *(match.end() for match in _CLAUSE.finditer(text)), len(text)]
    return tuple((first, last) for first, last in pairwise(places) if last > first)


def clause_at(text: str, place: int) -> tuple[int, int]:
    """The clause in which a place lies."""
    return next(((first, last) for first, last in clauses_of(text) if first <= place < last), (0, len(text)))


def silences(reading: Reading, *, is_question: bool) -> list[Silence]:
    """Every stretch of a sentence that asserts nothing.

    Parameters
    ----------
    reading : Reading
        One sentence.
    is_question : bool
        Whether it asks: then all of it.

    Returns
    -------
    list of Silence
    """
    text = reading.text
    if is_question:
        return [Silence(0, len(text), "told")]
    found = [Silence(match.start(), match.end(), "quoted") for match in _QUOTED.finditer(text)
             if len(match.group()) < len(text.rstrip(".!? ")) - 1]
    for chain, kind, stop in _OPENINGS:
        for first, last in reading.find(chain):
            start, end = reading.span(first, last)
            is_at_end = chain == "unknown" and not any(sign.isalnum() for sign in text[end:])
            if is_at_end or (chain == "hoping" and "english" not in reading.languages):  # what it is about stands in front of it
                start = clause_at(text, start)[0]
            found.append(Silence(start, _end(text, end, stop), kind))
            if kind == "admits" and _SUBORDINATE.match(text):
                found.append(Silence(0, end, kind))
    if any(reading.has(chain) for chain in _DESIGNS):
        found.append(Silence(0, len(text), "design"))
    if reading.has("'can/could/may/might/kann/können/könnte/mag' ~5 chance") and not reading.has("not ~3 chance"):
        found.append(Silence(0, len(text), "admits"))
    found += [Silence(*reading.span(first, last), "told") for chain in _TASTES
              for first, last in reading.find(chain)]
    if reading.has("comma saying $"):
        found.append(Silence(0, len(text), "told"))
    for first, last in reading.find("hedge !'see/watch/already/feel/notice/schon/sehen'"):
        start, end = reading.span(first, last)
        found.append(Silence(clause_at(text, start)[0], _end(text, end, _STOP), "hedge"))
    return found


def _end(text: str, place: int, stop: re.Pattern[str]) -> int:
    match = stop.search(text, place)
    return match.start() if match else len(text)


def is_silent(kind: str, place: int, stretches: list[Silence]) -> bool:
    """Whether a claim of a kind at a place is not asserted."""
    for one in stretches:
        if not one.start <= place < one.end:
            continue
        if one.kind in ("told", "quoted"):
            return True
        if kind in ALWAYS_READ or (one.kind == "hedge" and kind in FIRM) or (one.kind == "design" and kind not in DESIGN_KINDS):
            continue
        return True
    return False


def is_negated(reading: Reading, first: int, last: int) -> bool:
    """Whether a negation reaches some tokens: in the same clause, over a few words; in German it may stand behind them."""
    start, end = clause_at(reading.text, reading.tokens[first].start)
    for token in reversed(reading.tokens[max(0, first - _REACH - 1):first]):
        if token.start < start or {"comma", "stop", "because"} & token.roles or token.text in ("and", "und", "so"):
            break
        if "not" in token.roles:
            return True
    if "german" not in reading.languages or len(reading.languages) > 1:
        return False
    for token in reading.tokens[last + 1:last + 6]:
        if token.start >= end or {"comma", "stop"} & token.roles or token.text in ("und", "oder"):
            return False
        if token.text in ("nicht", "nie", "nichts", "niemals", "kaum"):
            return True
    return False


def admits(reading: Reading) -> bool:
    """Whether a sentence says that something is not known."""
    return any(reading.has(chain) for chain, kind, _ in _OPENINGS if kind == "admits")
