"""What a sentence claims: the kind, the words, and of which arm it is told. Whether it may be said is not asked here."""

from fairtank.publish.strength.directions import Claim, directions, is_here
from fairtank.publish.strength.reading import Reading
from fairtank.publish.strength.rules import DEEDS, JUDGED, ORDERS, OTHERS, PARTS, PRUDENT, RULES, SUFFERED, Rule
from fairtank.publish.strength.scope import Silence, is_negated, is_silent

_STRONG = {"direction", "difference", "matters", "absence", "small", "absolute", "certainty", "winner", "cause", "advice"}
_DOES = {"lowering", "raising", "works", "affect", "gone", "halt", "win", "give", "slash", "bring", "causing"}
_PAST = {"kept", "held", "fought", "brought", "made", "gave", "did", "led", "halved", "won", "got", "had", "has", "was", "hat", "hatte",
         "half"}
_ASSERTING = {"difference", "direction", "matters", "absence", "absolute", "certainty", "cause", "small", "winner"}


def claims_of(reading: Reading, stretches: list[Silence]) -> list[Claim]:
    """All claims of a sentence but for those in numbers.

    Parameters
    ----------
    reading : Reading
        One sentence.
    stretches : list of Silence
        What of it asserts nothing.

    Returns
    -------
    list of Claim
        In the order of the text.
    """
    found, reaching = _from_rules(reading)
    found += directions(reading, found)
    found += _deeds(reading, found)
    found += _orders(reading) + _generics(reading)
    found = _tamed(reading, found)
    if reading.has("differ"):  # `your tank may be different`
        reaching = [(one, needs) for one, needs in reaching if needs != "reach"]
    if any(reading.has(chain) for chain in PRUDENT) or reading.has("'neither/weder' ~4 advice"):
        found = [one for one in found if one.kind != "advice"]
    hoped = [reading.span(first, last) for first, last in reading.find("works/worked")]
    asserted = [one for one in found if not is_silent(_read_as(one, hoped), one.start, stretches)]
    is_claiming, is_reaching = any(one.kind in _STRONG for one in asserted), reading.has("same/will/works")
    asserted += [one for one, needs in reaching if (is_claiming or (needs == "reach" and is_reaching))
                 and not is_silent("cause" if needs == "reach" else one.kind, one.start, stretches)]
    if any(one.kind == "small" for one in found):  # `any difference`, or `it helps`, is then what is told to be small
        asserted = [one for one in asserted if one.kind != "difference" and _read_as(one, hoped) == one.kind]
    asserted += [one for one in _others(reading, asserted) if not is_silent(one.kind, one.start, stretches)]
    return sorted(asserted, key=lambda one: (one.start, -one.end))


def _read_as(claim: Claim, hoped: list[tuple[int, int]]) -> str:
    """The kind as which a claim is held against a hedge: `it may help` is hedged, `perhaps this proves it` is not."""
    is_works = claim.kind == "certainty" and any(claim.start < last and first < claim.end for first, last in hoped)
    return "cause" if is_works else claim.kind


def _from_rules(reading: Reading) -> tuple[list[Claim], list[tuple[Claim, str]]]:
    """What the rules find; apart, what is a claim only beside another one."""
    found: list[Claim] = []
    reaching: list[tuple[Claim, str]] = []
    taken: list[tuple[int, int]] = []
    missing = {needs for needs in ("arm", "measure", "topic") if not _has_needed(needs, reading)}
    for rule in RULES:
        if rule.needs in missing:
            continue
        for first, last in reading.find(rule.chain):
            if any(begin <= last and first <= end for begin, end in taken) or _is_barred(rule, reading, first, last):
                continue
            if rule.needs not in ("claim", "reach"):
                taken.append((first, last))
            kind = rule.turned if _is_turned(rule, reading, first, last) else rule.kind
            if kind == "absolute" and reading.has("partly"):  # `part of the algae` is not all of them
                kind = "cause"
            if kind:
                sign = -1 if kind == "direction" and reading.has("trend ~4 less/lowering") else 0
                claim = Claim(kind, *reading.span(first, last), sign)
                if rule.needs in ("claim", "reach"):
                    reaching.append((claim, rule.needs))
                else:
                    found.append(claim)
    return found, reaching


