"""What of a sentence is asserted: questions, quotations, conditions, hopes, hedges and admissions assert nothing; negation turns a claim.

A small grammar of its own: patterns that open a silent stretch, and marks at which it ends.
"""

import functools
import re
from dataclasses import dataclass
from itertools import pairwise

_CLAUSE = re.compile(r"[;:]|\s-+\s|\s?[–—]\s?|,?\s(?=(?:but|yet|while|whereas|although|though|however|aber|doch|während|"
                     r"obwohl)\s)", re.IGNORECASE)
# Where a silent stretch ends: a new main clause begins.
_STOP = re.compile(r";|\s[-–—]+\s|[!?.](?=\s)|,?\s(?:but|yet|however|aber|doch)\s|,\s(?:and|so|und)\s(?:it|we|they|the answer|yes|the|"
                   r"this|es|das|i)\s"
                   r"|\sand (?:it|yes)\s", re.IGNORECASE)
_STOP_IF = re.compile(rf"[,:]|{_STOP.pattern}", re.IGNORECASE)
# Hopes, questions told, sayings of others.
_TOLD = re.compile(
    r"(?<!\w)(?:ask(?:ed|s|ing)?|wonder(?:ed|ing)?|want(?:ed)? to (?:know|see|learn|test)|find out|(?:test(?:ed)?|look(?:ed)?|see|know|"
    r"tell|say) "
    r"(?:whether|if|for|how)|hop(?:e|ed|ing)|expect(?:ed|s|ation)?|hypothes\w+|predict\w*|suppos\w+|suspect\w*|(?:it is|is|was) said|"
    r"sa(?:y|ys|id) that|people say|claims? that|claimed|told (?:me|us)|rumou?r|the idea (?:is|was)|our question|the question|aim(?:s|ed)?|"
    r"fragten|gefragt|frage|hofften|erwartet\w*|angeblich|wollten wissen)(?!\w)", re.IGNORECASE)
_IF = re.compile(r"(?<!\w)(?:whether|if|ob|falls|wenn|unless|as if)(?!\w)", re.IGNORECASE)
# What is said not to be known.
_ADMITS = re.compile(
    r"(?<!\w)(?:(?:can|could|do|does|did|will|would|is|was|are)(?: not|n't|not) (?:yet )?(?:be )?(?:tell|told|say|said|know|known|"
    r"separate[d]?|decide[d]?|"
    r"distinguish(?:ed)?|judge[d]?|clear|settled|sure|answer(?:ed)?)|cannot (?:tell|say|know|separate|decide|distinguish|judge|be (?:told|"
    r"said|known|"
    r"judged|put in order))|nobody (?:can|could|knows?)(?: \w+)?|not (?:known|told|clear|settled|decided|tell|enough to tell)|unknown|"
    r"unclear|"
    r"undecided|unsure|uncertain|(?:stays?|left|leaves?|remains?|keeps?)(?: \w+){0,2} open|no finding|no result|no answer|nothing (?:is|"
    r"was|can be) "
    r"(?:concluded|said|known)|too \w+(?: \w+)? (?:for|to) (?:say|tell|know)|(?:vary|differ|scatter) too much|pure luck|"
    r"wissen (?:wir )?nicht|weiß (?:man |ich )?nicht|nicht (?:zu )?sagen|ungewiss|unsicher|bleibt offen|sagt noch nichts|"
    r"kein ergebnis)(?!\w)",
    re.IGNORECASE)
_ASKS_FIRST = re.compile(r"^(?:how|whether|why|what|which|where|if|wie|ob|warum|was)\s", re.IGNORECASE)
# What is said not to follow, and what merely fits.
_NOT_SHOWN = re.compile(
    r"(?<!\w)(?:(?:do|does|did|is|was|are|can|could|would|has|have)(?: not|n't|not) (?:\w+ )?(?:mean|prove|proves|proven|show|shown|"
    r"follow|imply|"
    r"demonstrate|proof|evidence|the same as)|cannot (?:\w+ )?(?:prove|show|rule out|exclude)|no (?:proof|evidence|claim)|"
    r"not (?:the same as|a proof|"
    r"proof|evidence|proven)|compatible with|consistent with|leaves? out|fits?|rather than|instead of saying|(?:never|not) say|"
    r"heißt nicht|bedeutet nicht|kein beweis|passt zu)(?!\w)", re.IGNORECASE)
# What a design could show, or a trial would need.
_DESIGN = re.compile(
    r"(?<!\w)(?:would (?:have to|need|be needed|tell|notice|narrow|settle|be noticed|also|show|make|probably)|could (?:tell|notice|show|"
    r"have been told)|"
    r"(?:that|to) (?:tell|notice) (?:one|it|a)|smallest (?:difference|effect)|differences? (?:as large|of about|of \d)|"
    r"effects? (?:as large|of \d)|"
    r"\d+ times in \d+|treated alike|like (?:tanks|ones|compartments|pairs)|(?:the|a) next (?:trial|one)|a repeat|will be|chance alone|"
    r"margin|"
    r"(?:may|might) end up)(?!\w)", re.IGNORECASE)
