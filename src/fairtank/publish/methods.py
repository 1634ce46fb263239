"""How the numbers were computed, in plain words, and which sources stand behind it."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish import (
    detection_words,
    drawn_start_words,
    eyes_words,
    ladder_words,
    looks_words,
    many_arms_words,
    two_changes_words,
)
from fairtank.publish.numbers import NO_BREAK, figures, number, plain_number, trimmed, with_unit
from fairtank.publish.phrases import measure_words
from fairtank.publish.scales import natural_value, scale_value
from fairtank.publish.ways import ways_words
from fairtank.sources import SOURCES
from fairtank.trial import Plan

SCALE_WORDS = {
    "logit": "Cover is compared as log-odds: ln(cover / (100 − cover)), with cover held between 0.2 and 99.8 %. On that scale like tanks "
             "scatter evenly, whether there is little or much of it. The results are brought back to per cent: a level such as "
             "“12\u00a0%” comes from the mean of the log-odds and is a middle level, not the plain average.",
    "log": "Values are compared as natural logarithms, so that differences are ratios. A level comes from the mean of the logarithms and "
           "is a middle level, not the plain average.",
    "identity": "Values are compared as they are.",
}
SUMMARY_WORDS = {
    "mean": "Each {unit}'s series becomes one number: its mean over the window, weighted by time (straight lines between photographed "
            "days, the first and last value held to the window's ends).",
    "change": "Each {unit}'s series becomes one number: its time-weighted mean after the change{after} minus that of its run-in{before}.",
    "swap": "Each {unit}'s series becomes one number: its time-weighted mean in the first period{before} minus that in the "
            "second{after}. Half the difference between the two orders is the effect; what all {unit}s did from one period to the next "
            "drops out.",
    "slope": "Each {unit}'s series becomes one number: the slope of the least-squares line through its days. Where more than 10 % of the "
             "days lie at the limit of the scale, only those before the first such day are used; at least 8 are needed.",
    "threshold": "Each {unit}'s series becomes two days: the last one below the threshold and the first one at or above it. Nobody looked "
                 "in between, so both are kept; a {unit} that never reached it is later than its last day.",
}
BASIS_METHODS = {
    "own tanks": "The {unit}s are the sample, not the photos: the interval is Welch's t-interval over one number for each {unit}.",
    "own and earlier tanks": "The {unit}s are the sample, not the photos. How far like {unit}s end up apart is judged from this trial and "
                             "from earlier like tanks together; the interval is widened, because earlier tanks are not these.",
    "earlier tanks only": "With one {unit} in an arm this trial cannot show how far like {unit}s end up apart. That is taken from earlier "
                          "like tanks alone, and the interval is widened by half, because nothing in this trial can check it.",
    "none": "No interval is given: with so few {unit}s nothing in this trial shows how far like {unit}s end up apart, and no earlier "
            "like tanks were leaned on.",
}

# For a measure that was read on one day.
ONE_DAY_SUMMARIES = {
    "mean": "Each {unit} gives one number: its value on day {day}.",
    "change": "Each {unit} gives one number: its value on day {day} minus the time-weighted mean of its run-in{before}.",
}
GAP_PLACES = {"swap": "either period", "threshold": "the window, up to the day on which the threshold was reached,"}
ONE_DAY_GAPS = "A {unit} without a value on that day has no number. Nothing is filled in."
GAPS = "A gap of more than 7 days in {where} spoils a {unit}'s number. Nothing is filled in."

# Why there is no interval, where it is not for want of tanks.
SPOILT_METHOD = "No interval is given: an arm was left without a usable {unit}."
FEW_METHODS = {"pairs": "No interval is given: with fewer than 3 pairs nothing shows how far the two of a pair end up apart.",
               "rounds": "No interval is given: it needs at least 4 rounds, and the change in either {unit}.",
               "ladder": ladder_words.FEW_METHOD, "two_changes": two_changes_words.FEW_METHOD}
THRESHOLD_METHOD = ("The {unit}s are the sample, not the photos: each {unit} of one arm is held against each of the other, and only who "
                    "was surely later counts. There is no estimate and no interval; the shuffle test alone decides, from 4 {unit}s per "
                    "arm on.")
CONSTANT_METHOD = "No interval is given: the {unit}s of an arm show no scatter, or lie at the limit of the scale."

# Designs whose own tanks are compared in another way than two groups.
DESIGN_METHODS = {
    "pairs": "The pairs are the sample, not the photos: the interval is the one-sample t-interval over one difference for each pair.",
    "rounds": "The rounds are the sample, not the photos: the interval is a t-interval over one difference for each round, after a lasting "
              "difference between the two {unit}s has been taken out.",
    "drawn_start": "The day of the start was drawn by lot: what was seen is compared with what every other day and {unit} that the lot "
                   "could have drawn would have given.",
    "ladder": ladder_words.METHOD,
    "two_changes": two_changes_words.METHOD,
}


GLOSSARY = {
    "log-odds": "Log-odds measure a cover so that a step near 0 or 100 % counts as much as one in the middle: 0.1 is the step from 10 % to "
                "10.9 %, 0.5 the step from 10 % to 15.5 %.",
    "standard deviation": "Standard deviation (SD): how far single ones typically lie from their mean.",
    "standard error": "Standard error: how far the difference told here would typically be off, were the trial repeated.",
    "degrees of freedom": "Degrees of freedom: how many numbers the scatter was learnt from, less those that the means use up; the fewer, "
                          "the wider the interval.",
    "p": "p: how often a difference at least this large would come about if the change did nothing.",
}


def methods_words(finding: Finding, plan: Plan) -> tuple[str, ...]:
    """The analysis of one measure in whole sentences, in the order in which it was done.

    Parameters
    ----------
    finding : Finding
        The frozen result.
    plan : Plan
        For the kind of design and the planned looks.

    Returns
    -------
    tuple of str
        Whole sentences.

    Examples
    --------
    See `tests/publish/test_methods.py`.
    """
    unit = finding.unit_word
    median = "" if eyes_words.is_by_choices(finding) else f" Several values of a {unit} on one day count as their median."
    words = [f"What was compared: {measure_words(finding)}, {_days_words(finding)}.{median}",
             "" if finding.summary == "threshold" else SCALE_WORDS.get(finding.scale, ""),
             *eyes_words.method_words(finding), *detection_words.method_words(finding),
             *(() if eyes_words.is_by_choices(finding) else _summary_words(finding, plan))]
    words.append(_interval_words(finding, plan).format(unit=unit))
    if finding.shuffle_p is not None and finding.arrangements:
        draws = round(dict(finding.facts).get("shuffle_draws", 0.0))
        counted = f"{draws} drawn at random of" if draws else "all"
        words.append(f"Shuffle test: of {counted} {finding.arrangements} ways in which the lot could have fallen, "
                     f"{figures(100 * finding.shuffle_p, 2)}{NO_BREAK}% give a difference at least as large.")
    if finding.role == "primary":
        words.append(looks_words.looks_method(plan))
    words.append(margin_words(finding))
    if finding.alternatives:
        alone = " when the measure is taken alone" if finding.role == "secondary" else ""
        words.append(f"Other ways of analysing, fixed beforehand by the method, and the grade each gives{alone}: {ways_words(finding)}.")
    return tuple(word for word in (*words, *glossary(finding)) if word)


def glossary(finding: Finding) -> tuple[str, ...]:
    """What the technical words mean that the methods and the sum use, one line each; only those that occur."""
    told = ["log-odds"] if finding.scale == "logit" and finding.summary != "threshold" else []
    facts = dict(finding.facts)
    if finding.low is not None or finding.tipping_spread is not None:
        told.append("standard deviation")
    if "standard_error" in facts:
        told += ["standard error", "degrees of freedom"]
    if finding.p_value is not None or finding.shuffle_p is not None:
        told.append("p")
    return tuple(GLOSSARY[word] for word in told)


def _days_words(finding: Finding) -> str:
    first, last = finding.window if finding.reading_day is None else (finding.reading_day,) * 2
    return f"day {first} to day {last}" if first < last else f"day {first}"


def _summary_words(finding: Finding, plan: Plan) -> tuple[str, str]:
    """How a unit's series becomes one number, and what spoils that number."""
    if finding.design == "drawn_start":
        return drawn_start_words.summary_words(finding)
    after = before = ""
    if finding.run_in is not None:
        after, before = (f" (day {first} to day {last})" for first, last in (finding.window, finding.run_in))
    if finding.summary == "swap":
        first, last = finding.window
        before, after = f" (day {first} to day {plan.swap_day - 1})", f" (day {plan.swap_day + plan.washout_days} to day {last})"
    is_one_day = finding.reading_day is not None and finding.summary in ONE_DAY_SUMMARIES
    summary = (ONE_DAY_SUMMARIES if is_one_day else SUMMARY_WORDS).get(finding.summary, "")
    gaps = ONE_DAY_GAPS if is_one_day and finding.run_in is None else GAPS
    where = "the run-in or after it" if finding.run_in is not None else GAP_PLACES.get(finding.summary, "the window")
    return (summary.format(unit=finding.unit_word, after=after, before=before, day=finding.reading_day),
            gaps.format(unit=finding.unit_word, where=where))


