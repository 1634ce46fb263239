"""From a finding to plain sentences: what was found, how large with its interval, on how many tanks, and the caution that applies.

The step before is `inference.judge`; the step after is `publish.report.write_report`.
"""

import math

from fairtank.finding import Finding, Natural
from fairtank.inference.unfinished import NOT_OVER
from fairtank.publish.asides import order_words, taken_out_words
from fairtank.publish.numbers import NO_BREAK, decimals_of, figures, interval, number, p_words, shown, trimmed, with_unit
from fairtank.publish.printed import (
    distance,
    figures_apart,
    interval_of_ratio,
    levels_apart,
    natural_unit,
    ratio,
    spread_words,
    unit_in_words,
    with_interval,
)
from fairtank.publish.scales import natural_value, scale_value
from fairtank.publish.words import basis_words, is_without_scatter, tag_sentence

MOST_REASONS = 3
DESIGN_SAMPLES = {"pairs": "pair", "rounds": "round"}
# Words after which an arm's name reads well without an article.
_OWN_ARTICLE = {"the", "a", "an", "no", "without", "with", "half", "twice", "double", "one", "two", "three", "four", "more", "less",
                "fewer", "every", "each", "all", "our", "my"}


def sentence(finding: Finding) -> str:
    """The finding in plain words: verdict, number with its interval, how many tanks, and the cautions that belong to the headline.

    Nothing is computed but the way back from the scale: a sentence cannot disagree with its finding.

    Parameters
    ----------
    finding : Finding
        The frozen result.

    Returns
    -------
    str
        One to a few sentences. Numbers and units are held together by no-break spaces.

    Examples
    --------
    See `tests/publish/test_sentences.py`, one exact text for each grade.
    """
    parts = [verdict_words(finding), amount_words(finding), count_words(finding), taken_out_words(finding, measure_words(finding)),
             standing_words(finding)]
    parts += [tag_sentence(tag, finding) for tag in finding.tags if not _said_already(tag, finding)]
    if finding.low is not None:
        parts.append(basis_words(finding.basis))
    return " ".join(part for part in parts if part)


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
    """
    clean = shown(label)
    if clean == "changed":
        return "the change"
    if len(clean) <= 2:
        return f"arm {clean}" if clean else "the other arm"
    return clean if clean.split()[0].lower() in _OWN_ARTICLE else f"the {clean}"


def measure_words(finding: Finding) -> str:
    """The measure's name inside a sentence: `Algae cover` becomes `algae cover`, abbreviations stay.

    >>> from fairtank.publish.sentences import _inside
    >>> _inside("Algae cover"), _inside("PAR at the bed")
    ('algae cover', 'PAR at the bed')
    """
    return _inside(title_words(finding))


def title_words(finding: Finding) -> str:
    """The measure's name as a heading; its key where it has no title."""
    return shown(finding.title) or shown(finding.measure)


def verdict_words(finding: Finding) -> str:
    """The verdict alone, in its settled wording."""
    makers = {"spoilt": _spoilt, "alone": _alone, "matters": _matters, "alike": _alike, "differs": _differs, "open": _open}
    return makers[finding.grade](finding)


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


def count_words(finding: Finding) -> str:
    """On how many tanks the finding rests."""
    if finding.grade in ("spoilt", "alone"):
        return ""
    reference, changed, word = finding.n_reference, finding.n_changed, finding.unit_word
    if finding.summary == "swap":
        return f"Judged on {reference} and {changed} {_plural(word, changed)}, one group for each order."
    if finding.design == "pairs":
        return f"Judged on {changed} pairs, each with one {word} under {named(finding.changed_label)} and one under " \
               f"{named(finding.reference_label)}."
    if finding.design == "rounds":
        return f"Judged on {changed} rounds of the same two {_plural(word, 2)}."
    first = f"{changed} {_plural(word, changed)} under {named(finding.changed_label)}"
    return f"Judged on {first} and {reference} under {named(finding.reference_label)}."


