"""People's scores and choices in words: how far they agree, what a difference means in choices, and the order of tanks with its doubt."""

import math

from fairtank.finding import Eyes, Finding
from fairtank.inference.eyes.eyes import SETTLES_OPENING
from fairtank.publish.blocks import Block, Table, Words
from fairtank.publish.numbers import NO_BREAK, interval, number, plain_number, shown, with_unit
from fairtank.publish.phrases import capital, level_note, measure_words, named, plural

CHOICES_SUMMARY = ("Each {unit} gives one number: its strength, the log odds of being picked over the mean of all {unit}s, from all "
                   "choices between photos in the window together (Bradley and Terry's model). Several photos of one {unit} are still "
                   "one {unit}.")
CHOICES_SAMPLE = ("Strengths of {unit}s of one arm scatter by what sets the {unit}s apart and by chance in the answers; both are inside "
                  "the interval. Where choices between the arms mostly went one way, what that leaves unsure is added to it.")
SCORES_SUMMARY = ("A photo's number is the mean of its first scores over the people who gave one; a second score of a photo by the same "
                  "person only tells how far that person agrees with themself.")
RULE = ("Scores are judged from an agreement of 0.80 on (Krippendorff's alpha for ordered steps), with a tag from 0.667 on, and only shown "
        "below that.")
SHOWN_ONLY_METHOD = "No interval is given: what people said is shown and not judged."


def is_shown_only(finding: Finding) -> bool:
    """Whether people agree too little, or compared too little, for a judgement."""
    return finding.eyes is not None and finding.eyes.use == "display only"


def is_by_choices(finding: Finding) -> bool:
    """Whether the numbers come from choices between two photos."""
    return finding.eyes is not None and finding.eyes.kind == "choices"


def not_judged_words(finding: Finding) -> str:
    """The verdict of a measure that is shown and not judged: why, and what would settle it."""
    reason = shown(finding.spoilt_reason).rstrip(".")
    opening = "This measure was not judged" if finding.role == "secondary" else "No finding"
    return f"{opening}: {reason[:1].lower()}{reason[1:]}."


def settling_words(finding: Finding) -> str:
    """What would settle a measure that is shown only; empty for every other finding."""
    if not is_shown_only(finding):
        return ""
    settles = finding.spoilt_reason.partition(SETTLES_OPENING)[2].rstrip(".")
    return f"{capital(shown(settles))}." if settles else ""


def amount_words(finding: Finding) -> str | None:
    """For choices, how often a changed tank would be picked over a reference one; None for every other finding."""
    if not is_by_choices(finding) or finding.grade in ("spoilt", "alone"):
        return None
    if finding.low is None or finding.high is None or finding.estimate is None:
        return ""
    return (f"Asked which of two photos shows more {measure_words(finding)}, people would pick a {finding.unit_word} under "
            f"{named(finding.changed_label)} over one under {named(finding.reference_label)} in {picked_words(finding)}; "
            f"50{NO_BREAK}% is no difference.")


def picked_words(finding: Finding) -> str:
    """The share of choices with its interval, as a sentence and a table tell it; empty for what is no finding about choices."""
    if not is_by_choices(finding) or finding.estimate is None:
        return ""
    middle = f"{_percent(finding.estimate)}{NO_BREAK}% of choices"
    if finding.low is None or finding.high is None:
        return f"{middle}, no interval"
    return f"{middle} ({with_unit(f'{_percent(finding.low)} to {_percent(finding.high)}', '%')}{level_note(finding)})"


def _percent(log_odds: float) -> str:
    """A share of choices in whole percent; people are never quite of one mind."""
    share = 100.0 / (1.0 + math.exp(-min(max(log_odds, -50.0), 50.0)))
    return number(share, 0) if 1 <= share <= 99 else "under 1" if share < 1 else "over 99"


