"""Several arms in words: which two are compared, that all comparisons hold together, and the arms' places with their uncertainty."""

from fairtank.finding import Finding, RankedArm
from fairtank.publish.phrases import capital, direction, level_words, measure_words, named, plural
from fairtank.publish.verdicts import verdict_words as general_verdict

OPEN = "Cannot tell: "
METHOD = ("The {unit}s are the sample, not the photos: each comparison is a t-interval over one number for each {unit} of its two arms, "
          "each arm with its own scatter. All comparisons of the measure share one promise: every interval reaches so much farther that "
          "all of them hold together.")


def verdict_words(finding: Finding) -> str | None:
    """The verdict, with both arms named; None where the general wording says it."""
    changed, reference = named(finding.changed_label), named(finding.reference_label)
    if finding.grade in ("matters", "differs"):
        how = "and by enough to matter" if finding.grade == "matters" else "how much is still unsure"
        mark = "," if finding.grade == "matters" else ";"
        return f"{capital(changed)} gave {direction(finding)} than {reference}{mark} {how}."
    text = general_verdict(finding)
    if finding.grade == "alike":
        return text.replace("Any difference is", f"Between {changed} and {reference} any difference is", 1)
    if finding.grade == "open" and text.startswith(OPEN):
        return f"Cannot tell {changed} from {reference}: {text.removeprefix(OPEN)}"
    return None


def amount_words(finding: Finding) -> str | None:
    """As for every other design."""
    return None


def count_words(finding: Finding) -> str | None:
    """On how many tanks the comparison rests, and that it is one of several."""
    if finding.grade in ("spoilt", "alone"):
        return None
    changed, word = finding.n_changed, finding.unit_word
    first = f"{changed} {plural(word, changed)} under {named(finding.changed_label)}"
    return f"Judged on {first} and {finding.n_reference} under {named(finding.reference_label)}. {_together(finding)}"


def _together(finding: Finding) -> str:
    """That all comparisons share one promise, and what that costs each."""
    count = finding.comparisons
    both = ("Both comparisons", "both") if count == 2 else (f"All {count} comparisons", "all")
    return f"{both[0]} hold at once (in {level_words(finding)} of such trials {both[1]} of them do); that makes each interval wider."


def ranking_words(finding: Finding) -> str:
    """The arms from the highest to the lowest, each with the places that it may hold; empty where there is no ranking.

    It is the same for every comparison of a measure: tell it once.

    Parameters
    ----------
    finding : Finding
        One of the measure's findings.

    Returns
    -------
    str
        One or two sentences.

    Examples
    --------
    See `tests/publish/test_many_arms_words.py`.
    """
    ranked = finding.ranking
    if not ranked or finding.grade == "spoilt":
        return ""
    if all((arm.best, arm.worst) == (1, len(ranked)) for arm in ranked):
        return f"The arms cannot be put in order by {_what(finding)}: each of the {len(ranked)} may have any place."
    rows = ", ".join(_placed(arm) for arm in ranked)
    return (f"So far each arm may hold these places, counted from {_opening(finding)}: {rows}. All of this holds together at "
            f"{level_words(finding)}.")


def _placed(arm: RankedArm) -> str:
    return f"{named(arm.label)} {arm.best}" if arm.best == arm.worst else f"{named(arm.label)} {arm.best} to {arm.worst}"


def _what(finding: Finding) -> str:
    rise = {"change": f"the change in {measure_words(finding)}", "slope": f"the rise in {measure_words(finding)}"}
    return rise.get(finding.summary, measure_words(finding))


def _opening(finding: Finding) -> str:
    opening = {"change": "the largest change upwards in", "slope": "the fastest rise in"}.get(finding.summary, "the highest")
    return f"{opening} {measure_words(finding)}"
