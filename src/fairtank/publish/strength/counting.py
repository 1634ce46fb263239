"""Counts in a text held against those of a finding: tanks, pairs, rounds, tanks in an arm, and how long it took."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from fairtank.finding import Finding
from fairtank.publish.phrases import plain_text, plural
from fairtank.publish.sentences import sentence
from fairtank.publish.strength.number_words import is_number, number_of
from fairtank.publish.strength.reading import Reading

_TANKS = "'tanks/aquariums/aquaria/units/compartments/becken/aquarien/tank'"
# Before a number of tanks: they are others than those of the trial.
_ELSEWHERE = {"have", "own", "other", "next", "another", "further", "earlier", "more", "weitere", "andere", "anderen", "habe", "haben",
              "needs", "need", "bräuchte", "later", "first", "previous", "like", "about", "least", "than", "als", "noch", "every", "only",
              "would", "bought", "kept", "lost", "lose"}
_OVER = {"in", "across", "over", "with", "on", "an", "über", "mit", "auf", "all", "these", "our", "diesen", "unseren", "allen"}
_LENGTHS = {"day": 1, "days": 1, "tage": 1, "tagen": 1, "week": 7, "weeks": 7, "woche": 7, "wochen": 7, "month": 30, "months": 30,
            "monate": 30, "monaten": 30, "year": 365, "years": 365, "jahr": 365, "jahre": 365, "jahren": 365}
_LASTING = {"after", "over", "for", "in", "across", "during", "nach", "über", "all", "trial", "versuch", "test", "experiment"}
_NOT_LASTING = {"of", "ago", "old", "earlier", "before", "alt", "vorher"}
# How many it would take, or will be.
_SUPPOSING = {"again", "next", "will", "wiederhole", "wiederholen", "nächsten", "nächstes", "werde", "would", "wäre", "wären", "bräuchte",
              "bräuchten", "hätte", "hätten"}
_JUDGED_ON = re.compile(r"Judged on .*?\.(?=\s|$)")
# Words of somebody who tells what they did, and others that stand before a number of one's own tanks.
_OURS = {"we", "i", "our", "my", "these", "us", "uns", "wir", "ich", "unser", "unsere", "unseren", "unserer", "diese", "diesen",
         "meine", "meinen"}
_TOLD_HERE = {"all", "allen", "alle", "was", "were", "war", "waren", "got", "had"}
_PRINTED = re.compile(r"(\w+) (?:tanks|units|compartments|pairs)(?!\w)")
_HALF_YEAR_DAYS = 183
_LEEWAY_DAYS = 5  # `six weeks` of a trial of 38 days is how people talk


class Counts:
    """How many tanks, pairs or rounds findings have, how many in an arm, and how many days."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.in_arms: set[float] = {count for one in findings for count in (one.n_reference, one.n_changed)}
        self.in_arms |= {count for one in findings for count in Counter(unit.arm for unit in one.units).values()}
        self.in_all: set[float] = {one.n_reference + one.n_changed for one in findings}
        self.in_all |= {len({unit.unit for unit in one.units}) for one in findings}
        self.in_all |= {len({unit.unit for one in findings for unit in one.units})}
        printed = [match[1].lower() for one in findings for match in _PRINTED.finditer(sentence(one))]
        self.in_all |= {number_of(word) for word in printed if is_number(word)}
        last, first = max(one.window[1] for one in findings), min([0, *(one.run_in[0] for one in findings if one.run_in)])
        self.days = last - first + 1
        self.is_known = any(one.n_reference + one.n_changed for one in findings)

    def knows(self, count: float, *, is_of_arm: bool) -> bool:
        """Whether so many tanks, or so many in an arm, were judged."""
        return count in self.in_arms or (not is_of_arm and count in self.in_all)


def counts_words(finding: Finding) -> str:
    """What a finding says of its counts: on what it was judged, in its own words, and over how many days."""
    judged = _JUDGED_ON.search(plain_text(sentence(finding)))
    last, first = finding.window[1], min(0, finding.run_in[0]) if finding.run_in else 0
    days = f"The trial took {last - first + 1} days."
    if judged:
        return f"The finding says: “{judged.group()}” {days}"
    total = len({unit.unit for unit in finding.units}) or finding.n_reference + finding.n_changed
    return f"The finding is about {total} {plural(finding.unit_word, total)}. {days}"


