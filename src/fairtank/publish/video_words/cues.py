"""Captions for the film: days, gaps, what the diary tells, and the sentence of the finding at the end; none over another, none too fast."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fairtank.publish.film.content import FilmContent
from fairtank.publish.film.notes import Note, notes_of
from fairtank.publish.film.timeline import Shot, Timeline
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import amount_words, caution_words, sentence, verdict_words
from fairtank.publish.video_words.content import WordsContent

# Common practice, no source: what most people can read in time, and what fits on a phone held upright.
SIGNS_PER_SECOND, LINE_SIGNS, MOST_LINES = 17, 42, 2
SHORTEST_S, LONGEST_S, APART_S = 1.0, 7.0, 0.08
LATEST_S = 1.2  # how much later than its day a caption may come, where another one still stands
_TECHNICAL = re.compile(r"\s\([^()]*\bSD of\b[^()]*\)(?=\.$)")
_SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[A-Z“])")


@dataclass(frozen=True)
class Cue:
    """One caption: from and until [s of the film], and its one or two lines."""

    start_s: float
    end_s: float
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """The lines as one text."""
        return " ".join(self.lines)


@dataclass(frozen=True)
class _Wanted:
    """What is to be told from a time on; the more it weighs, the sooner it is kept where there is no room for all."""

    at_s: float
    text: str
    weight: int


def cues_of(content: WordsContent) -> tuple[Cue, ...]:
    """The captions of the film, in order.

    Parameters
    ----------
    content : WordsContent
        With a timeline; without one there are none.

    Returns
    -------
    tuple of Cue
        At most 17 signs a second, lines of at most 42 signs, inside the film, none over another.

    References
    ----------
    common_practice (keys from sources.py).
    """
    timeline = content.timeline
    if timeline is None:
        return ()
    closing = _closing(content, timeline)
    ends = closing[0].start_s - APART_S if closing else timeline.seconds
    return (*_placed(_wanted(content, timeline), ends), *closing)


def needed_s(text: str) -> float:
    """How long a caption must stand. [s]

    >>> needed_s("Day 7: water change"), needed_s("x" * 85)
    (1.12, 5.0)
    """
    return max(SHORTEST_S, math.ceil(100 * len(text) / SIGNS_PER_SECOND) / 100)


# the days ---------------------------------------------------------------------------------------------------------------


def _wanted(content: WordsContent, timeline: Timeline) -> list[_Wanted]:
    """All that might be told while the days pass, in order."""
    shots = [shot for shot in timeline.shots if shot.kind in ("hold", "day", "gap")]
    opening = [shot for shot in timeline.shots if shot.kind == "open"]
    question = shown(content.plan.question)
    is_told = bool(opening and question) and _fits(question, timeline, opening[-1])
    wanted = [_Wanted(timeline.seconds_of(opening[0]), question, 2)] if is_told else []
    first, last = shots[0], shots[-1]
    wanted.append(_Wanted(timeline.seconds_of(first), f"Day {first.day}", 1))
    wanted += [_Wanted(timeline.seconds_of(shot), _gap_words(shot), 3) for shot in shots if shot.kind == "gap" and _is_long(shot)]
    seen: set[str] = set()
    for note in _notes(content, timeline):
        what = note.text.partition(" (")[0]
        is_new = what not in seen  # a water change every week is told once
        seen.add(what)
        if is_new:
            wanted.append(_Wanted(timeline.seconds_of_day(note.day), f"Day {note.day}: {note.text}", 2))
    wanted.append(_Wanted(timeline.seconds_of(last), f"Day {last.day}, the last one", 1))
    return sorted(wanted, key=lambda one: (one.at_s, -one.weight))


def _fits(question: str, timeline: Timeline, opening: Shot) -> bool:
    """Whether the question can be read while its card stands; the card itself shows it too."""
    return _seconds(chunks_of(question)) <= opening.end_frame / timeline.frames_per_second + LATEST_S


def _is_long(shot: Shot) -> bool:
    """A single day without a photo is seen in the film itself."""
    return shot.day is not None and shot.until is not None and shot.until > shot.day


def _gap_words(shot: Shot) -> str:
    return f"No photos from day {shot.day} to day {shot.until}"


def _notes(content: WordsContent, timeline: Timeline) -> tuple[Note, ...]:
    """What the diary tells; tanks are named only in a film that names them from the beginning."""
    is_hidden = any(shot.kind == "reveal" for shot in timeline.shots)
    names = {unit.key: "" if is_hidden else shown(unit.key) for unit in content.plan.units}
    film = FilmContent(content.plan, content.findings, (), (), _no_picture, content.events, content.chores_done)
    return notes_of(film, names)


def _no_picture(unit: str, day: int, width_px: int, height_px: int) -> np.ndarray:
    """No photo is asked for here."""
    return np.zeros((height_px, width_px, 3), np.uint8)


def _placed(wanted: Sequence[_Wanted], ends_s: float) -> list[Cue]:
    """One after the other; what would come too late, or has no room before the end, is left out, the lightest first."""
    kept: list[_Wanted] = list(wanted)
    while True:
        cues, crowded = _in_turn(kept, ends_s)
        if crowded is None:
            return cues
        kept.remove(crowded)


def _in_turn(wanted: Sequence[_Wanted], ends_s: float) -> tuple[list[Cue], _Wanted | None]:
    """The captions in turn, and the one that has to go where there is no room: the lightest of those that stand in each other's way."""
    cues: list[Cue] = []
    free, before = 0.0, None
    for place, one in enumerate(wanted):
        chunks = chunks_of(one.text)
        start = max(one.at_s, free)
        end = start + sum(needed_s(" ".join(lines)) + APART_S for lines in chunks)
        if start - one.at_s > LATEST_S or end > ends_s:
            rivals = [each for each in (before, one) if each is not None]
            return cues, min(rivals, key=lambda each: (each.weight, -each.at_s)) if end <= ends_s else one
        later = wanted[place + 1].at_s if place + 1 < len(wanted) else ends_s
        for lines in chunks:
            until = start + needed_s(" ".join(lines))
            is_last = lines is chunks[-1]
            stays = min(max(until, min(later - APART_S, start + 2.5)), ends_s) if is_last else until
            cues.append(Cue(round(start, 3), round(stays, 3), lines))
            start = stays + APART_S
        free, before = start, one
    return cues, None


