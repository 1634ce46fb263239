"""A drawn start in words: what it found, how striking that was among all draws of the lot, and for which tanks it speaks.

The finding has no interval of its own. The one told beside it holds only for a change that worked at once, and says so.
"""

from fairtank.finding import Finding
from fairtank.publish.numbers import NO_BREAK, decimals_for, decimals_of, end, figures, interval, p_words, trimmed, with_unit
from fairtank.publish.phrases import capital, direction, level_words, measure_words, named, plural
from fairtank.publish.printed import difference_in_words, difference_unit, factor, told_apart
from fairtank.publish.scales import natural_value, scale_value

SUMMARY_METHOD = {
    "level": "Each {unit}'s series becomes one number: its mean over the days from the start on minus its mean over the days before. Only "
             "days on which both {unit}s have a value count.",
    "slope": "Each {unit}'s series becomes one number: the slope of the least-squares line through its days from the start on minus that "
             "through its days before. Only days on which both {unit}s have a value count.",
}
SAME = 1e-9  # relative: nearer than this a limit lies on the estimate, and the distance tells no decimals
GAPS_METHOD = ("More than 7 days without one on which both {unit}s have a value spoil the comparison. What an event takes out of one "
               "{unit} is left out of both. Nothing is filled in.")


def verdict_words(finding: Finding) -> str | None:
    """What the test says; None where the general wording says it."""
    if finding.grade == "differs":
        which = f"gave {direction(finding)} in its {finding.unit_word}"
        return f"{capital(named(finding.changed_label))} {which}; how much is still unsure."
    return f"Cannot tell: {_why_open(finding)}." if finding.grade == "open" else None


def amount_words(finding: Finding) -> str | None:
    """Where the two tanks stood, how many draws look as striking, and the interval for a change that worked at once."""
    if finding.grade not in ("differs", "open") or finding.estimate is None:
        return None
    return " ".join(part for part in (_seen(finding), _draws(finding), _at_once(finding)) if part)


def count_words(finding: Finding) -> str | None:
    """On how many days of how many tanks it rests, and that it speaks of these tanks only."""
    if finding.grade not in ("differs", "open") or finding.estimate is None:
        return None
    facts, word = dict(finding.facts), finding.unit_word
    before, after = round(facts["days_before"]), round(facts["days_after"])
    seen = "Seen" if finding.p_value is None else "Judged"
    return (f"{seen} on one {word} in each arm, by {before} days with values before the start and {after} from it on; it speaks of these "
            f"two {plural(word, 2)} only.")


def summary_words(finding: Finding) -> tuple[str, str]:
    """For the methods: how a tank's series becomes one number, and what spoils it."""
    statistic = "slope" if finding.summary == "slope" else "level"
    return SUMMARY_METHOD[statistic].format(unit=finding.unit_word), GAPS_METHOD.format(unit=finding.unit_word)


# parts ---------------------------------------------------------------------------------------------------------------


def _why_open(finding: Finding) -> str:
    facts, p_value = dict(finding.facts), finding.p_value
    if p_value is None:
        return f"the {finding.unit_word} and the day of the start were not drawn by lot, and without a lot the test means nothing"
    if "not blinded" in finding.tags:
        return "the scores were not blinded, and such scores decide nothing"
    alpha = 1 - finding.level + 1e-12
    if facts["smallest_p"] > alpha:
        return f"with {round(facts['starts'])} possible starts even the most striking picture could not have been told from luck"
    if finding.holm_p is not None and p_value <= alpha < finding.holm_p:
        return (f"taken alone it would stand out, but not when all secondary measures are counted (Holm-adjusted p "
                f"{p_words(finding.holm_p)})")
    if facts["expected"] * (finding.estimate or 0.0) < 0:
        expected = "more" if facts["expected"] > 0 else "less"
        return f"the plan asked whether there would be {expected}, and what was seen goes the other way"
    return "too many other draws of the lot look as striking"