def _is_turned(rule: Rule, reading: Reading, first: int, last: int) -> bool:
    """Whether a negation stands before a claim, or among its words where the rule itself asks for none."""
    is_plain = bool(rule.turned) and not any(part in rule.chain for part in ("not ", "zero", "never"))
    return (is_plain and _has_not(reading, first, last)) or is_negated(reading, first, last)


def _has_not(reading: Reading, first: int, last: int) -> bool:
    return any("not" in one.roles for one in reading.tokens[first:last + 1])


def _has_needed(needs: str, reading: Reading) -> bool:
    has_arm, has_measure = bool(reading.mentions), bool(reading.measures)
    if needs == "topic":
        return has_arm or has_measure or reading.has("actor")
    return {"arm": has_arm, "measure": has_measure}.get(needs, True)


def _is_barred(rule: Rule, reading: Reading, first: int, last: int) -> bool:
    before = reading.tokens[first - 1].roles if first else frozenset()
    after = reading.tokens[last + 1].roles if last + 1 < len(reading.tokens) else frozenset()
    return rule.unless_after in before or rule.unless_before in after


def _deeds(reading: Reading, others: list[Claim]) -> list[Claim]:
    """The change as the doer of something to the measure, in whatever verb."""
    found: list[Claim] = []
    is_of_arm = bool(reading.mentions) or reading.has("means")
    for chain in (*DEEDS, *(SUFFERED if is_of_arm else ())):
        for first, last in reading.find(chain):
            span = reading.span(first, last)
            if any(one.start < span[1] and span[0] < one.end for one in (*others, *found)):
                continue
            is_turned = chain in DEEDS and (is_negated(reading, first, last) or _has_not(reading, first, last))
            found.append(Claim("absence" if is_turned else "cause", *span))
    found += [Claim("winner", *reading.span(first, last)) for chain in JUDGED for first, last in reading.find(chain)
              if not is_negated(reading, first, last) and not any("number" in one.roles for one in reading.tokens)]
    return found


def _orders(reading: Reading) -> list[Claim]:
    """A sentence that tells others what to do: it begins with the verb, and the verb is about the change."""
    return [Claim("advice", *reading.span(first, last)) for chain in ORDERS for first, last in reading.find(chain)][:1]


def _generics(reading: Reading) -> list[Claim]:
    """A change told of in general: `dark breaks slow algae`, `a dark break slows algae`, without a word that keeps it to these tanks."""
    if is_here(reading):
        return []
    found = []
    for place, token in enumerate(reading.tokens[:-1]):
        if "doer" not in token.roles:
            continue
        before = reading.tokens[place - 1].text if place else ""
        follows = reading.tokens[place + 1]
        is_plural = token.text.endswith(("s", "en")) and "det" not in (reading.tokens[place - 1].roles if place else ())
        is_any = before in ("a", "an", "eine", "ein") or (place > 1 and reading.tokens[place - 2].text in ("a", "an", "eine", "ein"))
        if (is_plural or is_any) and _is_present(follows.text, is_plural) and (_DOES & follows.roles or follows.text == "lower"):
            found.append(Claim("general", token.start, follows.end))
    return found


def _is_present(verb: str, is_plural: bool) -> bool:
    last = verb.split()[0]
    if last.endswith("ed") or last in _PAST:
        return False
    return is_plural or last.endswith(("s", "t"))


def _tamed(reading: Reading, found: list[Claim]) -> list[Claim]:
    """`It helped` in these tanks, or with a `seems`, names a cause that a finding may carry; `it helps` is told as certain."""
    if not (is_here(reading) or reading.has("soft")):
        return found
    past = [reading.span(first, last) for chain in ("worked", "'did' det job") for first, last in reading.find(chain)]
    is_past = [one.kind == "certainty" and any(one.start < last and first < one.end for first, last in past) for one in found]
    return [Claim("cause", one.start, one.end) if tamed else one for one, tamed in zip(found, is_past, strict=True)]


def _others(reading: Reading, asserted: list[Claim]) -> list[Claim]:
    """What was not measured, single days and tanks, and secondary measures told as the answer."""
    found = [("other", place) for chain in OTHERS for place in reading.find(chain)
             if not is_negated(reading, *place) and not any("measure" in one.roles for one in reading.tokens[place[0]:place[1] + 1])]
    if any(one.kind in _ASSERTING for one in asserted):
        found += [("part", place) for chain in PARTS for place in reading.find(chain)]
    found += [("headline", place) for place in reading.find("headline")]
    return [Claim(kind, *reading.span(*place)) for kind, place in found]
