"""Of what a sentence speaks: which measures, which arms, and which arm a comparison is told of."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.finding import Finding
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import title_words

# Words of keepers for what is measured, by a part of the measure's key.
SYNONYMS = (
    ("algae", r"alga|algae|algal|algen\w*|green (?:film|dust|spots)|clean(?:er)?|sauber\w*|fadenalgen"),
    ("plant_cover", r"plant cover|plants? (?:grew|grow\w*|cover\w*)|pflanzen\w*"), ("plant_area", r"plant area|plants? (?:grew|grow\w*)|"
                                                                                                  r"pflanzen\w*"),
    ("carpet", r"carpet\w*|teppich\w*|foreground"), ("height", r"heights?|tall(?:er|est)?|höhe\w*|höher\w*"),
    ("lightness", r"lightness|pale(?:r)?|bright(?:er)?|dark(?:er)? (?:leaves|plants)"), ("redness", r"redness|red(?:der)?|rot|röter"),
    ("yellowness", r"yellow\w*|gelb\w*"), ("tint", r"tint\w*|water colou?r"), ("haze", r"haz[ey]\w*|cloud\w*|trüb\w*"),
)
_GENERIC_CHANGED = r"the change|changed (?:tanks?|arm|units?)|treatment|treated|intervention|experimental (?:arm|tanks?)"
_GENERIC_REFERENCE = r"controls?|reference|untreated|unchanged"
_GENERIC_BOTH = (r"both (?:arms|tanks|groups|halves)|both(?= (?:are|were|look|looked|ended|came|had|did|gave|grew)\b)|"
                 r"(?:the|two|all) (?:\w+ )?(?:arms|groups|regimes|treatments)|either (?:arm|way)|regimes")
# Too common to stand for an arm alone.
_COMMON = {"glass", "light", "tank", "tanks", "water", "plants", "algae", "day", "days", "one", "two", "three", "more", "less", "with",
           "without", "half", "full", "the", "and", "for", "arm", "each", "every", "cover", "week", "hour", "hours", "normal", "usual",
           "from", "other", "than", "this", "that", "high", "long", "short", "bare", "time"}
_NO_HEADS = _COMMON | {"area", "change", "score"}
_LEAD = {"a", "an", "the", "with", "one", "arm"}
_AGAINST = re.compile(r"(?<!\w)(?:than|compared (?:with|to)|versus|vs\.?|against|instead of|unlike|beyond|over|als|gegenüber|"
                      r"im vergleich zu)"
                      r"(?:\s+(?:\w+\s+){0,3}?)$", re.IGNORECASE)
_NOT_WITH = re.compile(r"(?<!\w)(?:without|no|lacking|ohne)\s+(?:(?:a|an|the|any|eine?|die|den)\s+)?$", re.IGNORECASE)


@dataclass(frozen=True)
class Mention:
    """Where an arm is named: its role, whether it is only what something is held against, and whose label it is."""

    start: int
    end: int
    role: str
    is_compared: bool


def _words_pattern(words: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE)


class Vocabulary:
    """The words for the measures and arms of some findings."""

    def __init__(self, findings: Sequence[Finding], *, has_compounds: bool = False) -> None:
        self.findings = tuple(findings)
        self.primary = tuple(one for one in findings if one.role == "primary") or self.findings[:1]
        self._measures = {one.measure: _measure_pattern(one) for one in findings}
        self.is_on_glass = any("algae" in one.measure for one in findings)  # keepers judge algae by the glass
        self._named: dict[str, tuple[str, ...]] = {}
        self._roles = _arm_patterns(findings, has_compounds)
        self._labels = [(one, _words_pattern(_label_words(one.changed_label, set()))) for one in findings]

    def measures_in(self, text: str) -> tuple[str, ...]:
        """Keys of the measures that a text names; the longest name wins where one stands inside another."""
        known = self._named.get(text)
        if known is None:
            found = [(match.start(), match.end(), key) for key, pattern in self._measures.items() for match in pattern.finditer(text)]
            known = tuple(dict.fromkeys(key for start, end, key in found if not _is_inside(start, end, found)))
            self._named[text] = known
        return known

    def measure_spans(self, text: str) -> tuple[tuple[int, int], ...]:
        """Where measures are named."""
        return tuple(match.span() for pattern in self._measures.values() for match in pattern.finditer(text))

    def mentions(self, text: str) -> list[Mention]:
        """Every place at which an arm is named."""
        found: list[Mention] = []
        for role, pattern in self._roles:
            for match in pattern.finditer(text):
                if any(one.start <= match.start() < one.end for one in found):
                    continue
                turned = bool(_NOT_WITH.search(text[:match.start()])) and role == "changed"
                found.append(Mention(match.start(), match.end(), "reference" if turned else role,
                                     bool(_AGAINST.search(text[:match.start()]))))
        return sorted(found, key=lambda one: one.start)

    def spoken_of(self, sentence: str, clause: str) -> tuple[Finding, ...]:
        """The findings of which a clause speaks: by the measure in it, else in the sentence, else the primary ones; then by arm."""
        keys = self.measures_in(clause) or self.measures_in(sentence)
        chosen = tuple(one for one in self.findings if one.measure in keys) or self.primary
        named = tuple(one for one in chosen if any(own is one and pattern.search(sentence) for own, pattern in self._labels))
        return named or chosen


def _is_inside(start: int, end: int, found: Sequence[tuple[int, int, str]]) -> bool:
    return any(first <= start and end <= last and last - first > end - start for first, last, _ in found)


def told_of(mentions: Sequence[Mention], place: int) -> str:
    """The role of the arm of which a comparison at a place is told; the changed one where none is named."""
    own = [one for one in mentions if not one.is_compared and one.role != "both"]
    if not own:
        others = [one for one in mentions if one.is_compared]
        return "changed" if not others or others[0].role != "changed" else "reference"
    if len({one.role for one in own}) == 1:
        return own[0].role
    before = [one for one in own if one.start < place]
    return before[-1].role if len(before) == 1 else "changed"


def _measure_pattern(finding: Finding) -> re.Pattern[str]:
    title = re.escape(title_words(finding))
    words = [title, re.escape(finding.measure), *(pattern for key, pattern in SYNONYMS if key in finding.measure)]
    heads = [word for word in re.findall(r"[^\W\d_]{4,}", title_words(finding)) if word.lower() not in _NO_HEADS]
    if not any(key in finding.measure for key, _ in SYNONYMS):
        words += [f"{re.escape(word.rstrip('s'))}s?" for word in heads]
    return _words_pattern("|".join(words))


def _label_words(label: str, shared: set[str]) -> str:
    """Patterns for an arm's name: the whole of it, without a leading article, and its words that say something alone."""
    parts = shown(label).split()
    while len(parts) > 1 and parts[0].lower() in _LEAD:
        parts = parts[1:]
    whole = r"\s+".join(re.escape(part) for part in parts) or "changed"
    alone = [word for word in re.findall(r"[^\W\d_]{4,}", " ".join(parts)) if word.lower() not in _COMMON | shared]
    doers = [f"{re.escape(word[:-3])}ers?" for word in parts if re.fullmatch(r"[a-z]{4,}ing", word)]  # floaters of floating plants
    return "|".join([f"{whole}(?:s|es)?", *(f"{re.escape(word)}(?:s|es)?" for word in alone[-1:]), *doers])


