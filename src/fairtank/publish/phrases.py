"""Small words that every sentence about a finding is put together from: names of arms and measures, directions, levels."""

import re

from fairtank.finding import Finding
from fairtank.publish.numbers import NO_BREAK, number, shown, trimmed
from fairtank.trial import Plan

# Words after which an arm's name reads well without an article.
_OWN_ARTICLE = {"the", "a", "an", "no", "none", "nothing", "without", "with", "half", "full", "twice", "double", "one", "two", "three",
                "four", "five", "six", "seven", "eight", "nine", "ten", "twelve", "fifteen", "twenty", "thirty", "more", "less",
                "fewer", "every", "each", "all", "our", "my", "neither", "both"}
# Doses: `4 mL`, `4 mL a day`.
_AMOUNT = re.compile(r"^\d+(?:[.,]\d+)?\s?\S+$|\s(?:a|per|each|every)\s(?:day|week|hour|month)$")
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def plain_text(text: str) -> str:
    """The text with ordinary spaces, for files that machines read and people search.

    >>> plain_text("8.3\\xa0%")
    '8.3 %'
    """
    return text.replace(NO_BREAK, " ")


def named(label: str) -> str:
    """An arm's name as it stands inside a sentence: with an article where it has none, a bare key as `arm R`.

    >>> named("8 h block"), named("half the feeding"), named("R"), named("changed")
    ('the 8 h block', 'half the feeding', 'arm R', 'the change')
    >>> named("4 mL a day"), named("2 mL")
    ('4 mL a day', '2 mL')
    """
    clean = shown(label)
    if clean == "changed":
        return "the change"
    if len(clean) <= 2:
        return f"arm {clean}" if clean else "the other arm"
    return clean if clean.split()[0].lower() in _OWN_ARTICLE or _AMOUNT.search(clean) else f"the {clean}"


def under(label: str) -> str:
    """`under the 8 h block`; an arm that is named for what it has or lacks stands for itself.

    >>> under("8 h block"), under("without light")
    ('under the 8 h block', 'without light')
    """
    name = named(label)
    return name if name.split()[0] in ("with", "without") else f"under {name}"


def measure_words(finding: Finding) -> str:
    """The measure's name inside a sentence: `Algae cover` becomes `algae cover`, abbreviations stay.

    >>> from types import SimpleNamespace
    >>> measure_words(SimpleNamespace(title="Algae cover")), measure_words(SimpleNamespace(title="PAR at the bed"))
    ('algae cover', 'PAR at the bed')
    """
    title = title_words(finding)
    return title[:1].lower() + title[1:] if len(title) > 1 and title[1].islower() else title


def title_words(finding: Finding) -> str:
    """The measure's name as a heading; its key where it has no title."""
    return shown(finding.title) or shown(finding.measure)


def word_of(plan: Plan) -> str:
    """What receives an arm is called for a keeper: a tank, or a compartment where tanks are divided."""
    return "compartment" if any(unit.compartment for unit in plan.units) else "tank"


def plural(word: str, count: int) -> str:
    """The word for one or more of them.

    >>> plural("tank", 1), plural("tank", 3)
    ('tank', 'tanks')
    """
    return word if count == 1 else f"{word}s"


def counted(count: int, word: str) -> str:
    """So many of them, in words up to twelve.

    >>> counted(1, "tank"), counted(3, "tank"), counted(14, "tank")
    ('one tank', 'three tanks', '14 tanks')
    """
    return f"{_COUNTS[count] if 0 <= count < len(_COUNTS) else count} {plural(word, count)}"


def comparison_words(finding: Finding) -> str:
    """Which comparison of a measure a finding is, as a heading: needed where a measure has several."""
    if finding.comparisons == 1:
        return title_words(finding)
    return f"{title_words(finding)}: {named(finding.changed_label)} against {named(finding.reference_label)}"


def so_many(count: int, noun: str) -> str:
    """A count in figures with its noun.

    >>> so_many(1, "row"), so_many(3, "row")
    ('1 row', '3 rows')
    """
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def capital(text: str) -> str:
    """The text as the beginning of a sentence.

    >>> capital("the dark break")
    'The dark break'
    """
    return text[:1].upper() + text[1:]


def per_day(finding: Finding) -> str:
    """What stands behind a number that is meant per day."""
    return " per day" if finding.summary == "slope" else ""


def direction(finding: Finding) -> str:
    """What the change gave: more or less of the measure, or a faster or slower rise of it."""
    more = (finding.estimate or 0.0) > 0
    if finding.summary == "slope":
        return f"a {'faster' if more else 'slower'} rise in {measure_words(finding)}"
    return f"{'more' if more else 'less'} {measure_words(finding)}"


def level_note(finding: Finding) -> str:
    """The interval's level, where it is not the usual 95 %, as the end of a bracket."""
    return "" if abs(finding.level - 0.95) < 1e-9 else f"; {level_words(finding)} interval"


def level_words(finding: Finding) -> str:
    """The interval's level.

    >>> from types import SimpleNamespace
    >>> plain_text(level_words(SimpleNamespace(level=0.965)))
    '96.5 %'
    """
    return f"{trimmed(number(100 * finding.level, 1))}{NO_BREAK}%"


def was(finding: Finding) -> str:
    """A change is told from where the reference stands: what the changed arm would be, not what it was."""
    return "would be" if finding.summary == "change" else "was"


def started_alike(finding: Finding) -> str:
    """The condition under which a change's level is told."""
    return f", had all {plural(finding.unit_word, 2)} started alike" if finding.summary == "change" else ""