_HEDGE = re.compile(r"(?<!\w)(?:may|might|could|perhaps|possibly|maybe|Perhaps|Maybe|Possibly|vielleicht|möglicherweise|könnten?|"
                    r"mag)(?!\w)")
_QUOTED = re.compile(r'"[^"]*"')
# Not `without`: it may belong to an arm, as in `without the dark break there was more`.
_NEGATOR = re.compile(r"(?<!\w)(?:no|not|never|nor|neither|nothing|none|cannot|hardly|barely|nobody|nicht|kein\w*|nie|niemals)(?!\w)"
                      r"|n't(?!\w)", re.IGNORECASE)
_NO_NEGATION = re.compile(r"(?:not only|not just|no doubt|no wonder|nicht nur|without (?:a |any )?doubt)(?!\w)", re.IGNORECASE)
_REACH = 6  # words over which a negation reaches
ALWAYS_READ = frozenset({"significant", "advice", "number", "interval", "size"})
FIRM = frozenset({"certainty", "general", "winner", "absolute"})  # a hedge beside them takes nothing back
DESIGN_KINDS = frozenset({"difference", "direction", "matters", "small", "absence", "part", "headline", "winner", "cause", "other"})


@dataclass(frozen=True)
class Silence:
    """A stretch of a sentence that does not assert what stands in it. kind: `told`, `quoted`, `admits`, `design` or `hedge`."""

    start: int
    end: int
    kind: str


@functools.lru_cache(maxsize=256)
def clauses_of(text: str) -> tuple[tuple[int, int], ...]:
    """The clauses of a sentence, from and to."""
    places = [0, *(match.end() for match in _CLAUSE.finditer(text)), len(text)]
    return tuple((first, last) for first, last in pairwise(places) if last > first)


def clause_at(text: str, place: int) -> tuple[int, int]:
    """The clause in which a place lies."""
    return next(((first, last) for first, last in clauses_of(text) if first <= place < last), (0, len(text)))


def silences(text: str, *, is_question: bool) -> list[Silence]:
    """Every stretch of a sentence that asserts nothing.

    Parameters
    ----------
    text : str
        One sentence.
    is_question : bool
        Whether it asks: then all of it.

    Returns
    -------
    list of Silence

    Examples
    --------
    >>> [(one.kind, one.start) for one in silences("We asked whether it works, and it works.", is_question=False)]
    [('told', 3), ('told', 9)]
    """
    if is_question:
        return [Silence(0, len(text), "told")]
    found = [Silence(match.start(), match.end(), "quoted") for match in _QUOTED.finditer(text)
             if len(match.group()) < len(text.rstrip(".!? ")) - 1]
    for pattern, kind, stop in ((_TOLD, "told", _STOP), (_IF, "told", _STOP_IF), (_ADMITS, "admits", _STOP), (_NOT_SHOWN, "admits", _STOP)):
        found += [Silence(match.start(), _end(text, match.end(), stop), kind) for match in pattern.finditer(text)]
    if _ASKS_FIRST.match(text) and (match := _ADMITS.search(text)):
        found.append(Silence(0, match.end(), "admits"))
    if _DESIGN.search(text):
        found.append(Silence(0, len(text), "design"))
    for match in _HEDGE.finditer(text):
        found.append(Silence(clause_at(text, match.start())[0], _end(text, match.end(), _STOP), "hedge"))
    return found


def _end(text: str, place: int, stop: re.Pattern[str]) -> int:
    match = stop.search(text, place)
    return match.start() if match else len(text)


def is_silent(kind: str, place: int, stretches: list[Silence]) -> bool:
    """Whether a claim of a kind at a place is not asserted."""
    for one in stretches:
        if not one.start <= place < one.end:
            continue
        if one.kind in ("told", "quoted"):
            return True
        if kind in ALWAYS_READ or (one.kind == "hedge" and kind in FIRM) or (one.kind == "design" and kind not in DESIGN_KINDS):
            continue
        return True
    return False


def is_negated(text: str, place: int) -> bool:
    """Whether a negation before a place reaches it: in the same clause, over a few words.

    >>> is_negated("It does not work.", 12), is_negated("Not only that, it works.", 18), is_negated("Nothing broke; it works.", 19)
    (True, False, False)
    """
    first, _ = clause_at(text, place)
    before = text[first:place]
    real = [match for match in _NEGATOR.finditer(before) if not _NO_NEGATION.match(before, match.start())]
    if not real:
        return False
    last = real[-1]
    between = before[last.end():]
    return len(between.split()) <= _REACH and not re.search(r",|\s(?:and|und|because|since|so)\s", between)


def admits(text: str) -> bool:
    """Whether a sentence says that something is not known."""
    return bool(_ADMITS.search(text))
