"""The number of a finding with its interval, in the measure's own unit: as a sentence tells it and as a table shows it."""

from fairtank.finding import Finding
from fairtank.publish import eyes_words
from fairtank.publish.asides import order_words
from fairtank.publish.numbers import NO_BREAK, decimals_of, end, figures, interval, number, p_words, with_unit
from fairtank.publish.phrases import capital, level_note, measure_words, named, started_alike, was
from fairtank.publish.printed import (
    difference_in_words,
    difference_unit,
    factor,
    interval_of_ratio,
    kept_off,
    levels_apart,
    levels_in_short,
    ratio,
    told_apart,
    with_interval,
)

LONGEST_TWICE = 8  # signs of a unit that stands behind the estimate and behind its interval


def amount_words(finding: Finding) -> str:
    """The number with its interval, in the measure's own unit; empty where the finding has none to give."""
    if finding.grade in ("spoilt", "alone"):
        return ""
    if finding.summary == "threshold":
        return order_words(finding, measure_words(finding), named(finding.changed_label), named(finding.reference_label))
    if finding.estimate is None:
        return ""
    if finding.low is None or finding.high is None:
        return ""
    if finding.summary == "slope":
        return _slope_amount(finding)
    if finding.scale == "identity":
        return _difference_amount(finding)
    if finding.scale == "log":
        return _ratio_amount(finding)
    return _level_amount(finding)


def estimate_words(finding: Finding) -> str:
    """The estimate with its interval as a table shows it, in the natural unit where there is one.

    For cover the changed arm's level, for amounts the ratio, for values as they are the difference.
    """
    if finding.estimate is None:
        return "none"
    picked = eyes_words.picked_words(finding)
    if picked:
        return picked
    natural = finding.natural
    decided = _decided_by_the_lot(finding)
    if decided:
        return decided
    if finding.low is None or finding.high is None:
        if natural is not None and finding.summary not in ("slope", "threshold"):
            reference, changed = (with_unit(level, natural.unit) for level in told_apart(natural))
            return f"{changed} against {reference}, no interval"
        return f"{figures(finding.estimate)}, no interval"
    if finding.scale == "log" or (finding.summary == "slope" and finding.scale == "logit"):
        return f"{ratio(finding, NO_BREAK + '×')} ({interval_of_ratio(finding)}{NO_BREAK}×)"
    if finding.scale == "logit" and natural is not None and natural.low is not None and natural.high is not None:
        reference, changed, bounds = levels_in_short(finding, natural.reference, natural.changed, natural.low, natural.high)
        return f"{with_unit(changed, natural.unit)} ({with_unit(bounds, natural.unit)}) against {with_unit(reference, natural.unit)}"
    decimals = decimals_of(finding.estimate, finding.low, finding.high)
    return _with_one_unit(finding, number(finding.estimate, decimals), interval(finding.low, finding.high, decimals))


def _with_one_unit(finding: Finding, estimate: str, bounds: str) -> str:
    """A difference with its interval: a short unit behind both, a long one or one in words once behind all."""
    unit = difference_unit(finding) if finding.scale == "identity" else ""
    words = difference_in_words(finding) if unit else ""
    if words != unit or len(unit) > LONGEST_TWICE:
        return f"{estimate} ({bounds}) {words}"
    return f"{with_unit(estimate, unit)} ({with_unit(bounds, unit)})"


def _decided_by_the_lot(finding: Finding) -> str:
    """What a table shows where no interval decides but the lot: the order of a threshold, or a drawn start; empty for all others."""
    facts, natural = dict(finding.facts), finding.natural
    if finding.summary == "threshold" and "pairs_later" in facts:
        later, earlier, untold = (round(facts[key]) for key in ("pairs_later", "pairs_earlier", "pairs_untold"))
        return f"later in {later} of {later + earlier + untold} cases, earlier in {earlier}{_lot_p(finding.shuffle_p)}"
    if finding.design != "drawn_start" or finding.p_value is None or finding.estimate is None:
        return ""
    if natural is None:
        return f"{figures(finding.estimate)} per day{_lot_p(finding.p_value)}"
    reference, changed = (with_unit(level, natural.unit) for level in told_apart(natural))
    return f"{changed} against {reference}{_lot_p(finding.p_value)}"


