"""The verdict `alone`: what was seen, and how alike like tanks would have to be before it could be called surprising."""

import math

from fairtank.finding import Finding
from fairtank.publish.numbers import figures, in_a_row, shown, with_unit
from fairtank.publish.phrases import capital, measure_words, named, per_day, plural, started_alike, was
from fairtank.publish.printed import distance, spread_words, told_apart, unit_in_words

DESIGN_SAMPLES = {"pairs": "pair", "rounds": "round"}


def alone_words(finding: Finding) -> str:
    """What was seen in the measure's own unit, how alike two tanks would have to be, and the same in technical words at the end."""
    word = finding.unit_word
    if finding.design in DESIGN_SAMPLES:
        return _too_few(finding)
    opening = f"One {word} each" if finding.n_reference == finding.n_changed == 1 else f"Too few {plural(word, 2)}"
    text = f"{opening}: the data alone cannot tell."
    if finding.estimate is None:
        return text
    apart, spread = distance(finding, abs(finding.estimate)) + per_day(finding), finding.tipping_spread
    halved = finding.summary == "swap"
    seen, technical = _levels_seen(finding), [f"half the difference of the two orders: {apart}" if halved else f"apart by {apart}"]
    if not seen:
        ended = f"the {plural(word, 2)} {_ended(finding)} {apart} apart"
        seen, technical = capital(f"half the difference of the two orders is {apart}" if halved else ended), []
    text += f" {seen}.{_not_counted(finding)}"
    if spread is None or finding.estimate == 0:
        return text
    closer = _closer_words(finding, spread, technical)
    technical.append(f"an SD of {spread_words(finding, spread)}{per_day(finding)}{',' * bool(per_day(finding))} per {word}")
    return (f"{text} Two {plural(word, 2)} treated alike would have to {closer} 19 times in 20 before this could be called surprising "
            f"({'; '.join(technical)}).")


def _not_counted(finding: Finding) -> str:
    """Which units had no number, where the arms have some that do; empty where all have one."""
    lost = [shown(unit.unit) for unit in finding.units if unit.z is None]
    return f" Without a usable number: {in_a_row(lost)}." if lost else ""


def _ended(finding: Finding) -> str:
    return {"change": "moved", "slope": "rose at rates that lie"}.get(finding.summary, "ended")


def _too_few(finding: Finding) -> str:
    """Pairs or rounds of which there are too few: what was seen, and how alike the two of a pair or round would have to be."""
    text = f"Too few {finding.design}: the data alone cannot tell."
    if finding.estimate is None:
        return text
    apart = distance(finding, abs(finding.estimate)) + per_day(finding)
    seen = _levels_seen(finding)
    text += f" {seen}." if seen else f" The two {plural(finding.unit_word, 2)} of a {DESIGN_SAMPLES[finding.design]} lay {apart} apart."
    if finding.tipping_spread is None or finding.estimate == 0:
        return text
    spread, inside = finding.tipping_spread, DESIGN_SAMPLES[finding.design]
    technical = [f"apart by {apart}"] if seen else []
    technical.append(f"an SD of {spread_words(finding, spread)} per {inside}")
    return (f"{text} Two {plural(finding.unit_word, 2)} of a {inside} treated alike would have to end closer than "
            f"{distance(finding, 1.96 * spread)} to each other, 19 times in 20, before this could be called surprising "
            f"({'; '.join(technical)}).")


def _levels_seen(finding: Finding) -> str:
    """Where the two arms stand; empty for a finding that has no levels."""
    natural = finding.natural
    if natural is None or finding.summary in ("slope", "threshold"):
        return ""
    unit, (first, second) = unit_in_words(finding), told_apart(natural)
    return (f"{capital(measure_words(finding))} {was(finding)} {with_unit(first, unit)} under {named(finding.reference_label)} and "
            f"{with_unit(second, natural.unit)} under {named(finding.changed_label)}{started_alike(finding)}")


def _closer_words(finding: Finding, spread: float, technical: list[str]) -> str:
    """How close two like tanks would have to stay: closer than what was seen, which is the yardstick with one tank in each arm.

    Else the yardstick is what the spread makes of it, told as so many times what was seen; its size then joins the technical words.
    """
    moves, near = finding.summary == "change", "that"
    if not (finding.n_reference == finding.n_changed == 1 or finding.summary == "swap"):
        size = 1.96 * math.sqrt(2.0) * spread
        near = f"{figures(size / abs(finding.estimate or 1.0))} times that"
        technical.append(f"two like {plural(finding.unit_word, 2)} closer than {distance(finding, size)}{per_day(finding)}")
    if finding.summary == "slope":
        return f"rise at rates closer than {near} to each other"
    return f"move apart by less than {near}" if moves else f"end closer than {near} to each other"