# the end ----------------------------------------------------------------------------------------------------------------


def _closing(content: WordsContent, timeline: Timeline) -> list[Cue]:
    """The finding at the end: as much of its sentence as can be read, whole sentences only, the verdict with its number first.

    Where the film is too short even for the verdict, it begins while the last days still pass.
    """
    parts = closing_parts(content)
    if not parts:
        return []
    last = next(shot for shot in reversed(timeline.shots) if shot.kind == "hold")
    reveal = next((shot for shot in timeline.shots if shot.kind == "reveal"), None)
    usual = timeline.seconds_of(reveal) if reveal else timeline.seconds_of(last) + min(1.2, last.frames / timeline.frames_per_second)
    must, more = parts
    chunks = [lines for text in must for lines in chunks_of(text)]
    start = min(usual, timeline.seconds - _seconds(chunks))
    if start < 0:  # a film of a few seconds
        return []
    for text in more:
        added = [*chunks, *chunks_of(text)]
        if start + _seconds(added) > timeline.seconds:
            break
        chunks = added
    cues = []
    spare = (timeline.seconds - start - _seconds(chunks)) / len(chunks)
    for lines in chunks:
        until = start + min(needed_s(" ".join(lines)) + max(spare, 0.0), LONGEST_S)
        cues.append(Cue(round(start, 3), round(min(until, timeline.seconds), 3), lines))
        start = until + APART_S
    return cues


def _seconds(chunks: Sequence[tuple[str, ...]]) -> float:
    return sum(needed_s(" ".join(lines)) + APART_S for lines in chunks)


def closing_parts(content: WordsContent) -> tuple[list[str], list[str]] | None:
    """The sentences that must be told (the verdict, and the number with its interval), and those that may follow.

    Technical words that a sentence has in brackets at its end are left to the report. None without a finding.
    """
    if not content.primary:
        return None
    must, more = [], []
    for finding in content.primary:
        whole = _parts(sentence(finding))
        told = [*_parts(verdict_words(finding)), *_parts(amount_words(finding))]
        cautions = [part for part in _parts(caution_words(finding)) if part not in told]
        must += told
        more += [*cautions, *(part for part in whole if part not in (*told, *cautions))]
    return list(dict.fromkeys(must)), list(dict.fromkeys(more))


def _parts(text: str) -> list[str]:
    return [_TECHNICAL.sub("", part) for part in _SENTENCES.split(shown(text)) if part]


# lines ------------------------------------------------------------------------------------------------------------------


def chunks_of(text: str) -> list[tuple[str, ...]]:
    """A text in captions of one or two lines; a number and its unit stay on one line where they can.

    >>> chunks_of("Cannot tell: both no effect and an effect that matters fit what was seen.")
    [('Cannot tell: both no effect and an effect', 'that matters fit what was seen.')]
    """
    words = shown(text).split(" ")
    lines = _wrapped(words, LINE_SIGNS)
    pages = -(-len(lines) // MOST_LINES)
    # As even as it goes, so that no word is left over for a caption of its own.
    narrowest = next((width for width in range(8, LINE_SIGNS) if len(_wrapped(words, width)) <= pages * MOST_LINES
                      and max(map(len, _wrapped(words, width))) <= LINE_SIGNS), LINE_SIGNS)
    lines = _wrapped(words, narrowest) if pages > 1 else lines
    return [tuple(plain_text(line) for line in lines[place * MOST_LINES:(place + 1) * MOST_LINES]) for place in range(pages)]


def _wrapped(words: Sequence[str], width: int) -> list[str]:
    lines: list[str] = []
    for word in words:
        if lines and len(lines[-1]) + 1 + len(word) <= width:
            lines[-1] += f" {word}"
        elif len(word) <= LINE_SIGNS:
            lines += [word] if word else []
        else:
            lines += [word[place:place + LINE_SIGNS] for place in range(0, len(word), LINE_SIGNS)]
    return lines