def standing_words(finding: Finding) -> str:
    """Whether a secondary measure stands when all of them are counted (Holm); empty for a primary one and for the only secondary one."""
    if finding.role != "secondary" or finding.holm_p is None or (finding.low is None and finding.p_value is None):
        return ""
    if _holm_refused(finding) or finding.family == 1:
        return ""
    stands = "it stands" if finding.holm_p <= _alpha(finding) else "it does not stand out"
    others = "measure" if finding.family == 2 else "measures"
    return f"Counted together with the other secondary {others} {stands} (Holm-adjusted p {p_words(finding.holm_p)})."


def estimate_words(finding: Finding) -> str:
    """The estimate with its interval as a table shows it, in the natural unit where there is one.

    For cover the changed arm's level, for amounts the ratio, for values as they are the difference.
    """
    if finding.estimate is None:
        return "none"
    natural = finding.natural
    if finding.low is None or finding.high is None:
        if natural is not None and finding.summary not in ("slope", "threshold"):
            reference, changed = (with_unit(level, natural.unit) for level in _told_apart(natural))
            return f"{changed} against {reference}, no interval"
        return f"{figures(finding.estimate)}, no interval"
    if finding.scale == "log" or (finding.summary == "slope" and finding.scale == "logit"):
        return f"{ratio(finding, NO_BREAK + '×')} ({interval_of_ratio(finding)}{NO_BREAK}×)"
    if finding.scale == "logit" and natural is not None and natural.low is not None and natural.high is not None:
        reference, changed, bounds = levels_apart(finding, natural.reference, natural.changed, natural.low, natural.high)
        return f"{changed} ({with_unit(bounds, natural.unit)}) against {with_unit(reference, natural.unit)}"
    unit = natural_unit(finding) if finding.scale == "identity" else ""
    decimals = decimals_of(finding.estimate, finding.low, finding.high)
    return f"{number(finding.estimate, decimals)} ({interval(finding.low, finding.high, decimals, unit)})"


# verdicts ------------------------------------------------------------------------------------------------------------


def _spoilt(finding: Finding) -> str:
    """A trial ends here; a secondary measure only goes without a judgement. A trial that is still running is not called spoilt."""
    reason = shown(finding.spoilt_reason) or next((shown(unit.spoilt) for unit in finding.units if unit.spoilt), "")
    if reason.startswith(NOT_OVER):
        opening = "Not judged yet" if finding.role == "secondary" else "No finding yet"
        return f"{opening}: {_after_colon(reason).replace(':', ';', 1).rstrip('.')}."
    reasons = (reason or f"an arm was left without a usable {finding.unit_word}").rstrip(".").split(". ")
    if len(reasons) > MOST_REASONS:
        reasons = [*reasons[:1], f"The other {len(reasons) - 1} reasons stand beside the {_plural(finding.unit_word, 2)}"]
    if finding.role == "secondary":
        return f"This measure was not judged: {_after_colon('. '.join(reasons))}."
    return f"This trial was spoilt: {'. '.join(reasons)}. No finding."


def _alone(finding: Finding) -> str:
    """What was seen in the measure's own unit, how alike two tanks would have to be, and the same in technical words at the end."""
    word = finding.unit_word
    if finding.design in DESIGN_SAMPLES:
        return _too_few(finding)
    opening = f"One {word} each" if finding.n_reference == finding.n_changed == 1 else f"Too few {_plural(word, 2)}"
    text = f"{opening}: the data alone cannot tell."
    if finding.estimate is None:
        return text
    apart, spread = distance(finding, abs(finding.estimate)) + _per_day(finding), finding.tipping_spread
    halved = finding.summary == "swap"
    seen, technical = _levels_seen(finding), [f"half the difference of the two orders: {apart}" if halved else f"apart by {apart}"]
    if not seen:
        ended = f"the {_plural(word, 2)} {_ended(finding)} {apart} apart"
        seen, technical = _capital(f"half the difference of the two orders is {apart}" if halved else ended), []
    text += f" {seen}."
    if spread is None or finding.estimate == 0:
        return text
    closer = _closer_words(finding, spread, technical)
    technical.append(f"an SD of {spread_words(finding, spread)}{_per_day(finding)}{',' * bool(_per_day(finding))} per {word}")
    often = " 19 times in 20 " if "that" in closer else ", 19 times in 20, "  # set off where a number stands before it
    return (f"{text} Two {_plural(word, 2)} treated alike would have to {closer}{often}before this could be called surprising "
            f"({'; '.join(technical)}).")


