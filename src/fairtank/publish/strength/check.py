"""A text held against findings: what claims more than they carry, why, and what may be said instead."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.finding import Finding
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import amount_words, verdict_words
from fairtank.publish.strength.claims import Claim, claims_of
from fairtank.publish.strength.counting import Counts, counts_words, miscounts
from fairtank.publish.strength.cutting import Sentence, sentences_of
from fairtank.publish.strength.duty import KINDS, is_allowed, reason
from fairtank.publish.strength.reading import Reading, languages_of, read
from fairtank.publish.strength.scope import Silence, admits, clause_at, is_silent, silences
from fairtank.publish.strength.sizes import Numbers, ratio_interval, sizes_in
from fairtank.publish.strength.subjects import Vocabulary, told_of
from fairtank.trial import Series

_BEHIND_NUMBER = re.compile(r"\d[^.;,]{0,44}$")
_BEFORE_NUMBER = re.compile(r"rose by -?\d", re.IGNORECASE)
_EITHER_ARM = re.compile(r"(?<!\w)whatever the arm(?!\w)", re.IGNORECASE)
_IN_NUMBERS = ("size", "number", "interval")
_ASKED = ("direction", "difference", "certainty", "cause", "matters", "absence", "winner")
_DENIED = ("direction", "difference", "cause", "matters")  # of which `no` says that there is none
NOT_READ = ("Read in English and in German, word by word: it knows what part a word plays in a sentence, not what is meant. Not read: "
            "irony, pictures, what is said between the lines, why something should happen, and many a figure of speech. No flag does not "
            "mean that a text is fair.")


@dataclass(frozen=True)
class Flag:
    """One thing that claims more than the finding carries.

    start, end: where its words stand in the text. words: they themselves. sentence: the sentence around them. kind: one of KINDS. reason:
    why not, in whole sentences. instead: what may be said, made from the finding; empty where there is nothing to say.
    """

    start: int
    end: int
    words: str
    sentence: str
    kind: str
    reason: str
    instead: str


def text_check(text: str, findings: Sequence[Finding], *, series: Sequence[Series] = (), ending: str = ".txt") -> tuple[Flag, ...]:
    """Every place at which a text claims more than the findings of a trial carry.

    Parameters
    ----------
    text : str
        As people wrote it; offsets of the flags count its signs.
    findings : sequence of Finding
        All of a trial, primary and secondary ones.
    series : sequence of Series
        What was recorded: a number is known, too, where the sentence names its tank and its day.
    ending : str
        Of the file's name: captions are read without their times.

    Returns
    -------
    tuple of Flag
        In the order of the text; of each kind at most one in a sentence.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    See `tests/publish/strength/test_check.py` and the table beside it.
    """
    if not findings:
        return ()
    reader = _Reader(text, findings, series)
    sentences = sentences_of(text, ending=ending)
    found: list[Flag] = []
    for place, one in enumerate(sentences):
        before = sentences[place - 1] if place else None
        after = sentences[place + 1] if place + 1 < len(sentences) else None
        found += reader.flags(one, before, after)
    return tuple(sorted(found, key=lambda flag: (flag.start, KINDS.index(flag.kind))))


class _Reader:
    """The findings of a trial, ready to be held against sentence after sentence."""

    def __init__(self, text: str, findings: Sequence[Finding], series: Sequence[Series]) -> None:
        self.text, self.findings = text, tuple(findings)
        self.languages = languages_of(text)
        self.vocabulary = Vocabulary(findings, has_compounds=self.languages != ("english",))
        self.numbers, self.counts = Numbers(findings, series), Counts(findings)
        self.known: dict[int, Reading] = {}

    def read(self, sentence: Sentence) -> Reading:
        """A sentence by the parts of its words; kept, as its neighbours ask for it, too."""
        if sentence.start not in self.known:
            self.known[sentence.start] = read(sentence.text, self.vocabulary, self.languages)
        return self.known[sentence.start]

    def flags(self, sentence: Sentence, before: Sentence | None, after: Sentence | None) -> list[Flag]:
        """What of one sentence claims too much."""
        reading = self.read(sentence)
        stretches = silences(reading, is_question=sentence.is_question)
        claims = claims_of(reading, stretches)
        is_admitted = admits(reading) or (after is not None and admits(self.read(after)))
        told: dict[str, Flag] = {}
        for claim in claims:
            if claim.kind in told or (claim.kind == "direction" and "wrong way" in told):
                continue
            found = self._held(sentence, claim, is_admitted)
            if found is not None:
                told.setdefault(found.kind, found)
        for flag in (*self._answer(reading, sentence, before), *self._sizes(sentence, stretches), *self._numbers(sentence, stretches),
                     *self._counts(reading, sentence, stretches, bool(claims))):
            told.setdefault(flag.kind, flag)
        return list(told.values())

    def _held(self, sentence: Sentence, claim: Claim, is_admitted: bool) -> Flag | None:
        """A claim held against the findings that it may speak of; none where one of them carries it."""
        first, last = clause_at(sentence.text, claim.start)
        spoken = self.vocabulary.spoken_of(sentence.text, sentence.text[first:last])
        if claim.kind == "direction" and self._is_of_a_number(sentence.text, claim):
            return None
        if claim.kind == "headline":
            is_secondary = bool(self.vocabulary.measures_in(sentence.text)) and all(one.role == "secondary" for one in spoken)
            return self._flag(sentence, claim.start, claim.end, "headline", spoken[0]) if is_secondary else None
        kinds = [self._refused(claim, finding, is_admitted) for finding in spoken]
        if any(kind is None for kind in kinds):
            return None
        return self._flag(sentence, claim.start, claim.end, kinds[0] or claim.kind, spoken[0])

    def _is_of_a_number(self, text: str, claim: Claim) -> bool:
        """Whether `less` only tells which way an estimate points that stands with its interval: `2 g less (9 g less to 5 g more)`."""
        if not self.numbers.has_interval_beside(text):
            return False
        if text[claim.start:claim.end].lower() in ("less", "more") and _BEHIND_NUMBER.search(text[:claim.start]):
            return True
        return bool(_BEFORE_NUMBER.match(text[claim.start:]))

    def _refused(self, claim: Claim, finding: Finding, is_admitted: bool) -> str | None:
        """Which kind of claim a finding does not carry; None where it carries it."""
        if claim.kind == "direction":
            agrees = finding.estimate is None or finding.estimate * claim.sign >= 0
            if claim.is_seen and agrees and (finding.grade == "alone" or (finding.grade == "open" and is_admitted)):
                return None
            if finding.grade == "alike" and is_allowed("difference", finding) and agrees:
                return None
            if is_allowed("direction", finding) and not agrees:
                return "wrong way"
            if claim.is_doing and is_allowed("direction", finding) and not is_allowed("cause", finding):
                return "cause"
        return None if is_allowed(claim.kind, finding) else claim.kind

    def _answer(self, reading: Reading, sentence: Sentence, before: Sentence | None) -> list[Flag]:
        """`Yes` and `No` after a question answer it: the question is then read as said."""
        if before is None or not before.is_question:
            return []
        claims = [one for one in claims_of(self.read(before), []) if one.kind in _ASKED]
        places = list(reading.find("^ opening* stop/comma* yes/nay !measure"))[:1]
        if not claims or not places or places[0][0]:
            return []
        start, end = reading.span(*places[0])
        if "nay" in reading.tokens[places[0][1]].roles:
            if claims[0].kind not in _DENIED and not self.read(before).has("works/worked/job"):
                return []
            claim = Claim("absence", start, end)
        else:
            claim = Claim(claims[0].kind, start, end, claims[0].sign)
        flag = self._held(Sentence(sentence.text, sentence.start), claim, admits(reading))
        return [flag] if flag else []

    def _counts(self, reading: Reading, sentence: Sentence, stretches: list[Silence], is_claiming: bool) -> list[Flag]:
        """Tanks, tanks in an arm, and days: those of the trial."""
        found = []
        for kind, first, last in miscounts(reading, self.counts, is_claiming=is_claiming):
            start, end = reading.span(first, last)
            if not any(one.start <= start < one.end and one.kind != "hedge" for one in stretches):
                finding = self.vocabulary.primary[0]
                flag = self._flag(sentence, start, end, kind, finding)
                if kind == "number":
                    flag = replace(flag, reason=f"{flag.reason} {counts_words(finding)}", instead="")
                found.append(flag)
        return found

    def _sizes(self, sentence: Sentence, stretches: list[Silence]) -> list[Flag]:
        """`Half as much` and the like: inside the interval, and with it beside."""
        found, text = [], sentence.text
        mentions = self.vocabulary.mentions(text)
        for size in sizes_in(text):
            if any(one.start < size.end and size.start < one.end for one in mentions) or is_silent("direction", size.start, stretches):
                continue
            if not self.vocabulary.measures_in(text) or (not mentions and text[:size.end].endswith(" of the")):
                continue
            first, last = clause_at(text, size.start)
            finding = self.vocabulary.spoken_of(text, text[first:last])[0]
            held, times = ratio_interval(finding), size.times
            if told_of([one for one in mentions if first <= one.start < last], size.start) == "reference" and times:
                times = 1.0 / times
            if held is None or not held[0] * 0.97 <= times <= held[1] * 1.03:
                found.append(self._flag(sentence, size.start, size.end, "size", finding))
            elif not self.numbers.has_interval_beside(text):
                found.append(self._flag(sentence, size.start, size.end, "interval", finding))
        return found

    def _numbers(self, sentence: Sentence, stretches: list[Silence]) -> list[Flag]:
        """Numbers with the measure's unit: known to the finding, and an estimate only with its interval."""
        text = sentence.text
        mentions = self.vocabulary.mentions(text)
        if not (mentions or self.vocabulary.measures_in(text)):
            return []
        taken = [(one.start, one.end) for one in sizes_in(text)] + [(one.start, one.end) for one in mentions]
        numbers = [match for match in self.numbers.effects_in(text)
                   if not any(start < match.end() and match.start() < end for start, end in taken)
                   and not any(one.kind in ("told", "quoted") and one.start <= match.start() < one.end for one in stretches)]
        if not numbers:
            return []
        finding = self.vocabulary.spoken_of(text, text)[0]
        if finding.grade == "spoilt":
            return [self._flag(sentence, *numbers[0].span(), "size", finding)]
        unknown = next((match for match in numbers if not self.numbers.knows(match.group(), text)
                        and not self.numbers.knows_of_day(match.group(), text)), None)
        if unknown is not None:
            return [self._flag(sentence, *unknown.span(), "number", finding)]
        is_of_changed = any(one.role == "changed" and not one.is_compared for one in mentions)
        if not is_of_changed and (mentions or _EITHER_ARM.search(text)):
            return []
        keys = tuple(dict.fromkeys(unit.unit for one in self.findings for unit in one.units))
        estimate = next((match for match in numbers if self.numbers.is_estimate(match.group())
                         and not self.numbers.knows_of_day(match.group(), text) and not _is_of_unit(text[:match.start()], keys)), None)
        if estimate is not None and finding.low is not None and not self.numbers.has_interval_beside(text):
            return [self._flag(sentence, *estimate.span(), "interval", finding)]
        return []

    def _flag(self, sentence: Sentence, start: int, end: int, kind: str, finding: Finding) -> Flag:
        first, last = sentence.start + start, sentence.start + end
        return Flag(first, last, self.text[first:last], self.text[sentence.start:sentence.start + len(sentence.text)], kind,
                    reason(kind, finding), instead_of(kind, finding))


def _is_of_unit(before: str, keys: Sequence[str]) -> bool:
    """Whether a number is told of one unit: its name stands in the same stretch, `T1 3.0 % in the run-in and 10 % after it`."""
    return any(re.search(rf"(?<!\w){re.escape(key)}(?!\w)", re.split(r"[,;:]", before)[-1]) for key in keys)


def instead_of(kind: str, finding: Finding) -> str:
    """What may be said in place of a claim of a kind: the finding's own verdict, or its number with the interval."""
    verdict, amount = shown(verdict_words(finding)), shown(amount_words(finding))
    return plain_text(amount if kind in _IN_NUMBERS and amount else verdict)


def told_once(flags: Sequence[Flag]) -> list[tuple[Flag, str]]:
    """Each flag with what may be said instead, which is empty where a flag before it told the same."""
    said: set[str] = set()
    told = []
    for flag in flags:
        told.append((flag, "" if flag.instead in said else flag.instead))
        said.add(flag.instead)
    return told