def _interval_words(finding: Finding, plan: Plan) -> str:
    if finding.summary == "threshold" and finding.grade != "spoilt":
        return THRESHOLD_METHOD
    if finding.basis == "own tanks" and finding.comparisons > 1 and plan.kind not in DESIGN_METHODS:
        return many_arms_words.METHOD
    if finding.basis == "own tanks":
        return DESIGN_METHODS.get(plan.kind) or BASIS_METHODS["own tanks"]
    if finding.basis == "none" and finding.grade == "spoilt":
        return eyes_words.SHOWN_ONLY_METHOD if eyes_words.is_shown_only(finding) else SPOILT_METHOD
    if detection_words.open_words(finding):
        return detection_words.OPEN_METHOD
    if finding.basis == "none" and "at the limit of the scale" in finding.tags and finding.grade == "open":
        return CONSTANT_METHOD
    if finding.grade == "alone" and plan.kind in FEW_METHODS:
        return FEW_METHODS[plan.kind]
    return BASIS_METHODS.get(finding.basis, "")


def margin_words(finding: Finding) -> str:
    """The smallest difference that matters, as it was fixed and in the measure's own unit, or that none was."""
    if finding.summary == "threshold":
        return ""  # a threshold knows no size of a difference
    if finding.margin is None:
        return "No smallest difference that matters was fixed beforehand, so “matters” and “alike” could not be said."
    per_day = " per day" if finding.summary == "slope" else ""
    unit = {"logit": f"log-odds{per_day}", "log": f"natural logarithms{per_day}"}.get(finding.scale, finding.unit_of_measure + per_day)
    return f"Smallest difference that matters, fixed beforehand: {with_unit(plain_number(finding.margin), unit)}{_margin_levels(finding)}."