def _ended(finding: Finding) -> str:
    return {"change": "moved", "slope": "rose at rates that lie"}.get(finding.summary, "ended")


def _too_few(finding: Finding) -> str:
    """Pairs or rounds of which there are too few: what was seen, and how alike the two of a pair or round would have to be."""
    text = f"Too few {finding.design}: the data alone cannot tell."
    if finding.estimate is None:
        return text
    apart = distance(finding, abs(finding.estimate)) + _per_day(finding)
    seen = _levels_seen(finding)
    text += f" {seen}." if seen else f" The two {_plural(finding.unit_word, 2)} of a {DESIGN_SAMPLES[finding.design]} lay {apart} apart."
    if finding.tipping_spread is None or finding.estimate == 0:
        return text
    spread, inside = finding.tipping_spread, DESIGN_SAMPLES[finding.design]
    technical = [f"apart by {apart}"] if seen else []
    technical.append(f"an SD of {spread_words(finding, spread)} per {inside}")
    return (f"{text} Two {_plural(finding.unit_word, 2)} of a {inside} treated alike would have to end closer than "
            f"{distance(finding, 1.96 * spread)} to each other, 19 times in 20, before this could be called surprising "
            f"({'; '.join(technical)}).")


def _levels_seen(finding: Finding) -> str:
    """Where the two arms stand; empty for a finding that has no levels."""
    natural = finding.natural
    if natural is None or finding.summary in ("slope", "threshold"):
        return ""
    unit, (first, second) = unit_in_words(finding), _told_apart(natural)
    return (f"{_capital(measure_words(finding))} {_was(finding)} {with_unit(first, unit)} under {named(finding.reference_label)} and "
            f"{with_unit(second, natural.unit)} under {named(finding.changed_label)}{_started_alike(finding)}")


def _told_apart(natural: Natural) -> tuple[str, str]:
    """The reference's level and the changed arm's, in as many figures as keep them apart."""
    return figures_apart(natural.reference, natural.changed)


def _closer_words(finding: Finding, spread: float, technical: list[str]) -> str:
    """How close two like tanks would have to stay: closer than what was seen, which is the yardstick with one tank in each arm.

    Else the yardstick is what the spread makes of it: for a cover two levels, whose log-odds then join the technical words.
    """
    moves, natural = finding.summary == "change", finding.natural
    near = "that"
    if not (finding.n_reference == finding.n_changed == 1 or finding.summary == "swap"):
        size = 1.96 * math.sqrt(2.0) * spread
        near = distance(finding, size)
        if finding.scale == "logit" and natural is not None and finding.summary not in ("slope", "threshold"):
            technical.append(f"two like {_plural(finding.unit_word, 2)} closer than {near}")
            moved = natural_value(scale_value(natural.reference, "logit") + math.copysign(size, finding.estimate or 0.0), "logit")
            first, second = (with_unit(figures(level), natural.unit) for level in (natural.reference, moved))
            return f"{'move less far apart' if moves else 'end closer to each other'} than {first} is from {second}"
    if finding.summary == "slope":
        return f"rise at rates closer than {near}{_per_day(finding) if near != 'that' else ''} to each other"
    return f"move less than {near} apart" if moves else f"end closer than {near} to each other"


def _matters(finding: Finding) -> str:
    return f"{_capital(named(finding.changed_label))} gave {_direction(finding)}, and by enough to matter."


def _alike(finding: Finding) -> str:
    text = "Any difference is smaller than would matter."
    leaves_out_none = finding.low is not None and finding.high is not None and not finding.low <= 0 <= finding.high
    return f"{text} There is a difference, but a smaller one than would matter." if leaves_out_none else text


