"""More or less: which way a sentence says that a measure went, of which arm, and whether it only tells what was seen."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.publish.strength.reading import Reading, Token
from fairtank.publish.strength.scope import clause_at, is_negated
from fairtank.publish.strength.subjects import told_of

_HERE_CHAIN = "here ~3 place/reference/changed"
HERE_WORDS = ("this trial", "in this trial", "in diesem versuch", "here", "hier", "dieser versuch", "in our trial", "in unserem versuch")
_CHORES = {"clean", "cut", "check", "write", "lower"}
_SEEN = {"had", "was", "were", "showed", "ended", "stood", "grew", "carried", "lay", "looked", "sah", "sahen", "hatte", "hatten", "war",
         "waren", "zeigte", "endete"}


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


def directions(reading: Reading, others: Sequence[Claim]) -> list[Claim]:
    """More or less of a measure, told of an arm.

    Parameters
    ----------
    reading : Reading
        One sentence.
    others : sequence of Claim
        What else it claims: `too small`, `none` and `gone` hold their own words of more and less.

    Returns
    -------
    list of Claim
    """
    found: list[Claim] = []
    held = [(one.start, one.end) for one in others if one.kind in ("absence", "small", "absolute")]
    for place, token in enumerate(reading.tokens):
        sign = _sign_of(token)
        is_held = any(start < token.end and token.start < end for start, end in held)
        if not sign or is_held or _is_count(reading, place) or _is_of_keeper(reading, place):
            continue
        first, last = clause_at(reading.text, token.start)
        near = [one for one in reading.mentions if first <= one.start < last]
        if not (_has_measure(reading, first, last) or (reading.measures and near)):
            continue
        if is_negated(reading, place, place):
            found.append(Claim("absence", token.start, token.end))
            continue
        turned = 1 if told_of(near, token.start) == "changed" else -1
        is_doing = bool({"lowering", "raising"} & token.roles)
        found.append(Claim("direction", token.start, token.end, sign * turned, _is_seen(reading, first, last), is_doing))
    return found


def _sign_of(token: Token) -> int:
    if {"changed", "reference"} & token.roles:
        return 0
    return -1 if {"less", "lowering"} & token.roles else 1 if {"more", "raising"} & token.roles else 0


def _is_of_keeper(reading: Reading, place: int) -> bool:
    """What the keeper did or set, not what came of it: `I cleaned the glass`, `more light`."""
    if place + 1 < len(reading.tokens) and "means" in reading.tokens[place + 1].roles:
        return True
    if not reading.mentions and (place == 0 or "lead" in reading.tokens[place - 1].roles) and reading.tokens[place].text in _CHORES:
        return True
    if reading.mentions or reading.has("'with/by/through/mit/durch' ~2 means") or "less" in reading.tokens[place].text:
        return False
    return any("we" in one.roles for one in reading.tokens[max(place - 6, 0):place])


def _is_count(reading: Reading, place: int) -> bool:
    """Not a comparison: more tanks, more than ten, more or less, once more, no more."""
    text = reading.tokens[place].text
    follows = reading.tokens[place + 1:place + 3]
    before = reading.tokens[place - 1].text if place else ""
    if (text == "more" and before in ("once", "no", "any", "or")) or (text == "mehr" and before in ("nicht", "kein", "keine", "oder")):
        return True
    if not follows or text in ("up", "down", "back", "zurück", "runter"):
        return False
    if "much_of" in follows[0].roles and not {"lowering", "raising"} & reading.tokens[place].roles:
        return True
    if follows[0].text in ("than", "als") and len(follows) > 1 and text in ("more", "less", "mehr", "weniger", "fewer"):
        return "number" in follows[1].roles or follows[1].text in ("a", "one", "ein", "eine", "that", "chance", "the margin")
    return False


def _has_measure(reading: Reading, first: int, last: int) -> bool:
    return any("measure" in one.roles and first <= one.start < last for one in reading.tokens)


def _is_seen(reading: Reading, first: int, last: int) -> bool:
    is_of_tanks = is_here(reading) or reading.has("'one/the/other/ein/eine/das' place") or reading.has("side")
    return is_of_tanks and any(one.text in _SEEN and first <= one.start < last for one in reading.tokens)


def is_here(reading: Reading) -> bool:
    """Whether a sentence keeps to the tanks at hand."""
    return reading.has(_HERE_CHAIN) or any(one.text in HERE_WORDS for one in reading.tokens)
