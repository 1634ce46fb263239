"""From a finding to plain sentences: what was found, how large with its interval, on how many tanks, and the caution that applies.

The step before is `inference.judge`; the step after is `publish.report.write_report`. A design whose words differ has them in a file of
its own and one row in DESIGN_WORDS.
"""

import math
import re
from collections.abc import Callable
from typing import NamedTuple

from fairtank.finding import Finding
from fairtank.publish import (
    amounts,
    drawn_start_words,
    eyes_words,
    ladder_words,
    looks_words,
    many_arms_words,
    two_changes_words,
    verdicts,
)
from fairtank.publish.asides import taken_out_words
from fairtank.publish.earlier_words import earlier_words
from fairtank.publish.numbers import figures
from fairtank.publish.phrases import measure_words, named, plural
from fairtank.publish.words import basis_words, tag_sentence

Part = Callable[[Finding], str | None]
# What is for readers who reckon after: sizes on the scale of the analysis, in brackets; then which scale another way of reckoning left,
# and a p-value beside words that say what it comes to.
_SIZES = re.compile(r"\s\((?=[^()]*\bSD of\b)[^()]*\)")
_ASIDES = re.compile(r" instead of (?:log-odds|logarithms)\b|\s\(Holm-adjusted p\s[^()]*\)|(?<=ness)\s\([Lab]\*\)")
_COLOUR_UNIT = re.compile(r"(?<=\d)(\s)[Lab]\*(?!\w)")
_LOG_ODDS = re.compile(r"(\d+(?:\.\d+)?)\slog-odds( per day)?( apart)?\b")


class OwnWords(NamedTuple):
    """What a design says in words of its own; a part that is None, or that answers None, is said as for every other design."""

    verdict: Part | None = None
    amount: Part | None = None
    counts: Part | None = None


MANY_ARMS = "many arms"
# By the finding's design; `many arms` is asked for every finding that is one of several comparisons.
DESIGN_WORDS: dict[str, OwnWords] = {
    "drawn_start": OwnWords(drawn_start_words.verdict_words, drawn_start_words.amount_words, drawn_start_words.count_words),
    "ladder": OwnWords(ladder_words.verdict_words, ladder_words.amount_words, ladder_words.count_words),
    "two_changes": OwnWords(two_changes_words.verdict_words, two_changes_words.amount_words, two_changes_words.count_words),
    MANY_ARMS: OwnWords(many_arms_words.verdict_words, many_arms_words.amount_words, many_arms_words.count_words),
}
# What is told behind the counts, in this order; each answers with nothing where it does not apply.
BESIDE: tuple[Part, ...] = (verdicts.standing_words, eyes_words.people_words, earlier_words, looks_words.look_words,
                            looks_words.earlier_looks_words)


def sentence(finding: Finding) -> str:
    """The finding in plain words: verdict, number with its interval, how many tanks, and the cautions that belong to the headline.

    Nothing is computed but the way back from the scale: a sentence cannot disagree with its finding.

    Parameters
    ----------
    finding : Finding
        The frozen result.

    Returns
    -------
    str
        One to a few sentences. Numbers and units are held together by no-break spaces.

    Examples
    --------
    See `tests/publish/test_sentences.py`, one exact text for each grade.
    """
    parts: list[str | None] = [verdict_words(finding), amount_words(finding), count_words(finding),
                               taken_out_words(finding, measure_words(finding))]
    parts += [part(finding) for part in BESIDE]
    parts += [tag_sentence(tag, finding) for tag in finding.tags if not _said_already(tag, finding)]
    return " ".join(part for part in parts if part)


def spoken_sentence(finding: Finding) -> str:
    """The same as it is told first, and to viewers who see it once: without what only says it again on the scale of the analysis.

    Nothing else is left out. A distance that has no other words is told as a factor of the odds; a p-value behind words that say what it
    comes to goes too, and colour is told in units of what it measures. Where a reader has room, `in_full` stands right below.

    Parameters
    ----------
    finding : Finding
        The frozen result.

    Returns
    -------
    str
        As `sentence`.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    See `tests/publish/test_sentences_spoken.py`.
    """
    return spoken(sentence(finding))


