"""How a finding was computed where the design has a sum of its own: a ladder of doses, a drawn start, the order of reaching a threshold."""

from fairtank.finding import Finding
from fairtank.publish.explain_sums import Sums, brought_back, interval_sum
from fairtank.publish.numbers import NO_BREAK, figures, in_a_row, number, p_words, plain_number, shown, trimmed
from fairtank.publish.phrases import counted, level_words, named, plural


def ladder(finding: Finding) -> str:
    """A straight line through the tanks, each at its dose: the step from the reference's dose to the highest."""
    facts, estimate = dict(finding.facts), finding.estimate or 0.0
    if not {"slope", "mean_reference", "mean_changed", "standard_error", "multiplier"} <= facts.keys():
        return ""
    sums, word = Sums.of(finding), finding.unit_word
    start, top = facts["reference_dose"], facts["top_dose"]
    error, times, half = facts["standard_error"], sums.multiplier(facts["multiplier"]), facts["half_width"]
    df, count = trimmed(number(finding.df or 0.0, 1)), finding.n_reference + finding.n_changed
    low, high = facts["mean_reference"], facts["mean_changed"]
    return (f"Each {word} is one point, at its dose{sums.scale_words}. The straight line through all {count} stands at {sums.z(low)} at "
            f"the dose {plain_number(start)} and at {sums.z(high)} at the dose {plain_number(top)}: a step of {sums.z(high)} − "
            f"{sums.bracketed(low)} = {sums.with_unit(estimate)}. The {plural(word, 2)} lie about the line with a standard deviation of "
            f"{sums.z(facts['spread_about_line'])}; from each one's own distance the step has a standard error of {sums.z(error)}. On {df} "
            f"degree{'' if df == '1' else 's'} of freedom the {level_words(finding)} interval reaches {times} of them to either side, a "
            f"little farther than the t-distribution asks for, because the ends of a ladder carry most of the step: {times} × "
            f"{sums.z(error)} = {sums.z(half)}. {interval_sum(finding, sums)} {brought_back(finding, sums)}").rstrip()


def two_changes(finding: Finding) -> str:
    """Four ways of treating: what one change does, averaged over the other."""
    facts, estimate = dict(finding.facts), finding.estimate or 0.0
    if not {"mean_neither", "mean_both", "standard_error", "multiplier", "half_width"} <= facts.keys():
        return ""
    sums, word = Sums.of(finding), finding.unit_word
    neither, first, second, both = (sums.z(facts[f"mean_{way}"]) for way in ("neither", "first", "second", "both"))
    error, times, half = sums.z(facts["standard_error"]), sums.multiplier(facts["multiplier"]), sums.z(facts["half_width"])
    there, missing = facts["mean_changed"], facts["mean_reference"]
    spread, df = sums.z(facts["spread_reference"]), trimmed(number(finding.df or 0.0, 1))
    scatter = (f"The {plural(word, 2)} of one way scatter with a standard deviation of about {spread}; with each way's own scatter that "
               f"makes a standard error of {error}.")
    if "blocks" in facts:
        count = round(facts["blocks"])
        scatter = (f"The {count} blocks give {count} such differences, which scatter with a standard deviation of {spread}: a standard "
                   f"error of {spread} / √{count} = {error}.")
    return (f"Each {word} gave one number{sums.scale_words}. The means of the four ways are {neither} with neither change, {first} and "
            f"{second} with one of them, {both} with both. The two ways {named(finding.changed_label)} lie at {sums.z(there)}, "
            f"the two {named(finding.reference_label)} at {sums.z(missing)}: a difference of {sums.z(there)} − {sums.bracketed(missing)} = "
            f"{sums.with_unit(estimate)}. {scatter} On {df} "
            f"degree{'' if df == '1' else 's'} of freedom the {level_words(finding)} interval reaches {times} standard errors to either "
            f"side (more than for one question alone: both changes share the promise): {times} × {error} = {half}. "
            f"{interval_sum(finding, sums)} {brought_back(finding, sums)}").rstrip()


def drawn_start(finding: Finding) -> str:
    """The number of each tank, and how it compares with those of every other draw of the lot."""
    facts, sums = dict(finding.facts), Sums.of(finding)
    units = [unit for unit in finding.units if unit.z is not None]
    if finding.estimate is None or len(units) != 2:
        return ""
    changed, reference = (next((unit for unit in units if unit.arm == arm), None) for arm in (finding.changed_arm, finding.reference_arm))
    if changed is None or reference is None or changed.z is None or reference.z is None:
        return ""
    what = "slope" if finding.summary == "slope" else "mean"
    text = (f"Each {finding.unit_word} gave one number, its {what} from the start on less that before{sums.scale_words}: "
            f"{shown(changed.unit)} {sums.z(changed.z)} under {named(finding.changed_label)}, {shown(reference.unit)} "
            f"{sums.z(reference.z)} under {named(finding.reference_label)}. The difference is {sums.z(changed.z)} − "
            f"{sums.bracketed(reference.z)} = {sums.with_unit(finding.estimate)}.")
    if finding.p_value is None or not finding.arrangements:
        return text
    draws = finding.arrangements
    count = round(finding.p_value * draws)
    one_way = "" if not facts.get("expected") else ", in the direction that the plan expected,"
    return (f"{text} The lot could have drawn either {finding.unit_word} and any of {draws // 2} days: 2 × {draws // 2} = {draws} draws. "
            f"The same number was worked out for each of them; {count} {'is' if count == 1 else 'are'}{one_way} at least as far from 0: "
            f"{count} / {draws} = {p_words(finding.p_value)}.")


def order(finding: Finding) -> str:
    """A threshold: the cases that were counted, and how often the lot alone would give such a score."""
    facts, word = dict(finding.facts), finding.unit_word
    if "pairs_later" not in facts:
        return ""
    later, earlier, untold = (round(facts[key]) for key in ("pairs_later", "pairs_earlier", "pairs_untold"))
    told = [f"in {later} it was surely later", f"in {earlier} surely earlier", *([f"in {untold} nobody can tell"] if untold else [])]
    text = (f"Each of {counted(finding.n_changed, word)} under {named(finding.changed_label)} was held against each of "
            f"{finding.n_reference} under {named(finding.reference_label)}, {finding.n_changed} × {finding.n_reference} = "
            f"{later + earlier + untold} cases: {in_a_row(told)}. The score is {later} − {earlier} = {number(facts['score'], 0)}.")
    if finding.shuffle_p is None or not finding.arrangements:
        return f"{text} With so few {plural(word, 2)} the lot could have fallen in too few ways for any score to stand out."
    ways = round(finding.shuffle_p * finding.arrangements)
    return (f"{text} Of {finding.arrangements} ways in which the lot could have fallen, {ways} give a score at least as far from 0: "
            f"{ways} / {finding.arrangements} = {figures(100 * finding.shuffle_p, 2)}{NO_BREAK}%.")
