"""A text taken apart into sentences, each with its place in the text; marks of captions and of Markdown are not read."""

import re
from dataclasses import dataclass

CAPTIONS = (".srt", ".vtt")
_SIGNS = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "\u00a0": " ", "\u202f": " ", "\u2009": " ",
                        "−": "-", "\t": " "})
# What is no prose: fences, code, links' targets, addresses, tags, pictures.
_MARKUP = re.compile(r"```.*?```|`[^`\n]*`|\]\([^)\n]*\)|https?://\S+|<[^>\n]*>|^\s{0,3}(?:#{1,6}\s|>|[-*+•]\s|\d+[.)]\s)|[*_|\[\]]",
                     re.DOTALL | re.MULTILINE)
_CUE = re.compile(r"^(?:WEBVTT.*|NOTE.*|STYLE.*|\d+|.*-->.*)$", re.MULTILINE)
_ITEM = re.compile(r"^\s{0,3}(?:#{1,6}\s|>|[-*+•|]|\d+[.)]\s)|^\s*$")
_STAMP = re.compile(r"^\s*\d{1,2}:\d\d(?::\d\d)?\s", re.MULTILINE)
_END = re.compile(r"[.!?…]+[\"')]*(?=\s|$)")
_SHORT = re.compile(r"(?:\b(?:e\.g|i\.e|approx|ca|vs|etc|no|fig|dr|z\.\s?b|d\.\s?h|bzw|usw)|\b[A-Za-z])$", re.IGNORECASE)
_SHORT_LINE = 60
LONGEST = 600  # signs of a sentence


@dataclass(frozen=True)
class Sentence:
    """One sentence: its text with plain signs, of the same length as what stands in the file, and where it begins there."""

    text: str
    start: int

    @property
    def is_question(self) -> bool:
        """Whether it asks."""
        return self.text.rstrip("\"') !").endswith("?")


def sentences_of(text: str, *, ending: str = ".txt") -> tuple[Sentence, ...]:
    """The sentences of a text in their order.

    Parameters
    ----------
    text : str
        As it stands in the file.
    ending : str
        Of the file's name: `.srt` and `.vtt` have cues, everything else is read as text or Markdown.

    Returns
    -------
    tuple of Sentence

    Examples
    --------
    >>> [one.text for one in sentences_of("# Title\\n\\nIt rose by 5.2 cm. Did it?")]
    ['Title', 'It rose by 5.2 cm.', 'Did it?']
    """
    plain = text.translate(_SIGNS)
    blanked = _MARKUP.sub(_blank, plain)
    is_captions = ending.lower() in CAPTIONS
    blanked = _CUE.sub(_blank, blanked) if is_captions else _STAMP.sub(_blank, blanked)
    found: list[Sentence] = []
    for start, end in _paragraphs(plain, blanked, is_captions):
        found += _cut(blanked.replace("\n", " "), start, end)
    return tuple(found)


def _blank(match: re.Match[str]) -> str:
    return "".join(sign if sign == "\n" else " " for sign in match.group())


def _paragraphs(plain: str, blanked: str, is_captions: bool) -> list[tuple[int, int]]:
    """Stretches in which a sentence may run over the end of a line."""
    stretches: list[tuple[int, int]] = []
    begin, place, before = 0, 0, ""
    for line, clean in zip(plain.splitlines(keepends=True), blanked.splitlines(keepends=True), strict=True):
        words = clean.strip()
        if is_captions:
            is_new = bool(words) and bool(before) and (before[-1] in ".!?…" or words[:1].isupper())
        else:
            is_new = bool(_ITEM.match(line)) or (bool(before) and _breaks(before, words))
        if is_new:
            stretches.append((begin, place))
            begin = place
        before = (words or before) if is_captions else words
        place += len(line)
    return [*stretches, (begin, len(plain))]


def _breaks(before: str, words: str) -> bool:
    """Whether a line begins something new: the one before it ended, or is short and this one begins with a capital or a sign."""
    return before[-1] in ".!?…:" or (len(before) < _SHORT_LINE and not words[:1].islower())


def _bounded(text: str, first: int, last: int) -> list[tuple[int, int]]:
    """A sentence in parts that can be read in time: no sentence that people write is longer."""
    parts = []
    while last - first > LONGEST:
        middle, end = first + LONGEST // 2, first + LONGEST
        stop = text.rfind(";", middle, end)  # a long row, as in a text for a chart, is cut between its items
        space = stop + 1 if stop > 0 else text.rfind(" ", middle, end)
        cut = space if space > 0 else end
        parts.append((first, cut))
        first = cut
    return [*parts, (first, last)]


def _cut(text: str, start: int, end: int) -> list[Sentence]:
    found, begin = [], start
    for match in _END.finditer(text, start, end):
        if match.group().startswith(".") and _SHORT.search(text[begin:match.start()]):
            continue
        found.append((begin, match.end()))
        begin = match.end()
    found.append((begin, end))
    told = []
    for first, last in (part for one in found for part in _bounded(text, *one)):
        piece = text[first:last]
        clean = piece.strip()
        if any(sign.isalnum() for sign in clean):
            told.append(Sentence(clean, first + len(piece) - len(piece.lstrip())))
    return told