def people_words(finding: Finding) -> str | None:
    """Who scored or chose and how far they agree, and in how many pairs of tanks the changed one stood higher; None where nobody did."""
    eyes = finding.eyes
    if eyes is None or finding.grade == "spoilt":
        return None
    people = f"{eyes.raters} {'person' if eyes.raters == 1 else 'people'}"
    if eyes.kind == "choices":
        return f"Chosen by {people}, in {eyes.answers} choices between two photos."
    text = f"Scored by {people} on {eyes.photos} photos"
    agreement = agreement_words(eyes)
    known = f"their agreement is {agreement}" if agreement and eyes.use != "not known" else "whether others would see the same is not known"
    return f"{text}; {known}.{_higher_words(finding)}"


def agreement_words(eyes: Eyes) -> str:
    """Alpha with its interval and what it means; empty where there is none."""
    if eyes.alpha is None:
        return ""
    bounds = "" if eyes.low is None or eyes.high is None else f"{interval(eyes.low, eyes.high, 2, '')}; "
    return f"{number(eyes.alpha, 2)} ({bounds}1 is perfect, 0 is chance)"


def _higher_words(finding: Finding) -> str:
    share = dict(finding.facts).get("higher_share")
    if share is None or finding.grade == "alone":
        return ""
    pairs = finding.n_reference * finding.n_changed
    higher = round(share * pairs, 3)
    ties = "" if higher.is_integer() else ", a tie counting half"
    return (f" Each {finding.unit_word} under {named(finding.changed_label)} was set beside each under {named(finding.reference_label)}: "
            f"it stands higher in {plain_number(higher)} of {pairs} cases{ties}.")


def method_words(finding: Finding) -> tuple[str, ...]:
    """How scores or choices became numbers, in whole sentences; empty where there are none."""
    eyes = finding.eyes
    if eyes is None:
        return ()
    if eyes.kind == "choices":
        return (CHOICES_SUMMARY.format(unit=finding.unit_word), CHOICES_SAMPLE.format(unit=finding.unit_word))
    return SCORES_SUMMARY, RULE


def eyes_blocks(finding: Finding) -> tuple[Block, ...]:
    """People's agreement, and for choices the order of the tanks with the places that each may hold; empty where nobody was asked."""
    eyes = finding.eyes
    if eyes is None:
        return ()
    blocks: list[Block] = [Words(f"{capital(measure_words(finding))}: {shown(eyes.reason)}", "quiet")]
    if eyes.alone:
        rows = tuple((shown(own.rater) or "one person", str(own.repeats), f"{number(100 * own.same_share, 0)}{NO_BREAK}%",
                      "none" if own.kappa is None else number(own.kappa, 2) if own.low is None or own.high is None else
                      f"{number(own.kappa, 2)} ({interval(own.low, own.high, 2, '')})") for own in eyes.alone)
        blocks.append(Table("Photos that a person scored twice: agreement with themself",
                            ("Person", "Photos", "Same score", "Weighted kappa with interval"), rows, numeric=(1, 2)))
    if eyes.ranking:
        blocks.append(_ranking_table(finding, eyes))
    return tuple(blocks)


def _ranking_table(finding: Finding, eyes: Eyes) -> Table:
    """Never a bare league table: each place stands beside those that the intervals leave open."""
    arm_of = {unit.unit: unit.arm for unit in finding.units}
    rows = []
    for ranked in eyes.ranking:
        strength = number(ranked.strength, 2)
        if ranked.low is not None and ranked.high is not None:
            strength += f" ({interval(ranked.low, ranked.high, 2, '')})"
        places = "not known" if ranked.best is None or ranked.worst is None else \
            str(ranked.best) if ranked.best == ranked.worst else f"{ranked.best} to {ranked.worst}"
        rows.append((shown(ranked.unit), shown(arm_of.get(ranked.unit, "")), f"{number(100 * ranked.picked_share, 0)}{NO_BREAK}% of "
                     f"{ranked.comparisons}", strength, places))
    word = finding.unit_word
    return Table(f"{capital(plural(word, 2))} in the order in which people picked them, with every place that each may hold",
                 (capital(word), "Arm", "Picked in", "Strength (log odds) with interval", "Place"), tuple(rows))
