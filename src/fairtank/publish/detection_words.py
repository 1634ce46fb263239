"""Readings below what a test can tell, in words: the method by name, what else was tried, and why an interval was withheld."""

from fairtank.finding import Finding
from fairtank.publish.numbers import NO_BREAK, figures, plain_number, with_unit
from fairtank.publish.phrases import named

OPEN_METHOD = "No interval is given: nearly all readings of an arm lay below what the test can tell, so that its scatter was never seen."
SETTLES = "A test with a lower limit would settle it: with this one no number of {unit}s does."


def limits_words(finding: Finding) -> str:
    """The limits of detection that occurred, with their unit; empty where no reading lay below one."""
    noun = finding.below_detection
    if noun is None:
        return ""
    low, high = plain_number(noun.lowest), plain_number(noun.highest)
    return with_unit(low if low == high else f"{low} to {high}", finding.unit_of_measure)


def method_words(finding: Finding) -> tuple[str, ...]:
    """How readings below detection were handled, in whole sentences; empty where there were none."""
    noun = finding.below_detection
    if noun is None:
        return ()
    share = f"{figures(100 * noun.below / max(noun.days, 1), 2)}{NO_BREAK}%"
    seen = (f"Of {noun.days} {finding.unit_word}-days with a reading, {noun.below} ({share}) lay below what the test can tell "
            f"({limits_words(finding)})")
    if finding.summary == "threshold":
        return (f"{seen}; such a reading counts as below the threshold, which is no lower than the limit.",)
    lowest = "a tenth of the limit" if finding.scale == "log" else "0"
    return (f"{seen}. Such a reading was taken as the limit divided by the square root of 2 (Hornung and Reed 1990); the judgement was "
            f"repeated with all of them at the limit and with all of them at {lowest}.",)


def open_words(finding: Finding) -> str | None:
    """The verdict where an arm lies below detection, so that its scatter was never seen; None for every other finding."""
    noun = finding.below_detection
    if finding.grade != "open" or finding.low is not None or noun is None or not noun.arms_below:
        return None
    labels = {finding.reference_arm: finding.reference_label, finding.changed_arm: finding.changed_label}
    arms = [named(labels[arm]) for arm in noun.arms_below if arm in labels]
    where = f"under {' and '.join(arms)}" if arms else "in an arm"
    return (f"Cannot tell: {where} nearly all readings lay below what the test can tell ({limits_words(finding)}), so that no interval can "
            "be given. A test with a lower limit would settle it.")


def settling_words(finding: Finding) -> str:
    """What would settle a finding whose readings lie below detection; empty for every other one."""
    return SETTLES.format(unit=finding.unit_word) if open_words(finding) else ""
