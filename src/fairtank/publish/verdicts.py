"""The verdict of a finding in its settled wording, one sentence or two for each grade."""

import re

from fairtank.finding import Finding
from fairtank.inference.unfinished import NOT_OVER
from fairtank.publish import detection_words, eyes_words
from fairtank.publish.alone_words import alone_words
from fairtank.publish.numbers import NO_BREAK, figures, p_words, shown
from fairtank.publish.phrases import capital, direction, measure_words, named, plural
from fairtank.publish.words import is_without_scatter

MOST_REASONS = 3
NO_UNIT = "no usable unit in "


def verdict_words(finding: Finding) -> str:
    """The verdict alone, in its settled wording."""
    makers = {"spoilt": _spoilt, "alone": alone_words, "matters": _matters, "alike": _alike, "differs": _differs, "open": _open}
    return makers[finding.grade](finding)


def _spoilt(finding: Finding) -> str:
    """A trial ends here; a secondary measure only goes without a judgement. A trial that is still running is not called spoilt."""
    reason = _with_articles(shown(finding.spoilt_reason), finding)
    reason = reason or next((shown(unit.spoilt) for unit in finding.units if unit.spoilt), "")
    if eyes_words.is_shown_only(finding):
        return eyes_words.not_judged_words(finding)
    if reason.startswith(NOT_OVER):
        opening = "Not judged yet" if finding.role == "secondary" else "No finding yet"
        return f"{opening}: {_after_colon(reason).replace(':', ';', 1).rstrip('.')}."
    reasons = (reason or f"an arm was left without a usable {finding.unit_word}").rstrip(".").split(". ")
    if len(reasons) > MOST_REASONS:
        reasons = [*reasons[:1], f"The other {len(reasons) - 1} reasons stand beside the {plural(finding.unit_word, 2)}"]
    if finding.role == "secondary":
        return f"This measure was not judged: {_after_colon('. '.join(reasons))}."
    return f"This trial was spoilt: {'. '.join(reasons)}. No finding."


def _with_articles(reason: str, finding: Finding) -> str:
    """The reason with its arms as they stand inside a sentence: `no usable tank in the 8 h block: ...`."""
    where, colon, rest = reason.partition(":")
    if not where.startswith(NO_UNIT):
        return reason
    arms = where.removeprefix(NO_UNIT)
    for label in {shown(finding.reference_label), shown(finding.changed_label)}:
        arms = re.sub(rf"(^|(?<= and )){re.escape(label)}(?= and |$)", named(label).replace("\\", r"\\"), arms)
    return f"no usable {finding.unit_word} in {arms}{colon}{rest}"


def _matters(finding: Finding) -> str:
    return f"{capital(named(finding.changed_label))} gave {direction(finding)}, and by enough to matter."


def _alike(finding: Finding) -> str:
    text = "Any difference is smaller than would matter."
    leaves_out_none = finding.low is not None and finding.high is not None and not finding.low <= 0 <= finding.high
    return f"{text} There is a difference, but a smaller one than would matter." if leaves_out_none else text


def _differs(finding: Finding) -> str:
    changed = capital(named(finding.changed_label))
    if finding.summary == "threshold":
        score = dict(finding.facts).get("score", finding.estimate)
        when = "at another time" if score is None else "later" if score > 0 else "earlier"
        return f"{changed} reached the threshold of {measure_words(finding)} {when}; how much {when} is not told by this test."
    return f"{changed} gave {direction(finding)}; how much is still unsure."


def _open(finding: Finding) -> str:
    if finding.shuffle_gate_refused and finding.shuffle_p is not None:
        cases = f"{figures(100 * finding.shuffle_p, 2)}{NO_BREAK}%"
        return f"Cannot tell: the interval leaves out no effect, but re-drawing the lot gives such a difference in {cases} of cases."
    if finding.summary == "threshold" and finding.shuffle_p is None:
        return ("Cannot tell: on which day a threshold is reached, this method does not decide with fewer than 4 "
                f"{plural(finding.unit_word, 2)} in an arm.")
    if finding.summary == "threshold" and "not blinded" in finding.tags:
        return "Cannot tell: the scores were not blinded, and such scores decide nothing."
    if finding.summary == "threshold" and holm_refused(finding):
        return f"Cannot tell: not when all secondary measures are counted (Holm-adjusted p {p_words(finding.holm_p or 0.0)})."
    if finding.summary == "threshold":
        return "Cannot tell: the lot alone could have made the order in which the tanks reached the threshold."
    if finding.low is None or finding.high is None:
        if is_without_scatter(finding):
            return f"Cannot tell: the {plural(finding.unit_word, 2)} of an arm show no scatter at all, so that no interval can be given."
        if "at the limit of the scale" in finding.tags:
            return "Cannot tell: the values lie at the limit of the scale, where no interval can be given."
        return detection_words.open_words(finding) or "Cannot tell: no interval can be given."
    if holm_refused(finding):
        return ("Cannot tell: taken alone the interval leaves out no effect, but not when all secondary measures are counted "
                f"(Holm-adjusted p {p_words(finding.holm_p or 0.0)}).")
    if not finding.low <= 0 <= finding.high or (inside_margin(finding) and finding.role == "primary"):
        if "not blinded" in finding.tags:
            return "Cannot tell: the scores were not blinded, and such scores decide nothing, whatever the interval says."
        return "Cannot tell: the interval alone would say more, but a rule of the plan withholds the claim; see the cautions."
    if finding.margin is None or inside_margin(finding):
        return "Cannot tell: “no effect” fits what was seen."
    return "Cannot tell: both no effect and an effect that matters fit what was seen."


def standing_words(finding: Finding) -> str:
    """Whether a secondary measure stands when all of them are counted (Holm); empty for a primary one and for the only secondary one."""
    if finding.role != "secondary" or finding.holm_p is None or (finding.low is None and finding.p_value is None):
        return ""
    if holm_refused(finding) or finding.family == 1:
        return ""
    stands = "it stands" if finding.holm_p <= alpha_of(finding) else "it does not stand out"
    others = "measure" if finding.family == 2 else "measures"
    return f"Counted together with the other secondary {others} {stands} (Holm-adjusted p {p_words(finding.holm_p)})."


def inside_margin(finding: Finding) -> bool:
    return (finding.margin is not None and finding.low is not None and finding.high is not None
            and -finding.margin < finding.low and finding.high < finding.margin)


def holm_refused(finding: Finding) -> bool:
    if finding.grade != "open" or finding.role != "secondary" or finding.holm_p is None or finding.holm_p <= alpha_of(finding):
        return False
    if finding.low is None or finding.high is None:
        return finding.summary == "threshold" and finding.p_value is not None and finding.p_value <= alpha_of(finding)
    return not finding.low <= 0 <= finding.high


def alpha_of(finding: Finding) -> float:
    """The share of false alarms that the finding's own level leaves, against which an adjusted p is held."""
    return 1 - finding.level + 1e-12


def _after_colon(text: str) -> str:
    return text[:1].lower() + text[1:] if text.startswith("The ") else text
