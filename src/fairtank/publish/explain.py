"""One paragraph with the numbers put in: from each tank's number to the interval, so that a reader can redo the sum with a calculator."""

from collections.abc import Callable

from fairtank.finding import Finding, UnitSummary
from fairtank.publish import explain_designs, eyes_words
from fairtank.publish.explain_sums import Sums, brought_back, interval_sum
from fairtank.publish.numbers import NO_BREAK, figures, in_a_row, number, shown, trimmed, with_unit
from fairtank.publish.phrases import counted, level_words, named, plural
from fairtank.publish.printed import natural_unit
from fairtank.publish.scales import natural_value

MOST_LISTED = 16  # units whose numbers are listed; more stand in the table of units alone
# Designs whose sum is another one.
DESIGN_SUMS: dict[str, Callable[[Finding], str]] = {
    "ladder": explain_designs.ladder, "two_changes": explain_designs.two_changes, "drawn_start": explain_designs.drawn_start,
}


def how_computed(finding: Finding) -> str:
    """How one finding's interval came about, with its numbers; empty for a finding that was spoilt.

    Parameters
    ----------
    finding : Finding
        The frozen result; its facts hold means, scatter, standard error and multiplier.

    Returns
    -------
    str
        One paragraph. What is printed multiplies and adds up to the interval, to the rounding of the numbers shown.

    Examples
    --------
    See `tests/publish/test_explain.py`.
    """
    if finding.grade == "spoilt":
        return ""
    own = explain_designs.order if finding.summary == "threshold" else DESIGN_SUMS.get(finding.design)
    if own is not None:
        return own(finding)
    facts = dict(finding.facts)
    if finding.estimate is None or not ({"mean_reference", "difference_1"} & facts.keys()):
        return ""
    sums = Sums.of(finding)
    parts = [_units(finding, sums), _middle(finding, sums), _interval(finding, sums), brought_back(finding, sums)]
    return " ".join(part for part in parts if part)


# the units' numbers ----------------------------------------------------------------------------------------------------


def _units(finding: Finding, sums: Sums) -> str:
    """Each unit's number, in the natural unit where there is one and on the scale."""
    facts, word = dict(finding.facts), finding.unit_word
    if "difference_1" in facts:
        sample = finding.design.removesuffix("s")
        values = [facts[f"difference_{place}"] for place in range(1, finding.n_changed + 1)]
        return (f"Each {sample} gave one number, {_what(finding)} under {named(finding.changed_label)} less that under "
                f"{named(finding.reference_label)}{sums.scale_words}: {in_a_row(sums.z(value) for value in values)}.")
    groups = [[unit for unit in finding.units if unit.z is not None and unit.arm == arm]
              for arm in (finding.changed_arm, finding.reference_arm)]
    if sum(map(len, groups)) > MOST_LISTED or not all(groups):
        return f"Each {word} gave one number{sums.scale_words}; all of them stand in the table of {plural(word, 2)}."
    listed = [in_a_row(_unit(finding, sums, unit) for unit in group) for group in groups]
    under = [f"with {named(label)} first" if finding.summary == "swap" else f"under {named(label)}"
             for label in (finding.changed_label, finding.reference_label)]
    return (f"Each {word} gave one number, {_number_words(finding, sums)}: {under[0]} {listed[0]}; {under[1]} {listed[1]}.")


def _what(finding: Finding) -> str:
    return "the slope" if finding.summary == "slope" else "the change" if finding.summary == "change" else "the mean"


def _number_words(finding: Finding, sums: Sums) -> str:
    """What a unit's number is, and what stands in the brackets behind it."""
    if eyes_words.is_by_choices(finding):
        what = "its strength over all choices"
    elif finding.reading_day is not None and finding.summary == "mean":
        what = f"its value on day {finding.reading_day}"
    else:
        what = {"change": "its mean after the change less that of its run-in", "swap": "its mean in the first period less that in the "
                "second", "slope": "the slope of its course per day"}.get(finding.summary, "its mean over the days")
    if finding.summary != "mean":
        return what + sums.scale_words
    return f"{what} (in brackets {sums.on_scale})" if sums.on_scale else what


def _unit(finding: Finding, sums: Sums, unit: UnitSummary) -> str:
    name, z = shown(unit.unit), unit.z or 0.0
    if finding.summary != "mean" or not sums.on_scale:
        return f"{name}{NO_BREAK}{sums.with_unit(z)}"
    return f"{name}{NO_BREAK}{with_unit(figures(natural_value(z, finding.scale), 3), natural_unit(finding))} ({sums.z(z)})"


# means and scatter -------------------------------------------------------------------------------------------------------


def _middle(finding: Finding, sums: Sums) -> str:
    """The means and what is between them."""
    facts, estimate = dict(finding.facts), finding.estimate or 0.0
    if "difference_1" in facts:
        text = f"Their mean is {sums.with_unit(estimate)}"
        if "tank_difference" in facts:
            apart = sums.z(facts["tank_difference"])
            return (f"With the lasting difference of the two {plural(finding.unit_word, 2)} ({apart}) taken out, the change makes "
                    f"{sums.with_unit(estimate)}.")
        return f"{text}." if finding.n_changed > 1 else ""
    reference, changed = facts["mean_reference"], facts["mean_changed"]
    if finding.summary == "swap":
        return (f"The two orders' means are {sums.z(changed)} and {sums.z(reference)}. What time did to all "
                f"{plural(finding.unit_word, 2)} is in both alike; half their difference is what the change did: ({sums.z(changed)} − "
                f"{sums.bracketed(reference)}) / 2 = {sums.with_unit(estimate)}.")
    what = "difference of the means" if finding.n_reference > 1 or finding.n_changed > 1 else "difference"
    return f"The {what} is {sums.z(changed)} − {sums.bracketed(reference)} = {sums.with_unit(estimate)}."


