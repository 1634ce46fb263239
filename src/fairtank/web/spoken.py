"""Finished English sentences in the language of the page.

Services and readers of tables tell the terminal and the pages the same English sentences. What they are made of stands in the catalogue as
pieces with named places for values (context `sentence`); here a sentence is held against these pieces, its values are taken out, turned
themselves where they are words, and put into the translated piece. What fits no piece stays as it is.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from django.utils.translation import get_language
from django.utils.translation.trans_real import translation

_CONTEXT = "sentence\x04"
_PLACE = re.compile(r"%\((\w+)\)s")
_LETTERS = re.compile(r"[A-Za-z]")
# Words that tell that something is still English.
_WORDS = re.compile(r"\b(?:a|an|and|are|as|at|be|by|can|cannot|each|for|from|has|have|holds|in|is|it|its|no|not|of|on|or|such|than|that|the"
                    r"|there|they|this|to|was|were|which|with|you|your)\b", re.IGNORECASE)
# Where a sentence ends and the next begins, or a part of one that was put behind another.
_JOINTS = (re.compile(r"(?<=[.?!]) (?=[A-Z])"), re.compile(r"(?=; )"))
# Places of what somebody wrote, which is told as it was written.
_QUOTED = {"heading", "headings", "text", "written", "column", "title", "key", "unit", "quantity"}
# In a page there are no files: what was said of them is said of the trial before it comes here, or is not; both are the same sentence.
_FILES = ((" of trial.toml", " of this trial"), (" of schedule.toml", " of the schedule"), ("a trial.toml", "a plan"),
          ("trial.toml", "the plan"))
LONGEST, LONGEST_VALUE, DEEPEST = 700, 300, 4
_A_VALUE = 6  # letters that a place for a value counts against: of two that fit, the one that says more itself is taken


@dataclass(frozen=True)
class Piece:
    """A piece of a sentence. fixed: its longest fixed part, which a sentence must hold to be looked at. weight: how much of it is fixed."""

    fits: re.Pattern[str]
    fixed: str
    weight: int
    translated: str


def spoken(text: str) -> str:
    """A sentence, or a part of one, in the language of the page; as it is where its pieces are not known.

    >>> spoken("Load the page again.")
    'Load the page again.'
    """
    return text if is_english() or len(text) > LONGEST else _spoken(get_language() or "", text)


def wholly_spoken(text: str) -> str:
    """The same, but a sentence of which something would stay English stays as it is, whole: for texts that may hold pieces nobody gathered.

    >>> wholly_spoken("Load the page again.")
    'Load the page again.'
    """
    if is_english() or len(text) > LONGEST:
        return text
    said, left = _turned(get_language() or "", text, 0)
    return text if left else said


def all_spoken(sentences: Mapping[str, str]) -> dict[str, str]:
    """Sentences by what they are said of, each in the language of the page."""
    return {key: spoken(text) for key, text in sentences.items()}


def is_english() -> bool:
    """Whether the page is in English, in which all sentences are written."""
    return (get_language() or "en").startswith("en")


@lru_cache(maxsize=4096)
def _spoken(language: str, text: str) -> str:
    return _turned(language, text, 0)[0]


def _turned(language: str, text: str, depth: int) -> tuple[str, float]:
    """The sentence turned, and how many words in it are left as they were."""
    whole, pieces = _pieces(language)
    plain = _plain(text)
    for same, after in ((plain, str), (_swapped(plain), capital if plain[:1].isupper() else str)):
        if same in whole:
            return after(whole[same]), 0
    best = text, _left_in(text) or 0.5  # a word that is none of these may be English all the same
    if depth == DEEPEST or not _LETTERS.search(text):
        return text, _left_in(text)
    for piece in pieces:
        found = _fitted(piece, plain)
        if found is None:
            continue
        values = {name: (value, _left_in(value)) if name in _QUOTED or len(value) > LONGEST_VALUE else _turned(language, value, depth + 1)
                  for name, value in found.groupdict().items()}
        said = piece.translated % {name: value for name, (value, _left) in values.items()}
        rest = sum(left for _value, left in values.values())
        if rest < best[1]:
            best = (capital(said) if text[:1].isupper() else said), rest
        if not rest:
            return best
    best = (text, 0) if best == (text, 0.5) else best
    return min((best, *_parts_turned(language, text, depth)), key=lambda one: one[1])


def _left_in(text: str) -> int:
    return len(_WORDS.findall(text))


def _parts_turned(language: str, text: str, depth: int) -> Iterator[tuple[str, float]]:
    """The sentence turned part by part, for each way of parting it."""
    for joint in _JOINTS:
        parts = joint.split(text)
        if len(parts) > 1:
            turned = [_turned(language, part, depth + 1) for part in parts]
            yield (" " if joint is _JOINTS[0] else "").join(said for said, _left in turned), sum(left for _said, left in turned)


def _fitted(piece: Piece, text: str) -> re.Match[str] | None:
    if piece.fixed not in text and piece.fixed not in _swapped(text):
        return None
    return piece.fits.fullmatch(text) or piece.fits.fullmatch(_swapped(text))


@lru_cache(maxsize=8)
def _pieces(language: str) -> tuple[dict[str, str], tuple[Piece, ...]]:
    """Sentences without values with their translations, and pieces with values, those with most fixed letters first."""
    whole: dict[str, str] = {}
    pieces = []
    for key, translated in translation(language)._catalog.items():
        if not isinstance(key, str) or not key.startswith(_CONTEXT) or not translated:
            continue
        source = _plain(key.removeprefix(_CONTEXT))
        whole[source] = translated
        if not _PLACE.search(source):
            continue
        fixed = [part.replace("%%", "%") for part in _PLACE.split(source)[::2]]
        weight = sum(len(part) for part in fixed)
        if _LETTERS.search("".join(fixed)):
            pieces.append(Piece(_pattern(source), max(fixed, key=len), weight - _A_VALUE * (len(fixed) - 1), translated))
    return whole, tuple(sorted(pieces, key=lambda piece: -piece.weight))


def _pattern(source: str) -> re.Pattern[str]:
    parts, named = _PLACE.split(source), set[str]()
    made = ""
    for place, part in enumerate(parts):
        if place % 2 == 0:
            made += re.escape(part.replace("%%", "%"))
        else:
            made += f"(?P={part})" if part in named else f"(?P<{part}>.*?)"
            named.add(part)
    return re.compile(made, re.DOTALL)


def _plain(text: str) -> str:
    for of_files, of_trials in _FILES:
        text = text.replace(of_files, of_trials)
    return text


def _swapped(text: str) -> str:
    """With the other kind of first letter: the same words begin a sentence in one place and stand within one in another."""
    return text[:1].swapcase() + text[1:]


def capital(text: str) -> str:
    """With a capital at its beginning."""
    return text[:1].upper() + text[1:]
