"""What a sentence claims: the kind, the words, and of which arm it is told. Whether it may be said is not asked here."""

import re
from dataclasses import dataclass

from fairtank.publish.strength import lexicon, lexicon_german
from fairtank.publish.strength.scope import Silence, clause_at, is_negated, is_silent
from fairtank.publish.strength.subjects import Mention, Vocabulary, told_of

_RULES = (*lexicon.RULES, *lexicon_german.RULES)
_COMPARED = ((-1, (lexicon.LESS_RULE, lexicon_german.LESS)), (1, (lexicon.MORE_RULE, lexicon_german.MORE)))
# Sentences that keep to the tanks at hand.
HERE = re.compile(r"(?<!\w)(?:(?:these|our|my|the|both|those)\s+(?:[\w-]+\s+){0,2}?(?:tanks?|aquariums?|units?|"
                  r"compartments?)|this trial|here|"
                  r"in diesen|"
                  r"unseren?|dieser versuch)(?!\w)", re.IGNORECASE)
_SEEN_VERB = re.compile(r"(?<!\w)(?:had|was|were|showed|ended|stood|grew|carried|lay|hatte|war|zeigte|endete)(?!\w)", re.IGNORECASE)
_ASSERTING = {"difference", "direction", "matters", "absence", "absolute", "certainty", "cause", "small", "winner"}


@dataclass(frozen=True)
class Claim:
    """Something that a sentence asserts.

    sign: of a direction, -1 for less and 1 for more of the changed arm. is_seen: whether it is told as what was seen in these tanks.
    is_doing: whether its verb makes the arm the doer.
    """

    kind: str
    start: int
    end: int
    sign: int = 0
    is_seen: bool = False
    is_doing: bool = False


def claims_of(text: str, vocabulary: Vocabulary, stretches: list[Silence]) -> list[Claim]:
    """All claims of a sentence but for those in numbers.

    Parameters
    ----------
    text : str
        One sentence.
    vocabulary : Vocabulary
        The words for measures and arms.
    stretches : list of Silence
        What of it asserts nothing.

    Returns
    -------
    list of Claim
        In the order of the text.
    """
    mentions = vocabulary.mentions(text)
    found = _from_rules(text, vocabulary, mentions)
    found += _directions(text, vocabulary, mentions, found)
    found += _others(text, found)
    asserted = [one for one in found if not is_silent(one.kind, one.start, stretches)]
    if any(one.kind == "small" for one in found):  # `any difference` is then what is told to be small
        asserted = [one for one in asserted if one.kind != "difference"]
    if not any(one.kind in _ASSERTING for one in asserted):
        asserted = [one for one in asserted if one.kind not in ("general", "part", "headline")]
    return sorted(asserted, key=lambda one: (one.start, -one.end))


def _from_rules(text: str, vocabulary: Vocabulary, mentions: list[Mention]) -> list[Claim]:
    found: list[Claim] = []
    taken: list[tuple[int, int]] = []
    has_measure = bool(vocabulary.measures_in(text))
    for one in _RULES:
        if not _has_needed(one.needs, bool(mentions), has_measure):
            continue
        for match in one.pattern.finditer(text):
            if any(start < match.end() and match.start() < end for start, end in taken):
                continue
            kind = one.kind
            if is_negated(text, match.start()):
                taken.append(match.span())
                kind = one.turned
                if not kind:
                    continue
            if _is_label(match.span(), mentions):
                continue
            taken.append(match.span())
            found.append(Claim(kind, *match.span()))
    return found


def _has_needed(needs: str, has_arm: bool, has_measure: bool) -> bool:
    return {"arm": has_arm, "measure": has_measure, "topic": has_arm or has_measure}.get(needs, True)


def _is_label(span: tuple[int, int], mentions: list[Mention]) -> bool:
    """Whether words stand inside an arm's own name."""
    return any(one.start <= span[0] and span[1] <= one.end for one in mentions)


def _directions(text: str, vocabulary: Vocabulary, mentions: list[Mention], others: list[Claim]) -> list[Claim]:
    """More or less of a measure, told of an arm."""
    found: list[Claim] = []
    in_text = vocabulary.measures_in(text)
    held = [(one.start, one.end) for one in others if one.kind in ("absence", "small", "absolute")]
    for sign, patterns in _COMPARED:
        for match in (match for pattern in patterns for match in pattern.finditer(text)):
            first, last = clause_at(text, match.start())
            clause = text[first:last]
            own = vocabulary.measures_in(clause)
            if not (own or (in_text and _near_arm(mentions, first, last))) or _is_label(match.span(), mentions):
                continue
            if any(start < match.end() and match.start() < end for start, end in held):
                continue
            if is_negated(text, match.start()):
                found.append(Claim("absence", *match.span()))
                continue
            near = [one for one in mentions if first <= one.start < last]
            turned = 1 if told_of(near, match.start()) == "changed" else -1
            found.append(Claim("direction", *match.span(), sign * turned, _is_seen(text, clause),
                               bool(lexicon.DOING.match(match.group()))))
    return found


def _near_arm(mentions: list[Mention], first: int, last: int) -> bool:
    return any(first <= one.start < last for one in mentions)


def _is_seen(text: str, clause: str) -> bool:
    return bool(HERE.search(text) and _SEEN_VERB.search(clause))


def _others(text: str, found: list[Claim]) -> list[Claim]:
    """What was not measured, single days and tanks, and secondary measures told as the answer."""
    more = [Claim("other", *match.span()) for match in lexicon.OTHER.finditer(text) if not is_negated(text, match.start())]
    more += [Claim("part", *match.span()) for match in lexicon.PART.finditer(text)]
    more += [Claim("headline", *match.span()) for match in lexicon.HEADLINE.finditer(text)]
    return more


def orders_of(text: str, vocabulary: Vocabulary) -> list[Claim]:
    """A sentence that tells others what to do with an arm: it begins with the verb."""
    match = lexicon.ORDERS.match(text.lstrip('"'))
    return [Claim("advice", *match.span("order"))] if match and vocabulary.mentions(text) else []


def generics_of(text: str, vocabulary: Vocabulary) -> list[Claim]:
    """A change told of in general: `dark breaks slow algae`, `a dark break slows algae`, without a word that keeps it to these tanks."""
    if HERE.search(text):
        return []
    found = []
    for one in vocabulary.mentions(text):
        if one.role != "changed" or one.is_compared:
            continue
        before, rest = text[:one.start], text[one.end:]
        is_plural = text[one.start:one.end].lower().endswith("s") and not re.search(r"(?<!\w)(?:the|our|my|"
                                                                                    r"these)\s+$", before, re.IGNORECASE)
        verbs = lexicon.PLURAL_VERBS if is_plural else lexicon.SINGLE_VERBS
        if (is_plural or re.search(r"(?:^|\s)an?\s+(?:\w+\s+)?$", before, re.IGNORECASE)) and (
                match := re.match(rf"\s+(?:can |do |will |really )?{verbs}(?!\w)", rest)):
            found.append(Claim("general", one.start, one.end + match.end()))
    return found
