"""What a finding tells beside its number: what the design took out of the comparison, and the order in which a threshold was reached."""

from fairtank.finding import Finding
from fairtank.publish.numbers import plain_number, with_unit
from fairtank.publish.printed import distance, figures_apart
from fairtank.publish.scales import natural_value


def taken_out_words(finding: Finding, name: str) -> str:
    """What all tanks did between a swap's periods, or what sets the two tanks of rounds apart; empty where a design takes nothing out.

    name is the measure's name inside a sentence.
    """
    if finding.grade in ("spoilt", "alone"):
        return ""
    facts, unit = dict(finding.facts), finding.unit_of_measure
    if {"first_period_level", "second_period_level"} <= facts.keys():
        levels = [natural_value(facts[key], finding.scale) for key in ("first_period_level", "second_period_level")]
        first, second = figures_apart(*levels)
        told = (f"stood at {with_unit(first, unit)} in the first period and {with_unit(second, unit)} in the second" if first != second else
                f"stood at {with_unit(first, unit)} in both periods")
        return f"Whatever the arm, {name} {told}; the swap takes this out."
    apart = facts.get("tank_difference")
    if apart is None:
        return ""
    per_day = " per day" if finding.summary == "slope" else ""
    return f"The two {finding.unit_word}s lay {distance(finding, abs(apart))}{per_day} apart whatever the arm; this is taken out."


def order_words(finding: Finding, name: str, changed: str, reference: str) -> str:
    """For a threshold: in how many pairs of a changed and a reference tank the changed one was later, earlier, or cannot be told."""
    facts = dict(finding.facts)
    if "pairs_later" not in facts:
        return ""
    later, earlier, untold = (round(facts[key]) for key in ("pairs_later", "pairs_earlier", "pairs_untold"))
    if "threshold" in facts:
        name += f", {with_unit(plain_number(facts['threshold']), finding.unit_of_measure)},"
    text = (f"Each {finding.unit_word} under {changed} was held against each one under {reference}: it reached the threshold of {name} "
            f"later in {later} of {later + earlier + untold} cases and earlier in {earlier}")
    return f"{text}; in {untold} the days of the record leave it open." if untold else f"{text}."