def _margin_levels(finding: Finding) -> str:
    """What the margin does to the reference's level, in as many figures as keep the three levels apart."""
    natural, margin = finding.natural, finding.margin
    if natural is None or margin is None or finding.scale == "identity" or finding.summary in ("slope", "threshold"):
        return ""
    centre = scale_value(natural.reference, finding.scale)
    levels = (natural.reference, *(natural_value(centre + step, finding.scale) for step in (-margin, margin)))
    for count in range(2, 7):
        reference, low, high = (figures(level, count) for level in levels)
        if len({reference, low, high}) == 3:
            break
    return f"; from {with_unit(reference, natural.unit)} that is {with_unit(low, natural.unit)} or {with_unit(high, natural.unit)}"


def level_words(findings: Sequence[Finding]) -> str:
    """What the intervals promise."""
    levels = sorted({finding.level for finding in findings})
    shown_levels = " and ".join(f"{trimmed(number(100 * level, 1))}{NO_BREAK}%" for level in levels)
    are_several = any(finding.comparisons > 1 for finding in findings)
    together = "all true differences of a measure together" if are_several else "the true difference"
    return (f"Intervals hold {together} in {shown_levels} of trials like this one, if the {findings[0].unit_word}s of an arm "
            "differ only by chance. The grade follows from the interval by rules that were fixed beforehand.")


def holm_words(findings: Sequence[Finding]) -> str:
    """How the secondary measures are counted together; empty when there is none."""
    count = sum(finding.role == "secondary" for finding in findings)
    if not count:
        return ""
    if count == 1:
        return ("There is one secondary measure only, so that no adjustment for several of them is needed. It can neither raise nor "
                "lower the grade of the primary measure.")
    without = any(finding.role == "secondary" and finding.p_value is None and finding.holm_p is not None for finding in findings)
    told = " One without a p is counted among them, as one that shows nothing." if without else ""
    return (f"The {count} secondary measures are judged one at a time; Holm's adjustment then counts them "
            f"together.{told} They can neither raise nor lower the grade of the primary measure.")


def references(findings: Sequence[Finding], plan: Plan) -> tuple[str, ...]:
    """The published sources behind the findings, as full references in the order of their keys."""
    keys = {key for finding in findings for key in finding.sources}
    if any(finding.role == "secondary" and finding.holm_p is not None for finding in findings):
        keys.add("holm1979")
    if plan.kind not in DESIGN_METHODS and any(finding.basis == "own tanks" and finding.low is not None for finding in findings):
        keys.add("welch1947")
    if any(finding.summary in ("mean", "change", "swap", "slope") for finding in findings):
        keys.add("matthews1990")
    keys.add("okabe2008")
    return tuple(SOURCES[key].reference + (" (cited from memory)" if SOURCES[key].from_memory else "") for key in sorted(keys)
                 if key in SOURCES)
