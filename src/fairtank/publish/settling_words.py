"""What would settle a finding, in words: how many tanks, pairs or rounds, and what the tanks at hand could do."""

import math

from fairtank.finding import MOST_NEEDED, Finding, Settling
from fairtank.publish import detection_words, eyes_words, two_changes_words
from fairtank.publish.numbers import figures, with_unit
from fairtank.publish.phrases import capital, counted, per_day, plural
from fairtank.publish.printed import difference_unit, distance
from fairtank.publish.scales import natural_value, scale_value

FEWEST_TRIALS = 5
PLATEAU_DAYS = 42
SURE_DF = 10
LEAST = {"pair": "Three pairs are the least from which an interval can be made",
         "round": "Four rounds, with the change in either tank, are the least from which an interval can be made"}
UNSURE = "There is a difference, as far as one trial can tell"
MORE_TRIALS = "More tanks in one new trial, or three trials of the question pooled, would tell."
NARROWED = "A new trial with more tanks per arm would narrow it; so would three trials of the same question, pooled."


def settling_words(finding: Finding) -> str:
    """What would settle a finding; empty where nothing was reckoned (a secondary measure, a trial that is not over).

    Parameters
    ----------
    finding : Finding
        The frozen result with its `settling`.

    Returns
    -------
    str
        A few sentences: about the margin, or where none was fixed about sizes to choose from; never about the difference that was seen.

    Examples
    --------
    See `tests/publish/test_settling_words.py`.
    """
    settling = finding.settling
    if settling is None:
        return ""
    own = eyes_words.settling_words(finding) or detection_words.settling_words(finding)
    if own:
        return own
    makers = {"difference": _difference, "width": _width, "size": _size, "count": _count, "repeat": _repeat, "scale": _scale,
              "again": _again, "more": _more, "wait": _wait, "blind": _blind}
    together = two_changes_words.interaction_words(finding) if finding.design == "two_changes" else ""
    parts = [*makers[settling.aim](finding, settling), together, *_rules(finding, settling)]
    return " ".join(part for part in parts if part)


# with a margin -------------------------------------------------------------------------------------------------------------


def _difference(finding: Finding, settling: Settling) -> list[str]:
    """How many would notice a difference as large as the margin."""
    margin = f"a difference as large as the margin ({size_words(finding, settling.margin or 0.0)})"
    if settling.needed is None:
        return [_three_would(finding, settling, margin), *_at_hand(finding, settling)]
    if settling.needed <= settling.have:
        return [f"{capital(_per_arm(finding, settling, settling.have))} notice {margin} 4 times in 5, with {_scatter_words(settling)}; "
                "this was one of the times when nothing was settled, or the difference is smaller. "
                f"{_of_samples(settling, MORE_TRIALS)}", _range(finding, settling)]
    needed = _per_arm(finding, settling, settling.needed, "about ")
    return [f"To notice {margin} 4 times in 5 takes {needed}, with {_scatter_words(settling)}.", _range(finding, settling),
            _other_ways(settling), _days(finding)]


def _width(finding: Finding, settling: Settling) -> list[str]:
    """How many would tell the size."""
    text, margin = f"{UNSURE}; how large it is, is not settled.", size_words(finding, settling.margin or 0.0)
    if settling.spread is None or settling.needed is None:
        return [text, f"More {plural(settling.sample, 2)} would narrow the interval."]
    if settling.needed <= settling.have:
        return [text, f"The interval lies across the margin. {_of_samples(settling, NARROWED)}"]
    enough = _per_arm(finding, settling, settling.needed, "about ")
    return [text, f"With {_scatter_words(settling)}, {enough} would let the interval reach no farther than the margin ({margin}) to either "
            "side.", _range(finding, settling), _other_ways(settling)]


def _range(finding: Finding, settling: Settling) -> str:
    """How unsure that number is, because few units show their scatter only roughly."""
    low, high = settling.needed_low, settling.needed_high
    if low is None or high is None or low == high:
        return ""
    top = f"more than {MOST_NEEDED}" if high > MOST_NEEDED else str(high)
    if settling.spread_basis == "earlier tanks":
        return f"It is {low} to {top} if these tanks vary a third less or half as much again."
    if low > MOST_NEEDED:
        return ""
    return (f"That scatter is itself known only roughly from so few {plural(settling.sample, 2)}: 4 times in 5 the right number lies "
            f"between {low} and {top}.")


def _per_arm(finding: Finding, settling: Settling, count: int, about: str = "") -> str:
    """So many, of what, and where."""
    number, more = min(count, MOST_NEEDED), "more than " if count > MOST_NEEDED else about
    if settling.sample in LEAST:
        return f"{more}{number} {plural(settling.sample, number)}"
    where = "for each order" if finding.summary == "swap" else "per arm"
    return f"{more}{number} {plural(settling.sample, number)} {where}"


def _of_samples(settling: Settling, text: str) -> str:
    """The text with what is counted in place of tanks per arm."""
    return text.replace("tanks per arm" if settling.sample in LEAST else "tanks", plural(settling.sample, 2), 1)