# the interval --------------------------------------------------------------------------------------------------------------


def _interval(finding: Finding, sums: Sums) -> str:
    if finding.low is None or finding.high is None:
        return _none(finding, sums)
    if finding.basis != "own tanks":
        return f"{_borrowed(finding, sums)} {interval_sum(finding, sums)}"
    facts = dict(finding.facts)
    if not {"standard_error", "multiplier"} <= facts.keys():
        return interval_sum(finding, sums)
    half = facts["half_width"]
    df = trimmed(number(finding.df or 0.0, 1))
    times = sums.multiplier(facts["multiplier"])
    shared = f" (more than for one comparison alone: {finding.comparisons} of them share the promise)" if finding.comparisons > 1 else ""
    freedom = f"{df} degree{'' if df == '1' else 's'} of freedom{_why_so_few(finding, df)}"
    return (f"{_scatter(finding, sums)} On {freedom} the {level_words(finding)} interval reaches "
            f"{times} standard errors to either side{shared}: {times} × {sums.z(facts['standard_error'])} = {sums.z(half)}. "
            f"{interval_sum(finding, sums)}")


def _why_so_few(finding: Finding, df: str) -> str:
    """Where one arm is twice as large as the other or more, that the smaller one alone sets the degrees of freedom; else empty."""
    small, large = sorted((finding.n_reference, finding.n_changed))
    if "difference_1" in dict(finding.facts) or large < 2 * small or df != str(small - 1):
        return ""
    return " (one less than the smaller arm has, because the other is twice as large or more)"


def _scatter(finding: Finding, sums: Sums) -> str:
    """The scatter of what was counted, and the standard error that it makes."""
    facts = dict(finding.facts)
    error = sums.z(facts["standard_error"])
    if "spread_of_pairs" in facts:
        spread = sums.z(facts["spread_of_pairs"])
        return (f"The pairs scatter round it with a standard deviation of {spread}, which makes a standard error of {spread} / "
                f"√{finding.n_changed} = {error}.")
    if "spread_of_rounds" in facts:
        spread, first, second = sums.z(facts["spread_of_rounds"]), round(facts["rounds_first"]), round(facts["rounds_second"])
        return (f"What is left scatters with a standard deviation of {spread} from round to round; with the change {first} times in the "
                f"one {finding.unit_word} and {second} times in the other that makes a standard error of {spread} × √(1/{first} + "
                f"1/{second}) / 2 = {error}.")
    if not {"spread_reference", "spread_changed"} <= facts.keys():
        return f"The standard error is {error}."
    changed, reference = sums.z(facts["spread_changed"]), sums.z(facts["spread_reference"])
    groups = (("of the order with the change first", "of the other") if finding.summary == "swap" else
              (f"under {named(finding.changed_label)}", f"under {named(finding.reference_label)}"))
    root = f"√({changed}²/{finding.n_changed} + {reference}²/{finding.n_reference})"
    return (f"The {plural(finding.unit_word, 2)} scatter round their means with a standard deviation of {changed} {groups[0]} and "
            f"{reference} {groups[1]}, which makes a standard error of {root}{' / 2' if finding.summary == 'swap' else ''} = {error}.")


def _borrowed(finding: Finding, sums: Sums) -> str:
    """Where a borrowed spread came from, and by how much the interval was widened."""
    earlier, facts, word = finding.earlier, dict(finding.facts), finding.unit_word
    if earlier is None or earlier.brake is None or earlier.typical_spread is None:
        return f"The spread was taken from earlier {plural(word, 2)}."
    trials = f"{counted(earlier.groups, 'earlier trial')} ({trimmed(number(earlier.total_df, 1))} degrees of freedom)"
    halved = " for the difference of the periods" if finding.summary == "swap" else ""
    text = f"How far like {plural(word, 2)} end up apart comes from {trials}: typically by a standard deviation of " \
           f"{sums.z(earlier.typical_spread)}{halved}"
    own = [facts[key] for key in ("spread_changed", "spread_reference") if key in facts]
    if own and finding.basis == "own and earlier tanks":
        text += f"; this trial's own is {in_a_row(sums.z(value) for value in own)}, and both were weighed together"
    return (f"{text}. Every spread that fits was weighed by how well it fits, and the interval was made "
            f"{trimmed(number(earlier.brake, 2))} times as wide, because these {plural(word, 2)} may not be quite like the earlier ones.")


def _none(finding: Finding, sums: Sums) -> str:
    """Why there is no interval; for a finding that is alone the sum behind its tipping spread."""
    word = finding.unit_word
    if "at the limit of the scale" in finding.tags:
        return f"The {plural(word, 2)} of an arm show no scatter to judge by, so no interval was computed."
    samples = finding.design if "difference_1" in dict(finding.facts) else plural(word, 2)
    text = f"With so few {samples} nothing shows how far apart like ones end up, so no interval was computed."
    spread, estimate = finding.tipping_spread, abs(finding.estimate or 0.0)
    if spread is None or estimate == 0:
        return text
    size = sums.z(2 * estimate if finding.summary == "swap" else estimate)
    if "mean_reference" in dict(finding.facts):
        root = f"√(1/{finding.n_changed} + 1/{finding.n_reference})"
    elif finding.design == "pairs":
        root = f"√(1/{finding.n_changed})"
    else:
        return text
    return (f"{text} The difference would stand out 19 times in 20 only if like ones scattered with a standard deviation below {size} / "
            f"(1.96 × {root}) = {sums.z(spread)}.")