def _differs(finding: Finding) -> str:
    changed = _capital(named(finding.changed_label))
    if finding.summary == "threshold":
        score = dict(finding.facts).get("score", finding.estimate)
        when = "at another time" if score is None else "later" if score > 0 else "earlier"
        return f"{changed} reached the threshold of {measure_words(finding)} {when}; how much is still unsure."
    return f"{changed} gave {_direction(finding)}; how much is still unsure."


def _open(finding: Finding) -> str:
    if finding.shuffle_gate_refused and finding.shuffle_p is not None:
        cases = f"{figures(100 * finding.shuffle_p, 2)}{NO_BREAK}%"
        return f"Cannot tell: the interval leaves out no effect, but re-drawing the lot gives such a difference in {cases} of cases."
    if finding.summary == "threshold" and finding.shuffle_p is None:
        return ("Cannot tell: for a day on which a threshold is reached, fewer than 4 "
                f"{_plural(finding.unit_word, 2)} in an arm can never settle the order.")
    if finding.summary == "threshold" and "not blinded" in finding.tags:
        return "Cannot tell: the scores were not blinded, and such scores decide nothing."
    if finding.summary == "threshold" and _holm_refused(finding):
        return f"Cannot tell: not when all secondary measures are counted (Holm-adjusted p {p_words(finding.holm_p or 0.0)})."
    if finding.summary == "threshold":
        return "Cannot tell: the lot alone could have made the order in which the tanks reached the threshold."
    if finding.low is None or finding.high is None:
        if is_without_scatter(finding):
            return f"Cannot tell: the {_plural(finding.unit_word, 2)} of an arm show no scatter at all, so that no interval can be given."
        if "at the limit of the scale" in finding.tags:
            return "Cannot tell: the values lie at the limit of the scale, where no interval can be given."
        return "Cannot tell: no interval can be given."
    if _holm_refused(finding):
        return ("Cannot tell: taken alone the interval leaves out no effect, but not when all secondary measures are counted "
                f"(Holm-adjusted p {p_words(finding.holm_p or 0.0)}).")
    if not finding.low <= 0 <= finding.high or (_inside_margin(finding) and finding.role == "primary"):
        if "not blinded" in finding.tags:
            return "Cannot tell: the scores were not blinded, and such scores decide nothing, whatever the interval says."
        return "Cannot tell: the interval alone would say more, but a rule of the plan withholds the claim; see the cautions."
    if finding.margin is None or _inside_margin(finding):
        return "Cannot tell: no effect fits what was seen."
    return "Cannot tell: both no effect and an effect that matters fit what was seen."


# amounts -------------------------------------------------------------------------------------------------------------


def _level_amount(finding: Finding) -> str:
    natural = finding.natural
    if natural is None or natural.low is None or natural.high is None:
        estimate, low, high = with_interval(finding)
        decimals = decimals_of(estimate, low, high)
        bounds = f"{number(low, decimals)} to {number(high, decimals)}{_level(finding)}"
        return f"The difference in {measure_words(finding)} is {number(estimate, decimals)} ({bounds}) on the log-odds scale."
    reference, changed, bounds = levels_apart(finding, natural.reference, natural.changed, natural.low, natural.high)
    return (f"{_capital(measure_words(finding))} of {with_unit(reference, natural.unit)} under {named(finding.reference_label)} would be "
            f"{with_unit(changed, natural.unit)} ({with_unit(bounds, natural.unit)}{_level(finding)}) under "
            f"{named(finding.changed_label)}.")


def _ratio_amount(finding: Finding) -> str:
    was = _was(finding)
    return (f"{_capital(measure_words(finding))} under {named(finding.changed_label)} {was} {ratio(finding, ' times')} what it {was} "
            f"under {named(finding.reference_label)}{_started_alike(finding)} ({interval_of_ratio(finding)} times{_level(finding)}).")


