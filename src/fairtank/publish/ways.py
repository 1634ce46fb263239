"""The other ways of analysing a finding, in words: the grade that each gives, and which of them make it fragile."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.numbers import shown

WITHOUT = "without "
MOST_NAMED = 2
AS_THEY_ARE = "on the values as they are"
# How the other scales read in a sentence, by the scale of the finding.
PLAINLY = {"logit": "reckoned in plain per cent instead of log-odds", "log": "reckoned with the plain values instead of logarithms"}
ANSWERS = {"open": "cannot tell", "differs": "there is a difference", "matters": "a difference that matters",
           "alike": "any difference is too small to matter", "alone": "the data alone cannot tell", "spoilt": "no finding"}


def ways_words(finding: Finding) -> str:
    """Every other way with its grade, the units that were left out in turn told together by grade; empty when there is none.

    >>> from types import SimpleNamespace
    >>> ways = (("on the log scale", "open"), ("without C1", "open"), ("without C2", "differs"), ("without C3", "open"))
    >>> ways_words(SimpleNamespace(alternatives=ways))
    'on the log scale: open; without C1 or C3: open; without C2: differs'
    """
    told = [f"{shown(name)}: {shown(grade)}" for name, grade in finding.alternatives if not name.startswith(WITHOUT)]
    left_out: dict[str, list[str]] = {}
    for name, grade in finding.alternatives:
        if name.startswith(WITHOUT):
            left_out.setdefault(grade, []).append(shown(name.removeprefix(WITHOUT)))
    return "; ".join((*told, *(f"{WITHOUT}{_or(units)}: {shown(grade)}" for grade, units in left_out.items())))


def fragile_words(finding: Finding) -> str:
    """Which other ways give another answer, and which; empty when none does. At most two are named.

    >>> from types import SimpleNamespace
    >>> ways = (("on the values as they are", "open"),)
    >>> fragile_words(SimpleNamespace(grade="differs", role="primary", scale="logit", alternatives=ways))
    'Fragile: reckoned in plain per cent instead of log-odds, the answer would be “cannot tell”.'
    """
    changed = [(_way(finding, name), ANSWERS.get(grade, shown(grade))) for name, grade in finding.alternatives if grade != finding.grade]
    if not changed:
        return ""
    named, more = changed[:MOST_NAMED], len(changed) - MOST_NAMED
    (first, grade), (last, other) = named[0], named[-1]
    text = f"{_set_off(first)} the answer would be “{grade}”"
    if len(named) > 1:
        text = (f"{_set_off(f'{first} or {last}')} the answer would be “{grade}”" if grade == other else
                f"{text}, {_set_off(last)} it would be “{other}”")
    if more > 0:
        text += f", and {more} more way{'s change' if more > 1 else ' changes'} it too"
    return f"Fragile{' (this measure taken alone)' if finding.role == 'secondary' else ''}: {text}."


def _set_off(way: str) -> str:
    """A long way of reckoning with a comma behind it."""
    return f"{way}," if way.startswith(tuple(PLAINLY.values())) else way


def _way(finding: Finding, name: str) -> str:
    """Another way as it stands inside a sentence."""
    return PLAINLY.get(finding.scale, name) if name == AS_THEY_ARE else shown(name)


def _or(words: Sequence[str]) -> str:
    """`C1, C3 or C5`."""
    return " or ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)
