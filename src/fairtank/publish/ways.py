"""The other ways of analysing a finding, in words: the grade that each gives, and which of them make it fragile."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.numbers import shown

WITHOUT = "without "
MOST_NAMED = 2


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
    """Which other ways give another grade, and which; empty when none does. At most two are named.

    >>> from types import SimpleNamespace
    >>> fragile_words(SimpleNamespace(grade="differs", role="primary", alternatives=(("on the log scale", "open"),)))
    'Fragile: on the log scale the grade would be “open”. Other ways of analysing are fixed beforehand by the method.'
    """
    changed = [(shown(name), shown(grade)) for name, grade in finding.alternatives if grade != finding.grade]
    if not changed:
        return ""
    named, more = changed[:MOST_NAMED], len(changed) - MOST_NAMED
    (first, grade), (last, other) = named[0], named[-1]
    text = f"Fragile: {first} the grade would be “{grade}”"
    if len(named) > 1:
        text = f"Fragile: {first} or {last} the grade would be “{grade}”" if grade == other else f"{text}, {last} it would be “{other}”"
    if more > 0:
        text += f", and {more} more way{'s change' if more > 1 else ' changes'} it too"
    alone = ", and look at each secondary measure alone" if finding.role == "secondary" else ""
    return f"{text}. Other ways of analysing are fixed beforehand by the method{alone}."


def _or(words: Sequence[str]) -> str:
    """`C1, C3 or C5`."""
    return " or ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)