def _difference_amount(finding: Finding) -> str:
    estimate, low, high = with_interval(finding)
    unit, decimals = natural_unit(finding), decimals_of(estimate, low, high)
    if low < 0 < high:
        bounds = f"{_more_or_less(low, decimals, unit)} to {_more_or_less(high, decimals, unit)}"
    else:
        near, far = sorted((abs(low), abs(high)))
        bounds = f"{interval(near, far, decimals, unit)} {'more' if high > 0 else 'less'}"
    return (f"{_capital(measure_words(finding))} under {named(finding.changed_label)} {_was(finding)} "
            f"{_more_or_less(estimate, decimals, unit_in_words(finding))} than under {named(finding.reference_label)}"
            f"{_started_alike(finding)} ({bounds}{_level(finding)}).")


def _slope_amount(finding: Finding) -> str:
    reference, changed = named(finding.reference_label), named(finding.changed_label)
    if finding.scale == "identity":
        estimate, low, high = with_interval(finding)
        unit, decimals = natural_unit(finding), decimals_of(estimate, low, high)
        bounds = f"{number(low, decimals)} to {with_unit(number(high, decimals), unit)} per day"
        return (f"Each day added {with_unit(number(estimate, decimals), unit_in_words(finding))} to {measure_words(finding)} "
                f"under {changed} beyond what it added under {reference} ({bounds}{_level(finding)}).")
    what = f"the odds of {measure_words(finding)}" if finding.scale == "logit" else measure_words(finding)
    return (f"Each day multiplied {what} under {changed} by {ratio(finding, '')} beyond what it did under {reference} "
            f"({interval_of_ratio(finding)}{_level(finding)}).")


def _more_or_less(value: float, decimals: int, unit: str) -> str:
    return f"{with_unit(number(abs(value), decimals), unit)} {'less' if value < 0 else 'more'}"


def _level(finding: Finding) -> str:
    return "" if abs(finding.level - 0.95) < 1e-9 else f"; {trimmed(number(100 * finding.level, 1))}{NO_BREAK}% interval"


def _was(finding: Finding) -> str:
    """A change is told from where the reference stands: what the changed arm would be, not what it was."""
    return "would be" if finding.summary == "change" else "was"


def _started_alike(finding: Finding) -> str:
    return f", had all {_plural(finding.unit_word, 2)} started alike" if finding.summary == "change" else ""


# small words ---------------------------------------------------------------------------------------------------------


def _per_day(finding: Finding) -> str:
    return " per day" if finding.summary == "slope" else ""


def _direction(finding: Finding) -> str:
    more = (finding.estimate or 0.0) > 0
    if finding.summary == "slope":
        return f"a {'faster' if more else 'slower'} rise in {measure_words(finding)}"
    return f"{'more' if more else 'less'} {measure_words(finding)}"


def _inside_margin(finding: Finding) -> bool:
    return (finding.margin is not None and finding.low is not None and finding.high is not None
            and -finding.margin < finding.low and finding.high < finding.margin)


def _holm_refused(finding: Finding) -> bool:
    if finding.grade != "open" or finding.role != "secondary" or finding.holm_p is None or finding.holm_p <= _alpha(finding):
        return False
    if finding.low is None or finding.high is None:
        return finding.summary == "threshold" and finding.p_value is not None and finding.p_value <= _alpha(finding)
    return not finding.low <= 0 <= finding.high


def _alpha(finding: Finding) -> float:
    """The share of false alarms that the finding's own level leaves, against which an adjusted p is held."""
    return 1 - finding.level + 1e-12


def _said_already(tag: str, finding: Finding) -> bool:
    return tag == "at the limit of the scale" and finding.grade == "open" and finding.low is None


def _plural(word: str, count: int) -> str:
    return word if count == 1 else f"{word}s"


def _after_colon(text: str) -> str:
    return text[:1].lower() + text[1:] if text.startswith("The ") else text


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _inside(title: str) -> str:
    return title[:1].lower() + title[1:] if len(title) > 1 and title[1].islower() else title
