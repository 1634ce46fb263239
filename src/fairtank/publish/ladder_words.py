"""A ladder of doses in words: the step from the reference's dose to the highest one, and what one unit of dose does."""

from fairtank.finding import Finding
from fairtank.publish.amounts import amount_words as general_amount
from fairtank.publish.numbers import NO_BREAK, decimals_of, figures, interval, number, with_unit
from fairtank.publish.phrases import direction, level_note, named, per_day, plural
from fairtank.publish.printed import difference_unit, factor
from fairtank.publish.verdicts import verdict_words as general_verdict

METHOD = ("The {unit}s are the sample, not the photos: a straight line goes through one number for each {unit}, at the dose that was fixed "
          "beforehand. The finding is the line's step from the reference's dose to the highest one. Its t-interval takes each {unit}'s own "
          "distance from the line, since {unit}s may scatter more at one dose than at another, and is widened by 15 per cent for the same "
          "reason.")
FEW_METHOD = "No interval is given: a line through doses needs at least 5 {unit}s on 3 different doses."


def verdict_words(finding: Finding) -> str | None:
    """The verdict on the whole step; None where the general wording says it."""
    step = f"oing from {named(finding.reference_label)} to {named(finding.changed_label)}"
    if finding.grade == "matters":
        return f"G{step} gave {direction(finding)}, and by enough to matter."
    if finding.grade == "differs":
        return f"G{step} gave {direction(finding)}; how much is still unsure."
    if finding.grade == "alike":
        return general_verdict(finding).replace("Any difference is", f"G{step}, any difference is", 1)
    if finding.grade == "alone":
        return general_verdict(finding).replace("the data alone cannot tell.", "a ladder needs at least 5 on 3 different doses.", 1)
    return None


def amount_words(finding: Finding) -> str | None:
    """The step in the measure's own unit, and what one unit of dose does where that is one number."""
    text = general_amount(finding)
    return " ".join(part for part in (text, _per_dose(finding)) if part) if text else None


def count_words(finding: Finding) -> str | None:
    """On how many tanks and doses the line rests."""
    facts = dict(finding.facts)
    if finding.grade in ("spoilt", "alone") or "doses" not in facts:
        return None
    count = finding.n_reference + finding.n_changed
    tanks = f"{count} {plural(finding.unit_word, count)}"
    return (f"Judged on {tanks} at {facts['doses']:.0f} doses by a straight line through them; the numbers are those of the line from "
            f"{_dose(finding, facts['reference_dose'])} to {_dose(finding, facts['top_dose'])}.")


def _dose(finding: Finding, dose: float) -> str:
    return with_unit(f"{dose:g}", finding.dose_unit)


def _per_dose(finding: Finding) -> str:
    """What one more unit of dose does: an amount, or a ratio; on the log-odds of a cover it depends on where the cover stands."""
    facts = dict(finding.facts)
    if "slope_low" not in facts or finding.scale == "logit":
        return ""
    one = f"{NO_BREAK}{finding.dose_unit}" if finding.dose_unit else " step of dose"
    estimate, low, high = facts["slope"], facts["slope_low"], facts["slope_high"]
    if finding.scale == "log":
        decimals = decimals_of(factor(estimate), factor(low), factor(high))
        bounds = interval(factor(low), factor(high), decimals)
        return f"Each 1{one} more multiplies it by {number(factor(estimate), decimals)} ({bounds}{level_note(finding)})."
    unit, decimals = difference_unit(finding), decimals_of(estimate, low, high)
    size = number(abs(estimate), decimals)
    amount = with_unit(figures(abs(estimate)) if size.strip("0.") == "" else size, unit)
    if low < 0 < high:
        bounds = f"{_more_or_less(low, decimals, unit)} to {_more_or_less(high, decimals, unit)}"
    else:
        near, far = sorted((abs(low), abs(high)))
        bounds = interval(near, far, decimals, unit)
    return f"Each 1{one} more {'takes away' if estimate < 0 else 'adds'} {amount}{per_day(finding)} ({bounds}{level_note(finding)})."


def _more_or_less(value: float, decimals: int, unit: str) -> str:
    return f"{with_unit(number(abs(value), decimals), unit)} {'less' if value < 0 else 'more'}"
