"""Two changes at once in words: what each did, averaged over the other, and that what they do together was not settled."""

from fairtank.finding import Finding
from fairtank.publish.amounts import amount_words as general_amount
from fairtank.publish.numbers import decimals_of, interval, number, with_unit
from fairtank.publish.phrases import capital, direction, level_words, measure_words, per_day, plural
from fairtank.publish.printed import difference_unit, factor
from fairtank.publish.verdicts import verdict_words as general_verdict

WITH, WITHOUT = "with ", "without "
METHOD = ("The {unit}s are the sample, not the photos: each {unit} gives one number, and each change is judged as the mean of the two "
          "ways with it minus the mean of the two ways without it, all four ways weighing alike and each with its own scatter. In whole "
          "blocks of four {unit}s each block gives one number instead, so that what sets the blocks apart drops out. Both changes share "
          "one promise: the two intervals reach so much farther that they hold together.")
FEW_METHOD = "No interval is given: each of the four ways needs two {unit}s, or three blocks with all four ways are needed."


def change_words(finding: Finding) -> str:
    """The change's name: the label says `with light`.

    >>> from types import SimpleNamespace
    >>> change_words(SimpleNamespace(changed_label="with light"))
    'light'
    """
    return finding.changed_label.removeprefix(WITH)


def verdict_words(finding: Finding) -> str | None:
    """The verdict on one change, averaged over the other."""
    name = change_words(finding)
    average = "averaged over the other change"
    if finding.grade == "matters":
        return f"{capital(name)} gave {direction(finding)}, {average}, and by enough to matter."
    if finding.grade == "differs":
        return f"{capital(name)} gave {direction(finding)}, {average}; how much is still unsure."
    text = _tidy(general_verdict(finding))
    if finding.grade == "alone":
        return text.replace("the data alone cannot tell.", "each of the four ways needs two, or three whole blocks.", 1)
    if finding.grade == "alike":
        return text.replace("Any difference is", f"Any difference that {name} made, {average}, is", 1)
    if finding.grade == "open":
        return text.replace("Cannot tell:", f"Cannot tell what {name} did, {average}:", 1)
    return text


def amount_words(finding: Finding) -> str | None:
    """The number with its interval; what was seen of the two changes together is told once, below (`interaction_words`)."""
    return _tidy(general_amount(finding)) or None


def count_words(finding: Finding) -> str | None:
    """On how many tanks the change was judged; every tank answers both questions."""
    if finding.grade in ("spoilt", "alone"):
        return None
    facts, name, word = dict(finding.facts), change_words(finding), finding.unit_word
    together = f"the intervals of both changes hold at once, in {level_words(finding)} of such trials"
    if "blocks" in facts:
        return f"Judged on {facts['blocks']:.0f} blocks of four {plural(word, 2)}; {together}."
    changed, reference = finding.n_changed, finding.n_reference
    return f"Judged on {changed} {plural(word, changed)} with {name} and {reference} without, which serve both changes; {together}."


def interaction_words(finding: Finding) -> str:
    """Whether the two changes help or hinder each other: told with its interval, the same for both, and left open as it was not asked."""
    facts = dict(finding.facts)
    if finding.grade == "spoilt" or "interaction_low" not in facts or "interaction_high" not in facts:
        return ""
    low, high = facts["interaction_low"], facts["interaction_high"]
    amount, what = _told(finding, facts["interaction"], low, high), measure_words(finding)
    if low > 0 or high < 0:
        more = "more" if low > 0 else "less"
        return (f"The two changes together seem to give {more} {what} than what each does alone would add up to: {amount}. This was not "
                "the question and decides nothing, but each change's average hides it.")
    return (f"Whether the two changes help or hinder each other stays open: together they give {amount} than what each does alone would "
            "add up to. To notice that takes twice as large a difference as for one change alone, or four times the "
            f"{plural(finding.unit_word, 2)}.")


def _told(finding: Finding, estimate: float, low: float, high: float) -> str:
    """How much more: in the measure's own unit, as a ratio of ratios, or in log-odds."""
    if finding.scale == "log":
        ends = [factor(one) for one in (estimate, low, high)]
        decimals = decimals_of(*ends)
        return f"{number(ends[0], decimals)} times as much ({interval(ends[1], ends[2], decimals)} times)"
    unit, decimals = "log-odds" if finding.scale == "logit" else difference_unit(finding), decimals_of(estimate, low, high)
    if low < 0 < high:
        bounds = f"{_more_or_less(low, decimals, unit)} to {_more_or_less(high, decimals, unit)}"
    else:
        near, far = sorted((abs(low), abs(high)))
        bounds = f"{interval(near, far, decimals, unit)} {'more' if high > 0 else 'less'}"
    return f"{_more_or_less(estimate, decimals, unit)}{per_day(finding)} ({bounds})"


def _more_or_less(value: float, decimals: int, unit: str) -> str:
    return f"{with_unit(number(abs(value), decimals), unit)} {'less' if value < 0 else 'more'}"


def _tidy(text: str) -> str:
    """`under with light` reads `with light`."""
    return text.replace("under without ", WITHOUT).replace("under with ", WITH)