def _tails(label: str) -> str:
    """What German makes of a long word: `Pause` and `Pausenbecken` of `Mittagspause`."""
    words = [word for word in re.findall(r"[^\W\d_]{9,}", label) if word.lower() not in _COMMON]
    tails = [word[place:] for word in words for place in range(3, len(word) - 4)]
    return "|".join(f"{re.escape(tail)}(?:n|en|s|es)?(?:becken|beckens|aquarium|aquarien|tanks?|gruppe|seite)?" for tail in tails) or "(?!)"


def _arm_patterns(findings: Sequence[Finding], has_compounds: bool) -> list[tuple[str, re.Pattern[str]]]:
    changed = {one.changed_label for one in findings}
    reference = {one.reference_label for one in findings} - changed
    words = [{word.lower() for label in labels for word in re.findall(r"[^\W\d_]{4,}", label)} for labels in (changed, reference)]
    shared = words[0] & words[1]
    told = []
    for role, labels, generic in (("reference", reference, _GENERIC_REFERENCE), ("changed", changed, _GENERIC_CHANGED)):
        told.append((role, _words_pattern("|".join([*(_label_words(label, shared) for label in sorted(labels, key=len, reverse=True)),
                                                    *(_tails(label) for label in labels if has_compounds),
                                                    generic]))))
    return [*told, ("both", _words_pattern(_GENERIC_BOTH))]
