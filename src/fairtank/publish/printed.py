"""A finding's numbers as they are printed: levels, ratios and distances, rounded so that no claim is rounded away."""

import math

from fairtank.errors import InputError
from fairtank.finding import Finding, Natural
from fairtank.publish.numbers import decimals_for, decimals_of, end, figures, interval, number, trimmed, with_unit
from fairtank.publish.scales import natural_value, scale_value

MOST_EXTRA_DECIMALS = 6
MOST_FIGURES = 7
# What the units of colour measure.
PERCENTAGE_POINTS = "percentage points"
COLOUR_WORDS = {"L*": "lightness", "a*": "redness", "b*": "yellowness"}


def factor(z: float) -> float:
    """The ratio behind a difference of logarithms; far out it stays finite."""
    return math.exp(min(z, 700.0))


def ratio(finding: Finding, behind: str) -> str:
    """How many times the reference's value the changed arm has, with what stands behind the number."""
    return end(factor(finding.estimate or 0.0), _ratio_decimals(finding)) + behind


def interval_of_ratio(finding: Finding) -> str:
    """Both ends of the ratio's interval; an end that leaves out 1 is not rounded onto it."""
    _, low, high = with_interval(finding)
    return kept_off(finding, factor(low), factor(high), 1.0, _ratio_decimals(finding))[0]


def _ratio_decimals(finding: Finding) -> int:
    estimate, low, high = with_interval(finding)
    return decimals_of(factor(estimate), factor(low), factor(high))


def levels_apart(finding: Finding, reference: float, changed: float, low: float, high: float) -> tuple[str, str, str]:
    """The reference's level, the changed arm's and both its ends as they are printed."""
    decimals = decimals_of(changed, low, high)
    bounds, needed = kept_off(finding, low, high, reference, decimals)
    return trimmed(end(reference, needed)), end(changed, decimals), bounds


def levels_in_short(finding: Finding, reference: float, changed: float, low: float, high: float) -> tuple[str, str, str]:
    """The same where there is little room: an end so near the reference that only many figures tell them apart is just over or under it."""
    told, decimals = levels_apart(finding, reference, changed, low, high), decimals_of(changed, low, high)
    if len(told[0].partition(".")[2]) <= max(decimals, 0) + 1:
        return told
    plain, (low_text, high_text) = trimmed(end(reference, decimals)), told[2].split(" to ")
    bounds = f"just over {plain} to {high_text}" if with_interval(finding)[1] > 0 else f"{low_text} to just under {plain}"
    return plain, told[1], bounds


def kept_off(finding: Finding, low: float, high: float, no_effect: float, decimals: int) -> tuple[str, int]:
    """Both ends as they are printed, and the decimals that `no effect` needs beside them.

    Where the interval leaves out no effect its nearer end must not be rounded onto it: 1.3 to 38 times is a claim, 1 to 38 times is none.
    """
    _, lowest, highest = with_interval(finding)
    if lowest <= 0 <= highest:
        return interval(low, high, decimals), decimals
    near, far = (low, high) if lowest > 0 else (high, low)
    fine = coarse = min(decimals, decimals_for(high - low) + 1)
    while end(near, fine) == end(no_effect, fine) and fine < coarse + MOST_EXTRA_DECIMALS:
        fine += 1
    if fine == coarse:
        return interval(low, high, decimals), decimals
    ends = (end(near, fine), end(far, coarse))
    return " to ".join(ends if lowest > 0 else ends[::-1]), fine


def with_interval(finding: Finding) -> tuple[float, float, float]:
    """Estimate, low and high of a finding that has an interval; refuses one that has none."""
    if finding.estimate is None or finding.low is None or finding.high is None:
        raise InputError("finding", finding.measure, "a finding that has an interval")
    return finding.estimate, finding.low, finding.high


def limits_words(finding: Finding, low: float, high: float) -> str:
    """Another pair of limits for the same finding, in the words in which its own interval is told: levels, ratios or differences."""
    natural = finding.natural
    if finding.scale == "identity":
        unit, decimals = difference_unit(finding), decimals_for((high - low) / 2)
        ends = [f"{with_unit(number(abs(limit), decimals), unit)} {'less' if limit < 0 else 'more'}" for limit in (low, high)]
        return " to ".join(ends) + (" per day" if finding.summary == "slope" else "")
    if finding.scale == "logit" and finding.summary != "slope" and natural is not None:
        centre = scale_value(natural.reference, "logit")
        lowest, highest = (natural_value(centre + limit, "logit") for limit in (low, high))
        return interval(lowest, highest, decimals_for((highest - lowest) / 2), natural.unit)
    if finding.scale == "log" or finding.summary == "slope":
        lowest, highest = factor(low), factor(high)
        return f"{interval(lowest, highest, decimals_of(math.sqrt(lowest * highest), lowest, highest))} times"
    return interval(low, high, decimals_for((high - low) / 2), "log-odds")


def distance(finding: Finding, size: float) -> str:
    """How far apart two tanks are, as a factor, in log-odds or in the measure's own unit."""
    if finding.scale == "log":
        return f"a factor of {figures(factor(size), 3)}"
    return with_unit(figures(size), "log-odds" if finding.scale == "logit" else difference_unit(finding))


def spread_words(finding: Finding, spread: float) -> str:
    """A standard deviation on the finding's scale."""
    if finding.scale == "log":
        return f"{figures(spread)} in natural logarithms"
    return with_unit(figures(spread), "log-odds" if finding.scale == "logit" else difference_unit(finding))


def figures_apart(one: float, other: float) -> tuple[str, str]:
    """Two numbers in as many figures as keep them apart.

    >>> figures_apart(12.0, 8.3), figures_apart(16.83, 17.39)
    (('12', '8.3'), ('16.8', '17.4'))
    """
    told = [(figures(one, count), figures(other, count)) for count in range(2, MOST_FIGURES)]
    return next((pair for pair in told if pair[0] != pair[1]), told[0])


def told_apart(natural: Natural) -> tuple[str, str]:
    """The reference's level and the changed arm's, in as many figures as keep them apart."""
    return figures_apart(natural.reference, natural.changed)


def unit_in_words(finding: Finding) -> str:
    """The measure's own unit as a sentence names it the first time: what b*, a* and L* stand for is said.

    >>> from types import SimpleNamespace
    >>> unit_in_words(SimpleNamespace(natural=None, unit_of_measure="b*"))
    'units of yellowness (b*)'
    """
    unit = natural_unit(finding)
    return f"units of {COLOUR_WORDS[unit]} ({unit})" if unit in COLOUR_WORDS else unit


def difference_in_words(finding: Finding) -> str:
    """The unit of a difference as a sentence names it the first time."""
    unit = difference_unit(finding)
    return unit if unit == PERCENTAGE_POINTS else unit_in_words(finding)


def difference_unit(finding: Finding) -> str:
    """The unit behind a difference of values as they are: between two per cents lie percentage points.

    >>> from types import SimpleNamespace
    >>> difference_unit(SimpleNamespace(natural=None, unit_of_measure="%"))
    'percentage points'
    """
    unit = natural_unit(finding)
    return PERCENTAGE_POINTS if unit == "%" else unit


def natural_unit(finding: Finding) -> str:
    """The measure's own unit; empty where it has none."""
    return finding.natural.unit if finding.natural is not None else finding.unit_of_measure