def miscounts(reading: Reading, counts: Counts, *, is_claiming: bool) -> list[tuple[str, int, int]]:
    """Counts that the findings do not have: the kind of claim, first and last token.

    Parameters
    ----------
    reading : Reading
        One sentence.
    counts : Counts
        Of the findings.
    is_claiming : bool
        Whether the sentence asserts something besides: then `five of six tanks` tells a result of single tanks.

    Returns
    -------
    list of tuple of str, int and int
    """
    if any(one.text in _SUPPOSING for one in reading.tokens):
        return []
    for first, last in reading.find(f"number 'out'? 'of/von/der' det/here? number ~1 {_TANKS}"):
        whole = next(number_of(one.text) for one in reversed(reading.tokens[first:last + 1]) if "number" in one.roles)
        if counts.is_known and not counts.knows(whole, is_of_arm=False):
            return [("number", first, last)]
        return [("part", first, last)] if is_claiming or reading.has("number 'out' 'of'") else []
    return [("number", first, last) for first, last in (*_tanks(reading, counts), *_lengths(reading, counts))]


def _tanks(reading: Reading, counts: Counts) -> Iterator[tuple[int, int]]:
    """Numbers of tanks, or of tanks in an arm."""
    for first, last in reading.find(f"number 'of'? plain/size_adjective/here/adverb* {_TANKS}"):
        count = number_of(reading.tokens[first].text)
        is_over = first > 0 and reading.tokens[first - 1].text in _OVER
        before = set() if is_over else {one.text for one in reading.tokens[max(0, first - 3):first]}
        is_asked = count > 1 and counts.is_known and _is_of_this_trial(reading, first, last) and not before & _ELSEWHERE
        if is_asked and not counts.knows(count, is_of_arm=_is_of_arm(reading, last)):
            yield first, last


def _is_of_this_trial(reading: Reading, first: int, last: int) -> bool:
    """Whether a sentence tells what was done here, not how trials are: by `we` or `our`, in the past, by `all`, or as a title."""
    is_ours = any(one.text in _OURS for one in reading.tokens)
    if number_of(reading.tokens[first].text) == 2 or (first and reading.tokens[first - 1].text in ("or", "oder")):
        return is_ours  # `two tanks` is what every trial is explained with
    is_first = first == 0 or (first == 1 and "det" in reading.tokens[0].roles)
    is_title = is_first and last + 1 < len(reading.tokens) and bool({"comma", "prep", "auxiliary", "know"} & reading.tokens[last + 1].roles)
    return is_title or is_ours or any(one.text in _TOLD_HERE for one in reading.tokens[:first])


def _lengths(reading: Reading, counts: Counts) -> Iterator[tuple[int, int]]:
    """Times that are longer than the trial was."""
    for first, last in reading.find("'for/after/over/nach/über/half/halbes' 'a/one/einem/ein'? 'year/jahr' !'ago/old/of'"):
        if counts.days + _LEEWAY_DAYS < _HALF_YEAR_DAYS and any(one.text in _OURS for one in reading.tokens):
            yield first, last
    is_of_trial = any(one.text in ("trial", "versuch", "test", "experiment") for one in reading.tokens)
    for first, last in reading.find("number plain/det* '" + "/".join(_LENGTHS) + "'"):
        days = number_of(reading.tokens[first].text) * _LENGTHS[reading.tokens[last].text]
        before = {one.text for one in reading.tokens[max(0, first - 2):first]}
        follows = reading.tokens[last + 1].text if last + 1 < len(reading.tokens) else ""
        if days > counts.days + _LEEWAY_DAYS and (is_of_trial or before & _LASTING) and follows not in _NOT_LASTING:
            yield first, last


def _is_of_arm(reading: Reading, last: int) -> bool:
    follows = " ".join(one.text for one in reading.tokens[last + 1:last + 4])
    return follows.startswith(("each", "apiece", "per ", "a side", "on each", "in each", "je ", "pro ", "on either"))