def _lot_p(p_value: float | None) -> str:
    return "" if p_value is None else f"; by the lot p{NO_BREAK}={NO_BREAK}{p_words(p_value)}"


def _level_amount(finding: Finding) -> str:
    natural = finding.natural
    if natural is None or natural.low is None or natural.high is None:
        estimate, low, high = with_interval(finding)
        decimals = decimals_of(estimate, low, high)
        bounds = f"{number(low, decimals)} to {number(high, decimals)}{level_note(finding)}"
        return f"The difference in {measure_words(finding)} is {number(estimate, decimals)} ({bounds}) on the log-odds scale."
    reference, changed, bounds = levels_apart(finding, natural.reference, natural.changed, natural.low, natural.high)
    return (f"{capital(measure_words(finding))} of {with_unit(reference, natural.unit)} under {named(finding.reference_label)} would be "
            f"{with_unit(changed, natural.unit)} ({with_unit(bounds, natural.unit)}{level_note(finding)}) under "
            f"{named(finding.changed_label)}.")


def _ratio_amount(finding: Finding) -> str:
    verb = was(finding)
    return (f"{capital(measure_words(finding))} under {named(finding.changed_label)} {verb} {ratio(finding, ' times')} what it {verb} "
            f"under {named(finding.reference_label)}{started_alike(finding)} ({interval_of_ratio(finding)} times{level_note(finding)}).")


def _difference_amount(finding: Finding) -> str:
    estimate, low, high = with_interval(finding)
    decimals = decimals_of(estimate, low, high)
    bounds = _bounds(finding, decimals)
    return (f"{capital(measure_words(finding))} under {named(finding.changed_label)} {was(finding)} "
            f"{_more_or_less(estimate, decimals, difference_in_words(finding))} than under {named(finding.reference_label)}"
            f"{started_alike(finding)} ({bounds}{level_note(finding)}).")


def _slope_amount(finding: Finding) -> str:
    reference, changed = named(finding.reference_label), named(finding.changed_label)
    if finding.scale == "identity":
        estimate, low, high = with_interval(finding)
        decimals = decimals_of(estimate, low, high)
        size = with_unit(number(abs(estimate), decimals), difference_in_words(finding))
        rate = f"{size} per day {'less' if estimate < 0 else 'more'} than"
        return (f"{capital(measure_words(finding))} under {changed} rose by {rate} under {reference} "
                f"({_bounds(finding, decimals)}{level_note(finding)}).")
    what = f"the odds of {measure_words(finding)}" if finding.scale == "logit" else measure_words(finding)
    return (f"Each day multiplied {what} under {changed} by {ratio(finding, '')} beyond what it did under {reference} "
            f"({interval_of_ratio(finding)}{level_note(finding)}).{_over_the_days(finding)}")


def _over_the_days(finding: Finding) -> str:
    """What a factor per day comes to over the window."""
    days = finding.window[1] - finding.window[0]
    if days < 2:
        return ""
    whole = [factor(days * value) for value in with_interval(finding)]
    decimals = decimals_of(*whole)
    bounds, _ = kept_off(finding, whole[1], whole[2], 1.0, decimals)
    odds, not_cover = (" the odds", ", not times the cover") if finding.scale == "logit" else ("", "")
    return f" Over {days} days that comes to {end(whole[0], decimals)} times{odds} ({bounds} times){not_cover}."


def _bounds(finding: Finding, decimals: int) -> str:
    """Both ends of a difference, each with its direction."""
    _, low, high = with_interval(finding)
    unit = difference_unit(finding)
    if low < 0 < high:
        return f"{_more_or_less(low, decimals, unit)} to {_more_or_less(high, decimals, unit)}"
    near, far = sorted((abs(low), abs(high)))
    return f"{interval(near, far, decimals, unit)} {'more' if high > 0 else 'less'}"


def _more_or_less(value: float, decimals: int, unit: str) -> str:
    return f"{with_unit(number(abs(value), decimals), unit)} {'less' if value < 0 else 'more'}"