def _seen(finding: Finding) -> str:
    """What the change did beyond what the reference did over the same days."""
    name, changed, reference = measure_words(finding), named(finding.changed_label), named(finding.reference_label)
    estimate, natural, word = finding.estimate or 0.0, finding.natural, finding.unit_word
    if natural is None:
        return _slope_seen(finding, name, changed, reference)
    if finding.scale == "log":
        return f"{capital(name)} under {changed} was {figures(factor(estimate))} times what the {word} under {reference} lets expect."
    if finding.scale == "identity":
        size = with_unit(figures(abs(estimate)), difference_in_words(finding))
        way = "lower" if estimate < 0 else "higher"
        return f"{capital(name)} under {changed} was {size} {way} than the {word} under {reference} lets expect."
    one, other = (with_unit(level, natural.unit) for level in told_apart(natural))
    return f"{capital(name)} of {one} under {reference} would be {other} under {changed}, if both {plural(word, 2)} had been equal before."


def _slope_seen(finding: Finding, name: str, changed: str, reference: str) -> str:
    """The change of the slope, for an effect that builds up."""
    estimate, beyond = finding.estimate or 0.0, f"beyond what it did under {reference}. No interval can be given for it."
    if finding.scale == "identity":
        size = with_unit(figures(abs(estimate)), difference_in_words(finding))
        way = "less" if estimate < 0 else "more"
        return f"From the start on, each day added {size} {way} to {name} under {changed} than before, {beyond}"
    what = f"the odds of {name}" if finding.scale == "logit" else name
    return (f"From the start on, each day multiplied {what} under {changed} by {figures(factor(estimate), 3)} against the days before, "
            f"{beyond}")


def _draws(finding: Finding) -> str:
    """How many of the draws that the lot could have made look at least as striking."""
    if finding.p_value is None:
        return ""
    draws = finding.arrangements
    as_striking = round(finding.p_value * draws)
    look = "looks" if as_striking == 1 else "look"
    told = f"Of the {draws} draws that the lot could have made, {as_striking} {look} at least as striking"
    p_value = f"p{NO_BREAK}={NO_BREAK}{p_words(finding.p_value)}"
    facts = dict(finding.facts)
    expected, both_ways = facts.get("expected", 0.0), facts.get("p_both_ways")
    if not expected:
        return f"{told}: {p_value}."
    told += f" in the expected direction ({'more' if expected > 0 else 'less'}): one-sided {p_value}"
    if both_ways is None or expected * (finding.estimate or 0.0) <= 0:
        return f"{told}."
    return f"{told}; looked at both ways it would be {p_words(both_ways)}."


def _at_once(finding: Finding) -> str:
    """The interval for a change that worked at once and stayed, with what it is worth; empty where there is none."""
    facts = dict(finding.facts)
    low, high = facts.get("at_once_low"), facts.get("at_once_high")
    natural, estimate = finding.natural, finding.estimate or 0.0
    if natural is None or (low is None and high is None):
        return ""
    if finding.scale == "log":
        bounds = _bounds(factor(estimate), None if low is None else factor(low), None if high is None else factor(high), "times")
        told = f"{bounds} what was to be expected"
    elif finding.scale == "identity":
        told = f"a difference of {_bounds(estimate, low, high, difference_unit(finding))}"
    else:
        level = scale_value(natural.reference, finding.scale)
        ends = [None if one is None else natural_value(level + one, finding.scale) for one in (low, high)]
        told = _bounds(natural.changed, ends[0], ends[1], natural.unit)
    what = "interval" if low is not None and high is not None else "limit, one-sided"
    return f"If the change worked at once and stayed: {told} ({level_words(finding)} {what}); else this misses too often."


def _bounds(value: float, low: float | None, high: float | None, unit: str) -> str:
    """Both ends, or the one end that a test in one direction bounds."""
    if low is not None and high is not None:
        return interval(low, high, decimals_of(value, low, high), unit)
    near = low if low is not None else high
    assert near is not None
    gap = abs(value - near)
    near_text = end(near, decimals_for(gap)) if gap > SAME * max(abs(value), 1.0) else figures(near)
    text = with_unit(trimmed(near_text), unit)
    return f"{'at least' if low is not None else 'at most'} {text}"