def spoken(text: str) -> str:
    """Words of a finding for viewers who see them once, as `spoken_sentence` has them.

    >>> spoken("closer than that before this could be called surprising (apart by 0.14 log-odds; an SD of 0.051 log-odds per tank).")
    'closer than that before this could be called surprising.'
    """
    return _LOG_ODDS.sub(_as_odds, _COLOUR_UNIT.sub(r"\1units", _ASIDES.sub("", _SIZES.sub("", text))))


def in_full(text: str) -> str:
    """The whole words of a finding, to stand right below `spoken` ones that leave a size out; empty where they leave out none.

    A p-value is no size: what it comes to is said, and it stands in the tables.

    >>> in_full("Cannot tell: “no effect” fits what was seen.")
    ''
    >>> in_full("This could be called surprising (an SD of 0.051 log-odds per tank).")
    'In full: This could be called surprising (an SD of 0.051 log-odds per tank).'
    """
    return f"In full: {text}" if _SIZES.search(text) or _LOG_ODDS.search(text) else ""


def _as_odds(found: re.Match[str]) -> str:
    size, per_day, apart = found.groups(default="")
    return f"{'apart by ' if apart else ''}a factor of {figures(math.exp(float(size)), 3)} in the odds{per_day}"


def verdict_words(finding: Finding) -> str:
    """The verdict alone: in the design's own words, else in the settled wording."""
    return _own(finding, "verdict") or verdicts.verdict_words(finding)


def amount_words(finding: Finding) -> str:
    """The number with its interval; empty where the finding has none to give."""
    own = eyes_words.amount_words(finding) or _own(finding, "amount")
    return amounts.amount_words(finding) if own is None else own


def caution_words(finding: Finding) -> str:
    """What a verdict must not be told without where the whole sentence has no room: a borrowed spread, and every tag."""
    parts = [basis_words(finding.basis) if finding.low is not None else ""]
    if finding.grade != "spoilt":
        parts += [tag_sentence(tag, finding) for tag in finding.tags if not _said_already(tag, finding)]
    return " ".join(part for part in parts if part)


def count_words(finding: Finding) -> str:
    """On how many tanks the finding rests."""
    own = _own(finding, "counts")
    return _count(finding) if own is None else own


def _own(finding: Finding, part: str) -> str | None:
    """The part in the design's own words; None where it has none."""
    if finding.grade == "spoilt":
        return None
    for key in (finding.design, *([MANY_ARMS] if finding.comparisons > 1 else [])):
        words: Part | None = getattr(DESIGN_WORDS.get(key, OwnWords()), part)
        text = words(finding) if words is not None else None
        if text is not None:
            return text
    return None


def _count(finding: Finding) -> str:
    if finding.grade in ("spoilt", "alone"):
        return ""
    reference, changed, word = finding.n_reference, finding.n_changed, finding.unit_word
    if finding.summary == "swap":
        return (f"Judged on {changed} {plural(word, changed)} that had {named(finding.changed_label)} first and {reference} that had "
                f"{named(finding.reference_label)} first.")
    if finding.design == "pairs":
        return f"Judged on {changed} pairs, each with one {word} under {named(finding.changed_label)} and one under " \
               f"{named(finding.reference_label)}."
    if finding.design == "rounds":
        return f"Judged on {changed} rounds of the same two {plural(word, 2)}."
    first = f"{changed} {plural(word, changed)} under {named(finding.changed_label)}"
    return f"Judged on {first} and {reference} under {named(finding.reference_label)}."


def _said_already(tag: str, finding: Finding) -> bool:
    return tag == "at the limit of the scale" and finding.grade == "open" and finding.low is None