def _scatter_words(settling: Settling) -> str:
    return "the scatter of the earlier tanks" if settling.spread_basis == "earlier tanks" else "the scatter seen here"


def _other_ways(settling: Settling) -> str:
    """What a run-in or a swap would save, where that is a way out."""
    ways = []
    if settling.with_run_in is not None and settling.needed is not None and settling.with_run_in < settling.needed:
        ways.append(f"a run-in of two weeks before the change would bring it down to about {settling.with_run_in} per arm")
    if settling.with_swap is not None and settling.needed is not None and settling.with_swap < settling.needed:
        ways.append(f"a swap, where the change can be taken back, to about {settling.with_swap} for each order" if ways else
                    "a swap, where the change can be taken back, would bring it down to about "
                    f"{settling.with_swap} for each order")
    if not ways:
        return ""
    return f"{capital(', and '.join(ways))}, if most of that scatter comes from lasting differences between {plural(settling.sample, 2)}."


def _days(finding: Finding) -> str:
    if finding.summary == "slope":
        return "More days sharpen a slope only as long as the growth goes on as it did."
    if finding.summary not in ("mean", "change") or finding.reading_day is not None or finding.design == "rounds":
        return ""
    if finding.window[1] - finding.window[0] >= PLATEAU_DAYS:
        word = plural(finding.unit_word, 2)
        return f"In settled {word} more days buy nothing; in new ones, where the effect builds up, they do."
    word = finding.unit_word
    return (f"In settled {plural(word, 2)} more days hardly help beyond six weeks; in a new {word}, where the effect builds up, they "
            "do.")


# without a known spread -----------------------------------------------------------------------------------------------------


def _three_would(finding: Finding, settling: Settling, margin: str) -> str:
    """Three per arm, and how alike tanks would have to be for three to do."""
    word, spread = plural(settling.sample, 2), settling.spread_for_three
    if finding.summary == "swap" or spread is None:
        where = "for each order" if finding.summary == "swap" else "per arm"
        return f"Three {word} {where} would show themselves how far like {word} differ; then {margin} can be judged."
    return (f"Three {word} per arm would notice {margin} 4 times in 5, provided two {word} treated alike usually, 19 times in 20, "
            f"{_near(finding, 1.96 * math.sqrt(2.0) * spread)}.")


def _near(finding: Finding, size: float) -> str:
    """How close to each other like tanks would have to stay: for a cover as two levels."""
    natural = finding.natural
    if finding.summary == "slope":
        return f"rise at rates closer to each other than {size_words(finding, size)}"
    if finding.scale == "logit" and natural is not None:
        other = natural_value(scale_value(natural.reference, "logit") + size, "logit")
        first, second, _ = (with_unit(level, natural.unit) for level in _apart(natural.reference, other, 0.0))
        near = f"{first} is from {second}"
    else:
        near = distance(finding, size)
    return f"move less far apart than {near}" if finding.summary == "change" else f"end closer to each other than {near}"


def _at_hand(finding: Finding, settling: Settling) -> list[str]:
    """What the tanks at hand could do, and what earlier tanks would."""
    parts = []
    if finding.n_reference == finding.n_changed == 1 and finding.design in ("side_by_side", "run_in"):
        parts.append(f"With the two {plural(settling.sample, 2)} at hand: let the change go to and fro between them for four rounds or "
                     "more, where it can be taken back, or let the lot draw the day on which it starts.")
    groups = 0 if finding.earlier is None else finding.earlier.groups
    if groups < FEWEST_TRIALS:
        have = f" ({counted(groups, 'trial')} so far)" if groups else ""
        parts.append(f"Finished trials of like {plural(settling.sample, 2)} would help too, from {FEWEST_TRIALS} on{have}: they show how "
                     "far apart like ones end up.")
    return parts


# without a margin -----------------------------------------------------------------------------------------------------------


def _size(finding: Finding, settling: Settling) -> list[str]:
    """A margin has to come first; sizes to choose from."""
    opening = f"{UNSURE}; how much would matter, nobody fixed beforehand." if finding.grade == "differs" else ""
    fix = "Fix a margin before the next trial: the smallest difference that would change what you do."
    if not settling.reach:
        word = plural(settling.sample, 2)
        three = f"Three {word} per arm would show themselves how far like {word} differ." if settling.sample not in LEAST else ""
        return [opening, fix, three, *_at_hand(finding, settling)]
    per = "" if settling.sample in LEAST else " for each order" if finding.summary == "swap" else " per arm"
    told = [f"{size_words(finding, size)} with {count} {plural(settling.sample, count)}{per}" if place == 0 else
            f"{size_words(finding, size, again=True)} with {count}" for place, (count, size) in enumerate(settling.reach)]
    rough = "" if (settling.spread_df or 0) >= SURE_DF else " These numbers are as rough as that scatter."
    return [opening, fix, f"With {_scatter_words(settling)} you would notice, 4 times in 5, {'; '.join(told)}.{rough}"]


def size_words(finding: Finding, size: float, *, again: bool = False) -> str:
    """A size on the finding's scale in the measure's own unit: what it makes of the reference's level, a factor, or the difference itself.

    again: the reference's level was named just before.

    >>> from types import SimpleNamespace
    >>> size_words(SimpleNamespace(scale="log", summary="mean", natural=None, unit_of_measure="cm", eyes=None), 0.2)
    'a factor of 1.22'
    """
    natural = finding.natural
    if eyes_words.is_by_choices(finding):
        picked = [with_unit(figures(natural_value(step, "logit")), "%") for step in (-size, size)]
        instead = "" if again else f" instead of {with_unit('50', '%')}"
        return f"{picked[0]} or {picked[1]} of choices{instead}"
    if finding.scale == "logit" and natural is not None and finding.summary != "slope":
        centre = scale_value(natural.reference, "logit")
        low, high = (natural_value(centre + step, "logit") for step in (-size, size))
        below, level, above = (with_unit(told, natural.unit) for told in _apart(low, natural.reference, high))
        return f"{below} or {above}{'' if again else f' instead of {level}'}"
    if finding.scale == "identity":
        return with_unit(figures(size), difference_unit(finding)) + per_day(finding)
    odds = " on the odds" if finding.scale == "logit" else ""
    rise = math.expm1(min(size, 700.0))
    count = 2 if rise >= 1 else 3 - math.floor(math.log10(rise)) - 1
    return f"a factor of {figures(1.0 + rise, count)}{odds}{per_day(finding)}"


def _apart(*levels: float) -> list[str]:
    """Levels in as many figures as keep them apart."""
    for count in range(2, 7):
        told = [figures(level, count) for level in levels]
        if len(set(told)) == len(levels):
            break
    return told


# without numbers ------------------------------------------------------------------------------------------------------------


def _count(finding: Finding, settling: Settling) -> list[str]:
    if settling.sample in LEAST and finding.summary != "threshold":
        return [f"{LEAST[settling.sample]}; this trial has {counted(settling.have, settling.sample)}. Each further one narrows the "
                "interval."]
    word = plural(settling.sample, 2)
    if settling.have < 4:
        return [f"Four {word} per arm are the least from which an order can be told.",
                "How much there was on average, or how fast it rose, can be judged on fewer; that has to be planned before the start."]
    untold = dict(finding.facts).get("pairs_untold", 0.0)
    closer = "Photos at shorter intervals would tell more of the pairs apart." if untold else ""
    return ["" if finding.grade == "differs" else f"More {word} per arm would tell the order.", closer,
            "How large the difference is, a threshold cannot say; a mean or a slope can, if it is planned before the start."]


def _repeat(finding: Finding, settling: Settling) -> list[str]:
    word = plural(settling.sample if settling.sample not in LEAST else finding.unit_word, 2)
    return [f"One trial is one trial. A repeat with other {word}, plants and water would show whether it holds there too; from three "
            "trials on they can be pooled."]


def _scale(finding: Finding, settling: Settling) -> list[str]:
    if any(unit.clipped_days for unit in finding.units):
        return ["A measure or a window whose values do not lie at their limit would settle it, or the day on which a level is first "
                "reached, with four tanks per arm or more."]
    return ["Values that are read more finely would settle it: equal numbers hide how far like tanks differ."]


def _again(finding: Finding, settling: Settling) -> list[str]:
    return [f"Next time: a photo of every {finding.unit_word} at least once a week, most of all when it looks bad, and one "
            f"{finding.unit_word} more in each arm than is needed, so that one loss does not end the trial."]


def _blind(finding: Finding, settling: Settling) -> list[str]:
    return ["The interval alone would say more: what is missing is not more numbers but people who could not know the arms."]


def _wait(finding: Finding, settling: Settling) -> list[str]:
    return ["The trial goes on; a look still to come may settle it."]


def _more(finding: Finding, settling: Settling) -> list[str]:
    word = plural(settling.sample, 2)
    texts = {
        "drawn_start": f"It speaks of these two {word} alone. Three {word} per arm, or a swap where the change can be taken back, would "
                       f"speak of other {word} too.",
        "ladder": f"More {word} would settle it, most of all at the lowest and the highest step: they tell most about the trend.",
        "two_changes": f"More {word} would settle it, and each of them serves both changes.",
    }
    return [texts.get(finding.design, f"More {word} per arm would settle it.")]


def _rules(finding: Finding, settling: Settling) -> list[str]:
    """What a tag adds: how the next trial should be set up."""
    rules: list[str] = []
    if settling.aim == "wait":
        return rules
    if "fragile" in finding.tags and settling.aim != "again":
        rules.append("Because the answer hangs on the way of analysing, a repeat is worth more here than another look at the same numbers.")
    if "not by lot" in finding.tags:
        rules.append(f"Let the lot decide which {finding.unit_word} gets what: else whatever went with the choice stays a possible cause.")
    if "not blinded" in finding.tags:
        rules.append("Let people score who cannot know which photo belongs to which arm; then their scores count.")
    return rules
